package gapscan

import "testing"

func TestJointName(t *testing.T) {
	joints := []Joint{{ID: 2, Parts: [2]int{3, 12}}, {ID: 1, Parts: [2]int{1, 2}}}
	for s, want := range map[string]int{"1": 1, "2": 0, "3+12": 0, "12+3": 0, "2+1": 1, "3": -1, "1+3": -1} {
		n, err := ParseJointName(s)
		if err != nil || n.In(joints) != want {
			t.Errorf("%s names joint %d, %v, want %d", s, n.In(joints), err, want)
		}
		if again, err := ParseJointName(n.String()); err != nil || again != n {
			t.Errorf("%s is written %q, which names %v, %v", s, n, again, err)
		}
	}
	for _, s := range []string{"", "0", "-1", "one", "1+", "+2", "1+1", "0+2", "1+2+3", "1++2", "+1", "1-2", "1.5"} {
		if n, err := ParseJointName(s); err == nil {
			t.Errorf("%q names %v", s, n)
		}
	}
}
