package shape

import "gonum.org/v1/gonum/spatial/r2"

// Lathe returns the body that a closed profile makes when it is turned round
// the z axis, in n segments; the first vertices lie at the angle phase in
// degrees. The profile holds r (as X, never negative) and z (as Y) and may
// run either way round; it must be simple. Every profile corner off the axis
// becomes a ring of n vertices, every one on the axis one vertex. It may
// touch the axis along sides, which leave no facets; a single corner on the
// axis between two that are off it is an *Error, for the surface would touch
// itself there. Facets between rings are flat trapezoids, each of two
// triangles. The volume is n/2 sin(360/n) times the integral of r squared
// over dz, round the profile.
//
// Use Divide on the profile to have more, smaller facets.
func Lathe(profile []r2.Vec, n int, phase float64) (Solid, error) {
	b := builder{op: "lathe"}
	if n < 3 {
		return Solid{}, &Error{Op: b.op, Rule: "three segments are needed"}
	}
	if err := checkRings(b.op, [][]r2.Vec{profile}); err != nil {
		return Solid{}, err
	}
	profile = oriented(profile, true)
	m := len(profile)
	rings := make([][]int32, m)
	for i, p := range profile {
		before, after := profile[(i+m-1)%m].X == 0, profile[(i+1)%m].X == 0
		switch {
		case p.X < 0:
			return Solid{}, &Error{Op: b.op, Rule: "a radius is negative", At: p, Placed: true}
		case p.X == 0 && !before && !after:
			return Solid{}, &Error{Op: b.op, Rule: "the profile touches the axis in a point", At: p, Placed: true}
		case p.X == 0 && before && after:
			continue // inside a side on the axis: no facet needs it
		}
		rings[i] = b.circle(r2.Vec{}, p, n, phase)
	}
	for i := range profile {
		if j := (i + 1) % m; profile[i].X != 0 || profile[j].X != 0 {
			b.join(rings[i], rings[j])
		}
	}
	return b.Solid, nil
}

// Cylinder returns the upright n-gon prism by vertices on the circle of
// radius r round the z axis, from z = 0 to h; the first vertex lies at the
// angle phase in degrees. The ends are fans round the axis.
func Cylinder(r, h float64, n int, phase float64) Solid {
	return Must(Lathe([]r2.Vec{{}, {X: r}, {X: r, Y: h}, {Y: h}}, n, phase))
}

// Tube returns the upright ring between the radii r0 < r1, from z = 0 to h,
// with both walls n-gons by vertices, aligned.
func Tube(r0, r1, h float64, n int, phase float64) Solid {
	return Must(Lathe(Rect(r0, 0, r1, h), n, phase))
}

// Cone returns the upright frustum of radius r0 at z = 0 and r1 at h. Either
// radius may be 0, not both.
func Cone(r0, r1, h float64, n int, phase float64) Solid {
	profile := []r2.Vec{{}, {X: r0}, {X: r1, Y: h}, {Y: h}}
	switch {
	case r0 == 0:
		profile = profile[1:]
	case r1 == 0:
		profile = profile[:3]
	}
	return Must(Lathe(profile, n, phase))
}

// Torus returns the ring round the z axis whose centre line has the radius R
// and whose section has the radius r < R: nR segments round the axis, nr
// round the section, vertices on the true torus, at the angles 0 of both.
func Torus(R, r float64, nR, nr int) Solid {
	return Must(Lathe(Circle(r2.Vec{X: R}, r, nr, 0), nR, 0))
}

// Sphere returns the ball of radius r round the origin: n segments round the
// z axis, half of n (at least 2) from pole to pole, vertices on the true
// sphere. For part of a ball, turn a profile made with Arc.
func Sphere(r float64, n int) Solid {
	p := Arc(r2.Vec{}, r, -90, 90, max(2, n/2))
	return Must(Lathe(p, n, 0))
}
