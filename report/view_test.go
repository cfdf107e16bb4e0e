package report

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
	"playgauge/slice"
)

// pictured is a solid that was looked at for pictures, on the built-in machine.
func pictured(t testing.TB, s shape.Solid, file string) (*gapscan.Result, *mesh.Mesh, *slice.Stack) {
	t.Helper()
	m, err := mesh.Build(s.Soup(), mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := slice.NewPlan(0.2, 0.2, m.Box.Max.Z)
	if err != nil {
		t.Fatal(err)
	}
	st := slice.Cut(m, plan)
	r := gapscan.Scan(m, st, machine.BuiltIn(), gapscan.Options{Tight: true})
	r.Model.File = file
	return r, m, st
}

// walls are two blocks of 20 x 20 x 10 mm, a gap apart along x: part 1 at
// x < 0.
func walls(gap float64) shape.Solid {
	return brick(-20, 0, 0, 0, 20, 10).Append(brick(gap, 0, 0, gap+20, 20, 10))
}

// TestHeatMapOfWalls: the two walls that face each other have the margin of
// their gap (0.3 of a side need of 0.4 mm, and of a bottom need of 0.5), and
// nothing else has one.
func TestHeatMapOfWalls(t *testing.T) {
	r, m, _ := pictured(t, walls(0.3), "walls.stl")
	h := newHeatMap(r)
	for _, c := range []struct {
		name   string
		p, n   r3.Vec
		margin float64
	}{
		{"wall", r3.Vec{X: 0, Y: 10, Z: 5}, r3.Vec{X: 1}, 0.75},
		{"the other", r3.Vec{X: 0.3, Y: 10, Z: 5}, r3.Vec{X: -1}, 0.75},
		{"bottom layer", r3.Vec{X: 0, Y: 10, Z: 0.1}, r3.Vec{X: 1}, 0.6},
		{"near the end", r3.Vec{X: 0, Y: 19.8, Z: 9.9}, r3.Vec{X: 1}, 0.75},
		{"far side", r3.Vec{X: -20, Y: 10, Z: 5}, r3.Vec{X: -1}, math.NaN()},
		{"top", r3.Vec{X: -10, Y: 10, Z: 10}, r3.Vec{Z: 1}, math.NaN()},
	} {
		id := 1
		if c.p.X > 0.1 {
			id = 2
		}
		if m.Parts[id-1].Box.Min.X > 0 != (id == 2) {
			id = 3 - id
		}
		got, ok := h.at(id, c.p, c.n)
		if ok == math.IsNaN(c.margin) || ok && math.Abs(got-c.margin) > 1e-6 {
			t.Errorf("%s: margin %v, %v, want %v", c.name, got, ok, c.margin)
		}
	}
}

// TestHeatMapOfRoof: a block 0.2 mm, one layer, over another: both faces have
// the margin of 0.2 in a roof need of 0.4 where they lie over each other.
func TestHeatMapOfRoof(t *testing.T) {
	table := brick(0, 0, 0, 30, 20, 4)
	// A leg with an arm over the table, drawn in profile.
	s := table.Append(shape.Must(shape.Extrude([]r2.Vec{{X: 32, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 4.4}, {X: 24, Y: 4.4}, {X: 24, Y: 4.2}, {X: 32, Y: 4.2}}, nil, 0, 20)).Turn(90, 0, 0).Move(0, 20, 0))
	r, m, _ := pictured(t, s, "roof.stl")
	h := newHeatMap(r)
	lower, upper := 1, 2
	if m.Parts[0].Box.Max.Z > 4.1 {
		lower, upper = 2, 1
	}
	for _, c := range []struct {
		name string
		id   int
		p, n r3.Vec
		ok   bool
	}{
		{"under the arm", upper, r3.Vec{X: 27, Y: 10, Z: 4.2}, r3.Vec{Z: -1}, true},
		{"on the table", lower, r3.Vec{X: 27, Y: 10, Z: 4}, r3.Vec{Z: 1}, true},
		{"on the table, not under it", lower, r3.Vec{X: 10, Y: 10, Z: 4}, r3.Vec{Z: 1}, false},
		{"over the arm, one layer thick", upper, r3.Vec{X: 27, Y: 10, Z: 4.4}, r3.Vec{Z: 1}, false},
	} {
		got, ok := h.at(c.id, c.p, c.n)
		if ok != c.ok || ok && math.Abs(got-0.5) > 1e-6 {
			t.Errorf("%s: margin %v, %v, want 0.5, %v", c.name, got, ok, c.ok)
		}
	}
}

// TestCamera: place undoes project, and a length across the view keeps its
// length.
func TestCamera(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-100, 100)
		vec := func(name string) r3.Vec {
			return r3.Vec{X: num.Draw(t, name+" x"), Y: num.Draw(t, name+" y"), Z: num.Draw(t, name+" z")}
		}
		c := newCamera(rapid.Float64Range(-360, 360).Draw(t, "azimuth"), rapid.Float64Range(0, 89).Draw(t, "elevation"), 640, 480)
		p, q := vec("p"), vec("q")
		c.seeAll([]r3.Vec{p, q, vec("r")})
		x, y, near := c.project(p)
		if d := r3.Norm(r3.Sub(c.place(x, y, near), p)); d > 1e-9 {
			t.Fatalf("place is %v mm off", d)
		}
		if x < 0 || x > 640 || y < 0 || y > 480 || math.Abs(near) > 1 {
			t.Fatalf("out of sight at %v, %v, %v", x, y, near)
		}
		u, v, _ := c.project(q)
		d := r3.Sub(q, p)
		across := r3.Norm(r3.Sub(d, r3.Scale(r3.Dot(d, c.toward), c.toward)))
		if got := math.Hypot(u-x, v-y) / c.perMM; math.Abs(got-across) > 1e-9 {
			t.Fatalf("%v mm across, want %v", got, across)
		}
	})
}

// TestRasterArea: a box of 20 x 10 mm seen from the front covers its share of
// the pixels, and the facet that shows faces the eye.
func TestRasterArea(t *testing.T) {
	m, err := mesh.Build(brick(0, 0, 0, 20, 30, 10).Soup(), mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	c := newCamera(-90, 0, 400, 400)
	c.seeAll(m.V)
	r := rasterize(m, c, nil)
	s := shader{mesh: m, raster: &r, normals: map[int32]r3.Vec{}}
	n := 0
	for i, f := range r.facet {
		if f < 0 {
			continue
		}
		n++
		if got := s.normal(f); r3.Norm(r3.Sub(got, r3.Vec{Y: -1})) > 1e-12 {
			t.Fatalf("pixel %d shows a facet that faces %v", i, got)
		}
	}
	want := 20 * 10 * c.perMM * c.perMM
	if math.Abs(float64(n)-want) > 2*(20+10)*c.perMM {
		t.Errorf("%d pixels, want %.0f", n, want)
	}
	// Cut through the middle, the back face shows from inside.
	cut := halfSpace{At: r3.Vec{Y: 15}, Toward: r3.Vec{Y: -1}}
	r = rasterize(m, c, &cut)
	s.raster = &r
	mid := r.facet[200*400+200]
	if got := s.normal(mid); r3.Norm(r3.Sub(got, r3.Vec{Y: 1})) > 1e-12 {
		t.Errorf("cut open, a facet shows that faces %v", got)
	}
	c = newCamera(-60, 30, 400, 400)
	c.seeAll(m.V)
	r = rasterize(m, c, &cut)
	for i, f := range r.facet {
		if f < 0 {
			continue
		}
		if p := c.place(float64(i%400)+0.5, float64(i/400)+0.5, r.near[i]); p.Y < 15-1e-6 {
			t.Fatalf("%v shows, and was cut away", p)
		}
	}
}

// TestViewGolden: the whole pictures, of a hinge drawn too tight.
func TestViewGolden(t *testing.T) {
	s, err := garden.GateHinge(0.25)
	if err != nil {
		t.Fatal(err)
	}
	r, m, st := pictured(t, s, "gate-hinge.stl")
	img, err := drawView(r, m)
	if err != nil {
		t.Fatal(err)
	}
	goldenPicture(t, "view-hinge", img)
	if img, err = drawLayer(r, st, WorstLayer(r)); err != nil {
		t.Fatal(err)
	}
	goldenPicture(t, "layer-hinge", img)
	var a, b bytes.Buffer
	if View(&a, r, m) != nil || View(&b, r, m) != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same view is drawn in other bytes the second time")
	}
}

// TestViewShowsTheHeat: opening the gap changes the picture, by the colours.
func TestViewShowsTheHeat(t *testing.T) {
	tight := func(gap float64) int {
		r, m, _ := pictured(t, walls(gap), "walls.stl")
		img, err := drawView(r, m)
		if err != nil {
			t.Fatal(err)
		}
		want := rampLab(gap / 0.4)
		n := 0
		for y := viewTop; y < viewHeight-viewFoot; y++ {
			for x := viewLeft + 40; x < viewWidth-border; x++ {
				c := img.RGBAAt(x, y)
				w := want.rgba()
				if near8(c.R, w.R) && near8(c.G, w.G) && near8(c.B, w.B) {
					n++
				}
			}
		}
		return n
	}
	if n := tight(0.2); n < 2000 {
		t.Errorf("%d pixels in the colour of margin 0.5", n)
	}
	if n := tight(0.6); n > 0 {
		t.Errorf("%d pixels in a heat colour where all is free", n)
	}
}

func near8(a, b uint8) bool { return a < b+4 && b < a+4 }

// TestViewWithoutJoint: one part, and parts far apart.
func TestViewWithoutJoint(t *testing.T) {
	for _, s := range []shape.Solid{brick(0, 0, 0, 5, 5, 5), walls(8)} {
		r, m, st := pictured(t, s, "<script>.stl")
		if _, err := drawView(r, m); err != nil {
			t.Error(err)
		}
		if _, err := drawLayer(r, st, 1); err != nil {
			t.Error(err)
		}
	}
}

// TestNoSuchLayer: below the first and above the last.
func TestNoSuchLayer(t *testing.T) {
	r, _, st := pictured(t, walls(0.3), "walls.stl")
	for _, n := range []int{-1, 0, 51} {
		var none *LayerError
		if err := LayerPicture(io.Discard, r, st, n); !errors.As(err, &none) || none.Layers != 50 {
			t.Errorf("layer %d: %v", n, err)
		}
	}
}

// hinge is a joint with a flat face of many kinds of facets.
func hinge(t testing.TB) (*gapscan.Result, *mesh.Mesh) {
	s, err := garden.GateHinge(0.25)
	if err != nil {
		t.Fatal(err)
	}
	r, m, _ := pictured(t, s, "gate-hinge.stl")
	return r, m
}

// TestTintedKeepsTheModel: divided facets enclose the same volume, without a
// gap: each directed edge once, with its reverse.
func TestTintedKeepsTheModel(t *testing.T) {
	r, m := hinge(t)
	tt := tintModel(r, m)
	if len(tt.t) <= len(m.T) {
		t.Fatal("no facet was divided")
	}
	volume := func(v []r3.Vec, f [][3]int32) (sum float64) {
		for _, c := range f {
			sum += r3.Dot(v[c[0]], r3.Cross(v[c[1]], v[c[2]])) / 6
		}
		return sum
	}
	if a, b := volume(m.V, m.T), volume(tt.v, tt.t); math.Abs(a-b) > 1e-9*a {
		t.Errorf("volume %v, want %v", b, a)
	}
	edges := map[[2]int32]int{}
	for _, f := range tt.t {
		for e := range 3 {
			edges[[2]int32{f[e], f[(e+1)%3]}]++
		}
	}
	for e, n := range edges {
		if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
			t.Fatalf("edge %v runs %d times, its reverse %d", e, n, edges[[2]int32{e[1], e[0]}])
		}
	}
}

// TestTintPLY reads the file back by its own header.
func TestTintPLY(t *testing.T) {
	r, m := hinge(t)
	var b bytes.Buffer
	if err := TintPLY(&b, r, m); err != nil {
		t.Fatal(err)
	}
	head, body, ok := strings.Cut(b.String(), "end_header\n")
	if !ok {
		t.Fatal("no end of the header")
	}
	var nv, nf int
	for _, line := range strings.Split(head, "\n") {
		fmt.Sscanf(line, "element vertex %d", &nv)
		fmt.Sscanf(line, "element face %d", &nf)
	}
	const vertexBytes, faceBytes = 12, 1 + 12 + 3
	if len(body) != nv*vertexBytes+nf*faceBytes {
		t.Fatalf("%d bytes for %d vertices and %d faces", len(body), nv, nf)
	}
	heat := map[color.RGBA]bool{}
	for k := range tintSteps {
		heat[rampColor(freeMargin*(float64(k)+0.5)/tintSteps)] = true
	}
	hot := 0
	for i := range nf {
		f := body[nv*vertexBytes+i*faceBytes:]
		for k := range 3 {
			if v := binary.LittleEndian.Uint32([]byte(f[1+4*k:])); int(v) >= nv {
				t.Fatalf("face %d has vertex %d of %d", i, v, nv)
			}
		}
		if heat[color.RGBA{f[13], f[14], f[15], 255}] {
			hot++
		}
	}
	if hot == 0 || hot == nf {
		t.Errorf("%d of %d facets have a heat colour", hot, nf)
	}
}

// TestTint3MF reads the package back: each object closed, the volumes those of
// the parts, every facet with a material that there is.
func TestTint3MF(t *testing.T) {
	r, m := hinge(t)
	var b bytes.Buffer
	if err := Tint3MF(&b, r, m); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(b.String(), Tint3MFHead) {
		t.Errorf("begins with %q", b.String()[:50])
	}
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	f, err := z.Open("3D/3dmodel.model")
	if err != nil {
		t.Fatal(err)
	}
	var model struct {
		Unit string `xml:"unit,attr"`
		Base []struct {
			Color string `xml:"displaycolor,attr"`
		} `xml:"resources>basematerials>base"`
		Objects []struct {
			ID int `xml:"id,attr"`
			V  []struct {
				X float64 `xml:"x,attr"`
				Y float64 `xml:"y,attr"`
				Z float64 `xml:"z,attr"`
			} `xml:"mesh>vertices>vertex"`
			T []struct {
				V1 int `xml:"v1,attr"`
				V2 int `xml:"v2,attr"`
				V3 int `xml:"v3,attr"`
				P1 int `xml:"p1,attr"`
			} `xml:"mesh>triangles>triangle"`
		} `xml:"resources>object"`
		Items []struct {
			Object int `xml:"objectid,attr"`
		} `xml:"build>item"`
	}
	if err := xml.NewDecoder(f).Decode(&model); err != nil {
		t.Fatal(err)
	}
	if model.Unit != "millimeter" || len(model.Objects) != len(m.Parts) || len(model.Items) != len(m.Parts) {
		t.Fatalf("unit %q, %d objects, %d items", model.Unit, len(model.Objects), len(model.Items))
	}
	for i, o := range model.Objects {
		sum := 0.0
		at := func(k int) r3.Vec { return r3.Vec{X: o.V[k].X, Y: o.V[k].Y, Z: o.V[k].Z} }
		for _, f := range o.T {
			sum += r3.Dot(at(f.V1), r3.Cross(at(f.V2), at(f.V3))) / 6
			if f.P1 >= len(model.Base) {
				t.Fatalf("material %d of %d", f.P1, len(model.Base))
			}
		}
		if want := m.Parts[i].Volume; math.Abs(sum-want) > 1e-4*want {
			t.Errorf("object %d: volume %v, want %v", o.ID, sum, want)
		}
	}
}

func brick(x0, y0, z0, x1, y1, z1 float64) shape.Solid {
	return shape.Box(r3.Vec{X: x0, Y: y0, Z: z0}, r3.Vec{X: x1, Y: y1, Z: z1})
}

// TestStickingLayerOfAWeldedJoint: a small weld in each of two layers is a
// large one in both, so the layer's words tell what becomes of the joint.
func TestStickingLayerOfAWeldedJoint(t *testing.T) {
	sticks, welds := gapscan.Sticks, gapscan.Welds
	r := gapscan.Result{Joints: []gapscan.Joint{
		{Parts: [2]int{1, 3}, Outcome: &sticks}, {Parts: [2]int{1, 2}, Outcome: &welds}, {Parts: [2]int{2, 3}},
	}}
	for _, tc := range []struct {
		parts   []int
		outcome gapscan.Outcome
		told    bool
	}{
		{[]int{1, 2}, sticks, true},
		{[]int{1, 2}, welds, false}, // told already
		{[]int{1, 3}, sticks, false},
		{[]int{2, 3}, sticks, false},
		{nil, sticks, false},
	} {
		l := gapscan.Layer{Parts: tc.parts, Outcome: &tc.outcome}
		if got := overAll(&r, &l) != ""; got != tc.told {
			t.Errorf("parts %v of a layer that %s: told %v, want %v", tc.parts, tc.outcome, got, tc.told)
		}
	}
	// What is told of the joint comes last: the rest is of the layer.
	slope := gapscan.CauseSlope
	l := gapscan.Layer{Parts: []int{1, 2}, Outcome: &sticks, Cause: &slope, EndsLayers: &[2]int{7, 5}}
	if got, want := flat(titleWords(&r, &l)), ", parts 1 and 2, to layer 5; over all layers they weld"; !strings.HasSuffix(got, want) {
		t.Errorf("the picture's head is %q, want it to end %q", got, want)
	}
}

// TestScaleBarHidesNothing: within the frame of a layer there are the same
// pixels with a scale bar and without.
func TestScaleBarHidesNothing(t *testing.T) {
	p, err := newPens()
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewRGBA(image.Rect(0, 0, layerWidth, layerHeight))
	frame := image.Rect(border, layerTop, border+layerLeft, layerHeight-layerFoot)
	scaleBar(canvas{fullColor{img}}, &p, frame, 17)
	drawn := false
	for y := range layerHeight {
		for x := range layerWidth {
			if img.RGBAAt(x, y).A == 0 {
				continue
			}
			drawn = true
			if image.Pt(x, y).In(frame) || y > layerHeight-layerFoot+36 {
				t.Fatalf("the bar covers %d,%d", x, y)
			}
		}
	}
	if !drawn {
		t.Error("no bar is drawn")
	}
}
