package mesh

import (
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
)

const (
	coreNS       = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
	productionNS = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
)

// understood lists the extensions that may be required: those that say
// nothing about the shape, and the one by which objects lie in other parts.
var understood = []string{
	coreNS,
	productionNS,
	"http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
	"http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07", // core specification 1.3
}

// units3MF names the units as vet does.
var units3MF = map[string]string{
	"": "mm", "micron": "micron", "millimeter": "mm", "centimeter": "cm",
	"inch": "inch", "foot": "foot", "meter": "m",
}

// model3MF is what one model part holds.
type model3MF struct {
	part    string // as the archive names it
	name    string // by which it is found
	unit    string
	objects map[uint32]*object3MF
	items   []use3MF
}

// object3MF is a mesh, or others put together.
type object3MF struct {
	id       uint32
	kind     string
	vertices []float32 // three a vertex
	corners  []int32   // three a triangle
	uses     []use3MF
	line     int
}

// use3MF places an object: a build item or a component.
type use3MF struct {
	part string // empty for its own
	id   uint32
	by   matrix
	line int
}

// elsewhere lists the parts that objects are taken from, each once, in the
// order of the file.
func (m *model3MF) elsewhere() []string {
	var names []string
	listed := map[string]bool{"": true, m.name: true}
	add := func(uses []use3MF) {
		for i := range uses {
			if p := uses[i].part; !listed[p] {
				listed[p] = true
				names = append(names, p)
			}
		}
	}
	ids := make([]uint32, 0, len(m.objects))
	for id := range m.objects {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	for _, id := range ids {
		add(m.objects[id].uses)
	}
	add(m.items)
	return names
}

// parse3MF reads a model part. Only the root's build counts, and only in the
// root may objects lie in other parts (Production Extension, 2).
func parse3MF(x *xmlReader, name string, root bool) (*model3MF, error) {
	m := &model3MF{part: x.part, name: name, objects: map[uint32]*object3MF{}}
	p := parser3MF{x: x, m: m, root: root}
	s, err := x.start()
	if err == io.EOF {
		return nil, x.fail(KindSyntax, "no sound XML: it holds no element; export the model again")
	}
	if err != nil {
		return nil, err
	}
	if s.Name != (xml.Name{Space: coreNS, Local: "model"}) {
		return nil, x.fail(KindSyntax, "<%s> stands where the <model> of a 3MF file should begin; export the model again", shortened([]byte(s.Name.Local)))
	}
	if err := p.model(s); err != nil {
		return nil, err
	}
	// To the end: only there the checksum is known.
	for {
		switch _, err := x.next(); {
		case err == io.EOF:
			return m, nil
		case err != nil:
			return nil, err
		}
	}
}

type parser3MF struct {
	x    *xmlReader
	m    *model3MF
	root bool
}

func (p *parser3MF) model(s xml.StartElement) error {
	unit, ok := units3MF[attr(s, "unit")]
	if !ok {
		return p.x.fail(KindSyntax, "the unit is %q, which 3MF does not know; export the model again", shortened([]byte(attr(s, "unit"))))
	}
	p.m.unit = unit
	for _, prefix := range strings.Fields(attr(s, "requiredextensions")) {
		if ns := attrIn(s, "xmlns", prefix); !slices.Contains(understood, ns) {
			return p.x.fail(KindUnsupported, "the model needs the extension %q, which is not read; export it as plain 3MF or STL", shortened([]byte(ns)))
		}
	}
	return p.each(map[string]func(xml.StartElement) error{
		"resources": func(xml.StartElement) error {
			return p.each(map[string]func(xml.StartElement) error{"object": p.object})
		},
		"build": func(xml.StartElement) error {
			if !p.root {
				return p.x.skip()
			}
			return p.each(map[string]func(xml.StartElement) error{"item": p.item})
		},
	})
}

// each hands the children of the open element to those who read them, up to
// its end; others are passed over. Who reads one passes its end.
func (p *parser3MF) each(readers map[string]func(xml.StartElement) error) error {
	for {
		s, ok, err := p.x.child()
		if err != nil || !ok {
			return err
		}
		read := readers[s.Name.Local]
		if read == nil || s.Name.Space != coreNS {
			err = p.x.skip()
		} else {
			err = read(s)
		}
		if err != nil {
			return err
		}
	}
}

func (p *parser3MF) object(s xml.StartElement) error {
	id, err := p.id(s, "id")
	if err != nil {
		return err
	}
	if p.m.objects[id] != nil {
		return p.x.fail(KindSyntax, "object %d is there twice; export the model again", id)
	}
	o := &object3MF{id: id, kind: attr(s, "type"), line: p.x.line()}
	p.m.objects[id] = o
	return p.each(map[string]func(xml.StartElement) error{
		"mesh": func(xml.StartElement) error {
			return p.each(map[string]func(xml.StartElement) error{
				"vertices": func(xml.StartElement) error {
					return p.each(map[string]func(xml.StartElement) error{
						"vertex": func(s xml.StartElement) error { return p.vertex(o, s) },
					})
				},
				"triangles": func(xml.StartElement) error {
					return p.each(map[string]func(xml.StartElement) error{
						"triangle": func(s xml.StartElement) error { return p.triangle(o, s) },
					})
				},
			})
		},
		"components": func(xml.StartElement) error {
			return p.each(map[string]func(xml.StartElement) error{
				"component": func(s xml.StartElement) error {
					u, err := p.use(s)
					o.uses = append(o.uses, u)
					return err
				},
			})
		},
	})
}

func (p *parser3MF) vertex(o *object3MF, s xml.StartElement) error {
	for _, axis := range []string{"x", "y", "z"} {
		text := attr(s, axis)
		v, err := strconv.ParseFloat(strings.TrimSpace(text), 32)
		x := float32(v)
		switch {
		case errors.Is(err, strconv.ErrRange), err == nil && x-x != 0:
			return p.x.fail(KindNotFinite, "vertex %d of object %d has the coordinate %q, not a finite number; export the model again", len(o.vertices)/3, o.id, shortened([]byte(text)))
		case err != nil:
			return p.x.fail(KindSyntax, "vertex %d of object %d has the coordinate %s=%q, not a number; export the model again", len(o.vertices)/3, o.id, axis, shortened([]byte(text)))
		}
		o.vertices = append(o.vertices, x)
	}
	return p.x.skip()
}

func (p *parser3MF) triangle(o *object3MF, s xml.StartElement) error {
	for _, corner := range []string{"v1", "v2", "v3"} {
		text := attr(s, corner)
		v, err := strconv.ParseUint(strings.TrimSpace(text), 10, 31)
		has := len(o.vertices) / 3
		switch {
		case err != nil && !errors.Is(err, strconv.ErrRange):
			return p.x.fail(KindSyntax, "triangle %d of object %d has the corner %s=%q, not the number of a vertex; export the model again", len(o.corners)/3, o.id, corner, shortened([]byte(text)))
		case err != nil || v >= uint64(has):
			return p.x.fail(KindReference, "triangle %d of object %d asks for vertex %s, and there are %d, from 0; export the model again", len(o.corners)/3, o.id, shortened([]byte(text)), has)
		}
		o.corners = append(o.corners, int32(v))
	}
	return p.x.skip()
}

func (p *parser3MF) item(s xml.StartElement) error {
	u, err := p.use(s)
	p.m.items = append(p.m.items, u)
	return err
}

// use reads a build item or a component, up to its end.
func (p *parser3MF) use(s xml.StartElement) (use3MF, error) {
	id, err := p.id(s, "objectid")
	if err != nil {
		return use3MF{}, err
	}
	u := use3MF{id: id, by: identity, line: p.x.line()}
	if text := attr(s, "transform"); text != "" {
		if u.by, err = parseMatrix(text); err != nil {
			return u, p.x.fail(KindSyntax, "%s; export the model again", err)
		}
	}
	if name := attrIn(s, productionNS, "path"); name != "" {
		if !p.root {
			return u, p.x.fail(KindSyntax, "only the root model may take objects from other parts; export the model again")
		}
		u.part = partName(name)
	}
	return u, p.x.skip()
}

// id reads the number of an object: from 1 to 2^31-1.
func (p *parser3MF) id(s xml.StartElement, name string) (uint32, error) {
	text := attr(s, name)
	id, err := strconv.ParseUint(strings.TrimSpace(text), 10, 31)
	if err != nil || id == 0 {
		return 0, p.x.fail(KindSyntax, "<%s> has %s=%q, not the number of an object; export the model again", s.Name.Local, name, shortened([]byte(text)))
	}
	return uint32(id), nil
}
