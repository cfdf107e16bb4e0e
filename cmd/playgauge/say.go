package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"unicode"
)

// message writes one line to standard error.
func (a *app) message(format string, args ...any) {
	if a.ctx != nil && a.ctx.Err() != nil {
		return // whoever stopped the program knows
	}
	a.bar.clear()
	// There is nobody to tell that standard error is closed.
	_, _ = io.WriteString(a.stderr, "playgauge: "+oneLine(fmt.Sprintf(format, args...))+"\n")
}

// oneLine escapes what would break a line or steer a terminal: names of
// files come from outside, and some libraries end an error with a line break.
func oneLine(s string) string {
	s = strings.TrimSpace(s)
	if strings.IndexFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if unicode.IsPrint(r) {
			b.WriteRune(r)
		} else {
			q := strconv.QuoteRune(r)
			b.WriteString(q[1 : len(q)-1])
		}
	}
	return b.String()
}

// print writes to standard output and returns the status, or statusFile with
// a message where that cannot be done.
func (a *app) print(s string, status int) int {
	if err := a.put(s); err != nil {
		return a.putFailed(err, status)
	}
	return status
}

// put writes to standard output.
func (a *app) put(s string) error {
	a.bar.clear()
	_, err := io.WriteString(a.stdout, s)
	return err
}

// putFailed is the status after put failed: a reader that has closed the
// pipe has what it wanted.
func (a *app) putFailed(err error, status int) int {
	if isClosedPipe(err) {
		return status
	}
	a.message("standard output: %s", reason(err))
	return statusFile
}

// The errors by which Windows says that nobody reads a pipe any more.
const (
	windowsBrokenPipe = syscall.Errno(109)
	windowsNoData     = syscall.Errno(232)
)

func isClosedPipe(err error) bool {
	if errors.Is(err, syscall.EPIPE) || errors.Is(err, io.ErrClosedPipe) {
		return true
	}
	return runtime.GOOS == "windows" && (errors.Is(err, windowsBrokenPipe) || errors.Is(err, windowsNoData))
}

// reason is an error without the name of the file, which the message gives
// already.
func reason(err error) string {
	var pe *fs.PathError
	var le *os.LinkError
	switch {
	case errors.As(err, &pe):
		return pe.Err.Error()
	case errors.As(err, &le):
		return le.Err.Error()
	}
	return err.Error()
}

// shellWord quotes a word so that a shell takes it as one.
func shellWord(s string) string {
	plain := func(r rune) bool {
		return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-_./,:=+%@\\", r)
	}
	if s != "" && strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}
