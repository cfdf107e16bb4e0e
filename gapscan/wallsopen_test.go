package gapscan

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
	"playgauge/slice/near"
)

// torn takes from a square post its wall on one side from z0 to z1, mm.
func torn(s shape.Solid, z0, z1 float64) shape.Solid {
	s.T = slices.DeleteFunc(slices.Clone(s.T), func(t [3]int32) bool {
		return !slices.ContainsFunc(t[:], func(v int32) bool { return s.V[v].X > -2 || s.V[v].Z < z0-1e-9 || s.V[v].Z > z1+1e-9 })
	})
	return s
}

// TestWallsOfATornPost: where a post lacks a wall its contour is left out, so that
// what it has in the next layers comes nearest to a block above or below.
func TestWallsOfATornPost(t *testing.T) {
	tower := box(-12, -1, 0, -8, 1, 6)
	low := turned(4, 45, 0, 0, 3, 0, 3, 1.8, 3, 2, 0, 2)
	high := turned(4, 45, 0, 2, 3, 2, 3, 2.4, 3, 6, 0, 6)
	for _, c := range []struct {
		name  string
		s     shape.Solid
		layer int // of the block
	}{
		{"below", torn(low, 1.8, 2).Append(tower, box(-10, -0.5, 0, 0, 0.5, 1), box(2.3, -1, 2, 5, 1, 4)), 11},
		{"above", torn(high, 2, 2.4).Append(tower, box(-10, -0.5, 4, 0, 0.5, 5), box(2.3, -1, 0, 5, 1, 2)), 10},
	} {
		l := cutSolid(t, c.s, 0.2, 0.2, keeps(1, 1, 1), Options{})
		sc, _ := scanLayers(l.mesh, l.stack, l.machine, Options{})
		w := sc.waller(closeFrom)
		got, want := w.most, w.most
		for j, p := range sc.pairs {
			w.walls(int32(j), c.layer, func(p *wallPiece) { got = min(got, p.margin) })
			for _, side := range p.sides() {
				sc.index.At(c.layer).Runs(side[0], r2.Box{Min: r2.Vec{X: -99, Y: -99}, Max: r2.Vec{X: 99, Y: 99}}, func(r *near.Run) {
					r.Stretches(weldStep, func(s *near.Stretch) { want = min(want, w.plainMargin(side[0], side[1], c.layer, s.Mid)) })
				})
			}
		}
		if !(want < w.most) || math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: margin %v in layer %d, want %v", c.name, got, c.layer, want)
		}
	}
}

// TestWallsOfATornPostDoNotRepeat: by a block that stands beside it, too.
func TestWallsOfATornPostDoNotRepeat(t *testing.T) {
	tower, plate := box(-12, -1, 0, -8, 1, 6), box(-10, -0.5, 0, 0, 0.5, 1)
	post := torn(turned(4, 45, 0, 0, 3, 0, 3, 3.4, 3, 4, 0, 4), 3.4, 4)
	l := cutSolid(t, post.Append(tower, plate, box(2.3, -1, 0, 5, 1, 6)), 0.2, 0.2, keeps(0.4, 0.4, 0.4), Options{})
	sc, _ := scanLayers(l.mesh, l.stack, l.machine, Options{})
	w := sc.waller(closeFrom)
	if len(sc.pairs) != 1 || !w.repeats(0, 17) || w.repeats(0, 18) {
		t.Errorf("%d joints; layer 17 repeats: %v, 18, in which the post is gone: %v", len(sc.pairs), w.repeats(0, 17), w.repeats(0, 18))
	}
}
