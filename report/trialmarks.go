package report

import (
	"image/color"
	"math"

	"playgauge/gapscan/machine"
)

// The shapes of trials are told apart in grey and at a third of the size: a
// ring with air in it, a wedge that may be driven out, and a block. Each fills
// a square of twice markHalf about x, y.

func trialShape(r machine.Result) func(c canvas, x, y int, ink color.Color) {
	switch r {
	case machine.CameFree:
		return ring
	case machine.Stuck:
		return wedge
	}
	return block
}

func ring(c canvas, x, y int, ink color.Color) {
	disc(c, x, y, ink)
	const hole = markHalf - 3
	for d := -hole; d < hole; d++ {
		h := int(math.Round(math.Sqrt(hole*hole - (float64(d)+0.5)*(float64(d)+0.5))))
		c.fill(x-h, y+d, x+h, y+d+1, paper)
	}
}

func block(c canvas, x, y int, ink color.Color) {
	c.fill(x-markHalf+1, y-markHalf+1, x+markHalf-1, y+markHalf-1, ink)
}

// scattered are trials laid out in rows so that none hides another; each
// stands over its own gap.
type scattered struct {
	rows int
	at   []scatteredTrial
	left int // trials that found no room
}

type scatteredTrial struct {
	trial machine.Outcome
	row   int
}

// scatter lays out the trials, by rising gap, that came out free, or those
// that did not; each in the first row with room.
func scatter(trials []machine.Outcome, hi float64, free bool) scattered {
	var s scattered
	var end [mostRows]float64
	for i := range end {
		end[i] = math.Inf(-1)
	}
next:
	for _, t := range trials {
		if (t.Result == machine.CameFree) != free || t.Gap > hi {
			continue
		}
		x := across(t.Gap, hi)
		for row := range end {
			if x-end[row] >= trialRoom {
				end[row] = x
				s.at = append(s.at, scatteredTrial{t, row})
				s.rows = max(s.rows, row+1)
				continue next
			}
		}
		s.left++
	}
	return s
}

func (s *scattered) has(r machine.Result) bool {
	for _, t := range s.at {
		if t.trial.Result == r {
			return true
		}
	}
	return false
}

func (s *scattered) draw(c canvas, hi float64, y func(row int) int) {
	for _, t := range s.at {
		trialShape(t.trial.Result)(c, int(math.Round(across(t.trial.Gap, hi))), y(t.row), ink)
	}
}

// note says how many found no room.
func (s *scattered) note(c canvas, p *pens, y int) {
	if s.left > 0 {
		c.text(p.label, plotRight+14, y+7, faint, "and "+rounded(float64(s.left), 0)+" more")
	}
}
