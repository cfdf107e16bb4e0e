package machine

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
)

// Record adds trials to a machine file, see Append. The file is written whole
// or not at all: a new file beside it takes its place once it is safe on disk.
// Two processes that record at once wait for each other, so that nothing is
// lost: each holds a lock on the empty file .NAME.lock beside the machine file
// while it reads and writes. (The machine file itself cannot be locked, for it
// is replaced.) The system lets go of the lock of a process that dies; the
// empty file stays. Through a symbolic link the file it leads to is replaced.
//
// A file that is not there or does not parse is left alone. The error is a
// *TrialError, a *FileError, or one of writing.
func Record(file string, trials []Trial, hold Hold) error {
	if len(trials) == 0 {
		return nil
	}
	if _, err := os.Stat(file); err != nil { // before a lock is made beside it
		return &FileError{File: file, Problem: reason(err), Err: err}
	}
	return change(file, hold, func(target string) ([]byte, error) {
		text, err := readFile(target)
		if err != nil {
			return nil, asNamed(err, file)
		}
		before, err := read(file, text)
		if err != nil {
			return nil, err
		}
		text, err = Append(text, trials)
		if err != nil {
			return nil, err
		}
		// Judged before it is written: what was read and no more.
		after, err := read(file, text)
		if err != nil {
			return nil, err
		}
		if len(after.Trials) != len(before.Trials)+len(trials) {
			return nil, &FileError{File: file, Problem: "trials cannot be added to it"}
		}
		return text, nil
	})
}

// Create writes a new machine file, whole or not at all, and its folder where
// that is missing. The text must parse. It is an error that wraps fs.ErrExist
// if the file is there already.
func Create(file string, text []byte, hold Hold) error {
	if _, err := read(file, text); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		return err
	}
	return change(file, hold, func(target string) ([]byte, error) {
		if _, err := os.Lstat(target); err == nil {
			return nil, &FileError{File: file, Problem: "is there already", Err: fs.ErrExist}
		} else if !errors.Is(err, fs.ErrNotExist) {
			return nil, &FileError{File: file, Problem: reason(err), Err: err}
		}
		return text, nil
	})
}

// Hold does work in the midst of which the program must not be stopped, or the
// new file would be left behind. It is asked for only once the lock is had, so
// that one can stop waiting for that.
type Hold func(work func() error) error

// change writes what text gives to a file while it holds the file's lock.
func change(file string, hold Hold, text func(target string) ([]byte, error)) (err error) {
	target := file
	if real, linkErr := filepath.EvalSymlinks(file); linkErr == nil {
		target = real
	}
	folder, base := filepath.Split(target)
	if _, err := os.Stat(filepath.Clean(folder + ".")); err != nil {
		return &FileError{File: file, Problem: reason(err), Err: err}
	}
	unlock, err := lock(filepath.Join(folder, "."+base+".lock"))
	if err != nil {
		return fmt.Errorf("%s cannot be locked: %w", file, err)
	}
	defer func() { err = errors.Join(err, unlock()) }()
	data, err := text(target)
	if err != nil {
		return err
	}
	if err := hold(func() error { return writeWhole(target, data) }); err != nil {
		return fmt.Errorf("%s is as it was: %w", file, err)
	}
	return nil
}

// asNamed gives an error of a file the name that the caller knows it by.
func asNamed(err error, file string) error {
	var fe *FileError
	if errors.As(err, &fe) {
		fe.File = file
	}
	return err
}

// writeWhole puts data in the place of a file by way of a new file beside it.
func writeWhole(target string, data []byte) (err error) {
	f, err := newBeside(target)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(f.Name()))
		}
	}()
	_, err = f.Write(data)
	if info, statErr := os.Stat(target); err == nil && statErr == nil {
		err = f.Chmod(info.Mode().Perm())
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	if err = replace(f.Name(), target); err != nil {
		return err
	}
	syncFolder(filepath.Dir(target))
	return nil
}

// maxTempTries is how many names are tried for a new file.
const maxTempTries = 100

// newBeside opens a new file in the folder of another, readable as any new
// file is, which os.CreateTemp would not do.
func newBeside(target string) (f *os.File, err error) {
	folder, base := filepath.Split(target)
	for range maxTempTries {
		name := filepath.Join(folder, fmt.Sprintf(".%s.%08x.tmp", base, rand.Uint32()))
		f, err = os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	return f, err
}

// syncFolder makes the new name safe too. It is as good as it gets: some
// systems cannot, and the file is whole either way.
func syncFolder(folder string) {
	if d, err := os.Open(folder); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}
