package gapscan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/slice"
)

// hairline is the widest crack in mm whose closing cannot have changed what
// prints: a fortieth of a line.
const hairline = 0.01

// mostRepairLines is how many lines about repaired layers a person can be
// expected to read.
const mostRepairLines = 20

// repairWarnings tells, layer by layer, of contours that did not close by
// themselves, and whether an outcome may hang on that; runs of layers share a
// line. Then it tells of parts whose surface passes through itself.
func (sc *scanner) repairWarnings(m *mesh.Mesh) []string {
	var runs []repairTale
	for i := range sc.stack.Layers {
		l := &sc.stack.Layers[i]
		if len(l.Repairs) == 0 {
			continue
		}
		n := repairTale{first: l.Number, last: l.Number}
		for _, r := range l.Repairs {
			n.add(r, sc)
		}
		if k := len(runs) - 1; k >= 0 && runs[k].last == n.first-1 {
			runs[k].extend(n)
		} else {
			runs = append(runs, n)
		}
	}
	var out []string
	for i := range runs {
		if len(out) >= mostRepairLines {
			rest := runs[i]
			for _, n := range runs[i+1:] {
				rest.extend(n)
			}
			return append(append(out, rest.lines(m, "further layers, ")...), sc.foldWarnings(m)...)
		}
		out = append(out, runs[i].lines(m, "")...)
	}
	return append(out, sc.foldWarnings(m)...)
}

// repairTale is what is told of a run of layers.
type repairTale struct {
	first, last     int
	closed, dropped int
	widest          float64
	// nearPart is the first part found, plus one, that is not the repaired one
	// and is near enough for an outcome to hang on the repair; nearLayer where
	// that is.
	nearPart  int32
	nearLayer int
}

// add adds a repair of layer t.first.
func (t *repairTale) add(r slice.Repair, sc *scanner) {
	if r.Dropped {
		t.dropped++
		return
	}
	t.closed++
	t.widest = max(t.widest, r.Gap)
	if r.Gap < hairline || t.nearLayer > 0 {
		return
	}
	if p, ok := sc.nearRepair(t.first, r); ok {
		t.nearPart, t.nearLayer = p, t.first
	}
}

// extend adds what is told of layers further up.
func (t *repairTale) extend(n repairTale) {
	t.last = n.last
	t.closed, t.dropped = t.closed+n.closed, t.dropped+n.dropped
	t.widest = max(t.widest, n.widest)
	if t.nearLayer == 0 {
		t.nearPart, t.nearLayer = n.nearPart, n.nearLayer
	}
}

// nearRepair looks for another part so near to a closed gap that its margin
// might be below freeFrom if the wall did not run straight across: the wall
// is taken to lie anywhere within the gap's width of the gap.
func (sc *scanner) nearRepair(layer int, r slice.Repair) (int32, bool) {
	need := freeFrom * max(sc.side, sc.bottom, sc.roof)
	// Two beads of different layers are nearer by their half heights.
	limit := 2*r.Gap + need + 2*max(sc.half(1), sc.half(2))
	box := r2.Box{Min: r.At, Max: r.At}
	up := int(math.Ceil(limit / sc.stack.Plan.Rest))
	var buf []int32
	for n := max(layer-up, 1); n <= min(layer+up, sc.index.Len()); n++ {
		ix := sc.index.At(n)
		buf = ix.PartsNear(box, limit, buf)
		for _, p := range buf {
			if p == r.Part {
				continue
			}
			if _, ok := ix.ToPart(p, r.At, limit); ok {
				return p, true
			}
		}
	}
	return 0, false
}

func (t *repairTale) lines(m *mesh.Mesh, which string) []string {
	where := fmt.Sprintf("%slayer %d", which, t.first)
	if t.last > t.first {
		where = fmt.Sprintf("%slayers %d to %d", which, t.first, t.last)
	}
	var out []string
	if t.closed > 0 {
		out = append(out, fmt.Sprintf("%s: %s closed across %s", where, contours(t.closed), t.doubt(m)))
	}
	if t.dropped > 0 {
		out = append(out, fmt.Sprintf("%s: %s left out: open by more than %g mm, or a fold in the surface; gaps there are not measured", where, contours(t.dropped), slice.CloseWithin))
	}
	return out
}

func (t *repairTale) doubt(m *mesh.Mesh) string {
	if t.widest < hairline {
		return "hairline cracks of less than 0.01 mm; the answer does not hang on them"
	}
	gaps := fmt.Sprintf("gaps of up to %.2f mm; the walls there are a guess", t.widest)
	if t.nearLayer == 0 {
		return gaps + ", and no other part is near: no outcome hangs on them"
	}
	where := ""
	if t.last > t.first {
		where = fmt.Sprintf(", first in layer %d", t.nearLayer)
	}
	return fmt.Sprintf("%s, and part %d is near%s: the outcome may hang on them", gaps, m.Parts[t.nearPart].ID, where)
}

func contours(n int) string {
	if n == 1 {
		return "1 contour"
	}
	return fmt.Sprintf("%d contours", n)
}

// foldWarnings tells of each part whose surface passes through itself.
func (sc *scanner) foldWarnings(m *mesh.Mesh) []string {
	folded, dropped := make([]foldTale, len(m.Parts)), make([]foldTale, len(m.Parts))
	for i := range sc.stack.Layers {
		l := &sc.stack.Layers[i]
		for _, f := range l.Folds {
			if f.Dropped {
				dropped[f.Part].add(l.Number, f)
			} else {
				folded[f.Part].add(l.Number, f)
			}
		}
	}
	var out []string
	say := func(line, inShort string, tales []foldTale) {
		var lines []string
		for p, t := range tales {
			if t.layers > 0 {
				lines = append(lines, fmt.Sprintf(line, m.Parts[p].ID, t.where(), t.at.X, t.at.Y))
			}
		}
		if len(lines) > mostRepairLines {
			lines = []string{fmt.Sprintf(inShort, len(lines))}
		}
		out = append(out, lines...)
	}
	say("the surface of part %d passes through itself %s, first at x %.1f, y %.1f mm; what it goes round is taken as solid, what it goes round the wrong way as air",
		"the surfaces of %d parts pass through themselves; what they go round is taken as solid, what they go round the wrong way as air", folded)
	say("part %d is left out %s, first at x %.1f, y %.1f mm: its surfaces pass through each other in too many places; gaps there are not measured",
		"%d parts are left out of some layers: their surfaces pass through each other in too many places; gaps there are not measured", dropped)
	return out
}

// foldTale is what is told of a part in some layers.
type foldTale struct {
	first, last, layers int
	at                  r2.Vec
}

func (t *foldTale) add(layer int, f slice.Fold) {
	if t.layers == 0 {
		t.first, t.at = layer, f.At
	}
	t.last = layer
	t.layers++
}

func (t *foldTale) where() string {
	if t.layers == 1 {
		return fmt.Sprintf("in layer %d", t.first)
	}
	return fmt.Sprintf("in %d layers from %d to %d", t.layers, t.first, t.last)
}
