package slot

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// chords is a set of chords from segment a to segment b. One is told by s and
// t, where it begins on a and ends on b, in mm from their starts. All rules
// but MinWidths are half-planes in s and t, so the set is a convex polygon.
type chords struct {
	a0, da, b0, db r2.Vec // starts and unit directions
	corners        [maxCorners]r2.Vec
	n              int
}

// maxCorners is that of a rectangle with eleven cuts and one more.
const maxCorners = 16

// tilt60 is the rule of MaxTilt as half-planes: a chord is within 30 degrees
// of a normal n if it is within 90 degrees of both directions 60 degrees from
// n.
var tilt60 = r2.Vec{X: math.Cos((90 - MaxTilt) * math.Pi / 180), Y: math.Sin((90 - MaxTilt) * math.Pi / 180)}

// outward is the normal of a segment that runs in direction d: the material
// lies to its left.
func outward(d r2.Vec) r2.Vec { return r2.Vec{X: d.Y, Y: -d.X} }

// set makes the chords between two segments that are as upright on both as
// required. They may be longer than most, but not their heights over a and b;
// their height over a is at least near.Skin: nearer walls touch.
func (c *chords) set(a0, a1, b0, b1 r2.Vec, most float64) {
	da, db := r2.Sub(a1, a0), r2.Sub(b1, b0)
	la, lb := length(da), length(db)
	c.a0, c.b0 = a0, b0
	c.da, c.db = r2.Scale(1/la, da), r2.Scale(1/lb, db)
	c.corners[0], c.corners[1] = r2.Vec{}, r2.Vec{X: la}
	c.corners[2], c.corners[3] = r2.Vec{X: la, Y: lb}, r2.Vec{Y: lb}
	c.n = 4
	na, nb := outward(c.da), outward(c.db)
	c.clip(dot(r2.Sub(b0, a0), na)-near.Skin, 0, dot(c.db, na))
	c.atMost(na, most)
	c.atMost(r2.Scale(-1, nb), most)
	for _, side := range [...]float64{1, -1} {
		c.atLeast(r2.Add(r2.Scale(tilt60.X, na), r2.Scale(side*tilt60.Y, c.da)))
		c.atLeast(r2.Add(r2.Scale(-tilt60.X, nb), r2.Scale(side*tilt60.Y, c.db)))
	}
}

// vector is the chord at s, t.
func (c *chords) vector(st r2.Vec) r2.Vec {
	return r2.Sub(step(c.b0, c.db, st.Y), step(c.a0, c.da, st.X))
}

// ends is where the chord at s, t begins and ends.
func (c *chords) ends(st r2.Vec) (p, q r2.Vec) {
	return step(c.a0, c.da, st.X), step(c.b0, c.db, st.Y)
}

// atLeast keeps the chords that reach 0 or more in direction e.
func (c *chords) atLeast(e r2.Vec) {
	c.clip(dot(r2.Sub(c.b0, c.a0), e), -dot(c.da, e), dot(c.db, e))
}

// atMost keeps the chords that reach at most m in direction e.
func (c *chords) atMost(e r2.Vec, m float64) {
	c.clip(m-dot(r2.Sub(c.b0, c.a0), e), dot(c.da, e), -dot(c.db, e))
}

// between keeps the chords that begin in a stretch of a.
func (c *chords) between(s0, s1 float64) {
	c.clip(-s0, 1, 0)
	c.clip(s1, -1, 0)
}

// clip keeps the chords with f + fs s + ft t >= 0.
func (c *chords) clip(f, fs, ft float64) {
	var values [maxCorners]float64
	cut := false
	for k := range c.n {
		values[k] = f + (float64(fs*c.corners[k].X) + float64(ft*c.corners[k].Y))
		cut = cut || values[k] < 0
	}
	if !cut {
		return // as most rules leave most chords
	}
	var out [maxCorners]r2.Vec
	n := 0
	i := c.n - 1
	for k := range c.n {
		u, v := values[i], values[k]
		if (u < 0) != (v < 0) && n < maxCorners {
			out[n] = r2.Vec{
				X: c.corners[i].X + float64((c.corners[k].X-c.corners[i].X)*(u/(u-v))),
				Y: c.corners[i].Y + float64((c.corners[k].Y-c.corners[i].Y)*(u/(u-v))),
			}
			n++
		}
		if !(v < 0) && n < maxCorners {
			out[n] = c.corners[k]
			n++
		}
		i = k
	}
	c.corners, c.n = out, n
}

// shortest is the shortest chord of the set. In the plane of vectors the set
// is a convex polygon too, and by the rules of tilt the origin is not inside,
// so the shortest lies on one of its sides.
func (c *chords) shortest() (at r2.Vec, width float64) {
	best := math.Inf(1)
	for k := range c.n {
		p, q := c.corners[k], c.corners[(k+1)%c.n]
		u, v := c.vector(p), c.vector(q)
		d := r2.Sub(v, u)
		f := 0.0
		if l := dot(d, d); l > 0 {
			f = min(max(-dot(u, d)/l, 0), 1)
		}
		w := step(u, d, f)
		if l := dot(w, w); l < best {
			best = l
			at = step(p, r2.Sub(q, p), f)
		}
	}
	return at, math.Sqrt(best)
}

// stretch is the stretch of a on which the chords begin.
func (c *chords) stretch() (s0, s1 float64) {
	s0, s1 = math.Inf(1), math.Inf(-1)
	for _, p := range c.corners[:c.n] {
		s0, s1 = min(s0, p.X), max(s1, p.X)
	}
	return s0, s1
}

// far is the stretch of b on which the chords end.
func (c *chords) far() (t0, t1 float64) {
	t0, t1 = math.Inf(1), math.Inf(-1)
	for _, p := range c.corners[:c.n] {
		t0, t1 = min(t0, p.Y), max(t1, p.Y)
	}
	return t0, t1
}

// outermost is the chords whose middles lie farthest back and on along a.
func (c *chords) outermost() (lo, hi r2.Vec) {
	least, most := math.Inf(1), math.Inf(-1)
	cos := dot(c.da, c.db)
	for _, st := range c.corners[:c.n] {
		m := st.X + float64(cos*st.Y)
		if m < least {
			least, lo = m, st
		}
		if m > most {
			most, hi = m, st
		}
	}
	return lo, hi
}

// across is the shortest chord from the place s on a.
func (c *chords) across(s float64) r2.Vec {
	t0, t1 := math.Inf(1), math.Inf(-1)
	for k := range c.n {
		p, q := c.corners[k], c.corners[(k+1)%c.n]
		if p.X > q.X {
			p, q = q, p
		}
		if s < p.X || s > q.X {
			continue
		}
		t := p.Y
		if q.X > p.X {
			t += float64((q.Y - p.Y) * ((s - p.X) / (q.X - p.X)))
		} else {
			t0, t1 = min(t0, q.Y), max(t1, q.Y)
		}
		t0, t1 = min(t0, t), max(t1, t)
	}
	foot := dot(r2.Sub(step(c.a0, c.da, s), c.b0), c.db)
	return r2.Vec{X: s, Y: min(max(foot, t0), t1)}
}

// evenly is by how much chords may differ in length and count as equally
// short, mm: rounded coordinates of parallel walls (4e-6 mm at 50 mm from the
// origin) must not move a slot's place from its middle to an end.
const evenly = 1e-4

// middlemost is the chord from the middle of the stretch if it is as short as
// the shortest, given, to within evenly, else the shortest.
func (c *chords) middlemost(at r2.Vec, width float64) r2.Vec {
	s0, s1 := c.stretch()
	mid := c.across((s0 + s1) / 2)
	if length(c.vector(mid)) > width+evenly {
		return at
	}
	return mid
}
