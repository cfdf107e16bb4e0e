package machine

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkFit(b *testing.B) {
	for _, levels := range []int{3, 10, 100} {
		trials := coupon(rand.New(rand.NewPCG(1, 1)), 0.15, 0.5/float64(levels), levels, 0.27, 0.03, 0.025)
		b.Run(fmt.Sprintf("trials=%d", len(trials)), func(b *testing.B) {
			for b.Loop() {
				Fit(trials, sidePrior)
			}
		})
	}
}

func BenchmarkLimit(b *testing.B) {
	p := Fit(coupon(rand.New(rand.NewPCG(1, 1)), 0.15, 0.05, 10, 0.27, 0.03, 0.025), sidePrior)
	for b.Loop() {
		p.Limit(LimitProb)
	}
}
