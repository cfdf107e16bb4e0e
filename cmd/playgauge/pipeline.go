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

// judged is a result with what it was found in, for pictures.
type judged struct {
	result *gapscan.Result
	// mesh is nil where no file shows the model, printed, the layers as they are
	// printed, where none shows layers: both take memory.
	mesh    *mesh.Mesh
	printed *slice.Stack
}

// judgeFor does what judge does for what o asks, and keeps what its files show.
func judgeFor(name string, soup *mesh.Soup, o vetOptions, mc machine.Machine) (j judged, err error) {
	placed, err := gapscan.Place(soup, o.whatIf)
	if err != nil {
		return judged{}, err
	}
	switch {
	case o.shows(func(t target) bool { return t.layers }):
		var sliced *gapscan.Sliced
		if sliced, err = placed.Slice(o.whatIf); err == nil {
			j.mesh = placed.Mesh
			j.printed = sliced.Printed(o.whatIf, mc)
			j.result = sliced.JudgeTight(o.whatIf, mc)
		}
	case o.shows(func(t target) bool { return t.tight }):
		j.mesh = placed.Mesh
		j.result, err = placed.JudgeTight(o.whatIf, mc)
	default:
		j.result, err = placed.Judge(o.whatIf, mc)
	}
	if err != nil {
		return judged{}, err
	}
	j.result.Model.File = name
	return j, nil
}
