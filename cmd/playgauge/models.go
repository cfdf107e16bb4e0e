package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"playgauge/mesh"
)

// stdinName stands for standard input.
const stdinName = "-"

// maxStream is how much is read where the size is not known beforehand, in
// bytes: such a model is held in memory, and some streams never end.
const maxStream = 512 << 20

// model is one model of the command line.
type model struct {
	file   string // as given; stdinName for standard input
	source mesh.Source
}

// openModels finds the models in a file, or in stdin for "-". They can be
// read until the file is closed.
func openModels(file string, stdin io.Reader) ([]model, io.Closer, error) {
	if file == stdinName {
		return streamed(file, stdin, io.NopCloser(stdin))
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, nil, err
	}
	models, c, err := opened(f)
	if err != nil {
		_ = f.Close() // nothing was written to it
		return nil, nil, err
	}
	return models, c, nil
}

func opened(f *os.File) ([]model, io.Closer, error) {
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, nil, err
	case info.IsDir():
		return nil, nil, errors.New("is a folder")
	case !info.Mode().IsRegular(): // a pipe, say, in which nothing can be sought
		return streamed(f.Name(), f, f)
	}
	return found(f.Name(), f, info.Size(), f)
}

// streamed reads all of r into memory first.
func streamed(file string, r io.Reader, c io.Closer) ([]model, io.Closer, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxStream+1))
	if err != nil {
		return nil, nil, err
	}
	if len(data) > maxStream {
		return nil, nil, fmt.Errorf("it goes on after %d MiB; save it as a file and vet that", maxStream>>20)
	}
	return found(file, bytes.NewReader(data), int64(len(data)), c)
}

func found(file string, r io.ReaderAt, size int64, c io.Closer) ([]model, io.Closer, error) {
	prepareHeap(size)
	sources, err := mesh.Open(r, size)
	if err != nil {
		return nil, nil, err
	}
	models := make([]model, len(sources))
	for i, s := range sources {
		models[i] = model{file, s}
	}
	return models, c, nil
}

// readModel reads the one model of a file, or of stdin for "-".
func readModel(file string, stdin io.Reader) (*mesh.Soup, error) {
	models, c, err := openModels(file, stdin)
	if err != nil {
		return nil, err
	}
	defer c.Close()
	if len(models) > 1 {
		return nil, fmt.Errorf("holds %d models, and one is asked for; unpack it", len(models))
	}
	return models[0].source.Read()
}

// name is what results call a model: its file without the folder, and its
// name in there.
func (m model) name() string { return m.inside(modelName(m.file)) }

// shown is what messages and titles call it.
func (m model) shown() string { return m.inside(shownName(m.file)) }

func (m model) inside(file string) string {
	if m.source.Name == "" {
		return file
	}
	return file + ": " + m.source.Name
}

// modelName is what results call a file.
func modelName(file string) string {
	if file == stdinName {
		return file
	}
	return filepath.Base(file)
}

// shownName is how messages and titles call a file.
func shownName(file string) string {
	if file == stdinName {
		return "standard input"
	}
	return file
}
