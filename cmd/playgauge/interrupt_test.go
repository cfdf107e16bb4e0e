package main

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
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

// What is to be written is begun before the model is read, so a signal that
// comes meanwhile is caught.
func TestInterrupt(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot send itself an interrupt there")
	}
	dir := t.TempDir()
	in := interrupting{t, make(chan struct{})}
	defer close(in.done)
	var stdout, stderr strings.Builder
	status := run([]string{"vet", "--page", filepath.Join(dir, "a.html"), "-"}, in, &stdout, &stderr)
	if status != statusInterrupted || stdout.Len()+stderr.Len() != 0 {
		t.Errorf("status %d, %q, %q", status, stdout.String(), stderr.String())
	}
	alone(t, dir)
}

// Where nothing is to be tidied up a signal ends the program as it ends any.
func TestInterruptEndsAtOnce(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt there")
	}
	for _, args := range [][]string{{"vet", "-"}, {"vet", "--matrix", "-"}} {
		c := exec.Command("playgauge", args...)
		in, err := c.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		defer in.Close()
		var out strings.Builder
		c.Stdout, c.Stderr = &out, &out
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		if err := c.Process.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
		err = c.Wait()
		var exit *exec.ExitError
		if !errors.As(err, &exit) || exit.Exited() || out.Len() != 0 {
			t.Errorf("%v: %v, %q", args, err, out.String())
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

// What must not be stopped midway is done when the signal is heeded, and is not
// begun after.
func TestInterruptWaitsForWhatIsHeld(t *testing.T) {
	a := app{}
	stop := make(chan os.Signal)
	did := false
	status := a.until(stop, func() int {
		_ = a.files.hold(func() error {
			stop <- os.Interrupt
			time.Sleep(50 * time.Millisecond)
			did = true
			return nil
		})
		return statusOK
	})
	again := a.files.hold(func() error { return nil })
	if status != statusInterrupted || !did || !errors.Is(again, errAbandoned) {
		t.Errorf("status %d, done: %v; then %v", status, did, again)
	}
}

// What fails because the program was stopped is not told.
func TestInterruptIsQuiet(t *testing.T) {
	var stderr strings.Builder
	a := app{stderr: &stderr}
	stop, said := make(chan os.Signal), make(chan bool)
	a.until(stop, func() int {
		stop <- os.Interrupt
		<-a.ctx.Done()
		a.message("file already closed")
		close(said)
		return statusFile
	})
	<-said
	if stderr.Len() != 0 {
		t.Errorf("%q", stderr.String())
	}
}
