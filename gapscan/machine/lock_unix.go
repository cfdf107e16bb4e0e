//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package machine

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lock waits until this process alone holds the lock on a file, which it makes
// where it is missing, and returns what lets go of it.
func lock(name string) (unlock func() error, err error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	for {
		err = unix.Flock(int(f.Fd()), unix.LOCK_EX)
		if !errors.Is(err, unix.EINTR) {
			break
		}
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f.Close, nil // closing lets go
}

// replace puts one file in the place of another.
func replace(from, to string) error { return os.Rename(from, to) }
