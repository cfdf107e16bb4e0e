package shape

import "fmt"

// Check says what keeps s from being closed as a file would hold it, nil
// if nothing does: a facet whose corners, as float32, are not three different
// points, a directed edge that occurs twice, one whose reverse is missing.
func (s Solid) Check() error {
	p := s.Soup()
	type point [3]float32
	type edge [2]int32
	seen := make(map[edge]int, 3*len(s.T))
	for f, t := range s.T {
		var c [3]point
		for e := range 3 {
			c[e] = point(p.XYZ[9*f+3*e : 9*f+3*e+3])
		}
		if c[0] == c[1] || c[1] == c[2] || c[2] == c[0] {
			return fmt.Errorf("facet %d has no area at %v", f, c[0])
		}
		for e := range 3 {
			d := edge{t[e], t[(e+1)%3]}
			if g, ok := seen[d]; ok {
				return fmt.Errorf("facets %d and %d run the same way along an edge at %v", g, f, c[e])
			}
			seen[d] = f
		}
	}
	for f, t := range s.T {
		for e := range 3 {
			if _, ok := seen[edge{t[(e+1)%3], t[e]}]; !ok {
				return fmt.Errorf("facet %d has an open edge at %v", f, s.V[t[e]])
			}
		}
	}
	return nil
}
