package gapscan

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"playgauge/gapscan/machine"
	"playgauge/gapscan/overhang"
	"playgauge/mesh/shape"
	"playgauge/slice/near"
)

// TestWhatEndsBelow: what lies under a roof is the same whether every layer is
// looked at or only those in which something may end.
func TestWhatEndsBelow(t *testing.T) {
	for _, top := range []float64{0.3, 1, 2.1, 5} {
		// A roofed tube, and in it a part that is flat on top, pointed, or gone.
		roofed := shape.Tube(6, 8, 12, 48, 0).Append(shape.Cylinder(8, 2, 48, 0).Move(0, 0, 11.9))
		for _, inner := range []shape.Solid{shape.Cylinder(5.5, top, 24, 0), shape.Sphere(top, 24).Move(0, 0, top), {}} {
			c := cutSolid(t, roofed.Append(inner), 0.2, 0.2, machine.BuiltIn(), Options{})
			plan, ix, tan := c.stack.Plan, near.IndexAll(c.stack), math.Tan(50*math.Pi/180)
			ends := mayEnd(c.mesh, partSlabs(c.mesh, plan, tan, false))
			want := overhang.Find(plan, ix, overhang.Options{TanHang: tan})
			got := overhang.Find(plan, ix, overhang.Options{TanHang: tan, MayEnd: ends})
			if len(want.Regions) == 0 || !reflect.DeepEqual(got, want) {
				t.Errorf("top %v: %v, want %v", top, got.Regions, want.Regions)
			}
		}
	}
}

// TestWhatEndsWithoutATop: what ends where no facet tells so, in a mesh that is
// open, comes as near to what begins above and beside it as if one did.
func TestWhatEndsWithoutATop(t *testing.T) {
	hook := box(4.1, 0, 2.4, 8, 4, 4).Append(box(7, 0, 0, 8, 4, 3))
	post := box(0, 0, 0, 4, 4, 2)
	mc := keeps(0.5, 0.5, 0.5)
	want := scan(t, hook.Append(post), 0.2, 0.2, mc)
	post.T = slices.DeleteFunc(post.T, func(c [3]int32) bool {
		return min(post.V[c[0]].Z, post.V[c[1]].Z, post.V[c[2]].Z) == 2
	})
	got := scan(t, hook.Append(post), 0.2, 0.2, mc)
	if got.Mesh.Watertight || len(want.Joints) != 1 || len(got.Joints) != 1 || want.Joints[0].Margin == nil {
		t.Fatalf("joints %v with a top, %v without", want.Joints, got.Joints)
	}
	if m := got.Joints[0].Margin; m == nil || *m != *want.Joints[0].Margin {
		t.Errorf("margin %v, with a top %v", m, *want.Joints[0].Margin)
	}
}
