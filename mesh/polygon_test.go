package mesh

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// divided adds one face, its corners in order, and returns its triangles.
func divided(t failer, corners []r3.Vec) (facets, int) {
	var f faces
	var face []int32
	for i, p := range corners {
		f.vertices = append(f.vertices, float32(p.X), float32(p.Y), float32(p.Z))
		face = append(face, int32(i))
	}
	if !f.add(face) {
		t.Fatalf("%d corners refused", len(corners))
	}
	var out facets
	for x := f.soup.XYZ; len(x) > 0; x = x[9:] {
		at := func(i int) r3.Vec { return vec(float64(x[i]), float64(x[i+1]), float64(x[i+2])) }
		out = append(out, [3]r3.Vec{at(0), at(3), at(6)})
	}
	return out, f.crossing
}

// area is a half of the sum of the cross products of a face's edges.
func area(corners []r3.Vec) r3.Vec {
	var sum r3.Vec
	for i, p := range corners {
		sum = r3.Add(sum, r3.Scale(0.5, r3.Cross(p, corners[(i+1)%len(corners)])))
	}
	return sum
}

// checkDivided wants n - 2 triangles that cover the face once, each facing as
// the face does, and meet along whole edges.
func checkDivided(t failer, corners []r3.Vec, got facets) {
	if len(got) != len(corners)-2 {
		t.Fatalf("%d corners make %d triangles", len(corners), len(got))
	}
	whole := area(corners)
	normal := r3.Unit(whole)
	sum := 0.0
	edges := map[[2]r3.Vec]int{}
	for _, f := range got {
		a := r3.Dot(area(f[:]), normal)
		sum += math.Abs(a)
		if a < -1e-5*r3.Norm(whole) {
			t.Fatalf("a triangle is turned over: %v in %v", f, corners)
		}
		for k := range 3 {
			edges[[2]r3.Vec{f[k], f[(k+1)%3]}]++
			edges[[2]r3.Vec{f[(k+1)%3], f[k]}]--
		}
	}
	if d := sum - r3.Norm(whole); math.Abs(d) > 1e-4*r3.Norm(whole) {
		t.Fatalf("the triangles come to %g, the face to %g: %v", sum, r3.Norm(whole), corners)
	}
	for i, p := range corners {
		edges[[2]r3.Vec{p, corners[(i+1)%len(corners)]}]--
		edges[[2]r3.Vec{corners[(i+1)%len(corners)], p}]++
	}
	for e, n := range edges {
		if n != 0 {
			t.Fatalf("edge %v is left over", e)
		}
	}
}

// rounded is a point as float32 has it.
func rounded(p r3.Vec) r3.Vec {
	return vec(float64(float32(p.X)), float64(float32(p.Y)), float64(float32(p.Z)))
}

func TestFacesAreDivided(t *testing.T) {
	comb := func(teeth int) (p []r3.Vec) {
		for i := range teeth {
			x := float64(2 * i)
			p = append(p, vec(x, 5, 0), vec(x+1, 5, 0), vec(x+1, 1, 0), vec(x+2, 1, 0))
		}
		p = append(p, vec(float64(2*teeth), 0, 0), vec(0, 0, 0))
		for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
			p[i], p[j] = p[j], p[i] // counter-clockwise
		}
		return p
	}
	spiral := func(n int) (p []r3.Vec) {
		for i := range n {
			a := 0.1 * float64(i)
			p = append(p, vec((2+a)*math.Cos(a), (2+a)*math.Sin(a), 0))
		}
		for i := n - 1; i >= 0; i-- {
			a := 0.1 * float64(i)
			p = append(p, vec((1+a)*math.Cos(a), (1+a)*math.Sin(a), 0))
		}
		return p
	}
	disc := func(n int) (p []r3.Vec) {
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			p = append(p, vec(10*math.Cos(a), 10*math.Sin(a), 0))
		}
		return p
	}
	for name, p := range map[string][]r3.Vec{
		"square":                          {vec(0, 0, 0), vec(1, 0, 0), vec(1, 1, 0), vec(0, 1, 0)},
		"arrowhead":                       {vec(0, 0, 0), vec(2, -1, 0), vec(0, 3, 0), vec(-2, -1, 0)},
		"arrowhead from its inner corner": {vec(2, -1, 0), vec(0, 3, 0), vec(-2, -1, 0), vec(0, 0, 0)},
		"square with corners on its edges": {vec(0, 0, 0), vec(1, 0, 0), vec(2, 0, 0), vec(2, 1, 0), vec(2, 2, 0),
			vec(1, 2, 0), vec(0, 2, 0), vec(0, 1, 0)},
		"L with corners on its edges": {vec(0, 0, 0), vec(1, 0, 0), vec(2, 0, 0), vec(2, 1, 0), vec(1, 1, 0), vec(1, 1.5, 0), vec(1, 2, 0), vec(0, 2, 0), vec(0, 1, 0)},
		"square with a hole by a cut": {vec(0, 0, 0), vec(4, 0, 0), vec(4, 4, 0), vec(0, 4, 0), vec(0, 0, 0),
			vec(1, 1, 0), vec(1, 3, 0), vec(3, 3, 0), vec(3, 1, 0), vec(1, 1, 0)},
		"comb":   comb(40),
		"spiral": spiral(200),
		"disc":   disc(5000),
	} {
		for _, turn := range []Placement{{}, {TurnDeg: [3]float64{90, 0, 0}}, {TurnDeg: [3]float64{0, 180, 0}}, {TurnDeg: [3]float64{33, 71, 12}}} {
			l, err := turn.linear()
			if err != nil {
				t.Fatal(err)
			}
			var q []r3.Vec
			for _, c := range p {
				q = append(q, rounded(l.apply(r3.Add(c, vec(5, 6, 7)))))
			}
			t.Run(fmt.Sprint(name, turn.TurnDeg), func(t *testing.T) {
				got, crossing := divided(t, q)
				if crossing != 0 {
					t.Error("said to cross itself")
				}
				checkDivided(t, q, got)
			})
		}
	}
}

// Corners round a point at growing angles, at any distance, cross nowhere.
func TestAnyStarIsDivided(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 40).Draw(t, "corners")
		l, err := Placement{TurnDeg: [3]float64{
			rapid.Float64Range(0, 360).Draw(t, "x"), rapid.Float64Range(0, 360).Draw(t, "y"), rapid.Float64Range(0, 360).Draw(t, "z")}}.linear()
		if err != nil {
			t.Fatal(err)
		}
		var p []r3.Vec
		for i := range n {
			a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.8).Draw(t, "angle")) / float64(n)
			r := rapid.Float64Range(1, 10).Draw(t, "radius")
			p = append(p, rounded(l.apply(vec(r*math.Cos(a), r*math.Sin(a), 3))))
		}
		got, crossing := divided(t, p)
		if crossing != 0 {
			t.Fatalf("said to cross itself: %v", p)
		}
		checkDivided(t, p, got)
	})
}

func TestFacesThatCrossThemselves(t *testing.T) {
	for name, p := range map[string][]r3.Vec{
		"bow tie": {vec(0, 0, 0), vec(2, 2, 0), vec(2, 0, 0), vec(0, 2, 0)},
		"line":    {vec(0, 0, 0), vec(1, 0, 0), vec(2, 0, 0), vec(3, 0, 0)},
		"point":   {vec(1, 1, 1), vec(1, 1, 1), vec(1, 1, 1), vec(1, 1, 1)},
		"pentagram": {vec(0, 10, 0), vec(-5.88, -8.09, 0), vec(9.51, 3.09, 0), vec(-9.51, 3.09, 0),
			vec(5.88, -8.09, 0)},
	} {
		got, _ := divided(t, p)
		if len(got) != len(p)-2 {
			t.Errorf("%s: %d triangles", name, len(got))
		}
	}
	if _, crossing := divided(t, []r3.Vec{vec(0, 10, 0), vec(-5.88, -8.09, 0), vec(9.51, 3.09, 0), vec(-9.51, 3.09, 0), vec(5.88, -8.09, 0)}); crossing != 1 {
		t.Error("a pentagram was not said to cross itself")
	}
}
