package report

import (
	"embed"
	"html/template"
	"io"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"playgauge/gapscan"
)

// The page's template, its style and its script.
//
//go:embed page
var pageFiles embed.FS

var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page.html").ParseFS(pageFiles, "page/page.html"))
})

// PageHead is how every page begins, so that an earlier page can be told from
// another file.
const PageHead = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="generator" content="playgauge">
`

// Page writes the answer as one HTML file that needs nothing else: every layer
// drawn with its tight places, the heat-strip as the way through them, the
// joints, and all of the words. layers holds those that were measured; r.Tight,
// which gapscan.Options.Tight asks for, says which walls to draw heavy and may
// be nil. Lines are drawn within 0.01 mm of the contours; every number is the
// result's. A number that is NaN or infinite is a *NotFiniteError, and nothing
// is written.
func Page(w io.Writer, r *gapscan.Result, layers *Layers) error {
	if bad := notFinite(reflect.ValueOf(withoutTight(r)), ""); bad != nil {
		return bad
	}
	drawing := newDrawing(r, layers)
	d, err := newPageData(r, layers.bounds(), drawing.of)
	if err != nil {
		return err
	}
	if err := pageTemplate().Execute(w, d); err != nil {
		return err
	}
	if err := drawing.write(w); err != nil {
		return err
	}
	return pageTemplate().ExecuteTemplate(w, "end", d)
}

// withoutTight is the result as JSON has it.
func withoutTight(r *gapscan.Result) *gapscan.Result {
	c := *r
	c.Tight = nil
	return &c
}

// pageData is what the template shows.
type pageData struct {
	File, Outcome  string
	Doubt, Verdict string
	Untested       bool
	InShort        string // the machine, where nothing was tested on it
	MachineName    string
	HangsOn        string
	Reason         said
	Machine, State string
	Chance         string
	Asks           []ask
	Joints         []jointRow
	Notes          []note
	Plan           string
	Gapless        bool // no layer has a gap to show close up
	Strip          *pageStrip
	First, Last    int // layers to begin at and to end with
	Data           pageLayers
	Style          template.CSS
	Script         template.JS
	Parts          int
	DrawWithin     string
}

// pageLayers is what the script needs: everything but words that stand in the
// page already.
type pageLayers struct {
	Box    [4]float64  `json:"box"` // round all layers: least x and y, greatest x and y, mm
	Grid   float64     `json:"grid"`
	Layers []pageLayer `json:"layers"`
	Joints []pageJoint `json:"joints"`
	Stops  []int       `json:"stops"`
	First  int         `json:"first"`
}

// pageLayer is one layer for the script.
type pageLayer struct {
	Islands int       `json:"islands"` // index of a piece, -1 for none, as in drawn
	Tight   int       `json:"tight"`
	Height  string    `json:"z"`       // where it ends, mm
	Outcome string    `json:"outcome"` // "" where no two parts are near
	Words   string    `json:"words"`
	Marks   []string  `json:"marks,omitempty"`
	Parts   []int     `json:"parts,omitempty"`
	Gaps    []pageGap `json:"gaps,omitempty"`
}

// pageGap is a gap to dimension: the first of a layer is the one that decides
// it, another the side gap where that is not.
type pageGap struct {
	MM     float64       `json:"mm"`
	Text   string        `json:"text"`
	Ends   [2][2]float64 `json:"ends"`
	Layers [2]int        `json:"layers"`
}

// pageJoint is a joint for the script.
type pageJoint struct {
	ID    int      `json:"id"`
	Parts [2]int   `json:"parts"`
	Layer int      `json:"layer"` // 0 for none
	Gap   *pageGap `json:"gap"`
}

func newPageData(r *gapscan.Result, box [4]float64, of []drawn) (*pageData, error) {
	strip, err := newPageStrip(r)
	if err != nil {
		return nil, err
	}
	style, err := pageFiles.ReadFile("page/page.css")
	if err != nil {
		return nil, err
	}
	var script []byte
	for _, name := range []string{"drawing.js", "view.js", "page.js"} {
		js, err := pageFiles.ReadFile("page/" + name)
		if err != nil {
			return nil, err
		}
		script = append(script, js...)
	}
	d := &pageData{
		File:        pageFile(r),
		Outcome:     plain(string(r.Outcome)),
		Doubt:       doubt(r),
		Verdict:     verdict(r, firstAndWorst(r)),
		Untested:    !r.Machine.Tested,
		InShort:     machineInShort(&r.Machine),
		MachineName: plain(r.Machine.Name),
		Machine:     machineWords(&r.Machine),
		State:       machineState(&r.Machine),
		Asks:        asks(r),
		Joints:      jointRows(r),
		Notes:       pageNotes(r),
		Plan:        planWords(&r.Plan),
		Strip:       strip,
		First:       max(worstLayer(r)+1, 1),
		Last:        len(r.Layers),
		Style:       template.CSS(style),
		Script:      template.JS(script),
		Parts:       len(r.Parts),
		DrawWithin:  size(drawWithin),
	}
	if r.Outcome == gapscan.NoJoint && len(r.Parts) > 0 {
		d.Verdict += "; " + slotsInShort(r)
	}
	if len(r.Joints) > 0 && r.Joints[0].Outcome != nil {
		j := &r.Joints[0]
		d.Reason = say(r, pairWords(r.Joints[:1])+": "+jointWords(r, j)+"; "+jointPlace(r, j, false))
		d.HangsOn = untestedNeed(&r.Machine, j)
	}
	d.Chance = unglued(allFree(r))
	d.Data.Box, d.Data.Grid, d.Data.First, d.Data.Stops = box, drawGrid, d.First, stops(r)
	d.Gapless = true
	d.Data.Layers = make([]pageLayer, len(r.Layers))
	marks := stripMarks(r)
	for i := range r.Layers {
		l := &r.Layers[i]
		p := &d.Data.Layers[i]
		*p = pageLayer{Islands: of[i].islands, Tight: of[i].tight, Height: height(l.ZTopMM), Words: layerWords(r, l), Parts: l.Parts, Gaps: layerGaps(l)}
		d.Gapless = d.Gapless && len(p.Gaps) == 0
		if l.Outcome != nil {
			p.Outcome = plain(string(*l.Outcome))
		}
		for _, m := range marks {
			if m.marked[i] {
				p.Marks = append(p.Marks, m.label)
			}
		}
	}
	d.Data.Joints = make([]pageJoint, len(r.Joints))
	for i := range r.Joints {
		j := &r.Joints[i]
		d.Data.Joints[i] = pageJoint{ID: j.ID, Parts: j.Parts}
		if j.WorstLayer == nil || j.GapMM == nil || j.EndsMM == nil || j.EndsLayers == nil {
			continue
		}
		d.Data.Joints[i].Layer = *j.WorstLayer
		d.Data.Joints[i].Gap = &pageGap{*j.GapMM, gapLabel(*j.GapMM, j.Cause, j.EndsLayers), *j.EndsMM, *j.EndsLayers}
	}
	return d, nil
}

// pageFile is the model's name for the page, which breaks lines itself.
func pageFile(r *gapscan.Result) string { return strings.ReplaceAll(fileName(r), nbsp, " ") }

// layerGaps are the gaps to dimension in a layer.
func layerGaps(l *gapscan.Layer) (gaps []pageGap) {
	if l.GapMM != nil && l.EndsMM != nil && l.EndsLayers != nil {
		gaps = append(gaps, pageGap{*l.GapMM, gapLabel(*l.GapMM, l.Cause, l.EndsLayers), *l.EndsMM, *l.EndsLayers})
		if l.EndsLayers[0] == l.EndsLayers[1] {
			return gaps
		}
	}
	if l.SideGapMM != nil && l.SideEndsMM != nil {
		gaps = append(gaps, pageGap{*l.SideGapMM, gap(*l.SideGapMM) + nbsp + "mm side", *l.SideEndsMM, [2]int{l.Layer, l.Layer}})
	}
	return gaps
}

// gapLabel is what stands at the dimension line of a gap.
func gapLabel(mm float64, c *gapscan.Cause, layers *[2]int) string {
	s := gap(mm) + nbsp + "mm"
	if c == nil {
		return s
	}
	switch *c {
	case gapscan.CauseRoof:
		s += " above layer" + nbsp + strconv.Itoa(layers[1])
	case gapscan.CauseSlope:
		s += " to layer" + nbsp + strconv.Itoa(layers[1])
	}
	return s
}
