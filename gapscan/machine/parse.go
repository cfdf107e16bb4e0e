package machine

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// MaxFileBytes bounds a machine file. One written by hand has a few hundred
// bytes.
const MaxFileBytes = 1 << 20

// Parse reads a machine file and reckons what its trials say. What the file
// does not say is as on the built-in machine, but for the line width, which is
// the nozzle's, and the name, which is the file's without folder and ending.
// An error is a *FileError about the first fault in the file.
func Parse(name string, data []byte) (Machine, error) {
	m, err := read(name, data)
	if err == nil {
		m.Learned = Learn(m.Trials)
	}
	return m, err
}

// read is Parse without what the trials say.
func read(name string, data []byte) (Machine, error) {
	m := BuiltIn()
	m.Name = strings.TrimSuffix(filepath.Base(name), FileSuffix)
	m.File = name
	m.LineMM = 0
	if len(data) > MaxFileBytes {
		return Machine{}, &FileError{File: name, Problem: fmt.Sprintf("is larger than %d bytes and no machine file", MaxFileBytes)}
	}
	// Some editors put a byte order mark before the text.
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	var doc map[string]any
	if err := toml.Unmarshal(data, &doc); err != nil {
		return Machine{}, syntaxError(name, data, err)
	}
	list, err := entries(data)
	if err != nil {
		return Machine{}, syntaxError(name, data, err)
	}
	r := reader{m: &m, doc: doc}
	for _, e := range list {
		fe := r.take(e)
		if fe == nil {
			continue
		}
		fe.File = name
		return Machine{}, fe
	}
	if fe := r.endTrial(); fe != nil {
		fe.File = name
		return Machine{}, fe
	}
	if m.LineMM == 0 {
		m.LineMM = m.NozzleMM
	}
	return m, nil
}

// reader goes through the entries of a file.
type reader struct {
	m   *Machine
	doc map[string]any
	// open holds the entries of the trial that is being read, its heading
	// first; nil between trials.
	open  []entry
	trial Trial
}

// take puts one entry of the file into the machine.
func (r *reader) take(e entry) *FileError {
	key := e.dotted()
	if e.path[0] == trialTable {
		return r.takeTrial(e)
	}
	if fe := r.endTrial(); fe != nil {
		return fe
	}
	fe := e.fault("")
	if key == testedTable {
		if e.form == oneTable {
			return nil
		}
		fe.Problem = "must be one table, headed [" + testedTable + "]"
		return fe
	}
	spec := specOf(key)
	if spec == nil {
		problem, plain := unknownProblem(e, key)
		fe.Problem = problem
		if !plain {
			fe.Known = keyNames()
		}
		return fe
	}
	// A key that is used as a table's name falls through to set, which
	// finds no value of its kind there.
	if allowed := spec.set(r.m, valueAt(r.doc, e.path)); allowed != "" {
		fe.Problem = allowed
		return fe
	}
	return nil
}

// fault says what is wrong with an entry.
func (e entry) fault(problem string) *FileError {
	return &FileError{Line: e.line, Key: e.name(), Value: shorten(e.value), Problem: problem}
}

// unknownProblem says what is wrong with a key that is none, and whether
// that makes plain what was meant.
func unknownProblem(e entry, key string) (problem string, plain bool) {
	if trialSpecOf(key) != nil && specOf(testedTable+"."+key) == nil {
		return "belongs in a table headed [[" + trialTable + "]]", true
	}
	if under := testedTable + "." + key; specOf(under) != nil {
		return "belongs under [" + testedTable + "]", true
	}
	if above, ok := strings.CutPrefix(key, testedTable+"."); ok && specOf(above) != nil {
		return "belongs above [" + testedTable + "]", true
	}
	if e.form == aValue {
		return "is not a key of a machine file", false
	}
	return "is not a table of a machine file", false
}

// valueAt follows a path of keys into a decoded document, nil where it ends
// early.
func valueAt(doc map[string]any, path []string) any {
	var v any = doc
	for _, k := range path {
		table, ok := v.(map[string]any)
		if !ok {
			return nil
		}
		v = table[k]
	}
	return v
}

// syntaxError turns an error of the TOML library into ours.
func syntaxError(name string, data []byte, err error) *FileError {
	fe := &FileError{File: name, Problem: "is no TOML: " + strings.TrimPrefix(err.Error(), "toml: ")}
	var de *toml.DecodeError
	if errors.As(err, &de) {
		fe.Line, _ = de.Position()
	}
	fe.explainComma(data)
	return fe
}

// form tells a key with a value from a table's heading.
type form int

const (
	aValue     form = iota
	oneTable        // [key], or key = {...}
	tableArray      // [[key]]
)

// entry is one place in a file that names a key.
type entry struct {
	path  []string
	form  form
	line  int
	value string // as written; empty for a heading
}

// dotted joins the keys of the path by dots, in quotes where a key could not
// stand without, so that the one key "tested.side_mm" is not side_mm under
// tested.
func (e entry) dotted() string {
	keys := make([]string, len(e.path))
	for i, k := range e.path {
		keys[i] = k
		if k == "" || strings.ContainsFunc(k, func(r rune) bool {
			return r != '_' && r != '-' && (r < '0' || r > '9') && (r < 'A' || r > 'Z') && (r < 'a' || r > 'z')
		}) {
			keys[i] = strconv.Quote(k)
		}
	}
	return strings.Join(keys, ".")
}

// name is the key as a message shows it.
func (e entry) name() string {
	n := e.dotted()
	switch {
	case e.value != "" || e.form == aValue:
		return shorten(n)
	case e.form == tableArray:
		return "[[" + shorten(n) + "]]"
	}
	return "[" + shorten(n) + "]"
}

// entries lists all keys and headings in the order of the file. The library
// decodes without saying where a good value stood, so its parser is asked.
func entries(data []byte) ([]entry, error) {
	var (
		p     unstable.Parser
		list  []entry
		table []string
	)
	p.Reset(data)
	for p.NextExpression() {
		switch n := p.Expression(); n.Kind {
		case unstable.Table, unstable.ArrayTable:
			e := entry{form: oneTable}
			if n.Kind == unstable.ArrayTable {
				e.form = tableArray
			}
			e.path, e.line, _ = keyOf(&p, n, nil)
			table = e.path
			list = append(list, e)
		case unstable.KeyValue:
			list = appendKeyValue(list, &p, n, table)
		}
	}
	return list, p.Error()
}

// appendKeyValue appends a key with its value and, where that is an inline
// table, the keys in it.
func appendKeyValue(list []entry, p *unstable.Parser, n *unstable.Node, table []string) []entry {
	e := entry{}
	var keyEnd uint32
	e.path, e.line, keyEnd = keyOf(p, n, table)
	after := p.Raw(unstable.Range{Offset: keyEnd, Length: n.Raw.Offset + n.Raw.Length - keyEnd})
	e.value = strings.TrimLeft(string(after), " \t=")
	if n.Value().Kind != unstable.InlineTable {
		return append(list, e)
	}
	e.form = oneTable
	list = append(list, e)
	for it := n.Value().Children(); it.Next(); {
		if c := it.Node(); c.Kind == unstable.KeyValue {
			list = appendKeyValue(list, p, c, e.path)
		}
	}
	return list
}

// keyOf is a node's key below a table, the line it stands in, and where in
// the file it ends.
func keyOf(p *unstable.Parser, n *unstable.Node, table []string) (path []string, line int, end uint32) {
	path = append(path, table...)
	for it := n.Key(); it.Next(); {
		k := it.Node()
		if line == 0 {
			line = p.Shape(k.Raw).Start.Line
		}
		path = append(path, string(k.Data))
		end = k.Raw.Offset + k.Raw.Length
	}
	return path, line, end
}

// maxShown is how many characters of a key or value a message shows.
const maxShown = 40

// shorten puts a piece of a file on one short line.
func shorten(s string) string {
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r < ' ' || r == ' ' || r == 0x7f }), " ")
	if utf8.RuneCountInString(s) > maxShown {
		s = string([]rune(s)[:maxShown]) + "..."
	}
	return s
}
