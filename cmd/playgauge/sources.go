package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"playgauge/mesh"
)

// archiveEnding is the end of names that claim an archive of models.
const archiveEnding = ".zip"

// mayHoldModels says whether a file in a folder is read, by its name. A file
// that is given by itself is read whatever it is called.
func mayHoldModels(file string) bool {
	return mesh.ClaimsModel(file) || strings.HasSuffix(strings.ToLower(file), archiveEnding)
}

// unpacksTo is how many times larger a packed file is taken to be once it is
// unpacked: lists of numbers hardly pack better. Only the memory that is set
// aside beforehand hangs on it.
const unpacksTo = 10

// sourceOf is a file that is there.
func sourceOf(file string, info fs.FileInfo) source {
	s := source{file: file, bytes: info.Size()}
	switch strings.ToLower(filepath.Ext(file)) {
	case archiveEnding, ".gz", ".3mf":
		s.bytes *= unpacksTo
	}
	return s
}

// open finds the models of a source, as openModels does.
func (a *app) open(s source) ([]model, io.Closer, error) {
	if s.err != nil {
		return nil, nil, s.err
	}
	return openModels(s.file, a.stdin)
}

// source is a file to vet, or what cannot be one.
type source struct {
	file  string // as it is opened, "-" for standard input
	bytes int64  // once unpacked, about; 0 where not known
	err   error  // why there is nothing to open
}

// findModels finds the files that arguments stand for: a file for itself; a
// folder for the models in it and in its folders; a pattern, where no shell
// has replaced it, for what matches. folder says that some argument was a
// folder.
func findModels(args []string) (found []source, folder bool) {
	for _, arg := range args {
		names, err := matching(arg)
		if err != nil {
			found = append(found, source{file: arg, err: err})
		}
		for _, name := range names {
			info, err := os.Stat(name)
			switch {
			case name == stdinName || err != nil: // opening it will tell
				found = append(found, source{file: name})
			case info.IsDir():
				folder = true
				found = append(found, modelsIn(name)...)
			default:
				found = append(found, sourceOf(name, info))
			}
		}
	}
	return found, folder
}

// matching is the names that an argument stands for: itself, if there is such
// a file or it is no pattern.
func matching(arg string) ([]string, error) {
	if _, err := os.Stat(arg); err == nil || arg == stdinName || !strings.ContainsAny(arg, "*?[") {
		return []string{arg}, nil
	}
	names, err := filepath.Glob(arg)
	switch {
	case err != nil:
		return nil, errors.New("is a pattern that cannot be read")
	case len(names) == 0:
		return nil, errors.New("no file matches this pattern")
	}
	return names, nil
}

// modelsIn lists the models in a folder and its folders, in the order of their
// names. What is hidden is passed over, also what some systems leave beside
// each file ("._name"); so are folders that are links, which may lead round.
func modelsIn(folder string) []source {
	var found []source
	// What cannot be read is a source of its own, so the walk does not fail.
	_ = filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			found = append(found, source{file: path, err: err})
			return fs.SkipDir
		}
		if path != folder && strings.HasPrefix(entry.Name(), ".") {
			if entry.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if entry.IsDir() || !mayHoldModels(path) {
			return nil
		}
		info, err := os.Stat(path)
		switch {
		case err != nil:
			found = append(found, source{file: path, err: err})
		case !info.IsDir():
			found = append(found, sourceOf(path, info))
		}
		return nil
	})
	if len(found) == 0 {
		return []source{{file: folder, err: errors.New("holds no model, by the names of its files")}}
	}
	return found
}

// once drops what was found before, under another name too.
func once(found []source) []source {
	seen := map[string]bool{}
	return slices.DeleteFunc(found, func(s source) bool {
		key := s.file
		if abs, err := filepath.Abs(s.file); err == nil && s.file != stdinName {
			key = behindLinks(abs)
		}
		again := seen[key]
		seen[key] = true
		return again
	})
}
