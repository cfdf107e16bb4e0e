package mesh

import "playgauge/mesh/parallel"

const (
	// sumBlock bounds the memory of a sum, sumRun is the number of terms that
	// one processor finds together.
	sumBlock = 1 << 20
	sumRun   = 1 << 13
)

// sumInOrder adds up n terms one after the other, so that it always rounds the
// same. The terms are found side by side.
func sumInOrder(n int, term func(i int) float64) float64 {
	sum := 0.0
	terms := make([]float64, min(n, sumBlock))
	for from := 0; from < n; from += sumBlock {
		terms = terms[:min(sumBlock, n-from)]
		parallel.Each(parallel.Runs(len(terms), sumRun), func(r int) {
			for i := r * sumRun; i < min((r+1)*sumRun, len(terms)); i++ {
				terms[i] = term(from + i)
			}
		})
		for _, x := range terms {
			sum += x
		}
	}
	return sum
}
