package smallpart

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// goes says whether points, turned already, can be moved into the gauge with
// all walls moved inwards by s. Up against the rim the floor asks for the
// greatest move along x, which the discs |p + move| <= r allow at one's
// rightmost point or where two circles cross.
func goes(ps []r3.Vec, s float64) bool {
	r := 31.75/2 - s
	if r < 0 {
		return false
	}
	const rounding = 1e-9
	best := math.Inf(-1)
	try := func(x, y float64) {
		if x <= best {
			return
		}
		for _, p := range ps {
			if math.Hypot(p.X+x, p.Y+y) > r+rounding {
				return
			}
		}
		best = x
	}
	top, low := math.Inf(-1), math.Inf(1)
	for i, p := range ps {
		top, low = max(top, p.Z), min(low, p.X+p.Z)
		try(r-p.X, -p.Y)
		for _, q := range ps[:i] {
			dx, dy := q.X-p.X, q.Y-p.Y
			d := math.Hypot(dx, dy)
			if d == 0 || d > 2*r {
				continue
			}
			h := math.Sqrt(r*r-d*d/4) / d
			mx, my := -(p.X+q.X)/2, -(p.Y+q.Y)/2
			try(mx+h*dy, my-h*dx)
			try(mx-h*dy, my+h*dx)
		}
	}
	// z + x + 25.40 + radius >= s sqrt 2 with the top at -s.
	return low-top-s+best+25.40+31.75/2 >= s*math.Sqrt2-rounding
}

// bruteSlack is the greatest s with which the turned points go.
func bruteSlack(ps []r3.Vec) float64 {
	lo, hi := -200.0, 16.0
	for hi-lo > 1e-7 {
		if mid := (lo + hi) / 2; goes(ps, mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func randomTurn(rnd *rand.Rand) quat {
	return quat{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}.unit()
}

// bruteBest is a slack that some rotation has, and no much greater one: the
// best of many spread over all rotations, improved by trial and error.
func bruteBest(rnd *rand.Rand, ps []r3.Vec) float64 {
	const spread, trials = 1000, 200
	type tried struct {
		q quat
		s float64
	}
	best := [3]tried{{s: math.Inf(-1)}, {s: math.Inf(-1)}, {s: math.Inf(-1)}}
	for range spread {
		q := randomTurn(rnd)
		v := turned(ps, q)
		// The bisection is for those only that go better than the third.
		if last := &best[2]; math.IsInf(last.s, -1) || goes(v, last.s) {
			*last = tried{q, bruteSlack(v)}
			for k := 2; k > 0 && best[k].s > best[k-1].s; k-- {
				best[k], best[k-1] = best[k-1], best[k]
			}
		}
	}
	top := math.Inf(-1)
	for _, b := range best {
		for k := range trials {
			by := 0.2 * math.Exp(-7*float64(k)/trials)
			q := quat{1, by * rnd.NormFloat64(), by * rnd.NormFloat64(), by * rnd.NormFloat64()}.mul(b.q).unit()
			if v := turned(ps, q); goes(v, b.s) {
				b.q, b.s = q, bruteSlack(v)
			}
		}
		top = max(top, b.s)
	}
	return top
}

// sizeFor is the scale at which a body of some slack has about the wanted
// one: a body of no size has the radius, and between the slack falls evenly
// where the same walls hold.
func sizeFor(has, wanted float64) float64 {
	if has > 31.75/2-0.1 || math.IsInf(has, -1) {
		return 1
	}
	return (31.75/2 - wanted) / (31.75/2 - has)
}

// What the brute force fits must not be too large; what it fits with room to
// spare must be found.
func TestAgainstBruteForce(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 9))
	count := map[Verdict]int{}
	var missed int
	for i := range 64 {
		var ps []r3.Vec
		side := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
		switch i % 4 {
		case 0:
			ps = box(side(5, 60), side(3, 30), side(1, 25))
		case 1:
			ps = box(side(50, 66), side(0.5, 12), side(0.5, 6))
		case 2:
			ps = ellipsoid(side(8, 33), side(8, 17), side(6, 16), 8)
		case 3:
			for range 7 {
				ps = append(ps, r3.Vec{X: side(-24, 24), Y: side(-17, 17), Z: side(-14, 14)})
			}
		}
		best := bruteBest(rnd, ps)
		if i%6 > 0 {
			ps = scaled(ps, sizeFor(best, side(-0.6, 0.3)))
			best = bruteBest(rnd, ps)
		}
		got := find(t, ps)
		count[got]++
		switch {
		case best >= -CloseMM+1e-6 && got == TooLarge:
			t.Errorf("body %d: too large, but fits with slack %.4f: %v", i, best, ps)
		case best > CloseMM+1e-6 && got != Fits:
			t.Errorf("body %d: %s, but fits with slack %.4f: %v", i, got, best, ps)
		case got == Close && math.Abs(best) > CloseMM:
			missed++
		}
	}
	t.Logf("%v, of the close ones %d not settled", count, missed)
	if count[Fits] < 15 || count[TooLarge] < 15 {
		t.Errorf("one-sided bodies: %v", count)
	}
	if missed > 6 {
		t.Errorf("%d bodies of 64 not settled", missed)
	}
}

// No rotation of a cell has more slack than its program says.
func TestCellBound(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 1))
	var tight int
	for range 400 {
		var ps []r3.Vec
		for range 9 {
			ps = append(ps, r3.Vec{X: 20 * rnd.NormFloat64(), Y: 9 * rnd.NormFloat64(), Z: 5 * rnd.NormFloat64()})
		}
		b := bodyOf(ps)
		c := cell{face: rnd.IntN(4), half: [3]float64{1, 1, 1}}
		for range rnd.IntN(22) {
			c = c.split()[rnd.IntN(2)]
		}
		whole, _ := c.program()
		first := whole.solve(b)
		half := c.split()[0]
		lp, _ := half.program()
		second := lp.bound(b, math.Inf(-1), whole.contacts())
		most := math.Inf(-1)
		for range 60 {
			var y [3]float64
			for i := range y {
				y[i] = half.mid[i] + half.half[i]*max(-1, min(1, 1.5*rnd.Float64()*float64(1-2*rnd.IntN(2))))
			}
			var q quat
			q[half.face] = 1
			for i, k := 0, 0; k < 4; k++ {
				if k != half.face {
					q[k] = y[i]
					i++
				}
			}
			v := turned(b.all, q)
			if !goes(v, most) {
				continue
			}
			most = bruteSlack(v)
			if most > min(first, second)+settled {
				t.Fatalf("%+v: slack %v, bounds %v and of its half %v: %v", c, most, first, second, ps)
			}
		}
		if second-most < 0.2 {
			tight++
		}
		// Whatever the multipliers are, what they prove holds.
		for range 5 {
			off := lp
			for j := range off.inv[6] {
				off.inv[6][j] += 0.01 * rnd.NormFloat64()
			}
			if got := off.proved(b); got < most-settled {
				t.Fatalf("proved %v by multipliers %v, but there is %v", got, off.inv[6], most)
			}
		}
		if got := lp.proved(b); got > second+settled {
			t.Fatalf("proved %v where the program has %v", got, second)
		}
		// Asked for less, the bound must not be below what some rotation has.
		if got := lp.bound(b, most-1e-3, nil); got < most-1e-3 {
			t.Fatalf("proved %v, but there is %v", got, most)
		}
	}
	if tight < 40 {
		t.Errorf("only %d of 400 bounds are tight", tight)
	}
}

func bodyOf(ps []r3.Vec) *body {
	lo, hi := ps[0], ps[0]
	for _, p := range ps {
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	return newBody(ps, lo, hi)
}

func drawHull(t *rapid.T) []r3.Vec {
	n := rapid.IntRange(1, 30).Draw(t, "n")
	c := func(reach float64, name string) float64 { return rapid.Float64Range(-reach, reach).Draw(t, name) }
	x, y, z := rapid.Float64Range(1, 33).Draw(t, "wide"), rapid.Float64Range(0, 18).Draw(t, "deep"), rapid.Float64Range(0, 18).Draw(t, "high")
	var ps []r3.Vec
	for range n {
		ps = append(ps, r3.Vec{X: c(x, "x"), Y: c(y, "y"), Z: c(z, "z")})
	}
	return ps
}

// Scaled down, turned and moved, a body that fits is never too large. The
// sizes are such that the body fits, or not, by a little.
func TestSmallerIsNeverTooLarge(t *testing.T) {
	count := map[Verdict]int{}
	rapid.Check(t, func(t *rapid.T) {
		ps := drawHull(t)
		spare := rapid.Float64Range(-0.5, 0.2).Draw(t, "spare")
		for range 6 {
			// The search stops at the first place that does.
			some := newSearch(bodyOf(ps))
			some.limit = 0
			some.settle()
			ps = scaled(ps, sizeFor(some.peak, spare))
		}
		q := quat{rapid.Float64Range(-1, 1).Draw(t, "q0"), rapid.Float64Range(-1, 1).Draw(t, "q1"), rapid.Float64Range(-1, 1).Draw(t, "q2"), 0.5}
		by := r3.Vec{X: rapid.Float64Range(-1e4, 1e4).Draw(t, "by")}
		was := Judge(ps)
		for _, f := range []float64{1, 0.995, 0.98} {
			ps := moved(turned(scaled(ps, f), q), by)
			is := Find(ps)
			count[is.Verdict]++
			if was != TooLarge && is.Verdict == TooLarge {
				t.Fatalf("%s before, at %v times the size %s", was, f, is.Verdict)
			}
			if is.At != nil {
				if s := Slack(ps, *is.At); s < CloseMM-settled {
					t.Fatalf("fits with slack %v", s)
				}
			}
			was = is.Verdict
		}
	})
	t.Log(count)
}

// FuzzFind reads up to 30 points of three bytes each, in steps of a quarter mm.
func FuzzFind(f *testing.F) {
	f.Add([]byte{}, 1.0)
	f.Add([]byte("a ladybird and a snail"), 1.0)
	f.Add([]byte{0, 0, 0, 255, 255, 255, 0, 255, 0}, 0.9)
	f.Add([]byte{1, 2, 3, 1, 2, 3, 1, 2, 3}, 1e300)
	f.Fuzz(func(t *testing.T, data []byte, scale float64) {
		var ps []r3.Vec
		for ; len(data) >= 3 && len(ps) < 30; data = data[3:] {
			ps = append(ps, r3.Scale(scale/4, r3.Vec{X: float64(data[0]), Y: float64(data[1]), Z: float64(data[2])}))
		}
		switch got := find(t, ps); got {
		case Fits, Close:
		case TooLarge:
			rnd := rand.New(rand.NewPCG(uint64(len(ps)), 1))
			for range 2000 / (1 + len(ps)) {
				if goes(turned(ps, randomTurn(rnd)), -CloseMM+1e-6) {
					t.Fatalf("too large, but goes: %v", ps)
				}
			}
		default:
			t.Fatalf("%q", got)
		}
	})
}
