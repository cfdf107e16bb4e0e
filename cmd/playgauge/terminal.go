package main

import (
	"io"
	"os"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// How wide text is set where nothing says so, and the width beyond which
// a line is hard to read; characters.
const (
	plainWidth = 80
	widestText = 100
)

// isTerminal says whether a stream is one a person looks at.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// useColor decides on colour: FORCE_COLOR, else NO_COLOR or TERM=dumb, else
// whether the output is a terminal. FORCE_COLOR=0 is no.
func useColor(out io.Writer, getenv func(string) string) bool {
	if force := getenv("FORCE_COLOR"); force != "" {
		return force != "0"
	}
	if getenv("NO_COLOR") != "" || getenv("TERM") == "dumb" {
		return false
	}
	return isTerminal(out)
}

// textWidth is where lines break: at COLUMNS, the wish of whoever sets it,
// whether or not the output is a terminal; else at the terminal's width.
func textWidth(out io.Writer, getenv func(string) string) int {
	if w, err := strconv.Atoi(getenv("COLUMNS")); err == nil && w > 0 {
		return min(w, widestText)
	}
	if f, ok := out.(*os.File); ok && isTerminal(out) {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
			return min(w, widestText)
		}
	}
	return plainWidth
}

// wrap breaks a text between words so that its lines are no longer than
// width where a word is not; it ends with a line break.
func wrap(text string, width int) string {
	var b strings.Builder
	column := 0
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case column == 0:
		case column+1+n > width:
			b.WriteByte('\n')
			column = 0
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += n
	}
	b.WriteByte('\n')
	return b.String()
}
