package shape

import "fmt"

func (e *Error) Error() string {
	if !e.Placed {
		return fmt.Sprintf("%s: %s", e.Op, e.Rule)
	}
	return fmt.Sprintf("%s: %s, at %g, %g", e.Op, e.Rule, e.At.X, e.At.Y)
}
