package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// anywhere looks in a trapezoid of the present layer, which the part's own
// layer below has nothing of, for a place that hangs (or, with hangs false, for
// one that stands) and gives one.
func (w *worker) anywhere(part int32, t *sweep.Trapezoid, hangs bool) (r2.Vec, bool) {
	g := w.hangFrom(w.n)
	below := w.index.At(w.n - 1)
	if !hangs {
		if outline := [4]r2.Vec{t.At(0, 0), t.At(0, 1), t.At(1, 1), t.At(1, 0)}; !below.MayComeNear(part, outline[:], g) {
			return r2.Vec{}, false
		}
	}
	var look func(u0, u1, v0, v1 float64) (r2.Vec, bool)
	look = func(u0, u1, v0, v1 float64) (r2.Vec, bool) {
		corners := [4]r2.Vec{t.At(u0, v0), t.At(u0, v1), t.At(u1, v0), t.At(u1, v1)}
		if hangs && w.carriers.reachAll(w.n, part, corners[:], g) {
			return r2.Vec{}, false
		}
		c := t.At((u0+u1)/2, (v0+v1)/2)
		r := 0.0
		for _, q := range corners {
			r = max(r, r2.Norm(r2.Sub(q, c)))
		}
		wall, d, ok := below.NearestWall(part, c, g+r)
		if !ok {
			d = g + r + hangStep
		}
		if (d > g) == hangs {
			return c, true
		}
		if hangs {
			w.carriers.add(w.n, part, wall)
		}
		if hangs && (d+r <= g || wall.ReachesAll(corners[:], g)) || !hangs && d-r > g || r <= hangStep/2 {
			return r2.Vec{}, false
		}
		um, vm := (u0+u1)/2, (v0+v1)/2
		// Divide along the longer side.
		if r2.Norm(r2.Sub(t.At(u1, vm), t.At(u0, vm))) > r2.Norm(r2.Sub(t.At(um, v1), t.At(um, v0))) {
			if p, ok := look(u0, um, v0, v1); ok {
				return p, true
			}
			return look(um, u1, v0, v1)
		}
		if p, ok := look(u0, u1, v0, vm); ok {
			return p, true
		}
		return look(u0, u1, vm, v1)
	}
	return look(0, 1, 0, 1)
}

// carriers are the walls of a part's own layer below that the places looked at
// last were nearest to. Neighbouring trapezoids come after one another, those of
// the region's two sides in turn.
type carriers struct {
	n     int // the layer above them, 0 for none
	part  int32
	walls near.Walls
}

func (c *carriers) add(n int, part int32, w near.Wall) {
	if c.n != n || c.part != part {
		*c = carriers{n: n, part: part}
	}
	c.walls.Add(w)
}

// reachAll says whether one of them surely reaches all between some points.
func (c *carriers) reachAll(n int, part int32, corners []r2.Vec, distance float64) bool {
	return c.n == n && c.part == part && c.walls.ReachAll(corners, distance)
}
