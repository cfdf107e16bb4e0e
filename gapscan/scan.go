package gapscan

import (
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// Options of a scan.
type Options struct {
	// Reach is how far apart two parts may be and still be looked at, mm,
	// inclusive; 0 stands for 2 mm or four times the machine's largest need,
	// whichever is more.
	Reach float64
}

// Scan measures and judges a sliced mesh on a machine. All of the result but
// Model is filled in.
func Scan(m *mesh.Mesh, s *slice.Stack, mc machine.Machine, opt Options) *Result { panic("later") }
