package shape

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/region"
)

// small and large are two gears that mesh at a distance of 22 mm.
func small(play float64) Gear {
	return Gear{Teeth: 10, Module: 2, Pressure: 25, Addendum: 1.8, Dedendum: 1.8 + play, Play: play}
}

func large(play float64) Gear {
	g := small(play)
	g.Teeth = 12
	return g
}

func teeth(t testing.TB, g Gear, n int, phase float64) []r2.Vec {
	t.Helper()
	p, err := g.Outline(n, phase)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The published tooth thickness on a circle of radius r is 2r(pi/(2z) +
// inv(pressure) - inv(a)) with cos a = rb/r (any machine design text, from
// memory); here less the play.
func TestGearToothThickness(t *testing.T) {
	const n = 40
	for _, g := range []Gear{small(0), small(0.65), large(0.3), {Teeth: 30, Module: 1, Pressure: 20, Addendum: 1, Dedendum: 1.25}} {
		inv := func(a float64) float64 { return math.Tan(a) - a }
		alpha, rb := g.Pressure*math.Pi/180, g.BaseRadius()
		seen := 0
		for _, p := range teeth(t, g, n, 0) {
			r, a := math.Hypot(p.X, p.Y), math.Atan2(p.Y, p.X)
			if a < 0 || a > math.Pi/float64(g.Teeth) || r < rb || r > g.TipRadius()-1e-9 || r < g.RootRadius()+1e-9 {
				continue // another tooth, or no flank
			}
			seen++
			want := math.Pi/(2*float64(g.Teeth)) + inv(alpha) - inv(math.Acos(min(1, rb/r))) - g.Play/(2*rb)
			if math.Abs(a-want) > 1e-12 {
				t.Errorf("%d teeth: at the radius %.4f half a tooth is %.9f rad wide, want %.9f", g.Teeth, r, a, want)
			}
		}
		if seen < n-1 {
			t.Errorf("%d teeth: only %d points on a flank", g.Teeth, seen)
		}
	}
}

// In every position the play between the flanks is what it was: the law of
// gearing, for the involute. Brute force over all pairs of sides.
func TestGearsKeepTheirPlayAsTheyTurn(t *testing.T) {
	const far = 22.0
	for _, play := range []float64{0.05, 0.3, 0.65} {
		for step := range 19 {
			turn := float64(2 * step) // of the small gear, a tooth is 36 degrees
			a := teeth(t, small(play), 16, turn)
			// Facing the small gear's tooth at 0, a space of the large one.
			b := teeth(t, large(play), 16, 180+15-turn*10/12)
			for i := range b {
				b[i].X += far
			}
			if got := apart(a, b); got < play-1e-9 || got > play+gearSagitta {
				t.Errorf("play %g, turned by %g: %.6f apart", play, turn, got)
			}
		}
	}
}

// gearSagitta bounds what chords take from two flanks, mm: rb*t*dt^2/8 each,
// with rb = 10.9, t = 0.9 and dt = t/16.
const gearSagitta = 0.008

// apart is the least distance of two polygons that do not cross, 0 if they do.
func apart(a, b []r2.Vec) float64 {
	best := math.Inf(1)
	for i, p := range a {
		q := a[(i+1)%len(a)]
		for j, r := range b {
			s := b[(j+1)%len(b)]
			if region.Meet(p, q, r, s) {
				return 0
			}
			best = min(best, toSegment(p, r, s), toSegment(q, r, s), toSegment(r, p, q), toSegment(s, p, q))
		}
	}
	return best
}

func toSegment(p, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	f := r2.Dot(r2.Sub(p, a), d) / r2.Dot(d, d)
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(min(1, max(0, f)), d))))
}

func TestGearsMakeClosedSolids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Gear{
			Teeth:    rapid.IntRange(8, 40).Draw(t, "teeth"),
			Module:   rapid.Float64Range(0.5, 4).Draw(t, "module"),
			Pressure: rapid.Float64Range(15, 25).Draw(t, "pressure"),
		}
		g.Addendum = g.Module * rapid.Float64Range(0.5, 0.8).Draw(t, "addendum")
		g.Dedendum = g.Module * rapid.Float64Range(0.5, 1.2).Draw(t, "dedendum")
		g.Play = g.Module * rapid.Float64Range(0.05, 0.3).Draw(t, "play")
		n := rapid.IntRange(1, 12).Draw(t, "chords")
		p, err := g.Outline(n, rapid.Float64Range(0, 360).Draw(t, "phase"))
		if err != nil {
			t.Fatal(err)
		}
		if Area(p) <= 0 {
			t.Fatal("the outline runs clockwise")
		}
		s, err := Extrude(p, nil, 0, 3)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
	})
}

func TestGearRefuses(t *testing.T) {
	good := small(0.3)
	for name, change := range map[string]func(*Gear){
		"teeth":    func(g *Gear) { g.Teeth = 3 },
		"module":   func(g *Gear) { g.Module = 0 },
		"pressure": func(g *Gear) { g.Pressure = 60 },
		"play":     func(g *Gear) { g.Play = math.NaN() },
		"dedendum": func(g *Gear) { g.Dedendum = 10 },
		"addendum": func(g *Gear) { g.Addendum = 0 },
		"pointed":  func(g *Gear) { g.Addendum = 4 },
		"thick":    func(g *Gear) { g.Pressure, g.Addendum, g.Dedendum, g.Teeth = 44, 0.1, 6, 30 },
	} {
		g := good
		change(&g)
		if _, err := g.Outline(8, 0); err == nil {
			t.Errorf("%s: not refused", name)
		}
	}
	if _, err := good.Outline(0, 0); err == nil {
		t.Error("no chords: not refused")
	}
}
