package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// failing is an output that cannot be written to.
type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestClosedPipeEndsQuietly(t *testing.T) {
	for _, c := range []struct {
		err     error
		status  int
		message string
	}{
		{&fs.PathError{Op: "write", Path: "x", Err: syscall.EPIPE}, statusOK, ""},
		{io.ErrClosedPipe, statusOK, ""},
		{&fs.PathError{Op: "write", Path: "x", Err: errors.New("no room")}, statusFile, "playgauge: standard output: no room\n"},
	} {
		var stderr strings.Builder
		status := run([]string{"help"}, strings.NewReader(""), failing{c.err}, &stderr)
		if status != c.status || stderr.String() != c.message {
			t.Errorf("%v: status %d, %q", c.err, status, stderr.String())
		}
	}
}

// A reader that goes away before the first byte, on the real standard
// output, where a system would end the program by a signal.
func TestClosedStandardOutput(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("its pipes break in other ways")
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	model := filepath.Join(t.TempDir(), "tight.stl")
	if err := writeModel(model, posts(0.3)); err != nil {
		t.Fatal(err)
	}
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	var stderr strings.Builder
	cmd := exec.Cmd{Path: exe, Args: []string{"playgauge", "vet", model, model}, Stdout: w, Stderr: &stderr}
	if err := cmd.Run(); cmd.ProcessState.ExitCode() != statusBad || stderr.Len() != 0 {
		t.Errorf("%v, %q", err, stderr.String())
	}
}

func TestMessagesStayOnOneLine(t *testing.T) {
	var stderr strings.Builder
	a := app{stderr: &stderr}
	a.message("%s: gone\n", "a\nb\x1b[31m\u202ec é")
	if got, want := stderr.String(), `playgauge: a\nb\x1b[31m\u202ec é: gone`+"\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestShellWord(t *testing.T) {
	for in, want := range map[string]string{
		"a/b-c.stl": "a/b-c.stl", "my toys/a.stl": "'my toys/a.stl'", "it's": `'it'\''s'`, "": "''", "$HOME": "'$HOME'",
	} {
		if got := shellWord(in); got != want {
			t.Errorf("%q: got %s, want %s", in, got, want)
		}
	}
}

func TestUseColor(t *testing.T) {
	for _, c := range []struct {
		env  map[string]string
		want bool
	}{
		{map[string]string{}, false}, // the output is no terminal
		{map[string]string{"FORCE_COLOR": "1"}, true},
		{map[string]string{"FORCE_COLOR": "1", "NO_COLOR": "1", "TERM": "dumb"}, true},
		{map[string]string{"FORCE_COLOR": "0"}, false},
		{map[string]string{"NO_COLOR": "1"}, false},
	} {
		if got := useColor(io.Discard, func(k string) string { return c.env[k] }); got != c.want {
			t.Errorf("%v: %v", c.env, got)
		}
	}
}
