package mesh

import (
	"fmt"
	"math"
)

// maxConcave is how many corners a face may have that is not convex: dividing
// it costs the square of that. Convex faces may have any number.
const maxConcave = 1000

// faceNoise is how far float32 moves a corner, by its coordinates: four halves
// of the last bit, as four corners come together in a turn.
const faceNoise = 4.0 / (1 << 24)

// faces gathers vertices and faces of any number of corners into a soup.
type faces struct {
	soup     Soup
	vertices []float32 // three a vertex
	// crossing counts faces that cannot be divided without an overlap.
	crossing int

	// scratch for one face
	p          [][2]float64
	flat       float64 // turns up to this are none
	prev, next []int32
	ear        []bool
}

// finished is the soup, with what there is to warn of.
func (f *faces) finished() *Soup {
	if f.crossing > 0 {
		f.soup.Warnings = append(f.soup.Warnings, fmt.Sprintf("%s of more than three corners crosses itself or has no area; divided all the same", count(f.crossing, "face")))
	}
	return &f.soup
}

// tooManyCorners is the error where add fails.
func tooManyCorners(place string, corners int) *FormatError {
	return formatErrorf(KindLimit, "%s: a face of %d corners that is not convex (%d are taken); export the model as triangles", place, corners, maxConcave)
}

// emit adds one triangle.
func (f *faces) emit(a, b, c int32) {
	v := f.vertices
	f.soup.XYZ = append(f.soup.XYZ,
		v[3*a], v[3*a+1], v[3*a+2], v[3*b], v[3*b+1], v[3*b+2], v[3*c], v[3*c+1], v[3*c+2])
}

// add divides a face of three or more corners, counter-clockwise from
// outside, into triangles between its corners: none is added, so that
// neighbours still meet along whole edges. It fails only where a face that is
// not convex has more than maxConcave corners.
func (f *faces) add(corners []int32) bool {
	if len(corners) == 3 {
		f.emit(corners[0], corners[1], corners[2])
		return true
	}
	area := f.flatten(corners)
	if f.fans(area) {
		for i := 2; i < len(corners); i++ {
			f.emit(corners[0], corners[i-1], corners[i])
		}
		return true
	}
	if len(corners) > maxConcave {
		return false
	}
	f.clip(corners)
	return true
}

// flatten looks at the corners along the axis nearest the face's normal
// (Newell's: the sum over the edges), so that they run counter-clockwise, and
// returns the area seen.
func (f *faces) flatten(corners []int32) float64 {
	var normal [3]float64
	at := func(i int) (p [3]float64) {
		c := 3 * corners[i%len(corners)]
		for k := range p {
			p[k] = float64(f.vertices[int(c)+k])
		}
		return p
	}
	o := at(0) // near the face, so that little is lost in the products
	rel := func(i int) (p [3]float64) {
		p = at(i)
		for k := range p {
			p[k] -= o[k]
		}
		return p
	}
	for i := range corners {
		a, b := rel(i), rel(i+1)
		for k := range normal {
			u, v := (k+1)%3, (k+2)%3
			normal[k] += float64(a[u]*b[v]) - float64(a[v]*b[u])
		}
	}
	axis := 0
	for k := range normal {
		if math.Abs(normal[k]) > math.Abs(normal[axis]) {
			axis = k
		}
	}
	u, v := (axis+1)%3, (axis+2)%3
	if normal[axis] < 0 {
		u, v = v, u
	}
	f.p = f.p[:0]
	size, most := 0.0, 0.0
	for i := range corners {
		p := rel(i)
		f.p = append(f.p, [2]float64{p[u], p[v]})
		size = max(size, math.Abs(p[u]), math.Abs(p[v]))
		most = max(most, math.Abs(p[u]+o[u]), math.Abs(p[v]+o[v]))
	}
	f.flat = faceNoise * most * size
	return math.Abs(normal[axis]) / 2
}

// fans says whether the triangles from the first corner divide the face: no
// corner turns right, and none of the triangles is turned over.
func (f *faces) fans(area float64) bool {
	if area <= f.flat {
		return false
	}
	n := len(f.p)
	for i := range n {
		if f.turn(i, (i+1)%n, (i+2)%n) < -f.flat || f.turn(0, i, (i+1)%n) < -f.flat {
			return false
		}
	}
	return true
}

// turn is twice the area of three corners: above 0 where they turn left.
func (f *faces) turn(i, j, k int) float64 {
	a, b, c := f.p[i], f.p[j], f.p[k]
	return float64((b[0]-a[0])*(c[1]-a[1])) - float64((b[1]-a[1])*(c[0]-a[0]))
}

// clip cuts off ears: corners that turn left with no other corner in their
// triangle. A simple polygon has two at any time (Meisters 1975), besides
// corners in a straight line. Where there is none the polygon crosses itself:
// a corner is cut off all the same, which keeps the surface closed.
//
// Cutting one changes its two neighbours only, so that the cost is the square
// of the corners.
func (f *faces) clip(corners []int32) {
	n := len(corners)
	f.prev, f.next, f.ear = f.prev[:0], f.next[:0], f.ear[:0]
	for i := range n {
		f.prev = append(f.prev, int32((i+n-1)%n))
		f.next = append(f.next, int32((i+1)%n))
	}
	for i := range n {
		f.ear = append(f.ear, f.isEar(i))
	}
	crosses := false
	at := 0
	for left := n; left > 2; left-- {
		i, straight := at, -1
		for !f.ear[i] {
			if t := f.turn(int(f.prev[i]), i, int(f.next[i])); straight < 0 && math.Abs(t) <= f.flat {
				straight = i
			}
			if i = int(f.next[i]); i == at {
				break
			}
		}
		if !f.ear[i] && straight >= 0 {
			i = straight
		} else if !f.ear[i] {
			crosses = true
		}
		a, b := f.prev[i], f.next[i]
		f.emit(corners[a], corners[i], corners[b])
		f.next[a], f.prev[b] = b, a
		f.ear[a], f.ear[b] = f.isEar(int(a)), f.isEar(int(b))
		// Every second corner first: a long strip is not cut into a fan of
		// needles.
		at = int(b)
	}
	if crosses {
		f.crossing++
	}
}

// isEar says whether corner i can be cut off.
func (f *faces) isEar(i int) bool {
	a, b := int(f.prev[i]), int(f.next[i])
	if f.turn(a, i, b) <= f.flat {
		return false
	}
	for k := int(f.next[b]); k != a; k = int(f.next[k]) {
		p := f.p[k]
		if p == f.p[a] || p == f.p[i] || p == f.p[b] {
			continue
		}
		if f.turn(a, i, k) >= 0 && f.turn(i, b, k) >= 0 && f.turn(b, a, k) >= 0 {
			return false
		}
	}
	return true
}
