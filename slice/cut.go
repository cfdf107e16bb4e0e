package slice

import "playgauge/mesh"

// Cut cuts a mesh into the layers of a plan.
func Cut(m *mesh.Mesh, p Plan) *Stack { panic("later") }
