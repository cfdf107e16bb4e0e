// Package gapscan measures the gaps of a sliced model, compares them with
// what a machine keeps open, and says what will come out.
package gapscan

// Schema names the form of Result as JSON. Fields are added, never renamed.
const Schema = "playgauge.vet/1"

// Outcome is what is expected of a layer, a joint or a model.
type Outcome string

// The outcomes, from best to worst, and the model without any joint.
const (
	Free    Outcome = "free"
	Close   Outcome = "close"
	Sticks  Outcome = "sticks"
	Welds   Outcome = "welds"
	NoJoint Outcome = "no joint"
)

// Cause says between which beads a margin is least.
type Cause string

// The causes.
const (
	CauseSide   Cause = "side"   // two beads of one layer
	CauseBottom Cause = "bottom" // the same, in the bottom layers
	CauseRoof   Cause = "roof"   // one above the other
	CauseSlope  Cause = "slope"  // of different layers, side by side
)

// Result is the whole answer about one model on one machine: what `vet
// --json` prints. Lengths are mm, rounded to 1e-6; nil means unknown or that
// nothing is within reach; empty lists are not nil. Places are on the bed's
// axes, after turning and scaling.
type Result struct {
	Schema       string      `json:"schema"`
	Model        Model       `json:"model"`
	Mesh         MeshState   `json:"mesh"`
	Machine      MachineUsed `json:"machine"`
	Plan         PlanUsed    `json:"plan"`
	Adjusted     *Adjusted   `json:"adjusted"`
	ReachMM      float64     `json:"reach_mm"`
	Demands      Demands     `json:"demands"`
	Parts        []Part      `json:"parts"`
	PrintedParts int         `json:"printed_parts"`
	Joined       []Joined    `json:"joined"`
	Layers       []Layer     `json:"layers"`
	Joints       []Joint     `json:"joints"`
	Overhangs    []Overhang  `json:"overhangs"`
	Slots        []Slot      `json:"slots"`
	Cautions     []Caution   `json:"cautions"`
	// PFree is the chance that every joint comes out free: not the product of
	// the joints', for they share the machine.
	PFree *float64 `json:"p_free"`
	// PFreeLacks names the families of trials ("side", "bottom", "roof") for
	// want of which a joint's chance, and so PFree, is nil.
	PFreeLacks []string `json:"p_free_lacks"`
	Outcome    Outcome  `json:"outcome"`
	// FirstBadLayer is the lowest layer that sticks or welds.
	FirstBadLayer *int `json:"first_bad_layer"`
	// Tight holds for each layer, in their order, the places that are not
	// free, for a picture: nil unless Options.Tight asks for them.
	Tight []Tight `json:"-"`
}

// Model says what was read and how it was placed.
type Model struct {
	File      string     `json:"file"`
	Format    string     `json:"format"`
	Triangles int        `json:"triangles"`
	Units     string     `json:"units"`
	Scale     [3]float64 `json:"scale"`
	TurnDeg   [3]float64 `json:"turn_deg"`
	SizeMM    [3]float64 `json:"size_mm"`
	// UnitDoubt says why the units may be others, and which: where the file
	// says none, or is overruled, and the size is not a toy's. Empty otherwise.
	UnitDoubt string `json:"unit_doubt"`
}

// MeshState says how sound the mesh is.
type MeshState struct {
	Watertight       bool `json:"watertight"`
	OpenEdges        int  `json:"open_edges"`
	NonManifoldEdges int  `json:"nonmanifold_edges"`
	Shells           int  `json:"shells"`
	// UnmeasuredContours counts contours that were left out, layer by layer,
	// since they did not close: gaps to them are not in the answer.
	UnmeasuredContours int      `json:"unmeasured_contours"`
	Warnings           []string `json:"warnings"`
}

// MachineUsed is the machine the answer rests on. The needs are those the
// margins were measured by; Defaults names the ones that were not tested on
// this machine and are the built-in cautious ones.
type MachineUsed struct {
	Name     string  `json:"name"`
	Tested   bool    `json:"tested"`
	NozzleMM float64 `json:"nozzle_mm"`
	Material string  `json:"material"`
	SideMM   float64 `json:"side_mm"`
	RoofMM   float64 `json:"roof_mm"`
	BottomMM float64 `json:"bottom_mm"`
	BridgeMM float64 `json:"bridge_mm"`
	// BottomFrom says what the bottom need was reckoned from: "tested" (by
	// hand), "trials", "spread" (the side need and twice the spread), "built-in", or "side"
	// where that is more than any of them.
	BottomFrom   string   `json:"bottom_from"`
	TrimMM       float64  `json:"trim_mm"`
	BottomLayers int      `json:"bottom_layers"`
	OverhangDeg  float64  `json:"overhang_deg"`
	Defaults     []string `json:"defaults"`
	// From says where each need was found, in the order side, roof, bottom,
	// bridge.
	From []NeedFrom `json:"from"`
}

// NeedFrom says where a need was found.
type NeedFrom struct {
	Need string `json:"need"` // "side_mm", "roof_mm", "bottom_mm", "bridge_mm"
	// Source is "tested by hand", "trials", "spread" or "built-in".
	Source string `json:"source"`
	// Rule is how the trials say what they say, also where a limit written by
	// hand wins over them: "limit" (free with 95 %), "smallest free", "beyond"
	// (wider than anything tried), "longest" (of a bridge), or "".
	Rule string `json:"rule"`
	// MM is what was found: of a bottom need before the trim and the side
	// need have their say.
	MM       float64  `json:"mm"`
	Trials   int      `json:"trials"`    // of this family
	TrialsMM *float64 `json:"trials_mm"` // what they say, nil where nothing
	Words    string   `json:"words"`     // all of it for a person
}

// PlanUsed is the layer plan.
type PlanUsed struct {
	FirstHeightMM float64 `json:"first_height_mm"`
	LayerHeightMM float64 `json:"layer_height_mm"`
	Layers        int     `json:"layers"`
}

// Adjusted says how the layers differ from the model as drawn: the what-if's
// trim, inset, flow and lift. Nil where they do not.
type Adjusted struct {
	TrimMM  float64 `json:"trim_mm"`
	InsetMM float64 `json:"inset_mm"`
	Flow    float64 `json:"flow"`
	LiftMM  float64 `json:"lift_mm"`
	// RecededMM is how far each wall stands back by inset and flow together:
	// gaps between facing walls are wider by twice that. Gaps of a joint in
	// space and its roof gap stay as drawn.
	RecededMM float64 `json:"receded_mm"`
}

// Demands is what the model asks of any machine: the machine-free half of
// the answer.
type Demands struct {
	// SideMM is the smallest side gap above the bottom layers, BottomMM the
	// smallest in them.
	SideMM *float64 `json:"side_mm"`
	// SlopeMM is the least gap between beads of different layers, side by
	// side or above one another where the upper one stands: where side and
	// roof need are at most this, they are met. Nil where it is not less than
	// SideMM.
	SlopeMM  *float64 `json:"slope_mm"`
	RoofMM   *float64 `json:"roof_mm"`         // least air printed under a hanging roof
	RoofAir  *int     `json:"roof_air_layers"` // the same in layers
	BottomMM *float64 `json:"bottom_mm"`
	BridgeMM *float64 `json:"bridge_mm"`
}

// Part is one piece that moves by itself.
type Part struct {
	ID            int        `json:"id"`
	VolumeMM3     float64    `json:"volume_mm3"`
	SizeMM        [3]float64 `json:"size_mm"`
	Triangles     int        `json:"triangles"`
	BedContactMM2 *float64   `json:"bed_contact_mm2"`
	StartsAtLayer *int       `json:"starts_at_layer"`
	SmallPart     *string    `json:"small_part"`
}

// Joined is a pair of parts that the layers make one piece of, in a layer the
// first time: two pieces that were apart below it.
type Joined struct {
	Parts [2]int `json:"parts"`
	Layer int    `json:"layer"`
}

// Layer is what one layer shows. Margin, outcome and cause are nil, and the
// parts empty, where no two parts come within reach.
type Layer struct {
	Layer      int            `json:"layer"`
	ZBottomMM  float64        `json:"z_bottom_mm"`
	ZTopMM     float64        `json:"z_top_mm"`
	Islands    int            `json:"islands"`
	SideGapMM  *float64       `json:"side_gap_mm"`
	SideEndsMM *[2][2]float64 `json:"side_ends_mm"`
	SideNeedMM float64        `json:"side_need_mm"`
	RoofAirMM  *float64       `json:"roof_air_mm"`
	Margin     *float64       `json:"margin"`
	Outcome    *Outcome       `json:"outcome"`
	Cause      *Cause         `json:"cause"`
	Parts      []int          `json:"parts"`
	AtMM       *[2]float64    `json:"at_mm"`
	// GapMM is the gap between the beads at the margin, NeedMM the gap that
	// would just be met there. EndsMM are the places of the two beads in plan
	// and EndsLayers the layers they lie in: the upper bead's first. Over a
	// roof the two places are one.
	GapMM      *float64       `json:"gap_mm"`
	NeedMM     *float64       `json:"need_mm"`
	EndsMM     *[2][2]float64 `json:"ends_mm"`
	EndsLayers *[2]int        `json:"ends_layers"`
	// RepairedContours counts contours closed across a gap in the mesh.
	RepairedContours int `json:"repaired_contours"`
}

// Joint is two parts within reach of each other, listed worst first. One
// with no beads to judge has margin, outcome and cause nil and stands last.
type Joint struct {
	ID            int         `json:"id"`
	Parts         [2]int      `json:"parts"`
	SideGapMM     *float64    `json:"side_gap_mm"`
	SideLayer     *int        `json:"side_layer"`
	RoofGapMM     *float64    `json:"roof_gap_mm"`
	RoofAirLayers *int        `json:"roof_air_layers"`
	RoofLayer     *int        `json:"roof_layer"`
	TrueGapMM     float64     `json:"true_gap_mm"`
	Margin        *float64    `json:"margin"`
	Outcome       *Outcome    `json:"outcome"`
	Cause         *Cause      `json:"cause"`
	WorstLayer    *int        `json:"worst_layer"`
	AtMM          *[3]float64 `json:"at_mm"`
	WeldMM2       *float64    `json:"weld_mm2"`
	// WeldForm is "spot", "line" or "seam": that of the largest place. A
	// line has a length, a seam may go all round.
	WeldForm     *string  `json:"weld_form"`
	WeldLengthMM *float64 `json:"weld_length_mm"`
	WeldAllRound *bool    `json:"weld_all_round"`
	WeldPlaces   *int     `json:"weld_places"`
	// PFree is the chance that the joint comes out free by the machine's
	// trials, nil where these do not tell.
	PFree *float64 `json:"p_free"`
	// GapMM is the gap between the beads at the margin, NeedMM the gap that
	// would just be met there: what is short by how much.
	GapMM  *float64 `json:"gap_mm"`
	NeedMM *float64 `json:"need_mm"`
	// EndsMM and EndsLayers say between which two beads, as of a Layer.
	EndsMM     *[2][2]float64 `json:"ends_mm"`
	EndsLayers *[2]int        `json:"ends_layers"`
	// Asks is what this joint alone asks of any machine; it knows of no
	// bridges.
	Asks Demands `json:"-"`
}

// Overhang is one region laid over air.
type Overhang struct {
	Layers  [2]int   `json:"layers"`
	Kind    string   `json:"kind"`
	SpanMM  *float64 `json:"span_mm"`
	AreaMM2 float64  `json:"area_mm2"`
	Part    int      `json:"part"`
	// OverPart is what lies nearest below, nil for the bed, DropMM how far.
	OverPart *int     `json:"over_part"`
	DropMM   *float64 `json:"drop_mm"`
	// LiesOnPart is the part that a start in mid-air lies down on: it needs
	// no support.
	LiesOnPart *int        `json:"lies_on_part"`
	AtMM       *[2]float64 `json:"at_mm"`
}

// Slot is a gap inside one part.
type Slot struct {
	Part    int         `json:"part"`
	Layer   int         `json:"layer"`
	WidthMM float64     `json:"width_mm"`
	NeedMM  float64     `json:"need_mm"`
	Margin  float64     `json:"margin"`
	Outcome Outcome     `json:"outcome"`
	AtMM    *[2]float64 `json:"at_mm"`
}

// Caution is something to know that changes no outcome.
type Caution struct {
	Kind  string `json:"kind"`
	Text  string `json:"text"`
	Part  *int   `json:"part"`
	Layer *int   `json:"layer"`
}
