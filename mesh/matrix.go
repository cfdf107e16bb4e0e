package mesh

import (
	"fmt"
	"strconv"
	"strings"
)

// matrix is a transform of 3MF: for row vectors, x' = x m00 + y m10 + z m20 +
// m30, the twelve numbers in the order m00 m01 m02 m10 ... m32 (3MF Core
// Specification, 3.3).
type matrix [12]float64

var identity = matrix{1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}

// parseMatrix reads twelve finite numbers of a transform that keeps a volume.
func parseMatrix(text string) (matrix, error) {
	var m matrix
	words := strings.Fields(text)
	if len(words) != len(m) {
		return m, fmt.Errorf("a transform of %d numbers, not 12", len(words))
	}
	for i, w := range words {
		x, err := strconv.ParseFloat(w, 64)
		if err != nil || x-x != 0 {
			return m, fmt.Errorf("a transform holds %q, not a finite number", shortened([]byte(w)))
		}
		m[i] = x
	}
	if d := m.det(); d == 0 || d-d != 0 {
		return m, fmt.Errorf("a transform makes everything flat, or more than can be reckoned with")
	}
	return m, nil
}

// after is the transform that does n first, then m.
func (m *matrix) after(n *matrix) matrix {
	var r matrix
	for row := range 4 {
		for col := range 3 {
			r[3*row+col] = float64(n[3*row]*m[col]) + float64(n[3*row+1]*m[3+col]) + float64(n[3*row+2]*m[6+col])
			if row == 3 {
				r[3*row+col] += m[9+col]
			}
		}
	}
	return r
}

// apply transforms a point; the identity changes nothing.
func (m *matrix) apply(x, y, z float32) (p [3]float32) {
	a, b, c := float64(x), float64(y), float64(z)
	for k := range p {
		p[k] = float32(float64(a*m[k]) + float64(b*m[3+k]) + float64(c*m[6+k]) + m[9+k])
	}
	return p
}

// det is below 0 where the transform mirrors.
func (m *matrix) det() float64 {
	return float64(m[0]*(float64(m[4]*m[8])-float64(m[5]*m[7]))) -
		float64(m[1]*(float64(m[3]*m[8])-float64(m[5]*m[6]))) +
		float64(m[2]*(float64(m[3]*m[7])-float64(m[4]*m[6])))
}
