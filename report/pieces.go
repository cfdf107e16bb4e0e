package report

import (
	"fmt"
	"strconv"
	"strings"

	"playgauge/gapscan"
)

// mostTogether is how many parts of one printed piece are named.
const mostTogether = 6

// pieces says which parts the layers make one piece of, and from which layer
// on; "" where each part comes off the bed by itself.
func pieces(r *gapscan.Result) string {
	n := len(r.Parts)
	groups := joinedGroups(r)
	switch {
	case len(groups) == 0 && r.PrintedParts > n:
		return count(n, "part prints", "parts print") + " as " + count(r.PrintedParts, "piece", "pieces") + ": something thin is not held together"
	case len(groups) == 0 && r.PrintedParts < n:
		return fmt.Sprintf("only %d printed: some of the %d parts come out as one", r.PrintedParts, n)
	case len(groups) == 0:
		return ""
	}
	s := count(n, "part prints", "parts print") + " as " + count(r.PrintedParts, "piece", "pieces") + ": "
	for i, g := range groups {
		if i == mostNotes && len(groups) > mostNotes+1 {
			return s + fmt.Sprintf("; and %d more such pieces", len(groups)-i)
		}
		if i > 0 {
			s += "; "
		}
		s += g.words(i == 0)
	}
	return s
}

// group is a printed piece that holds several parts, in ascending order, with
// the layers at which the first two and the last come together.
type group struct {
	parts       []int
	first, last int
}

func (g *group) words(full bool) string {
	s := "parts" + nbsp
	if k := len(g.parts); k > mostTogether+1 {
		s += strings.Replace(numbers(g.parts[:mostTogether]), " and ", ", ", 1) + fmt.Sprintf(" and %d more", k-mostTogether)
	} else {
		s += numbers(g.parts)
	}
	if full {
		s += " are joined"
	}
	s += " from layer" + nbsp + strconv.Itoa(g.first) + " on"
	if g.first < g.last {
		s += ", the last at layer" + nbsp + strconv.Itoa(g.last)
	}
	return s
}

// joinedGroups gathers the pairs that are joined into pieces, in the order of
// their lowest part.
func joinedGroups(r *gapscan.Result) []group {
	n := len(r.Parts)
	root := make([]int, n+1)
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	known := func(j gapscan.Joined) bool {
		return min(j.Parts[0], j.Parts[1]) >= 1 && max(j.Parts[0], j.Parts[1]) <= n
	}
	for _, j := range r.Joined {
		if known(j) {
			a, b := find(j.Parts[0]), find(j.Parts[1])
			root[max(a, b)] = min(a, b)
		}
	}
	at := make([]int, n+1) // of a root, one more than the index of its group
	var groups []group
	for id := 1; id <= n; id++ {
		if find(id) != id {
			g := &groups[at[find(id)]-1]
			g.parts = append(g.parts, id)
			continue
		}
		groups = append(groups, group{parts: []int{id}})
		at[id] = len(groups)
	}
	for _, j := range r.Joined {
		if !known(j) {
			continue
		}
		g := &groups[at[find(j.Parts[0])]-1]
		if g.first == 0 || j.Layer < g.first {
			g.first = j.Layer
		}
		g.last = max(g.last, j.Layer)
	}
	k := 0
	for _, g := range groups {
		if len(g.parts) > 1 {
			groups[k] = g
			k++
		}
	}
	return groups[:k]
}
