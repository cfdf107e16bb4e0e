package garden

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/shape"
)

// The mesh cloth, mm.
const (
	clothRows   = 4   // rings along a side
	clothRing   = 9.2 // from a ring's middle to the middles of its eight sides
	clothWide   = 2.2 // the wire's section
	clothTall   = 2.2
	clothBeside = 0.9 // between rings that are not linked
)

// MeshCloth returns a pot mat of 25 linked rings, about 85 mm square and 5 mm
// tall: four rows of four and three rows of three between them. A ring has
// eight sides. The two across x lie on the bed, the two across y are bridges
// over the wires of others; the wire rises by 45 degrees along the sides
// between. So each of a ring's neighbours, which lie across its diagonals,
// passes over it once and under it once.
//
// The gap, in mm, is the true gap where one ring crosses another, exact since
// straight sides cross there; beside is
// that between two rings that are not linked but lie next to each other in a
// row.
func MeshCloth(gap, beside float64) (shape.Solid, error) { return one(meshCloth(gap, beside)) }

// meshCloth returns the rings by rows.
func meshCloth(gap, beside float64) ([]shape.Solid, error) {
	for _, g := range []float64{gap, beside} {
		if err := checkGap("mesh cloth", g); err != nil {
			return nil, err
		}
	}
	ring, err := clothLink(gap)
	if err != nil {
		return nil, err
	}
	half := clothRing + clothWide/2 + beside/2 // half the pitch of a row
	var parts []shape.Solid
	for j := range 2*clothRows - 1 {
		for i := j % 2; i < 2*clothRows-1; i += 2 {
			parts = append(parts, ring.Move(half*float64(i), half*float64(j), 0))
		}
	}
	return parts, nil
}

// clothLink is one ring round the z axis.
func clothLink(gap float64) (shape.Solid, error) {
	const (
		corner = clothRing / 0.9238795325112867 // cos 22.5 degrees
		// The bridge is as long as its inner wall, so that both ends of it
		// stand on the slope below.
		bridge = (clothRing - clothWide/2) * 0.41421356237309503 // tan 22.5 degrees
		// Points of the path lie so near to the bridge's ends, so near to one
		// another on the slanting sides, in mm.
		beside, step = 0.05, 0.8
	)
	var path []r2.Vec
	eight := shape.Circle(r2.Vec{}, corner, 8, 22.5)
	for i, p := range eight {
		q := eight[(i+1)%8]
		path = append(path, p)
		switch d := r2.Sub(q, p); {
		case i%4 == 1: // over the others
			end := math.Copysign(bridge-beside, p.X)
			path = append(path, r2.Vec{X: end, Y: p.Y}, r2.Vec{X: -end, Y: p.Y})
		case i%2 == 0: // slanting
			n := math.Ceil(r2.Norm(d) / step)
			for k := 1.0; k < n; k++ {
				path = append(path, r2.Add(p, r2.Scale(k/n, d)))
			}
		}
	}
	flat, err := shape.Sweep(path, clothSection())
	if err != nil {
		return shape.Solid{}, err
	}
	rise := clothTall + gap
	return flat.Bend(func(v r3.Vec) r3.Vec {
		v.Z += min(rise, max(0, bridge+rise-math.Abs(v.X)))
		return v
	}), nil
}

// clothSection is the wire's: its corners taken off, so that edges on the bed
// are relieved and the sides stay straight.
func clothSection() []r2.Vec {
	const cut = clothTall / 4
	wire := shape.Rect(-clothWide/2, 0, clothWide/2, clothTall)
	var section []r2.Vec
	for i, p := range wire {
		next, last := wire[(i+1)%4], wire[(i+3)%4]
		section = append(section,
			r2.Add(p, r2.Scale(cut, r2.Unit(r2.Sub(last, p)))),
			r2.Add(p, r2.Scale(cut, r2.Unit(r2.Sub(next, p)))))
	}
	return section
}
