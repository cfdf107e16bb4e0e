package coupon

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
)

// The kinds of sheets.
const (
	SheetText = "txt"
	SheetPNG  = "png"
)

// Sheet writes what to have at hand when a printed coupon is tested: which
// cell is which, in testing order, how to judge, and what to take care of.
// The kind is SheetText (UTF-8) or SheetPNG (a plan of the plate beside the
// list, to be printed on A4 lying down); any other is an *OptionError.
func Sheet(w io.Writer, c *Coupon, kind string) error {
	switch kind {
	case SheetText:
		return writeText(w, c)
	case SheetPNG:
		return writePicture(w, c)
	}
	return &OptionError{"sheet", fmt.Sprintf("%q is neither %s nor %s", kind, SheetText, SheetPNG)}
}

// group is one level: the cells that are judged together, in testing order.
type group struct {
	family Family
	level  string // "0.4 mm"
	cells  []Cell
}

// groups lists all levels in testing order.
func groups(c *Coupon) []group {
	cells := slices.Clone(c.Cells)
	slices.SortFunc(cells, func(a, b Cell) int { return cmp.Compare(a.Order, b.Order) })
	var out []group
	for _, cell := range cells {
		name := levelName(cell)
		if n := len(out); n == 0 || out[n-1].family != cell.Family || out[n-1].level != name {
			out = append(out, group{family: cell.Family, level: name})
		}
		g := &out[len(out)-1]
		g.cells = append(g.cells, cell)
	}
	return out
}

func levelName(c Cell) string {
	switch {
	case c.Family == Roof:
		return fmt.Sprintf("%d %s (%s mm)", c.Layers, plural(c.Layers, "layer"), mm(c.GapMM))
	case c.Family == Bridge:
		return mm(c.SpanMM) + " mm"
	case level(c) == 1:
		return mm(c.GapMM) + " mm, level pin"
	}
	return mm(c.GapMM) + " mm"
}

// tag names a cell in a list: its number, and where it slides.
func tag(c Cell) string {
	if (c.Family == Side || c.Family == Bottom) && c.Axis != Round {
		return strconv.Itoa(c.Number) + c.Axis
	}
	return strconv.Itoa(c.Number)
}

// about says in a line what a family's cells are.
func about(f Family, c *Coupon) string {
	switch f {
	case Side:
		return "gap beside pins and sliders, clear of the bottom layers"
	case Bottom:
		return "gap beside pins and sliders, down to the bed"
	case Roof:
		return fmt.Sprintf("air under a ceiling of %s mm span", mm(roofSpan))
	case Slope:
		return "gap of cones of 45 degrees, along the normal; a check, not a limit"
	}
	for _, cell := range c.Cells {
		if cell.Family == Bridge {
			return fmt.Sprintf("decks of one layer, drawn %s mm above the plate", mm(cell.GapMM))
		}
	}
	return ""
}

// howToJudge and takeCare are the same on every sheet, a paragraph an entry.
var (
	howToJudge = []string{
		"free: it moves by finger. Turn pins by the fin, push sliders along their slot.",
		"sticks: it cracks with a nail or a small lever, then moves.",
		"welds: it never moves.",
		"Work down the list, the widest gaps first. Once a whole level and the next one weld, what is tighter need not be tried: it welds too.",
		"x and y: a slider that moves along x or y; the cut corner of the plate lies at the lower left. All others turn, but for the roof's, which slide along x.",
	}
	howToBridge = "Bridges: push a feeler, or slips of paper of known thickness, under the middle of the deck. The sag is the height drawn less what still passes."
	takeCare    = []string{
		"Let the print cool before you take it off the bed, and take it off before you test.",
		"Push and pry away from yourself, and keep the other hand out of the way.",
		"Wear eye protection when prying: small pieces fly.",
		"Work over a tray: most pins and sliders come out once they are loose. They are small: keep them from children under three.",
	}
)

// judging is howToJudge with what the coupon's families ask for.
func judging(c *Coupon) []string {
	var out []string
	for _, f := range c.Options.Families {
		if f != Bridge {
			out = slices.Clone(howToJudge)
			break
		}
	}
	if slices.Contains(c.Options.Families, Bridge) {
		out = append(out, howToBridge)
	}
	return out
}

// headline says what the coupon was made for.
func headline(c *Coupon) string {
	o := c.Options
	layers := mm(o.RestMM)
	if o.FirstMM != o.RestMM {
		layers = mm(o.FirstMM) + "+" + mm(o.RestMM)
	}
	return fmt.Sprintf("nozzle %s mm, layers %s mm, %s", mm(o.NozzleMM), layers, o.Material)
}

// sizeLine says how large it is and how long it takes.
func sizeLine(c *Coupon) string {
	return fmt.Sprintf("%.0f x %.0f x %.1f mm, about %.0f minutes at %.0f mm/s; print it without support, brim or scaling",
		c.Size.X, c.Size.Y, c.Size.Z, math.Ceil(c.Minutes), lineSpeed)
}

// mm writes a length without needless zeros, to a micron.
func mm(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}
