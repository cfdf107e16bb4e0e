package mesh

import (
	"fmt"
	"math"
)

const (
	// maxNesting is how deep components may lie in components.
	maxNesting = 100
	// maxPlaced is how many objects may be placed in all, counting each time
	// that one is used: it bounds the time where those are empty.
	maxPlaced = 1_000_000
)

// builder3MF places the objects that the build items ask for, all in one
// soup: a 3MF file is one plate, printed at once and judged as it lies there.
type builder3MF struct {
	models map[string]*model3MF
	budget int64 // in bytes of the soup
	counts map[*object3MF]*count3MF
	soup   Soup
	// supports counts the meshes left out since they are no part of the toy.
	supports int
}

// count3MF is what placing an object once comes to.
type count3MF struct {
	triangles, placed int64
	depth             int  // of components in components below it
	counting          bool // it is being counted: an object within itself
}

// build places the items of a root model in the order of the file.
func (b *builder3MF) build(root string) (*Soup, error) {
	m := b.models[root]
	if len(m.items) == 0 {
		return nil, formatErrorf(KindNoTriangles, "the 3MF file asks for nothing to be built; export it again with the toy on the plate")
	}
	b.counts = map[*object3MF]*count3MF{}
	var sum count3MF
	for i := range m.items {
		if err := b.count(m, &m.items[i], 1, &sum); err != nil {
			return nil, err
		}
	}
	b.soup = Soup{Format: "3mf", Unit: m.unit, XYZ: make([]float32, 0, 9*sum.triangles)}
	for i := range m.items {
		if err := b.place(m, &m.items[i], identity); err != nil {
			return nil, err
		}
	}
	if b.soup.Triangles() == 0 {
		if b.supports > 0 {
			return nil, formatErrorf(KindNoTriangles, "the 3MF file builds supports and nothing else; export it again")
		}
		return nil, noTriangles()
	}
	if n := len(m.items); n > 1 {
		b.warn("%d build items, judged together as they lie on the plate", n)
	}
	if b.supports > 0 {
		b.warn("%s of type support or other left out", count(b.supports, "object"))
	}
	return &b.soup, nil
}

func (b *builder3MF) warn(format string, args ...any) {
	b.soup.Warnings = append(b.soup.Warnings, fmt.Sprintf(format, args...))
}

// find is the object that a use in model m means, and the model it is in.
func (b *builder3MF) find(m *model3MF, u *use3MF) (*model3MF, *object3MF, error) {
	in := m
	if u.part != "" {
		in = b.models[u.part]
	}
	o := in.objects[u.id]
	if o == nil {
		e := formatErrorf(KindReference, "%s: object %d is not there; export the model again", place3MF(m.part, u.line), u.id)
		e.Line = u.line
		return nil, nil, e
	}
	return in, o, nil
}

// count adds what a use comes to, each object being counted once. What would
// take more memory or time than the file's size allows is an error, as is an
// object that lies within itself.
func (b *builder3MF) count(m *model3MF, u *use3MF, depth int, sum *count3MF) error {
	in, o, err := b.find(m, u)
	if err != nil {
		return err
	}
	fail := func(k Kind, format string, args ...any) error {
		return &FormatError{Kind: k, Line: u.line, Msg: place3MF(m.part, u.line) + ": " + fmt.Sprintf(format, args...)}
	}
	tooDeep := func() error {
		return fail(KindLimit, "components nest more than %d deep; export the model again", maxNesting)
	}
	if depth > maxNesting {
		return tooDeep()
	}
	c := b.counts[o]
	if c == nil {
		c = &count3MF{counting: true, placed: 1}
		b.counts[o] = c
		if o.prints() {
			c.triangles = int64(len(o.corners) / 3)
		}
		for i := range o.uses {
			if err := b.count(in, &o.uses[i], depth+1, c); err != nil {
				return err
			}
		}
		c.counting = false
	}
	if c.counting {
		return fail(KindReference, "object %d lies within itself; export the model again", o.id)
	}
	sum.triangles += c.triangles
	sum.placed += c.placed
	sum.depth = max(sum.depth, c.depth+1)
	switch {
	case sum.depth > maxNesting:
		return tooDeep()
	case sum.placed > maxPlaced:
		return fail(KindLimit, "more than %d objects are placed, counting every copy; export fewer, or as STL", maxPlaced)
	case sum.triangles > b.budget/triangleBytes || sum.triangles > math.MaxInt32:
		return fail(KindLimit, "its copies come to more than %d triangles, more than the size of the file allows; export it as STL", b.budget/triangleBytes)
	}
	return nil
}

// prints says whether the mesh of an object is part of the toy. Supports are
// there to be torn off, and "other" must not be built at all; of an object of
// components, the components' own kinds count (3MF Core Specification, 4).
func (o *object3MF) prints() bool {
	switch o.kind {
	case "support", "solidsupport", "other":
		return false
	}
	return true
}

// place adds the triangles of a use; count has found that it ends.
func (b *builder3MF) place(m *model3MF, u *use3MF, outer matrix) error {
	in, o, err := b.find(m, u)
	if err != nil {
		return err
	}
	by := outer.after(&u.by)
	for i := range o.uses {
		if err := b.place(in, &o.uses[i], by); err != nil {
			return err
		}
	}
	if len(o.corners) > 0 && !o.prints() {
		b.supports++
		return nil
	}
	// A mirrored object keeps its volume above 0.
	second, third := 1, 2
	if by.det() < 0 {
		second, third = 2, 1
	}
	for t := 0; t < len(o.corners); t += 3 {
		for _, k := range [3]int{0, second, third} {
			v := o.vertices[3*o.corners[t+k]:]
			p := by.apply(v[0], v[1], v[2])
			if p[0]-p[0] != 0 || p[1]-p[1] != 0 || p[2]-p[2] != 0 {
				return &FormatError{Kind: KindNotFinite, Line: u.line,
					Msg: fmt.Sprintf("%s: the transform moves vertex %d of object %d out of reach; export the model again", place3MF(m.part, u.line), o.corners[t+k], o.id)}
			}
			b.soup.XYZ = append(b.soup.XYZ, p[:]...)
		}
	}
	return nil
}
