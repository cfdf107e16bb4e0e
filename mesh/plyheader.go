package mesh

import (
	"encoding/binary"
	"math"
	"strconv"
)

// maxPLYHeader bounds a header in bytes: a few dozen lines are usual.
const maxPLYHeader = 1 << 16

// plyHeader is what stands before the data (Turk, The PLY Polygon File
// Format, 1994; from memory).
type plyHeader struct {
	// order is the byte order; nil where the data are text.
	order    binary.ByteOrder
	elements []plyElement
	// bytes is the length of the header.
	bytes int64
}

type plyElement struct {
	name       string
	count      int64
	line       int
	properties []plyProperty
	// corners is the list of a face's vertices.
	corners *plyProperty
}

type plyProperty struct {
	name    string
	of      plyType
	list    bool
	counted plyType // the type of a list's length
	axis    int     // 0 to 2 for x, y, z of a vertex, otherwise -1
}

// plyType is an index into plyTypes.
type plyType int

var plyTypes = []struct {
	names  [2]string
	bytes  int
	decode func(binary.ByteOrder, []byte) float64
}{
	{[2]string{"char", "int8"}, 1, func(_ binary.ByteOrder, b []byte) float64 { return float64(int8(b[0])) }},
	{[2]string{"uchar", "uint8"}, 1, func(_ binary.ByteOrder, b []byte) float64 { return float64(b[0]) }},
	{[2]string{"short", "int16"}, 2, func(o binary.ByteOrder, b []byte) float64 { return float64(int16(o.Uint16(b))) }},
	{[2]string{"ushort", "uint16"}, 2, func(o binary.ByteOrder, b []byte) float64 { return float64(o.Uint16(b)) }},
	{[2]string{"int", "int32"}, 4, func(o binary.ByteOrder, b []byte) float64 { return float64(int32(o.Uint32(b))) }},
	{[2]string{"uint", "uint32"}, 4, func(o binary.ByteOrder, b []byte) float64 { return float64(o.Uint32(b)) }},
	{[2]string{"float", "float32"}, 4, func(o binary.ByteOrder, b []byte) float64 { return float64(math.Float32frombits(o.Uint32(b))) }},
	{[2]string{"double", "float64"}, 8, func(o binary.ByteOrder, b []byte) float64 { return math.Float64frombits(o.Uint64(b)) }},
}

func plyTypeOf(name string) (plyType, bool) {
	for t, d := range plyTypes {
		if name == d.names[0] || name == d.names[1] {
			return plyType(t), true
		}
	}
	return 0, false
}

// leastBytes is the least a value takes: in a text a digit and a separator.
func (t plyType) leastBytes(binary bool) int64 {
	if binary {
		return int64(plyTypes[t].bytes)
	}
	return 2
}

// leastBytes is the least one element takes, all its lists being empty.
func (e *plyElement) leastBytes(binary bool) int64 {
	n := int64(0)
	for i := range e.properties {
		if q := &e.properties[i]; q.list {
			n += q.counted.leastBytes(binary)
		} else {
			n += q.of.leastBytes(binary)
		}
	}
	return n
}

// readPLYHeader reads up to the line after end_header.
func readPLYHeader(w *wordReader) (plyHeader, error) {
	var h plyHeader
	lines := plyLines{b: w}
	if first, err := lines.next(); err != nil || len(first) != 1 || first[0] != "ply" {
		return h, syntaxErrorf(1, "a PLY file begins with \"ply\" alone; export the model again")
	}
	formats := map[string]binary.ByteOrder{"ascii": nil, "binary_little_endian": binary.LittleEndian, "binary_big_endian": binary.BigEndian}
	known := false
	for {
		words, err := lines.next()
		if err != nil {
			return h, err
		}
		bad := func() error {
			return syntaxErrorf(lines.line, "%q is no line of a PLY header; export the model again", shortened([]byte(lines.text)))
		}
		if len(words) == 0 {
			continue
		}
		switch words[0] {
		case "comment", "obj_info":
		case "format":
			order, ok := formats[at(words, 1)]
			if !ok || known || at(words, 2) != "1.0" {
				return h, bad()
			}
			h.order, known = order, true
		case "element":
			n, err := strconv.ParseInt(at(words, 2), 10, 64)
			if err != nil || n < 0 || len(words) != 3 {
				return h, bad()
			}
			h.elements = append(h.elements, plyElement{name: words[1], count: n, line: lines.line})
		case "property":
			if len(h.elements) == 0 || !h.elements[len(h.elements)-1].add(words) {
				return h, bad()
			}
		case "end_header":
			if !known {
				return h, syntaxErrorf(lines.line, "the header does not say the format; export the model again")
			}
			h.bytes = lines.bytes
			w.line = lines.line + 1
			return h, h.check()
		default:
			return h, bad()
		}
	}
}

// add reads "property TYPE NAME" or "property list TYPE TYPE NAME".
func (e *plyElement) add(words []string) bool {
	q := plyProperty{axis: -1}
	ok := len(words) == 3
	if q.list = at(words, 1) == "list"; q.list {
		if len(words) != 5 {
			return false
		}
		if q.counted, ok = plyTypeOf(words[2]); !ok {
			return false
		}
		words = words[2:]
	}
	if !ok {
		return false
	}
	q.name = words[2]
	if q.of, ok = plyTypeOf(words[1]); !ok {
		return false
	}
	if e.name == "vertex" && !q.list {
		for axis, name := range []string{"x", "y", "z"} {
			if q.name == name {
				q.axis = axis
			}
		}
	}
	e.properties = append(e.properties, q)
	return true
}

// check finds what must be there.
func (h *plyHeader) check() error {
	seen := map[string]bool{}
	for i := range h.elements {
		e := &h.elements[i]
		if seen[e.name] {
			return syntaxErrorf(e.line, "element %q is there twice; export the model again", shortened([]byte(e.name)))
		}
		seen[e.name] = true
		axes := map[int]int{}
		for k := range e.properties {
			q := &e.properties[k]
			axes[q.axis]++
			if q.list && e.name == "face" && (q.name == "vertex_indices" || q.name == "vertex_index") && e.corners == nil {
				e.corners = q
			}
		}
		switch {
		case e.name == "vertex" && (axes[0] != 1 || axes[1] != 1 || axes[2] != 1):
			return syntaxErrorf(e.line, "the vertices have no x, y and z, each once; export the model again")
		case e.name == "face" && e.corners == nil && e.count > 0:
			return syntaxErrorf(e.line, "the faces have no vertex_indices; export the model again")
		}
	}
	if seen["tristrips"] && !seen["face"] {
		return formatErrorf(KindUnsupported, "its triangles are stored as strips, which are not read; export the model with faces")
	}
	return nil
}

func at(words []string, i int) string {
	if i < len(words) {
		return words[i]
	}
	return ""
}
