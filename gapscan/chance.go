package gapscan

import (
	"math"

	"playgauge/gapscan/machine"
)

// The chance that a joint comes out free is told by three gaps, one for each
// kind of limit that a machine's trials teach: what the joint's beads have at
// least in the layer, in the bottom layers and under a roof. Trials judge a
// joint of one gap, beads have margins; so a bead counts in its family with its
// equivalent gap, its margin times the family's need, and that is
//
//   - side by side in one layer: the gap itself; in the bottom layers with
//     twice the trim added, since limits are learned untrimmed;
//   - one above the other: the air, less the sag, in the roof family where the
//     upper one hangs, in the side family where it stands;
//   - leaning, where the upper one stands: the gap itself, in the side family;
//   - leaning, where the upper one hangs: its margin is made of both needs. It
//     is given to the family of the direction in which the beads lie further
//     apart, with its margin times that family's need. So it is judged as its
//     outcome is, and goes over into a side gap or into air at the two ends.
//
// The gaps within a layer and the air under roofs are the least there are, and
// so are the leaning ones in layers of which nothing hangs. In the others of
// the leaning beads only the layer's tightest counts: the search for it leaves
// out what has more margin. So the joint's least margin always counts, and no
// bead is left out but beside one of less margin in its own layer.

// chanceFamilies are the families of a chance, in the order of a gapsBy.
var chanceFamilies = [...]machine.Family{machine.FamilySide, machine.FamilyBottom, machine.FamilyRoof}

// gapsBy holds a joint's least equivalent gap of each family in mm, +Inf where
// it has no bead of it within reach.
type gapsBy [len(chanceFamilies)]float64

// Places in a gapsBy.
const (
	inSide = iota
	inBottom
	inRoof
)

// familyGaps gathers the least gaps of each joint over its layers.
func (sc *scanner) familyGaps(layers []layerScan) []gapsBy {
	out := make([]gapsBy, len(sc.pairs))
	for j := range out {
		out[j] = gapsBy{math.Inf(1), math.Inf(1), math.Inf(1)}
	}
	for i, l := range layers {
		for k := range l.joints {
			f := &l.joints[k]
			g := &out[f.joint]
			at := inSide
			if i+1 <= sc.bottomLayers {
				at = inBottom
			}
			g[at] = min(g[at], f.side)
			g[inSide] = min(g[inSide], f.roof.standAir())
			if !f.mixed && f.slope < f.side {
				g[inSide] = min(g[inSide], f.slope)
			}
			if f.roof.sags {
				g[inRoof] = min(g[inRoof], f.roof.sagged)
			}
			switch b := f.best; {
			case b.cause != CauseSlope:
			case b.steep:
				g[inRoof] = min(g[inRoof], b.margin*sc.roof)
			default:
				g[inSide] = min(g[inSide], b.margin*sc.side)
			}
		}
	}
	return out
}

// certain is the chance from which on a gap is free whatever the machine: a
// joint does not depend on a family without trials where what is known of all
// machines says as much.
const certain = 0.999

// chance is what is known of one family.
type chance struct {
	machine.Posterior
	tried bool // by trials, not by the prior alone
	free  map[float64]float64
}

// of is the chance that a joint of this gap comes out free.
func (c *chance) of(gap float64) float64 {
	p, ok := c.free[gap]
	if !ok {
		p = c.PAllFree([]float64{gap})
		c.free[gap] = p
	}
	return p
}

// chances fills in the chance that each judged joint comes out free, and that
// all of them do. Families are independent of each other: each has a threshold
// of its own. Within a family the joints share the machine's threshold, and
// given that come out each by itself. Both are nil where nothing is tested or
// tried on the machine, and where one has a narrow gap of a family of which
// there is no trial: a limit written by hand says nothing of chances. lacks
// names those families.
func chances(mc machine.Machine, joints []Joint, gaps []gapsBy) (all *float64, lacks []string) {
	lacks = []string{}
	var of [len(chanceFamilies)]chance
	any := false
	for i, f := range chanceFamilies {
		of[i].free = map[float64]float64{}
		of[i].Posterior, of[i].tried = mc.Posterior(f)
		any = any || of[i].tried
	}
	if !any || !mc.IsTested() {
		return nil, lacks
	}
	for i, f := range chanceFamilies {
		if !of[i].tried {
			prior, _ := machine.PriorOf(f)
			of[i].Posterior = machine.Fit(nil, prior)
		}
	}
	var byFamily [len(chanceFamilies)][]float64
	var lacking [len(chanceFamilies)]bool
	judged, known := false, true
	for k := range joints {
		if joints[k].Margin == nil {
			continue
		}
		judged = true
		p, has := 1.0, true
		for i, g := range gaps[joints[k].ID-1] {
			if math.IsInf(g, 1) {
				continue
			}
			if i == inBottom {
				g += 2 * mc.TrimMM
			}
			g = round6(g)
			one := of[i].of(g)
			if !of[i].tried && one < certain {
				has, lacking[i] = false, true
			}
			p *= one
			byFamily[i] = append(byFamily[i], g)
		}
		if has {
			joints[k].PFree = num(p)
		}
		known = known && has
	}
	for i, f := range chanceFamilies {
		if lacking[i] {
			lacks = append(lacks, string(f))
		}
	}
	if !judged || !known {
		return nil, lacks
	}
	p := 1.0
	for i := range of {
		p *= of[i].PAllFree(byFamily[i])
	}
	return num(p), lacks
}
