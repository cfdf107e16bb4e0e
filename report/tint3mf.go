package report

import (
	"archive/zip"
	"bufio"
	"fmt"
	"io"
	"strconv"

	"playgauge/gapscan"
	"playgauge/mesh"
)

// The fixed parts of a 3MF package, by the 3MF Core Specification 1.4.0: what
// kinds of files it holds, and which one is the model.
const (
	contentTypes = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
`
	rootRelations = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
`
	modelHead = `<?xml version="1.0" encoding="UTF-8"?>
<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">
<resources>
`
)

// Tint3MFHead is how a file of Tint3MF begins: the local header of its first
// entry (ZIP application note, 4.3.7), without a time, packed and sized
// afterwards.
const Tint3MFHead = "PK\x03\x04\x14\x00\x08\x00\x08\x00\x00\x00\x00\x00" +
	"\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00" + "\x13\x00\x00\x00" + contentTypesName

const contentTypesName = "[Content_Types].xml"

// Tint3MF writes the model as TintPLY does, as a 3MF package: one object a
// part, in the colours of base materials that are named for what they mean.
func Tint3MF(w io.Writer, r *gapscan.Result, m *mesh.Mesh) error {
	t := tintModel(r, m)
	z := zip.NewWriter(w)
	for _, f := range []struct {
		name  string
		write func(*bufio.Writer)
	}{
		{contentTypesName, func(b *bufio.Writer) { b.WriteString(contentTypes) }},
		{"_rels/.rels", func(b *bufio.Writer) { b.WriteString(rootRelations) }},
		{"3D/3dmodel.model", func(b *bufio.Writer) { t.model(b, m) }},
	} {
		out, err := z.Create(f.name)
		if err != nil {
			return err
		}
		b := bufio.NewWriter(out)
		f.write(b)
		// The buffer holds the first error of all its writes.
		if err := b.Flush(); err != nil {
			return err
		}
	}
	return z.Close()
}

// model writes the model part: the materials, an object for each part of the
// mesh, and one build item each.
func (t *tinted) model(b *bufio.Writer, m *mesh.Mesh) {
	b.WriteString(modelHead)
	b.WriteString(`<basematerials id="1">` + "\n")
	for i, c := range t.table {
		name := fmt.Sprintf("part tint %d", i-tintSteps+1)
		if i < tintSteps {
			name = "margin " + rounded(freeMargin*float64(i)/tintSteps, 2) + " to " + rounded(freeMargin*float64(i+1)/tintSteps, 2)
		}
		x := c.rgba()
		fmt.Fprintf(b, `<base name="%s" displaycolor="#%02X%02X%02X"/>`+"\n", name, x.R, x.G, x.B)
	}
	b.WriteString("</basematerials>\n")
	facets := make([][]int32, len(m.Parts))
	for i, p := range t.part {
		facets[p] = append(facets[p], int32(i))
	}
	local := make([]int32, len(t.v))
	for i := range m.Parts {
		t.object(b, m.Parts[i].ID, facets[i], local)
	}
	b.WriteString("</resources>\n<build>\n")
	for i := range m.Parts {
		fmt.Fprintf(b, `<item objectid="%d"/>`+"\n", m.Parts[i].ID+1)
	}
	b.WriteString("</build>\n</model>\n")
}

// object writes the facets of one part with the vertices they use; local has
// room for the new number of each vertex.
func (t *tinted) object(b *bufio.Writer, id int, facets []int32, local []int32) {
	fmt.Fprintf(b, `<object id="%d" type="model" name="part %d" pid="1" pindex="%d"><mesh><vertices>`+"\n", id+1, id, tintSteps)
	for i := range local {
		local[i] = -1
	}
	n := int32(0)
	for _, f := range facets {
		for _, v := range t.t[f] {
			if local[v] >= 0 {
				continue
			}
			local[v] = n
			n++
			p := t.v[v]
			b.WriteString(`<vertex x="` + coordinate(p.X) + `" y="` + coordinate(p.Y) + `" z="` + coordinate(p.Z) + `"/>` + "\n")
		}
	}
	b.WriteString("</vertices><triangles>\n")
	for _, f := range facets {
		v := t.t[f]
		fmt.Fprintf(b, `<triangle v1="%d" v2="%d" v3="%d" pid="1" p1="%d"/>`+"\n", local[v[0]], local[v[1]], local[v[2]], t.color[f])
	}
	b.WriteString("</triangles></mesh></object>\n")
}

// coordinate writes mm to the last digit a float32 tells.
func coordinate(mm float64) string { return strconv.FormatFloat(float64(float32(mm)), 'f', -1, 32) }
