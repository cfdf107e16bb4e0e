package gapscan

// WhatIf is how a model is placed, sliced and looked at: what the flags of
// vet change. Lengths in mm.
type WhatIf struct {
	// FirstMM is the height of layer 1, RestMM that of the others.
	FirstMM, RestMM float64
	// TurnDeg turns about x, then y, then z.
	TurnDeg [3]float64
	// Scale along x, y and z, after turning.
	Scale [3]float64
	// Units is what the numbers in the file are: mm, cm, inch or m.
	Units string
	// ReachMM is how far apart parts are still looked at; 0 leaves it to the
	// machine's needs.
	ReachMM float64
}

// DefaultLayerMM is the layer height most toys are printed with.
const DefaultLayerMM = 0.2

// AsIs is the what-if that changes nothing.
func AsIs() WhatIf {
	return WhatIf{FirstMM: DefaultLayerMM, RestMM: DefaultLayerMM, Scale: [3]float64{1, 1, 1}, Units: "mm"}
}

// Unit is a unit of length that a file's numbers may be in.
type Unit struct {
	Name string
	MM   float64
	// Also lists what else it is called.
	Also []string
}

// Units lists the units, millimetres first.
func Units() []Unit {
	return []Unit{
		{"mm", 1, nil},
		{"cm", 10, nil},
		{"inch", 25.4, []string{"in", "inches"}},
		{"m", 1000, nil},
	}
}

// UnitMM is the length of the unit; 1 where there is none of its name.
func (w WhatIf) UnitMM() float64 {
	for _, u := range Units() {
		if u.Name == w.Units {
			return u.MM
		}
	}
	return 1
}
