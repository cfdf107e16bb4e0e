package mesh

import (
	"fmt"
	"strconv"
	"strings"
)

// notes counts what was found wrong before there were parts.
type notes struct {
	degenerate, dust, copies, reversed, cut int
	mended, slivers, extra                  int
	coarse                                  string
}

// told is how many surfaces a warning describes or lists one by one.
const told = 5

// mostLines is how many lines of one kind a person can be expected to read.
const mostLines = 20

// warnings says in plain words what is wrong with the mesh, or was changed.
func (m *Mesh) warnings(n *notes) []string {
	var w []string
	say := func(format string, args ...any) { w = append(w, fmt.Sprintf(format, args...)) }
	if n.coarse != "" {
		say("%s", n.coarse)
	}
	if n.degenerate > 0 {
		say("%s with two equal corners left out", count(n.degenerate, "triangle"))
	}
	if n.dust > 0 {
		say("%s without area left out", count(n.dust, "surface"))
	}
	if n.copies > 0 {
		say("%s drawn twice", count(n.copies, "triangle"))
	}
	if m.NonManifoldEdges > 0 {
		say("%s of more than two triangles; paired across the material", count(m.NonManifoldEdges, "edge"))
	}
	if n.reversed > 0 {
		say("%s ran against the surface around; turned", count(n.reversed, "triangle"))
	}
	if n.cut > 0 {
		say("a surface has only one side; cut open along %s", count(n.cut, "edge"))
	}
	if m.OpenEdges > 0 {
		say("the mesh is not closed: %s open%s", countIs(m.OpenEdges, "edge"), m.whatCloses())
	}
	if n.mended > 0 {
		say("%s at open edges lay within %g mm of another and were joined to it", count(n.mended, "corner"), MendWithin)
	}
	if n.slivers > 0 {
		say("%s without height at edges that are closed without them left out", count(n.slivers, "triangle"))
	}
	if n.extra > 0 {
		say("%s drawn over others left out", count(n.extra, "triangle"))
	}
	m.sayTurned(say)
	m.sayJoined(say)
	return w
}

// whatCloses says how many of the open edges are closed by repairs.
func (m *Mesh) whatCloses() string {
	switch n := m.OpenEdges - m.LeftOpen; {
	case n == 0:
		return ""
	case m.LeftOpen == 0:
		return "; closed as follows"
	default:
		return fmt.Sprintf("; %d of them closed as follows", n)
	}
}

// sayTurned tells of shells that were inside out.
func (m *Mesh) sayTurned(say func(string, ...any)) {
	var turned []int32
	for i := range m.Shells {
		if m.Shells[i].Turned {
			turned = append(turned, int32(i))
		}
	}
	switch {
	case len(turned) == len(m.Shells):
		say("the whole file was inside out; turned")
	case len(turned) <= told:
		for _, sh := range turned {
			say("%s was inside out; turned", m.describe(sh))
		}
	default:
		say("%d closed surfaces were inside out; turned: %s", len(turned), list(turned))
	}
}

// sayJoined tells of each part what it is made of, and of parts that are no
// solids; of very many, only how many there are.
func (m *Mesh) sayJoined(say func(string, ...any)) {
	var united, inner, flat []string
	within, sheets := 0, 0
	for i := range m.Parts {
		p := &m.Parts[i]
		var in, outer []int32
		for _, sh := range p.Shells {
			switch s := &m.Shells[sh]; {
			case s.Inner:
				in = append(in, sh)
			case !s.Cavity:
				outer = append(outer, sh)
			}
		}
		within += len(in)
		if len(outer) > 1 {
			united = append(united, fmt.Sprintf("part %d: %d overlapping closed surfaces, taken as one (%s)", p.ID, len(outer), list(outer)))
		}
		if len(in) > told {
			inner = append(inner, fmt.Sprintf("%d surfaces lie within the solid of part %d and add nothing: %s", len(in), p.ID, list(in)))
		} else {
			for _, sh := range in {
				inner = append(inner, fmt.Sprintf("%s lies within the solid of part %d and adds nothing", m.describe(sh), p.ID))
			}
		}
		if len(outer) == 1 && m.Shells[outer[0]].Flat {
			sheets++
			flat = append(flat, fmt.Sprintf("part %d bounds no volume and will not print: %s", p.ID, m.describe(outer[0])))
		}
	}
	sayAll(say, united, "%d parts: overlapping closed surfaces, taken as one each", len(united))
	sayAll(say, inner, "%d surfaces lie within the solid of their part and add nothing", within)
	sayAll(say, flat, "%d parts bound no volume and will not print", sheets)
}

// sayAll says every line, or what they come to if they are too many.
func sayAll(say func(string, ...any), lines []string, inShort string, n int) {
	if len(lines) > mostLines {
		say(inShort, n)
		return
	}
	for _, l := range lines {
		say("%s", l)
	}
}

// describe names a shell so that a person finds it: by its number in the
// file, its size and the middle of its box.
func (m *Mesh) describe(sh int32) string {
	s := &m.Shells[sh]
	c := middle(s.Box)
	kind := "closed surface"
	if s.Open {
		kind = "open surface"
	}
	return fmt.Sprintf("%s %d (%s, near %.1f %.1f %.1f)", kind, sh+1, count(len(s.Facets), "facet"), c.X, c.Y, c.Z)
}

// list names shells by their numbers, the first few of many.
func list(shells []int32) string {
	var b strings.Builder
	for i, sh := range shells {
		if i == told {
			fmt.Fprintf(&b, " and %d more", len(shells)-told)
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(strconv.Itoa(int(sh) + 1))
	}
	return b.String()
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func countIs(n int, noun string) string {
	if n == 1 {
		return count(n, noun) + " is"
	}
	return count(n, noun) + " are"
}
