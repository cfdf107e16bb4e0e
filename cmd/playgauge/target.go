package main

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"

	"playgauge/gapscan/machine"
)

// pngSignature begins every PNG file (PNG specification, third edition, 5.2).
const pngSignature = "\x89PNG\r\n\x1a\n"

// checkStrip makes sure, before the work, that the picture may and can be
// written. A name that must not be written to is wrong use; a place where
// nothing can be written is a file that failed.
func (a *app) checkStrip(o vetOptions, mc machine.Machine) int {
	if o.strip == "" {
		return statusOK
	}
	status := statusUsage
	err := a.mayReplace(o, mc)
	var unread *fs.PathError
	if err == nil {
		err, status = a.files.probe(o.strip), statusFile
	} else if errors.As(err, &unread) {
		status = statusFile
	}
	if err != nil {
		a.message("vet: --strip %s: %s", o.strip, reason(err))
		return status
	}
	return statusOK
}

// mayReplace keeps the picture from replacing what is read, and what is
// anything but an earlier picture. An empty file, as mktemp makes, holds
// nothing to lose.
func (a *app) mayReplace(o vetOptions, mc machine.Machine) error {
	info, err := os.Stat(o.strip)
	there := err == nil
	if there && !info.Mode().IsRegular() {
		return errors.New("is there and is no file")
	}
	for _, m := range o.models {
		if m != stdinName && sameFile(o.strip, m) {
			return errors.New("is the model itself; choose another name")
		}
	}
	if in, ok := a.stdin.(*os.File); ok && there {
		if inInfo, inErr := in.Stat(); inErr == nil && os.SameFile(info, inInfo) {
			return errors.New("is the model itself; choose another name")
		}
	}
	if mc.File != "" && sameFile(o.strip, mc.File) {
		return errors.New("is the machine file; choose another name")
	}
	if there && info.Size() > 0 {
		png, err := isPNG(o.strip)
		if err != nil {
			return err
		}
		if !png {
			return errors.New("is there and is no PNG picture; choose another name")
		}
	}
	return nil
}

// isPNG says whether a file begins as a PNG does.
func isPNG(file string) (bool, error) {
	f, err := os.Open(file)
	if err != nil {
		return false, err
	}
	defer f.Close()
	head, err := io.ReadAll(io.LimitReader(f, int64(len(pngSignature))))
	return bytes.Equal(head, []byte(pngSignature)), err
}
