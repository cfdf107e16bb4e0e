package report

import (
	"cmp"
	"encoding/binary"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// reader reads a piece as the script does, but with Go's own varints.
type reader struct {
	t    *testing.T
	buf  []byte
	x, y int64
}

func newReader(t *testing.T, piece string) *reader {
	return &reader{t: t, buf: []byte(piece)}
}

func (r *reader) number() int {
	v, n := binary.Uvarint(r.buf)
	if n <= 0 {
		r.t.Fatal("the piece ends early")
	}
	r.buf = r.buf[n:]
	return int(v)
}

func (r *reader) step() int64 {
	v, n := binary.Varint(r.buf)
	if n <= 0 {
		r.t.Fatal("the piece ends early")
	}
	r.buf = r.buf[n:]
	return v
}

func (r *reader) line() (pts []r2.Vec) {
	for range r.number() {
		r.x += r.step()
		r.y += r.step()
		pts = append(pts, r2.Vec{X: float64(r.x) * drawGrid, Y: float64(r.y) * drawGrid})
	}
	return pts
}

// fromSegment is the distance of p from the segment from a to b.
func fromSegment(p, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	t := 0.0
	if l := r2.Dot(d, d); l > 0 {
		t = min(max(r2.Dot(r2.Sub(p, a), d)/l, 0), 1)
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, d))))
}

// apart is how far a point is from a line, closed or not.
func apart(p r2.Vec, line []r2.Vec, closed bool) float64 {
	d := r2.Norm(r2.Sub(p, line[0]))
	for i := range line {
		if j := i + 1; j < len(line) {
			d = min(d, fromSegment(p, line[i], line[j]))
		} else if closed {
			d = min(d, fromSegment(p, line[i], line[0]))
		}
	}
	return d
}

// hausdorff is how far two lines lie from each other at their points and
// between them.
func hausdorff(a, b []r2.Vec, closed bool) (d float64) {
	for _, l := range [2][2][]r2.Vec{{a, b}, {b, a}} {
		for i, p := range l[0] {
			q := l[0][(i+1)%len(l[0])]
			if i+1 == len(l[0]) && !closed {
				q = p
			}
			for k := range 4 {
				s := float64(k) / 4
				d = max(d, apart(r2.Vec{X: p.X + s*(q.X-p.X), Y: p.Y + s*(q.Y-p.Y)}, l[1], closed))
			}
		}
	}
	return d
}

// What is drawn lies within drawWithin of what was cut, both ways, part by
// part; and layers that are alike share a piece.
func TestDrawingFollowsTheContours(t *testing.T) {
	for _, name := range []string{"gate-hinge-bottom-spreads.stl", "pea-chain.stl", "snail-slope-near.stl"} {
		r, st := vetted(t, name)
		d := newDrawing(r, layersOf(r, st))
		points, drawn := 0, 0
		for i := range st.Layers {
			l := &st.Layers[i]
			in := newReader(t, d.islands.pieces[d.of[i].islands])
			if n := in.number(); n != len(l.Islands) {
				t.Fatalf("%s, layer %d: %d islands, want %d", name, i+1, n, len(l.Islands))
			}
			for _, is := range l.Islands {
				if id := in.number(); id != r.Parts[is.Part].ID {
					t.Errorf("%s, layer %d: part %d, want %d", name, i+1, id, r.Parts[is.Part].ID)
				}
				if n := in.number(); n != int(is.End-is.First) {
					t.Fatalf("%s, layer %d: %d contours, want %d", name, i+1, n, is.End-is.First)
				}
				for _, c := range l.Contours[is.First:is.End] {
					cut, line := l.Pts[c.Start:c.End], in.line()
					points, drawn = points+len(cut), drawn+len(line)
					if off := hausdorff(cut, line, true); off > drawWithin {
						t.Errorf("%s, layer %d: drawn %v mm beside the contour", name, i+1, off)
					}
				}
			}
			if len(in.buf) != 0 {
				t.Errorf("%s, layer %d: %d bytes too many", name, i+1, len(in.buf))
			}
			tightDrawn(t, name, i+1, d, r.Tight[i].Walls == nil && r.Tight[i].Roofs == nil)
		}
		if drawn >= points {
			t.Errorf("%s: %d points are drawn of %d", name, drawn, points)
		}
	}
}

// tightDrawn reads one piece of tight places to its end.
func tightDrawn(t *testing.T, name string, layer int, d *drawing, none bool) {
	t.Helper()
	at := d.of[layer-1].tight
	if (at < 0) != none {
		t.Errorf("%s, layer %d: tight places at %d, none there is %v", name, layer, at, none)
	}
	if at < 0 {
		return
	}
	in := newReader(t, d.tight.pieces[at])
	for range in.number() {
		if short, part, other := in.number(), in.number(), in.number(); short > 1 || part < 1 || other < 1 || part == other {
			t.Errorf("%s, layer %d: a wall of part %d against %d, short %d", name, layer, part, other, short)
		}
		if line := in.line(); len(line) < 2 {
			t.Errorf("%s, layer %d: a wall of %d points", name, layer, len(line))
		}
	}
	for range in.number() {
		if short, part, over, low := in.number(), in.number(), in.number(), in.number(); short > 1 || part == over || low >= layer {
			t.Errorf("%s, layer %d: a roof of part %d over %d in layer %d", name, layer, part, over, low)
		}
		for range in.number() {
			// A sliver thinner than drawWithin may be left as a line.
			if ring := in.line(); len(ring) < 2 {
				t.Errorf("%s, layer %d: a ring of %d points", name, layer, len(ring))
			}
		}
	}
	if len(in.buf) != 0 {
		t.Errorf("%s, layer %d: %d bytes too many", name, layer, len(in.buf))
	}
}

func TestLayersAlikeShareAPiece(t *testing.T) {
	r, st := vetted(t, "gate-hinge-bottom-spreads.stl")
	st.Layers[4].Pts, st.Layers[4].Contours, st.Layers[4].Islands = st.Layers[3].Pts, st.Layers[3].Contours, st.Layers[3].Islands
	of := newDrawing(r, layersOf(r, st)).of
	if of[3].islands != of[4].islands || of[3].islands == of[30].islands {
		t.Errorf("layers 4, 5 and 31 are drawn by pieces %d, %d and %d", of[3].islands, of[4].islands, of[30].islands)
	}
}

// What is in the page is what was packed.
func TestPiecesInThePage(t *testing.T) {
	r, st := vetted(t, "pea-chain-side-spot.stl")
	d := newDrawing(r, layersOf(r, st))
	var got struct{ Islands, Tight [][]byte } // base64, as encoding/json has it
	if err := json.Unmarshal(scriptOf(t, pageOf(t, r, st), "pieces"), &got); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		got  [][]byte
		want []string
	}{{"islands", got.Islands, d.islands.pieces}, {"tight", got.Tight, d.tight.pieces}} {
		same := func(b []byte, s string) bool { return string(b) == s }
		if len(c.want) < 2 || !slices.EqualFunc(c.got, c.want, same) {
			t.Errorf("%s: %d pieces that are not the %d packed", c.name, len(c.got), len(c.want))
		}
	}
}

// Layers drawn all at once are those drawn one by one.
func TestLayersAddedTogether(t *testing.T) {
	r, st := vetted(t, "gate-hinge-bottom-spreads.stl")
	one, all := layersOf(r, st), newLayers(partIDs(r))
	all.AddAll(st)
	if !slices.Equal(one.packed, all.packed) || one.bounds() != all.bounds() {
		t.Error("they differ")
	}
	if b := newLayers(nil).bounds(); b != [4]float64{} {
		t.Errorf("no layers lie within %v", b)
	}
}

// A layer that is alike is drawn as the one below, in whatever order they come.
func TestAlikeLayersShareADrawing(t *testing.T) {
	r, st := vetted(t, "gate-hinge-bottom-spreads.stl")
	plain, ls := newDrawing(r, layersOf(r, st)), newLayers(partIDs(r))
	const alike = 2 // and the one after it
	for i := len(st.Layers) - 1; i >= 0; i-- {
		ls.Add(&st.Layers[i], i == alike || i == alike+1)
	}
	d := newDrawing(r, ls)
	for i, at := range d.of {
		from := i
		if i == alike || i == alike+1 {
			from = alike - 1
		}
		if want := plain.islands.pieces[plain.of[from].islands]; at.islands < 0 || d.islands.pieces[at.islands] != want {
			t.Errorf("layer %d is not drawn as layer %d", i+1, from+1)
		}
	}
}

// An upright wall comes out the same however its facets are divided and
// wherever the cut begins.
func TestUprightWallsAreAlike(t *testing.T) {
	var thin thinner
	rapid.Check(t, func(t *rapid.T) {
		n, r := rapid.IntRange(3, 100).Draw(t, "n"), rapid.Float64Range(0.5, 20).Draw(t, "r")
		corner := func(i int) r2.Vec {
			sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
			return r2.Vec{X: r * cos, Y: r * sin}
		}
		cut := func(label string) []r2.Vec {
			var ring []r2.Vec
			share := rapid.Float64Range(0.2, 0.8).Draw(t, label)
			for i := range n {
				a, b := corner(i), corner(i+1)
				ring = append(ring, a, r2.Add(a, r2.Scale(share, r2.Sub(b, a))))
			}
			from := rapid.IntRange(0, len(ring)-1).Draw(t, label+" from")
			return slices.Concat(ring[from:], ring[:from])
		}
		a := slices.Clone(thin.closed(cut("low"), thinWithin))
		if b := thin.closed(cut("high"), thinWithin); !slices.Equal(a, b) {
			t.Fatalf("%v\nbecame\n%v", a, b)
		}
	})
}

// Whatever the line, what is left of it is within the tolerance of it, has
// its ends, or its outermost point where it is closed, and has no more points.
func TestSimplify(t *testing.T) {
	var thin thinner
	rapid.Check(t, func(t *rapid.T) {
		closed := rapid.Bool().Draw(t, "closed")
		tol := rapid.Float64Range(0.001, 1).Draw(t, "tol")
		line := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) r2.Vec {
			return r2.Vec{X: float64(rapid.IntRange(0, 40).Draw(t, "x")) / 10, Y: float64(rapid.IntRange(0, 40).Draw(t, "y")) / 10}
		}), 1, 30).Draw(t, "line")
		got := thin.line(line, tol)
		if closed {
			got = thin.closed(line, tol)
		}
		ends := got[0] == line[0] && got[len(got)-1] == line[len(line)-1]
		if closed && len(line) > 3 {
			ends = got[0] == slices.MaxFunc(line, func(p, q r2.Vec) int { return cmp.Compare(dot(p, outward), dot(q, outward)) })
		}
		if len(got) > len(line) || !ends {
			t.Fatalf("%v became %v", line, got)
		}
		for _, p := range line {
			if off := apart(p, got, closed); off > tol+1e-12 {
				t.Fatalf("%v is %v off %v", p, off, got)
			}
		}
	})
	// A circle of 10 mm in 1000 pieces needs only as many as its sagitta
	// says: pi / acos(1 - tol/r) = 70.2 for 0.01 mm.
	var ring []r2.Vec
	for i := range 1000 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 1000)
		ring = append(ring, r2.Vec{X: 10 * cos, Y: 10 * sin})
	}
	if n := len(new(thinner).closed(ring, 0.01)); n < 70 || n > 75 {
		t.Errorf("a circle is drawn by %d points, want 70 to 75", n)
	}
}
