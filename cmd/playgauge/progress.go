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
	mu       sync.Mutex
	w        io.Writer // nil where nobody watches
	done, of int
	shown    int // the characters of the line as it stands on the screen
}

// show draws the bar, if there are several models and a person to watch.
func (p *progress) show(stderr io.Writer, models int) {
	if models < 2 || !isTerminal(stderr) {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.w, p.done, p.of = stderr, 0, models
	p.draw()
}

// step counts one model as done. After the last the bar is gone.
func (p *progress) step() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w == nil {
		return
	}
	p.done++
	p.erase()
	if p.done < p.of {
		p.draw()
	}
}

// clear takes the bar off the screen, so that a line can be written there.
func (p *progress) clear() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.erase()
}

func (p *progress) draw() {
	full := progressWidth * p.done / p.of
	line := fmt.Sprintf("models [%s%s] %d/%d", strings.Repeat("#", full), strings.Repeat(" ", progressWidth-full), p.done, p.of)
	_, _ = io.WriteString(p.w, line)
	p.shown = len(line)
}

// erase writes blanks, which every terminal knows.
func (p *progress) erase() {
	if p.shown > 0 {
		_, _ = io.WriteString(p.w, "\r"+strings.Repeat(" ", p.shown)+"\r")
		p.shown = 0
	}
}
