package machine

import (
	"errors"
	"os"
	"time"

	"golang.org/x/sys/windows"
)

// lock waits until this process alone holds the lock on a file, which it makes
// where it is missing, and returns what lets go of it.
func lock(name string) (unlock func() error, err error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	whole := ^uint32(0)
	err = windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK, 0, whole, whole, new(windows.Overlapped))
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return func() error {
		err := windows.UnlockFileEx(windows.Handle(f.Fd()), 0, whole, whole, new(windows.Overlapped))
		return errors.Join(err, f.Close())
	}, nil
}

// A file that someone reads just now cannot be replaced here; reading a
// machine file takes far less than the tries do together.
const (
	replaceTries = 40
	replaceWait  = 50 * time.Millisecond
)

// replace puts one file in the place of another.
func replace(from, to string) (err error) {
	for range replaceTries {
		err = os.Rename(from, to)
		if !errors.Is(err, windows.ERROR_ACCESS_DENIED) && !errors.Is(err, windows.ERROR_SHARING_VIOLATION) {
			return err
		}
		time.Sleep(replaceWait)
	}
	return err
}
