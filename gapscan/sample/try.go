package sample

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/mesh"
	"playgauge/mesh/clip"
	"playgauge/slice"
)

// fault is why a box will not do yet.
type fault struct {
	kind Kind
	msg  string
	// layer is the model's layer whose place is missing, or 0.
	layer int
	// bed says that cutting off less below may help.
	bed bool
	// hopeless says that no larger box will help.
	hopeless bool
}

func (f *fault) err() *Error { return &Error{f.kind, f.msg} }

func faultf(format string, args ...any) *fault {
	return &fault{kind: Differs, msg: fmt.Sprintf(format, args...)}
}

// trial is a sample that is looked at.
type trial struct {
	pieces  []piece // of the joint's parts first, then the others
	move    r3.Vec
	mesh    *mesh.Mesh
	result  *gapscan.Result
	profile gapscan.Profile
	ids     []int // of each piece in the sample
}

// try cuts the present box, and says what is wrong with the sample.
func (c *cutter) try() (*trial, *fault) {
	b, move := c.window()
	parts, err := c.partsWanted()
	if err != nil {
		return nil, c.open(err)
	}
	t := &trial{move: move}
	for i, p := range parts {
		own, err := c.pieces(p, b, move)
		if err != nil {
			return nil, c.open(err)
		}
		if len(own) == 0 && i < 2 {
			return nil, &fault{kind: Differs, bed: true, msg: fmt.Sprintf("nothing of part %d is near the joint", p+1)}
		}
		t.pieces = append(t.pieces, own...)
	}
	profiles, f := c.scan(t)
	if f != nil {
		return nil, f
	}
	if f := c.choose(t, profiles); f != nil {
		return nil, f
	}
	if f := c.agrees(t); f != nil {
		return nil, f
	}
	if f := c.stands(t); f != nil {
		return nil, f
	}
	if f := c.holds(t); f != nil {
		return nil, f
	}
	return t, nil
}

// open turns an error of a cut into a fault.
func (c *cutter) open(err error) *fault {
	var o *clip.OpenError
	if errors.As(err, &o) {
		return &fault{kind: Open, msg: fmt.Sprintf("%s (%d open edges in all); mend the model first", o, c.mesh.OpenEdges)}
	}
	return &fault{kind: Open, msg: err.Error()}
}

// soup is the sample as a file holds it.
func (t *trial) soup() *mesh.Soup {
	s := &mesh.Soup{Format: "stl binary"}
	for _, p := range t.pieces {
		s.XYZ = append(s.XYZ, p.solid.Soup().XYZ...)
	}
	return s
}

// scan vets the sample from its soup, as a file of it would be.
func (c *cutter) scan(t *trial) ([]gapscan.Profile, *fault) {
	soup := t.soup()
	placed, err := gapscan.Place(soup, c.by)
	if err != nil {
		return nil, faultf("%s", err)
	}
	low := math.Inf(1)
	for i := 2; i < len(soup.XYZ); i += 3 {
		low = min(low, float64(soup.XYZ[i]))
	}
	if math.Abs(low) > slice.CutNoise {
		return nil, &fault{kind: Differs, bed: true, msg: "what the joint stands on is another part"}
	}
	sliced, err := placed.Slice(c.by)
	if err != nil {
		return nil, faultf("%s", err)
	}
	t.mesh = placed.Mesh
	v := sliced.Survey(c.by, c.machine)
	t.result = v.Result
	return v.Profiles, t.identify()
}

// identify finds which part of the sample each piece is.
func (t *trial) identify() *fault {
	t.ids = make([]int, len(t.pieces))
	first := 0
	if len(t.mesh.Parts) != len(t.pieces) {
		return faultf("parts become one in the sample")
	}
	for i, p := range t.pieces {
		f := int32(first)
		if int(f) < len(t.mesh.ShellOf) {
			t.ids[i] = int(t.mesh.Shells[t.mesh.ShellOf[f]].Part) + 1
		}
		first += len(p.solid.T)
	}
	if sorted := slices.Sorted(slices.Values(t.ids)); len(slices.Compact(sorted)) != len(t.ids) {
		return faultf("parts become one in the sample")
	}
	return nil
}

// choose keeps one piece of each of the joint's parts: the pair that is
// tightest in the layers the sample is for. What else came into the box of
// the two is dropped.
func (c *cutter) choose(t *trial, profiles []gapscan.Profile) *fault {
	find := func(id int) int { return slices.Index(t.ids, id) }
	a, b := c.joint.Parts[0]-1, c.joint.Parts[1]-1
	best, least := -1, math.Inf(1)
	for i, p := range profiles {
		x, y := find(p.Parts[0]), find(p.Parts[1])
		if px, py := t.pieces[x].part, t.pieces[y].part; !(px == a && py == b || px == b && py == a) {
			continue
		}
		for _, l := range p.Layers {
			if n := l.Layer + c.lowered; n >= c.first && n <= c.last && l.Margin < least {
				best, least = i, l.Margin
			}
		}
	}
	if best < 0 {
		return faultf("the two parts do not meet in the sample")
	}
	t.profile = profiles[best]
	x, y := find(t.profile.Parts[0]), find(t.profile.Parts[1])
	var keep []piece
	for i, p := range t.pieces {
		if i == x || i == y || p.part != a && p.part != b {
			keep = append(keep, p)
		}
	}
	if len(keep) == len(t.pieces) {
		if !t.mesh.Watertight() {
			return &fault{kind: Open, hopeless: true, msg: fmt.Sprintf("the model is open near joint %d (%d open edges in all), and so would a sample be; mend the model first", c.joint.ID, c.mesh.OpenEdges)}
		}
		return nil
	}
	t.pieces = keep
	profiles, f := c.scan(t)
	if f != nil {
		return f
	}
	return c.choose(t, profiles)
}

// sameMargin is how far the margins of the sample and of the model may be
// apart and be the same. At one and the same place they agree to 1e-6; but a
// gap that is drawn the same in several places differs between them by the
// float32 of its coordinates, and margins as near as that count as equal
// throughout the scan.
const sameMargin = 1e-5

// agrees compares the joint in the sample with the joint in the model, layer
// by layer: where the model is not free, and in its worst layer, the margins
// are the same; elsewhere the sample is free too. Only where the sample lies
// lower than the model its bottom layers are its own, and free.
func (c *cutter) agrees(t *trial) *fault {
	own := 0 // the model's last layer that the sample spreads on the bed
	if c.lowered > 0 {
		own = c.lowered + max(c.machine.BottomLayers, 1)
	}
	got := map[int]gapscan.ProfileLayer{}
	for _, l := range t.profile.Layers {
		n := l.Layer + c.lowered
		got[n] = l
		if _, isShort := slices.BinarySearch(c.short, n); !l.Free() && (n <= own || !isShort) {
			return &fault{kind: Differs, bed: true, msg: c.differs(n, l, true)}
		}
	}
	for _, n := range c.short {
		if n <= own || n > c.lowered+t.result.Plan.Layers {
			continue
		}
		l, ok := got[n]
		if !ok || l.Margin > c.layers[n].Margin+sameMargin {
			return &fault{kind: Differs, layer: n, msg: c.differs(n, l, ok)}
		}
		if l.Margin < c.layers[n].Margin-sameMargin {
			return &fault{kind: Differs, bed: true, msg: c.differs(n, l, ok)}
		}
	}
	return nil
}

func (c *cutter) differs(n int, l gapscan.ProfileLayer, ok bool) string {
	own, in := "no margin", "no margin"
	if ok {
		own = fmt.Sprintf("a margin of %.3f", l.Margin)
	}
	if whole, ok := c.layers[n]; ok {
		in = fmt.Sprintf("%.3f", whole.Margin)
	}
	return fmt.Sprintf("the sample would not print as the joint does: in layer %d it has %s, the model %s", n, own, in)
}
