package shape

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"slices"
	"testing"
)

func TestPinGridCount(t *testing.T) {
	for _, want := range []int{50_000, 100_000, 1_000_000} {
		got := PinGrid(10, 10, want, false).Triangles()
		if math.Abs(float64(got-want)) > 0.05*float64(want) {
			t.Errorf("%d triangles, want %d", got, want)
		}
		t.Logf("wanted %d, got %d", want, got)
	}
	pair := pinInSleeve(50_000) // a hundredth of 5 million
	if n := len(pair.T); n < 47_500 || n > 52_500 {
		t.Errorf("a pair has %d triangles, want 50000", n)
	}
	if err := pair.Check(); err != nil {
		t.Error(err)
	}
	if got := euler(pair); got != 2+0 {
		t.Errorf("Euler characteristic %d, want 2 for a pin and a ring", got)
	}
}

// Each of a pair's three walls is cut twice a segment, so that 150 layers of
// 100 pairs have 3.24 million contour points at 36 segments.
func TestPinGridSegments(t *testing.T) {
	for _, c := range []struct{ triangles, want int }{{500, 18}, {1000, 36}, {10_000, 64}, {50_000, 96}} {
		pair := pinInSleeve(c.triangles)
		n := 0
		for _, v := range pair.V {
			if v.Z == 0 && math.Abs(math.Hypot(v.X, v.Y)-7.2) < 1e-9 {
				n++
			}
		}
		if n != c.want {
			t.Errorf("%d triangles: %d segments, want %d", c.triangles, n, c.want)
		}
	}
}

func TestPinGridVolume(t *testing.T) {
	pair := pinInSleeve(1000)
	n := 0
	for _, v := range pair.V {
		if v.Z == 0 && math.Abs(math.Hypot(v.X, v.Y)-7.2) < 1e-9 {
			n++
		}
	}
	pin := 9*24 + 25*6.0
	sleeve := (7.2*7.2-3.3*3.3)*(30-6.8) + (7.2*7.2-5.3*5.3)*6.8
	wantVolume(t, "pair", pair, gon(n)*(pin+sleeve))
}

func TestShuffledGridHoldsTheSameTriangles(t *testing.T) {
	a, b, c := PinGrid(2, 3, 6000, false), PinGrid(2, 3, 6000, true), PinGrid(2, 3, 6000, true)
	if !slices.Equal(b.XYZ, c.XYZ) {
		t.Error("two shuffled grids differ")
	}
	if slices.Equal(a.XYZ, b.XYZ) {
		t.Error("the shuffled grid is in order")
	}
	if sorted(a.XYZ) != sorted(b.XYZ) {
		t.Error("the shuffled grid holds other triangles")
	}
}

// sorted is a sum over the triangles in an order of their own.
func sorted(xyz []float32) [32]byte {
	var tris [][9]float32
	for i := 0; i < len(xyz); i += 9 {
		tris = append(tris, [9]float32(xyz[i:i+9]))
	}
	slices.SortFunc(tris, func(a, b [9]float32) int { return slices.Compare(a[:], b[:]) })
	h := sha256.New()
	for _, t := range tris {
		_ = binary.Write(h, binary.LittleEndian, t)
	}
	return [32]byte(h.Sum(nil))
}
