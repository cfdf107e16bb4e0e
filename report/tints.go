package report

import "math"

// partTint is the quiet colour of a part in pictures: light, so that heat and
// ink stand out on it, and not of the hues that heat is told by. Neighbouring
// ids differ: the hues turn by the golden section of what they may be. Parts
// are told apart by their outlines; the tint only helps.
func partTint(id int) oklab {
	const (
		golden              = 0.6180339887498949 // (sqrt 5 - 1) / 2
		from, upTo          = 62.0, 215.0        // yellow, green, cyan; degrees in OKLab
		fromAgain, endsAt   = 300.0, 345.0       // violet, pink
		chroma              = 0.045
		lightOdd, lightEven = 0.86, 0.80
	)
	_, turn := math.Modf(0.13 + float64(golden*float64(id-1)))
	hue := from + float64(turn*(upTo-from+endsAt-fromAgain))
	if hue > upTo {
		hue += fromAgain - upTo
	}
	light := lightOdd
	if id%2 == 0 {
		light = lightEven
	}
	sin, cos := math.Sincos(hue * math.Pi / 180)
	return oklab{light, float64(chroma * cos), float64(chroma * sin)}
}
