package remedy

import (
	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// machines tries the model as it is on other machines.
func (f *finder) machines(others []machine.Machine) {
	for i, mc := range others {
		r := f.sliced.Judge(f.base, mc)
		if !works(r.Outcome) {
			continue
		}
		on := newSearch(f.soup, f.base, mc, f.placed)
		on.seen[question{f.base, gapscan.WorksFrom}] = true
		f.list(trial{w: f.base, words: "machine " + mc.Name, kind: kindMachine}, on.steady(f.base), r, i)
	}
}
