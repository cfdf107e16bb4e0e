package mesh

import (
	"testing"

	"playgauge/mesh/seeded"
)

func TestMain(m *testing.M) { seeded.Main(m) }
