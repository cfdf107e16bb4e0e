package coupon

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The plate's border and the corner cut off so that nobody reads it the
// wrong way up, mm.
const (
	border    = 1.5
	cutCorner = 3.0
)

// placed is a cell in its place: at is the middle of its body.
type placed struct {
	kind
	at  r2.Vec
	row int // counted from the upper edge
}

// layout is where the cells lie, in reading order.
type layout struct {
	placed []placed
	half   r2.Vec // of the plate
}

// row is a row of the lower half: indices of pairs from left to right.
type row struct {
	pairs      []int
	wide, deep float64
}

// widthStep is by how much a plate that does not fit is made wider, mm.
const widthStep = 1.0

// arrange gives every cell a place. One cell of each pair lies in the lower
// half of the plate, in rows that are filled in a shuffled order; the other
// lies in the same row of the upper half, mirrored. So the two are never
// nearer than half the plate is deep, and not at the same edge. The plate is
// about square where that is possible.
func arrange(pairs [][2]kind, pad float64, seed uint64) (*layout, error) {
	area, widest := 0.0, 0.0
	for _, p := range pairs {
		area += float64(8 * p[0].half.X * (p[0].half.Y + pad/2))
		widest = max(widest, 2*p[0].half.X)
	}
	const most = MaxSizeMM - 2*border
	for wide := min(max(widest, math.Ceil(math.Sqrt(area))), most); ; wide += widthStep {
		if wide = min(wide, most); wide < widest {
			return nil, &SizeError{Cells: 2 * len(pairs)}
		}
		random := rand.New(rand.NewPCG(seed, seed))
		rows := fill(pairs, pad, wide, random)
		deep := 0.0
		for _, r := range rows {
			deep += 2 * r.deep
		}
		// Wider only where it brings the plate nearer to a square.
		if deep <= most && (deep <= wide+2*pad || wide == most) {
			return settle(pairs, rows, pad, deep, random), nil
		}
		if wide == most {
			return nil, &SizeError{Cells: 2 * len(pairs)}
		}
	}
}

// fill sorts pairs into rows, deep ones first, each into the first row with
// room for it; pairs of equal depth come in a shuffled order.
func fill(pairs [][2]kind, pad, wide float64, random *rand.Rand) []row {
	turn := random.Perm(len(pairs))
	slices.SortStableFunc(turn, func(a, b int) int { return -cmp.Compare(pairs[a][0].half.Y, pairs[b][0].half.Y) })
	var rows []row
	for _, i := range turn {
		k := pairs[i][0]
		w := 2*k.half.X - lap
		at := slices.IndexFunc(rows, func(r row) bool { return r.wide+w <= wide })
		if at < 0 {
			at = len(rows)
			rows = append(rows, row{wide: lap, deep: 2*k.half.Y + pad})
		}
		rows[at].pairs = append(rows[at].pairs, i)
		rows[at].wide += w
	}
	random.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	for _, r := range rows {
		random.Shuffle(len(r.pairs), func(i, j int) { r.pairs[i], r.pairs[j] = r.pairs[j], r.pairs[i] })
	}
	return rows
}

// settle places the rows from the lower edge up, twice.
func settle(pairs [][2]kind, rows []row, pad, deep float64, random *rand.Rand) *layout {
	l := &layout{}
	y := -deep / 2
	for n, r := range rows {
		l.half.X = max(l.half.X, r.wide/2+border)
		x := -r.wide / 2
		for _, i := range r.pairs {
			pair := pairs[i]
			if random.IntN(2) == 1 {
				pair[0], pair[1] = pair[1], pair[0]
			}
			at := r2.Vec{X: snap(x + pair[0].half.X), Y: snap(y + pad + pair[0].half.Y)}
			l.placed = append(l.placed,
				placed{pair[0], at, 2*len(rows) - n},
				placed{pair[1], r2.Vec{X: -at.X, Y: snap(at.Y + deep/2)}, len(rows) - n})
			x += 2*pair[0].half.X - lap
		}
		y += r.deep
	}
	l.half.Y = deep/2 + border
	slices.SortStableFunc(l.placed, func(a, b placed) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.at.X, b.at.X))
	})
	return l
}

// snap rounds a place to a thousandth of a millimetre.
func snap(v float64) float64 { return math.Round(v*1000) / 1000 }

// outline is the plate's, its lower left corner cut.
func (l *layout) outline() []r2.Vec {
	x, y := l.half.X, l.half.Y
	return append([]r2.Vec{{X: -x, Y: -y + cutCorner}, {X: -x + cutCorner, Y: -y}}, shape.Rect(-x, -y, x, y)[1:]...)
}
