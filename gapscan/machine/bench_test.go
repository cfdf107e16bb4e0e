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

func BenchmarkPAllFree(b *testing.B) {
	p := Fit(coupon(rand.New(rand.NewPCG(1, 1)), 0.15, 0.05, 10, 0.27, 0.03, 0.025), sidePrior)
	for _, joints := range []int{1, 30, 1000} {
		gaps := make([]float64, joints)
		for i := range gaps {
			gaps[i] = 0.3 + 0.4*float64(i)/float64(joints)
		}
		b.Run(fmt.Sprintf("joints=%d", joints), func(b *testing.B) {
			for b.Loop() {
				p.PAllFree(gaps)
			}
		})
	}
}
