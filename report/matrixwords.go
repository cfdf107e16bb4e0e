package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/batch"
)

// opening says how many models print where.
func (m *Matrix) opening() string {
	prints := make([]int, len(m.Machines)+1) // models by how many machines they print on
	vetted, failed, none := 0, 0, 0
	for i := range m.Rows {
		r := &m.Rows[i]
		if r.Err != nil {
			failed++
			continue
		}
		vetted++
		on, without := 0, 0
		for k := range r.Cells {
			switch r.Cells[k].Outcome {
			case gapscan.Free, gapscan.Close:
				on++
			case gapscan.NoJoint:
				without++
			}
		}
		if without == len(r.Cells) {
			none++
		} else {
			prints[on]++
		}
	}
	s := count(len(m.Rows), "model", "models")
	if folder := m.folder(); len(folder) > 1 {
		s += " in " + string(tintBold) + oneWord(folder[:len(folder)-1]) + string(tintEnd)
	}
	s += " on "
	last := len(m.Machines)
	switch {
	case last > 1:
		s += strconv.Itoa(last) + nbsp + "machines"
	case m.Machines[0].Tested:
		s += machineName(&m.Machines[0])
	default:
		s += machineInShort(&m.Machines[0])
	}
	if len(m.Rows) > 1 {
		s += ", worst first"
	}
	var says []string
	say := func(n int, words string) {
		if n > 0 {
			says = append(says, strconv.Itoa(n)+nbsp+words)
		}
	}
	if last == 1 {
		say(prints[1], "free or close")
		say(prints[0], "stick or weld")
	} else {
		some := 0
		for _, n := range prints[1:last] {
			some += n
		}
		every := "free or close on all " + strconv.Itoa(last)
		if last == 2 {
			every = "free or close on both"
		}
		say(prints[last], every)
		if last == 2 {
			say(some, "on one")
		} else {
			say(some, "on some")
		}
		say(prints[0], "on none")
	}
	say(none, "without a joint")
	say(failed, "not"+nbsp+"vetted")
	return s + ": " + strings.Join(says, ", ") + "."
}

// closing tells how each machine does with the models, what the columns mean,
// and what all of it rests on.
func (m *Matrix) closing(p *page) {
	if m.any(func(*batch.Cell) bool { return true }) {
		if len(m.Machines) > 1 {
			names := 0
			for k := range m.Machines {
				names = max(names, shown(plain(m.Machines[k].Name)))
			}
			for k := range m.Machines {
				p.wrap(column(plain(m.Machines[k].Name), names+betweenOf), "    ", m.tally(k))
			}
			p.blank()
		}
		p.sentence(m.legend())
	}
	for _, s := range m.notes() {
		p.sentence(s)
	}
	for k := range m.Machines {
		p.sentence("Rests on " + machineWords(&m.Machines[k]) + ".")
	}
	p.sentence("Layers of " + size(m.WhatIf.RestMM) + nbsp + "mm" + m.firstLayer() + m.placing() + ". A calculation, not a promise.")
}

// tally counts the outcomes of a machine, best first.
func (m *Matrix) tally(k int) string {
	of := map[gapscan.Outcome]int{}
	for i := range m.Rows {
		if r := &m.Rows[i]; r.Err == nil {
			of[r.Cells[k].Outcome]++
		}
	}
	var kinds []string
	for _, o := range []gapscan.Outcome{gapscan.Free, gapscan.Close, gapscan.Sticks, gapscan.Welds, gapscan.NoJoint} {
		if n := of[o]; n > 0 {
			kinds = append(kinds, strconv.Itoa(n)+nbsp+tint(o))
		}
	}
	return strings.Join(kinds, ", ")
}

// legend says what the columns that are there mean.
func (m *Matrix) legend() string {
	var says []string
	if m.any(func(c *batch.Cell) bool { return c.PFree != nil }) {
		says = append(says, "/100: in how many of 100"+nbsp+"prints every joint comes out free")
	}
	if m.any(func(c *batch.Cell) bool { return c.FirstBadLayer != nil }) {
		says = append(says, "layer: the first that sticks or welds")
	}
	if asks := m.asksBand(); len(asks.fields) > 0 {
		s := "asks: the smallest gaps"
		if slices.ContainsFunc(asks.fields, func(f field) bool { return f.head == "roof" }) {
			s += ", roof (vertical) also in layers of air"
		}
		if slices.ContainsFunc(asks.fields, func(f field) bool { return f.head == "bridge" }) {
			s += ", and the longest bridge"
		}
		says = append(says, s)
	}
	if len(says) == 0 {
		return ""
	}
	s := strings.Join(says, "; ")
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// mostUnits is of how many models a doubt about units is told.
const mostUnits = 3

// notes tells what a person should know of some models.
func (m *Matrix) notes() (out []string) {
	small, doubted, differ := 0, 0, false
	var units []string // of models whose units are doubtful
	for i := range m.Rows {
		r := &m.Rows[i]
		if r.Err != nil {
			continue
		}
		if slices.ContainsFunc(r.Cells, func(c batch.Cell) bool { return c.SmallParts > 0 }) {
			small++
		}
		if slices.ContainsFunc(r.Cells, func(c batch.Cell) bool { return c.Unmeasured > 0 }) {
			doubted++
		}
		if d := r.Cells[0].UnitDoubt; d != "" {
			units = append(units, m.name(r)+": "+plain(d)+".")
		}
		for k := range r.Cells {
			differ = differ || !sameDemands(&r.Cells[0].Demands, &r.Cells[k].Demands)
		}
	}
	if n := len(units); n > mostUnits {
		units = append(units[:mostUnits], fmt.Sprintf("The units of %d more models are doubtful: see --csv or --json.", n-mostUnits))
	}
	out = units
	if doubted > 0 {
		out = append(out, "* as far as it could be measured: contours that do not close were left out.")
	}
	if differ {
		out = append(out, "What a model asks differs by machine (bottom layers, overhang, trim); it is told of "+plain(m.Machines[0].Name)+".")
	}
	if small > 0 {
		has := "has a part that fits"
		if small > 1 {
			has = "have parts that fit"
		}
		out = append(out, count(small, "model", "models")+" "+has+", or nearly, the small-parts gauge: a choking hazard to children under three if one comes loose (local law and accredited testing decide).")
	}
	return out
}

func sameDemands(a, b *gapscan.Demands) bool {
	same := func(x, y *float64) bool { return x == nil && y == nil || x != nil && y != nil && *x == *y }
	return same(a.SideMM, b.SideMM) && same(a.SlopeMM, b.SlopeMM) && same(a.RoofMM, b.RoofMM) &&
		same(a.BottomMM, b.BottomMM) && same(a.BridgeMM, b.BridgeMM) && whole(a.RoofAir) == whole(b.RoofAir)
}

func (m *Matrix) firstLayer() string {
	if m.WhatIf.FirstMM == m.WhatIf.RestMM {
		return ""
	}
	return ", the first " + size(m.WhatIf.FirstMM)
}

// placing says how the models were placed and printed, where it is not as they
// are.
func (m *Matrix) placing() string {
	w, as, s := m.WhatIf, gapscan.AsIs(), ""
	if w.Units != as.Units {
		s += "; files read as " + plain(w.Units)
	}
	if w.Scale != as.Scale {
		s += "; scaled by " + scale(w.Scale)
	}
	if w.TurnDeg != as.TurnDeg {
		s += "; turned by " + axes(w.TurnDeg) + nbsp + "degrees"
	}
	if w.LiftMM != 0 {
		s += "; lifted by " + exact(w.LiftMM) + nbsp + "mm"
	}
	if w.TrimMM != 0 {
		s += "; bottom layers trimmed by " + exact(w.TrimMM) + nbsp + "mm a side"
	}
	if w.InsetMM != 0 {
		s += "; walls set in by " + exact(w.InsetMM) + nbsp + "mm"
	}
	if w.Flow != as.Flow {
		s += "; flow " + exact(w.Flow)
	}
	return s
}

// chanceShort is a chance in a column, "" where it is not known. As in words
// it is never rounded to certainty.
func chanceShort(p *float64) string {
	switch {
	case p == nil:
		return ""
	case *p < 0.01:
		return "<1"
	case *p > 0.99:
		return ">99"
	}
	return fmt.Sprintf("%.0f", 100**p)
}
