package sweep

// Where only the outline of a union is asked for, nothing happens in a strip
// in which the same edges stand side by side as in the strip below, well
// apart: it is passed by, and not even looked at where they lie. Most strips
// are such, since the walls of a part cross but here and there.

// staysApart says whether the strip from y on may be passed by: the one below
// was swept or passed by with all edges apart, and those that began since, as
// others ended, are apart from their neighbours too. Where not all edges
// that ended are followed by others, or some began, nothing stays the same.
func (s *Sweep) staysApart(y float64, same bool) bool {
	if s.apart {
		for _, i := range s.ends {
			same = same && s.clear(int(i), y) && s.clear(int(i)+1, y)
		}
		if same {
			return true
		}
		for i := range s.act { // nobody has looked where they lie
			s.act[i].x1 = s.act[i].at(y)
		}
	}
	s.apart = true
	for i := 1; i < len(s.act) && s.apart; i++ {
		s.apart = s.clear(i, y)
	}
	return false
}

// clear says whether active edge i keeps clear of the one to its left from y on
// until one of them ends.
func (s *Sweep) clear(i int, y float64) bool {
	if i == 0 || i == len(s.act) {
		return true
	}
	a, b := &s.act[i-1], &s.act[i]
	if !(b.at(y)-a.at(y) > touchWithin) {
		return false
	}
	l, r := a.topX, b.topX
	if a.top > b.top {
		l = a.at(b.top.y())
	} else if a.top < b.top {
		r = b.at(a.top.y())
	}
	return r-l > touchWithin
}

// passBy goes on by a strip that begins at y and ends at a height: edges that
// follow others are sides as those were.
func (s *Sweep) passBy(y float64, to height) {
	o := &s.outs[0]
	s.passed++
	o.begin(y)
	for k, i := range s.ends {
		if was := s.were[k]; was != 0 {
			a := &s.act[i]
			a.sides[0] = o.enter(a.e, a.lowX, was > 0)
		}
	}
	o.join()
	s.findEnds(to)
}
