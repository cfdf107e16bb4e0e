package sample

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/clip"
	"playgauge/slice"
)

// cutter looks for the box.
type cutter struct {
	mesh    *mesh.Mesh
	plan    slice.Plan
	machine machine.Machine
	needs   machine.Needs
	// by is the what-if that the sample is vetted with.
	by     gapscan.WhatIf
	result *gapscan.Result
	joint  gapscan.Joint
	// layers holds the joint's layers in the model by number, short those that
	// are not free and the worst, ascending; the sample is cut for those from
	// first to last.
	layers      map[int]gapscan.ProfileLayer
	short       []int
	first, last int
	// tight is round the places of the layers that decide, places round all
	// that the sample is to hold, grow by how much more
	// is kept at each side, lowered the number of layers cut off below.
	tight   r3.Box
	places  r3.Box
	grow    float64
	lowered int
	// gaps is how far from the places another part may matter, mm.
	gaps   float64
	volume float64 // of the model
}

func newCutter(s *gapscan.Sliced, w gapscan.WhatIf, mc machine.Machine, joint gapscan.JointName) (*cutter, error) {
	v := s.Survey(w, mc)
	r := v.Result
	c := &cutter{mesh: s.Placed.Mesh, plan: s.Stack.Plan, machine: mc, needs: mc.Trimmed(w.TrimMM).Needs(), by: w, result: r,
		layers: map[int]gapscan.ProfileLayer{}, grow: around}
	// The sample is placed already, and looked at as far as the model; how it
	// is printed stays.
	as := gapscan.AsIs()
	c.by.TurnDeg, c.by.Scale, c.by.Units, c.by.ReachMM = as.TurnDeg, as.Scale, as.Units, r.ReachMM
	joints := r.Joints
	if len(joints) == 0 {
		if len(r.Parts) == 1 {
			return nil, errorf(NoJoint, "the model is one part and has no joint to try; print it as it is")
		}
		return nil, errorf(NoJoint, "no two parts come near each other, so there is no joint to try; print it as it is")
	}
	at := 0 // worst first
	if joint != (gapscan.JointName{}) {
		if at = joint.In(joints); at < 0 {
			known := "joint 1 only"
			if len(joints) > 1 {
				known = fmt.Sprintf("joints 1 to %d", len(joints))
			}
			return nil, errorf(UnknownJoint, "there is no joint %s; the model has %s (vet --json lists them)", joint, known)
		}
	}
	c.joint = joints[at]
	if c.joint.Margin == nil {
		return nil, errorf(NothingToJudge, "joint %d, parts %d and %d, has no two places that could weld; choose another with --joint", c.joint.ID, c.joint.Parts[0], c.joint.Parts[1])
	}
	for _, p := range v.Profiles {
		if p.Joint == c.joint.ID {
			for _, l := range p.Layers {
				c.layers[l.Layer] = l
			}
		}
	}
	worst := *c.joint.WorstLayer
	near := int(math.Floor(window / c.plan.Rest))
	for n, l := range c.layers {
		if n == worst || !l.Free() {
			c.short = append(c.short, n)
		}
	}
	slices.Sort(c.short)
	c.first, c.last = worst, worst
	for _, n := range c.short {
		if n >= worst-near && n <= worst+near {
			c.first, c.last = min(c.first, n), max(c.last, n)
		}
	}
	c.tight = box(c.at(worst))
	c.places = c.tight
	for n := c.first; n <= c.last; n++ {
		if b, ok := v.Beside(c.joint.ID, n); ok {
			c.places = hull(c.places, c.near(b, n))
		}
	}
	for _, p := range c.mesh.Parts {
		c.volume += p.Volume
	}
	most := max(c.needs.Side, c.needs.Roof, c.needs.Bottom)
	c.gaps = gapscan.FreeGap(most) + 2*max(c.plan.First, c.plan.Rest)
	c.lowered = c.bottom(c.first - 1 - c.machine.BottomLayers - int(math.Ceil(c.gaps/c.plan.Rest)))
	return c, nil
}

// at is the joint's place in a layer.
func (c *cutter) at(n int) r3.Vec {
	l := c.layers[n]
	return r3.Vec{X: l.At.X, Y: l.At.Y, Z: c.plan.InModel(n)}
}

func box(p r3.Vec) r3.Box { return r3.Box{Min: p, Max: p} }

func hull(a, b r3.Box) r3.Box {
	return r3.Box{
		Min: r3.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y), Z: min(a.Min.Z, b.Min.Z)},
		Max: r3.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y), Z: max(a.Max.Z, b.Max.Z)},
	}
}

// near is what of a box in a layer lies within side of the worst place: a pin
// is kept whole, of a long joint a stretch.
func (c *cutter) near(b r2.Box, n int) r3.Box {
	w, z := c.at(*c.joint.WorstLayer), c.plan.InModel(n)
	clamp := func(v, mid float64) float64 { return min(max(v, mid-side), mid+side) }
	return r3.Box{
		Min: r3.Vec{X: clamp(b.Min.X, w.X), Y: clamp(b.Min.Y, w.Y), Z: z},
		Max: r3.Vec{X: clamp(b.Max.X, w.X), Y: clamp(b.Max.Y, w.Y), Z: z},
	}
}

// bottom is the most layers, up to a number, that can be cut off below so
// that the joint is free where the sample spreads on the bed; 0 if it is
// free nowhere.
func (c *cutter) bottom(most int) int {
	need := gapscan.FreeGap(c.needs.Bottom)
	for k := most; k > 0; k-- {
		free := true
		// Layer 1 of the sample is cut between two of the model's layers.
		for n := k; n <= k+c.machine.BottomLayers+1; n++ {
			if l, ok := c.layers[n]; ok && (!l.Free() || l.SideMM < need) {
				free = false
			}
		}
		if free {
			return k
		}
	}
	return 0
}

// shiftGrid is the grid in mm that moves lie on: 2^-20, exact in float32 up
// to 16 mm, and finer than any tolerance of a scan.
const shiftGrid = 1.0 / (1 << 20)

// window is the box of the model that is kept now, infinite where nothing is
// cut off, and how that is moved: down by whole layers, and by whole millimetres
// so that the places lie round the origin, where float32 is finest.
func (c *cutter) window() (b r3.Box, move r3.Vec) {
	inf := math.Inf(1)
	b = r3.Box{
		Min: r3.Vec{X: math.Floor(c.places.Min.X - c.grow), Y: math.Floor(c.places.Min.Y - c.grow), Z: -inf},
		Max: r3.Vec{X: math.Ceil(c.places.Max.X + c.grow), Y: math.Ceil(c.places.Max.Y + c.grow), Z: inf},
	}
	if c.lowered > 0 {
		b.Min.Z = math.Round(float64(c.lowered)*c.plan.Rest/shiftGrid) * shiftGrid
		move.Z = -b.Min.Z
	}
	b.Max.Z = c.plan.Top(c.last+int(math.Ceil((above+c.grow-around)/c.plan.Rest))) - c.plan.Lift
	all := c.mesh.Box
	if b.Min.X <= all.Min.X {
		b.Min.X = -inf
	}
	if b.Min.Y <= all.Min.Y {
		b.Min.Y = -inf
	}
	if b.Max.X >= all.Max.X {
		b.Max.X = inf
	}
	if b.Max.Y >= all.Max.Y {
		b.Max.Y = inf
	}
	if b.Max.Z >= all.Max.Z {
		b.Max.Z = inf
	}
	move.X = -math.Round((c.places.Min.X + c.places.Max.X) / 2)
	move.Y = -math.Round((c.places.Min.Y + c.places.Max.Y) / 2)
	return b, move
}

// whole says that the window holds the whole model.
func whole(b r3.Box) bool {
	return math.IsInf(b.Min.X, -1) && math.IsInf(b.Min.Y, -1) && math.IsInf(b.Min.Z, -1) &&
		math.IsInf(b.Max.X, 1) && math.IsInf(b.Max.Y, 1) && math.IsInf(b.Max.Z, 1)
}

// run grows the box until the sample does.
func (c *cutter) run() (*Sample, error) {
	for {
		t, why := c.try()
		if why == nil {
			return c.finish(t)
		}
		b, _ := c.window()
		if whole(b) || why.hopeless {
			return nil, why.err()
		}
		c.widen(why)
	}
}

// widen grows the box as a fault asks for.
func (c *cutter) widen(f *fault) {
	if f.layer > 0 {
		// The place of that layer first; if that is there, more of all.
		at := box(c.at(f.layer))
		c.tight = hull(c.tight, at)
		if b := hull(c.places, at); b != c.places {
			c.places = b
			return
		}
	}
	c.grow += step
	if b, _ := c.window(); f.bed || math.IsInf(b.Max.Z, 1) {
		c.lowered = c.bottom(c.lowered - max(1, int(math.Round(step/c.plan.Rest))))
	}
}

// partsWanted lists the indices of the joint's two parts, then of what lies
// between: other parts at the places that decide.
func (c *cutter) partsWanted() ([]int, error) {
	a, b := c.joint.Parts[0]-1, c.joint.Parts[1]-1
	out := []int{a, b}
	core := r3.Box{
		Min: r3.Vec{X: c.tight.Min.X - c.gaps, Y: c.tight.Min.Y - c.gaps, Z: c.tight.Min.Z - c.gaps},
		Max: r3.Vec{X: c.tight.Max.X + c.gaps, Y: c.tight.Max.Y + c.gaps, Z: c.tight.Max.Z + c.gaps},
	}
	for i, p := range c.mesh.Parts {
		if i == a || i == b || !meet(p.Box, core) {
			continue
		}
		s, err := clip.Box(clip.Of(c.mesh, i, r3.Vec{}), core)
		if err != nil {
			return nil, err
		}
		if !s.Empty() {
			out = append(out, i)
		}
	}
	return out, nil
}

func meet(a, b r3.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y && a.Min.Z <= b.Max.Z && b.Min.Z <= a.Max.Z
}

// piece is one body of a part in the sample.
type piece struct {
	part  int // its index in the model
	solid clip.Solid
	whole bool
	grip  bool
}

// leastPiece is the volume in mm3 from which what is left of a part counts:
// less than a bead of a millimetre.
const leastPiece = 0.1

// pieces cuts a part and takes it apart into what moves as one piece, the
// largest first.
func (c *cutter) pieces(part int, b r3.Box, move r3.Vec) ([]piece, error) {
	s := clip.Of(c.mesh, part, move)
	v := s.Volume()
	b = r3.Box{Min: r3.Add(b.Min, move), Max: r3.Add(b.Max, move)}
	s, err := clip.Box(s, b)
	if err != nil {
		return nil, err
	}
	if s.Empty() {
		return nil, nil
	}
	m, err := mesh.Build(s.Soup(), mesh.Placement{})
	if err != nil {
		return nil, nil // nothing but flat remains
	}
	low := r3.Vec{Z: s.Bounds().Min.Z}
	var out []piece
	for i, p := range m.Parts {
		if p.Volume < leastPiece {
			continue
		}
		q := clip.Of(m, i, low)
		out = append(out, piece{part: part, solid: q, whole: q.Volume() >= v*(1-wholeNoise)})
	}
	slices.SortStableFunc(out, func(a, b piece) int { return cmp.Compare(b.solid.Volume(), a.solid.Volume()) })
	return out, nil
}

// wholeNoise is the share of a part's volume that rounding may take.
const wholeNoise = 1e-6
