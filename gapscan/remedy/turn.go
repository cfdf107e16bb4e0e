package remedy

import "fmt"

// faces are the turns that put each of the six faces of the file's axes down.
var faces = [...][3]float64{{0, 0, 0}, {180, 0, 0}, {90, 0, 0}, {-90, 0, 0}, {0, 90, 0}, {0, -90, 0}}

// turns tries the other faces down. A model that is scaled unequally is not
// turned: that would stretch it another way.
func (f *finder) turns() {
	if s := f.base.Scale; s[0] != s[1] || s[1] != s[2] {
		return
	}
	var trials []trial
	for _, turn := range faces {
		if turn == f.base.TurnDeg {
			continue
		}
		t := trial{w: f.base, kind: kindTurn, cautions: []string{cautionTurn}}
		t.w.TurnDeg = turn
		t.words = fmt.Sprintf("turn %g,%g,%g", turn[0], turn[1], turn[2])
		trials = append(trials, t)
	}
	f.best(trials)
}
