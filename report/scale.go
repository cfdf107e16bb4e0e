package report

import "math"

// ticks are the multiples of a round step (1, 2 or 5 times a power of ten)
// from lo to hi, at most so many of them. step is at least the least one.
func ticks(lo, hi float64, most int, least float64) (at []float64, step float64) {
	if !(hi >= lo) || most < 1 {
		return nil, least
	}
	step = roundStep((hi-lo)/float64(most), least)
	// A step may still give one tick too many, at both ends.
	for {
		first, last := math.Ceil(lo/step-tickSlack), math.Floor(hi/step+tickSlack)
		if last-first+1 <= float64(most) {
			for k := first; k <= last; k++ {
				at = append(at, k*step)
			}
			return at, step
		}
		step = roundStep(step*1.5, least)
	}
}

// tickSlack lets an end that is a multiple of the step, but for rounding,
// have its tick; in steps.
const tickSlack = 1e-9

// roundStep is the least round step that is not below either.
func roundStep(step, least float64) float64 {
	step = max(step, least)
	power := math.Pow(10, math.Floor(math.Log10(step)))
	for _, k := range []float64{1, 2, 5} {
		if k*power >= step*(1-tickSlack) {
			return k * power
		}
	}
	return 10 * power
}
