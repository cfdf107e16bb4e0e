package gapscan

// wallSearch makes one worker's function that measures the walls of a layer:
// what of them comes out welded, and what is tight where that is asked for.
func (sc *scanner) wallSearch() func(n int) {
	welds := sc.waller(closeFrom)
	var places []weldPlace
	weld := func(l *layerWall, n int) {
		h := sc.stack.Plan.Height(n)
		l.begin(places)
		welds.walls(l.joint, n, func(w *wallPiece) { l.add(w, h) })
		places = l.done()
	}
	if sc.tight == nil {
		return func(n int) {
			walls := sc.walls.in(n, welds)
			for i := range walls {
				if !walls[i].repeats {
					weld(&walls[i], n)
				}
			}
		}
	}
	tight := sc.waller(tightUpTo)
	var runs tightRuns
	return func(n int) {
		// What may be welded may be tight, so that both come of one search.
		walls, joints, h := sc.walls.in(n, welds), sc.tight.in(n, tight), sc.stack.Plan.Height(n)
		for i := range joints {
			t := &joints[i]
			var l *layerWall
			if len(walls) > 0 && walls[0].joint == t.joint {
				l, walls = &walls[0], walls[1:]
				if l.repeats {
					l = nil
				}
			}
			switch {
			case !t.repeats:
				runs = runs[:0]
				if l != nil {
					l.begin(places)
				}
				tight.walls(t.joint, n, func(w *wallPiece) {
					runs.add(w)
					if l != nil {
						l.add(w, h)
					}
				})
				t.walls = sc.tight.walls(runs, n)
				if l != nil {
					places = l.done()
				}
			case l != nil:
				weld(l, n)
			}
		}
	}
}
