package mesh

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// TestSpecificationCube reads a cube as the 3MF Core Specification 1.4.0,
// appendix B.2, has it: 8 vertices, 12 triangles, a component, metadata, a
// transform. By the published coordinates its volume is 39.998 x 40 x 39.998
// = 63993.60016, and it stands about the origin, z 0 to 39.998.
func TestSpecificationCube(t *testing.T) {
	s := opened(t, package3MF(t, strings.Replace(model3(
		`<basematerials id="1"><base name="Green" displaycolor="#21BB4CFF"/></basematerials>
		<object id="2" type="model" pid="1" pindex="0"><metadatagroup><metadata name="x">object</metadata></metadatagroup>`+
			xmlMesh(box(0, 42.998, 0, 39.998, 82.998, 39.998))+`</object>
		<object id="3" type="model"><components><component objectid="2"/></components></object>`,
		`<item objectid="3" transform="1 0 0 0 1 0 0 0 1 -19.999 -62.998 0"><metadatagroup><metadata name="x">1</metadata></metadatagroup></item>`),
		"<model ", `<model unit="millimeter" xml:lang="en-US" `, 1)))
	if s.Format != "3mf" || s.Unit != "mm" || s.Triangles() != 12 {
		t.Errorf("%s in %s, %d triangles", s.Format, s.Unit, s.Triangles())
	}
	m, err := Build(s, Placement{})
	if err != nil {
		t.Fatal(err)
	}
	if len(m.V) != 8 || len(m.Parts) != 1 || !m.Watertight() || len(m.Warnings) != 0 {
		t.Errorf("%d vertices, %d parts, %q", len(m.V), len(m.Parts), m.Warnings)
	}
	// float32 tells 8e-6 at 83, and the volume changes by 1600 a mm.
	near(t, "volume", m.Parts[0].Volume, 63993.60016, 0.02)
	for _, tt := range []struct {
		name      string
		got, want float64
	}{
		{"x", m.Box.Min.X, -19.999}, {"x", m.Box.Max.X, 19.999},
		{"y", m.Box.Min.Y, -20}, {"y", m.Box.Max.Y, 20},
		{"z", m.Box.Min.Z, 0}, {"z", m.Box.Max.Z, 39.998},
	} {
		near(t, tt.name, tt.got, tt.want, 4e-6)
	}
}

func TestUnitsOf3MF(t *testing.T) {
	// 3MF Core Specification 1.4.0, 3.4: six units, millimeter if none is said.
	for unit, want := range map[string]string{
		"": "mm", ` unit="micron"`: "micron", ` unit="millimeter"`: "mm", ` unit="centimeter"`: "cm",
		` unit="inch"`: "inch", ` unit="foot"`: "foot", ` unit="meter"`: "m",
	} {
		model := model3(object3(1, xmlMesh(box(0, 0, 0, 1, 2, 3))), `<item objectid="1"/>`)
		s := opened(t, package3MF(t, strings.Replace(model, "<model", "<model"+unit, 1)))
		if s.Unit != want || s.Size() != [3]float64{1, 2, 3} {
			t.Errorf("%s: %q, size %v, want %q and the file's own numbers", unit, s.Unit, s.Size(), want)
		}
	}
}

func TestBuildItems(t *testing.T) {
	brick := object3(1, xmlMesh(box(0, 0, 0, 1, 2, 3)))
	tests := []struct {
		name             string
		resources, build string
		min, max         r3.Vec // before the model is dropped onto the bed
		volume           float64
		shells           int
		warns            string
	}{
		{"one item", brick, `<item objectid="1"/>`, vec(0, 0, 0), vec(1, 2, 3), 6, 1, ""},
		{"what is not built is not there", brick + object3(2, xmlMesh(box(50, 0, 0, 60, 1, 1))), `<item objectid="1"/>`, vec(0, 0, 0), vec(1, 2, 3), 6, 1, ""},
		{"moved", brick, `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 10 20 30"/>`, vec(10, 20, 30), vec(11, 22, 33), 6, 1, ""},
		// x' = x m00 + y m10 + z m20: the second row says where y goes.
		{"turned about z", brick, `<item objectid="1" transform="0 1 0 -1 0 0 0 0 1 0 0 0"/>`, vec(-2, 0, 0), vec(0, 1, 3), 6, 1, ""},
		{"scaled", brick, `<item objectid="1" transform=" 2 0 0  0 3 0 0 0 4 0 0 0 "/>`, vec(0, 0, 0), vec(2, 6, 12), 144, 1, ""},
		{"sheared", brick, `<item objectid="1" transform="1 0 0 0 1 0 1 0 1 0 0 0"/>`, vec(0, 0, 0), vec(4, 2, 3), 6, 1, ""},
		{"mirrored", brick, `<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>`, vec(-1, 0, 0), vec(0, 2, 3), 6, 1, ""},
		{"mirrored twice", brick + object3(2, `<components><component objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/></components>`), `<item objectid="2" transform="1 0 0 0 -1 0 0 0 1 0 0 0"/>`, vec(-1, -2, 0), vec(0, 0, 3), 6, 1, ""},
		{"two items", brick, `<item objectid="1"/><item objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/>`, vec(0, 0, 0), vec(6, 2, 3), 12, 2, "2 build items, judged together as they lie on the plate"},
		{"components in components", brick + object3(2, `<components><component objectid="1"/><component objectid="1" transform="1 0 0 0 1 0 0 0 1 2 0 0"/></components>`) +
			object3(3, `<components><component objectid="2" transform="0 1 0 -1 0 0 0 0 1 0 0 0"/><component objectid="1" transform="1 0 0 0 1 0 0 0 1 0 10 0"/></components>`),
			`<item objectid="3" transform="2 0 0 0 2 0 0 0 2 100 0 0"/>`, vec(96, 0, 0), vec(102, 24, 6), 144, 3, ""},
		{"used before it is there", object3(2, `<components><component objectid="1"/></components>`) + brick, `<item objectid="2"/>`, vec(0, 0, 0), vec(1, 2, 3), 6, 1, ""},
		{"supports left out", brick + `<object id="2" type="support">` + xmlMesh(box(0, 0, 3, 9, 9, 9)) + `</object>`, `<item objectid="1"/><item objectid="2"/>`, vec(0, 0, 0), vec(1, 2, 3), 6, 1, "1 object of type support or other left out"},
		{"of components, their own type counts", brick + `<object id="2" type="solidsupport">` + xmlMesh(box(0, 0, 3, 9, 9, 9)) + `</object><object id="3" type="other"><components><component objectid="1"/><component objectid="2"/></components></object>`,
			`<item objectid="3"/>`, vec(0, 0, 0), vec(1, 2, 3), 6, 1, "1 object of type support or other left out"},
		{"type other left out", brick + `<object id="2" type="other">` + xmlMesh(box(0, 0, 3, 9, 9, 9)) + `</object>`, `<item objectid="2"/><item objectid="1"/>`, vec(0, 0, 0), vec(1, 2, 3), 6, 1, "1 object of type support or other left out"},
		{"elements of others are passed over", `<x:thing xmlns:x="urn:x"><object id="1"/></x:thing>` + brick, `<x:item xmlns:x="urn:x" objectid="9"/><item objectid="1"/>`, vec(0, 0, 0), vec(1, 2, 3), 6, 1, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := opened(t, package3MF(t, model3(tt.resources, tt.build)))
			low, high := corners(s)
			if low != tt.min || high != tt.max {
				t.Errorf("from %v to %v, want %v to %v", low, high, tt.min, tt.max)
			}
			m, err := Build(s, Placement{})
			if err != nil {
				t.Fatal(err)
			}
			volume := 0.0
			for _, sh := range m.Shells {
				volume += sh.Volume
				if sh.Turned {
					t.Error("a shell came inside out")
				}
			}
			near(t, "volume", volume, tt.volume, 1e-4)
			if len(m.Shells) != tt.shells {
				t.Errorf("%d shells, want %d", len(m.Shells), tt.shells)
			}
			if found := strings.Join(m.Warnings, "\n"); !strings.Contains(found, tt.warns) || tt.warns == "" && found != "" {
				t.Errorf("warnings %q, want %q", found, tt.warns)
			}
		})
	}
}

// corners are the least and the greatest coordinates of a soup.
func corners(s *Soup) (low, high r3.Vec) {
	b := noBox()
	for i := 0; i < len(s.XYZ); i += 3 {
		p := vec(float64(s.XYZ[i]), float64(s.XYZ[i+1]), float64(s.XYZ[i+2]))
		b.Min, b.Max = lower(b.Min, p), upper(b.Max, p)
	}
	return b.Min, b.Max
}

// A transform read from text does what its twelve numbers say, and one after
// another what both do.
func TestMatrix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-3, 3)
		text := func(name string) (string, [12]float64) {
			var m [12]float64
			var words []string
			for i := range m {
				m[i] = number.Draw(t, name)
				words = append(words, fmt.Sprint(m[i]))
			}
			return strings.Join(words, " "), m
		}
		by := func(m [12]float64, p [3]float64) (q [3]float64) {
			for k := range q {
				q[k] = p[0]*m[k] + p[1]*m[3+k] + p[2]*m[6+k] + m[9+k]
			}
			return q
		}
		ta, a := text("a")
		tb, b := text("b")
		ma, errA := parseMatrix(ta)
		mb, errB := parseMatrix(tb)
		if errA != nil || errB != nil {
			t.Skip("flat")
		}
		p := [3]float64{number.Draw(t, "x"), number.Draw(t, "y"), number.Draw(t, "z")}
		first := ma.after(&mb)
		got := first.apply(float32(p[0]), float32(p[1]), float32(p[2]))
		want := by(a, by(b, p))
		for k := range got {
			if d := float64(got[k]) - want[k]; d > 1e-3 || d < -1e-3 {
				t.Fatalf("%v, want %v", got, want)
			}
		}
		if d := first.det() - ma.det()*mb.det(); d > 1e-6 || d < -1e-6 {
			t.Fatalf("determinant %g, want %g", first.det(), ma.det()*mb.det())
		}
	})
}

// Objects may lie in other parts of the package (Production Extension 1.2).
func TestObjectsInOtherParts(t *testing.T) {
	rels := relsTo("/3D/toy.model")
	other := strings.Replace(model3(object3(1, xmlMesh(box(0, 0, 0, 1, 2, 3)))+object3(7, `<components><component objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 5"/></components>`), `<item objectid="1"/>`), "<model", `<model unit="inch"`, 1)
	for name, root := range map[string]string{
		"by an item":      model3("", `<item p:path="/3D/Objects/a.model" objectid="7"/>`),
		"by a component":  model3(object3(1, `<components><component p:path="/3d/objects/A.model" objectid="7"/></components>`), `<item objectid="1"/>`),
		"and it is asked": strings.Replace(model3("", `<item p:path="/3D/Objects/a.model" objectid="7"/>`), "<model ", `<model requiredextensions="p" `, 1),
	} {
		s := opened(t, packed(t, rels, file{"3D/toy.model", root}, file{"3D/Objects/a.model", other}))
		if low, high := corners(s); low != vec(0, 0, 5) || high != vec(1, 2, 8) || s.Unit != "mm" {
			t.Errorf("%s: from %v to %v in %s", name, low, high, s.Unit)
		}
	}
}

// The model part is the one that the root relationship names, wherever it is.
func TestModelPartByRelationship(t *testing.T) {
	model := model3(object3(1, xmlMesh(box(0, 0, 0, 1, 2, 3))), `<item objectid="1"/>`)
	decoy := model3(object3(1, xmlMesh(box(0, 0, 0, 7, 7, 7))), `<item objectid="1"/>`)
	for target, name := range map[string]string{
		"/3D/toy.model":      "3D/toy.model",
		"/a/b.xml":           "a/b.xml",
		"toy.model":          "toy.model",
		"/A/B.Model":         "a/b.model",
		"/a/my%20toy.model":  "a/my toy.model",
		"/../../a/toy.model": "a/toy.model",
		"/a/toy.model":       `a\toy.model`,
	} {
		s := opened(t, packed(t, file{"3D/3dmodel.model", decoy}, file{name, model}, relsTo(target)))
		if s.Size() != [3]float64{1, 2, 3} {
			t.Errorf("%s: size %v", target, s.Size())
		}
	}
}

func Test3MFRefuses(t *testing.T) {
	cube := xmlMesh(box(0, 0, 0, 1, 1, 1))
	item := `<item objectid="1"/>`
	at := func(transform string) string {
		return model3(object3(1, cube), `<item objectid="1" transform="`+transform+`"/>`)
	}
	mesh := func(inside string) string { return model3(object3(1, "<mesh>"+inside+"</mesh>"), item) }
	corner := `<vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/></vertices>`
	root := func(attrs string) string {
		return strings.Replace(model3(object3(1, cube), item), "<model", "<model "+attrs, 1)
	}
	chain := func(n int) string {
		var b strings.Builder
		b.WriteString(object3(1, cube))
		for i := 2; i <= n; i++ {
			fmt.Fprintf(&b, `<object id="%d"><components><component objectid="%d"/></components></object>`, i, i-1)
		}
		return b.String()
	}
	double := func(n int) string {
		b := chain(1)
		for i := 2; i <= n; i++ {
			b += object3(i, fmt.Sprintf(`<components><component objectid="%d"/><component objectid="%[1]d"/></components>`, i-1))
		}
		return b
	}
	tests := []struct {
		name, model string
		kind        Kind
		says        string
	}{
		{"empty", "", KindSyntax, "it holds no element"},
		{"no XML", "hello", KindSyntax, "3D/toy.model, line 1"},
		{"cut short", model3(object3(1, cube), item)[:400], KindSyntax, "line 3: no sound XML"},
		{"wrong end", "<model xmlns='" + coreNS + "'><build></model>", KindSyntax, "no sound XML"},
		{"another root", "<html><body/></html>", KindSyntax, "<html> stands where the <model>"},
		{"another namespace", "<model/>", KindSyntax, "<model> stands where"},
		{"an unknown unit", root(`unit="cubit"`), KindSyntax, `the unit is "cubit"`},
		{"an extension it needs", root(`xmlns:b="urn:lattice" requiredextensions="b"`), KindUnsupported, `needs the extension "urn:lattice"`},
		{"an extension it does not name", root(`requiredextensions="q"`), KindUnsupported, `needs the extension ""`},
		{"entities declared", `<!DOCTYPE m [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>` + root(""), KindSyntax, "a document type is declared"},
		{"entities used", root(`unit="&a;"`), KindSyntax, "no sound XML"},
		{"a file read in", root(`unit="&#x41;&lol;"`), KindSyntax, "no sound XML"},
		{"another encoding", `<?xml version="1.0" encoding="UTF-16"?>` + strings.SplitN(root(""), "?>", 2)[1], KindUnsupported, `its letters are coded as "UTF-16"`},
		{"nothing to build", model3(object3(1, cube), ""), KindNoTriangles, "asks for nothing to be built"},
		{"no such object", model3(object3(1, cube), `<item objectid="2"/>`), KindReference, "line 4: object 2 is not there"},
		{"no number of an object", model3(object3(1, cube), `<item objectid="-1"/>`), KindSyntax, `<item> has objectid="-1"`},
		{"object 0", model3(object3(0, cube), item), KindSyntax, `<object> has id="0"`},
		{"an object twice", model3(object3(1, cube)+object3(1, cube), item), KindSyntax, "object 1 is there twice"},
		{"no mesh", model3(object3(1, ""), item), KindNoTriangles, "0 triangles"},
		{"supports only", model3(`<object id="1" type="support">`+cube+`</object>`, item), KindNoTriangles, "supports and nothing else"},
		{"a vertex that is none", mesh(`<vertices><vertex x="a" y="0" z="0"/></vertices>`), KindSyntax, `vertex 0 of object 1 has the coordinate x="a"`},
		{"a coordinate missing", mesh(`<vertices><vertex x="1" y="0"/></vertices>`), KindSyntax, `coordinate z=""`},
		{"not a number", mesh(`<vertices><vertex x="1" y="nan" z="1"/></vertices>`), KindNotFinite, `vertex 0 of object 1 has the coordinate "nan"`},
		{"past float32", mesh(`<vertices><vertex x="1" y="1e39" z="1"/></vertices>`), KindNotFinite, `"1e39"`},
		{"a corner too high", mesh(corner + `<triangles><triangle v1="0" v2="1" v3="3"/></triangles>`), KindReference, "triangle 0 of object 1 asks for vertex 3, and there are 3, from 0"},
		{"a corner far too high", mesh(corner + `<triangles><triangle v1="0" v2="1" v3="99999999999999999999"/></triangles>`), KindReference, "asks for vertex 99999999999999999999"},
		{"a corner below 0", mesh(corner + `<triangles><triangle v1="0" v2="1" v3="-1"/></triangles>`), KindSyntax, `v3="-1"`},
		{"triangles before vertices", mesh(`<triangles><triangle v1="0" v2="1" v3="2"/></triangles>` + corner), KindReference, "there are 0"},
		{"a transform too short", at("1 0 0 0 1 0 0 0 1"), KindSyntax, "a transform of 9 numbers, not 12"},
		{"a transform that is no number", at("1 0 0 0 1 0 0 0 1 nan 0 0"), KindSyntax, `holds "nan"`},
		{"an infinite transform", at("1 0 0 0 1 0 0 0 1 0 -inf 0"), KindSyntax, `holds "-inf"`},
		{"a flat transform", at("1 0 0 0 1 0 0 0 0 0 0 0"), KindSyntax, "flat"},
		{"a transform out of reach", at("1e38 0 0 0 1e38 0 0 0 1e38 1e39 0 0"), KindNotFinite, "moves vertex 0 of object 1 out of reach"},
		{"an object within itself", model3(object3(1, `<components><component objectid="2"/></components>`)+object3(2, `<components><component objectid="1"/></components>`), item), KindReference, "lies within itself"},
		{"nested too deep", model3(chain(150), `<item objectid="150"/>`), KindLimit, "nest more than 100 deep"},
		{"nested too deep, counted from the inside", model3(chain(150), `<item objectid="90"/><item objectid="150"/>`), KindLimit, "nest more than 100 deep"},
		{"doubled 40 times", model3(double(41), `<item objectid="41"/>`), KindLimit, "more than"},
		{"nothing doubled 40 times", model3(strings.Replace(double(41), cube, "", 1), `<item objectid="41"/>`), KindLimit, "more than 1000000 objects"},
		{"elements too deep", "<model xmlns='" + coreNS + "'>" + strings.Repeat("<a>", 100), KindLimit, "nest more than 64 deep"},
		{"a part that is not there", model3("", `<item p:path="/3D/gone.model" objectid="1"/>`), KindReference, `the part "/3d/gone.model" is not in the 3MF file`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, err := openOne(package3MF(t, tt.model))
			checkRefused(t, s, err, tt.kind, tt.says)
		})
	}
	for name, tt := range map[string]struct {
		data []byte
		kind Kind
		says string
	}{
		"the model is elsewhere":      {packed(t, relsTo(`http://x/y" TargetMode="External`)), KindUnsupported, "keeps its model elsewhere"},
		"the model is missing":        {packed(t, relsTo("/3D/gone.model")), KindReference, `its model is "/3D/gone.model", which is not in it`},
		"nothing says what the model": {packed(t, file{"3D/3dmodel.model", root("")}), KindArchive, "seems to be a 3MF file"},
		"relationships are no XML":    {packed(t, file{"_rels/.rels", "<a"}), KindSyntax, "_rels/.rels, line 1"},
		"a part asks for another":     {packed(t, relsTo("/a.model"), file{"a.model", model3("", `<item p:path="/b.model" objectid="1"/>`)}, file{"b.model", model3(object3(1, `<components><component p:path="/a.model" objectid="1"/></components>`), "")}), KindSyntax, "b.model, line 3: only the root model"},
	} {
		s, err := openOne(tt.data)
		t.Run(name, func(t *testing.T) { checkRefused(t, s, err, tt.kind, tt.says) })
	}
}

// checkRefused wants a one-line *FormatError of a kind.
func checkRefused(t *testing.T, s *Soup, err error, kind Kind, says string) {
	t.Helper()
	var e *FormatError
	if !errors.As(err, &e) {
		t.Fatalf("got %v, %v", s, err)
	}
	if e.Kind != kind || !strings.Contains(e.Error(), says) || strings.ContainsAny(e.Error(), "\n\r") {
		t.Errorf("kind %d, %q, want %d, %q", e.Kind, e, kind, says)
	}
}
