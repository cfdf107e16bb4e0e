package mesh

import "playgauge/mesh/parallel"

// spanRun is the number of corners that one processor looks at together.
const spanRun = 1 << 16

// span finds the least and the largest x, y and z of every corner that stands
// at a multiple of step; 0 where there is none.
func span(xyz []float32, step int) (low, high [3]float32) {
	n := (len(xyz) + step - 3) / step
	if len(xyz) < 3 {
		return low, high
	}
	runs := make([][2][3]float32, parallel.Runs(n, spanRun))
	parallel.Each(len(runs), func(i int) {
		lo, hi := [3]float32(xyz[step*spanRun*i:]), [3]float32(xyz[step*spanRun*i:])
		for k := spanRun * i; k < min(spanRun*(i+1), n); k++ {
			c := xyz[step*k : step*k+3 : step*k+3]
			stretch(&lo[0], &hi[0], c[0])
			stretch(&lo[1], &hi[1], c[1])
			stretch(&lo[2], &hi[2], c[2])
		}
		runs[i] = [2][3]float32{lo, hi}
	})
	low, high = runs[0][0], runs[0][1]
	for _, r := range runs[1:] {
		for k := range 3 {
			low[k], high[k] = min(low[k], r[0][k]), max(high[k], r[1][k])
		}
	}
	return low, high
}

// stretch makes a span hold x. Plain comparisons are faster than min and max,
// which care for NaN and -0.
func stretch(low, high *float32, x float32) {
	if x < *low {
		*low = x
	}
	if x > *high {
		*high = x
	}
}
