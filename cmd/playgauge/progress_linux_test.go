package main

import (
	"fmt"
	"os"
	"testing"

	"golang.org/x/sys/unix"
)

// A person watches a terminal: the bar is drawn there, as wide as fits, and gone
// after the last model.
func TestProgressOnATerminal(t *testing.T) {
	for _, tc := range []struct {
		columns        uint16
		first, between string
	}{
		{80, "models [                    ] 0/2", "models [##########          ] 1/2"},
		{20, "0/2", "1/2"},
	} {
		keyboard, terminal := openTerminal(t, tc.columns)
		read := make([]byte, 4096)
		written := ""
		shows := func(want string) {
			t.Helper()
			n, err := keyboard.Read(read)
			if err != nil {
				t.Fatal(err)
			}
			written += string(read[:n])
			if got := screen(written); got != want {
				t.Errorf("%d columns: the terminal shows %q, not %q", tc.columns, got, want)
			}
		}
		var p progress
		p.show(terminal, 2)
		shows(tc.first)
		p.step()
		shows(tc.between)
		p.step()
		shows("")
	}
}

// openTerminal gives the two ends of a terminal without a screen (ptmx(4)).
func openTerminal(t *testing.T, columns uint16) (keyboard, terminal *os.File) {
	t.Helper()
	keyboard, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("no terminal can be had: %v", err)
	}
	t.Cleanup(func() { _ = keyboard.Close() })
	fd := int(keyboard.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: columns}); err != nil {
		t.Fatal(err)
	}
	terminal, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = terminal.Close() })
	return keyboard, terminal
}
