package smallpart

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Points that are worse at a pose than the few promised become some of the
// few, which then show the slack of all.
func TestFewGrowByTheWorst(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 4))
	for range 50 {
		ps := moved(ellipsoid(22, 15, 6, 60), r3.Vec{X: 100, Y: 20})
		b := bodyOf(ps)
		at := pose{randomTurn(rnd), r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: -30}}
		promised := b.slackFew(at)
		few := len(b.few)
		got, grown := b.slackAll(at, promised-settled)
		if want := Slack(ps, b.outside(at)); math.Abs(got-want) > 1e-9 {
			t.Fatalf("slack %v, of the points themselves %v", got, want)
		}
		if grown != (len(b.few) > few) || grown != (got < promised-settled) {
			t.Fatalf("promised %v, has %v; grown: %v, by %d", promised, got, grown, len(b.few)-few)
		}
		if now := b.slackFew(at); now > got+settled {
			t.Fatalf("the few still promise %v, all have %v", now, got)
		}
	}
}

func TestOwnAxes(t *testing.T) {
	rnd := rand.New(rand.NewPCG(6, 4))
	for range 50 {
		q := randomTurn(rnd)
		by := r3.Vec{X: 50 * rnd.NormFloat64(), Y: 7, Z: -3}
		b := bodyOf(moved(turned(box(40, 20, 10), q), by))
		for _, p := range b.all {
			d := r3.Vec{X: math.Abs(p.X) - 20, Y: math.Abs(p.Y) - 10, Z: math.Abs(p.Z) - 5}
			if r3.Norm(d) > 1e-9 {
				t.Fatalf("a corner at %v in the box's own axes", p)
			}
		}
		if d := r3.Norm(r3.Sub(b.centre, by)); d > 1e-9 {
			t.Fatalf("the centre is %v off", d)
		}
		m := q.matrix()
		back := quatOf(m).matrix()
		for i := range m {
			if r3.Norm(r3.Sub(m[i], back[i])) > 1e-12 {
				t.Fatalf("%v came back as %v", m, back)
			}
		}
		if r3.Norm(r3.Sub(cross(m[0], m[1]), m[2])) > 1e-12 || math.Abs(r3.Norm(m[0])-1) > 1e-12 {
			t.Fatalf("no rotation: %v", m)
		}
	}
}

// Of many points the shell is fewer, and nearly as wide along any line.
func TestShellOfMany(t *testing.T) {
	ps := ball(30, 400)
	b := bodyOf(ps)
	b.makeShell()
	if len(b.shell) >= len(ps) || len(b.shell) < 20_000 {
		t.Fatalf("%d of %d points", len(b.shell), len(ps))
	}
	rnd := rand.New(rand.NewPCG(7, 7))
	for range 20 {
		w := r3.Unit(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()})
		p, q := b.ends(w)
		// Two directions' widths off, at most: 15 (1 - cos 0.03).
		if far := dot(r3.Sub(p, q), w); far < 30*math.Cos(0.03) {
			t.Errorf("only %v wide along %v", far, w)
		}
	}
}
