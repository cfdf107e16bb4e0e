package report

import (
	"math"
	"testing"
)

// What the world looks like to eyes without one kind of cone, in linear RGB:
// Machado, Oliveira and Fernandes, "A Physiologically-based Model for
// Simulation of Color Vision Deficiency", 2009, severity 1.0. The third block
// from memory; all rows add up to 1.
var blindness = map[string][3][3]float64{
	"full sight": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia": {
		{0.152286, 1.052583, -0.204868},
		{0.114503, 0.786281, 0.099216},
		{-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {
		{0.367322, 0.860646, -0.227968},
		{0.280085, 0.672501, 0.047413},
		{-0.011820, 0.042940, 0.968881}},
	"tritanopia": {
		{1.255528, -0.076749, -0.178779},
		{-0.078411, 0.930809, 0.147602},
		{0.004733, 0.691367, 0.303900}},
	// Luma of Rec. 601, as printers and scanners make grey, but here of the
	// linear values: a monotone ramp must be so whatever the weights.
	"grey": {{0.299, 0.587, 0.114}, {0.299, 0.587, 0.114}, {0.299, 0.587, 0.114}},
}

// decode undoes the sRGB transfer function, of IEC 61966-2-1.
func decode(c uint8) float64 {
	x := float64(c) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// lightness is CIE 1976 L* of linear RGB, with the luminance of sRGB's
// primaries.
func lightness(v [3]float64) float64 {
	y := 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2]
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// The tighter the darker, by at least a whole step of L* for a twentieth of
// the need, whoever looks.
func TestRampFallsForAllEyes(t *testing.T) {
	const step, least = 0.05, 0.9
	for name, m := range blindness {
		last := math.Inf(-1)
		for k := 0; float64(k)*step <= roomy; k++ {
			c := rampColor(float64(k) * step)
			rgb := [3]float64{decode(c.R), decode(c.G), decode(c.B)}
			var seen [3]float64
			for i := range seen {
				for j := range rgb {
					seen[i] += m[i][j] * rgb[j]
				}
			}
			l := lightness(seen)
			if l-last < least {
				t.Errorf("%s: L* goes from %.2f to %.2f at margin %.2f", name, last, l, float64(k)*step)
			}
			last = l
		}
	}
}

// Every pixel value between also goes one way: no two margins a hundredth
// apart swap their order in plain sight.
func TestRampIsMonotone(t *testing.T) {
	last := math.Inf(-1)
	for k := 0; k <= 2000; k++ {
		v := rampLab(float64(k) / 1000).linear()
		for _, x := range v {
			if x < 0 || x > 1 {
				t.Fatalf("margin %.3f: %v lies outside sRGB", float64(k)/1000, v)
			}
		}
		l := lightness(v)
		if l <= last {
			t.Fatalf("margin %.3f: L* %.4f after %.4f", float64(k)/1000, l, last)
		}
		last = l
	}
}

func TestRampEnds(t *testing.T) {
	if rampColor(-1) != rampColor(0) || rampColor(9) != rampColor(roomy) || rampColor(math.NaN()) != rampColor(0) {
		t.Error("the ramp does not end")
	}
	tight, wide := rampColor(0), rampColor(roomy)
	if tight.R <= tight.B || wide.R >= wide.B {
		t.Errorf("from %v to %v the hue does not turn", tight, wide)
	}
}

// OKLab of the red primary is 0.62796, 0.22486, 0.12585 and white is 1, 0, 0
// (from memory: worked figures of the colour space's definition).
func TestOKLab(t *testing.T) {
	for want, lab := range map[[3]float64]oklab{
		{1, 0, 0}: {0.627955, 0.224863, 0.125846},
		{1, 1, 1}: {1, 0, 0},
	} {
		got := lab.linear()
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-4 {
				t.Errorf("%v is %v, want %v", lab, got, want)
			}
		}
	}
}
