// Package mesh reads triangle files and finds in them what moves as one
// piece. It knows nothing of layers.
//
// A file becomes a Soup (the triangles as they were read), a Soup becomes a
// Mesh: one vertex for equal bits, facets joined through their edges into
// shells, shells turned to face outward and gathered into parts, the whole
// turned, scaled and dropped onto the bed.
package mesh

import (
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/bvh"
)

// Soup is the triangles of a file, as read: nothing is shared, nothing is
// checked but that every number is finite.
type Soup struct {
	// Format names the kind of file: "stl binary", "stl ascii", "obj",
	// "ply ascii", "ply binary" or "3mf".
	Format string
	// Unit is what the file says one of its coordinates is: "micron", "mm",
	// "cm", "inch", "foot" or "m"; empty where it says nothing. Only 3MF does.
	Unit string
	// Warnings tells a person what was left out or doubted while reading, a
	// line each. They go on to Mesh.Warnings.
	Warnings []string
	// XYZ holds nine coordinates a triangle: x, y, z of its three corners,
	// counter-clockwise seen from outside.
	XYZ []float32
}

// Triangles is the number of triangles in the soup.
func (s *Soup) Triangles() int { return len(s.XYZ) / 9 }

// Size is the extent along x, y and z, in the file's units; 0 without any
// triangle.
func (s *Soup) Size() (size [3]float64) {
	low, high := span(s.XYZ, 3)
	for axis := range size {
		size[axis] = float64(high[axis]) - float64(low[axis])
	}
	return size
}

// Mesh is a welded model, standing on the bed, in millimetres. Nothing in it
// changes once Build has returned it.
type Mesh struct {
	// Format is the soup's.
	Format string
	// Read is the number of triangles in the file; facets with two equal
	// corners are not in T.
	Read int
	// V holds the vertices, transformed.
	V []r3.Vec
	// T holds the corners of each facet as indices into V,
	// counter-clockwise seen from outside.
	T [][3]int32
	// Order holds the number in the file of each facet, from 0; nil where
	// facets are in the file's order. Large files whose triangles are strewn
	// about are sorted by place.
	Order []int32
	// Mate holds three entries a facet: Mate[3*t+e] is the half-edge 3*u+f
	// that edge e of facet t (from corner e to corner (e+1)%3) is joined to
	// across the material, which runs the other way, or -1 at an open edge.
	Mate []int32
	// ShellOf holds the shell of each facet.
	ShellOf []int32
	// Shells in the order of their first facet in the file.
	Shells []Shell
	// Trees holds the bounding volumes of each shell; nil where WithoutTrees.
	Trees []*bvh.Tree
	// Parts in the order of their ids: Parts[i].ID is i+1.
	Parts []Part
	// Box bounds all parts; Box.Min.Z is 0.
	Box r3.Box
	// OpenEdges counts the edges with one facet or without a partner,
	// NonManifoldEdges those of more than two facets, as the file has them;
	// LeftOpen is how many are open after what Build repairs.
	OpenEdges, NonManifoldEdges, LeftOpen int
	// Warnings tells a person what was repaired, merged, turned or
	// doubted, a line each, in a fixed order.
	Warnings []string
}

// Watertight says whether every edge of the file has its partner.
func (m *Mesh) Watertight() bool { return m.OpenEdges == 0 }

// Closed says whether every edge of the mesh has its partner, now that it is
// repaired.
func (m *Mesh) Closed() bool { return m.LeftOpen == 0 }

// Shell is a closed surface (open where the file is): facets connected
// through edges.
type Shell struct {
	// Facets holds the indices of its facets in T, ascending.
	Facets []int32
	// Volume is the signed volume in mm3, after turning: negative for a
	// cavity only.
	Volume float64
	// Part is the index in Mesh.Parts of the part it belongs to.
	Part int32
	// Cavity says that it bounds a hollow of its part.
	Cavity bool
	// Inner says that it lies wholly inside the solid of its part's other
	// shells and adds nothing.
	Inner bool
	// Turned says that the file had it inside out.
	Turned bool
	// Open says that it has open edges.
	Open bool
	// Flat says that it bounds no volume: a sheet. It belongs to the part
	// that it touches or lies in, as an inner shell, or is a part by itself.
	Flat bool
	Box  r3.Box
}

// Part is what moves as one piece.
type Part struct {
	// ID counts from 1: largest volume first (to 6 significant digits), then
	// the smallest box corner, then the first facet.
	ID int
	// Shells holds indices into Mesh.Shells, ascending.
	Shells []int32
	// Facets is the number of facets in its shells.
	Facets int
	// Volume in mm3: of its outer shells less its cavities. Where outer
	// shells overlap, the overlap is counted twice.
	Volume float64
	// Overlapping says that shells of this part pass through each other (or
	// lie inside one another), so that its layers must be united.
	Overlapping bool
	Box         r3.Box
}

// ContactDepth is how deep two solids may overlap and still only touch, in
// mm: deeper, and they are one part (0.01 mm is a twentieth of a layer, far
// below what filament resolves, and far above float32 noise).
const ContactDepth = 0.01
