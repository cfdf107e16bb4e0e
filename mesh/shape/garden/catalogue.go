package garden

import "playgauge/mesh/shape"

// Model is one entry of the catalogue.
type Model struct {
	// Name is what a person calls it.
	Name string
	// File is the name of its file.
	File string
	// About says in one line what it is, or what of it fails and why.
	About string
	// Shows is the failure it stands for; Nothing for a model that prints
	// free.
	Shows Failure
	// Build makes it.
	Build func() shape.Solid
}

// Failure is a typical way for such a model to fail.
type Failure string

// The failures.
const (
	Nothing Failure = ""
	Bottom  Failure = "bottom"  // the bottom layer spreads and closes a gap
	Side    Failure = "side"    // walls stand too near
	Slope   Failure = "slope"   // beads of different layers come too near
	Phase   Failure = "phase"   // a roof gap prints with a layer less than it might
	MidAir  Failure = "mid-air" // something begins in mid-air
	Slot    Failure = "slot"    // a slot inside one part closes
)

// roomy is the gap of the models that print free, mm, on a machine that keeps
// 0.4 open beside and above and 0.5 in the bottom layer, at layers of 0.2:
// 0.65 is 1.3 times that bottom need, and three whole layers fit into it
// wherever it lies.
const roomy = 0.65

// A roof of onePhase mm over a place that lies badPhase mm above the top of a
// layer prints with one layer of air, where two would fit: layers of 0.2 mm
// are cut in their middles, and between 4.15 and 4.45, say, there is but the
// cut at 4.3.
const (
	onePhase = 0.3
	badPhase = 0.15
)

// Models returns the catalogue: of each toy one that prints free on such a
// machine, followed by those that show a failure on it.
func Models() []Model {
	type solid = shape.Solid // for short
	of := func(name, file, about string, shows Failure, build func() (solid, error)) Model {
		return Model{name, file + ".stl", about, shows, func() solid { return shape.Must(build()) }}
	}
	return []Model{
		of("gate hinge", "gate-hinge", "two leaves whose knuckles turn on cones", Nothing,
			func() (solid, error) { return GateHinge(roomy) }),
		of("gate hinge", "gate-hinge-bottom-spreads", "feet 0.3 mm apart in the first layer", Bottom,
			func() (solid, error) { return one(gateHinge(roomy, 0.3)) }),
		of("pea chain", "pea-chain", "seven links that hang in one another", Nothing,
			func() (solid, error) { return PeaChain(roomy) }),
		of("pea chain", "pea-chain-side-spot", "links 0.3 mm apart stick in a spot each", Side,
			func() (solid, error) { return PeaChain(0.3) }),
		of("snail", "snail", "a ball joint between house and head", Nothing,
			func() (solid, error) { return Snail(roomy) }),
		of("snail", "snail-slope-near", "0.4 mm round the ball, less between layers", Slope,
			func() (solid, error) { return Snail(0.4) }),
		of("windmill", "windmill", "sails that spin on eight captive rollers", Nothing,
			func() (solid, error) { return Windmill(roomy) }),
		of("windmill", "windmill-slope-near", "0.4 mm, but less along the rollers' slopes", Slope,
			func() (solid, error) { return Windmill(0.4) }),
		of("gears", "gears", "three meshing gears in a frame", Nothing,
			func() (solid, error) { return GearFrame(roomy, roomy) }),
		of("gears", "gears-bottom-lines", "teeth stick in lines of the first layer", Bottom,
			func() (solid, error) { return GearFrame(roomy, 0.42) }),
		of("plant clip", "plant-clip", "two jaws of three legs, opened by petals", Nothing,
			func() (solid, error) { return PlantClip(roomy) }),
		of("plant clip", "plant-clip-mid-air", "moves, but its middle legs need support", MidAir,
			func() (solid, error) { return one(plantClip(roomy, clipLegs{lift: 3})) }),
		of("plant clip", "plant-clip-slots-close", "moves, but the slits in its legs close", Slot,
			func() (solid, error) { return one(plantClip(roomy, clipLegs{slit: 0.25})) }),
		of("trellis", "trellis", "eight riveted laths that stretch and fold", Nothing,
			func() (solid, error) { return Trellis(roomy, roomy, trellisHigh) }),
		of("trellis", "trellis-roof-phase", "0.3 mm where only one layer of air fits", Phase,
			func() (solid, error) { return Trellis(roomy, onePhase, trellisHigh+badPhase) }),
		of("mesh cloth", "mesh-cloth", "a pot mat of 25 linked rings", Nothing,
			func() (solid, error) { return MeshCloth(roomy, clothBeside) }),
		of("mesh cloth", "mesh-cloth-side-near", "rings 0.32 mm from the next in their row", Side,
			func() (solid, error) { return MeshCloth(roomy, 0.32) }),
		of("caterpillar", "caterpillar", "a head and four segments that bend", Nothing,
			func() (solid, error) { return Caterpillar(roomy, roomy, grubTall) }),
		of("caterpillar", "caterpillar-roof-phase", "0.3 mm where only one layer of air fits", Phase,
			func() (solid, error) { return Caterpillar(roomy, onePhase, grubTall+badPhase) }),
	}
}
