package report

import (
	"fmt"
	"strconv"

	"playgauge/gapscan"
)

// mostSlotLines is how many parts, or groups of equal ones, have their slots
// told; the others are counted.
const mostSlotLines = 3

// partSlots is what the slots of one part that will close come to.
type partSlots struct {
	part, slots   int
	first, layers int
	tightest      *gapscan.Slot
}

// closingSlots gathers the slots that will close, by part. A slot runs
// through layers: where a layer has more of a part's slots than the layer
// below it, that many begin.
func closingSlots(r *gapscan.Result) []partSlots {
	type place struct{ part, layer int }
	many := map[place]int{}
	at := map[int]int{} // of a part, one more than its index
	var out []partSlots
	for i := range r.Slots {
		s := &r.Slots[i]
		if !bad(s.Outcome) {
			continue
		}
		if at[s.Part] == 0 {
			out = append(out, partSlots{part: s.Part, first: s.Layer, tightest: s})
			at[s.Part] = len(out)
		}
		p := &out[at[s.Part]-1]
		if many[place{s.Part, s.Layer}]++; many[place{s.Part, s.Layer}] == 1 {
			p.layers++
		}
		p.first = min(p.first, s.Layer)
		if s.Margin < p.tightest.Margin {
			p.tightest = s
		}
	}
	for k, n := range many {
		if begin := n - many[place{k.part, k.layer - 1}]; begin > 0 {
			out[at[k.part]-1].slots += begin
		}
	}
	return out
}

// slotsInShort says how many slots will close, or that none will.
func slotsInShort(r *gapscan.Result) string {
	n := 0
	for _, p := range closingSlots(r) {
		n += p.slots
	}
	if n == 0 {
		return "no slot will close"
	}
	return count(n, "slot", "slots") + " will close"
}

// slots names the gaps inside a part that will close; parts of which the same
// is to be said share a line.
func slots(p *page, r *gapscan.Result) {
	var said []string
	parts := map[string][]int{}
	for _, s := range closingSlots(r) {
		has, needs := gapPair(s.tightest.WidthMM, s.tightest.NeedMM)
		words := fmt.Sprintf("%s will close, from %s on, in %s; the narrowest has"+nbsp+"%s, needs"+nbsp+"%s"+nbsp+"mm",
			count(s.slots, "slot", "slots"), layerAt(r, s.first), count(s.layers, "layer", "layers"), has, needs)
		if s.layers == 1 {
			words = fmt.Sprintf("%s will close, in %s; the narrowest has"+nbsp+"%s, needs"+nbsp+"%s"+nbsp+"mm",
				count(s.slots, "slot", "slots"), layerAt(r, s.first), has, needs)
		}
		if len(parts[words]) == 0 {
			said = append(said, words)
		}
		parts[words] = append(parts[words], s.part)
	}
	var lines []string
	for i, words := range said {
		if i == mostSlotLines && len(said) > mostSlotLines+1 {
			lines = append(lines, fmt.Sprintf("and in %d more parts", countParts(said[i:], parts)))
			break
		}
		who := "part" + nbsp + strconv.Itoa(parts[words][0]) + ": "
		switch k := len(parts[words]); {
		case k > mostTogether:
			who = fmt.Sprintf("each of %d parts: ", k)
		case k > 1:
			who = "parts" + nbsp + numbers(parts[words]) + ", each: "
		}
		lines = append(lines, who+words)
	}
	if len(lines) > 0 {
		p.entry("slots", lines...)
	}
}

func countParts(said []string, parts map[string][]int) (n int) {
	for _, words := range said {
		n += len(parts[words])
	}
	return n
}
