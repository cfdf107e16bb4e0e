package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/gapscan/sample"
	"playgauge/mesh"
	"playgauge/report"
)

// sampleOptions is what the command line of sample says.
type sampleOptions struct {
	vetOptions
	out   string
	joint gapscan.JointName // none: the worst
}

func sampleFlags(o *sampleOptions) *pflag.FlagSet {
	fs := newFlags("sample",
		flagSpec{"out", "FILE.stl", "where to write the sample", o.setOut},
		flagSpec{"joint", "A+B", "the joint to cut out, by the numbers of its two\nparts, as vet gives them, or by its own of --json\n(default: the worst)", o.setJoint})
	judgeFlags(fs, &o.vetOptions, "")
	return fs
}

func (o *sampleOptions) setOut(s string) error {
	if err := needsEnding(s, ".stl"); err != nil {
		return err
	}
	o.out = s
	// Any earlier file may be replaced, but not the model or the machine's.
	o.want(target{flag: "out", file: s, kind: "STL file"})
	return nil
}

func (o *sampleOptions) setJoint(s string) (err error) {
	o.joint, err = gapscan.ParseJointName(s)
	return err
}

// parseSample reads the command line of sample, as parseVet does.
func parseSample(args []string) (sampleOptions, error) {
	o := sampleOptions{vetOptions: vetOptions{whatIf: gapscan.AsIs()}}
	flags := sampleFlags(&o)
	if err := flags.Parse(args); err != nil {
		return o, flagError(err, flags)
	}
	o.models = flags.Args()
	switch {
	case len(o.models) == 0 || o.models[0] == "":
		return o, errors.New("which model? give a file, or - for standard input; see playgauge sample --help")
	case len(o.models) > 1:
		return o, fmt.Errorf("takes one model, got %d", len(o.models))
	case o.out == "":
		return o, errors.New("where to? say --out FILE.stl")
	}
	return o, nil
}

// sample cuts a joint out of a model as a small trial print.
func (a *app) sample(args []string) int {
	o, err := parseSample(args)
	if errors.Is(err, pflag.ErrHelp) {
		return a.print(sampleHelp(), statusOK)
	}
	if err != nil {
		a.message("sample: %s", err)
		return statusUsage
	}
	mc, status := a.findMachine("sample", o.machine())
	if status != statusOK {
		return status
	}
	if err := checkWhatIf(o.whatIf, mc); err != nil {
		a.message("sample: %s", err)
		return statusUsage
	}
	file := o.models[0]
	if status := a.checkTargets("sample", o.vetOptions, mc); status != statusOK {
		return status
	}
	soup, err := readModel(file, a.stdin)
	var sliced *gapscan.Sliced
	if err == nil {
		sliced, err = place(soup, o.whatIf)
	}
	if err != nil {
		a.message("sample: %s: %s", shownName(file), oneLine(reason(err)))
		return statusFile
	}
	s, err := sample.Cut(sliced, o.whatIf, mc, o.joint)
	if err != nil {
		a.message("sample: %s: %s", shownName(file), err)
		var why *sample.Error
		if errors.As(err, &why) && why.Kind == sample.UnknownJoint {
			return statusUsage
		}
		return statusBad
	}
	s.Model.Model.File = modelName(shownName(file))
	if err := a.files.write(o.out, func(w io.Writer) error { return mesh.WriteSTL(w, s.Soup) }); err != nil {
		a.message("sample: %s: %s", o.out, reason(err))
		return statusFile
	}
	var out bytes.Buffer
	// A buffer takes it.
	_ = report.SampleText(&out, s, o.out, a.style())
	out.WriteString("\nThen tell what came of it, free, sticks or welds:\n\n  " + sampleRecord(o, mc) + "\n")
	return a.print(out.String(), statusOK)
}

// sampleRecord is the command that records a sample, its result left open.
func sampleRecord(o sampleOptions, mc machine.Machine) string {
	name := "NAME"
	if mc.File != "" {
		name = shellWord(o.machine())
	}
	call := "playgauge machine record " + name + " --sample " + shellWord(o.out+"=RESULT")
	w, as := o.whatIf, gapscan.AsIs()
	if w.FirstMM != as.FirstMM || w.RestMM != as.RestMM {
		call += " --layers " + layersText(w)
	}
	if w.Flow != as.Flow {
		call += " --flow " + number(w.Flow)
	}
	if w.TrimMM > 0 {
		call += " --trim " + number(inMicrons(mc.TrimMM+w.TrimMM))
	}
	return call
}

// place places and slices a model.
func place(soup *mesh.Soup, w gapscan.WhatIf) (*gapscan.Sliced, error) {
	p, err := gapscan.Place(soup, w)
	if err != nil {
		return nil, err
	}
	return p.Slice(w)
}

// sampleHelp is the help of sample; the flags tell of themselves.
func sampleHelp() string {
	return `Cut the worst joint out of a model, as a small trial print.

Usage: playgauge sample MODEL --out FILE.stl [flags]

MODEL is an STL, 3MF, OBJ or PLY file, or - for standard input.

` + flagHelp(sampleFlags(&sampleOptions{})) + `
Print one joint before you print the toy:

  playgauge sample pea-chain.stl --out try.stl
  playgauge sample pea-chain.stl --machine shed --joint 2+3 --out try.stl

The sample holds what of the joint's two parts, and of what lies between them,
stands round the places where it is short, or tightest. It is lowered onto the
bed by whole layers, so that every layer falls on the joint as in the full
print, and it is vetted itself: its margins are those of the model, layer by
layer, or it is not written. Pieces are made large enough to hold (` + number(sample.Hold) + ` mm) and
to stand; a part that is smaller gets a bar to turn it by.

Print it with the settings of the full print, --trim, --inset and --flow among
them. To vet it, repeat all flags but --turn, --scale and --units: it is turned
and scaled already, and in mm. When it has cooled, tell what came of it, which
makes the next verdict better:

  playgauge machine record shed --sample try.stl=free

Exit status: 0 it was written; 1 there is no such sample, and why; 2 wrong use;
3 a file could not be read or written.
`
}
