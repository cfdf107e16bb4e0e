package mesh

import (
	"archive/zip"
	"encoding/xml"
	"fmt"
	"io"
	"net/url"
	"path"
	"strings"
)

// The names of the 3MF Core Specification 1.4.0 and the Production Extension
// 1.2 that are looked for.
const (
	relsPart = "_rels/.rels"
	relsNS   = "http://schemas.openxmlformats.org/package/2006/relationships"
	modelRel = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
)

// parts is the archive of a 3MF file: its parts by name.
type parts struct {
	o      opener
	byName map[string]*zip.File
}

func newParts(o opener, z *zip.Reader) *parts {
	p := &parts{o: o, byName: make(map[string]*zip.File, len(z.File))}
	for _, f := range z.File {
		if name := partName(f.Name); p.byName[name] == nil {
			p.byName[name] = f
		}
	}
	return p
}

// partName is the name by which a part is found: from the root, in small
// letters, since names that differ in nothing else are one (Open Packaging
// Conventions). It never leaves the archive.
func partName(name string) string {
	return path.Clean("/" + strings.ToLower(strings.ReplaceAll(name, `\`, "/")))
}

// root is the name of the part that the root relationship makes the model;
// empty where there is none, so that the archive is no 3MF file.
func (p *parts) root() (string, error) {
	if p.byName[partName(relsPart)] == nil {
		return "", nil
	}
	x, err := p.open(relsPart)
	if err != nil {
		return "", err
	}
	defer x.close()
	found := ""
	for {
		start, err := x.start()
		if err == io.EOF {
			return found, nil
		}
		if err != nil {
			return "", err
		}
		if start.Name != (xml.Name{Space: relsNS, Local: "Relationship"}) || attr(start, "Type") != modelRel || found != "" {
			continue
		}
		target := attr(start, "Target")
		if strings.EqualFold(attr(start, "TargetMode"), "External") {
			return "", formatErrorf(KindUnsupported, "the 3MF file keeps its model elsewhere (%q); export it again", shortened([]byte(target)))
		}
		if plain, err := url.PathUnescape(target); err == nil {
			target = plain
		}
		found = partName(target)
		if p.byName[found] == nil {
			return "", formatErrorf(KindReference, "the 3MF file says that its model is %q, which is not in it; export it again", shortened([]byte(target)))
		}
	}
}

// open begins to read a part as XML.
func (p *parts) open(name string) (*xmlReader, error) {
	f := p.byName[partName(name)]
	if f == nil {
		return nil, formatErrorf(KindReference, "the part %q is not in the 3MF file; export it again", shortened([]byte(name)))
	}
	if locked(f) {
		return nil, errLocked()
	}
	r, err := f.Open()
	if err != nil {
		return nil, unpackError(err)
	}
	return newXMLReader(f.Name, p.o.budget.reader(r), believed(f), r), nil
}

// read reads the root model and the models that it takes objects from, and
// places what is to be built.
func (p *parts) read(root string) (*Soup, error) {
	models := map[string]*model3MF{}
	m, err := p.model(root, true)
	if err != nil {
		return nil, err
	}
	models[root] = m
	for _, name := range m.elsewhere() {
		if models[name] != nil {
			continue
		}
		if models[name], err = p.model(name, false); err != nil {
			return nil, err
		}
	}
	b := builder3MF{models: models, budget: p.o.budget.limit}
	return b.build(root)
}

func (p *parts) model(name string, root bool) (*model3MF, error) {
	x, err := p.open(name)
	if err != nil {
		return nil, err
	}
	defer x.close()
	return parse3MF(x, name, root)
}

// place3MF says where in a package something stands.
func place3MF(part string, line int) string {
	return fmt.Sprintf("%s, line %d", strings.TrimPrefix(part, "/"), line)
}
