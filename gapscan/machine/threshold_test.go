package machine

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"sync"
	"testing"

	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"
)

// twoResults turns counts of successes and of trials at levels into outcomes.
func twoResults(x, n, y []float64) []Outcome {
	var out []Outcome
	for i := range x {
		for k := range int(n[i]) {
			r := Welded
			if k < int(y[i]) {
				r = CameFree
			}
			out = append(out, Outcome{x[i], r})
		}
	}
	return out
}

// mode is the likeliest threshold and spread: the grid of Fit, on an ever
// finer scale about its highest node.
const modeCells = 21

func mode(trials []Outcome, prior Prior) (mu, sigma float64) {
	levels := levelsOf(trials)
	a := axis{prior.Threshold.Lo, prior.Threshold.Hi, modeCells}
	b := axis{math.Log(prior.Spread.Lo), math.Log(prior.Spread.Hi), modeCells}
	for a.hi-a.lo > 1e-10 {
		var p Posterior
		p.weigh(levels, prior, a, b)
		// weigh's cells are equal in log sigma; per sigma they are p / sigma.
		best := slices.MaxFunc(p.nodes, func(m, n node) int {
			if m.p/m.sigma < n.p/n.sigma {
				return -1
			}
			return 1
		})
		mu, sigma = best.mu, best.sigma
		a = axis{mu - (a.hi-a.lo)/4, mu + (a.hi-a.lo)/4, modeCells}
		b = axis{math.Log(sigma) - (b.hi-b.lo)/4, math.Log(sigma) + (b.hi-b.lo)/4, modeCells}
	}
	return mu, sigma
}

// most is the maximum of the likelihood by a general optimiser.
func most(t *testing.T, trials []Outcome, mu, sigma float64) (float64, float64) {
	levels := levelsOf(trials)
	r, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 {
		return -logLikelihood(levels, 0, x[0], math.Exp(x[1]))
	}}, []float64{mu, math.Log(sigma)}, &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-14, Iterations: 200}}, &optimize.NelderMead{})
	if err != nil {
		t.Fatal(err)
	}
	return r.X[0], math.Exp(r.X[1])
}

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g", what, got, want)
	}
}

func flat(muLo, muHi, sigmaLo, sigmaHi float64) Prior {
	return Prior{Threshold: Bounded{Lo: muLo, Hi: muHi}, Spread: Bounded{Lo: sigmaLo, Hi: sigmaHi}}
}

// With a flat prior the likeliest threshold and spread are those of published
// probits, which write Phi(b0 + b1 x) with b1 = 1/spread, b0 = -threshold/spread.
func TestFitReproducesPublishedProbits(t *testing.T) {
	h := []float64{25.4, 28.5, 25.4, 28.5, 32.0, 35.9, 32.0, 35.9, 40.3, 35.9, 32.0, 28.5, 32.0, 28.5, 32.0, 28.5, 32.0, 35.9, 40.3, 35.9, 32.0, 35.9, 40.3, 35.9, 40.3}
	y := []float64{0, 1, 0, 0, 0, 1, 0, 0, 1, 1, 1, 0, 1, 0, 1, 0, 0, 0, 1, 1, 0, 0, 1, 0, 1}
	x, one := make([]float64, len(h)), make([]float64, len(h))
	for i := range h {
		x[i], one[i] = math.Log10(h[i]), 1
	}
	dose := []float64{1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839}
	beetles := []float64{59, 60, 62, 56, 63, 59, 62, 60}
	killed := []float64{6, 13, 18, 28, 52, 53, 61, 60}
	five := []float64{0, 1, 2, 3, 4}
	thirty := []float64{30, 30, 30, 30, 30}
	for _, c := range []struct {
		name     string
		trials   []Outcome
		prior    Prior
		b0, b1   float64 // nil where only a general optimiser is the judge
		relative float64
	}{
		// Hamada, Mang & Hoff 2019, Quality Engineering, Table 1.
		{"Hamada, Mang & Hoff", twoResults(x, one, y), flat(1, 2, 0.01, 1), -20.77376, 13.56263, 1e-4},
		// Bliss 1935; the probit computed from his counts.
		{"Bliss", twoResults(dose, beetles, killed), flat(1, 3, 0.01, 1), -34.93526, 19.72793, 1e-6},
		// Five graded levels of 30: published as a logit, so only its
		// x50 = 2.000 binds here (by the symmetry of the counts).
		{"five levels", twoResults(five, thirty, []float64{2, 8, 15, 23, 27}), flat(0, 4, 0.1, 5), 0, 0, 0},
	} {
		mu, sigma := mode(c.trials, c.prior)
		if c.b0 != 0 {
			near(t, c.name+" b0", -mu/sigma, c.b0, c.relative)
			near(t, c.name+" b1", 1/sigma, c.b1, c.relative)
		}
		m, s := most(t, c.trials, mu*1.01, sigma*1.1)
		near(t, c.name+" threshold by an optimiser", mu, m, 1e-6)
		near(t, c.name+" spread by an optimiser", sigma, s, 1e-6)

		// The posterior lies about it.
		p := Fit(c.trials, c.prior)
		median, lo, hi := p.Threshold()
		if !(lo < mu && mu < hi) || math.Abs(median-mu) > 0.2*(hi-lo) {
			t.Errorf("%s: threshold %v in %v to %v, mode %v", c.name, median, lo, hi, mu)
		}
		free, pLo, pHi := p.PFree(mu)
		if !(pLo < 0.5 && 0.5 < pHi) || math.Abs(free-0.5) > 0.1 {
			t.Errorf("%s: P(free) at the mode %v in %v to %v", c.name, free, pLo, pHi)
		}
		if c.name == "Hamada, Mang & Hoff" {
			near(t, "H50", math.Pow(10, mu), 34.01661, 1e-4)
		}
		if c.name == "five levels" {
			near(t, "x50", mu, 2, 0.02)
		}
	}
}

// Where all below welded and all above came free there is no estimate by
// maximum likelihood (Albert & Anderson 1984), only an interval.
func TestFitSeparated(t *testing.T) {
	var trials []Outcome
	for x := 1; x <= 10; x++ {
		r := Welded
		if x > 7 {
			r = CameFree
		}
		trials = append(trials, Outcome{float64(x), r})
	}
	for name, prior := range map[string]Prior{
		"flat":         flat(0, 12, 0.05, 3),
		"in gap steps": {Threshold: Bounded{Median: 5, LogSD: 0.5, Lo: 0, Hi: 32}, Spread: Bounded{Median: 0.8, LogSD: 0.7, Lo: 0.1, Hi: 6}},
	} {
		p := Fit(trials, prior)
		median, lo, hi := p.Threshold()
		t.Logf("%s: %.3f in %.3f to %.3f", name, median, lo, hi)
		// Spearman-Karber gives 7.5.
		if !(lo > 5.5 && lo < 7.1 && hi > 7.9 && hi < 9.5) || math.Abs(median-7.5) > 0.2 {
			t.Errorf("%s: threshold %v in %v to %v", name, median, lo, hi)
		}
		for _, x := range []float64{7, 8} {
			if mean, lo, hi := p.PFree(x); !(lo < mean && mean < hi && lo > 0 && hi < 1) {
				t.Errorf("%s: false certainty at %v: %v in %v to %v", name, x, mean, lo, hi)
			}
		}
	}
}

// draw draws from a bounded quantity.
func (b Bounded) draw(r *rand.Rand) float64 {
	d := distuv.LogNormal{Mu: math.Log(b.Median), Sigma: b.LogSD, Src: r}
	for {
		if x := d.Rand(); x >= b.Lo && x <= b.Hi {
			return x
		}
	}
}

// judged is what comes of a joint of a gap whose own need is known.
func judged(gap, need, stick float64) Result {
	switch {
	case gap >= need:
		return CameFree
	case gap+stick >= need:
		return Stuck
	}
	return Welded
}

// coupon is two cells a level.
func coupon(r *rand.Rand, lo, step float64, levels int, mu, sigma, stick float64) []Outcome {
	var out []Outcome
	for i := range levels {
		gap := lo + float64(i)*step
		for range 2 {
			out = append(out, Outcome{gap, judged(gap, mu+sigma*r.NormFloat64(), stick)})
		}
	}
	return out
}

// simulation is a number of coupons, each of a machine drawn from the prior.
type simulation struct {
	name   string
	prior  Prior
	stick  float64 // as it is, whatever the prior says
	lo     float64
	step   float64
	levels int
	n      int

	covered, coveredP float64 // shares of the coupons
	limits, atLimit   int     // limits said, and how many joints of that gap came free
	table             [10]bin // by tenths of the probability said
}

// bin gathers joints: the sums of what was said, of what came free, and of the
// variance that the latter has if the former is right.
type bin struct{ n, said, came, variance float64 }

// joints is how many joints after each coupon the table judges.
const joints = 20

func (s *simulation) run() {
	type answer struct {
		in, inP, limit, atLimit bool
		joints                  [joints][2]float64 // said, came
	}
	all := make([]answer, s.n)
	var wg sync.WaitGroup
	for w := range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := w; i < s.n; i += runtime.GOMAXPROCS(0) {
				a := &all[i]
				r := rand.New(rand.NewPCG(4, uint64(i)))
				mu, sigma := s.prior.Threshold.draw(r), s.prior.Spread.draw(r)
				need := func() float64 { return mu + sigma*r.NormFloat64() }
				p := Fit(coupon(r, s.lo, s.step, s.levels, mu, sigma, s.stick), s.prior)

				_, lo, hi := p.Threshold()
				a.in = lo <= mu && mu <= hi
				gap := mu + 1.2*sigma*(2*r.Float64()-1)
				_, lo, hi = p.PFree(gap)
				truth := distuv.UnitNormal.CDF((gap - mu) / sigma)
				a.inP = lo <= truth && truth <= hi
				for k := range a.joints {
					gap := 0.05 + 0.6*r.Float64()
					a.joints[k][0] = p.mean(gap)
					if gap >= need() {
						a.joints[k][1] = 1
					}
				}
				limit, ok := p.Limit(LimitProb)
				a.limit, a.atLimit = ok, ok && limit >= need()
			}
		})
	}
	wg.Wait()
	count := func(b bool) float64 {
		if b {
			return 1
		}
		return 0
	}
	for _, a := range all {
		s.covered += count(a.in) / float64(s.n)
		s.coveredP += count(a.inP) / float64(s.n)
		s.limits += int(count(a.limit))
		s.atLimit += int(count(a.atLimit))
		for _, j := range a.joints {
			b := &s.table[min(int(j[0]*10), 9)]
			b.n++
			b.said += j[0]
			b.came += j[1]
			b.variance += j[0] * (1 - j[0])
		}
	}
}

// report writes down what came of the simulation.
func (s *simulation) report(t *testing.T) {
	t.Logf("%s: %d coupons; in the 90 %% interval: threshold %.1f %%, P(free) %.1f %%; %d limits, %.1f %% free there",
		s.name, s.n, 100*s.covered, 100*s.coveredP, s.limits, 100*float64(s.atLimit)/float64(s.limits))
	t.Log("  said   came   joints")
	for _, b := range s.table {
		t.Logf("  %.3f  %.3f  %.0f", b.said/b.n, b.came/b.n, b.n)
	}
}

// Where the machines are as the priors say, the intervals hold what they say
// and the probabilities come true.
func TestFitIsCalibrated(t *testing.T) {
	for _, s := range []*simulation{
		{name: "side", prior: sidePrior, stick: sidePrior.Stick, lo: 0.15, step: 0.05, levels: 10, n: 1000},
		{name: "roof", prior: roofPrior, stick: roofPrior.Stick, lo: 0.2, step: 0.2, levels: 4, n: 1000},
	} {
		s.run()
		s.report(t)
		for what, share := range map[string]float64{"threshold": s.covered, "P(free)": s.coveredP} {
			if share < 0.85 || share > 0.95 {
				t.Errorf("%s: the 90 %% interval covers the %s in %.1f %%", s.name, what, 100*share)
			}
		}
		for _, b := range s.table {
			// Joints of one coupon go together, so the counts spread more than
			// single ones would: 4 of their standard deviations and 0.02.
			if b.n < 100 || math.Abs(b.came-b.said) > 4*math.Sqrt(b.variance)+0.02*b.n {
				t.Errorf("%s: said %.3f, came %.3f of %.0f", s.name, b.said/b.n, b.came/b.n, b.n)
			}
		}
		if share := float64(s.atLimit) / float64(s.limits); s.limits < s.n*3/4 || math.Abs(share-LimitProb) > 0.02 {
			t.Errorf("%s: %.1f %% come free at the limit of %d", s.name, 100*share, s.limits)
		}
	}
}

// How wide the band of sticking joints is remains a judgement: where it is
// nothing or twice what the prior says the answers suffer, but not much.
func TestFitBearsAWrongStick(t *testing.T) {
	for _, s := range []*simulation{
		{name: "never sticks", prior: sidePrior, stick: 0, lo: 0.15, step: 0.05, levels: 10, n: 300},
		{name: "sticks twice as wide", prior: sidePrior, stick: 2 * sidePrior.Stick, lo: 0.15, step: 0.05, levels: 10, n: 300},
	} {
		s.run()
		s.report(t)
		if share := float64(s.atLimit) / float64(s.limits); s.covered < 0.8 || s.coveredP < 0.78 || share < 0.9 {
			t.Errorf("%s: covered %v and %v, free at the limit %v", s.name, s.covered, s.coveredP, share)
		}
	}
}

// Whatever little a coupon says, the answer is finite, in order and no more
// certain than it may be.
func TestFitOfLittle(t *testing.T) {
	ladder := func(n int, result func(gap float64) Result) (out []Outcome) {
		for i := range n {
			gap := 0.15 + 0.05*float64(i)
			out = append(out, Outcome{gap, result(gap)})
		}
		return out
	}
	always := func(r Result) func(float64) Result { return func(float64) Result { return r } }
	for name, trials := range map[string][]Outcome{
		"none":       nil,
		"one free":   {{0.3, CameFree}},
		"one stuck":  {{0.3, Stuck}},
		"one welded": {{0.3, Welded}},
		"all free":   ladder(10, always(CameFree)),
		"all stuck":  ladder(10, always(Stuck)),
		"all welded": ladder(10, always(Welded)),
		"upside down": ladder(10, func(g float64) Result {
			if g > 0.3 {
				return Welded
			}
			return CameFree
		}),
		"both ways":   {{0.3, CameFree}, {0.3, Welded}},
		"far out":     {{5, Welded}},
		"no gap":      {{0, CameFree}, {0, Stuck}},
		"no result":   {{0.3, "loose"}},
		"a thousand":  slices.Repeat([]Outcome{{0.3, CameFree}, {0.25, Welded}}, 500),
		"contrary":    slices.Repeat([]Outcome{{0.3, Welded}, {0.25, CameFree}}, 500),
		"stuck twice": {{0.2, Stuck}, {0.6, Stuck}},
	} {
		for _, prior := range []Prior{sidePrior, roofPrior, bottomPrior, flat(0, 6, 0.01, 1)} {
			p := Fit(trials, prior)
			median, lo, hi := p.Threshold()
			if !(0 <= lo && lo < median && median < hi && hi < 20) {
				t.Errorf("%s: threshold %v in %v to %v", name, median, lo, hi)
			}
			last := [3]float64{}
			for gap := 0.0; gap < 2; gap += 0.05 {
				mean, lo, hi := p.PFree(gap)
				if !(0 <= lo && lo <= hi && hi <= 1 && mean >= 0 && mean <= 1+1e-12) {
					t.Errorf("%s: P(free) at %v: %v in %v to %v", name, gap, mean, lo, hi)
				}
				if mean < last[0]-1e-12 || lo < last[1] || hi < last[2] {
					t.Errorf("%s: P(free) falls at %v", name, gap)
				}
				last = [3]float64{mean, lo, hi}
			}
		}
	}
	if _, lo, hi := Fit(ladder(10, always(Welded)), sidePrior).Threshold(); lo < 0.5 || hi < 0.8 {
		t.Errorf("all welded up to 0.6: threshold in %v to %v", lo, hi)
	}
	if _, lo, _ := Fit([]Outcome{{5, Welded}}, sidePrior).Threshold(); lo < 4.5 {
		t.Errorf("welded at 5: threshold from %v", lo)
	}
	if _, lo, hi := Fit(nil, sidePrior).Threshold(); math.Abs(lo-0.25*math.Exp(-0.5*1.645)) > 0.01 || math.Abs(hi-0.25*math.Exp(0.5*1.645)) > 0.01 {
		t.Errorf("without trials it is the prior: %v to %v", lo, hi)
	}
	var zero Posterior
	if mean, _, _ := zero.PFree(1); !math.IsNaN(mean) {
		t.Error("the zero Posterior knows something")
	}
	if median, _, _ := zero.Threshold(); !math.IsNaN(median) {
		t.Error("the zero Posterior knows something")
	}
	if _, ok := zero.Limit(LimitProb); ok {
		t.Error("the zero Posterior knows something")
	}
}

// The order of the trials is nothing to the answer.
func TestFitDoesNotMindTheOrder(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	trials := coupon(r, 0.15, 0.05, 10, 0.27, 0.04, 0.025)
	want := Fit(trials, sidePrior)
	for range 5 {
		r.Shuffle(len(trials), func(i, j int) { trials[i], trials[j] = trials[j], trials[i] })
		if got := Fit(trials, sidePrior); !reflect.DeepEqual(got, want) {
			t.Fatal("another order, another answer")
		}
	}
}

func TestLimitSaysWhereItMay(t *testing.T) {
	full := []Outcome{{0.2, Welded}, {0.2, Welded}, {0.25, Welded}, {0.3, Stuck}, {0.35, CameFree}, {0.4, CameFree}, {0.5, CameFree}}
	p := Fit(full, sidePrior)
	limit, ok := p.Limit(0.95)
	if mean, _, _ := p.PFree(limit); !ok || math.Abs(mean-0.95) > 1e-4 || limit < 0.3 || limit > 0.45 {
		t.Errorf("limit %v, %v, free with %v", limit, ok, mean)
	}
	if half, ok := p.Limit(0.5); !ok || half >= limit {
		t.Errorf("half of the joints: %v, %v", half, ok)
	}
	for name, c := range map[string]struct {
		trials []Outcome
		prob   float64
	}{
		"five trials":              {full[2:], 0.95},
		"certainty":                {full, 1},
		"nonsense":                 {full, math.NaN()},
		"wider than all free":      {full[:5], 0.95},
		"wider than all free, 6":   {append(slices.Clone(full[:5]), Outcome{0.15, Welded}), 0.95},
		"narrower than all tried":  {slices.Repeat([]Outcome{{0.8, CameFree}}, 9), 0.95},
		"nothing came free at all": {slices.Repeat([]Outcome{{0.2, Welded}}, 9), 0.95},
	} {
		if limit, ok := Fit(c.trials, sidePrior).Limit(c.prob); ok {
			t.Errorf("%s: %v", name, limit)
		}
	}
}

// logPhi against the distribution function where that does not underflow, and
// across the change from one formula to the other.
func TestLogPhi(t *testing.T) {
	for z := -37.0; z < 10; z += 0.25 {
		if want := math.Log(distuv.UnitNormal.CDF(z)); math.Abs(logPhi(z)-want) > 1e-9 {
			t.Errorf("log Phi(%v): got %v, want %v", z, logPhi(z), want)
		}
	}
	near(t, "far out", logPhi(-1e4), -0.5e8-math.Log(1e4)-logRoot2Pi, 1e-12)
	for _, c := range [][2]float64{{-1, 1}, {3, 4}, {-4, -3}, {-0.1, 2}} {
		near(t, "between", logPhiBetween(c[0], c[1]), math.Log(distuv.UnitNormal.CDF(c[1])-distuv.UnitNormal.CDF(c[0])), 1e-9)
	}
	if p := logPhiBetween(50, 51); math.IsInf(p, 0) || math.IsNaN(p) || math.Abs(p-logPhi(-50)) > 1e-9 {
		t.Errorf("between 50 and 51: %v", p)
	}
}

// What all joints' chance is: against draws of the threshold and the spread
// from the prior, each weighed by how likely it makes the trials. They share
// nothing with the grid.
func TestPAllFreeAgreesWithDraws(t *testing.T) {
	trials := []Outcome{{0.2, Welded}, {0.2, Stuck}, {0.3, CameFree}, {0.3, Stuck}, {0.4, CameFree}, {0.5, CameFree}}
	for _, f := range []Family{FamilySide, FamilyRoof} {
		prior, _ := PriorOf(f)
		p := Fit(trials, prior)
		sets := [][]float64{{0.35}, {0.35, 0.35}, {0.28, 0.35, 0.5, 0.35}, slices.Repeat([]float64{0.4}, 40)}
		// Sums of w, w^2, and for each set of w x, w^2 x and w^2 x^2.
		var w1, w2 float64
		wx, wwx, wwxx := make([]float64, len(sets)), make([]float64, len(sets)), make([]float64, len(sets))
		r := rand.New(rand.NewPCG(8, 5))
		const draws = 200_000
		normal := distuv.UnitNormal
		for range draws {
			mu, sigma := prior.Threshold.draw(r), prior.Spread.draw(r)
			w := 1.0
			for _, o := range trials {
				free := normal.CDF((o.Gap - mu) / sigma)
				moves := normal.CDF((o.Gap + prior.Stick - mu) / sigma)
				w *= map[Result]float64{CameFree: free, Stuck: moves - free, Welded: 1 - moves}[o.Result]
			}
			w1, w2 = w1+w, w2+w*w
			for i, gaps := range sets {
				all := 1.0
				for _, g := range gaps {
					all *= normal.CDF((g - mu) / sigma)
				}
				wx[i] += w * all
				wwx[i] += w * w * all
				wwxx[i] += w * w * all * all
			}
		}
		for i, gaps := range sets {
			// Four standard errors of a weighed mean.
			want := wx[i] / w1
			tol := 4 * math.Sqrt(wwxx[i]-2*want*wwx[i]+want*want*w2) / w1
			if tol > 0.01 {
				t.Fatalf("the draws tell %v only to %.3f", gaps, tol)
			}
			if got := p.PAllFree(gaps); math.Abs(got-want) > tol {
				t.Errorf("%s, %d gaps: %.4f, by draws %.4f within %.4f", f, len(gaps), got, want, tol)
			}
		}
	}
}

func TestPAllFreeLimits(t *testing.T) {
	prior, _ := PriorOf(FamilySide)
	p := Fit([]Outcome{{0.2, Welded}, {0.3, CameFree}, {0.4, CameFree}}, prior)
	for _, g := range []float64{0, 0.2, 0.25, 0.3, 0.6} {
		one, _, _ := p.PFree(g)
		near(t, "one joint", p.PAllFree([]float64{g}), one, 1e-12)
		last := one
		for _, n := range []int{2, 5, 100} {
			all := p.PAllFree(slices.Repeat([]float64{g}, n))
			if independent := math.Pow(one, float64(n)); !(all > independent && all < last) {
				t.Errorf("%d joints of %g: %g, want between %g and %g", n, g, all, independent, last)
			}
			last = all
		}
	}
	some := []float64{0.3, 0.26, 0.31, 0.26, 0.9}
	all := p.PAllFree(some)
	slices.Reverse(some)
	if p.PAllFree(some) != all || p.PAllFree(append(some, math.Inf(1))) != all || some[0] != 0.9 {
		t.Error("the order or a gap without end makes a difference")
	}
	if p.PAllFree(nil) != 1 || !math.IsNaN(Posterior{}.PAllFree(nil)) {
		t.Error("no gap, or nothing known")
	}
}
