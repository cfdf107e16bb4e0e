package main

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"

	"playgauge/gapscan/machine"
)

// target is a file that a command is asked to write.
type target struct {
	flag, file string
	// An earlier file of the kind begins with head.
	kind, head string
	fill       func(io.Writer, judged) error
	// mesh says that it shows the tight places of the model, drawn that it shows
	// all its layers as a page does, layers that it shows some of them as they
	// are; layer is the one that it shows, if any.
	mesh, drawn, layers bool
	layer               int
}

// checkTargets makes sure, before the work, that the files may and can be
// written. A name that must not be written to is wrong use; a place where
// nothing can be written is a file that failed.
func (a *app) checkTargets(command string, o vetOptions, mc machine.Machine) int {
	for _, t := range o.targets {
		status := statusUsage
		err := a.mayReplace(t, o, mc)
		var unread *fs.PathError
		if err == nil {
			err, status = a.files.probe(t.file), statusFile
		} else if errors.As(err, &unread) {
			status = statusFile
		}
		if err != nil {
			a.message("%s: --%s %s: %s", command, t.flag, t.file, reason(err))
			return status
		}
	}
	return statusOK
}

// mayReplace keeps a target from replacing what is read, and what is anything
// but an earlier file of its kind. An empty file, as mktemp makes, holds
// nothing to lose.
func (a *app) mayReplace(t target, o vetOptions, mc machine.Machine) error {
	info, err := os.Stat(t.file)
	there := err == nil
	if there && !info.Mode().IsRegular() {
		return errors.New("is there and is no file")
	}
	for _, m := range o.models {
		if m != stdinName && sameFile(t.file, m) {
			return errors.New("is the model itself; choose another name")
		}
	}
	if in, ok := a.stdin.(*os.File); ok && there {
		if inInfo, inErr := in.Stat(); inErr == nil && os.SameFile(info, inInfo) {
			return errors.New("is the model itself; choose another name")
		}
	}
	if mc.File != "" && sameFile(t.file, mc.File) {
		return errors.New("is the machine file; choose another name")
	}
	for _, other := range o.targets {
		if other.file == t.file && other.flag == t.flag && other.layer == t.layer {
			break // t itself: it gives way to those before it
		}
		if sameFile(t.file, other.file) {
			return errors.New("is what --" + other.flag + " writes; choose another name")
		}
	}
	return isEarlier(t.file, t.kind, t.head)
}

// isEarlier makes sure that a file that is about to be written is not there,
// is empty, or is an earlier one of its kind, which begins with head.
func isEarlier(file, kind, head string) error {
	info, err := os.Stat(file)
	switch {
	case err != nil:
		return nil // writing will tell
	case !info.Mode().IsRegular():
		return errors.New("is there and is no file")
	case info.Size() == 0:
		return nil
	}
	earlier, err := beginsWith(file, head)
	if err == nil && !earlier {
		err = errors.New("is there and is no " + kind + "; choose another name")
	}
	return err
}

// beginsWith says whether a file begins with some bytes.
func beginsWith(file, head string) (bool, error) {
	f, err := os.Open(file)
	if err != nil {
		return false, err
	}
	defer f.Close()
	got, err := io.ReadAll(io.LimitReader(f, int64(len(head))))
	return bytes.Equal(got, []byte(head)), err
}
