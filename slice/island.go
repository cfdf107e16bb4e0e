package slice

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// ring is a closed line that has not found its island yet.
type ring struct {
	pts  []r2.Vec
	area float64
	box  r2.Box
	// middle is what a round ring was seen from, and span how near to it and how
	// far from it the ring runs; zero where nobody looked.
	middle r2.Vec
	span   span
}

// appendRing measures a closed line and keeps it if it encloses anything.
func appendRing(rings []ring, pts []r2.Vec) []ring {
	if len(pts) < 3 {
		return rings
	}
	if a := area(pts); math.Abs(a) > areaNoise {
		rings = append(rings, ring{pts: pts, area: a, box: bounds(pts)})
	}
	return rings
}

// encloses says whether a closed line goes round more than areaNoise.
func encloses(pts []r2.Vec) bool { return len(pts) >= 3 && math.Abs(area(pts)) > areaNoise }

// area is the signed area by the shoelace formula about the first point.
func area(pts []r2.Vec) float64 {
	o := pts[0]
	sum := 0.0
	a := r2.Sub(pts[1], o)
	for _, p := range pts[2:] {
		b := r2.Sub(p, o)
		sum += float64(a.X*b.Y) - float64(a.Y*b.X)
		a = b
	}
	return sum / 2
}

func bounds(pts []r2.Vec) r2.Box {
	b := r2.Box{Min: pts[0], Max: pts[0]}
	for _, p := range pts[1:] {
		// Comparisons are faster than min and max, which care for NaN and -0.
		if p.X < b.Min.X {
			b.Min.X = p.X
		} else if p.X > b.Max.X {
			b.Max.X = p.X
		}
		if p.Y < b.Min.Y {
			b.Min.Y = p.Y
		} else if p.Y > b.Max.Y {
			b.Max.Y = p.Y
		}
	}
	return b
}

// islands gives every hole to the smallest outer contour round it and adds
// both to the layer, in the order of the outer contours' first facets. A hole
// in nothing is no material: the mesh folds through itself there, and the
// line is dropped and noted.
func islands(l *Layer, part int32, rings []ring) {
	if len(rings) == 1 && rings[0].area > 0 { // as are most
		addIsland(l, part, rings, 0, nil)
		return
	}
	var outer, holes []int
	for i, r := range rings {
		if r.area > 0 {
			outer = append(outer, i)
		} else {
			holes = append(holes, i)
		}
	}
	owned := make([][]int, len(outer))
	var find *finder
	if len(holes) > 0 {
		find = newFinder(rings, outer)
	}
	for _, h := range holes {
		if o := find.around(&rings[h]); o >= 0 {
			owned[o] = append(owned[o], h)
		} else {
			l.Repairs = append(l.Repairs, Repair{Part: part, At: rings[h].pts[0], Dropped: true})
		}
	}
	for k, o := range outer {
		addIsland(l, part, rings, o, owned[k])
	}
}

// addIsland adds an outer contour and its holes to the layer.
func addIsland(l *Layer, part int32, rings []ring, outer int, holes []int) {
	net := rings[outer].area
	for _, h := range holes {
		net += rings[h].area
	}
	if net <= areaNoise {
		return // holes take it all: a ridge that only touches the cut
	}
	is := Island{Part: part, First: int32(len(l.Contours)), Area: net, Box: rings[outer].box}
	add := func(r *ring) {
		c := Contour{Start: int32(len(l.Pts)), Part: part, Island: int32(len(l.Islands)), Area: r.area, Box: r.box}
		l.Pts = append(l.Pts, r.pts...)
		c.End = int32(len(l.Pts))
		l.Contours = append(l.Contours, c)
	}
	add(&rings[outer])
	for _, h := range holes {
		add(&rings[h])
	}
	is.End = int32(len(l.Contours))
	l.Islands = append(l.Islands, is)
}

// finder finds the outer contours round a place. Boxes are sorted by their
// left side and bucketed so that a look-up passes over whole runs that end
// too far left.
type finder struct {
	rings []ring
	outer []int
	index []*ringIndex // of each outer, once it is asked for
	order []int        // positions in outer by left side
	reach []float64    // greatest right side in each run of finderRun
}

const finderRun = 16

func newFinder(rings []ring, outer []int) *finder {
	f := &finder{rings: rings, outer: outer, index: make([]*ringIndex, len(outer)), order: make([]int, len(outer))}
	for i := range f.order {
		f.order[i] = i
	}
	slices.SortStableFunc(f.order, func(a, b int) int {
		return cmp.Compare(rings[outer[a]].box.Min.X, rings[outer[b]].box.Min.X)
	})
	for i := 0; i < len(f.order); i += finderRun {
		most := math.Inf(-1)
		for _, k := range f.order[i:min(i+finderRun, len(f.order))] {
			most = max(most, rings[outer[k]].box.Max.X)
		}
		f.reach = append(f.reach, most)
	}
	return f
}

// around is the position in outer of the smallest contour that holds the
// hole, or -1. A hole may touch its contour, so its points vote.
func (f *finder) around(h *ring) int {
	best := -1
	for i := 0; i < len(f.order); i += finderRun {
		run := f.order[i:min(i+finderRun, len(f.order))]
		if f.rings[f.outer[run[0]]].box.Min.X > h.box.Min.X+areaNoise {
			break
		}
		if f.reach[i/finderRun] < h.box.Max.X-areaNoise {
			continue
		}
		for _, k := range run {
			o := &f.rings[f.outer[k]]
			if coincide(o, h) {
				return k
			}
			if !boxHolds(o.box, h.box) || o.area < -h.area {
				continue
			}
			if best >= 0 && o.area >= f.rings[f.outer[best]].area {
				continue
			}
			if h.roundIn(o) {
				best = k
				continue
			}
			if f.index[k] == nil {
				f.index[k] = newRingIndex(o.pts)
			}
			if holds(f.index[k], h.pts) {
				best = k
			}
		}
	}
	return best
}

// hair is the width in mm of a wall too thin to say on which side of it a
// point lies: ten times CutNoise, by which a ridge may reach a cut.
const hair = 10 * CutNoise

// coincide says that a hole runs along its outer contour all the way: the cut
// touches a ridge.
func coincide(o, h *ring) bool {
	d := func(a, b float64) bool { return math.Abs(a-b) <= hair }
	round := 2 * (o.box.Max.X - o.box.Min.X + o.box.Max.Y - o.box.Min.Y)
	return d(o.box.Min.X, h.box.Min.X) && d(o.box.Min.Y, h.box.Min.Y) &&
		d(o.box.Max.X, h.box.Max.X) && d(o.box.Max.Y, h.box.Max.Y) &&
		math.Abs(o.area+h.area) <= hair*round
}

func boxHolds(a, b r2.Box) bool {
	return a.Min.X <= b.Min.X+areaNoise && a.Min.Y <= b.Min.Y+areaNoise &&
		a.Max.X >= b.Max.X-areaNoise && a.Max.Y >= b.Max.Y-areaNoise
}

// holds says whether most of up to 18 points of inner, spread along it, lie
// in outer.
func holds(outer *ringIndex, inner []r2.Vec) bool {
	step := max(1, len(inner)/9)
	all := (len(inner) + step - 1) / step
	in, out := 0, 0
	for i := 0; i < len(inner) && 2*in <= all && 2*out < all; i += step {
		j := (i + 1) % len(inner)
		if outer.inside(r2.Scale(0.5, r2.Add(inner[i], inner[j]))) {
			in++
		} else {
			out++
		}
	}
	return 2*in > all
}
