//go:build !darwin && !dragonfly && !freebsd && !linux && !netbsd && !openbsd && !windows

package machine

import (
	"errors"
	"os"
)

// lock refuses where the system is not known to lock files for processes:
// nothing is recorded rather than something lost.
func lock(string) (unlock func() error, err error) { return nil, errors.ErrUnsupported }

// replace puts one file in the place of another.
func replace(from, to string) error { return os.Rename(from, to) }
