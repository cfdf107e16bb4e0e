package region

import (
	"errors"
	"fmt"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// Cells of a grid as text: the edges between # and . are joined into rings,
// which touch at corners of cells and never cross.
func TestRingsOfCells(t *testing.T) {
	for _, tc := range []struct {
		cells []string
		want  string // corners of each ring
	}{
		{[]string{"#"}, "[4]"},
		{[]string{"##", "##"}, "[8]"},
		{[]string{"#.", ".#"}, "[4 4]"}, // two squares that touch: apart
		{[]string{"###", "#.#", "###"}, "[12 4]"},
		{[]string{"###", "#..", "##."}, "[14]"},
		// A hole that touches the outside by its corner is part of the outline.
		{[]string{"##.", "#.#", "###"}, "[16]"},
		// Two holes that touch make one ring.
		{[]string{"####", "#.##", "##.#", "####"}, "[16 8]"},
	} {
		h, w := len(tc.cells), len(tc.cells[0])
		full := func(x, y int) bool { return x >= 0 && y >= 0 && x < w && y < h && tc.cells[y][x] == '#' }
		var pts []r2.Vec
		for y := range h + 1 {
			for x := range w + 1 {
				pts = append(pts, r2.Vec{X: float64(x), Y: float64(y)})
			}
		}
		at := func(x, y int) int32 { return int32(y*(w+1) + x) }
		var edges [][2]int32
		cells := 0
		for y := range h {
			for x := range w {
				if !full(x, y) {
					continue
				}
				cells++
				for _, e := range []struct{ dx, dy, x0, y0, x1, y1 int }{
					{0, -1, 0, 0, 1, 0}, {1, 0, 1, 0, 1, 1}, {0, 1, 1, 1, 0, 1}, {-1, 0, 0, 1, 0, 0},
				} {
					if !full(x+e.dx, y+e.dy) {
						edges = append(edges, [2]int32{at(x+e.x0, y+e.y0), at(x+e.x1, y+e.y1)})
					}
				}
			}
		}
		rings, err := Rings(pts, edges)
		if err != nil {
			t.Fatal(err)
		}
		var sizes []int
		sum := 0.0
		for _, r := range rings {
			sizes = append(sizes, len(r))
			sum += area(pts, r)
		}
		if got := fmt.Sprint(sizes); got != tc.want {
			t.Errorf("%q: rings of %s corners, want %s", tc.cells, got, tc.want)
		}
		if sum != float64(cells) {
			t.Errorf("%q: rings enclose %g, want %d", tc.cells, sum, cells)
		}
		if area(pts, rings[0]) > 0 && len(rings) == 1 {
			wantTiled(t, pts, rings[0])
		} else if len(rings) == 2 && area(pts, rings[1]) < 0 {
			wantTiled(t, pts, rings[0], rings[1])
		}
	}
}

func TestRingsOpen(t *testing.T) {
	pts := []r2.Vec{{}, {X: 1}, {Y: 1}}
	_, err := Rings(pts, [][2]int32{{0, 1}, {1, 2}})
	var open *OpenError
	if !errors.As(err, &open) || open.Point != 0 {
		t.Errorf("got %v, want an open end at point 0", err)
	}
}
