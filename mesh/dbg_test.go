package mesh
import "testing"
func TestDbg(t *testing.T) {
	m := built(t, join(box(0,0,3,1,2,5), box(0,0,2,1,1,5), box(0,0,0,1,2,3)))
	t.Log(m.Warnings, len(m.Shells))
	for _, s := range m.Shells { t.Log(s) }
	for _, s := range m.Parts { t.Logf("%+v",s) }
}
