package report

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan"
	"playgauge/slice"
)

// The page in a real browser, from a file.
func TestPageInABrowser(t *testing.T) {
	browser := startBrowser(t)
	t.Run("watch", func(t *testing.T) { theWatchSees(t, browser) })
	t.Run("use", func(t *testing.T) { pageInUse(t, browser) })
	t.Run("size", func(t *testing.T) { pageFits(t, browser) })
	t.Run("names", func(t *testing.T) { pageNames(t, browser) })
}

// The page asks for nothing, nothing goes wrong, keys, strip and table change
// the layer drawn, and the gaps are those of the JSON.
func pageInUse(t *testing.T, browser context.Context) {
	for _, name := range []string{"pea-chain-side-spot.stl", "snail-slope-near.stl"} {
		t.Run(name, func(t *testing.T) {
			r, st := vetted(t, name)
			b := openTab(t, browser, pageOf(t, r, st), 1280, 800)
			var js bytes.Buffer
			if err := JSON(&js, r); err != nil {
				t.Fatal(err)
			}
			var told gapscan.Result
			if err := json.Unmarshal(js.Bytes(), &told); err != nil {
				t.Fatal(err)
			}

			first := b.layer()
			if want := *told.Joints[0].WorstLayer; first != want {
				t.Errorf("begins at layer %d, want the worst, %d", first, want)
			}
			walks(t, b, len(told.Layers))
			tables(t, b, &told)
			layers(t, b, &told)
			areas(t, b, r, st)

			if urls := b.away(); len(urls) > 0 {
				t.Errorf("asks for %v", urls)
			}
			if wrong := b.wrong(); len(wrong) > 0 {
				t.Errorf("goes wrong: %v", wrong)
			}
		})
	}
}

// walks tries the ways from layer to layer.
func walks(t *testing.T, b *tab, last int) {
	t.Helper()
	at, drawn := b.layer(), b.drawn()
	go1 := func(what string, want int) {
		t.Helper()
		if at = b.layer(); at != want {
			t.Errorf("%s leads to layer %d, want %d", what, at, want)
		}
	}
	up := at + 1
	b.press(kb.ArrowRight)
	go1("the right arrow", up)
	if b.drawn() == drawn {
		t.Error("the right arrow changes the number but not the drawing")
	}
	b.press(kb.ArrowLeft)
	go1("the left arrow", up-1)
	if b.drawn() != drawn {
		t.Error("there and back is not the same drawing")
	}
	b.do(chromedp.Click(chromedp.CSS("#on")))
	b.settle()
	go1("the button up", up)
	b.do(chromedp.Click(chromedp.CSS("#back")))
	b.settle()
	go1("the button down", up-1)

	// Tight places, round and round.
	stops := get[[]int](b, `data.stops`)
	for range stops {
		from := at
		b.press(kb.ArrowRight, chromedp.KeyModifiers(chromedp.ModifierShift))
		want := stops[0]
		for _, s := range stops {
			if s > from {
				want = s
				break
			}
		}
		go1("Shift and the right arrow", want)
	}

	// The strip, by its keys and by the mouse.
	b.do(chromedp.Focus(chromedp.CSS("#strip")))
	b.press(kb.Home)
	go1("Home", 1)
	b.press(kb.ArrowLeft)
	go1("the left arrow at the bed", 1)
	b.press(kb.PageUp)
	go1("Page Up", min(11, last))
	b.press(kb.End)
	go1("End", last)
	b.press(kb.ArrowDown)
	go1("the down arrow on the strip", last-1)
	box := get[[]float64](b, `(() => { const s = document.getElementById('strip').getBoundingClientRect(); return [s.left, s.top + s.height / 2, s.width]; })()`)
	x := func(layer int) float64 { return box[0] + box[2]*(float64(layer)-0.5)/float64(last) }
	b.do(chromedp.MouseClickXY(x(7), box[1]))
	b.settle()
	go1("a click on the seventh column", 7)
	b.do(chromedp.DragAndDropXY(x(7), box[1], x(last-2), box[1], 5))
	b.settle()
	go1("a drag", last-2)
}

// tables tries every joint of the table.
func tables(t *testing.T, b *tab, r *gapscan.Result) {
	t.Helper()
	for i := range r.Joints {
		j := &r.Joints[i]
		b.do(chromedp.Focus(chromedp.CSS("#strip")))
		b.press(kb.Home)
		before := b.drawn()
		row := `tr[data-joint="` + strconv.Itoa(i) + `"]`
		b.do(chromedp.Click(chromedp.CSS(row + " button")))
		b.settle()
		if got := b.layer(); got != *j.WorstLayer {
			t.Errorf("joint %d leads to layer %d, want %d", j.ID, got, *j.WorstLayer)
		}
		if *j.WorstLayer != 1 && b.drawn() == before {
			t.Errorf("joint %d leaves the drawing as it was", j.ID)
		}
		if got := get[[]int](b, `[...document.querySelectorAll('tr[aria-current=true]')].map((e) => Number(e.dataset.joint))`); len(got) != 1 || got[0] != i {
			t.Errorf("joint %d: the chosen rows are %v", j.ID, got)
		}
		if got := get[float64](b, `Number(document.querySelector('`+row+` data').value)`); got != *j.GapMM {
			t.Errorf("joint %d: the table says %v mm, the JSON %v", j.ID, got, *j.GapMM)
		}
		shows(t, *j.WorstLayer, get[*shownGap](b, gapShown), *j.GapMM, *j.EndsMM)
	}
	b.do(chromedp.Click(chromedp.CSS("#follow")))
	b.settle()
	if get[bool](b, `document.querySelector('tr[aria-current]') !== null`) {
		t.Error("a joint stays chosen")
	}
}

// gapShown is the first gap of the close-up: its number, its words, and how
// far apart in mm its ends are drawn; null where none is drawn.
const gapShown = `(() => {
	const g = document.querySelector('#near .gap');
	if (!g) return null;
	const [p, q] = [...g.querySelectorAll('.end')].map((e) => [e.cx.baseVal.value, e.cy.baseVal.value]);
	return {mm: Number(g.dataset.mm), text: g.querySelector('text').textContent, apart: Math.hypot(p[0] - q[0], p[1] - q[1]) * near.px};
})()`

type shownGap struct {
	MM    float64 `json:"mm"`
	Text  string  `json:"text"`
	Apart float64 `json:"apart"`
}

// layers looks at every layer and compares its gap and its outcome.
func layers(t *testing.T, b *tab, r *gapscan.Result) {
	t.Helper()
	type layer struct {
		Gap   *shownGap `json:"gap"`
		Words string    `json:"words"`
	}
	all := get[[]layer](b, `data.layers.map((_, i) => {
		shown.layer = i + 1;
		show();
		return {gap: `+gapShown+`, words: document.getElementById('now').textContent};
	})`)
	if len(all) != len(r.Layers) {
		t.Fatalf("%d layers are shown, want %d", len(all), len(r.Layers))
	}
	for i := range r.Layers {
		l := &r.Layers[i]
		if l.Margin == nil {
			if all[i].Gap != nil {
				t.Errorf("layer %d has no gap, but one is drawn: %v", l.Layer, all[i].Gap)
			}
			continue
		}
		shows(t, l.Layer, all[i].Gap, *l.GapMM, *l.EndsMM)
		if !strings.Contains(all[i].Words, string(*l.Outcome)) {
			t.Errorf("layer %d is %s, but the words are %q", l.Layer, *l.Outcome, all[i].Words)
		}
	}
}

// areas compares the material the script draws in each layer, part by part,
// with what was cut: by the shoelace formula over the points it decodes.
func areas(t *testing.T, b *tab, r *gapscan.Result, st *slice.Stack) {
	t.Helper()
	all := get[[]map[int]float64](b, `data.layers.map((l) => Object.fromEntries(partsOf(l).map((p) => [p.part, p.lines.reduce((sum, pts) =>
		sum + pts.reduce((s, a, i) => s + a[0] * pts[(i + 1) % pts.length][1] - a[1] * pts[(i + 1) % pts.length][0], 0) / 2, 0) * data.grid ** 2])))`)
	if len(all) != len(st.Layers) {
		t.Fatalf("%d layers are drawn, want %d", len(all), len(st.Layers))
	}
	for i := range st.Layers {
		cut, around := map[int]float64{}, map[int]float64{}
		for _, c := range st.Layers[i].Contours {
			id := r.Parts[c.Part].ID
			cut[id] += c.Area
			pts := st.Layers[i].Pts[c.Start:c.End]
			for k, p := range pts {
				around[id] += r2.Norm(r2.Sub(pts[(k+1)%len(pts)], p))
			}
		}
		if len(all[i]) != len(cut) {
			t.Errorf("layer %d: %d parts are drawn, want %d", i+1, len(all[i]), len(cut))
		}
		for id, area := range cut {
			// A line off by no more than drawWithin all along.
			if math.Abs(all[i][id]-area) > drawWithin*around[id] {
				t.Errorf("layer %d, part %d: %v mm2 are drawn, want %v", i+1, id, all[i][id], area)
			}
		}
	}
}

// shows compares the gap dimensioned in the close-up with a gap of the JSON,
// and the places it joins.
func shows(t *testing.T, layer int, got *shownGap, mm float64, ends [2][2]float64) {
	t.Helper()
	if got == nil {
		t.Errorf("layer %d: no gap is drawn, want %v mm", layer, mm)
		return
	}
	if got.MM != mm {
		t.Errorf("layer %d: the gap drawn is %v mm, the JSON's %v", layer, got.MM, mm)
	}
	number, _, _ := strings.Cut(got.Text, "\u00a0mm")
	_, decimals, _ := strings.Cut(number, ".")
	reads, err := strconv.ParseFloat(number, 64)
	if err != nil || len(decimals) < 2 || math.Abs(reads-mm) > 0.5001*math.Pow10(-len(decimals)) {
		t.Errorf("layer %d: the gap drawn reads %q, the JSON's is %v mm", layer, got.Text, mm)
	}
	if want := math.Hypot(ends[0][0]-ends[1][0], ends[0][1]-ends[1][1]); math.Abs(got.Apart-want) > 1e-6 {
		t.Errorf("layer %d: the places drawn lie %v mm apart, the JSON's %v", layer, got.Apart, want)
	}
}

// On a phone and on a desk, no page is wider than the screen.
func pageFits(t *testing.T, browser context.Context) {
	for _, name := range []string{"pea-chain-side-spot.stl", "gate-hinge.stl"} {
		r, st := vetted(t, name)
		b := openTab(t, browser, pageOf(t, r, st), 320, 844)
		for _, wide := range []int64{320, 390, 768, 1280, 1920} {
			b.do(chromedp.EmulateViewport(wide, 844))
			b.settle()
			if got := get[int64](b, `document.documentElement.scrollWidth`); got > wide {
				out := get[[]string](b, `[...document.querySelectorAll('body :not(svg *)')].filter((e) => e.getBoundingClientRect().right > innerWidth).map((e) => e.tagName + '.' + e.className).slice(0, 9)`)
				t.Errorf("%s is %d pixels wide on a screen of %d: %v", name, got, wide, out)
			}
		}
	}
}

// A name that is markup is shown as a name.
func pageNames(t *testing.T, browser context.Context) {
	const evil = `<script>document.title='taken'</script></script><img src=x onerror=alert(1)>&amp;"'.stl`
	r, st := vetted(t, "gate-hinge.stl")
	r.Model.File, r.Machine.Name, r.Machine.Tested = evil, evil, true
	r.Mesh.Warnings = append(r.Mesh.Warnings, evil)
	r.Cautions = append(r.Cautions, gapscan.Caution{Kind: evil, Text: evil})
	b := openTab(t, browser, pageOf(t, r, st), 1280, 800)
	if b.layer() < 1 {
		t.Error("nothing is shown")
	}
	if got := get[string](b, `document.querySelector('.file').textContent`); got != evil {
		t.Errorf("the name is shown as %q", got)
	}
	if got := get[string](b, `document.title`); !strings.HasPrefix(got, evil) {
		t.Errorf("the title is %q", got)
	}
	if got := get[int](b, `document.querySelectorAll('img').length`); got != 0 {
		t.Errorf("%d pictures came out of a name", got)
	}
	if got := get[int](b, `document.scripts.length`); got != 3 {
		t.Errorf("%d scripts, want the data, the drawing and the page's own", got)
	}
	if urls, wrong := b.away(), b.wrong(); len(urls)+len(wrong) > 0 {
		t.Errorf("asks for %v, goes wrong: %v", urls, wrong)
	}
}

// The watch over a page sees a request and an error where there is one.
func theWatchSees(t *testing.T, browser context.Context) {
	b := openTab(t, browser, []byte(`<!doctype html><title>x</title><img src="other.png"><script>throw new Error('seen')</script>`), 400, 300)
	b.settle()
	if urls := b.away(); len(urls) != 1 || !strings.HasSuffix(urls[0], "/other.png") {
		t.Errorf("a request for other.png is seen as %v", urls)
	}
	if wrong := strings.Join(b.wrong(), "\n"); !strings.Contains(wrong, "seen") {
		t.Errorf("an error is seen as %q", wrong)
	}
}
