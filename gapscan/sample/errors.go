package sample

import "fmt"

// Error says why there is no sample of a joint, in one line that ends with
// the way out.
type Error struct {
	// Kind tells which of the reasons it is.
	Kind Kind
	Msg  string
}

// Kind is a reason why there is no sample.
type Kind int

// The reasons.
const (
	// NoJoint: no two parts come near each other.
	NoJoint Kind = iota
	// UnknownJoint: no joint has that name.
	UnknownJoint
	// NothingToJudge: the joint has no beads to judge.
	NothingToJudge
	// Open: the mesh is open where it would be cut, or inside the sample.
	Open
	// TooMuch: only the whole model, or nearly, would do.
	TooMuch
	// Differs: the sample would not print as the joint does in the model.
	Differs
)

func (e *Error) Error() string { return e.Msg }

func errorf(kind Kind, format string, args ...any) *Error {
	return &Error{kind, fmt.Sprintf(format, args...)}
}
