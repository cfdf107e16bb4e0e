package mesh

// BuildSorted is Build with every strewn soup sorted by place, BuildAsRead
// with none.
func BuildSorted(s *Soup, p Placement) (*Mesh, error) { return build(s, p, 0) }
func BuildAsRead(s *Soup, p Placement) (*Mesh, error) { return build(s, p, s.Triangles()+1) }
