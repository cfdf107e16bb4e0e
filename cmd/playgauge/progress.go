package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
)

// progressWidth is how long the bar is, characters.
const progressWidth = 20

// progress shows how many of several models are done; nothing until show is
// called. It may be called at once from anywhere. Errors of drawing are
// dropped: a bar that cannot be drawn is not missed.
type progress struct {
	before   func() // called before the bar is drawn for the first time, unless nil
	mu       sync.Mutex
	w        io.Writer // nil where nobody watches
	done, of int
	columns  int // of the screen
	shown    int // the characters of the line as it stands on the screen
}

// show draws the bar, if there are several models and a person to watch.
func (p *progress) show(stderr io.Writer, models int) {
	if models < 2 || !isTerminal(stderr) {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.before != nil {
		p.before()
	}
	p.w, p.done, p.of = stderr, 0, models
	p.columns = textWidth(stderr, func(string) string { return "" }) // it must not wrap, whatever is wished for
	p.draw(p.line())
}

// step counts one model as done. After the last the bar is gone.
func (p *progress) step() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w == nil {
		return
	}
	p.done++
	if p.done < p.of {
		p.draw(p.line())
	} else {
		p.draw("")
	}
}

// clear takes the bar off the screen, so that a line can be written there.
func (p *progress) clear() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.draw("")
}

func (p *progress) line() string {
	full := progressWidth * p.done / p.of
	count := fmt.Sprintf("%d/%d", p.done, p.of)
	line := "models [" + strings.Repeat("#", full) + strings.Repeat(" ", progressWidth-full) + "] " + count
	if len(line) >= p.columns { // a line that wraps cannot be erased
		return count
	}
	return line
}

// draw writes a line over the one that stands there, in one go, so that it does
// not flicker. Blanks erase: every terminal knows them.
func (p *progress) draw(line string) {
	over := ""
	if p.shown > 0 {
		over = "\r" + strings.Repeat(" ", p.shown) + "\r"
	}
	if over+line != "" {
		_, _ = io.WriteString(p.w, over+line)
	}
	p.shown = len(line)
}
