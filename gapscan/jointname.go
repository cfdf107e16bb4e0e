package gapscan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// JointName names a joint of a result: by its ID or, where that is 0, by the ids
// of its two parts, ascending. The zero value names none.
type JointName struct {
	ID    int
	Parts [2]int
}

// ParseJointName reads a joint's own number, as in 3, or its two parts, as in 2+1.
func ParseJointName(s string) (n JointName, err error) {
	// A sign is no part of a number, though Atoi takes it for one.
	if a, b, two := strings.Cut(s, "+"); two && !strings.Contains(b, "+") {
		x, errA := strconv.Atoi(a)
		y, errB := strconv.Atoi(b)
		if errA == nil && errB == nil && min(x, y) > 0 && x != y {
			return JointName{Parts: [2]int{min(x, y), max(x, y)}}, nil
		}
	} else if id, err := strconv.Atoi(s); err == nil && id > 0 {
		return JointName{ID: id}, nil
	}
	return JointName{}, fmt.Errorf("%q must be the two parts of a joint, as in 1+2, or its own number, from 1 on", s)
}

// In is the index of the joint among others, -1 if it is not there.
func (n JointName) In(joints []Joint) int {
	return slices.IndexFunc(joints, func(j Joint) bool {
		if n.ID != 0 {
			return j.ID == n.ID
		}
		return j.Parts == n.Parts
	})
}

func (n JointName) String() string {
	if n.ID != 0 {
		return strconv.Itoa(n.ID)
	}
	return fmt.Sprintf("%d+%d", n.Parts[0], n.Parts[1])
}
