package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// stdinName stands for standard input.
const stdinName = "-"

// readModel reads a model from a file, or from stdin for "-".
func readModel(file string, stdin io.Reader) (*mesh.Soup, error) {
	if file == stdinName {
		return readStream(stdin)
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, errors.New("is a folder")
	case !info.Mode().IsRegular(): // a pipe, say, in which nothing can be sought
		return readStream(f)
	}
	return mesh.ReadSTL(f)
}

func readStream(r io.Reader) (*mesh.Soup, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	return mesh.ReadSTL(bytes.NewReader(data))
}

// judge places, slices and judges a model.
func judge(name string, soup *mesh.Soup, w gapscan.WhatIf, mc machine.Machine) (*gapscan.Result, error) {
	r, err := gapscan.Vet(soup, w, mc)
	if err != nil {
		return nil, err
	}
	r.Model.File = modelName(name)
	return r, nil
}

// judged is a result with the layers it was found in, for pictures.
type judged struct {
	result *gapscan.Result
	sliced *gapscan.Sliced
	// printed is its layers as they are printed.
	printed *slice.Stack
}

// judgeFor does what judge does for what o asks, and keeps the layers.
func judgeFor(name string, soup *mesh.Soup, o vetOptions, mc machine.Machine) (judged, error) {
	placed, err := gapscan.Place(soup, o.whatIf)
	if err != nil {
		return judged{}, err
	}
	sliced, err := placed.Slice(o.whatIf)
	if err != nil {
		return judged{}, err
	}
	j := judged{sliced: sliced, printed: sliced.Printed(o.whatIf, mc)}
	if o.tight() {
		j.result = sliced.JudgeTight(o.whatIf, mc)
	} else {
		j.result = sliced.Judge(o.whatIf, mc)
	}
	j.result.Model.File = modelName(name)
	return j, nil
}

// modelName is what results call a model: its file without the folder.
func modelName(file string) string {
	if file == stdinName {
		return file
	}
	return filepath.Base(file)
}
