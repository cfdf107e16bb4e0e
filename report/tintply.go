package report

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"playgauge/gapscan"
	"playgauge/mesh"
)

// TintPLY writes the model as a binary PLY file in which each facet has a
// colour: that of the heat-strip for the margin where it is not free, else
// its part's quiet tint. Facets that are partly tight are divided. Places are
// those on the bed, in mm. r must come of a scan of m with Options.Tight.
func TintPLY(w io.Writer, r *gapscan.Result, m *mesh.Mesh) error {
	t := tintModel(r, m)
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "ply\nformat binary_little_endian 1.0\ncomment lengths in mm\n"+
		"element vertex %d\nproperty float x\nproperty float y\nproperty float z\n"+
		"element face %d\nproperty list uchar int vertex_indices\n"+
		"property uchar red\nproperty uchar green\nproperty uchar blue\nend_header\n", len(t.v), len(t.t))
	var buf []byte
	for _, p := range t.v {
		buf = buf[:0]
		for _, x := range [3]float64{p.X, p.Y, p.Z} {
			buf = binary.LittleEndian.AppendUint32(buf, math.Float32bits(float32(x)))
		}
		if _, err := b.Write(buf); err != nil {
			return err
		}
	}
	for i, f := range t.t {
		buf = append(buf[:0], 3)
		for _, v := range f {
			buf = binary.LittleEndian.AppendUint32(buf, uint32(v))
		}
		c := t.table[t.color[i]].rgba()
		if _, err := b.Write(append(buf, c.R, c.G, c.B)); err != nil {
			return err
		}
	}
	return b.Flush()
}
