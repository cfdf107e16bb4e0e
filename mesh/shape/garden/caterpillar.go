package garden

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The caterpillar, mm. It runs along x and looks to +x.
const (
	grubSegments = 4
	grubRadius   = 8.6  // of a segment where it stands
	grubLip      = 6.8  // how far it reaches to the front
	grubBack     = 7.2  // of the back's dome
	grubBroad    = 1.15 // how much broader the dome is than long
	grubHump     = 7.8  // height of the dome
	grubFoot     = 2.4  // the pins
	grubWaist    = 1.3
	grubTop      = 2.6
	grubPost     = 1.5 // from a segment's middle to its pin
	grubRim      = 1.2 // of an eye round its hole, at the bed
	grubHead     = 10.0
	grubHeadHigh = 6.5 // of its middle
	grubTall     = 3.0 // of the tongues
	grubRound    = 48
)

// Caterpillar returns a caterpillar of a head and four segments, about 92 x
// 21 x 24 mm, that bends to both sides. Every segment but the last has a
// tongue behind, which lies on the bed and ends in an eye; the next one's
// mouth takes it in and holds it by a pin with a foot.
//
// The gap, in mm, is the true gap round the pin, beside the eye and between
// the segments. The roof is that over the tongue, whose upper side lies low
// mm above the bed.
func Caterpillar(gap, roof, low float64) (shape.Solid, error) {
	return one(caterpillar(gap, roof, low))
}

// caterpillar returns the head, then the segments.
func caterpillar(gap, roof, low float64) ([]shape.Solid, error) {
	for _, g := range []float64{gap, roof} {
		if err := checkGap("caterpillar", g); err != nil {
			return nil, err
		}
	}
	pin := rivet{foot: grubFoot, waist: grubWaist, top: grubTop, high: low + roof}
	hole := pin.hole(gap, low)
	eye := grubFoot + gap + grubRim
	tongue := func(from, pitch float64) (shape.Solid, error) {
		// The eye's middle, seen from that of the segment before it.
		c := r2.Vec{X: grubPost - pitch}
		const a = 30 // where the tongue begins; the mouth's corners face the eye's
		outline := shape.Arc(c, eye, a, 360-a, grubRound*5/6)
		half := eye / 2
		outline = append(outline, r2.Vec{X: from, Y: -half}, r2.Vec{X: from, Y: half})
		return shape.Bored(outline, 0, low, shape.Bore{Center: c, Profile: hole, N: grubRound})
	}
	headPitch := grubHead + grubRadius + gap
	pitch := 2*grubRadius + gap

	head, err := grubFace()
	if err != nil {
		return nil, err
	}
	t, err := tongue(-grubHead+4, headPitch)
	if err != nil {
		return nil, err
	}
	parts := []shape.Solid{head.Append(t)}
	x := -headPitch
	for i := range grubSegments {
		s, err := grubSegment(pin, eye+gap, low+roof)
		if err != nil {
			return nil, err
		}
		if i < grubSegments-1 {
			t, err := tongue(-grubRadius+1.5, pitch)
			if err != nil {
				return nil, err
			}
			s = s.Append(t)
		}
		parts = append(parts, s.Move(x, 0, 0))
		x -= pitch
	}
	return parts, nil
}

// grubSegment is a segment with a mouth of the given half width and ceiling.
func grubSegment(pin rivet, mouth, ceiling float64) (shape.Solid, error) {
	// Round behind, square before: the ceiling's front lies between two
	// walls. From one side's front to the other's, round the back.
	stand := func(r, lip float64) []r2.Vec {
		const corner = 2.4
		p := shape.Arc(r2.Vec{X: lip - corner, Y: r - corner}, corner, 0, 90, grubRound/6)
		p = append(p, shape.Arc(r2.Vec{}, r, 90, 270, grubRound/2)...)
		return append(p, shape.Arc(r2.Vec{X: lip - corner, Y: corner - r}, corner, 270, 360, grubRound/6)...)
	}
	outline := append(stand(grubRadius, grubLip), r2.Vec{X: grubLip, Y: -mouth})
	outline = append(outline, shape.Arc(r2.Vec{X: grubPost}, mouth, 270, 90, grubRound/2)...)
	outline = append(outline, r2.Vec{X: grubLip, Y: mouth})
	base, err := shape.Extrude(outline, nil, 0, ceiling+0.8)
	if err != nil {
		return shape.Solid{}, err
	}
	const belt = 0.3 // so that no two faces coincide
	slab, err := shape.Extrude(stand(grubRadius+belt, grubLip-belt), nil, ceiling, ceiling+1.8)
	if err != nil {
		return shape.Solid{}, err
	}
	const steps = 12
	back := []r2.Vec{{Y: ceiling + 0.9}, {X: grubBack, Y: ceiling + 0.9}}
	for i := range steps + 1 {
		sin, cos := math.Sincos(float64(i) / steps * math.Pi / 2)
		if i == steps {
			cos = 0
		}
		back = append(back, r2.Vec{X: float64(grubBack * cos), Y: ceiling + 1.8 + float64(grubHump*sin)})
	}
	dome, err := shape.Lathe(back, grubRound, 0)
	if err != nil {
		return shape.Solid{}, err
	}
	s := base.Append(slab, dome.Scale(1, grubBroad, 1).Move(grubLip-belt-grubBack-0.2, 0, 0), pin.solid(1.2, grubRound).Move(grubPost, 0, 0))
	for _, side := range []float64{-1, 1} {
		s = s.Append(grubShoe().Move(-0.5, side*grubRadius, 0))
	}
	return s, nil
}

// grubShoe is a foot.
func grubShoe() shape.Solid {
	profile := []r2.Vec{{}, {X: 2.2}, {X: 2.2, Y: 1.2}}
	profile = append(profile, shape.Arc(r2.Vec{Y: 1.2}, 2.2, 0, 90, 6)[1:]...)
	profile[len(profile)-1].X = 0
	return shape.Must(shape.Lathe(profile, grubRound/2, 0))
}

// grubFace is the head: a ball with eyes and two feelers.
func grubFace() (shape.Solid, error) {
	ball, err := shape.Trim(shape.Sphere(grubHead, grubRound).Move(0, 0, grubHeadHigh), 0)
	if err != nil {
		return shape.Solid{}, err
	}
	for _, side := range []float64{-1, 1} {
		// Half sunk, so that what hangs of an eye is carried by the head.
		ball = ball.Append(
			shape.Sphere(2.4, 24).Move(7.4, side*3.6, 11.3),
			snailFeeler(14, 21.5).Move(1.5, side*3.6, 0))
	}
	return ball, nil
}
