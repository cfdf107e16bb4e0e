package smallpart

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// vertex is a point of the body and its distance from the body's centre.
type vertex struct {
	r3.Vec
	r float64
}

// body is the points to judge, in axes of their own: the middle of the box
// around them is the origin, x their longest principal axis, z the shortest.
type body struct {
	centre r3.Vec // in the caller's axes
	turn   matrix // own = turn (caller's - centre)
	all    []r3.Vec
	reach  float64 // farthest point from the origin
	// few holds the points the search works with: some of all, growing as
	// positions are found that only other points forbid. What it shows to be
	// too large is; what seems to fit is measured on all points.
	few  []vertex
	used map[r3.Vec]bool // the points of few
	// shell is all, or where they are many those farthest out in some
	// directions: enough to find long chords in.
	shell []r3.Vec
	// work counts points looked at.
	work int
}

// ways are 13 lines: along the axes, the diagonals of the faces and those of
// a cube. The body's farthest points both ways along them are the first few.
var ways = [13]r3.Vec{
	{X: 1}, {Y: 1}, {Z: 1},
	{X: 1, Y: 1}, {X: 1, Y: -1}, {X: 1, Z: 1}, {X: 1, Z: -1}, {Y: 1, Z: 1}, {Y: 1, Z: -1},
	{X: 1, Y: 1, Z: 1}, {X: 1, Y: 1, Z: -1}, {X: 1, Y: -1, Z: 1}, {X: -1, Y: 1, Z: 1},
}

// newBody takes points all of whose coordinates are finite, at least one,
// within a box of sides no one of which overflows.
func newBody(points []r3.Vec, lo, hi r3.Vec) *body {
	mid := r3.Vec{X: lo.X + (hi.X-lo.X)/2, Y: lo.Y + (hi.Y-lo.Y)/2, Z: lo.Z + (hi.Z-lo.Z)/2}
	b := &body{all: make([]r3.Vec, len(points)), used: map[r3.Vec]bool{}}
	var sum r3.Vec
	for _, p := range points {
		sum = r3.Add(sum, r3.Sub(p, mid))
	}
	mean := r3.Scale(1/float64(len(points)), sum)
	var m [3][3]float64
	for _, p := range points {
		d := r3.Sub(r3.Sub(p, mid), mean)
		m[0][0] += float64(d.X * d.X)
		m[1][1] += float64(d.Y * d.Y)
		m[2][2] += float64(d.Z * d.Z)
		m[0][1] += float64(d.X * d.Y)
		m[0][2] += float64(d.X * d.Z)
		m[1][2] += float64(d.Y * d.Z)
	}
	m[1][0], m[2][0], m[2][1] = m[0][1], m[0][2], m[1][2]
	b.turn = axes(m)

	low := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	high := r3.Scale(-1, low)
	for i, p := range points {
		v := b.turn.mul(r3.Sub(p, mid))
		b.all[i] = v
		low = r3.Vec{X: min(low.X, v.X), Y: min(low.Y, v.Y), Z: min(low.Z, v.Z)}
		high = r3.Vec{X: max(high.X, v.X), Y: max(high.Y, v.Y), Z: max(high.Z, v.Z)}
	}
	own := r3.Scale(0.5, r3.Add(low, high))
	b.centre = r3.Add(mid, b.turn.mulT(own))
	var ends [len(ways)][2]int
	var far [len(ways)][2]float64
	for k := range far {
		far[k] = [2]float64{math.Inf(-1), math.Inf(-1)}
	}
	farthest := 0
	for i := range b.all {
		v := r3.Sub(b.all[i], own)
		b.all[i] = v
		if d := dot(v, v); d > b.reach {
			b.reach, farthest = d, i
		}
		for k, w := range ways {
			d := dot(v, w)
			if d > far[k][0] {
				far[k][0], ends[k][0] = d, i
			}
			if -d > far[k][1] {
				far[k][1], ends[k][1] = -d, i
			}
		}
	}
	b.reach = math.Sqrt(b.reach)
	for _, e := range ends {
		b.take(b.all[e[0]])
		b.take(b.all[e[1]])
	}
	b.take(b.all[farthest])
	return b
}

// take makes p one of the few, and says whether it was not yet.
func (b *body) take(p r3.Vec) bool {
	if b.used[p] {
		return false
	}
	b.used[p] = true
	b.few = append(b.few, vertex{p, norm(p)})
	return true
}

// across returns the greatest distance between two of the few: at most the
// body's diameter.
func (b *body) across() float64 {
	var d float64
	for i, p := range b.few {
		for _, q := range b.few[:i] {
			e := r3.Sub(p.Vec, q.Vec)
			d = max(d, dot(e, e))
		}
	}
	return math.Sqrt(d)
}

// shellSide is the number of directions along a side of the cube that sorts
// the points into directions, a hundredth of a radian or two apart: the two
// ends of a chord as long as the gauge's width then lie within 2 microns of
// its length from where they would be best.
const shellSide = 96

// makeShell chooses the shell.
func (b *body) makeShell() {
	const many = 6 * shellSide * shellSide
	if len(b.all) <= many {
		b.shell = b.all
		return
	}
	far, who := make([]float64, many), make([]int, many)
	for i, p := range b.all {
		x, y, z := math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)
		var u, v, w float64
		var face int
		switch {
		case x >= y && x >= z:
			u, v, w = p.Y, p.Z, p.X
		case y >= z:
			u, v, w, face = p.Z, p.X, p.Y, 2
		default:
			u, v, w, face = p.X, p.Y, p.Z, 4
		}
		if w == 0 {
			continue
		}
		if w < 0 {
			face++
		}
		at := func(t float64) int { return min(shellSide-1, int((1+t/math.Abs(w))*shellSide/2)) }
		k := (face*shellSide+at(u))*shellSide + at(v)
		if d := dot(p, p); d > far[k] {
			far[k], who[k] = d, i
		}
	}
	b.work += len(b.all)
	for k, d := range far {
		if d > 0 {
			b.shell = append(b.shell, b.all[who[k]])
		}
	}
}

// takeRound adds to the few the shell's farthest points both ways along
// lines spread over the sphere, roundSide squared to a face of a cube.
func (b *body) takeRound() {
	for face := range 3 {
		for i := range roundSide {
			for j := range roundSide {
				at := func(k int) float64 { return float64(2*k+1)/roundSide - 1 }
				p, q := b.ends(onFace(face, at(i), at(j)))
				b.take(p)
				b.take(q)
			}
		}
	}
}

// roundSide is a compromise: more points make each bound of a round body
// dearer, fewer make the bounds worse.
const roundSide = 2

// ends returns the points of the shell farthest along w and against it.
func (b *body) ends(w r3.Vec) (p, q r3.Vec) {
	hi, lo := math.Inf(-1), math.Inf(1)
	for _, v := range b.shell {
		d := dot(v, w)
		if d > hi {
			hi, p = d, v
		}
		if d < lo {
			lo, q = d, v
		}
	}
	b.work += len(b.shell) / 2 // no square root: half the cost of other looks
	return p, q
}

// pose is a place of the body, from its own axes to the gauge's.
type pose struct {
	turn quat
	move r3.Vec
}

// slackFew is the slack of the few points at a pose.
func (b *body) slackFew(at pose) float64 {
	m := at.turn.matrix()
	least := math.Inf(1)
	for _, p := range b.few {
		v := r3.Add(m.mul(p.Vec), at.move)
		least = min(least, -v.Z, floorAt+float64((v.X+v.Z)/math.Sqrt2), radius-math.Sqrt(sq(v.X)+sq(v.Y)))
	}
	b.work += len(b.few)
	return least
}

// sectors is the number of parts of the cylinder's wall of which each may
// hand over one point that was missing.
const sectors = 8

// slackAll is the slack of all points at a pose. Points that are worse there
// than floor become some of the few: the worst at the rim, at the slanted
// floor and in each sector of the wall.
func (b *body) slackAll(at pose, floor float64) (slack float64, grown bool) {
	m := at.turn.matrix()
	var worst [2 + sectors]float64
	var who [2 + sectors]int
	for k := range worst {
		worst[k] = math.Inf(1)
	}
	for i, p := range b.all {
		v := r3.Add(m.mul(p), at.move)
		if d := -v.Z; d < worst[0] {
			worst[0], who[0] = d, i
		}
		if d := floorAt + float64((v.X+v.Z)/math.Sqrt2); d < worst[1] {
			worst[1], who[1] = d, i
		}
		k := 2
		if v.X < 0 {
			k += 4
		}
		if v.Y < 0 {
			k += 2
		}
		if math.Abs(v.X) < math.Abs(v.Y) {
			k++
		}
		if d := radius - math.Sqrt(sq(v.X)+sq(v.Y)); d < worst[k] {
			worst[k], who[k] = d, i
		}
	}
	b.work += len(b.all)
	slack = math.Inf(1)
	for k, d := range worst {
		slack = min(slack, d)
		if d < floor && b.take(b.all[who[k]]) {
			grown = true
		}
	}
	return slack, grown
}

// outside returns a pose in the caller's axes.
func (b *body) outside(at pose) Position {
	q := at.turn.mul(quatOf(b.turn)).unit()
	t := r3.Rotation{Real: q[0], Imag: q[1], Jmag: q[2], Kmag: q[3]}
	return Position{Turn: t, Move: r3.Sub(at.move, t.Rotate(b.centre))}
}
