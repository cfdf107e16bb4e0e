package slot

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice"
)

// measured is the number of pairs of walls that the plain search measures in
// a layer.
func measured(l *slice.Layer, need float64) int {
	s := search{need: need, work: mostWork(len(l.Pts))}
	before := s.work
	s.measure(l)
	return before - s.work
}

func isFaceless(l *slice.Layer, need float64) bool {
	s := search{need: need}
	return s.allFaceless(l)
}

// TestFaceless: what of common shapes faces nothing.
func TestFaceless(t *testing.T) {
	o := r2.Vec{}
	disc := func(x, r float64) region { return region{0, [][]r2.Vec{shape.Circle(r2.Vec{X: x}, r, 24, 0)}} }
	for _, tt := range []struct {
		name    string
		regions []region
		want    bool
	}{
		{"nothing", nil, true},
		{"a disc", []region{disc(0, 3)}, true},
		{"a square", []region{{0, [][]r2.Vec{shape.Rect(0, 0, 5, 5)}}}, true},
		{"a ring", []region{{0, [][]r2.Vec{shape.Circle(o, 3, 24, 0), shape.Circle(o, 1, 24, 0)}}}, true},
		{"a ring with a hole too narrow", []region{{0, [][]r2.Vec{shape.Circle(o, 3, 24, 0), shape.Circle(o, 0.3, 24, 0)}}}, false},
		{"a disc with two holes", []region{{0, [][]r2.Vec{shape.Circle(o, 3, 24, 0), shape.Circle(r2.Vec{X: -1.2}, 0.9, 24, 0), shape.Circle(r2.Vec{X: 1.2}, 0.9, 24, 0)}}}, true},
		{"holes nearer than the need", []region{{0, [][]r2.Vec{shape.Circle(o, 3, 24, 0), shape.Circle(r2.Vec{X: -1.2}, 1.1, 24, 0), shape.Circle(r2.Vec{X: 1.2}, 1.1, 24, 0)}}}, false},
		{"a hole past the outline's r", []region{{0, [][]r2.Vec{shape.Circle(o, 3, 24, 0), shape.Circle(r2.Vec{X: 2}, 0.99, 24, 0)}}}, false},
		{"discs far apart", []region{disc(0, 3), disc(6.5, 3)}, true},
		{"discs nearer than the need", []region{disc(0, 3), disc(6.3, 3)}, false},
		{"discs of two parts", []region{disc(0, 3), {1, [][]r2.Vec{shape.Circle(r2.Vec{X: 6.3}, 3, 24, 0)}}}, true},
		{"a disc in a ring of its part", []region{{0, [][]r2.Vec{shape.Circle(o, 3, 24, 0), shape.Circle(o, 2, 24, 0)}}, disc(0, 1.8)}, false},
		{"a long bar", []region{{0, [][]r2.Vec{shape.Rect(0, 0, 5, 1)}}}, false},
		{"a notch", []region{{0, [][]r2.Vec{notched(0.3, 0.3, 6)}}}, false},
		{"a disc and a notch", []region{disc(0, 3), {1, [][]r2.Vec{notched(0.3, 0.3, 6)}}}, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := &layerOf(tt.regions...).Layers[0]
			if got := isFaceless(l, 0.4); got != tt.want {
				t.Errorf("faceless %v, want %v", got, tt.want)
			}
			if len(l.Pts) > 0 && tt.want && measured(l, 0.4) > 0 {
				t.Error("but the search measures walls")
			}
		})
	}
}

// TestFacelessAgainstTheSearch: where nothing is said to face anything the
// plain search measures nothing, however near the shapes come to what just
// does.
func TestFacelessAgainstTheSearch(t *testing.T) {
	// A closed line of a radius about a place, in places deeper; hardly, so
	// that many are faceless, or more.
	ragged := func(t *rapid.T, mid r2.Vec, radius float64) []r2.Vec {
		n := rapid.IntRange(3, 20).Draw(t, "corners")
		deep := rapid.SampledFrom([]float64{0, 0.02, 0.1, 0.3}).Draw(t, "deep")
		turn := rapid.Float64Range(0, 7).Draw(t, "turn")
		p := make([]r2.Vec, n)
		for i := range p {
			sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
			r := radius * (1 - deep*rapid.Float64Range(0, 1).Draw(t, "in"))
			p[i] = r2.Vec{X: mid.X + r*cos, Y: mid.Y + r*sin}
		}
		return p
	}
	faceless, not := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		need := rapid.Float64Range(0.1, 1.5).Draw(t, "need")
		var regions []region
		x := 0.0
		for range rapid.SampledFrom([]int{1, 1, 2}).Draw(t, "islands") {
			radius := rapid.Float64Range(1, 5).Draw(t, "radius")
			mid := r2.Vec{X: x + radius, Y: rapid.Float64Range(-3, 3).Draw(t, "y")}
			rings := [][]r2.Vec{ragged(t, mid, radius)}
			for range rapid.SampledFrom([]int{0, 0, 1, 2}).Draw(t, "holes") {
				share := rapid.Float64Range(0.1, 0.9).Draw(t, "share")
				off := (1 - share) * radius * rapid.Float64Range(-1, 1).Draw(t, "off")
				rings = append(rings, ragged(t, r2.Vec{X: mid.X + off, Y: mid.Y}, share*radius))
			}
			regions = append(regions, region{0, rings})
			x += 2*radius + need*rapid.Float64Range(0.5, 1.5).Draw(t, "apart")
		}
		l := &layerOf(regions...).Layers[0]
		if !isFaceless(l, need) {
			not++
			return
		}
		faceless++
		if n := measured(l, need); n > 0 {
			t.Errorf("the search measures %d pairs of walls", n)
		}
	})
	if faceless < 5 || not < 5 {
		t.Errorf("%d faceless, %d not: too few of one kind", faceless, not)
	}
}
