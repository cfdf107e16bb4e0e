package shape

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Gear is a spur gear with involute teeth, lengths in mm. Two gears of equal
// Module and Pressure mesh at a distance of Module/2 times the sum of their
// teeth, a tooth of one in the middle of a space of the other. Each flank
// then lies at the distance Play from the flank it faces, along the line of
// action: the same in every position.
//
// The flank is the involute of the base circle, of radius rb = r cos(Pressure)
// with r = Module*Teeth/2. Seen from the middle of its tooth it begins at the
// angle pi/(2 Teeth) + inv(Pressure) - Play/(2 rb), where inv(a) = tan(a) - a:
// the standard tooth of half the pitch, less the play. (Moving an involute
// along its normals turns it about the gear's middle, and both gears give
// half.) Below the base circle the flank is radial.
type Gear struct {
	Teeth  int
	Module float64
	// Pressure is the pressure angle in degrees.
	Pressure float64
	// Addendum and Dedendum are how far teeth rise above the pitch circle and
	// spaces go below it.
	Addendum, Dedendum float64
	// Play is the gap between flanks, on either side of a tooth.
	Play float64
}

// PitchRadius is that of the circle which rolls on the other gear's.
func (g Gear) PitchRadius() float64 { return g.Module * float64(g.Teeth) / 2 }

// TipRadius is that of the circle through the tips.
func (g Gear) TipRadius() float64 { return g.PitchRadius() + g.Addendum }

// RootRadius is that of the circle through the spaces' floors.
func (g Gear) RootRadius() float64 { return g.PitchRadius() - g.Dedendum }

// BaseRadius is that of the circle from which the involutes unwind.
func (g Gear) BaseRadius() float64 {
	_, cos := sincos(g.Pressure)
	return g.PitchRadius() * cos
}

// Outline returns the gear counter-clockwise round the origin, the middle of
// a tooth at the angle phase in degrees; each flank is divided into n chords
// between points of the involute. An *Error says which sizes make no gear.
func (g Gear) Outline(n int, phase float64) ([]r2.Vec, error) {
	fail := func(format string, args ...any) ([]r2.Vec, error) {
		return nil, &Error{Op: "gear", Rule: fmt.Sprintf(format, args...)}
	}
	rb, rf, ra := g.BaseRadius(), g.RootRadius(), g.TipRadius()
	switch {
	case g.Teeth < 4 || n < 1:
		return fail("four teeth and one chord a flank are needed")
	case !(g.Module > 0 && g.Pressure > 0 && g.Pressure < 45 && g.Addendum > 0 && g.Play >= 0):
		return fail("module, pressure angle (to 45 degrees) and addendum must be above 0, the play not below")
	case !(rf > 0 && rf < ra):
		return fail("the dedendum must be less than the pitch radius")
	}
	inv := func(a float64) float64 { return math.Tan(a) - a }
	half := math.Pi / float64(g.Teeth)
	start := half/2 + inv(g.Pressure*math.Pi/180) - g.Play/(2*rb)
	// Along the involute, the angle unwound goes from t0 to t1.
	unwound := func(r float64) float64 { return math.Sqrt(max(r*r/(rb*rb)-1, 0)) }
	t0, t1 := unwound(rf), unwound(ra)
	if at := start - (t1 - math.Atan(t1)); at <= 0 {
		return fail("the tips are pointed")
	}
	if start-(t0-math.Atan(t0)) >= half {
		return fail("the teeth run into one another")
	}
	// The right-hand flank seen from the tooth's middle, from root to tip, as
	// radius and angle.
	type polar struct{ r, a float64 }
	var flank []polar
	if rf < rb {
		flank = append(flank, polar{rf, start})
	}
	for i := range n + 1 {
		t := t0 + (t1-t0)*float64(i)/float64(n)
		flank = append(flank, polar{rb * math.Hypot(1, t), start - (t - math.Atan(t))})
	}
	var out []r2.Vec
	put := func(r, a float64) {
		sin, cos := sincos(a * 180 / math.Pi)
		out = append(out, r2.Vec{X: float64(r * cos), Y: float64(r * sin)})
	}
	for i := range g.Teeth {
		middle := phase*math.Pi/180 + float64(i)*2*half
		for _, p := range flank {
			put(p.r, middle-p.a)
		}
		put(ra, middle)
		for k := len(flank) - 1; k >= 0; k-- {
			put(flank[k].r, middle+flank[k].a)
		}
		put(rf, middle+half)
	}
	return out, nil
}
