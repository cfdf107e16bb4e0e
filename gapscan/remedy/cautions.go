package remedy

import (
	"fmt"

	"playgauge/gapscan"
)

// What is to be minded of a change itself.
const (
	cautionTrim    = "a trimmed first layer holds less on the bed"
	cautionTurn    = "another side is seen, and layers run another way: look where it would now break"
	cautionFlow    = "less material makes walls weaker"
	cautionInset   = "every wall recedes: walls get thinner and hold less on the bed"
	cautionStretch = "unequal scale makes level pins and balls oval: they can jam while their gaps read free"
	cautionThick   = "thicker layers show, and make slopes and thin bridges coarser"
)

// newCautions lists what vet warns of after a change and did not before, and
// says whether something new starts in mid-air. It heeds what a change could
// bring about: starts in mid-air, what lies down, bridges, cantilevers, bed hold,
// walls that go, slots that close.
func newCautions(before, after *gapscan.Result) (out []string, support bool) {
	type about struct {
		kind string
		part int
	}
	of := func(c *gapscan.Caution) about {
		a := about{kind: c.Kind}
		if c.Part != nil && c.Kind == "bed" {
			a.part = *c.Part
		}
		return a
	}
	had := map[about]bool{}
	for i := range before.Cautions {
		had[of(&before.Cautions[i])] = true
	}
	out = []string{}
	starts := midAirStarts(after) > midAirStarts(before)
	for i := range after.Cautions {
		c := &after.Cautions[i]
		if c.Kind == "small part" || had[of(c)] && !(c.Kind == gapscan.CautionMidAir && starts) {
			continue
		}
		text := c.Text
		if c.Kind == gapscan.CautionMidAir {
			support = true
			text = fmt.Sprintf("%d places begin in mid-air and need support, which fills the very gaps that must stay open", midAirStarts(after))
			if midAirStarts(after) == 1 {
				text = "1 place begins in mid-air and needs support, which fills the very gaps that must stay open"
			}
		}
		out = append(out, text)
	}
	if n, m := closing(after), closing(before); n > m {
		text := fmt.Sprintf("%d slots inside a part will close, %d did before", n, m)
		if n == 1 {
			text = "1 slot inside a part will close, none did before"
		}
		out = append(out, text)
	}
	return out, support
}

// midAirStarts counts what begins in mid-air and lies on nothing.
func midAirStarts(r *gapscan.Result) int {
	n := 0
	for i := range r.Overhangs {
		if o := &r.Overhangs[i]; o.Kind == "mid-air" && o.LiesOnPart == nil {
			n++
		}
	}
	return n
}

// closing counts the slots that close.
func closing(r *gapscan.Result) int {
	n := 0
	for i := range r.Slots {
		if !works(r.Slots[i].Outcome) {
			n++
		}
	}
	return n
}
