package report

import (
	"io"
	"strconv"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/batch"
)

// Matrix is many models on one machine or several.
type Matrix struct {
	// Machines are the columns, in the order of the rows' cells.
	Machines []gapscan.MachineUsed
	// Rows are the models in the order in which they are to be told.
	Rows []batch.Row
	// WhatIf is how they were placed and sliced.
	WhatIf gapscan.WhatIf
}

// Widths of the matrix, in characters.
const (
	leastNames = 16 // of the column of names
	betweenOf  = 2  // between columns of a machine and those of the next
)

// field is a column of the matrix: a heading, and a word for each model.
type field struct {
	head  string
	right bool // set to the right
	of    func(*batch.Row) string
}

// band is the fields that stay together, under a title.
type band struct {
	title  string
	fields []field
}

// MatrixText writes the matrix for a person: how many print where, then the
// models down and the machines across, then what they ask of a machine, in
// further blocks where the width does not hold all; last what the answers rest
// on. A name longer than its column has a line of its own, so that it can be
// copied.
func MatrixText(w io.Writer, m *Matrix, s Style) error {
	p := newPage(s)
	p.sentence(m.opening())
	p.blank()
	var bands []band
	for k := range m.Machines {
		bands = append(bands, m.machineBand(k))
	}
	if asks := m.asksBand(); len(asks.fields) > 0 {
		bands = append(bands, asks)
	}
	failed := true // a model that failed is told of in the first block
	for len(bands) > 0 {
		n := 1
		for n < len(bands) && m.width(bands[:n+1])+leastNames <= p.width {
			n++
		}
		m.block(p, bands[:n], failed)
		p.blank()
		bands, failed = bands[n:], false
	}
	m.closing(p)
	_, err := io.WriteString(w, p.b.String())
	return err
}

// width is that of bands, with what stands before each.
func (m *Matrix) width(bands []band) int {
	n := 0
	for _, b := range bands {
		n += betweenOf + m.bandWidth(b)
	}
	return n
}

func (m *Matrix) bandWidth(b band) int {
	n := len(b.fields) - 1
	for _, f := range b.fields {
		n += m.fieldWidth(f)
	}
	return max(n, shown(b.title))
}

func (m *Matrix) fieldWidth(f field) int {
	n := shown(f.head)
	for i := range m.Rows {
		if m.Rows[i].Err == nil {
			n = max(n, shown(f.of(&m.Rows[i])))
		}
	}
	return n
}

// block writes some bands side by side.
func (m *Matrix) block(p *page, bands []band, failed bool) {
	names := shown("model")
	for i := range m.Rows {
		names = max(names, shown(m.name(&m.Rows[i])))
	}
	names = max(min(names, p.width-m.width(bands)), leastNames)

	titles, heads := column("", names), column("model", names)
	for _, b := range bands {
		width := m.bandWidth(b)
		titles += column("", betweenOf) + column(b.title, width)
		heads += column("", betweenOf) + column(m.line(b, nil), width)
	}
	p.flush(titles)
	p.flush(heads)
	for i := range m.Rows {
		r := &m.Rows[i]
		name := m.name(r)
		if r.Err != nil {
			if failed {
				p.wrap("", "  ", string(tintBold)+name+string(tintEnd)+" not"+nbsp+"vetted: "+plain(r.Err.Error()))
			}
			continue
		}
		if shown(name) > names {
			p.flush(name)
			name = ""
		}
		line := column(name, names)
		for _, b := range bands {
			line += column("", betweenOf) + column(m.line(b, r), m.bandWidth(b))
		}
		p.flush(strings.ReplaceAll(line, nbsp, string(glue)))
	}
}

// line sets the fields of a band side by side, for a row or, without one, for
// the headings.
func (m *Matrix) line(b band, r *batch.Row) string {
	s := ""
	for i, f := range b.fields {
		word := f.head
		if r != nil {
			word = f.of(r)
		}
		if i > 0 {
			s += " "
		}
		width := m.fieldWidth(f)
		if f.right {
			s += strings.Repeat(" ", max(0, width-shown(word))) + word
		} else {
			s += column(word, width)
		}
	}
	return s
}

// name is a model's name without the folder that all share, on one line.
func (m *Matrix) name(r *batch.Row) string {
	return oneWord(strings.TrimPrefix(r.Name, m.folder()))
}

// folder is the folder that all models lie in, with what ends it; "" if there
// is none.
func (m *Matrix) folder() string {
	common := ""
	for i := range m.Rows {
		name := m.Rows[i].Name
		of := name[:strings.LastIndexAny(name, separators)+1]
		if i == 0 {
			common = of
		}
		for !strings.HasPrefix(of, common) {
			common = common[:strings.LastIndexAny(common[:len(common)-1], separators)+1]
		}
	}
	return common
}

// separators end the names of folders.
const separators = `/\`

func oneWord(s string) string { return strings.ReplaceAll(plain(s), " ", string(glue)) }

// machineBand tells what comes of the models on one machine. The columns of
// chances and of layers stand only where some model has one on some machine.
func (m *Matrix) machineBand(k int) band {
	b := band{title: plain(m.Machines[k].Name), fields: []field{{"outcome", false, func(r *batch.Row) string {
		c := &r.Cells[k]
		s := tint(c.Outcome)
		if c.Unmeasured > 0 {
			s += "*"
		}
		return s
	}}}}
	if m.any(func(c *batch.Cell) bool { return c.PFree != nil }) {
		b.fields = append(b.fields, field{"/100", true, func(r *batch.Row) string { return chanceShort(r.Cells[k].PFree) }})
	}
	if m.any(func(c *batch.Cell) bool { return c.FirstBadLayer != nil }) {
		b.fields = append(b.fields, field{"layer", true, func(r *batch.Row) string { return whole(r.Cells[k].FirstBadLayer) }})
	}
	return b
}

// asksBand tells what the models ask of a machine, as the first one sees it.
func (m *Matrix) asksBand() band {
	b := band{title: "asks, mm"}
	for _, f := range []struct {
		head string
		of   func(*gapscan.Demands) string
	}{
		{"side", func(d *gapscan.Demands) string { return length(d.SideMM, gap) }},
		{"slope", func(d *gapscan.Demands) string { return length(d.SlopeMM, gap) }},
		{"roof", func(d *gapscan.Demands) string { return length(d.RoofMM, gap) }},
		{"air", func(d *gapscan.Demands) string { return whole(d.RoofAir) }},
		{"bottom", func(d *gapscan.Demands) string { return length(d.BottomMM, gap) }},
		{"bridge", func(d *gapscan.Demands) string { return length(d.BridgeMM, span) }},
	} {
		if m.any(func(c *batch.Cell) bool { return f.of(&c.Demands) != "" }) {
			b.fields = append(b.fields, field{f.head, true, func(r *batch.Row) string { return f.of(&r.Cells[0].Demands) }})
		}
	}
	return b
}

// any says whether some cell is so.
func (m *Matrix) any(is func(*batch.Cell) bool) bool {
	for i := range m.Rows {
		for k := range m.Rows[i].Cells {
			if is(&m.Rows[i].Cells[k]) {
				return true
			}
		}
	}
	return false
}

func whole(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

func length(mm *float64, as func(float64) string) string {
	if mm == nil {
		return ""
	}
	return as(*mm)
}
