package machine

import (
	"bytes"
	"regexp"
	"strings"
	"sync"
)

// decimalComma matches a line that gives a key a number written with a comma.
var decimalComma = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\s*([A-Za-z0-9_.-]+)\s*=\s*([+-]?\d+,\d+)\s*(?:#.*)?\s*$`)
})

// explainComma says what to write where the line at fault holds a number with
// a decimal comma, which TOML does not know; otherwise it leaves fe as it is.
func (fe *FileError) explainComma(data []byte) {
	lines := bytes.SplitAfter(data, []byte("\n"))
	if fe.Line < 1 || fe.Line > len(lines) {
		return
	}
	found := decimalComma().FindStringSubmatch(string(lines[fe.Line-1]))
	if found == nil {
		return
	}
	fe.Key, fe.Value = found[1], shorten(found[2])
	// What stands before the fault can be read: its last heading holds the key.
	before, _ := entries(bytes.Join(lines[:fe.Line-1], nil))
	for _, e := range before {
		if e.form != aValue && e.value == "" {
			fe.Key = e.dotted() + "." + found[1]
		}
	}
	fe.Key = shorten(fe.Key)
	fe.Problem = "write " + strings.Replace(fe.Value, ",", ".", 1) + " with a point"
}
