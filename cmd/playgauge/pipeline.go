package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// stdinName stands for standard input.
const stdinName = "-"

// readModel reads a model from a file, or from stdin for "-".
func readModel(file string, stdin io.Reader) (*mesh.Soup, error) {
	if file == stdinName {
		return readStream(stdin)
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, errors.New("is a folder")
	case !info.Mode().IsRegular(): // a pipe, say, in which nothing can be sought
		return readStream(f)
	}
	return mesh.ReadSTL(f)
}

func readStream(r io.Reader) (*mesh.Soup, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	return mesh.ReadSTL(bytes.NewReader(data))
}

// judge places, slices and judges a model.
func judge(name string, soup *mesh.Soup, w WhatIf, mc machine.Machine) (*gapscan.Result, error) {
	j, err := judgeLayers(name, soup, w, mc, false)
	return j.result, err
}

// judged is a result with what it was found in, for pictures.
type judged struct {
	result *gapscan.Result
	mesh   *mesh.Mesh
	stack  *slice.Stack
}

// judgeLayers does the same and hands on the mesh and the layers; tight asks
// for their tight places too.
func judgeLayers(name string, soup *mesh.Soup, w WhatIf, mc machine.Machine, tight bool) (judged, error) {
	m, err := mesh.Build(soup, mesh.Placement{TurnDeg: w.TurnDeg, Scale: w.Scale, UnitMM: w.UnitMM()})
	if err != nil {
		return judged{}, err
	}
	size := [3]float64{
		tidy(m.Box.Max.X - m.Box.Min.X),
		tidy(m.Box.Max.Y - m.Box.Min.Y),
		tidy(m.Box.Max.Z - m.Box.Min.Z),
	}
	plan, err := slice.NewPlan(w.FirstMM, w.RestMM, m.Box.Max.Z)
	if err != nil {
		return judged{}, err
	}
	if plan.Layers == 0 {
		return judged{}, fmt.Errorf("at a height of %s mm it has no layer; is it in other units?", number(size[2]))
	}
	st := slice.Cut(m, plan)
	r := gapscan.Scan(m, st, mc, gapscan.Options{Reach: w.ReachMM, Tight: tight})
	r.Model = gapscan.Model{
		File: modelName(name), Format: m.Format, Triangles: m.Read,
		Units: w.Units, Scale: w.Scale, TurnDeg: w.TurnDeg, SizeMM: size,
	}
	return judged{r, m, st}, nil
}

// modelName is what results call a model: its file without the folder.
func modelName(file string) string {
	if file == stdinName {
		return file
	}
	return filepath.Base(file)
}

// tidy rounds a length to 1e-6 mm, as all of a result is.
func tidy(mm float64) float64 { return math.Round(mm*1e6) / 1e6 }
