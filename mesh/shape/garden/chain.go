package garden

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The pea chain, mm. It runs along x.
const (
	chainLinks = 7
	chainLong  = 80.0
	linkWire   = 2.0 // radius
	linkHalf   = 5.5 // half the width, between the wire's middles
	linkCorner = 4.5 // radius of the wire's middle
	linkRound  = 48  // segments of the wire's corners; its section has 32
	// linkFoot is what the bed takes off a link, so that it stands on a strip
	// 2.9 mm wide and rises from it at less than 45 degrees.
	linkFoot = 0.6
)

// PeaChain returns seven links hanging in one another, about 80 x 12 x 11 mm.
// Each is an oval of round wire that leans by 45 degrees, by turns to the
// left and to the right, with one long side on the bed and flattened there.
//
// The gap, in mm, is the true gap between two neighbours: their end bars
// cross at right angles, straight where they pass, and the 32 corners of the
// wire face each other there, so it is exact.
func PeaChain(gap float64) (shape.Solid, error) { return one(peaChain(gap)) }

func peaChain(gap float64) ([]shape.Solid, error) {
	if err := checkGap("pea chain", gap); err != nil {
		return nil, err
	}
	// The middles of two crossing end bars lie cross apart; each link
	// reaches half from its own middle.
	cross := 2*linkWire + gap
	half := (chainLong - 2*linkWire + (chainLinks-1)*cross) / (2 * chainLinks)
	pitch := 2*half - cross
	path, err := shape.Rounded(shape.Rect(-half, -linkHalf, half, linkHalf), linkCorner, linkRound/4)
	if err != nil {
		return nil, err
	}
	wire, err := shape.Sweep(path, shape.Circle(r2.Vec{}, linkWire, round/3, 0))
	if err != nil {
		return nil, err
	}
	const low = linkHalf*tilted45 + linkWire - linkFoot
	links := make([]shape.Solid, chainLinks)
	for i := range links {
		lean := 45.0
		if i%2 == 1 {
			lean = -45
		}
		link, err := shape.Trim(wire.Turn(lean, 0, 0).Move(half+linkWire+float64(i)*pitch, 0, low), 0)
		if err != nil {
			return nil, err
		}
		links[i] = link
	}
	return links, nil
}
