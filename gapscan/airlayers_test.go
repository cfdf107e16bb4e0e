package gapscan

import (
	"math"
	"testing"

	"playgauge/mesh/shape"
	"playgauge/slice"
)

// airBetween counts the layers whose cut lies in the open interval from lo to
// hi: a face counts as below a cut that is at most slice.CutNoise under it.
func airBetween(p slice.Plan, lo, hi float64) (lower, upper, air int) {
	for n := 1; n <= p.Layers; n++ {
		z := p.Cut(n)
		if z <= lo+slice.CutNoise {
			lower = n
		}
		if upper == 0 && z > hi+slice.CutNoise {
			upper = n
		}
	}
	return lower, upper, upper - lower - 1
}

// A flat roof at every phase of the layer grid prints with the air that
// slicing gives.
func TestAirLayersAtEveryPhase(t *testing.T) {
	for _, first := range []float64{0.2, 0.28, 0.1} {
		for _, gap := range []float64{0.1, 0.3, 0.4, 0.5} {
			for step := range 20 {
				z := 1 + float64(step)/50
				s := box(0, 0, 0, 4, 4, z).Append(box(1, 1, z+gap, 3, 3, z+gap+1))
				c := cutSolid(t, s, first, 0.2, keeps(0.3, 0.4, 0.4), Options{})
				r := c.result()
				// As the file has them: float32.
				lo, hi := float64(float32(z)), float64(float32(z+gap))
				_, upper, air := airBetween(c.stack.Plan, lo, hi)
				j := r.Joints[0]
				if j.RoofAirLayers == nil || *j.RoofAirLayers != air || *j.RoofLayer != upper {
					t.Fatalf("first %v, roof of %v at %v: %v layers of air, want %d under layer %d", first, gap, z, deref(j.RoofAirLayers), air, upper)
				}
				if !near2(*j.RoofGapMM, gap, floatNoise) {
					t.Errorf("roof gap %v, want %v", *j.RoofGapMM, gap)
				}
				want := float64(air) * 0.2
				if !near2(*j.Margin, want/0.4, 1e-5) || *j.Cause != CauseRoof || *j.WorstLayer != upper {
					t.Errorf("first %v, roof of %v at %v: margin %v (%v in layer %d), want %v in layer %d", first, gap, z, *j.Margin, *j.Cause, *j.WorstLayer, want/0.4, upper)
				}
				if d := r.Demands; d.RoofAir == nil || *d.RoofAir != air || !near2(*d.RoofMM, want, 1e-5) {
					t.Errorf("first %v, roof of %v at %v: the demands are %v mm and %v layers, want %v and %d", first, gap, z, deref(d.RoofMM), deref(d.RoofAir), want, air)
				}
				if l := r.Layers[upper-1]; l.RoofAirMM == nil || !near2(*l.RoofAirMM, want, 1e-5) {
					t.Errorf("first %v, roof of %v at %v: layer %d has %v mm of air, want %v", first, gap, z, upper, deref(l.RoofAirMM), want)
				}
				if (r.PrintedParts == 1) != (air == 0) {
					t.Errorf("first %v, roof of %v at %v: %d printed parts with %d layers of air", first, gap, z, r.PrintedParts, air)
				}
			}
		}
	}
}

func deref[T any](p *T) any {
	if p == nil {
		return nil
	}
	return *p
}

// jointBetween finds the joint of two parts by their ids.
func jointBetween(t *testing.T, r *Result, a, b int) Joint {
	t.Helper()
	for _, j := range r.Joints {
		if j.Parts == [2]int{min(a, b), max(a, b)} {
			return j
		}
	}
	t.Fatalf("no joint of parts %d and %d in %+v", a, b, r.Joints)
	return Joint{}
}

// The outer plates are the largest, then the lower one, for its corner.
func washer(wide float64) shape.Solid {
	return box(0, 0, 0, 6, 6, 1).Append(box(0, 0, 1.8, 6, 6, 2.8), box(3-wide, 3-wide, 1.2, 3+wide, 3+wide, 1.6))
}

// A washer wider than the plates hides them from each other.
func TestWasherBetweenPlates(t *testing.T) {
	r := scan(t, washer(3.2), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	if len(r.Joints) != 3 {
		t.Fatalf("%d joints, want 3", len(r.Joints))
	}
	outer := jointBetween(t, r, 1, 2)
	if outer.Margin != nil || outer.Outcome != nil || outer.Cause != nil || outer.PFree != nil || outer.WorstLayer != nil ||
		outer.AtMM != nil || outer.SideGapMM != nil || outer.RoofGapMM != nil || outer.RoofAirLayers != nil {
		t.Errorf("the outer plates are judged: %+v", outer)
	}
	if !near2(outer.TrueGapMM, 0.8, floatNoise) {
		t.Errorf("true gap of the outer plates %v, want 0.8", outer.TrueGapMM)
	}
	if last := r.Joints[2]; last.Parts != [2]int{1, 2} {
		t.Errorf("the joint without a margin does not stand last: %v", last.Parts)
	}
	for _, p := range []int{1, 2} {
		j := jointBetween(t, r, p, 3)
		if *j.RoofAirLayers != 1 || !near2(*j.RoofGapMM, 0.2, floatNoise) || !near2(*j.Margin, 0.5, 1e-5) || *j.Cause != CauseRoof {
			t.Errorf("washer and plate: %v layers, %v mm, margin %v (%v)", *j.RoofAirLayers, *j.RoofGapMM, *j.Margin, *j.Cause)
		}
	}
	if !short(r.Outcome) {
		t.Errorf("outcome %v", r.Outcome)
	}
	// A machine on which the washer is free says so, whatever the outer plates
	// are to each other.
	if r := scan(t, washer(3.2), 0.2, 0.2, keeps(0.1, 0.1, 0.1)); r.Outcome != Free || r.FirstBadLayer != nil {
		t.Errorf("outcome %v, first bad layer %v; want free", r.Outcome, deref(r.FirstBadLayer))
	}
}

// Past a smaller washer they see each other.
func TestPlatesPastAWasher(t *testing.T) {
	r := scan(t, washer(1.5), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	j := jointBetween(t, r, 1, 2)
	if j.RoofAirLayers == nil || *j.RoofAirLayers != 4 || !near2(*j.RoofGapMM, 0.8, floatNoise) || !near2(*j.Margin, 2, 1e-5) || *j.Outcome != Free {
		t.Errorf("outer plates: %v layers, %v mm, margin %v", deref(j.RoofAirLayers), deref(j.RoofGapMM), deref(j.Margin))
	}
	if j.AtMM[0] > 1.5 && j.AtMM[0] < 4.5 && j.AtMM[1] > 1.5 && j.AtMM[1] < 4.5 {
		t.Errorf("the outer plates see each other at %v, through the washer", *j.AtMM)
	}
}

// A washer flush with the plates, or short of them by less than the walls'
// noise: there is no roof, but from rim to rim the way runs along its wall.
func TestPlatesAlongAFlushWasher(t *testing.T) {
	for _, wide := range []float64{3, 2.9996} {
		r := scan(t, washer(wide), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
		j := jointBetween(t, r, 1, 2)
		if j.RoofAirLayers != nil {
			t.Errorf("the plates see each other over %v layers through less than a micron", *j.RoofAirLayers)
		}
		// Layers 5 and 10: middles 1 mm apart, beads of radius 0.1; the
		// plate's rim hangs.
		dist := math.Hypot(0.2, 1)
		gap := dist - 0.2
		want := gap * math.Hypot(0.2/dist/0.3, 1/dist/0.4)
		if j.Margin == nil || !near2(*j.Margin, want, 1e-3) || *j.Cause != CauseSlope || !near2(*j.GapMM, gap, 1e-3) || *j.WorstLayer != 10 {
			t.Errorf("rim to rim: margin %v (%v), gap %v in layer %v; want %v, %v in layer 10", deref(j.Margin), deref(j.Cause), deref(j.GapMM), deref(j.WorstLayer), want, gap)
		}
	}
}

// A block between two others in the roof's gap: each side has its own count.
func TestThirdPartBetweenBlocks(t *testing.T) {
	for step := range 10 {
		z := 1.1 + float64(step)/50
		s := box(0, 0, 0, 5, 5, 1).Append(box(0, 0, 2, 5, 5, 3.1), box(-0.5, -0.5, z, 5.5, 5.5, z+0.5))
		c := cutSolid(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{})
		r := c.result()
		at := func(v float64) float64 { return float64(float32(v)) }
		_, _, below := airBetween(c.stack.Plan, 1, at(z))
		_, _, above := airBetween(c.stack.Plan, at(z+0.5), 2)
		// By volume the top block is 1, the bottom one 2.
		for part, want := range map[int]int{1: above, 2: below} {
			if j := jointBetween(t, r, part, 3); j.RoofAirLayers == nil || *j.RoofAirLayers != want {
				t.Errorf("block at %v: %v layers of air to part %d, want %d", z, deref(j.RoofAirLayers), part, want)
			}
		}
		if j := jointBetween(t, r, 1, 2); j.RoofAirLayers != nil || j.Margin != nil || !near2(j.TrueGapMM, 1, floatNoise) {
			t.Errorf("block at %v: the outer blocks are judged: %+v", z, j)
		}
	}
}
