package machine

import (
	"reflect"
	"testing"
)

// rung is one trial at a gap.
type rung struct {
	gap    float64
	result Result
}

func trialsOf(f Family, rungs ...rung) (out []Trial) {
	for _, r := range rungs {
		out = append(out, Trial{Family: f, GapMM: r.gap, Result: r.result})
	}
	return out
}

func bridge(span, sag float64) Trial {
	return Trial{Family: FamilyBridge, SpanMM: span, SagMM: sag, LayerHeightMM: 0.2}
}

func TestFound(t *testing.T) {
	wholeCoupon := []rung{
		{0.15, Welded}, {0.15, Welded}, {0.2, Welded}, {0.2, Welded}, {0.25, Stuck}, {0.25, Welded}, {0.3, CameFree}, {0.3, CameFree},
		{0.35, CameFree}, {0.35, CameFree}, {0.4, CameFree}, {0.4, CameFree},
	}
	for name, c := range map[string]struct {
		tested *float64
		rungs  []rung
		lo, hi float64 // the need lies from here to there
		source Source
		rule   Rule
		words  string
	}{
		"nothing": {nil, nil, 0.4, 0.4, SourceBuiltIn, RuleNone, "built-in, not tested"},
		"by hand": {ptr(0.35), nil, 0.35, 0.35, SourceHand, RuleNone, "tested by hand"},
		"few": {nil, []rung{{0.2, Welded}, {0.25, Stuck}, {0.3, CameFree}}, 0.3, 0.3, SourceTrials, RuleSmallest,
			"the smallest that came out free in 3 trials, too few or too far apart to say more"},
		"by hand over few": {ptr(0.35), []rung{{0.2, Welded}, {0.25, Stuck}, {0.3, CameFree}}, 0.35, 0.35, SourceHand, RuleSmallest,
			"tested by hand, which wins over the trials: they say 0.30 mm, the smallest that came out free in 3 trials, too few or too far apart to say more"},
		"by hand over too little": {ptr(0.35), []rung{{0.2, Welded}}, 0.35, 0.35, SourceHand, RuleNone, "tested by hand"},
		"a coupon":                {nil, wholeCoupon, 0.31, 0.37, SourceTrials, RuleLimit, "free with 95 % by 12 trials"},
		"both results at a gap":   {nil, []rung{{0.3, CameFree}, {0.3, Welded}, {0.35, CameFree}}, 0.35, 0.35, SourceTrials, RuleSmallest, ""},
		"only both results":       {nil, []rung{{0.3, CameFree}, {0.3, Stuck}}, 0.4, 0.4, SourceBuiltIn, RuleNone, "built-in, not tested; 2 trials, not free at 0.30 mm; nothing wider came out free"},
		"one weld below the built-in": {nil, []rung{{0.2, Welded}}, 0.4, 0.4, SourceBuiltIn, RuleNone,
			"built-in, not tested; 1 trial, not free at 0.20 mm; nothing wider came out free"},
		"one wide joint": {nil, []rung{{0.8, CameFree}}, 0.4, 0.4, SourceBuiltIn, RuleNone,
			"built-in, not tested; 1 trial, free at 0.80 mm; nothing narrower was tried"},
		"one narrow joint":       {nil, []rung{{0.3, CameFree}}, 0.3, 0.3, SourceTrials, RuleSmallest, ""},
		"wide apart":             {nil, []rung{{0.2, Welded}, {0.6, CameFree}}, 0.6, 0.6, SourceTrials, RuleSmallest, ""},
		"contact came free":      {nil, []rung{{0, CameFree}}, 0.4, 0.4, SourceBuiltIn, RuleNone, ""},
		"the built-in welded":    {nil, []rung{{0.4, Welded}}, 0.45, 1.2, SourceTrials, RuleBeyond, "wider than anything tried: in 1 trial a gap of 0.40 mm did not come out free and no wider one did"},
		"all welded":             {nil, []rung{{0.2, Welded}, {0.3, Welded}, {0.4, Welded}, {0.5, Welded}, {0.6, Welded}, {0.6, Welded}}, 0.65, 1.5, SourceTrials, RuleBeyond, ""},
		"one odd weld":           {nil, []rung{{0.2, CameFree}, {0.25, CameFree}, {0.3, CameFree}, {0.35, CameFree}, {0.4, CameFree}, {0.6, Welded}}, 0.61, 1, SourceTrials, RuleBeyond, ""},
		"far beyond what may be": {nil, []rung{{5, Welded}}, MaxNeedMM, MaxNeedMM, SourceTrials, RuleBeyond, ""},
	} {
		m := Machine{Tested: Tested{SideMM: c.tested}, Trials: trialsOf(FamilySide, c.rungs...)}
		m.Learned = Learn(m.Trials)
		n := m.Needs()
		f := n.From.Side
		if n.Side < c.lo || n.Side > c.hi || f.Source != c.source || f.Rule != c.rule || f.Trials != len(c.rungs) {
			t.Errorf("%s: %v, %+v", name, n.Side, f)
		}
		if c.words != "" && f.Words != c.words {
			t.Errorf("%s:\n got %s\nwant %s", name, f.Words, c.words)
		}
		if (f.TrialsMM != nil) != (c.rule != RuleNone) {
			t.Errorf("%s: the trials say %v", name, f.TrialsMM)
		}
		untested := c.source == SourceBuiltIn
		if m.IsTested() == untested || (n.Defaults[0] == "side_mm") != untested {
			t.Errorf("%s: tested %v, defaults %v", name, m.IsTested(), n.Defaults)
		}
	}
}

// The usual coupon of 0.2 mm layers: one layer of air welds, two come free.
func TestFoundRoof(t *testing.T) {
	var trials []Trial
	for layers := 1; layers <= 4; layers++ {
		r := CameFree
		if layers == 1 {
			r = Welded
		}
		for range 2 {
			trials = append(trials, Trial{Family: FamilyRoof, AirLayers: ptr(layers), LayerHeightMM: 0.2, Result: r})
		}
	}
	n := Machine{Learned: Learn(trials)}.Needs()
	if n.From.Roof.Rule != RuleLimit || n.Roof < 0.35 || n.Roof > 0.4 {
		t.Errorf("%v, %+v", n.Roof, n.From.Roof)
	}
}

func TestFoundBottom(t *testing.T) {
	few := trialsOf(FamilyBottom, rung{0.3, Welded}, rung{0.45, CameFree})
	for name, c := range map[string]struct {
		m    Machine
		need float64
		from BottomSource
		find Source
	}{
		"trials":          {Machine{Trials: few}, 0.45, BottomTrials, SourceTrials},
		"trimmed":         {Machine{Trials: few, TrimMM: 0.02}, 0.41, BottomTrials, SourceTrials},
		"before a spread": {Machine{Trials: few, SpreadMM: ptr(0.2)}, 0.45, BottomTrials, SourceTrials},
		"by hand":         {Machine{Trials: few, Tested: Tested{BottomMM: ptr(0.5)}}, 0.5, BottomTested, SourceHand},
		"the side's more": {Machine{Trials: few, Tested: Tested{SideMM: ptr(0.6)}}, 0.6, BottomSide, SourceTrials},
		"a spread where they say nothing": {Machine{Trials: few[:1], SpreadMM: ptr(0.1), Tested: Tested{SideMM: ptr(0.2)}},
			0.4, BottomSpread, SourceSpread},
	} {
		c.m.Learned = Learn(c.m.Trials)
		if n := c.m.Needs(); n.Bottom != c.need || n.BottomFrom != c.from || n.From.Bottom.Source != c.find {
			t.Errorf("%s: %v from %s, %+v", name, n.Bottom, n.BottomFrom, n.From.Bottom)
		}
	}
	// A spread whose need was seen to weld is ruled out.
	m := Machine{SpreadMM: ptr(0.05), Tested: Tested{SideMM: ptr(0.3)}, Trials: trialsOf(FamilyBottom, rung{0.4, Welded})}
	m.Learned = Learn(m.Trials)
	if n := m.Needs(); n.Bottom <= 0.4 || n.From.Bottom.Rule != RuleBeyond {
		t.Errorf("%v, %+v", n.Bottom, n.From.Bottom)
	}
}

func TestFoundBridge(t *testing.T) {
	for name, c := range map[string]struct {
		tested *float64
		trials []Trial
		need   float64
		source Source
		rule   Rule
		words  string
	}{
		"a coupon": {nil, []Trial{bridge(10, 0), bridge(40, 0.6), bridge(20, 0.1), bridge(30, 0.2)}, 30, SourceTrials, RuleLongest,
			"the longest of 4 bridges that sagged by at most one layer"},
		"by hand": {ptr(25.0), []Trial{bridge(30, 0)}, 25, SourceHand, RuleLongest,
			"tested by hand, which wins over the trials: they say 30 mm, the longest of 1 bridge that sagged by at most one layer"},
		"both ways":        {nil, []Trial{bridge(20, 0.1), bridge(30, 0.1), bridge(30, 0.3), bridge(40, 0.1)}, 20, SourceTrials, RuleLongest, ""},
		"a short one held": {nil, []Trial{bridge(6, 0)}, 10, SourceBuiltIn, RuleNone, "built-in, not tested; 1 bridge, held at 6 mm; nothing longer was tried"},
		"a long one sagged": {nil, []Trial{bridge(40, 2)}, 10, SourceBuiltIn, RuleNone,
			"built-in, not tested; 1 bridge, sagged at 40 mm; nothing shorter held"},
		"all sagged": {nil, []Trial{bridge(10, 1), bridge(20, 2)}, MinBridgeMM, SourceTrials, RuleBeyond, "of 2 bridges the shortest, 10 mm, sagged by more than one layer"},
	} {
		n := Machine{Tested: Tested{BridgeMM: c.tested}, Learned: Learn(c.trials)}.Needs()
		f := n.From.Bridge
		if n.Bridge != c.need || f.Source != c.source || f.Rule != c.rule || c.words != "" && f.Words != c.words {
			t.Errorf("%s: %v, %+v", name, n.Bridge, f)
		}
	}
}

func TestPosteriorOfAMachine(t *testing.T) {
	m := Machine{Trials: trialsOf(FamilySide, rung{0.2, Welded}, rung{0.3, CameFree})}
	if _, ok := m.Posterior(FamilyRoof); ok {
		t.Error("nothing is known of its roofs")
	}
	if _, ok := m.Posterior(FamilyBridge); ok {
		t.Error("a bridge has no gap")
	}
	p, ok := m.Posterior(FamilySide)
	at := func(gap float64) float64 { mean, _, _ := p.PFree(gap); return mean }
	if !ok || at(0.2) > 0.2 || at(0.3) < 0.7 || at(0.5) < 0.97 {
		t.Errorf("%v: %v %v %v", ok, at(0.2), at(0.3), at(0.5))
	}
	fitted := m.WithFits()
	for _, f := range []Family{FamilySide, FamilyRoof, FamilyBottom, FamilyBridge} {
		want, wantOK := m.Posterior(f)
		if got, ok := fitted.Posterior(f); ok != wantOK || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: fitted beforehand it is another", f)
		}
	}
	if len(fitted.Fits) != 1 {
		t.Errorf("%d families are fitted, of 1 with trials", len(fitted.Fits))
	}
}
