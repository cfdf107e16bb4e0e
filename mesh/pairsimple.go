package mesh

import "slices"

// edgeEnd is an edge as its lower vertex knows it.
type edgeEnd struct {
	hi int32
	// half is its first half-edge, -1 once it has found its partner.
	half int32
	// opposite is the corner of that half-edge's facet that it does not
	// touch, its complement where the half-edge runs down.
	opposite int32
	// next is the place of another edge of the vertex, 0 of none.
	next int32
}

// mostEdges is the number of edges of a vertex that are gone through one by one
// for a partner: more, as at the middle of a finely divided disc, are sorted.
const mostEdges = 256

// simple pairs the edges of the range if they have two facets at most, no
// facet is drawn twice and no vertex has very many, as is so of nearly all: half-edges look for their
// partners among those met before. It says whether that was so; otherwise
// what it did is to be done anew.
func (q *edgePairer) simple() bool {
	q.head = resized(q.head, int(q.last-q.first))
	clear(q.head)
	// A closed surface has three edges a vertex, and one and a half a facet.
	most := min(3*int(q.last-q.first), 3*len(q.t)/2)
	q.ends = append(slices.Grow(q.ends[:0], 1+most), edgeEnd{})
	for from, to := range q.ranges.of(q.number) {
		for i := from; i < to; i++ {
			c := q.t[i]
			h := int32(3 * i)
			if !q.meet(c[0], c[1], c[2], h) || !q.meet(c[1], c[2], c[0], h+1) || !q.meet(c[2], c[0], c[1], h+2) {
				return false
			}
		}
	}
	for i := range q.ends[1:] {
		if h := q.ends[i+1].half; h >= 0 {
			q.mate[h] = -1
			q.open++
		}
	}
	return true
}

// meet pairs half-edge h from a to b with the one met before, if there is one.
func (q *edgePairer) meet(a, b, opposite, h int32) bool {
	lo, hi := a, b
	if a > b {
		lo, hi, opposite = b, a, ^opposite
	}
	if lo < q.first || lo >= q.last {
		return true
	}
	head := &q.head[lo-q.first]
	gone := 0
	for k := *head; k != 0; k = q.ends[k].next {
		if gone++; gone > mostEdges {
			return false
		}
		e := &q.ends[k]
		if e.hi != hi {
			continue
		}
		if e.half < 0 || e.opposite == opposite || e.opposite == ^opposite {
			return false
		}
		q.mate[h], q.mate[e.half] = e.half, h
		e.half = -1
		q.sameWay = q.sameWay || (e.opposite < 0) == (opposite < 0)
		return true
	}
	q.ends = append(q.ends, edgeEnd{hi: hi, half: h, opposite: opposite, next: *head})
	*head = int32(len(q.ends) - 1)
	return true
}
