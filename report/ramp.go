package report

import (
	"image/color"
	"math"
)

// roomy is the margin from which on the strip no longer tells margins apart:
// twice the need is as good as more.
const roomy = 2.0

// rampStops is the ramp, in OKLab, from touching to roomy. The lightness rises
// without a stop, so that the order survives grey printing and every kind of
// colour blindness. The hue turns once, from a dark brick red to a pale sky
// blue, and does so around the need; blue against red also keeps apart for
// eyes that do not tell red from green.
var rampStops = [...]struct {
	margin float64
	oklab
}{
	{0, oklab{0.25, 0.075, 0.030}},
	{0.6, oklab{0.45, 0.120, 0.055}},
	{1, oklab{0.62, 0.055, -0.005}},
	{1.25, oklab{0.73, -0.010, -0.055}},
	{roomy, oklab{0.89, -0.025, -0.040}},
}

// rampColor is the colour of a margin.
func rampColor(margin float64) color.RGBA { return rampLab(margin).rgba() }

// paleShare is how much of the paper's white is in a pale colour.
const paleShare = 0.72

// paleColor is the colour of a margin, pale: of what does not matter of a
// column.
func paleColor(margin float64) color.RGBA {
	return mix(rampLab(margin), oklab{0.985, 0, 0.004}, paleShare).rgba()
}

func rampLab(margin float64) oklab {
	low := rampStops[0]
	if !(margin > low.margin) {
		return low.oklab
	}
	for _, high := range rampStops[1:] {
		if margin < high.margin {
			return mix(low.oklab, high.oklab, (margin-low.margin)/(high.margin-low.margin))
		}
		low = high
	}
	return low.oklab
}

// oklab is a colour in the OKLab space (Björn Ottosson, "A perceptual color
// space for image processing", 2020): lightness 0 to 1, green to red, blue to
// yellow.
type oklab struct{ l, a, b float64 }

// mix is the colour at t, 0 to 1, on the way from p to q.
func mix(p, q oklab, t float64) oklab {
	at := func(x, y float64) float64 { return float64(x*(1-t)) + float64(y*t) }
	return oklab{at(p.l, q.l), at(p.a, q.a), at(p.b, q.b)}
}

// linear is c in linear sRGB, by the matrices of the OKLab definition.
func (c oklab) linear() [3]float64 {
	l := cube(c.l + float64(0.3963377774*c.a) + float64(0.2158037573*c.b))
	m := cube(c.l - float64(0.1055613458*c.a) - float64(0.0638541728*c.b))
	s := cube(c.l - float64(0.0894841775*c.a) - float64(1.2914855480*c.b))
	return [3]float64{
		float64(4.0767416621*l) - float64(3.3077115913*m) + float64(0.2309699292*s),
		float64(-1.2684380046*l) + float64(2.6097574011*m) - float64(0.3413193965*s),
		float64(-0.0041960863*l) - float64(0.7034186147*m) + float64(1.7076147010*s),
	}
}

func (c oklab) rgba() color.RGBA {
	v := c.linear()
	return color.RGBA{encode(v[0]), encode(v[1]), encode(v[2]), 255}
}

// encode is the sRGB transfer function (IEC 61966-2-1), to a byte.
func encode(x float64) uint8 {
	if x <= 0.0031308 {
		x *= 12.92
	} else {
		x = float64(1.055*math.Pow(x, 1/2.4)) - 0.055
	}
	return uint8(math.Round(255 * min(max(x, 0), 1)))
}

func cube(x float64) float64 { return x * x * x }
