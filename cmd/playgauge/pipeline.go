package main

import (
	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/report"
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

// judged is a result with what it was found in, for pictures: what no file
// shows is nil, since it takes memory.
type judged struct {
	result *gapscan.Result
	mesh   *mesh.Mesh
	// printed is the layers as they are printed, drawn the same as a page draws
	// them.
	printed *slice.Stack
	drawn   *report.Layers
}

// judgeFor does what judge does for what o asks, and keeps what its files show.
func judgeFor(name string, soup *mesh.Soup, o vetOptions, mc machine.Machine) (j judged, err error) {
	placed, err := gapscan.Place(soup, o.whatIf)
	if err != nil {
		return judged{}, err
	}
	if o.shows(func(t target) bool { return t.mesh }) {
		j.mesh = placed.Mesh
	}
	var draw func(l *slice.Layer, alike bool)
	if o.shows(func(t target) bool { return t.drawn }) {
		j.drawn = report.NewLayers(placed.Mesh.Parts)
		draw = j.drawn.Add
	}
	switch {
	case o.shows(func(t target) bool { return t.layers }):
		var sliced *gapscan.Sliced
		if sliced, err = placed.Slice(o.whatIf); err != nil {
			break
		}
		j.printed = sliced.Printed(o.whatIf, mc)
		j.result = sliced.JudgeTight(o.whatIf, mc)
		if j.drawn != nil {
			j.drawn.AddAll(j.printed)
		}
	case draw != nil || j.mesh != nil:
		j.result, err = placed.JudgeTight(o.whatIf, mc, draw)
	default:
		j.result, err = placed.Judge(o.whatIf, mc)
	}
	if err != nil {
		return judged{}, err
	}
	j.result.Model.File = name
	return j, nil
}
