package gapscan

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

func TestPrintedParts(t *testing.T) {
	cube := box(0, 0, 0, 2, 2, 2)
	for _, tc := range []struct {
		name    string
		solid   shape.Solid
		parts   int
		printed int
	}{
		{"one", cube, 1, 1},
		{"apart", cube.Append(cube.Move(2.3, 0, 0)), 2, 2},
		{"touching side by side", cube.Append(cube.Move(2, 0, 0)), 2, 1},
		{"touching with an offset", cube.Append(cube.Move(2, 1.5, 0)), 2, 1},
		{"on each other", cube.Append(cube.Move(0, 0, 2)), 2, 1},
		{"on each other, shifted", cube.Append(cube.Move(1.9, 1.9, 2)), 2, 1},
		{"0 layers of air", cube.Append(cube.Move(0, 0, 2.05)), 2, 1},
		{"1 layer of air", cube.Append(cube.Move(0, 0, 2.2)), 2, 2},
		{"edge to edge", cube.Append(cube.Move(2, 2, 0)), 2, 1},
		{"edge over edge", cube.Append(cube.Move(2, 0, 2)), 2, 2},
		{"corner over corner", cube.Append(cube.Move(2, 2, 2)), 2, 2},
		{"a hair over the edge", cube.Append(cube.Move(1.9995, 0, 2)), 2, 2},
		{"two hairs over the edge", cube.Append(cube.Move(1.998, 0, 2)), 2, 1},
		{"a far-off peg", cube.Append(shape.Cylinder(0.5, 1, 12, 0).Move(10, 0, 0), cube.Move(10, 10, 0)), 3, 3},
		// Legs that print apart and join at the lintel, over a post of its own.
		{"arch", prism(0, 1, 0, 0, 1, 0, 1, 2, 3, 2, 3, 0, 4, 0, 4, 3, 0, 3).Append(box(1.4, 0, 0, 2.6, 1, 1.4)), 2, 2},
		{"arch that sits on its post", prism(0, 1, 0, 0, 1, 0, 1, 2, 3, 2, 3, 0, 4, 0, 4, 3, 0, 3).Append(box(1.4, 0, 0, 2.6, 1, 2)), 2, 1},
		// One part, whose layers hang together by a hair or by enough.
		{"a neck of half a micron", prism(0, 1, 0, 0, 2, 0, 2, 1, 4, 1, 4, 2, 1.9995, 2, 1.9995, 1, 0, 1), 1, 2},
		{"a neck of two microns", prism(0, 1, 0, 0, 2, 0, 2, 1, 4, 1, 4, 2, 1.998, 2, 1.998, 1, 0, 1), 1, 1},
		// Joined by a plate that lies between two cuts and does not print.
		{"joined between cuts", cube.Append(cube.Move(2.5, 0, 0), box(1, 0.5, 0.54, 3, 1.5, 0.66)), 1, 2},
		{"joined between cuts, and touching", cube.Append(cube.Move(2, 2, 0), box(1, 1, 0.54, 3, 3, 0.66)), 1, 1},
		{"peg in a hole, wholly inside", shape.Tube(1.5, 3, 2, 24, 0).Append(shape.Cylinder(1.1, 2, 24, 0)), 2, 2},
		{"peg that fills its hole", shape.Tube(1.5, 3, 2, 24, 0).Append(shape.Cylinder(1.5, 2, 24, 0)), 2, 1},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := scan(t, tc.solid, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
			if len(r.Parts) != tc.parts || r.PrintedParts != tc.printed {
				t.Errorf("%d parts print as %d, want %d as %d", len(r.Parts), r.PrintedParts, tc.parts, tc.printed)
			}
		})
	}
}

func TestTouchingBoxesHaveNoGap(t *testing.T) {
	r := scan(t, box(0, 0, 0, 2, 2, 1).Append(box(2, 0, 0, 4, 2, 1)), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	j := r.Joints[0]
	if j.TrueGapMM != 0 || *j.SideGapMM != 0 || *j.Margin != 0 || !short(*j.Outcome) || *j.WorstLayer != 1 || *j.Cause != CauseBottom {
		t.Errorf("touching boxes: %+v", j)
	}
	if r.FirstBadLayer == nil || *r.FirstBadLayer != 1 {
		t.Errorf("first bad layer %v", deref(r.FirstBadLayer))
	}
}

// Random boxes on a grid, each some layers high: the pieces are those of a
// flood fill over the grid's cells.
func TestPrintedPartsByFloodFill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const cells, layers = 7, 6
		var owner [layers][cells][cells]int // 0: air
		var s shape.Solid
		boxes := 0
		for i := range rapid.IntRange(2, 9).Draw(t, "boxes") {
			span := func(name string, n int) (int, int) {
				lo := rapid.IntRange(0, n-1).Draw(t, name)
				return lo, min(n, lo+rapid.IntRange(1, 3).Draw(t, name+" length"))
			}
			x0, x1 := span("x", cells)
			y0, y1 := span("y", cells)
			z0, z1 := span("z", layers)
			free := true
			for z := z0; z < z1; z++ {
				for y := y0; y < y1; y++ {
					for x := x0; x < x1; x++ {
						free = free && owner[z][y][x] == 0
					}
				}
			}
			if !free {
				continue
			}
			for z := z0; z < z1; z++ {
				for y := y0; y < y1; y++ {
					for x := x0; x < x1; x++ {
						owner[z][y][x] = i + 1
					}
				}
			}
			boxes++
			s = s.Append(box(float64(x0), float64(y0), float64(z0)*0.2, float64(x1), float64(y1), float64(z1)*0.2))
		}
		// The model is dropped onto the bed; so is the grid.
		base := 0
		for base < layers && owner[base] == ([cells][cells]int{}) {
			base++
		}
		type cell struct{ z, y, x int }
		seen := map[cell]bool{}
		want := 0
		var fill func(c cell)
		fill = func(c cell) {
			if c.z < base || c.z >= layers || c.y < 0 || c.y >= cells || c.x < 0 || c.x >= cells || owner[c.z][c.y][c.x] == 0 || seen[c] {
				return
			}
			seen[c] = true
			for dy := -1; dy <= 1; dy++ { // what shares a corner in plan touches
				for dx := -1; dx <= 1; dx++ {
					fill(cell{c.z, c.y + dy, c.x + dx})
				}
			}
			fill(cell{c.z - 1, c.y, c.x})
			fill(cell{c.z + 1, c.y, c.x})
		}
		for z := base; z < layers; z++ {
			for y := range cells {
				for x := range cells {
					if c := (cell{z, y, x}); owner[z][y][x] != 0 && !seen[c] {
						want++
						fill(c)
					}
				}
			}
		}
		c := cutSolid(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{})
		if got := c.result().PrintedParts; got != want || len(c.mesh.Parts) != boxes {
			t.Fatalf("%d boxes, %d parts, print as %d, want %d", boxes, len(c.mesh.Parts), got, want)
		}
	})
}

// Legs that join at layer k are one piece, whatever k is; sawn off below it
// they are two.
func TestArchLegsJoin(t *testing.T) {
	for k := 2; k <= 12; k++ {
		t.Run(fmt.Sprint("layer ", k), func(t *testing.T) {
			z := 0.2 * float64(k-1)
			legs := box(0, 0, 0, 1, 1, z).Append(box(3, 0, 0, 4, 1, z))
			if r := scan(t, legs, 0.2, 0.2, keeps(0.3, 0.4, 0.4)); r.PrintedParts != 2 {
				t.Errorf("two legs print as %d", r.PrintedParts)
			}
			arch := prism(0, 1, 0, 0, 1, 0, 1, z, 3, z, 3, 0, 4, 0, 4, z+0.2, 0, z+0.2)
			c := cutSolid(t, arch, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{})
			if got := len(c.stack.Layers[k-2].Islands); got != 2 {
				t.Errorf("%d islands under the lintel, want 2", got)
			}
			if r := c.result(); r.PrintedParts != 1 {
				t.Errorf("an arch prints as %d", r.PrintedParts)
			}
		})
	}
}
