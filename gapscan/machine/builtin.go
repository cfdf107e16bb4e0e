package machine

// The built-in cautious machine, in mm. Tested limits of 0.2 to 0.3 mm are
// usual on factory settings and print services ask for 0.4 between moving
// parts, so 0.4 errs towards caution; nearly every printer bridges 10 mm.
const (
	CautiousSideMM   = 0.4
	CautiousRoofMM   = 0.4
	CautiousBottomMM = 0.5
	CautiousBridgeMM = 10.0
)

// What a machine file that does not say is taken to mean.
const (
	// DefaultNozzleMM is the bore most printers are sold with.
	DefaultNozzleMM = 0.4
	// DefaultMaterial is what toys are mostly printed in.
	DefaultMaterial = "PLA"
	// DefaultBottomLayers: the first layer alone is pressed onto the bed.
	DefaultBottomLayers = 1
	// DefaultOverhangDeg is a little more than 45, so that surfaces drawn at
	// 45 degrees stand.
	DefaultOverhangDeg = 50.0
	// DefaultCrackMM2 is a judgement, not a measurement.
	DefaultCrackMM2 = 5.0
	// DefaultRoofSpanMM is the span of a small test piece's ceilings.
	DefaultRoofSpanMM = 8.0
)

// BuiltInName is the name of the built-in machine.
const BuiltInName = "built-in"

// BuiltIn is the cautious machine used where no machine file is given:
// nothing on it is tested, so all four needs are the cautious ones. It is
// assumed to have a 0.4 mm nozzle, to lay lines of that width, and to print
// PLA.
func BuiltIn() Machine {
	return Machine{
		Name:         BuiltInName,
		NozzleMM:     DefaultNozzleMM,
		Material:     DefaultMaterial,
		BottomLayers: DefaultBottomLayers,
		OverhangDeg:  DefaultOverhangDeg,
		CrackMM2:     DefaultCrackMM2,
		RoofSpanMM:   DefaultRoofSpanMM,
		LineMM:       DefaultNozzleMM,
	}
}
