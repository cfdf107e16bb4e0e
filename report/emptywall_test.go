package report

import (
	"testing"

	"playgauge/gapscan"
)

// A wall without a line is no reason to fail.
func TestSameTightOfEmptyLines(t *testing.T) {
	a := gapscan.Tight{Walls: []gapscan.TightWall{{Part: 1, Other: 2}}}
	b := gapscan.Tight{Walls: []gapscan.TightWall{{Part: 2, Other: 1}}}
	if !sameTight(&a, &a) || sameTight(&a, &b) {
		t.Error("walls without lines are the same where their parts are, and else not")
	}
}
