package shape

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
)

// Error says why a polygon or a path makes no solid.
type Error struct {
	// Op names the builder.
	Op string
	// Rule says in a few words what was broken.
	Rule string
	// At is the place, where there is one.
	At r2.Vec
	// Placed says that At means something.
	Placed bool
}

func (e *Error) Error() string {
	if !e.Placed {
		return fmt.Sprintf("%s: %s", e.Op, e.Rule)
	}
	return fmt.Sprintf("%s: %s, at %g, %g", e.Op, e.Rule, e.At.X, e.At.Y)
}
