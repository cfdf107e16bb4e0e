package main

import (
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// interrupting is a standard input from which nothing comes but Ctrl-C.
type interrupting struct {
	t    *testing.T
	done chan struct{}
}

func (r interrupting) Read([]byte) (int, error) {
	self, err := os.FindProcess(os.Getpid())
	if err == nil {
		err = self.Signal(os.Interrupt)
	}
	if err != nil {
		r.t.Error(err)
	}
	<-r.done
	return 0, os.ErrClosed
}

func TestInterrupt(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot send itself an interrupt there")
	}
	for _, args := range [][]string{{"vet", "-"}, {"vet", "--matrix", "-"}} {
		in := interrupting{t, make(chan struct{})}
		defer close(in.done)
		var stdout, stderr strings.Builder
		status := run(args, in, &stdout, &stderr)
		if status != statusInterrupted || stdout.Len()+stderr.Len() != 0 {
			t.Errorf("%v: status %d, %q, %q", args, status, stdout.String(), stderr.String())
		}
	}
}

// What was begun when the signal came is removed.
func TestInterruptLeavesNothingBehind(t *testing.T) {
	dir := t.TempDir()
	a := app{}
	stop := make(chan os.Signal)
	hold := make(chan struct{})
	defer close(hold)
	status := a.until(stop, func() int {
		err := a.files.write(filepath.Join(dir, "a.png"), func(w io.Writer) error {
			alone(t, dir, "the temporary file")
			stop <- os.Interrupt
			<-hold
			return nil
		})
		if err == nil {
			t.Error("a file was written after the program was stopped")
		}
		return statusOK
	})
	if status != statusInterrupted {
		t.Errorf("status %d", status)
	}
	alone(t, dir)
}
