// Package machine holds what a printer has been shown to keep open.
package machine

// Machine is one printer with one nozzle and one material.
type Machine struct {
	Name           string
	NozzleMM       float64
	Material       string
	BottomLayers   int
	OverhangDeg    float64 // from vertical, what still stands on its own part
	CrackMM2       float64
	Sag            [][2]float64 // span mm, sag mm; ascending spans
	RoofSpanMM     float64
	SpreadMM       *float64
	TrimMM         float64
	LineMM         float64
	LayerHeightsMM []float64
	Tested         Tested
}

// Tested holds the smallest gaps that came out free, the longest bridge that
// held; nil where nothing was tested. Millimetres.
type Tested struct {
	SideMM, RoofMM, BottomMM, BridgeMM *float64
}

// Needs is what a gap must at least be on a machine, mm.
type Needs struct {
	Side, Roof, Bottom, Bridge float64
	// Defaults names the needs ("side_mm", ...) that were not tested here and
	// are the built-in machine's.
	Defaults []string
}
