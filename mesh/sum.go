package mesh

import "playgauge/mesh/parallel"

const (
	// sumBlock bounds the memory of a sum, sumRun is the number of terms that
	// one processor finds together.
	sumBlock = 1 << 18
	sumRun   = 1 << 13
)

// sumInOrder adds up n terms of two sums one after the other, so that they
// always round the same. The terms are found side by side.
func sumInOrder(n int, term func(i int) (x, y float64)) (sumX, sumY float64) {
	if n <= sumRun || parallel.Workers() == 1 {
		for i := range n {
			x, y := term(i)
			sumX += x
			sumY += y
		}
		return sumX, sumY
	}
	terms := make([][2]float64, min(n, sumBlock))
	for from := 0; from < n; from += sumBlock {
		terms = terms[:min(sumBlock, n-from)]
		parallel.Each(parallel.Runs(len(terms), sumRun), func(r int) {
			for i := r * sumRun; i < min((r+1)*sumRun, len(terms)); i++ {
				terms[i][0], terms[i][1] = term(from + i)
			}
		})
		for _, t := range terms {
			sumX += t[0]
			sumY += t[1]
		}
	}
	return sumX, sumY
}
