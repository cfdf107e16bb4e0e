package smallpart

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// patch is a rectangle of directions for the cylinder's axis, in the body's
// own axes: those with 1 in part face and mid +- half in the next two.
type patch struct {
	face int
	mid  [2]float64
	half float64
	pair int // the one that shut out most of the patch it was cut from
}

// onFace is the direction with 1 in part face and a, b in the next two.
func onFace(face int, a, b float64) r3.Vec {
	switch face {
	case 0:
		return r3.Vec{X: 1, Y: a, Z: b}
	case 1:
		return r3.Vec{X: b, Y: 1, Z: a}
	}
	return r3.Vec{X: a, Y: b, Z: 1}
}

// chord is a line between two points of the body. Seen along an axis u it is
// shorter than the width, so that it may lie in the cylinder, only if the
// length of u times least is at most |line.u|.
type chord struct {
	line  r3.Vec
	least float64
}

// bars says whether no axis of the patch lets the chord into the cylinder.
func (c chord) bars(p patch) bool {
	// The least length of an axis in the patch, and line.u at its corners,
	// between which it is linear.
	a, b := max(0, math.Abs(p.mid[0])-p.half), max(0, math.Abs(p.mid[1])-p.half)
	room := float64(c.least * math.Sqrt(1+sq(a)+sq(b)))
	return math.Abs(dot(c.line, onFace(p.face, p.mid[0]-p.half, p.mid[1]-p.half))) < room &&
		math.Abs(dot(c.line, onFace(p.face, p.mid[0]+p.half, p.mid[1]-p.half))) < room &&
		math.Abs(dot(c.line, onFace(p.face, p.mid[0]-p.half, p.mid[1]+p.half))) < room &&
		math.Abs(dot(c.line, onFace(p.face, p.mid[0]+p.half, p.mid[1]+p.half))) < room
}

// Limits of wide: patches looked at, and chords kept.
const (
	widePatches = 250_000
	wideChords  = 300
)

// wide says whether the body is seen to be wider than the cylinder along
// every axis, so that no position has so much slack: whether each axis is
// barred by some chord. It settles what is round, or a disc, where a search
// of all rotations finds the same answer everywhere and can leave none out.
//
// It gives up when the body's work reaches the limit.
func (b *body) wide(slack float64, limit int) bool {
	room := sq(WidthMM - 2*slack)
	var chords []chord
	// add looks for a chord square to u, and says whether it bars u itself.
	add := func(u r3.Vec) int {
		best, found := 0.0, chord{}
		for i, e := range ways {
			// One that bars a good part of what it can is enough. The axes
			// are the likely ones; the other ways are for round bodies, of
			// which a vertex must lie close to the plane square to u.
			if best > 0.5*found.least*norm(u) || i == 3 && len(chords) == 0 {
				break
			}
			w := cross(u, e)
			if dot(w, w) < 1e-6*dot(u, u) {
				continue
			}
			p, q := b.ends(w)
			line := r3.Sub(p, q)
			far := dot(line, line) - room
			if far <= 0 {
				continue
			}
			c := chord{line, math.Sqrt(far)}
			if spare := float64(c.least*norm(u)) - math.Abs(dot(line, u)); spare > best {
				best, found = spare, c
			}
		}
		if best == 0 {
			return -1
		}
		chords = append(chords, found)
		return len(chords) - 1
	}
	// barring returns the first chord that bars p, or -1.
	barring := func(p patch) int {
		for k, c := range chords {
			if c.bars(p) {
				b.work += k
				return k
			}
		}
		b.work += len(chords)
		return -1
	}
	queue := []patch{{face: 0, half: 1}, {face: 1, half: 1}, {face: 2, half: 1}}
	for i := 0; i < len(queue); i++ {
		if i == widePatches || b.work > limit {
			return false
		}
		p := queue[i]
		if p.pair < len(chords) && chords[p.pair].bars(p) || barring(p) >= 0 {
			continue
		}
		// A chord that bars the middle bars some part of the patch.
		middle := p
		middle.half = 0
		next := barring(middle)
		if next < 0 && len(chords) < wideChords {
			next = add(onFace(p.face, p.mid[0], p.mid[1]))
		}
		if next < 0 {
			return false
		}
		h := p.half / 2
		for _, d := range [4][2]float64{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			queue = append(queue, patch{p.face, [2]float64{p.mid[0] + d[0], p.mid[1] + d[1]}, h, next})
		}
	}
	return true
}
