package bvh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestWindingOfBall(t *testing.T) {
	const n, radius = 20, 5
	b := ball(n, radius)
	out, in := b.tree(), b.inward().tree()
	// No facet is nearer to the middle than the sagittas of its two chords.
	inner := radius * math.Cos(math.Pi/n) * math.Cos(math.Pi/n)
	rng := rand.New(rand.NewPCG(3, 3))
	inside := 0
	for range 20_000 {
		p := vec(rng.Float64()*12-6, rng.Float64()*12-6, rng.Float64()*12-6)
		want := 0
		switch d := r3.Norm(p); {
		case d < inner:
			want = 1
			inside++
		case d <= radius:
			continue
		}
		if w := out.Winding(p); w != want {
			t.Fatalf("%v: %d, want %d", p, w, want)
		}
		if w := in.Winding(p); w != -want {
			t.Fatalf("%v, turned inward: %d, want %d", p, w, -want)
		}
	}
	if inside < 1000 {
		t.Fatalf("%d points inside", inside)
	}
}

// A single ray must do on a closed surface, also through edges and corners,
// wherever it meets them: of whole bricks on a grid, seen from grid points.
func TestEveryRayIsWatertight(t *testing.T) {
	m := joinedModel(brick(vec(0, 0, 0), vec(4, 4, 4)), brick(vec(1, 1, 1), vec(3, 3, 3)).inward(), brick(vec(6, 0, 0), vec(7, 5, 3)), brick(vec(2, 2, 3), vec(7, 3, 8)))
	tr := m.tree()
	in := func(p r3.Vec, lo, hi r3.Vec) int {
		if p.X > lo.X && p.X < hi.X && p.Y > lo.Y && p.Y < hi.Y && p.Z > lo.Z && p.Z < hi.Z {
			return 1
		}
		return 0
	}
	for i := range 4 * 4 * 4 * 8 * 8 * 8 {
		p := vec(float64(i%32)/4+.125, float64(i/32%32)/4+.125, float64(i/1024)/4+.125)
		want := in(p, vec(0, 0, 0), vec(4, 4, 4)) - in(p, vec(1, 1, 1), vec(3, 3, 3)) + in(p, vec(6, 0, 0), vec(7, 5, 3)) + in(p, vec(2, 2, 3), vec(7, 3, 8))
		for ray := range rays {
			if w := tr.crossings(p, ray); w != want {
				t.Fatalf("%v, ray %d: %d, want %d", p, ray, w, want)
			}
		}
	}
}

// Rays aimed at the edges and corners of a ball, and at places a rounding
// error beside them.
func TestRaysThroughEdges(t *testing.T) {
	b := ball(12, 5)
	tr := b.tree()
	rng := rand.New(rand.NewPCG(4, 4))
	for ray := range rays {
		l := rays[ray]
		for _, k := range b.t {
			for e := range 3 {
				s := []float64{0, 0.5, rng.Float64()}[rng.IntN(3)]
				x := r3.Add(r3.Scale(1-s, b.v[k[e]]), r3.Scale(s, b.v[k[(e+1)%3]]))
				for _, back := range []float64{1e-3, 0.1, 3, 20} {
					p := r3.Sub(x, r3.Scale(back, direction(&l)))
					want := 0
					switch d := r3.Norm(p); {
					case d < 4.8:
						want = 1
					case d < 5.01:
						continue
					}
					if w := tr.crossings(p, ray); w != want {
						t.Fatalf("ray %d through %v from %v: %d, want %d", ray, x, p, w, want)
					}
				}
			}
		}
	}
}

func direction(l *line) r3.Vec {
	switch l.axis {
	case 0:
		return vec(1, l.ku, l.kv)
	case 1:
		return vec(l.kv, 1, l.ku)
	}
	return vec(l.ku, l.kv, 1)
}

// With a facet gone a ray may slip out; of three, two must not.
func TestWindingOfOpenSurface(t *testing.T) {
	m := ball(8, 5)
	rng := rand.New(rand.NewPCG(5, 5))
	slipped := 0
	for skip := range m.t {
		open := &model{v: m.v}
		open.t = append(append(open.t, m.t[:skip]...), m.t[skip+1:]...)
		tr := open.tree()
		for range 40 {
			p := r3.Scale(3*rng.Float64(), r3.Unit(vec(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64())))
			if w := tr.Winding(p); w != 1 {
				t.Fatalf("without facet %d at %v: %d", skip, p, w)
			}
			for ray := range rays {
				if tr.crossings(p, ray) != 1 {
					slipped++
				}
			}
		}
	}
	if slipped == 0 {
		t.Error("no ray found a hole: the test shows nothing")
	}
}

func TestWindingOfTorus(t *testing.T) {
	const big, small, n = 10, 2, 48
	tr := torus(n, n, big, small).tree()
	rng := rand.New(rand.NewPCG(6, 6))
	for range 10_000 {
		p := vec(rng.Float64()*26-13, rng.Float64()*26-13, rng.Float64()*6-3)
		d := math.Hypot(math.Hypot(p.X, p.Y)-big, p.Z)
		if math.Abs(d-small) < 0.1 {
			continue
		}
		want := 0
		if d < small {
			want = 1
		}
		if w := tr.Winding(p); w != want {
			t.Fatalf("%v: %d, want %d", p, w, want)
		}
	}
}

func BenchmarkWinding(b *testing.B) {
	for _, n := range []int{50, 200, 500} {
		tr := ball(n, 10).tree()
		rng := rand.New(rand.NewPCG(7, 7))
		b.Run(fmt.Sprintf("shape=ball/facets=%d", tr.Facets()), func(b *testing.B) {
			for b.Loop() {
				tr.Winding(vec(rng.Float64()*20-10, rng.Float64()*20-10, rng.Float64()*20-10))
			}
		})
	}
}
