package mesh

// findCopies finds shells that are facet for facet another shell, so that
// they lie on it everywhere.
func (g *gathering) findCopies(copies []facetCopy) {
	if len(copies) == 0 {
		return
	}
	m := g.m
	g.copyOf = make([]int32, len(m.Shells))
	count := make([]int, len(m.Shells))
	for i := range g.copyOf {
		g.copyOf[i] = -1
	}
	for _, c := range copies {
		sh, of := m.ShellOf[c.facet], m.ShellOf[c.of]
		if sh == of {
			continue
		}
		if count[sh] == 0 {
			g.copyOf[sh] = of
		}
		if g.copyOf[sh] == of {
			count[sh]++
		}
	}
	// The largest in rank stands for all that are alike.
	first := make([]int32, len(m.Shells))
	for i := range first {
		first[i] = int32(i)
	}
	for i, o := range g.copyOf {
		if o >= 0 && (count[i] != len(m.Shells[i].Facets) || len(m.Shells[o].Facets) != count[i]) {
			g.copyOf[i] = -1
		} else if o >= 0 && g.rank[i] < g.rank[first[o]] {
			first[o] = int32(i)
		}
	}
	for i, o := range g.copyOf {
		if o >= 0 {
			g.copyOf[i] = first[o]
		}
	}
	for i, f := range first {
		if f != int32(i) {
			g.copyOf[i], g.copyOf[f] = f, -1
		}
	}
}

// doubled joins a shell that is a copy of one already decided, turned like
// it. What fills a hollow exactly is no copy of the hollow.
func (g *gathering) doubled(sh int32) bool {
	if g.copyOf == nil || g.copyOf[sh] < 0 {
		return false
	}
	s, of := &g.m.Shells[sh], &g.m.Shells[g.copyOf[sh]]
	if inFile := (of.Volume < 0) != of.Turned; of.Cavity && (s.Volume < 0) != inFile {
		return false
	}
	if (s.Volume < 0) != (of.Volume < 0) {
		g.turn(sh)
	}
	s.Cavity = of.Cavity
	g.join(sh, g.body[g.copyOf[sh]], true)
	return true
}
