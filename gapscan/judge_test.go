package gapscan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
)

// The judge evaluates the margin's definition by brute force: every bead of a
// layer against every bead of every layer within reach below, a bead's places
// sampled densely on the contours. It shares no code with the scanner but the
// stack itself.
//
// It reads every tolerance twice. Strictly, a pair of places counts only if it
// does so beyond doubt: the least margin of those is one that the scanner must
// not exceed. Loosely, a pair counts if it may: what the scanner finds must not
// be below the least of those by more than the sampling can explain.
type judge struct {
	stack              *slice.Stack
	side, roof, bottom float64
	bottomLayers       int
	reach, tanHang     float64
	step               float64 // between sampled places, mm
	walls              []wallSet
	partsOf            [][]int32
}

// A tolerance's two readings, mm.
var (
	judgeSkin = [2]float64{0.00001, 0.0013} // what may lie in material and be in air
	// Half the thickness of an open overlap that counts; the scanner measures
	// it trapezoid by trapezoid, so specks of a few microns are in doubt.
	judgeThin = [2]float64{0.003, 0.0003}
	judgeHang = 5e-4 // doubt in where hanging begins
)

const (
	strict = 0
	loose  = 1
)

type wall struct{ a, b r2.Vec }

// wallSet holds the walls of a layer by part.
type wallSet map[int32][]wall

func newJudge(sc *scanner, step float64) *judge {
	j := &judge{
		stack: sc.stack, side: sc.side, roof: sc.roof, bottom: sc.bottom,
		bottomLayers: sc.bottomLayers, reach: sc.reach, tanHang: sc.tanHang, step: step,
	}
	for i := range j.stack.Layers {
		l := &j.stack.Layers[i]
		w := wallSet{}
		for _, c := range l.Contours {
			pts := l.Pts[c.Start:c.End]
			for k, p := range pts {
				w[c.Part] = append(w[c.Part], wall{p, pts[(k+1)%len(pts)]})
			}
		}
		var ps []int32
		for p := range w {
			ps = append(ps, p)
		}
		slices.Sort(ps)
		j.walls, j.partsOf = append(j.walls, w), append(j.partsOf, ps)
	}
	return j
}

func fromWall(p r2.Vec, w wall) float64 {
	d := r2.Sub(w.b, w.a)
	t := 0.0
	if q := r2.Dot(d, d); q > 0 {
		t = min(max(r2.Dot(r2.Sub(p, w.a), d)/q, 0), 1)
	}
	return length(r2.Sub(p, r2.Add(w.a, r2.Scale(t, d))))
}

func length(v r2.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y) }

// depth is how deep p lies in the material bounded by walls, negative outside.
func depth(p r2.Vec, walls []wall) float64 {
	least, inside := math.Inf(1), false
	for _, w := range walls {
		least = min(least, fromWall(p, w))
		if (w.a.Y > p.Y) != (w.b.Y > p.Y) && p.X < w.a.X+(w.b.X-w.a.X)*(p.Y-w.a.Y)/(w.b.Y-w.a.Y) {
			inside = !inside
		}
	}
	if inside {
		return least
	}
	return -least
}

// solid is how deep p lies in material of any part in layer k.
func (j *judge) solid(k int, p r2.Vec) float64 {
	d := math.Inf(-1)
	for _, part := range j.partsOf[k-1] {
		d = max(d, depth(p, j.walls[k-1][part]))
	}
	return d
}

// clear says whether the way from p to q is in air in layer k.
func (j *judge) clear(k int, p, q r2.Vec, skin float64) bool {
	d := r2.Sub(q, p)
	cuts := []float64{0, 1}
	for _, part := range j.partsOf[k-1] {
		for _, w := range j.walls[k-1][part] {
			e := r2.Sub(w.b, w.a)
			if c := r2.Cross(d, e); c != 0 {
				if t := r2.Cross(r2.Sub(w.a, p), e) / c; t > 0 && t < 1 {
					cuts = append(cuts, t)
				}
			}
		}
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		n := 2 + int((cuts[i]-cuts[i-1])*length(d)/0.01)
		for s := range n {
			t := cuts[i-1] + (cuts[i]-cuts[i-1])*(float64(s)+0.5)/float64(n)
			if j.solid(k, r2.Add(p, r2.Scale(t, d))) > skin {
				return false
			}
		}
	}
	return j.solid(k, p) <= skin && j.solid(k, q) <= skin
}

// judged is one place of a bead.
type judged struct {
	at r2.Vec
	// hangs and stands are both set where there is doubt.
	hangs, stands bool
	// to is the farthest layer the place has only air up (or down) to, in
	// both readings.
	to [2]int
}

// upperPlace sees a place of part in layer n.
func (j *judge) upperPlace(n int, part int32, at r2.Vec, lowest int) judged {
	p := judged{at: at, stands: true}
	if n > 1 {
		far := math.Inf(1)
		if w := j.walls[n-2][part]; len(w) > 0 {
			far = -depth(at, w)
		}
		limit := j.stack.Plan.Height(n) * j.tanHang
		p.hangs, p.stands = far > limit-judgeHang, far < limit+judgeHang
	}
	for read := range 2 {
		k := n - 1
		for k > lowest && j.solid(k, at) <= judgeSkin[read] {
			k--
		}
		p.to[read] = k
	}
	return p
}

func (j *judge) lowerPlace(m int, at r2.Vec, highest int) judged {
	p := judged{at: at}
	for read := range 2 {
		k := m + 1
		for k < highest && j.solid(k, at) <= judgeSkin[read] {
			k++
		}
		p.to[read] = k
	}
	return p
}

// along samples walls at a spacing; if round is not nil only near it.
func along(walls []wall, step float64, round *r2.Vec, within float64) []r2.Vec {
	var out []r2.Vec
	for _, w := range walls {
		if round != nil && fromWall(*round, w) > within {
			continue
		}
		l := length(r2.Sub(w.b, w.a))
		n := int(math.Ceil(l / step))
		for i := range n {
			p := r2.Add(w.a, r2.Scale(float64(i)/float64(n), r2.Sub(w.b, w.a)))
			if round == nil || length(r2.Sub(p, *round)) <= within {
				out = append(out, p)
			}
		}
	}
	return out
}

// verdict is what the judge says of two parts in a layer; [strict], [loose].
type verdict struct {
	margin  [2]float64
	past    bool       // the strict margin's way leads past other layers
	air     [2]float64 // over overlapping places
	hangAir [2]float64 // over those that hang
}

// bead is the design's formula for beads whose islands lie d apart in plan,
// or overlap.
func (j *judge) bead(n, m int, d float64, overlap bool, vNeed float64) (gap, margin float64) {
	rr := j.stack.Plan.Height(n)/2 + j.stack.Plan.Height(m)/2
	dz := j.stack.Plan.Cut(n) - j.stack.Plan.Cut(m)
	dx := d + rr
	if overlap {
		dx = 0
	}
	r := math.Sqrt(dx*dx + dz*dz)
	gap = max(r-rr, 0)
	if gap < 1e-9 {
		return 0, 0
	}
	c, s := dx/r/j.side, dz/r/vNeed
	return gap, gap * math.Sqrt(c*c+s*s)
}

// needs lists the vertical needs that a place of the upper bead may have.
func (p judged) needs(j *judge) []float64 {
	var v []float64
	if p.hangs {
		v = append(v, j.roof)
	}
	if p.stands {
		v = append(v, j.side)
	}
	return v
}

// consider takes a pair of places into the verdict.
func (j *judge) consider(v *verdict, n, m int, p, q judged, overlap bool) {
	d := length(r2.Sub(p.at, q.at))
	lo, hi := math.Inf(1), 0.0
	gap := 0.0
	for _, need := range p.needs(j) {
		g, mg := j.bead(n, m, d, overlap, need)
		gap, lo, hi = g, min(lo, mg), max(hi, mg)
	}
	try := [2]float64{strict: hi, loose: lo}
	for read := range 2 {
		slack := [2]float64{-1e-6, 2*j.step + 1e-6}[read]
		if gap > j.reach+slack || p.to[read] > m || q.to[read] < n {
			continue
		}
		hang := p.hangs && (read == loose || !p.stands)
		air := gap
		better := try[read] < v.margin[read] || overlap && (air < v.air[read] || hang && air < v.hangAir[read])
		if !better {
			continue
		}
		// What overlaps must be open over some width; a way may run along a
		// wall.
		skin := judgeSkin[read]
		if overlap {
			skin = -judgeThin[read]
		}
		ok := true
		for k := m + 1; k < n && ok; k++ {
			ok = j.clear(k, p.at, q.at, skin)
		}
		if !ok {
			continue
		}
		if try[read] < v.margin[read] {
			v.margin[read] = try[read]
			if read == strict {
				v.past = !overlap && m < n-1
			}
		}
		if overlap {
			v.air[read] = min(v.air[read], air)
			if hang {
				v.hangAir[read] = min(v.hangAir[read], air)
			}
		}
	}
}

// inside lists places in the part of layer n: a grid and what lies just inside
// the corners and crossings with the walls of others.
func (j *judge) inside(walls, others []wall, extra []r2.Vec) []r2.Vec {
	lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, w := range walls {
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, w.a.X), min(lo.Y, w.a.Y), max(hi.X, w.a.X), max(hi.Y, w.a.Y)
	}
	var try []r2.Vec
	const grid = 40
	for a := range grid {
		for b := range grid {
			try = append(try, r2.Vec{
				X: lo.X + (hi.X-lo.X)*(float64(a)+0.5)/grid,
				Y: lo.Y + (hi.Y-lo.Y)*(float64(b)+0.5)/grid,
			})
		}
	}
	corners := append([]r2.Vec{}, extra...)
	for _, w := range walls {
		corners = append(corners, w.a)
		for _, o := range others {
			d, e := r2.Sub(w.b, w.a), r2.Sub(o.b, o.a)
			c := r2.Cross(d, e)
			if c == 0 {
				continue
			}
			s, t := r2.Cross(r2.Sub(o.a, w.a), e)/c, r2.Cross(r2.Sub(o.a, w.a), d)/c
			if s >= 0 && s <= 1 && t >= 0 && t <= 1 {
				corners = append(corners, r2.Add(w.a, r2.Scale(s, d)))
			}
		}
	}
	for _, o := range others {
		corners = append(corners, o.a)
	}
	try = append(try, extra...)
	for _, c := range corners {
		for _, r := range []float64{0.0009, 0.005, 0.02} {
			for k := range 16 {
				a := (float64(k) + 0.5) * math.Pi / 8
				try = append(try, r2.Add(c, r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}))
			}
		}
	}
	return slices.DeleteFunc(try, func(p r2.Vec) bool { return depth(p, walls) <= judgeThin[loose] })
}

// reaches lists the layers below n that beads of layer n could see within
// reach.
func (j *judge) lowest(n int) int {
	m := n
	for m > 1 {
		if gap, _ := j.bead(n, m-1, 0, true, j.side); gap > j.reach+1e-6 {
			break
		}
		m--
	}
	return m
}

// of judges parts a and b in layer n. hint is what the scanner says is its
// tightest place: the judge samples there most densely, so that a narrow place
// is not missed.
func (j *judge) of(n int, a, b int32, hint *bead) verdict {
	inf := math.Inf(1)
	v := verdict{margin: [2]float64{inf, inf}, air: [2]float64{inf, inf}, hangAir: [2]float64{inf, inf}}
	wa, wb := j.walls[n-1][a], j.walls[n-1][b]
	need := j.side
	if n <= j.bottomLayers {
		need = j.bottom
	}
	if d := wallsApart(wa, wb); d <= j.reach {
		v.margin = [2]float64{d / need, d / need}
	}
	for _, ul := range [2][2]int32{{a, b}, {b, a}} {
		j.stacked(&v, n, ul[0], ul[1], hint)
	}
	return v
}

// stacked judges part up in layer n against part lo in lower layers.
func (j *judge) stacked(v *verdict, n int, up, lo int32, hint *bead) {
	upper := j.walls[n-1][up]
	lowest := j.lowest(n)
	if len(upper) == 0 || lowest == n {
		return
	}
	seen := map[r2.Vec]judged{}
	place := func(p r2.Vec) judged {
		x, ok := seen[p]
		if !ok {
			x = j.upperPlace(n, up, p, lowest)
			seen[p] = x
		}
		return x
	}
	var extra []r2.Vec
	rim := along(upper, j.step, nil, 0)
	if hint != nil {
		extra = append(extra, hint.at)
		rim = append(rim, nearestOn(hint.at, upper))
	}
	for m := n - 1; m >= lowest; m-- {
		lower := j.walls[m-1][lo]
		if len(lower) == 0 {
			continue
		}
		for _, p := range j.inside(upper, lower, extra) {
			if dp := depth(p, lower); dp > judgeThin[loose] {
				u := place(p)
				low := judged{at: p, to: [2]int{n, n}}
				// Where the two parts pass through each other (by less than
				// mesh.ContactDepth), the layer of that says so.
				through := depth(p, j.walls[n-2][up]) > 0 && depth(p, j.walls[n-2][lo]) > 0
				if through || dp < judgeThin[strict] || depth(p, upper) < judgeThin[strict] {
					low.to[strict] = 0
				}
				j.consider(v, n, m, u, low, true)
			}
		}
		var foot []judged
		for _, q := range along(lower, j.step, nil, 0) {
			foot = append(foot, j.lowerPlace(m, q, n))
		}
		var bestP, bestQ r2.Vec
		// Nothing farther can beat both readings.
		improved, most := false, j.farthest(n, m, max(v.margin[0], v.margin[1]))
		for _, at := range rim {
			p := place(at)
			if p.to[loose] > m {
				continue
			}
			for _, q := range foot {
				d := r2.Norm2(r2.Sub(p.at, q.at))
				if d > most || q.to[loose] < n {
					continue
				}
				before := v.margin
				j.consider(v, n, m, p, q, false)
				if v.margin != before {
					bestP, bestQ, improved = p.at, q.at, true
					most = j.farthest(n, m, max(v.margin[0], v.margin[1]))
				}
			}
		}
		// Look again, closely, round the best pair and the hint.
		if improved {
			j.closely(v, n, m, place, upper, lower, bestP, bestQ)
		}
		if hint != nil && hint.cause == CauseSlope {
			at := nearestOn(hint.at, upper)
			foot = append(foot, judged{at: nearestOn(at, lower)})
			for _, q := range foot {
				for _, need := range []float64{j.side, j.roof} {
					if _, mg := j.bead(n, m, length(r2.Sub(q.at, at)), false, need); math.Abs(mg-hint.margin) < 2*j.slack() {
						j.closely(v, n, m, place, upper, lower, at, q.at)
						break
					}
				}
			}
		}
	}
}

// farthest is the square of the distance in plan beyond which no pair of
// beads has a margin below the given one, whatever its need.
func (j *judge) farthest(n, m int, margin float64) float64 {
	worst := max(j.side, j.roof)
	d := 0.0
	for d < 2*j.reach {
		if _, mg := j.bead(n, m, d, false, worst); mg > margin {
			break
		}
		d += 0.05
	}
	return d * d
}

// spread is how many times denser the judge looks where it looks closely.
const spread = 24

// slack is how far the judge's least margin may lie above the true one: a
// place is at most a fine step from a sampled one, on either wall, and the
// margin changes with the distance by at most about twice its share of a need.
func (j *judge) slack() float64 { return 4 * j.step / spread / min(j.side, j.roof) }

// closely samples both walls densely round a pair of places.
func (j *judge) closely(v *verdict, n, m int, place func(r2.Vec) judged, upper, lower []wall, p, q r2.Vec) {
	fine := j.step / spread
	ps := append(along(upper, fine, &p, 1.5*j.step), p)
	qs := append(along(lower, fine, &q, 1.5*j.step), q)
	for _, b := range qs {
		low := j.lowerPlace(m, b, n)
		if low.to[loose] < n {
			continue
		}
		for _, a := range ps {
			j.consider(v, n, m, place(a), low, false)
		}
	}
}

func nearestOn(p r2.Vec, walls []wall) r2.Vec {
	best, at := math.Inf(1), p
	for _, w := range walls {
		if d := fromWall(p, w); d < best {
			e := r2.Sub(w.b, w.a)
			t := min(max(r2.Dot(r2.Sub(p, w.a), e)/r2.Dot(e, e), 0), 1)
			best, at = d, r2.Add(w.a, r2.Scale(t, e))
		}
	}
	return at
}

// wallsApart is the distance of two sets of walls, +Inf if one is empty; 0 if
// they cross.
func wallsApart(a, b []wall) float64 {
	least := math.Inf(1)
	for _, u := range a {
		for _, w := range b {
			d := min(fromWall(u.a, w), fromWall(u.b, w), fromWall(w.a, u), fromWall(w.b, u))
			s := r2.Cross(r2.Sub(u.b, u.a), r2.Sub(w.a, u.a)) > 0
			t := r2.Cross(r2.Sub(u.b, u.a), r2.Sub(w.b, u.a)) > 0
			x := r2.Cross(r2.Sub(w.b, w.a), r2.Sub(u.a, w.a)) > 0
			y := r2.Cross(r2.Sub(w.b, w.a), r2.Sub(u.b, w.a)) > 0
			if s != t && x != y {
				d = 0
			}
			least = min(least, d)
		}
	}
	return least
}

// agrees compares the scanner's layer n with the judge's, over all joints.
// What the scanner says of a joint may exceed nothing that the judge found
// beyond doubt, and must be within sampling of what it may be.
func (j *judge) agrees(t tester, s sliced, n int) {
	t.Helper()
	got := make(map[int32]jointLayer)
	for _, f := range s.layer(n).joints {
		got[f.joint] = f
	}
	slack := j.slack()
	for i, p := range s.scanner.pairs {
		f, ok := got[int32(i)]
		if !ok {
			f = jointLayer{best: noBead}
		}
		var hint *bead
		if f.best.found() {
			hint = &f.best
		}
		v := j.of(n, p.a, p.b, hint)
		m := f.best.margin
		most := v.margin[strict] + 1e-6
		if v.past { // the scanner looks for a way past in steps
			most += 2 * wayStep / min(j.side, j.roof)
		}
		if m > most || m < v.margin[loose]-slack || math.IsInf(v.margin[loose], 1) && f.best.found() {
			t.Errorf("layer %d, parts %d and %d: the margin is %v (%s at %.4f, gap %v), by brute force from %v to %v",
				n, p.a+1, p.b+1, m, f.best.cause, f.best.at, f.best.gap, v.margin[loose], v.margin[strict])
		}
		air, hang := math.Inf(1), math.Inf(1)
		if f.roof.found {
			air = f.roof.air
		}
		if f.roof.hangs {
			hang = f.roof.hangAir
		}
		if air > v.air[strict]+1e-6 || f.best.cause == CauseRoof && air < v.air[loose]-1e-6 {
			t.Errorf("layer %d, parts %d and %d: %v mm of air under a roof, by brute force from %v to %v",
				n, p.a+1, p.b+1, air, v.air[loose], v.air[strict])
		}
		if hang > v.hangAir[strict]+1e-6 {
			t.Errorf("layer %d, parts %d and %d: %v mm of air under a hanging roof, by brute force from %v to %v",
				n, p.a+1, p.b+1, hang, v.hangAir[loose], v.hangAir[strict])
		}
	}
}
