package slice

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/parallel"
	"playgauge/slice/sweep"
)

// Inset gives the stack with every wall receded by c mm into the material, in
// plan; below 0 nothing is changed, and with 0 the stack itself is given.
//
// What is left of an island is every place of it that no wall has passed, so
// that two walls that face each other end up 2c farther apart, wherever
// they stand. Corners of the material stay sharp. Round a corner of the air
// the wall runs along the circle of radius c about it, by straight pieces that
// touch the circle and turn by cornerTurn at most: no more than 0.09 c is
// taken off beyond it. Islands of which nothing is left are counted in
// Layer.Lost.
func Inset(st *Stack, c float64) *Stack {
	if !(c > 0) {
		return st
	}
	out := &Stack{Plan: st.Plan, Layers: make([]Layer, len(st.Layers)), Parts: st.Parts}
	parallel.EachWorker(len(st.Layers), func() func(int) {
		in := insetter{c: c}
		return func(i int) { out.Layers[i] = in.layer(&st.Layers[i]) }
	})
	return out
}

const (
	// cornerTurn is the most by which one piece of a rounded corner turns from
	// the one before: with pi/4 its ends lie 1/cos(pi/8) = 1.082 c away.
	cornerTurn = math.Pi / 4
	// insetNoise is the length in mm below which a side of a contour is noise:
	// what a vertex within CutNoise of the cut makes of an edge there.
	insetNoise = CutNoise
)

// insetter insets one layer at a time.
type insetter struct {
	c     float64
	sw    sweep.Sweep
	cr    crossings
	pts   []r2.Vec  // of a contour
	norm  []r2.Vec  // of its sides
	after []float64 // how far each side moves before it is gone
	ring  []r2.Vec
	moved []r2.Vec // the contours of an island, moved inward
	lines []line   // where each lies in moved
}

func (in *insetter) layer(l *Layer) Layer {
	out := Layer{Number: l.Number, Z: l.Z, Repairs: l.Repairs, Folds: l.Folds}
	for i := 0; i < len(l.Islands); {
		part := l.Islands[i].Part
		var rings []ring
		for ; i < len(l.Islands) && l.Islands[i].Part == part; i++ {
			before := len(rings)
			for _, pts := range in.island(l, &l.Islands[i]) {
				rings = appendRing(rings, pts)
			}
			if len(rings) == before {
				out.Lost++
			}
		}
		islands(&out, part, rings)
	}
	return out
}

// island gives the outline of what is left of one island.
//
// While the walls move inward, the corners on the lines that halve their
// angles, a place's winding number falls by one each time a wall passes over
// it. So in the end it is above 0 just where it was 1 and no wall has passed.
// That holds as long as no side turns about; one that shrinks to nothing on the
// way is taken out there. Where that is not enough, the area the walls pass over
// is taken away piece by piece.
func (in *insetter) island(l *Layer, is *Island) [][]r2.Vec {
	in.moved, in.lines = in.moved[:0], in.lines[:0]
	for _, c := range l.Contours[is.First:is.End] {
		in.clean(l.Pts[c.Start:c.End])
		start := int32(len(in.moved))
		if !in.collapse() || !in.shrink() {
			return in.remains(l, is)
		}
		in.lines = append(in.lines, line{start: start, end: int32(len(in.moved))})
	}
	if !in.within(is.Box) {
		return in.remains(l, is)
	}
	if rings, ok := in.apart(); ok {
		return rings
	}
	in.sw.Reset()
	for _, ln := range in.lines {
		in.sw.Add(in.moved[ln.start:ln.end], 0)
	}
	return in.sw.Run(func(w []int32, _ *sweep.Trapezoid) bool { return w[0] > 0 })
}

// within says that no corner has moved far out of an island's box, as where the
// two sides of a needle meet: far behind where they begin.
func (in *insetter) within(b r2.Box) bool {
	far := 2 * in.c // corners of the air are rounded, a little farther away
	return !slices.ContainsFunc(in.moved, func(p r2.Vec) bool {
		return !(p.X >= b.Min.X-far && p.X <= b.Max.X+far && p.Y >= b.Min.Y-far && p.Y <= b.Max.Y+far)
	})
}

// mostApart is the most holes of an island that are held against each other
// one by one.
const mostApart = 32

// apart gives the moved contours if they are the outline of what is left as
// they are: nothing crosses, and the outer one holds the holes, which lie side
// by side.
func (in *insetter) apart() ([][]r2.Vec, bool) {
	if len(in.lines) > 1+mostApart {
		return nil, false
	}
	if _, crosses := in.cr.find(in.moved, in.lines); crosses {
		return nil, false
	}
	rings := make([][]r2.Vec, len(in.lines))
	boxes := make([]r2.Box, len(in.lines))
	for i, ln := range in.lines {
		if ln.end-ln.start < 3 {
			return nil, false
		}
		rings[i] = slices.Clone(in.moved[ln.start:ln.end])
		boxes[i] = bounds(rings[i])
	}
	for i := 1; i < len(rings); i++ {
		for k := 1; k < i; k++ {
			if !apart(&boxes[i], &boxes[k]) {
				return nil, false
			}
		}
	}
	if len(rings) > 1 {
		outer := newRingIndex(rings[0])
		for _, hole := range rings[1:] {
			if !outer.inside(hole[0]) {
				return nil, false
			}
		}
	}
	return rings, true
}

// remains is the outline of an island less the area that its walls pass over.
func (in *insetter) remains(l *Layer, is *Island) [][]r2.Vec {
	in.sw.Reset()
	for _, c := range l.Contours[is.First:is.End] {
		in.clean(l.Pts[c.Start:c.End])
		in.sw.Add(in.ring, 0)
		in.passed()
	}
	return in.sw.Run(func(w []int32, _ *sweep.Trapezoid) bool { return w[0] > 0 && (len(w) < 2 || w[1] <= 0) })
}

// clean sets pts to a contour without sides that are noise, and norm to the
// unit normals of the sides that follow its points, into the material. At a
// corner of the air the point is repeated with the normals of the pieces that
// will round it: sides of no length, as yet.
func (in *insetter) clean(contour []r2.Vec) {
	in.ring = in.ring[:0]
	for _, p := range contour {
		if n := len(in.ring); n == 0 || r2.Norm(r2.Sub(p, in.ring[n-1])) > insetNoise {
			in.ring = append(in.ring, p)
		}
	}
	for n := len(in.ring); n > 1 && r2.Norm(r2.Sub(in.ring[0], in.ring[n-1])) <= insetNoise; n-- {
		in.ring = in.ring[:n-1]
	}
	in.pts, in.norm = in.pts[:0], in.norm[:0]
	n := len(in.ring)
	if n < 3 {
		return
	}
	m := normal(in.ring[n-1], in.ring[0])
	for i, p := range in.ring {
		next := normal(p, in.ring[(i+1)%n])
		t := turn(m, next)
		pieces := math.Ceil(-t / cornerTurn)
		sin, cos := math.Sincos(t / pieces)
		for k := 1.0; k < pieces; k++ {
			m = r2.Vec{X: float64(cos*m.X) - float64(sin*m.Y), Y: float64(sin*m.X) + float64(cos*m.Y)}
			in.pts, in.norm = append(in.pts, p), append(in.norm, m)
		}
		in.pts, in.norm = append(in.pts, p), append(in.norm, next)
		m = next
	}
}

// normal is the unit vector to the left of the way from a to b.
func normal(a, b r2.Vec) r2.Vec {
	d := r2.Sub(b, a)
	length := r2.Norm(d)
	return r2.Vec{X: -d.Y / length, Y: d.X / length}
}

// collapse takes out, in the order in which it happens, every side that shrinks
// to nothing before it has moved by c: its neighbours then meet. It answers
// false where they cannot, since they run against each other.
func (in *insetter) collapse() bool {
	n := len(in.pts)
	if n < 3 {
		return true
	}
	in.after = in.after[:0]
	for i := range in.pts {
		in.after = append(in.after, in.lasts(i))
	}
	for n > 3 {
		k := 0
		for i, t := range in.after {
			if t < in.after[k] {
				k = i
			}
		}
		if in.after[k] > in.c {
			return true
		}
		before, next := (k+n-1)%n, (k+1)%n
		at, ok := crossing(in.pts[k], in.norm[before], in.pts[next], in.norm[next])
		if !ok {
			return false
		}
		in.pts[next] = at
		in.pts = slices.Delete(in.pts, k, k+1)
		in.norm = slices.Delete(in.norm, k, k+1)
		in.after = slices.Delete(in.after, k, k+1)
		n--
		// The corner is the first of the side that followed, the end of the
		// one before.
		k %= n
		in.after[(k+n-1)%n], in.after[k] = in.lasts((k+n-1)%n), in.lasts(k)
	}
	return true
}

// lasts is how far a side moves before it has shrunk to nothing, mm.
func (in *insetter) lasts(i int) float64 {
	n := len(in.pts)
	m := in.norm[i]
	d := r2.Sub(in.pts[(i+1)%n], in.pts[i])
	length := float64(d.X*m.Y) - float64(d.Y*m.X)
	if rate := loses(in.norm[(i+n-1)%n], m) + loses(m, in.norm[(i+1)%n]); rate > 0 {
		return max(length, 0) / rate
	}
	return math.Inf(1)
}

// loses is how much a side loses at one end for each mm it moves, where the
// normals before and after that corner are m and n: below 0 at a corner of the
// air.
func loses(m, n r2.Vec) float64 { return math.Tan(turn(m, n) / 2) }

// crossing is where the lines through p and q with the normals m and n cross,
// if the second turns to the left or the right of the first by less than half
// round, and by more than noise.
func crossing(p, m, q, n r2.Vec) (r2.Vec, bool) {
	sin := float64(m.X*n.Y) - float64(m.Y*n.X)
	if math.Abs(sin) < 1e-9 {
		return r2.Vec{}, false
	}
	a := float64(m.X*p.X) + float64(m.Y*p.Y)
	b := float64(n.X*q.X) + float64(n.Y*q.Y)
	return r2.Vec{X: (float64(a*n.Y) - float64(b*m.Y)) / sin, Y: (float64(b*m.X) - float64(a*n.X)) / sin}, true
}

// shrink appends the contour to moved with its sides moved inward, and says
// whether all of them still run the way they did.
func (in *insetter) shrink() bool {
	n := len(in.pts)
	if n < 3 {
		return true // encloses nothing
	}
	start := len(in.moved)
	for i, p := range in.pts {
		in.moved = append(in.moved, in.mitre(p, in.norm[(i+n-1)%n], in.norm[i]))
	}
	moved := in.moved[start:]
	for i, a := range moved {
		d := r2.Sub(moved[(i+1)%n], a)
		if !(float64(d.X*in.norm[i].Y)-float64(d.Y*in.norm[i].X) > 0) {
			return false
		}
	}
	return true
}

// passed adds to set 1 what the sides of the contour pass over, and what the
// rounded corners do.
func (in *insetter) passed() {
	n := len(in.pts)
	for i, a := range in.pts {
		b := in.pts[(i+1)%n]
		if a != b {
			in.sw.Add([]r2.Vec{a, b, in.shifted(b, in.norm[i]), in.shifted(a, in.norm[i])}, 1)
		}
		if m := in.norm[(i+n-1)%n]; turn(m, in.norm[i]) < 0 {
			in.sw.Add([]r2.Vec{a, in.shifted(a, in.norm[i]), in.mitre(a, m, in.norm[i]), in.shifted(a, m)}, 1)
		}
	}
}

func (in *insetter) shifted(p, norm r2.Vec) r2.Vec {
	return r2.Vec{X: p.X + float64(in.c*norm.X), Y: p.Y + float64(in.c*norm.Y)}
}

// mitre is where the lines c away from a point with the normals m and n meet.
func (in *insetter) mitre(p, m, n r2.Vec) r2.Vec {
	f := in.c / (1 + float64(m.X*n.X) + float64(m.Y*n.Y))
	return r2.Vec{X: p.X + float64(f*(m.X+n.X)), Y: p.Y + float64(f*(m.Y+n.Y))}
}

// turn is the angle from one unit vector to another, above 0 to the left.
func turn(m, n r2.Vec) float64 {
	return math.Atan2(float64(m.X*n.Y)-float64(m.Y*n.X), float64(m.X*n.X)+float64(m.Y*n.Y))
}
