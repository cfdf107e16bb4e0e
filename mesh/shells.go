package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/parallel"
)

// surfaces is a soup's facets gathered into shells.
type surfaces struct {
	shellOf []int32
	shells  []Shell
	area    []float64 // of each shell, mm2
	// reversed counts the facets that ran against the rest of their shell,
	// cut the mates parted because a shell has no two sides.
	reversed, cut int
}

// gather finds the shells, in order of their first facet in the file, and
// makes the facets of each run the same way, whichever most of them ran. It
// changes t and mate: mates run opposite ways afterwards.
func gather(v []r3.Vec, t [][3]int32, p *pairing, order []int32) *surfaces {
	s := &surfaces{}
	var sizes []int32
	if p.sameWay {
		sizes = s.walk(t, p)
	} else {
		s.shellOf, sizes = components(p.mate, componentRun)
	}
	if order != nil {
		sizes = s.asInFile(sizes, order)
	}
	s.list(sizes)
	s.measure(v, t, p.mate)
	return s
}

// walk finds the shells of facets of which some run against others, and makes
// those of each run the same way. It returns the shells' sizes.
func (s *surfaces) walk(t [][3]int32, p *pairing) (sizes []int32) {
	s.shellOf = make([]int32, len(t))
	for i := range s.shellOf {
		s.shellOf[i] = -1
	}
	flip := make([]bool, len(t))
	queue := make([]int32, 0, len(t))
	for f := range t {
		if s.shellOf[f] >= 0 {
			continue
		}
		id := int32(len(sizes))
		s.shellOf[f] = id
		queue = append(queue[:0], int32(f))
		for head := 0; head < len(queue); head++ {
			i := queue[head]
			for h := 3 * i; h < 3*i+3; h++ {
				g := p.mate[h]
				if g < 0 {
					continue
				}
				u := g / 3
				turn := flip[i] != (t[i][h%3] == t[u][g%3])
				if s.shellOf[u] < 0 {
					s.shellOf[u] = id
					queue = append(queue, u)
					flip[u] = turn
				} else if flip[u] != turn {
					p.mate[h], p.mate[g] = -1, -1
					p.open += 2
					s.cut++
				}
			}
		}
		sizes = append(sizes, int32(len(queue)))
		s.reversed += keepMost(queue, flip)
	}
	if s.reversed > 0 {
		turnFacets(t, p.mate, func(f int32) bool { return flip[f] })
	}
	return sizes
}

// asInFile numbers the shells anew, by their first facet in the file, and
// returns their sizes.
func (s *surfaces) asInFile(sizes, order []int32) []int32 {
	first := make([]int32, len(sizes))
	for i := range first {
		first[i] = math.MaxInt32
	}
	for f, id := range s.shellOf {
		first[id] = min(first[id], order[f])
	}
	ids := make([]int32, len(sizes))
	for i := range ids {
		ids[i] = int32(i)
	}
	slices.SortFunc(ids, func(a, b int32) int { return cmp.Compare(first[a], first[b]) })
	number, sorted := make([]int32, len(sizes)), make([]int32, len(sizes))
	for i, id := range ids {
		number[id], sorted[i] = int32(i), sizes[id]
	}
	for f, id := range s.shellOf {
		s.shellOf[f] = number[id]
	}
	return sorted
}

// keepMost turns the choice around where more than half of the facets would
// be turned, and returns how many are.
func keepMost(facets []int32, flip []bool) int {
	n := 0
	for _, f := range facets {
		if flip[f] {
			n++
		}
	}
	if 2*n <= len(facets) {
		return n
	}
	for _, f := range facets {
		flip[f] = !flip[f]
	}
	return len(facets) - n
}

// turnFacets turns facets around. Corners b and c change places, so that
// edges 0 and 2 do.
func turnFacets(t [][3]int32, mate []int32, turned func(facet int32) bool) {
	for f := range t {
		if turned(int32(f)) {
			turnFacet(t, mate, int32(f))
		}
	}
	for h, g := range mate {
		if g >= 0 && turned(g/3) {
			mate[h] = turnedHalf(g)
		}
	}
}

func turnFacet(t [][3]int32, mate []int32, f int32) {
	t[f][1], t[f][2] = t[f][2], t[f][1]
	mate[3*f], mate[3*f+2] = mate[3*f+2], mate[3*f]
}

// turnedHalf is the index of a half-edge once its facet is turned.
func turnedHalf(h int32) int32 { return h + 2 - 2*(h%3) }

// list fills the facets of each shell, ascending, as runs of one array.
func (s *surfaces) list(sizes []int32) {
	s.shells = make([]Shell, len(sizes))
	all := make([]int32, len(s.shellOf))
	next := make([]int32, len(sizes))
	at := int32(0)
	for i, n := range sizes {
		s.shells[i].Facets = all[at : at+n : at+n]
		next[i] = at
		at += n
	}
	for f, id := range s.shellOf {
		all[next[id]] = int32(f)
		next[id]++
	}
}

// measure finds the box, the signed volume and the area of each shell, and
// whether it is open.
func (s *surfaces) measure(v []r3.Vec, t [][3]int32, mate []int32) {
	s.area = make([]float64, len(s.shells))
	parallel.Each(len(s.shells), func(i int) {
		sh := &s.shells[i]
		sh.Box, sh.Open = outline(v, t, mate, sh.Facets)
		o := middle(sh.Box)
		six, area := sumInOrder(len(sh.Facets), func(k int) (float64, float64) {
			c := &t[sh.Facets[k]]
			a, b, d := sub(v[c[0]], o), sub(v[c[1]], o), sub(v[c[2]], o)
			n := cross(sub(b, a), sub(d, a))
			return sixfold(a, b, d), math.Sqrt(dot(n, n)) / 2
		})
		sh.Volume, s.area[i] = six/6, area
	})
}

// outlineRun is the number of facets that one processor looks at together.
const outlineRun = 1 << 14

// outline finds the box of facets, and whether one has an open edge.
func outline(v []r3.Vec, t [][3]int32, mate, facets []int32) (box r3.Box, open bool) {
	type run struct {
		box  r3.Box
		open bool
	}
	runs := make([]run, parallel.Runs(len(facets), outlineRun))
	parallel.Each(len(runs), func(i int) {
		r := run{box: noBox()}
		for _, f := range facets[i*outlineRun : min((i+1)*outlineRun, len(facets))] {
			for _, c := range t[f] {
				grow(&r.box, v[c])
			}
			r.open = r.open || mate[3*f] < 0 || mate[3*f+1] < 0 || mate[3*f+2] < 0
		}
		runs[i] = r
	})
	box = noBox()
	for i := range runs {
		box.Min, box.Max = lower(box.Min, runs[i].box.Min), upper(box.Max, runs[i].box.Max)
		open = open || runs[i].open
	}
	return box, open
}

// grow makes a box hold p. Few of the comparisons come out true, which makes
// them faster than min and max alone; those tell -0 from 0.
func grow(b *r3.Box, p r3.Vec) {
	if p.X <= b.Min.X {
		b.Min.X = min(b.Min.X, p.X)
	}
	if p.X >= b.Max.X {
		b.Max.X = max(b.Max.X, p.X)
	}
	if p.Y <= b.Min.Y {
		b.Min.Y = min(b.Min.Y, p.Y)
	}
	if p.Y >= b.Max.Y {
		b.Max.Y = max(b.Max.Y, p.Y)
	}
	if p.Z <= b.Min.Z {
		b.Min.Z = min(b.Min.Z, p.Z)
	}
	if p.Z >= b.Max.Z {
		b.Max.Z = max(b.Max.Z, p.Z)
	}
}

// noBox holds nothing, not even a point.
func noBox() r3.Box {
	inf := math.Inf(1)
	return r3.Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
}

func lower(a, b r3.Vec) r3.Vec { return r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)} }
func upper(a, b r3.Vec) r3.Vec { return r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)} }

func middle(b r3.Box) r3.Vec {
	return r3.Vec{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2, Z: (b.Min.Z + b.Max.Z) / 2}
}
