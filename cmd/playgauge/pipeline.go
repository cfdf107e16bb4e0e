package main

import (
	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// judge places, slices and judges a model, which the result calls by name.
func judge(name string, soup *mesh.Soup, w gapscan.WhatIf, mc machine.Machine) (*gapscan.Result, error) {
	r, err := gapscan.Vet(soup, w, mc)
	if err != nil {
		return nil, err
	}
	r.Model.File = name
	return r, nil
}

// judged is a result with the layers it was found in, for pictures.
type judged struct {
	result *gapscan.Result
	sliced *gapscan.Sliced
	// printed is its layers as they are printed.
	printed *slice.Stack
}

// judgeFor does what judge does for what o asks, and keeps the layers.
func judgeFor(name string, soup *mesh.Soup, o vetOptions, mc machine.Machine) (judged, error) {
	placed, err := gapscan.Place(soup, o.whatIf)
	if err != nil {
		return judged{}, err
	}
	sliced, err := placed.Slice(o.whatIf)
	if err != nil {
		return judged{}, err
	}
	j := judged{sliced: sliced, printed: sliced.Printed(o.whatIf, mc)}
	if o.tight() {
		j.result = sliced.JudgeTight(o.whatIf, mc)
	} else {
		j.result = sliced.Judge(o.whatIf, mc)
	}
	j.result.Model.File = name
	return j, nil
}
