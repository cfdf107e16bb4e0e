package mesh

// unionFind keeps disjoint sets; the least member stands for its set.
type unionFind struct{ up []int32 }

func newUnionFind(n int) *unionFind {
	u := &unionFind{up: make([]int32, n)}
	for i := range u.up {
		u.up[i] = int32(i)
	}
	return u
}

func (u *unionFind) find(i int32) int32 {
	for u.up[i] != i {
		u.up[i] = u.up[u.up[i]]
		i = u.up[i]
	}
	return i
}

func (u *unionFind) join(a, b int32) {
	a, b = u.find(a), u.find(b)
	u.up[max(a, b)] = min(a, b)
}
