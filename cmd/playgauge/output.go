package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
)

// outputs writes files whole or not at all, and removes what was begun when
// the program is stopped.
type outputs struct {
	before func() // called before a file is begun or work held, unless nil
	mu     sync.Mutex
	// pending holds the open temporary files by name.
	pending   map[string]*os.File
	abandoned bool
}

var errAbandoned = errors.New("the program was stopped")

// maxTempTries is how many names of temporary files are tried.
const maxTempTries = 100

// write fills a temporary file beside the target, makes sure it is on the
// disk and renames it. Where that fails the target is as it was. A target
// that is a symbolic link stays one: the file it leads to is written.
func (o *outputs) write(target string, fill func(io.Writer) error) error {
	target = behindLinks(target)
	f, err := o.begin(target)
	if err != nil {
		return err
	}
	err = fillFile(f, target, fill)
	o.mu.Lock()
	defer o.mu.Unlock()
	if err == nil && !o.abandoned {
		err = os.Rename(f.Name(), target)
	}
	if err != nil {
		_ = os.Remove(f.Name()) // the first error is the one to tell
	}
	delete(o.pending, f.Name())
	return err
}

// probe says whether write could begin on a target. It leaves nothing behind.
func (o *outputs) probe(target string) error {
	f, err := o.begin(behindLinks(target))
	if err != nil {
		return err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	delete(o.pending, f.Name())
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// behindLinks is the file that symbolic links lead to.
func behindLinks(target string) string {
	if real, err := filepath.EvalSymlinks(target); err == nil {
		return real
	}
	return target
}

// begin opens the temporary file of a target.
func (o *outputs) begin(target string) (*os.File, error) {
	f, err := o.create(filepath.Dir(target))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, errors.New("its folder does not exist")
	case err != nil && !errors.Is(err, errAbandoned):
		return nil, errors.New("its folder cannot be written to: " + reason(err))
	}
	return f, err
}

// fillFile writes and closes the temporary file of a target.
func fillFile(f *os.File, target string, fill func(io.Writer) error) error {
	w := bufio.NewWriter(f)
	err := fill(w)
	if err == nil {
		err = w.Flush()
	}
	if info, statErr := os.Stat(target); err == nil && statErr == nil {
		err = f.Chmod(info.Mode().Perm()) // as the file that it replaces
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// create opens a new temporary file in a folder. It is made readable and
// writable as any new file is, which os.CreateTemp would not do.
func (o *outputs) create(folder string) (f *os.File, err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.abandoned {
		return nil, errAbandoned
	}
	if o.before != nil {
		o.before()
	}
	for range maxTempTries {
		name := filepath.Join(folder, fmt.Sprintf(".playgauge-%08x.tmp", rand.Uint32()))
		f, err = os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err != nil {
		return nil, err
	}
	if o.pending == nil {
		o.pending = map[string]*os.File{}
	}
	o.pending[f.Name()] = f
	return f, nil
}

// hold does what must not be stopped midway: a signal that comes meanwhile is
// heeded after it.
func (o *outputs) hold(work func() error) error {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.abandoned {
		return errAbandoned
	}
	if o.before != nil {
		o.before()
	}
	return work()
}

// abandon removes what was begun and lets nothing new begin.
func (o *outputs) abandon() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.abandoned = true
	for name, f := range o.pending {
		// Errors have nowhere to go; some systems remove only closed files.
		_ = f.Close()
		_ = os.Remove(name)
	}
	clear(o.pending)
}

// sameFile says whether two names mean one file, there already or not.
func sameFile(a, b string) bool {
	if ia, err := os.Stat(a); err == nil {
		if ib, err := os.Stat(b); err == nil {
			return os.SameFile(ia, ib)
		}
	}
	pa, errA := filepath.Abs(a) // cleans, too
	pb, errB := filepath.Abs(b)
	return errA == nil && errB == nil && pa == pb
}
