package report

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"playgauge/gapscan"
)

// Widths of the text, in characters.
const (
	defaultWidth = 80
	leastWidth   = 40 // narrower, the label column would leave no room
	labelWidth   = 10
)

// page collects wrapped lines.
type page struct {
	width int
	color bool
	b     strings.Builder
	// entries are the entries added, unwrapped.
	entries []entry
}

// entry is a label with its lines.
type entry struct {
	label string
	lines []string
}

func newPage(s Style) *page {
	p := &page{width: s.Width, color: s.Color}
	if p.width <= 0 {
		p.width = defaultWidth
	}
	p.width = max(p.width, leastWidth)
	return p
}

// sentence adds lines from the left edge on, what is wrapped set in by two.
func (p *page) sentence(text string) { p.wrap("", "  ", text) }

// entry adds a label with its lines beside it.
func (p *page) entry(label string, lines ...string) {
	p.entries = append(p.entries, entry{label, lines})
	for i, line := range lines {
		if i > 0 {
			label = ""
		}
		p.wrap(column(label, labelWidth), column("", labelWidth+2), line)
	}
}

// column fills s up with spaces to so many characters.
func column(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-shown(s)))
}

// blank adds an empty line, but never two.
func (p *page) blank() {
	if !strings.HasSuffix(p.b.String(), "\n\n") {
		p.b.WriteByte('\n')
	}
}

// wrap breaks text at spaces so that no line exceeds the width; first begins
// the first line and rest every other. A word that is wider than that keeps a
// line of its own, so that it can be copied.
func (p *page) wrap(first, rest, text string) {
	line, used, fresh := first, shown(first), true
	for word := range strings.FieldsSeq(strings.ReplaceAll(text, nbsp, string(glue))) {
		n := shown(word)
		if !fresh && used+1+n > p.width {
			p.flush(line)
			line, used, fresh = rest, shown(rest), true
		}
		if !fresh {
			line, used = line+" ", used+1
		}
		line, used, fresh = line+word, used+n, false
	}
	p.flush(line)
}

// The tints stand in the text as these control characters, which no text
// from outside can hold (see plain), and take no room.
const (
	tintFree   = '\x01'
	tintClose  = '\x02'
	tintSticks = '\x03'
	tintWelds  = '\x04'
	tintEnd    = '\x05'
	glue       = '\x06' // a space that does not break
	tintBold   = '\x07'
)

// ansi is what a terminal is sent for a tint: bold, and a colour beside it.
var ansi = map[rune]string{
	tintFree:   "\x1b[1;36m",
	tintClose:  "\x1b[1;33m",
	tintSticks: "\x1b[1;35m",
	tintWelds:  "\x1b[1;31m",
	tintBold:   "\x1b[1m",
	tintEnd:    "\x1b[0m",
}

func (p *page) flush(line string) {
	for _, c := range strings.TrimRight(line, " ") {
		switch {
		case c == glue:
			p.b.WriteByte(' ')
		case c >= ' ':
			p.b.WriteRune(c)
		case p.color:
			p.b.WriteString(ansi[c])
		}
	}
	p.b.WriteByte('\n')
}

// shown is how many characters of s a reader sees.
func shown(s string) int {
	n := utf8.RuneCountInString(s)
	for _, c := range s {
		if c < ' ' && c != glue {
			n--
		}
	}
	return n
}

// tint marks an outcome's own word for colour.
func tint(o gapscan.Outcome) string {
	word := strings.ReplaceAll(plain(string(o)), " ", nbsp)
	switch o {
	case gapscan.Free:
		return string(tintFree) + word + string(tintEnd)
	case gapscan.Close:
		return string(tintClose) + word + string(tintEnd)
	case gapscan.Sticks:
		return string(tintSticks) + word + string(tintEnd)
	case gapscan.Welds:
		return string(tintWelds) + word + string(tintEnd)
	}
	return string(tintBold) + word + string(tintEnd)
}

// plain shows text from outside so that it cannot steer a terminal: control
// and formatting characters, and bytes that are no UTF-8, as their escapes.
func plain(s string) string {
	var b strings.Builder
	for i, c := range s {
		switch {
		case c == utf8.RuneError && !strings.HasPrefix(s[i:], "\ufffd"):
			b.WriteString(`\x` + strconv.FormatUint(uint64(s[i])|0x100, 16)[1:])
		case strconv.IsPrint(c):
			b.WriteRune(c)
		default:
			q := strconv.QuoteRuneToASCII(c)
			b.WriteString(q[1 : len(q)-1])
		}
	}
	return b.String()
}
