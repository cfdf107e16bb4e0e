package report

import (
	"fmt"
	"math"
	"strconv"

	"playgauge/gapscan"
)

// The page's heat-strip: a drawing as wide as it has columns and stripTall
// high, which the page stretches. Heights are those of the picture, scaled.
const (
	stripTall   = 100
	mostColumns = 1600 // finer than any screen shows
	mostLines   = 130  // of more layers the columns stand without lines between
	heatSteps   = 10   // classes of colour: of margin below 1, as many above
)

// pageColumn is a run of neighbouring columns that look alike.
type pageColumn struct {
	X, Width  int
	Top, Tall int
	Heat      int  // 0 for touching to heatSteps-1 for 2 or more
	Short     bool // whether it rises over the need
}

// pageStrip is what the template draws of the strip.
type pageStrip struct {
	Width   int
	Columns []pageColumn
	NeedY   int
	FreeY   int
	Lines   string // an SVG path between the columns; "" where there are too many
	Skyline string // an SVG path along the tops of the columns
	Heights []tick
	Marks   []pageMarks
}

// tick is a label at a share of the strip's width, in per cent.
type tick struct {
	At   string
	Text string
}

// pageMarks is a kind of mark with the places it is at.
type pageMarks struct {
	Label string
	Spans []pageSpan
}

// pageSpan is a run of marked layers: shares of the strip's width, per cent.
type pageSpan struct{ From, Width string }

func newPageStrip(r *gapscan.Result) (*pageStrip, error) {
	n := len(r.Layers)
	width := min(n, mostColumns)
	margins, err := stripColumns(r.Layers, width)
	if err != nil {
		return nil, err
	}
	s := &pageStrip{Width: max(width, 1), NeedY: columnTop(needMargin), FreeY: columnTop(freeMargin)}
	for x, m := range margins {
		if math.IsNaN(m) {
			continue
		}
		c := pageColumn{X: x, Width: 1, Top: columnTop(m), Heat: heat(m), Short: m < needMargin}
		if k := len(s.Columns) - 1; k >= 0 {
			if last := &s.Columns[k]; last.X+last.Width == x && last.Top == c.Top && last.Heat == c.Heat {
				last.Width++
				continue
			}
		}
		s.Columns = append(s.Columns, c)
	}
	for _, c := range s.Columns {
		s.Skyline += fmt.Sprintf("M%d %dh%d", c.X, c.Top, c.Width)
	}
	if n <= mostLines {
		for i := 1; i < n; i++ {
			s.Lines += "M" + strconv.Itoa(i) + " 0v" + strconv.Itoa(stripTall)
		}
	}
	if n > 0 {
		at, step := ticks(r.Layers[0].ZBottomMM, r.Layers[n-1].ZTopMM, 8, 0.01)
		decimals := max(0, int(math.Ceil(-math.Log10(step)-tickSlack)))
		for _, z := range at {
			s.Heights = append(s.Heights, tick{share100(columnOfZ(r.Layers, z), n), rounded(z, decimals)})
		}
	}
	for _, row := range stripMarks(r) {
		m := pageMarks{Label: row.label}
		for i := 0; i < n; i++ {
			if !row.marked[i] {
				continue
			}
			from := i
			for i < n && row.marked[i] {
				i++
			}
			m.Spans = append(m.Spans, pageSpan{share100(float64(from), n), share100(float64(i-from), n)})
		}
		s.Marks = append(s.Marks, m)
	}
	return s, nil
}

func share100(k float64, n int) string {
	return strconv.FormatFloat(math.Round(k*1e5/float64(n))/1e3, 'f', -1, 64)
}

// columnTop is where a column of margin m ends, from the top of the strip, on
// the scale of marginLine.
func columnTop(m float64) int {
	return int(math.Round(float64(marginLine(m)-touchLine) * stripTall / (groundLine - touchLine)))
}

// heat is the class of colour of a margin.
func heat(m float64) int {
	return min(max(int(m*heatSteps/roomy), 0), heatSteps-1)
}

// Over is how far a column rises over the need.
func (c pageColumn) Over(needY int) int { return needY - c.Top }
