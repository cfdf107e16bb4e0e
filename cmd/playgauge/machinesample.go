package main

import (
	"errors"
	"fmt"
	"slices"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// sampleResult is a printed sample and what came of its joint.
type sampleResult struct {
	file string
	came machine.Result
}

// addSamples reads files with what came of each. One file may be given twice:
// it was printed twice.
func (o *recordOptions) addSamples(s string) error {
	return entries(s, "try.stl=free", func(key, value string) error {
		if key == "" {
			return errors.New("a sample needs a file name, got an empty one")
		}
		if key == stdinName && slices.ContainsFunc(o.samples, func(s sampleResult) bool { return s.file == key }) {
			return errors.New("standard input (-) can be read only once")
		}
		came, err := parseResult(value)
		if err == nil {
			o.samples = append(o.samples, sampleResult{key, came})
		}
		return err
	})
}

// tried finds the joint that a sample was cut for: the worst in it. Others are
// of what lies between its two parts.
func (s sampleResult) tried(r *gapscan.Result, model string) ([]printedJoint, string, error) {
	if len(r.Joints) == 0 {
		return nil, "", noJointIn(r, model)
	}
	why := ""
	if n := len(r.Joints); n > 1 {
		why = fmt.Sprintf(" It is the worst of the %d joints in the file. If it was another that you tried, take this out of the machine file again, and name the joint: --print %s --joint A+B=%s", n, shellWord(s.file), s.came)
	}
	return []printedJoint{{&r.Joints[0], s.came}}, why, nil
}

// noJointIn says that a model has nothing to try.
func noJointIn(r *gapscan.Result, model string) error {
	return fmt.Errorf("%s has no joint: no two parts within %s mm of each other", model, number(r.ReachMM))
}
