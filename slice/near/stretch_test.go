package near

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// stretches visits those of all runs of a part.
func stretches(ix *Index, part int32, length float64, visit func(Stretch)) {
	all := r2.Box{Min: r2.Vec{X: -99, Y: -99}, Max: r2.Vec{X: 99, Y: 99}}
	ix.Runs(part, all, func(r *Run) { r.Stretches(length, func(s *Stretch) { visit(*s) }) })
}

// TestStretches: over everything, the runs are as long together as the
// contours, and their middles lie on them.
func TestStretches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		ix := New(layerOf(all))
		length := rapid.SampledFrom([]float64{0.05, 0.4, 3, 100}).Draw(t, "length")
		for part := range int32(4) {
			sum := 0.0
			want := lines(all, part)
			stretches(ix, part, length, func(s Stretch) {
				sum += s.Length
				if d, ok := geom.Distance(point(s.Mid), want); !ok || d > 1e-9 {
					t.Errorf("part %d: the middle %v lies %v off", part, s.Mid, d)
				}
				if s.Length > 1.5*length+1e-9 {
					t.Errorf("part %d: a run of %v, wanted about %v", part, s.Length, length)
				}
			})
			if math.Abs(sum-want.Length()) > 1e-6 {
				t.Errorf("part %d: runs of %v in all, contours of %v", part, sum, want.Length())
			}
		}
	})
}

// TestStretchesJoin: stretches that follow one another make lines that lie on
// the contour, as long as they are together, up to all round.
func TestStretchesJoin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		ix := New(layerOf(all))
		length := rapid.SampledFrom([]float64{0.05, 0.4, 3, 100}).Draw(t, "length")
		for part := range int32(4) {
			contours := [][]Stretch{} // of the part
			stretches(ix, part, length, func(s Stretch) {
				n := len(contours)
				if n == 0 || !s.SameContour(&contours[n-1][0]) {
					contours = append(contours, []Stretch{s})
					return
				}
				last := contours[n-1][len(contours[n-1])-1]
				if !s.Follows(&last) || last.Follows(&s) && len(contours[n-1]) > 1 {
					t.Fatalf("part %d: the stretch at %v does not just follow that at %v", part, s.Mid, last.Mid)
				}
				contours[n-1] = append(contours[n-1], s)
			})
			if pi := ix.part(part); pi != nil && len(contours) != len(pi.contours) {
				t.Fatalf("part %d: stretches of %d contours, want %d", part, len(contours), len(pi.contours))
			}
			for _, c := range contours {
				if !c[0].Follows(&c[len(c)-1]) {
					t.Errorf("part %d: the first stretch does not follow the last", part)
				}
				from, n := rapid.IntRange(0, len(c)-1).Draw(t, "from"), rapid.IntRange(1, len(c)).Draw(t, "stretches")
				want := 0.0
				for i := range n {
					want += c[(from+i)%len(c)].Length
				}
				line := ix.Line(&c[from], &c[(from+n-1)%len(c)])
				got := 0.0
				for i, p := range line {
					if i > 0 {
						got += r2.Norm(r2.Sub(p, line[i-1]))
					}
					if d, ok := geom.Distance(point(p), lines(all, part)); !ok || d > 1e-9 {
						t.Errorf("part %d: %v lies %v off", part, p, d)
					}
				}
				if math.Abs(got-want) > 1e-6 {
					t.Errorf("part %d: %d of %d stretches from number %d make a line of %v, want %v", part, n, len(c), from, got, want)
				}
				if n == len(c) && r2.Norm(r2.Sub(line[0], line[len(line)-1])) > 1e-9 {
					t.Errorf("part %d: all round ends at %v, not %v", part, line[len(line)-1], line[0])
				}
			}
		}
	})
}
