package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"testing"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	solids "playgauge/mesh"
	"playgauge/mesh/shape/garden"
	"playgauge/slice"
)

// vetted builds, cuts and judges a model of the demo on the built-in machine.
func vetted(t *testing.T, file string) (*gapscan.Result, *slice.Stack) {
	t.Helper()
	return vettedTall(t, file, 1)
}

// vettedTall does so with the model drawn out upward by a factor.
func vettedTall(t *testing.T, file string, tall float64) (*gapscan.Result, *slice.Stack) {
	t.Helper()
	for _, g := range garden.Models() {
		if g.File != file {
			continue
		}
		m, err := solids.Build(g.Build().Soup(), solids.Placement{Scale: [3]float64{1, 1, tall}})
		if err != nil {
			t.Fatal(err)
		}
		plan, err := slice.NewPlan(0.2, 0.2, m.Box.Max.Z)
		if err != nil {
			t.Fatal(err)
		}
		st := slice.Cut(m, plan)
		r := gapscan.Scan(m, st, machine.BuiltIn(), gapscan.Options{Tight: true})
		r.Model.File, r.Model.Units = file, "mm"
		r.Model.Scale = [3]float64{1, 1, 1}
		return r, st
	}
	t.Fatalf("the demo has no %s", file)
	return nil, nil
}

// layersOf draws the layers of a stack, the last one first.
func layersOf(r *gapscan.Result, st *slice.Stack) *Layers {
	ls := newLayers(partIDs(r))
	for i := len(st.Layers) - 1; i >= 0; i-- {
		ls.Add(&st.Layers[i], false)
	}
	return ls
}

func pageOf(t *testing.T, r *gapscan.Result, st *slice.Stack) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Page(&b, r, layersOf(r, st)); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A page is the same bytes each time, begins as pages do, and names nothing
// outside itself.
func TestPageIsItself(t *testing.T) {
	for _, name := range []string{"gate-hinge-bottom-spreads.stl", "snail.stl"} {
		r, st := vetted(t, name)
		html := pageOf(t, r, st)
		again, st2 := vetted(t, name)
		if !bytes.Equal(html, pageOf(t, again, st2)) {
			t.Errorf("%s: two pages differ", name)
		}
		if !bytes.HasPrefix(html, []byte(PageHead)) {
			t.Errorf("%s begins with %q", name, html[:200])
		}
		for _, at := range outside.FindAll(bytes.ReplaceAll(html, []byte(svgNamespace), nil), -1) {
			t.Errorf("%s names something outside: %s", name, at)
		}
		for i := range r.Joints {
			want := fmt.Sprintf(`<data value="%v">`, *r.Joints[i].GapMM)
			if !bytes.Contains(html, []byte(want)) {
				t.Errorf("%s: no %s in the table", name, want)
			}
		}
	}
}

// outside matches what could make a browser ask for something: addresses, and
// attributes that lead anywhere but to a place in the page or to data.
var outside = regexp.MustCompile(`(?i)https?:|\b(src|srcset|href|action|poster)="(?:[^#d]|d[^a])[^"]*"|@import|url\([^#]|fetch\(|import\(|XMLHttpRequest|WebSocket`)

// svgNamespace is a name and no address that anything is asked of (SVG 2).
const svgNamespace = "http://www.w3.org/2000/svg"

// Texts from outside stay texts, in the page and in the script's data.
func TestPageNames(t *testing.T) {
	const evil = `</script><script>alert(1)</script><!-- "'&`
	r, st := vetted(t, "gate-hinge-bottom-spreads.stl")
	plainPage := pageOf(t, r, st)
	cause, outcome := gapscan.Cause(evil), gapscan.Outcome(evil)
	r.Model.File, r.Machine.Name, r.Model.Units = evil, evil, evil
	r.Mesh.Warnings = []string{evil}
	r.Cautions = []gapscan.Caution{{Kind: evil, Text: evil}}
	for i := range r.Layers {
		if r.Layers[i].Margin != nil {
			r.Layers[i].Cause, r.Layers[i].Outcome = &cause, &outcome
		}
	}
	r.Joints[0].Cause, r.Joints[0].WeldForm = &cause, ptr(evil)
	html := pageOf(t, r, st)
	for _, tag := range []string{"<script", "</script", "<!--", "<p"} {
		if got, want := bytes.Count(html, []byte(tag)), bytes.Count(plainPage, []byte(tag)); got > want {
			t.Errorf("%d of %s, want %d", got, tag, want)
		}
	}
	if !bytes.Contains(html, []byte("&lt;/script&gt;&lt;script&gt;alert(1)")) {
		t.Error("the name is not shown")
	}
	var data pageLayers
	if err := json.Unmarshal(scriptOf(t, html, "data"), &data); err != nil {
		t.Fatal(err)
	}
	if got := data.Layers[0].Outcome; got != evil {
		t.Errorf("the script reads an outcome as %q", got)
	}
}

// scriptOf is what a page holds for its script under a name.
func scriptOf(t *testing.T, html []byte, id string) []byte {
	t.Helper()
	_, rest, found := bytes.Cut(html, []byte(`<script type="application/json" id="`+id+`">`))
	data, _, closed := bytes.Cut(rest, []byte("</script>"))
	if !found || !closed {
		t.Fatalf("the page has no %s", id)
	}
	return data
}

// A number that is none is told, and nothing is written.
func TestPageNotFinite(t *testing.T) {
	r, st := vetted(t, "gate-hinge-bottom-spreads.stl")
	r.Layers[2].Margin = ptr(math.NaN())
	var b bytes.Buffer
	var bad *NotFiniteError
	if err := Page(&b, r, layersOf(r, st)); !errors.As(err, &bad) || bad.Field != "layers[2].margin" || b.Len() > 0 {
		t.Errorf("got %v after %d bytes", err, b.Len())
	}
}

// A model of some 400 layers of many joints stays small.
func TestPageOfManyLayersIsSmall(t *testing.T) {
	r, st := vettedTall(t, "pea-chain-side-spot.stl", 7.2)
	if len(r.Layers) < 390 {
		t.Fatalf("%d layers, meant to be about 400", len(r.Layers))
	}
	if n := len(pageOf(t, r, st)); n > 5_000_000 {
		t.Errorf("%d bytes, more than 5 MB", n)
	}
}

func TestStops(t *testing.T) {
	r := toy("gate.stl", shed, 12)
	if got := stops(r); len(got) != 0 {
		t.Errorf("nothing is near anything, but there are stops at %v", got)
	}
	part(r, 5, 5, 5)
	for i, mm := range []float64{0, 0.5, 0.2, 0.1, 0.1, 0.35, 0.33, 0.9, 0, 0.28, 0, 0} {
		if mm > 0 {
			near(r, i, mm, 1, 2)
		}
	}
	// Short in layers 3 to 5, the tightest first at 4; close in 6 and 7, the
	// tighter at 7; short in 10.
	if got := stops(r); !slices.Equal(got, []int{4, 7, 10}) {
		t.Errorf("stops at %v, want 4, 7 and 10", got)
	}
	r = toy("gate.stl", shed, 5)
	part(r, 5, 5, 5)
	near(r, 1, 0.9, 1, 2)
	near(r, 3, 0.8, 1, 2)
	if got := stops(r); !slices.Equal(got, []int{4}) {
		t.Errorf("stops at %v, want the tightest, 4", got)
	}
}

// Where a text names a layer that there is, it can be gone to.
func TestSay(t *testing.T) {
	r := toy("gate.stl", shed, 12)
	got := say(r, tint(gapscan.Welds)+": from layer"+nbsp+"7 to layer"+nbsp+"12, not layer"+nbsp+"13")
	want := said{{"welds: from ", 0}, {"layer" + nbsp + "7", 7}, {" to ", 0}, {"layer" + nbsp + "12", 12}, {", not layer" + nbsp + "13", 0}}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// The page's strip shows of every layer what the picture does.
func TestPageStrip(t *testing.T) {
	for name, r := range strips() {
		s, err := newPageStrip(r)
		if err != nil {
			t.Fatal(err)
		}
		shown := map[int]bool{}
		for _, c := range s.Columns {
			for x := c.X; x < c.X+c.Width; x++ {
				shown[x] = true
				if len(r.Layers) > s.Width {
					continue
				}
				l := &r.Layers[x]
				if short := l.Outcome != nil && bad(*l.Outcome); short != (c.Top < s.NeedY) && (short || c.Top != s.NeedY) {
					t.Errorf("%s, layer %d: margin %v rises to %d, the need is at %d", name, x+1, *l.Margin, c.Top, s.NeedY)
				}
			}
		}
		for i := range r.Layers {
			if x := i; len(r.Layers) <= s.Width && shown[x] != (r.Layers[i].Margin != nil) {
				t.Errorf("%s, layer %d: shown is %v", name, i+1, shown[x])
			}
		}
		if len(s.Marks) != len(stripMarks(r)) {
			t.Errorf("%s: %d kinds of marks, want %d", name, len(s.Marks), len(stripMarks(r)))
		}
	}
}
