package machine

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Family is what a trial was made for: each limit is learned where nothing
// else decides.
type Family string

// The families of trials.
const (
	FamilySide   Family = "side"   // a side gap, above the bottom layers
	FamilyBottom Family = "bottom" // a side gap in the bottom layers
	FamilyRoof   Family = "roof"   // the air printed under a flat ceiling
	FamilyBridge Family = "bridge" // a span laid over air
)

// Result is what came of a joint.
type Result string

// The results, from best to worst.
const (
	CameFree Result = "free"   // moves by finger
	Stuck    Result = "sticks" // cracks with a nail, then moves
	Welded   Result = "welds"  // never moves
)

// Trial is one thing that was printed and judged by hand: a [[trial]] table
// of the machine file.
type Trial struct {
	// Date is the day as 2006-01-02, empty where not known.
	Date   string
	Family Family
	// GapMM is the gap of a side, bottom or roof trial, as drawn; 0 is
	// contact. Of a bottom trial it is the gap untrimmed: twice what was cut
	// off each side is added to what was drawn. 0 where AirLayers is set, and
	// for a bridge.
	GapMM float64
	// AirLayers is the air of a roof trial in whole layers, nil where GapMM
	// gives it.
	AirLayers *int
	// SpanMM and SagMM are of a bridge only.
	SpanMM, SagMM float64
	// Result is empty for a bridge: its sag is its result.
	Result Result
	// LayerHeightMM is 0 where not known; a bridge and a roof trial in layers
	// cannot be judged without.
	LayerHeightMM float64
	// FirstHeightMM is the first layer's height, 0 where not known.
	FirstHeightMM float64
	// Flow is the share of the nominal material, 0 where not known.
	Flow float64
	// Source is where it comes from in a person's words: a cell of the
	// coupon, the name of a print. May be empty.
	Source string
}

// JointMark stands in a Source between the name of a model and the number of
// its joint.
const JointMark = ", joint "

// SourceOf is the Source of a trial that a joint of a printed model is. The
// model's name is shortened in its middle where a source would be too long.
func SourceOf(model string, joint int) string {
	mark := JointMark + strconv.Itoa(joint)
	name := []rune(strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) {
			return r
		}
		return '?'
	}, strings.ToValidUTF8(model, "?")))
	const between = "..."
	if room := MaxTextLength - len(mark); len(name) > room {
		half := (room - len(between)) / 2
		name = append(append(slices.Clone(name[:half]), []rune(between)...), name[len(name)-half:]...)
	}
	return string(name) + mark
}

// Gap is the gap that was tried, mm: for a roof trial in layers their air.
// It is 0 for a bridge.
func (t Trial) Gap() float64 {
	switch {
	case t.Family == FamilyBridge:
		return 0
	case t.AirLayers != nil:
		return math.Round(float64(*t.AirLayers)*t.LayerHeightMM*needsPerMM) / needsPerMM
	}
	return t.GapMM
}

// Held says whether a bridge sagged by at most one layer.
func (t Trial) Held() bool {
	return t.Family == FamilyBridge && t.SagMM <= t.LayerHeightMM+sameSagMM
}

// sameSagMM is how far beyond a layer a sag is still one layer, mm: less than
// a feeler can tell, more than the rounding of a sum.
const sameSagMM = 1e-6
