package remedy

import (
	"fmt"
	"testing"
	"time"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
)

// BenchmarkFind tells how many vets of the model as it is a remedy takes, the
// two measured in turn.
func BenchmarkFind(b *testing.B) {
	models := map[string]*mesh.Soup{"pins": shape.PinGrid(10, 10, 50_000, false)}
	names := []string{"pins"}
	for _, m := range garden.Models() {
		models[m.File] = m.Build().Soup()
		names = append(names, m.File)
	}
	for _, name := range names {
		soup := models[name]
		b.Run(fmt.Sprintf("model=%s/triangles=%d", name, soup.Triangles()), func(b *testing.B) {
			var vets, all time.Duration
			for b.Loop() {
				start := time.Now()
				if _, err := gapscan.Vet(soup, gapscan.AsIs(), machine.BuiltIn()); err != nil {
					b.Fatal(err)
				}
				between := time.Now()
				if _, err := Find(soup, gapscan.AsIs(), machine.BuiltIn(), Options{}); err != nil {
					b.Fatal(err)
				}
				vets, all = vets+between.Sub(start), all+time.Since(between)
			}
			b.ReportMetric(float64(all)/float64(vets), "vets")
		})
	}
}
