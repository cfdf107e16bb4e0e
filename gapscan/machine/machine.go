// Package machine holds what a printer has been shown to keep open: the
// machine file, the built-in cautious machine, and the needs that follow.
package machine

// Machine is one printer with one nozzle and one material. Lengths in mm.
type Machine struct {
	// Name is what a person calls it; never empty.
	Name string
	// File is the file it was read from, empty for one that was not.
	File string
	// NozzleMM is the nozzle's bore.
	NozzleMM float64
	Material string
	// BottomLayers is the number of layers, from the bed, in which the
	// plastic spreads and the bottom need holds.
	BottomLayers int
	// OverhangDeg is the angle from vertical up to which a surface still
	// stands on its own part.
	OverhangDeg float64
	// CrackMM2 is the weld area below which a joint is expected to crack
	// free by hand.
	CrackMM2 float64
	// Sag holds pairs of bridge span and sag, spans ascending; empty where
	// nothing is known.
	Sag [][2]float64
	// RoofSpanMM is the span of the ceilings under which the roof need was
	// tested.
	RoofSpanMM float64
	// SpreadMM is how far each side spreads in the bottom layers, nil where
	// nothing is known.
	SpreadMM *float64
	// TrimMM is how much is cut off each side of the bottom layers before
	// printing.
	TrimMM float64
	// AddedTrimMM is how much of TrimMM was added by Trimmed: it is taken off
	// a bottom need of the built-in machine too, which allows for the spread of
	// a machine set up as it is.
	AddedTrimMM float64
	// LineMM is the width of a line.
	LineMM float64
	// LayerHeightsMM lists the layer heights it prints well; may be empty.
	LayerHeightsMM []float64
	// Tested holds limits written by hand; they win over the trials.
	Tested Tested
	// Trials lists what was printed and judged, in the order of the file.
	Trials []Trial
	// Learned is what Learn makes of Trials; Parse fills it.
	Learned Learned
	// Fits holds the posteriors of the families with trials once WithFits has
	// filled it in; nil where Posterior is to fit them whenever it is asked.
	Fits map[Family]Posterior
}

// Tested holds limits written by hand: the smallest gaps that came out free and the longest bridge
// that held; nil where nothing was tested. Millimetres. BottomMM is learned
// untrimmed.
type Tested struct {
	SideMM, RoofMM, BottomMM, BridgeMM *float64
}

// IsTested says whether any of the four needs was tested, by a limit written
// by hand or by trials that say one.
func (m Machine) IsTested() bool {
	n := m.Needs()
	for _, f := range []Found{n.From.Side, n.From.Roof, n.From.Bottom, n.From.Bridge} {
		if f.Source == SourceHand || f.Source == SourceTrials {
			return true
		}
	}
	return false
}
