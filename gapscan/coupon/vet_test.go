package coupon

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"playgauge/gapscan"
)

// gapNoise is how far a gap may be off as a file holds it, mm: within 60 mm
// of the origin a float32 is off by at most 1.9e-6, and a gap in plan by
// twice that along x and along y.
const gapNoise = 1e-5

func TestPartsAreTheBaseAndWhatMoves(t *testing.T) {
	for name := range variants {
		t.Run(name, func(t *testing.T) {
			s := prepare(t, name)
			if err := s.Solid.Check(); err != nil {
				t.Error(err)
			}
			if !s.mesh.Watertight() || s.mesh.NonManifoldEdges != 0 {
				t.Errorf("%d open edges, %d non-manifold", s.mesh.OpenEdges, s.mesh.NonManifoldEdges)
			}
			for _, sh := range s.mesh.Shells {
				if sh.Turned || sh.Cavity || sh.Inner {
					t.Errorf("a closed surface at %v is turned, hollow or inside another", sh.Box.Min)
				}
			}
			want := 1
			for _, c := range s.Cells {
				if c.Moves() {
					want++
				}
			}
			if len(s.mesh.Parts) != want {
				t.Errorf("%d parts, want %d", len(s.mesh.Parts), want)
			}
			for _, p := range s.mesh.Parts {
				if p.Box.Min.Z != 0 {
					t.Errorf("part %d begins %g above the bed", p.ID, p.Box.Min.Z)
				}
			}
			for _, p := range s.vet(0.3, 0.1, 0.1).Parts {
				// Less comes off the bed while it prints.
				if *p.StartsAtLayer != 1 || *p.BedContactMM2 < 7 {
					t.Errorf("part %d stands on %g mm2", p.ID, *p.BedContactMM2)
				}
			}
			if s.Size.X > MaxSizeMM || s.Size.Y > MaxSizeMM || s.Size.Z > 10 {
				t.Errorf("its size is %v", s.Size)
			}
		})
	}
}

func TestVetFindsEveryGap(t *testing.T) {
	for name := range variants {
		t.Run(name, func(t *testing.T) {
			s := prepare(t, name)
			for i, j := range s.joints(t, s.vet(0.3, 0.1, 0.1)) {
				c := s.Cells[i]
				if j == nil {
					continue
				}
				got := map[string]float64{}
				want := map[string]float64{}
				switch {
				case c.Family == Roof:
					got["roof"], want["roof"] = *j.RoofGapMM, c.GapMM
					got["air layers"], want["air layers"] = float64(*j.RoofAirLayers), float64(c.Layers)
					// The walls are 1 mm away and the posts no nearer.
					got["side"], want["side"] = *j.SideGapMM, 1
				case c.Family == Slope && c.Axis == Round:
					got["true"], want["true"] = j.TrueGapMM, c.GapMM
					got["in plane"], want["in plane"] = *j.SideGapMM, c.GapMM*math.Sqrt2
				case c.Family == Slope: // facets lie level above one another
					got["true"], want["true"] = j.TrueGapMM, c.GapMM
					got["roof"], want["roof"] = *j.RoofGapMM, c.GapMM
				default:
					got["true"], want["true"] = j.TrueGapMM, c.GapMM
					got["side"], want["side"] = *j.SideGapMM, c.GapMM
				}
				for k, w := range want {
					if math.Abs(got[k]-w) > gapNoise {
						t.Errorf("cell %d (%s %s): %s is %g, want %g", c.Number, c.Family, c.Axis, k, got[k], w)
					}
				}
			}
		})
	}
}

// short lists the cells that stick or weld, each as family, axis and gap.
func (s *sliced) short(t *testing.T, r *gapscan.Result) []string {
	var out []string
	for i, j := range s.joints(t, r) {
		if j != nil && (*j.Outcome == gapscan.Sticks || *j.Outcome == gapscan.Welds) {
			out = append(out, s.Cells[i].text())
		}
	}
	slices.Sort(out)
	return out
}

func (s *sliced) those(which func(Cell) bool) []string {
	var out []string
	for _, c := range s.Cells {
		if c.Moves() && which(c) {
			out = append(out, c.text())
		}
	}
	slices.Sort(out)
	return out
}

func (c Cell) text() string {
	return fmt.Sprintf("%s %s %g at %g, %g", c.Family, c.Axis, c.GapMM, c.Center.X, c.Center.Y)
}

// slopeMargin is the margin of an upright cone of 45 degrees, by the formula
// of the margin over pairs of beads of height h, k layers apart: what stands
// needs as much above as beside.
func slopeMargin(gap, h, need float64) float64 {
	least := math.Inf(1)
	for k := range 10 {
		up := float64(k) * h
		d := gap*math.Sqrt2 - up
		switch {
		case k == 0:
			least = min(least, d/need)
		case d > 0:
			least = min(least, (math.Hypot(d+h, up)-h)/need)
		default:
			least = min(least, (up-h)/need)
		}
	}
	return least
}

// A need counts as met from this share of it.
const met = 0.995

// On a machine of side 0.3 and little need elsewhere, the side cells below
// 0.3 are short, and of the others the cones that the slope rule condemns.
func TestSideLimitDecidesSideCells(t *testing.T) {
	for _, name := range []string{"default", "coarse layers", "wide nozzle", "other seed", "side alone"} {
		t.Run(name, func(t *testing.T) {
			s := prepare(t, name)
			r := s.vet(0.3, 0.1, 0.1)
			h := s.Options.RestMM
			got := s.short(t, r)
			want := s.those(func(c Cell) bool {
				return c.Family == Side && c.GapMM < 0.3 ||
					c.Family == Slope && c.Axis == Round && slopeMargin(c.GapMM, h, 0.3) < met
			})
			if !slices.Equal(got, want) {
				t.Errorf("short are %q, want %q", got, want)
			}
			for i, j := range s.joints(t, r) {
				if c := s.Cells[i]; c.Family == Slope && c.Axis == Round {
					if want := slopeMargin(c.GapMM, h, 0.3); math.Abs(*j.Margin-want) > 1e-4 {
						t.Errorf("cone %g: margin %g, want %g", c.GapMM, *j.Margin, want)
					}
				}
			}
		})
	}
}

// On a machine that spreads its bottom layers, the bottom cells below its
// limit are short, and no other: the side cells are relieved there.
func TestBottomLimitDecidesBottomCells(t *testing.T) {
	s := prepare(t, "default")
	got := s.short(t, s.vet(0.12, 0.12, 0.7))
	want := s.those(func(c Cell) bool { return c.Family == Bottom && c.GapMM < 0.7 })
	if !slices.Equal(got, want) || len(want) != 16 {
		t.Errorf("short are %q, want %q", got, want)
	}
}

// On a machine that needs much air under ceilings, the roof cells with less
// are short, and no side or bottom cell.
func TestRoofLimitDecidesRoofCells(t *testing.T) {
	s := prepare(t, "flat")
	got := s.short(t, s.vet(0.12, 0.5, 0.12))
	want := s.those(func(c Cell) bool { return c.Family == Roof && c.Layers < 3 })
	if !slices.Equal(got, want) || len(want) != 4 {
		t.Errorf("short are %q, want %q", got, want)
	}
}

func TestAllMovesWhereLittleIsNeeded(t *testing.T) {
	for name := range variants {
		if len(variants[name].Ladders.Bottom) > 0 {
			continue // with a gap of 0.05 mm
		}
		t.Run(name, func(t *testing.T) {
			s := prepare(t, name)
			got := s.short(t, s.vet(0.1, 0.1, 0.1))
			// In layers of 0.3 mm a cone of 0.2 has a layer of its bore under it.
			want := s.those(func(c Cell) bool {
				return c.Family == Slope && c.Axis == Round && slopeMargin(c.GapMM, s.Options.RestMM, 0.1) < met
			})
			if !slices.Equal(got, want) || want != nil && name != "wide nozzle" {
				t.Errorf("short are %q, want %q", got, want)
			}
		})
	}
}

// Nothing is laid in mid-air, and each deck is found as a bridge of its span.
func TestOnlyBridgesHang(t *testing.T) {
	for name := range variants {
		t.Run(name, func(t *testing.T) {
			s := prepare(t, name)
			r := s.vet(0.3, 0.1, 0.1)
			spans := map[float64]int{}
			for _, o := range r.Overhangs {
				switch {
				case o.Kind == "mid-air":
					t.Errorf("layer %d begins in mid-air at %v", o.Layers[0], *o.AtMM)
				case o.Kind == "cantilever" && *o.SpanMM > s.Options.NozzleMM:
					t.Errorf("layer %d reaches %g mm over air at %v", o.Layers[0], *o.SpanMM, *o.AtMM)
				case o.Kind == "bridge":
					spans[math.Round(*o.SpanMM*1000)/1000]++
				}
			}
			for _, c := range r.Cautions {
				if c.Kind == "mid-air" {
					t.Error(c.Text)
				}
			}
			for _, c := range s.Cells {
				if c.SpanMM > 0 && spans[c.SpanMM] < 2 {
					t.Errorf("%d bridges of %g mm, want 2: %v", spans[c.SpanMM], c.SpanMM, spans)
				}
			}
			if len(r.Slots) != 0 {
				t.Errorf("%d slots in the base, at %v first", len(r.Slots), *r.Slots[0].AtMM)
			}
		})
	}
}
