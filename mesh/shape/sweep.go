package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Sweep returns the body that a section makes when it is led once round a
// closed path in the plane z = 0. The path is a simple polygon, taken
// counter-clockwise; use Rounded for an oval. The section is a simple
// polygon in u (as X, to the outside of the path) and v (as Y, along z),
// round 0, 0. Corners are mitred: along every side of the path the section is
// exact, so that the body between two corners is a straight prism. Where a
// side is too short for the mitres at its two ends, the answer is an *Error.
func Sweep(path, section []r2.Vec) (Solid, error) {
	b := builder{op: "sweep"}
	for _, ring := range [][]r2.Vec{path, section} {
		if err := checkRings(b.op, [][]r2.Vec{ring}); err != nil {
			return Solid{}, err
		}
	}
	path, section = oriented(path, true), oriented(section, true)
	m := len(path)
	lo, hi := section[0].X, section[0].X
	for _, p := range section {
		lo, hi = min(lo, p.X), max(hi, p.X)
	}
	// mitre[i] leads from corner i outward, as long as puts its end at the
	// distance 1 from both sides; lean[i] is how far it leans along them.
	mitre, lean := make([]r2.Vec, m), make([]float64, m)
	for i, p := range path {
		in, on := r2.Unit(r2.Sub(p, path[(i+m-1)%m])), r2.Unit(r2.Sub(path[(i+1)%m], p))
		half := math.Atan2(r2.Cross(in, on), r2.Dot(in, on)) / 2
		lean[i] = math.Tan(half)
		mitre[i] = r2.Vec{X: in.Y + float64(lean[i]*in.X), Y: -in.X + float64(lean[i]*in.Y)}
	}
	rings := make([][]int32, m)
	for i, p := range path {
		j := (i + 1) % m
		side := r2.Norm(r2.Sub(path[j], p))
		if l := lean[i] + lean[j]; side+lo*l <= 0 || side+hi*l <= 0 {
			return Solid{}, &Error{Op: b.op, Rule: "the path bends too sharply for the section", At: p, Placed: true}
		}
		for _, q := range section {
			rings[i] = append(rings[i], b.add(p.X+float64(q.X*mitre[i].X), p.Y+float64(q.X*mitre[i].Y), q.Y))
		}
	}
	// Looking along the path, the section runs clockwise: the next ring is
	// the lower one to join.
	for i := range path {
		b.join(rings[(i+1)%m], rings[i])
	}
	return b.Solid, nil
}
