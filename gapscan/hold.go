package gapscan

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/overhang"
	"playgauge/gapscan/smallpart"
	"playgauge/mesh"
	"playgauge/mesh/parallel"
)

// overhangs tells what hangs, a region each.
func (sc *scanner) overhangs(m *mesh.Mesh) []Overhang {
	out := make([]Overhang, 0, len(sc.over.Regions))
	for _, r := range sc.over.Regions {
		o := Overhang{
			Layers: [2]int{r.First, r.Last}, Kind: string(r.Kind), AreaMM2: round6(r.Area),
			Part: m.Parts[r.Part].ID, DropMM: num(r.Drop), AtMM: ptr(place(r.At)),
		}
		if r.Kind != overhang.MidAir {
			o.SpanMM = num(r.Span)
		}
		if r.OverPart != nil {
			o.OverPart = ptr(m.Parts[*r.OverPart].ID)
		}
		if r.LiesOn != nil {
			o.LiesOnPart = ptr(m.Parts[*r.LiesOn].ID)
		}
		out = append(out, o)
	}
	return out
}

// findSlots looks for gaps inside single parts. They change no outcome. It
// warns of layers in which not all could be looked for.
func (sc *scanner) findSlots(m *mesh.Mesh) (slots []Slot, warnings []string) {
	found, crowded := sc.slots.Find()
	out := make([]Slot, 0, len(found))
	for _, s := range found {
		margin := s.Width / s.Need
		o := Welds // a slot is filled or it is not
		if margin >= closeFrom*metShare {
			o = Close
		}
		out = append(out, Slot{
			Part: m.Parts[s.Part].ID, Layer: s.Layer, WidthMM: round6(s.Width), NeedMM: s.Need,
			Margin: round6(margin), Outcome: o, AtMM: ptr(place(s.At)),
		})
	}
	if n := len(crowded); n > 0 {
		where := fmt.Sprintf("in layer %d", crowded[0])
		if n > 1 {
			where = fmt.Sprintf("in %d layers from %d to %d", n, crowded[0], crowded[n-1])
		}
		warnings = []string{"slots were not looked for everywhere " + where + ": too many walls of one part stand too near to each other"}
	}
	return out, warnings
}

// bedHold is the least contact with the bed in mm2 for each mm of a part's
// height before it is likely to be knocked off. Common practice, no source.
const bedHold = 1.0

// cautions gathers what changes no outcome but should be known. It fills in
// which parts are small.
func (sc *scanner) cautions(m *mesh.Mesh, r *Result) []Caution {
	out := []Caution{}
	out = append(out, hangCautions(r)...)
	for i := range r.Parts {
		p := &r.Parts[i]
		if area := *p.BedContactMM2; area > 0 && area < bedHold*p.SizeMM[2] {
			out = append(out, Caution{
				Kind: "bed", Part: ptr(p.ID), Layer: ptr(1),
				Text: fmt.Sprintf("part %d holds on to the bed by %.1f mm2 only and is %.1f mm tall; common practice asks for a square millimetre for each millimetre of height", p.ID, area, p.SizeMM[2]),
			})
		}
	}
	if c := sc.lostWalls(); c != nil {
		out = append(out, *c)
	}
	small := 0
	for i, v := range smallParts(m) {
		r.Parts[i].SmallPart = ptr(string(v))
		if v != smallpart.TooLarge {
			small++
		}
	}
	if text := smallpart.Caution(small); text != "" {
		out = append(out, Caution{Kind: "small part", Text: text})
	}
	return out
}

// lostWalls is the one caution about islands that an inset leaves nothing of.
func (sc *scanner) lostWalls() *Caution {
	lost, layers, first := 0, 0, 0
	for i := range sc.stack.Layers {
		if n := sc.stack.Layers[i].Lost; n > 0 {
			lost += n
			if layers++; first == 0 {
				first = i + 1
			}
		}
	}
	if lost == 0 {
		return nil
	}
	text := fmt.Sprintf("walls thinner than twice the inset are gone: %d places in %d layers, first in layer %d", lost, layers, first)
	if lost == 1 {
		text = fmt.Sprintf("a wall thinner than twice the inset is gone, in layer %d", first)
	} else if layers == 1 {
		text = fmt.Sprintf("walls thinner than twice the inset are gone: %d places in layer %d", lost, first)
	}
	return &Caution{Kind: "thin wall", Layer: ptr(first), Text: text}
}

// smallParts holds each part against the small-parts gauge. Copies of one
// part are judged once.
func smallParts(m *mesh.Mesh) []smallpart.Verdict {
	keys := make([]string, len(m.Parts))
	parallel.EachWorker(len(m.Parts), func() func(int) {
		c := corners{m: m, seen: make([]int32, len(m.V))}
		return func(i int) { keys[i] = shapeKey(m, i, len(c.of(i))) }
	})
	same := map[string]int{}
	first := make([]int, len(m.Parts))
	var todo []int
	for i, k := range keys {
		j, ok := same[k]
		if !ok {
			j = i
			same[k] = i
			todo = append(todo, i)
		}
		first[i] = j
	}
	out := make([]smallpart.Verdict, len(m.Parts))
	parallel.EachWorker(len(todo), func() func(int) {
		c := corners{m: m, seen: make([]int32, len(m.V))}
		return func(k int) { out[todo[k]] = smallpart.Judge(c.points(todo[k])) }
	})
	for i, j := range first {
		out[i] = out[j]
	}
	return out
}

// shapeKey is equal for parts that are copies moved along: the same facets,
// points, volume and size, to what float32 coordinates tell.
func shapeKey(m *mesh.Mesh, part, points int) string {
	p := m.Parts[part]
	s := r3.Sub(p.Box.Max, p.Box.Min)
	return fmt.Sprintf("%d %d %.5g %.4f %.4f %.4f", p.Facets, points, p.Volume, s.X, s.Y, s.Z)
}

// corners finds the vertices of parts, one after the other.
type corners struct {
	m *mesh.Mesh
	// seen holds of each vertex 1 and the last part it was found in.
	seen []int32
	ids  []int32
}

// of lists the vertices of a part, good until it is asked again.
func (c *corners) of(part int) []int32 {
	c.ids = c.ids[:0]
	for _, s := range c.m.Parts[part].Shells {
		for _, t := range c.m.Shells[s].Facets {
			for _, v := range c.m.T[t] {
				if c.seen[v] != int32(part)+1 {
					c.seen[v] = int32(part) + 1
					c.ids = append(c.ids, v)
				}
			}
		}
	}
	return c.ids
}

// points are the places of the vertices of a part, in the mesh's order.
func (c *corners) points(part int) []r3.Vec {
	ids := c.of(part)
	slices.Sort(ids)
	out := make([]r3.Vec, len(ids))
	for i, v := range ids {
		out[i] = c.m.V[v]
	}
	return out
}

// tenth rounds a place for people, and never to -0.
func tenth(mm float64) float64 { return math.Round(10*mm)/10 + 0 }
