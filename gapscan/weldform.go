package gapscan

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// shape tells the form of the largest cluster of cells.
func (f *former) shape() weldShape {
	if len(f.cells) == 0 {
		return weldShape{}
	}
	clusters := f.clusters()
	best := 0
	for i, c := range clusters {
		if c.sum.w > clusters[best].sum.w {
			best = i
		}
	}
	s := clusters[best].shape(f)
	s.places = len(clusters)
	return s
}

// cluster is cells that touch, and the sum of them.
type cluster struct {
	sum   cell
	cells []int32
}

// clusters joins cells that touch, in the order they were first met.
func (f *former) clusters() []cluster {
	var out []cluster
	for i := range f.cells {
		f.cells[i].cluster = -1
	}
	f.clustered = f.clustered[:0]
	var todo []int32
	for i := range f.cells {
		if f.cells[i].cluster >= 0 {
			continue
		}
		id, first := int32(len(out)), len(f.clustered)
		out = append(out, cluster{})
		cl := &out[id]
		todo = append(todo[:0], int32(i))
		f.cells[i].cluster = id
		for len(todo) > 0 {
			c := &f.cells[todo[len(todo)-1]]
			f.clustered = append(f.clustered, todo[len(todo)-1])
			todo = todo[:len(todo)-1]
			cl.sum.merge(c)
			for x := c.key - stepX; x <= c.key+stepX; x += stepX {
				for y := x - stepY; y <= x+stepY; y += stepY {
					for n := y - stepZ; n <= y+stepZ; n += stepZ {
						if k, ok := f.at[n]; ok && f.cells[k].cluster < 0 {
							f.cells[k].cluster = id
							todo = append(todo, k)
						}
					}
				}
			}
		}
		cl.cells = f.clustered[first:len(f.clustered):len(f.clustered)]
	}
	return out
}

// shape tells a cluster's form by its principal extents: those of a uniform
// bar with the same second moments, the root of 12 times the variance.
func (c *cluster) shape(f *former) weldShape {
	s := &c.sum
	mx, my, mz := s.x/s.w, s.y/s.w, s.z/s.w
	cov := mat.NewSymDense(3, []float64{
		s.xx/s.w - mx*mx, s.xy/s.w - mx*my, s.xz/s.w - mx*mz,
		0, s.yy/s.w - my*my, s.yz/s.w - my*mz,
		0, 0, s.zz/s.w - mz*mz,
	})
	var eig mat.EigenSym
	if !eig.Factorize(cov, false) {
		return weldShape{form: formSeam}
	}
	v := eig.Values(nil) // ascending
	extent := func(i int) float64 { return math.Sqrt(12 * max(v[i], 0)) }
	long, across, deep := extent(2), extent(1), extent(0)
	switch {
	case long <= spotMost:
		return weldShape{form: formSpot}
	case across <= lineMost && deep <= spotMost/2 && long >= 1.5*across:
		return weldShape{form: formLine, length: long}
	}
	return weldShape{form: formSeam, round: c.round(f, mx, my)}
}

// round says whether the cluster surrounds its middle in plan: something in
// each of twelve sectors, and nothing in the middle itself.
func (c *cluster) round(f *former, mx, my float64) bool {
	var sector [12]bool
	for _, k := range c.cells {
		p := &f.cells[k]
		x, y := p.x/p.w-mx, p.y/p.w-my
		if math.Hypot(x, y) < weldCell/2 {
			return false
		}
		a := (math.Atan2(y, x) + math.Pi) / (2 * math.Pi) * 12
		sector[min(int(a), 11)] = true
	}
	for _, s := range sector {
		if !s {
			return false
		}
	}
	return true
}
