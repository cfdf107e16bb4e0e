// Package remedy looks for the smallest changes that make a model print free
// on a machine: layer heights, a trimmed first layer, another face down, less
// flow, an inset, a scale, another machine, and pairs of them. Every change it
// names was vetted.
package remedy

import "playgauge/gapscan"

// Schema names the form of Result as JSON. Fields are added, never renamed.
const Schema = "playgauge.remedy/1"

// Result is the answer: what `remedy --json` prints. Lists are not nil.
type Result struct {
	Schema  string              `json:"schema"`
	Model   gapscan.Model       `json:"model"`
	Machine gapscan.MachineUsed `json:"machine"`
	Before  Before              `json:"before"`
	// Changes lists the changes that work, best first. Where the model works
	// as it is but is only close, they are those that make it free.
	Changes []Change `json:"changes"`
	// Refused lists changes that would open the gaps and are not named among
	// Changes, a line each with the reason.
	Refused []string `json:"refused"`
	// Practice lists, in the order in which to try it, what is common practice
	// against such a weld and cannot be calculated.
	Practice []string `json:"practice"`
	// StandsInTheWay is the worst joint where no change was found, otherwise
	// nil.
	StandsInTheWay *Obstacle `json:"stands_in_the_way"`
}

// Before is what vet says of the model as it is.
type Before struct {
	Outcome       gapscan.Outcome `json:"outcome"`
	PFree         *float64        `json:"p_free"`
	FirstBadLayer *int            `json:"first_bad_layer"`
	// Tightest is the worst joint, nil without one.
	Tightest *Tightest `json:"tightest"`
	Layers   int       `json:"layers"`
}

// Change is one change, or a pair, that works.
type Change struct {
	// Change says it in words.
	Change string `json:"change"`
	// Flags are vet's; behind those of the call they reproduce the row. They are
	// filled in by the command, from WhatIf and Machine.
	Flags   []string        `json:"flags"`
	Outcome gapscan.Outcome `json:"outcome"`
	PFree   *float64        `json:"p_free"`
	// Steady says that the change still works with the model shifted by
	// LiftMM up or down against the layers and, of a scale, at the next two
	// percents.
	Steady bool `json:"steady"`
	// Cautions lists what is to be minded of the change itself, and what vet
	// warns of that it did not warn of before.
	Cautions []string   `json:"cautions"`
	SizeMM   [3]float64 `json:"size_mm"`
	// VolumeRatio is the volume over that before; TimeRatio is a rough
	// estimate of the printing time over that before: the volume over the layer
	// height, as if lines were laid at one speed and width.
	VolumeRatio float64   `json:"volume_ratio"`
	Layers      int       `json:"layers"`
	TimeRatio   float64   `json:"time_ratio"`
	Tightest    *Tightest `json:"tightest"`

	// WhatIf is the whole what-if, Machine the number of the other machine in
	// Options.Others, -1 for the machine itself.
	WhatIf  gapscan.WhatIf `json:"-"`
	Machine int            `json:"-"`

	tier, kind int  // see rank.go
	support    bool // it starts in mid-air where it did not before
}

// Tightest is the joint with the least room.
type Tightest struct {
	Parts  [2]int        `json:"parts"`
	Cause  gapscan.Cause `json:"cause"`
	Margin float64       `json:"margin"`
}

// Obstacle is a joint that no change opens.
type Obstacle struct {
	Parts   [2]int        `json:"parts"`
	Cause   gapscan.Cause `json:"cause"`
	HasMM   float64       `json:"has_mm"`
	NeedsMM float64       `json:"needs_mm"`
	// Touch says that the parts touch as drawn: no setting of a printer makes
	// a gap where none is drawn.
	Touch bool `json:"touch"`
}

// tightest is the worst joint of a result.
func tightest(r *gapscan.Result) *Tightest {
	if len(r.Joints) == 0 || r.Joints[0].Margin == nil {
		return nil
	}
	j := &r.Joints[0]
	return &Tightest{Parts: j.Parts, Cause: *j.Cause, Margin: *j.Margin}
}

// works says whether an outcome is one to print with.
func works(o gapscan.Outcome) bool { return o == gapscan.Free || o == gapscan.Close }
