package batch

import (
	"fmt"
	"runtime"
	"testing"

	"playgauge/gapscan"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
)

// BenchmarkRun vets a dozen gate hinges of different gaps.
func BenchmarkRun(b *testing.B) {
	const models = 12
	var soups []*mesh.Soup
	for i := range models {
		soups = append(soups, shape.Must(garden.GateHinge(0.2+0.05*float64(i))).Soup())
	}
	for _, machines := range []int{1, 3} {
		for _, cpus := range []int{1, 2} {
			b.Run(fmt.Sprintf("machines=%d/cpus=%d", machines, cpus), func(b *testing.B) {
				defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cpus))
				var files []File
				for i, s := range soups {
					files = append(files, several(func() (Model, error) { return Model{fmt.Sprint(i), s}, nil }))
				}
				for b.Loop() {
					if _, stats, err := Run(b.Context(), files, gapscan.AsIs(), columns()[:machines], Options{}); err != nil || stats.Judged != models*machines {
						b.Fatal(stats, err)
					}
				}
				b.ReportMetric(float64(models*b.N)/b.Elapsed().Seconds(), "models/s")
			})
		}
	}
}
