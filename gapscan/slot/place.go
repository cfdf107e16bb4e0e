package slot

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// places gathers the facings of layer k into connected narrow places. Two are
// connected if marks of theirs lie within reach of each other with nothing
// between.
func (f *finder) places(k int) []Slot {
	faces := f.faces[k]
	if len(faces) == 0 {
		return nil
	}
	root := f.connect(k)
	type sum struct {
		width, weight float64
		at            r2.Vec
		best          int
	}
	sums := map[int32]*sum{}
	var order []int32
	for i := range faces {
		s := sums[root[i]]
		if s == nil {
			s = &sum{width: math.Inf(1), best: -1}
			sums[root[i]] = s
			order = append(order, root[i])
		}
		s.width = min(s.width, faces[i].width)
	}
	// The place is the middle of all that is evenly narrow.
	for i := range faces {
		if s := sums[root[i]]; dist(faces[i].p, faces[i].q) <= s.width+evenly {
			w := faces[i].i1 - faces[i].i0 + evenly
			s.at = step(s.at, faces[i].marks[0], w)
			s.weight += w
		}
	}
	for i := range faces {
		s := sums[root[i]]
		if dist(faces[i].p, faces[i].q) > s.width+evenly {
			continue
		}
		mean := r2.Scale(1/s.weight, s.at)
		if s.best < 0 || dist(faces[i].marks[0], mean) < dist(faces[s.best].marks[0], mean)-evenly {
			s.best = i
		}
	}
	slots := make([]Slot, 0, len(order))
	for _, r := range order {
		fc := &faces[sums[r].best]
		slots = append(slots, Slot{
			Part: fc.part, Layer: k + 1, Width: sums[r].width, Need: f.need[k],
			At: fc.marks[0], Ends: [2]r2.Vec{fc.p, fc.q},
		})
	}
	return slots
}

// reach is how far apart marks of one place may lie, in needs: where a gap
// bends at a right angle its legs' last marks are 0.7 widths apart, where one
// meets another one width, and each is inset by a twentieth of the need.
const reach = 1.2

// connect gives each facing of a layer the first facing of its place.
func (f *finder) connect(k int) []int32 {
	faces := f.faces[k]
	root := make([]int32, len(faces))
	for i := range root {
		root[i] = int32(i)
	}
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	work := mostWork(len(faces))
	need := f.need[k]
	within := reach * need
	// A grid of cells of twice the reach: what lies within reach of a mark is
	// in its cell or the nearest three. Marks of a cell are chained.
	type cell struct{ x, y int64 }
	head := make(map[cell]int32, len(faces))
	next := make([]int32, 3*len(faces))
	at := func(mark int32) r2.Vec { return faces[mark/3].marks[mark%3] }
	for i := range faces {
		n := 3
		if faces[i].i1-faces[i].i0 < need/2 && faces[i].j1-faces[i].j0 < need/2 {
			n = 1 // the others are near enough
		}
		for mark := int32(3 * i); mark < int32(3*i+n); mark++ {
			p := at(mark)
			x, y := math.Floor(p.X/within), math.Floor(p.Y/within)
			c := cell{int64(x) >> 1, int64(y) >> 1}
			dx, dy := int64(x)&1*2-1, int64(y)&1*2-1
			for _, c := range [...]cell{c, {c.x + dx, c.y}, {c.x, c.y + dy}, {c.x + dx, c.y + dy}} {
				for m := head[c] - 1; m >= 0; m = next[m] - 1 {
					a, b := find(int32(i)), find(m/3)
					if a == b || faces[a].part != faces[b].part || dist(p, at(m)) > within {
						continue
					}
					if work--; work < 0 {
						// Marks by the hundred round one place, none in sight of
						// another: what is not connected yet is told apart.
						f.crowded[k] = true
						continue
					}
					if !f.tree(k).crossed(mixed, p, at(m)) {
						root[max(a, b)] = min(a, b)
					}
				}
			}
			next[mark], head[c] = head[c], mark+1
		}
	}
	for i := range root {
		root[i] = find(int32(i))
	}
	return root
}
