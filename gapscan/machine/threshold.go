package machine

import (
	"cmp"
	"math"
	"slices"
)

// Outcome is one joint of a stated gap and what came of it.
//
// The model: each joint needs a gap of its own, normal about the threshold
// with the spread as standard deviation, and comes out free if it has it:
//
//	P(free | gap) = Phi((gap - threshold) / spread)
//
// which is the probit model of bioassay (Bliss 1935) and of sensitivity tests.
// Two results leave the need of a joint that is not free anywhere above its
// gap. A joint that sticks says more: it was not free, but nearly, so its need
// lies within Prior.Stick above the gap, and that of one that welds beyond:
//
//	P(sticks | gap) = Phi((gap + stick - threshold) / spread) - P(free | gap)
//	P(welds | gap)  = 1 - Phi((gap + stick - threshold) / spread)
//
// These are the ordered three categories of a cumulative probit with the width
// of the middle one given, as half a step of the usual gauge: a sticking cell
// stands half-way between the last that welds and the first that is free.
// PFree stays the probability of coming out free: one that has to be cracked
// is not.
type Outcome struct {
	Gap    float64
	Result Result
}

// The grid of Fit.
const (
	// thresholdCells and spreadCells: a tenth of the posterior's standard
	// deviation each once the grid has closed in on it. Against a grid four
	// times as fine in both, a coupon's probabilities and limits differ by
	// 2e-5, the ends of an interval of probabilities by 0.01.
	thresholdCells, spreadCells = 72, 24
	// tailMass is the probability left out on each side when the grid closes
	// in; far below any that is told.
	tailMass = 1e-7
	// maxPasses bounds how often the grid closes in. Two do for a coupon, four
	// for ten thousand trials.
	maxPasses = 6
	// minNode is the probability below which a node of the grid is dropped.
	minNode = 1e-10
)

// intervalMass is the probability inside the intervals that are told; half of
// the rest lies on either side.
const intervalMass = 0.90

// Posterior is what is known of a threshold after some trials: a grid of
// thresholds and spreads with their probabilities. The zero value knows
// nothing; get one from Fit.
type Posterior struct {
	nodes []node
	// threshold is the marginal distribution over equal cells.
	threshold     []float64
	thresholdAxis axis
	hi            float64 // no threshold lies above
	// of the trials
	trials        int
	least, widest float64 // gaps
	widestFree    float64
	anyFree       bool
}

type node struct{ mu, sigma, p float64 }

// axis is a range cut into equal cells, each known by its middle.
type axis struct {
	lo, hi float64
	cells  int
}

func (a axis) width() float64          { return (a.hi - a.lo) / float64(a.cells) }
func (a axis) middle(i int) float64    { return a.lo + float64((float64(i)+0.5)*a.width()) }
func (a axis) edge(i int) float64      { return a.lo + float64(float64(i)*a.width()) }
func (a axis) muchLess(than axis) bool { return a.hi-a.lo < 0.67*(than.hi-than.lo) }

// level gathers the outcomes of one gap.
type level struct {
	gap                 float64
	free, stuck, welded float64 // counts
}

// levelsOf sorts outcomes by gap. Their order does not matter.
func levelsOf(trials []Outcome) []level {
	var levels []level
	for _, t := range trials {
		l := level{gap: t.Gap}
		switch t.Result {
		case CameFree:
			l.free = 1
		case Stuck:
			l.stuck = 1
		case Welded:
			l.welded = 1
		default:
			continue
		}
		levels = append(levels, l)
	}
	slices.SortFunc(levels, func(a, b level) int { return cmp.Compare(a.gap, b.gap) })
	n := 0
	for _, l := range levels {
		if n > 0 && levels[n-1].gap == l.gap {
			levels[n-1].free += l.free
			levels[n-1].stuck += l.stuck
			levels[n-1].welded += l.welded
			continue
		}
		levels[n] = l
		n++
	}
	return levels[:n]
}

// logLikelihood of a threshold mu and a spread sigma.
func logLikelihood(levels []level, stick, mu, sigma float64) float64 {
	sum := 0.0
	for _, l := range levels {
		z := (l.gap - mu) / sigma
		zs := z
		if stick > 0 {
			zs = (l.gap + stick - mu) / sigma
		}
		if l.free > 0 {
			sum += float64(l.free * logPhi(z))
		}
		if l.welded > 0 {
			sum += float64(l.welded * logPhi(-zs))
		}
		if l.stuck > 0 {
			p := logPhi(-z)
			if stick > 0 {
				p = logPhiBetween(z, zs)
			}
			sum += float64(l.stuck * p)
		}
	}
	return sum
}

// Fit weighs every threshold and spread by the prior and by how likely they
// make the trials, over a grid that closes in on where the probability lies.
// There is no search that could fail: where the trials say little, as when all
// below a gap welded and all above came free, or all did the same, what
// remains of the prior stays in the answer as width. Without trials it is the
// prior. Outcomes with a result that is none are passed over; gaps must be
// finite. The same trials in another order give the same bytes.
func Fit(trials []Outcome, prior Prior) Posterior {
	levels := levelsOf(trials)
	p := Posterior{hi: prior.Threshold.Hi}
	for i, l := range levels {
		p.trials += int(l.free + l.stuck + l.welded)
		if i == 0 {
			p.least = l.gap
		}
		p.widest = l.gap
		if l.free > 0 {
			p.widestFree, p.anyFree = l.gap, true
		}
	}
	if prior.Threshold.LogSD > 0 {
		// A tail must not end amid the trials.
		p.hi = max(p.hi, 2*p.widest)
	}
	// A first look may be coarse.
	mu := axis{prior.Threshold.Lo, p.hi, thresholdCells / 2}
	logSigma := axis{math.Log(prior.Spread.Lo), math.Log(prior.Spread.Hi), spreadCells / 2}
	for pass := 0; ; pass++ {
		overMu, overSigma := p.weigh(levels, prior, mu, logSigma)
		nextMu, nextSigma := closeIn(mu, overMu, thresholdCells), closeIn(logSigma, overSigma, spreadCells)
		if pass > 0 && (pass == maxPasses || !nextMu.muchLess(mu) && !nextSigma.muchLess(logSigma)) {
			p.threshold, p.thresholdAxis = overMu, mu
			break
		}
		mu, logSigma = nextMu, nextSigma
	}
	p.nodes = slices.DeleteFunc(p.nodes, func(n node) bool { return n.p < minNode })
	return p
}

// weigh fills the grid and returns the two marginal distributions.
func (p *Posterior) weigh(levels []level, prior Prior, mu, logSigma axis) (overMu, overSigma []float64) {
	p.nodes = p.nodes[:0]
	peak := math.Inf(-1)
	for i := range mu.cells {
		m := mu.middle(i)
		logMu := prior.Threshold.logDensity(m)
		for j := range logSigma.cells {
			// The cells are equal in the logarithm of sigma, hence the last term.
			ls := logSigma.middle(j)
			s := math.Exp(ls)
			n := node{m, s, logLikelihood(levels, prior.Stick, m, s) + logMu + prior.Spread.logDensity(s) + ls}
			peak = max(peak, n.p)
			p.nodes = append(p.nodes, n)
		}
	}
	total := 0.0
	for k := range p.nodes {
		p.nodes[k].p = math.Exp(p.nodes[k].p - peak)
		total += p.nodes[k].p
	}
	overMu, overSigma = make([]float64, mu.cells), make([]float64, logSigma.cells)
	for k := range p.nodes {
		p.nodes[k].p /= total
		overMu[k/logSigma.cells] += p.nodes[k].p
		overSigma[k%logSigma.cells] += p.nodes[k].p
	}
	return overMu, overSigma
}

// closeIn leaves out the ends of an axis where next to nothing lies, but for a
// cell beside what stays: the middle of a cell may miss what its edge holds.
// What stays is cut into cells anew.
func closeIn(a axis, mass []float64, cells int) axis {
	from, to := 0, a.cells
	for sum := mass[0]; sum < tailMass; sum += mass[from] {
		from++
	}
	for sum := mass[to-1]; sum < tailMass; sum += mass[to-1] {
		to--
	}
	return axis{a.edge(max(from-1, 0)), a.edge(min(to+1, a.cells)), cells}
}

// PFree is the probability that one more joint of this gap comes out free, and
// the interval that the share of such joints lies in with a probability of 0.9.
// All three grow with the gap. Of the zero Posterior it is NaN.
func (p Posterior) PFree(gap float64) (mean, lo, hi float64) {
	if len(p.nodes) == 0 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	type share struct{ free, p float64 }
	shares := make([]share, len(p.nodes))
	total := 0.0
	for i, n := range p.nodes {
		shares[i] = share{phi((gap - n.mu) / n.sigma), n.p}
		mean += float64(shares[i].free * n.p)
		total += n.p
	}
	slices.SortFunc(shares, func(a, b share) int {
		return cmp.Or(cmp.Compare(a.free, b.free), cmp.Compare(a.p, b.p))
	})
	at := func(q float64) float64 {
		sum := 0.0
		for _, s := range shares {
			if sum += s.p; sum >= q*total {
				return s.free
			}
		}
		return shares[len(shares)-1].free
	}
	return mean / total, at((1 - intervalMass) / 2), at((1 + intervalMass) / 2)
}

// mean is PFree without the interval.
func (p Posterior) mean(gap float64) float64 { return p.PAllFree([]float64{gap}) }

// PAllFree is the probability that joints of these gaps all come out free on
// this one machine. Given its threshold and spread each comes out by itself;
// these two are the same for all, so it is the mean over them of the product
// of the joints' chances, not the product of their means, which would count
// what is not known of the machine once for each joint:
//
//	E[ Phi((gap1 - threshold) / spread) Phi((gap2 - threshold) / spread) ... ]
//
// For one gap it is PFree; n equal gaps lie between its n-th power and itself.
// The order does not matter. It is 1 for no gap; of the zero Posterior it is
// NaN.
func (p Posterior) PAllFree(gaps []float64) float64 {
	if len(p.nodes) == 0 {
		return math.NaN()
	}
	// From the narrowest on, equal ones at once.
	sorted := slices.Sorted(slices.Values(gaps))
	type run struct{ gap, n float64 }
	var runs []run
	for _, g := range sorted {
		if k := len(runs); k > 0 && runs[k-1].gap == g {
			runs[k-1].n++
		} else {
			runs = append(runs, run{g, 1})
		}
	}
	sum, total := 0.0, 0.0
	for _, n := range p.nodes {
		all := 1.0
		for _, r := range runs {
			z := (r.gap - n.mu) / n.sigma
			if z > allIn || all == 0 {
				break // and so do all that are wider
			}
			if one := phi(z); r.n == 1 {
				all *= one
			} else {
				all *= math.Pow(one, r.n)
			}
		}
		sum += float64(all * n.p)
		total += n.p
	}
	return sum / total
}

// Threshold is the gap that comes out free every other time: the median of
// what is known of it, and the interval it lies in with a probability of 0.9.
// Of the zero Posterior it is NaN.
func (p Posterior) Threshold() (median, lo, hi float64) {
	return p.thresholdAt(0.5), p.thresholdAt((1 - intervalMass) / 2), p.thresholdAt((1 + intervalMass) / 2)
}

// thresholdAt is a quantile of the threshold.
func (p Posterior) thresholdAt(q float64) float64 {
	sum := 0.0
	for i, m := range p.threshold {
		if sum+m >= q && m > 0 {
			return p.thresholdAxis.edge(i) + float64((q-sum)/m*p.thresholdAxis.width())
		}
		sum += m
	}
	if len(p.threshold) == 0 {
		return math.NaN()
	}
	return p.thresholdAxis.hi
}

// MinTrials is how many trials of one family it takes before a limit is read
// off the curve. Judgement: with fewer the prior moves the limit by more than
// a step of the gauge.
const MinTrials = 6

// Limit is the least gap that comes out free with a probability prob, all
// that is not known taken into account. It is not ok while there is too little
// to say so: fewer than MinTrials trials, or a limit outside the gaps that
// were tried, narrower than all of them or wider than all that came out free.
// Then the smallest that came out free is all there is (see Evidence).
func (p Posterior) Limit(prob float64) (gap float64, ok bool) {
	gap, ok = p.freeAt(prob)
	return gap, ok && p.trials >= MinTrials && p.anyFree && gap >= p.least && gap <= p.widestFree
}

// limitSteps halves the range of gaps often enough for 1e-6 mm.
const limitSteps = 24

// freeAt is the least gap of a mean probability, wherever it lies.
func (p Posterior) freeAt(prob float64) (gap float64, ok bool) {
	if len(p.nodes) == 0 || !(prob > 0 && prob < 1) {
		return 0, false
	}
	lo, hi := min(0, p.thresholdAxis.lo), p.hi
	for p.mean(hi) < prob {
		hi += hi - lo
	}
	for range limitSteps {
		if mid := lo + (hi-lo)/2; p.mean(mid) >= prob {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi, true
}
