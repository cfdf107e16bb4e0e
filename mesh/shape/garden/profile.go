package garden

import (
	"gonum.org/v1/gonum/spatial/r2"
)

// beside is the open line at the distance d on the right of another, mitred
// at its corners and as long: it begins and ends beside the other's ends. No
// side may be shorter than the corners at its ends take.
func beside(line []r2.Vec, d float64) []r2.Vec {
	right := func(i int) r2.Vec {
		u := r2.Unit(r2.Sub(line[i+1], line[i]))
		return r2.Vec{X: u.Y, Y: -u.X}
	}
	out := make([]r2.Vec, len(line))
	for i, p := range line {
		a, b := right(max(i-1, 0)), right(min(i, len(line)-2))
		// a+b leads along the mitre; its part along a is 1 + a.b.
		m := r2.Scale(d/(1+r2.Dot(a, b)), r2.Add(a, b))
		out[i] = r2.Add(p, m)
	}
	return out
}

// upTo is the rising line up to the height z, which its last side must cross
// or reach when drawn on.
func upTo(line []r2.Vec, z float64) []r2.Vec {
	n := len(line) - 1
	for n > 1 && line[n-1].Y >= z {
		n--
	}
	p, q := line[n-1], line[n]
	f := (z - p.Y) / (q.Y - p.Y)
	end := r2.Vec{X: p.X + float64(f*(q.X-p.X)), Y: z}
	return append(line[:n:n], end)
}

// relieved is a rising line of radii with the edge on the bed taken off at 45
// degrees: there the plastic spreads. Out is +1 where the solid lies on the
// line's inside, -1 where it lies outside.
func relieved(line []r2.Vec, out float64) []r2.Vec {
	first := line[0]
	return append([]r2.Vec{{X: first.X - float64(out*relief), Y: first.Y}, {X: first.X, Y: first.Y + relief}}, line[1:]...)
}

// relief is what is taken off an edge on the bed, mm: the first layer's
// middle lies at 0.1.
const relief = 0.3
