package mesh

import (
	"os"
	"path/filepath"
	"testing"
)

// TestModels reads real models from the folder named by PLAYGAUGE_MODELS.
// The numbers of triangles and shells are those of its README, the parts
// those that its notes lead to.
func TestModels(t *testing.T) {
	dir := os.Getenv("PLAYGAUGE_MODELS")
	if dir == "" {
		t.Skip("PLAYGAUGE_MODELS does not name a folder of models")
	}
	tests := []struct {
		file                           string
		triangles, shells, parts, open int
	}{
		{"flat-hinge.stl", 16_670, 2, 2, 0},
		{"hinged-cubes-16.stl", 37_012, 8, 8, 0},
		{"hinged-cubes-24.stl", 37_248, 8, 8, 0},
		{"five-pins.stl", 12_234, 6, 6, 0},
		{"long-hinge.stl", 25_328, 2, 2, 0},
		{"door-in-frame.stl", 2_320, 2, 2, 0},
		{"nested-tubes-ascii.stl", 3_632, 6, 6, 0},
		{"flexi-body-open-edges.stl", 26_108, 9, 9, 16},
		{"overlapping-shells.stl", 83_510, 41, 2, 0},
		{"in-inches.stl", 2_212, 2, 2, 0},
		{"knot-on-plate-ascii.stl", 2_892, 2, 1, 0},
	}
	known := map[string]bool{}
	for _, tt := range tests {
		known[tt.file] = true
		t.Run(tt.file, func(t *testing.T) {
			for _, turn := range [][3]float64{{}, {90, 0, 0}, {17, 31, 53}} {
				m := buildFile(t, filepath.Join(dir, tt.file), Placement{TurnDeg: turn})
				if m.Read != tt.triangles || len(m.Shells) != tt.shells || len(m.Parts) != tt.parts || m.OpenEdges != tt.open {
					t.Errorf("turned by %v: %d triangles, %d shells, %d parts, %d open edges, want %d, %d, %d, %d; %q", turn,
						m.Read, len(m.Shells), len(m.Parts), m.OpenEdges, tt.triangles, tt.shells, tt.parts, tt.open, m.Warnings)
				}
			}
		})
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.[sS][tT][lL]"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !known[filepath.Base(f)] {
			buildFile(t, f, Placement{})
		}
	}
}

func buildFile(t *testing.T, name string, p Placement) *Mesh {
	t.Helper()
	r, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	s, err := ReadSTL(r)
	if err != nil {
		t.Fatal(err)
	}
	m, err := Build(s, p)
	if err != nil {
		t.Fatal(err)
	}
	checkMesh(t, m)
	return m
}
