package report

import (
	"encoding/csv"
	"io"
	"strconv"

	"playgauge/gapscan/batch"
)

// matrixColumns head the CSV of a matrix: columns are added at the end, never
// renamed. Lengths in mm, empty where unknown or none.
var matrixColumns = []string{
	"model", "machine", "outcome", "p_free", "first_bad_layer",
	"asks_side_mm", "asks_slope_mm", "asks_roof_mm", "asks_roof_air_layers", "asks_bottom_mm", "asks_bridge_mm",
	"margin", "cause", "part_a", "part_b", "joints", "bad_joints", "parts", "small_parts",
	"layers", "size_x_mm", "size_y_mm", "size_z_mm", "unmeasured_contours", "mesh_warnings", "machine_tested", "error",
}

// MatrixCSV writes the matrix as CSV (RFC 4180, with a header): a record for
// each model and machine, in the order of the rows, then of the machines. A
// model that was not vetted has one record, with an error and no machine.
func MatrixCSV(w io.Writer, m *Matrix) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	// Errors of writing stay with c until Flush.
	_ = c.Write(matrixColumns)
	for i := range m.Rows {
		r := &m.Rows[i]
		if r.Err != nil {
			record := make([]string, len(matrixColumns))
			record[0], record[len(record)-1] = r.Name, r.Err.Error()
			_ = c.Write(record)
			continue
		}
		for k := range r.Cells {
			_ = c.Write(csvRecord(r.Name, m.Machines[k].Name, m.Machines[k].Tested, &r.Cells[k]))
		}
	}
	c.Flush()
	return c.Error()
}

func csvRecord(model, machine string, tested bool, c *batch.Cell) []string {
	d := &c.Demands
	cause, parts := "", [2]string{}
	if c.Cause != nil {
		cause = string(*c.Cause)
		parts = [2]string{strconv.Itoa(c.Parts[0]), strconv.Itoa(c.Parts[1])}
	}
	return []string{
		model, machine, string(c.Outcome), length(c.PFree, exact), whole(c.FirstBadLayer),
		length(d.SideMM, exact), length(d.SlopeMM, exact), length(d.RoofMM, exact), whole(d.RoofAir), length(d.BottomMM, exact), length(d.BridgeMM, exact),
		length(c.Margin, exact), cause, parts[0], parts[1], strconv.Itoa(c.Joints), strconv.Itoa(c.Bad), strconv.Itoa(c.PartCount), strconv.Itoa(c.SmallParts),
		strconv.Itoa(c.Layers), exact(c.SizeMM[0]), exact(c.SizeMM[1]), exact(c.SizeMM[2]), strconv.Itoa(c.Unmeasured), strconv.Itoa(c.Warnings), strconv.FormatBool(tested), "",
	}
}
