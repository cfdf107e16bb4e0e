package main

import (
	"errors"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"playgauge/report"
)

// How files of a kind begin: PNG (specification, third edition, 5.2), PLY.
const (
	pngSignature = "\x89PNG\r\n\x1a\n"
	plySignature = "ply\n"
)

// worstLayerName stands for the number of the layer that is worst.
const worstLayerName = "worst"

// targetFlags adds the flags of the files that vet writes.
func targetFlags(fs *pflag.FlagSet, o *vetOptions) {
	addFlags(fs,
		flagSpec{"strip", "FILE.png", "write the heat-strip: the margin of every layer\nas a picture", o.setStrip},
		flagSpec{"page", "FILE.html", "write a page for a browser: every layer drawn, with\nits tight places", o.setPage},
		flagSpec{"view", "FILE.png", "write the model as a picture, with the worst joints\ncalled out and the worst of them cut open", o.setView},
		flagSpec{"layer-png", "N=FILE.png", "write one layer as a picture with its tightest gap\ndimensioned: its number, or worst=FILE.png; may be\ngiven again", o.setLayer},
		flagSpec{"sheet", "FILE.png|FILE.txt", "write a page to print by: what to set, the layers\nto watch, how to free it", o.setSheet},
		flagSpec{"tint", "FILE.3mf|.ply", "write the model with its tight facets in the heat\ncolours, for any viewer. These files are for one\nmodel only; an earlier file of the same kind is\nreplaced, no other", o.setTint})
}

// want adds a file to write, instead of an earlier one of its flag.
func (o *vetOptions) want(t target) {
	o.targets = slices.DeleteFunc(o.targets, func(old target) bool { return old.flag == t.flag && old.layer == t.layer })
	o.targets = append(o.targets, t)
}

func needsEnding(file string, endings ...string) error {
	for _, e := range endings {
		if strings.EqualFold(filepath.Ext(file), e) {
			return nil
		}
	}
	return errors.New("must be a file name that ends in " + strings.Join(endings, " or "))
}

func (o *vetOptions) setStrip(s string) error {
	if err := needsEnding(s, ".png"); err != nil {
		return err
	}
	o.want(target{flag: "strip", file: s, kind: "PNG picture", head: pngSignature,
		fill: func(w io.Writer, j judged) error { return report.Strip(w, j.result) }})
	return nil
}

func (o *vetOptions) setPage(s string) error {
	if err := needsEnding(s, ".html", ".htm"); err != nil {
		return err
	}
	o.want(target{flag: "page", file: s, kind: "page of playgauge", head: report.PageHead, drawn: true,
		fill: func(w io.Writer, j judged) error { return report.Page(w, j.result, j.drawn) }})
	return nil
}

func (o *vetOptions) setView(s string) error {
	if err := needsEnding(s, ".png"); err != nil {
		return err
	}
	o.want(target{flag: "view", file: s, kind: "PNG picture", head: pngSignature, mesh: true,
		fill: func(w io.Writer, j judged) error { return report.View(w, j.result, j.mesh) }})
	return nil
}

func (o *vetOptions) setLayer(s string) error {
	which, file, _ := strings.Cut(s, "=")
	n, err := strconv.Atoi(which)
	if which == worstLayerName {
		n, err = 0, nil
	} else if err == nil && n < 1 {
		err = strconv.ErrRange
	}
	if err != nil || needsEnding(file, ".png") != nil {
		return errors.New("must be a layer's number, or " + worstLayerName + ", and a file name that ends in .png, as in 41=layer.png")
	}
	o.want(target{flag: "layer-png", file: file, kind: "PNG picture", head: pngSignature, layers: true, layer: n,
		fill: func(w io.Writer, j judged) error {
			layer := n
			if layer == 0 {
				layer = max(report.WorstLayer(j.result), 1) // any will do where nothing is near
			}
			return report.LayerPicture(w, j.result, j.printed, layer)
		}})
	return nil
}

func (o *vetOptions) setTint(s string) error {
	t := target{flag: "tint", file: s, mesh: true}
	switch {
	case needsEnding(s, ".3mf") == nil:
		t.kind, t.head = "3MF file of playgauge", report.Tint3MFHead
		t.fill = func(w io.Writer, j judged) error { return report.Tint3MF(w, j.result, j.mesh) }
	case needsEnding(s, ".ply") == nil:
		t.kind, t.head = "PLY file", plySignature
		t.fill = func(w io.Writer, j judged) error { return report.TintPLY(w, j.result, j.mesh) }
	default:
		return needsEnding(s, ".3mf", ".ply")
	}
	o.want(t)
	return nil
}

func (o *vetOptions) setSheet(s string) error {
	t := target{flag: "sheet", file: s}
	switch {
	case needsEnding(s, ".png") == nil:
		t.kind, t.head = "PNG picture", pngSignature
		t.fill = func(w io.Writer, j judged) error { return report.SheetPicture(w, j.result) }
	case needsEnding(s, ".txt") == nil:
		t.kind, t.head = "print sheet", report.SheetHead
		t.fill = func(w io.Writer, j judged) error { return report.Sheet(w, j.result) }
	default:
		return needsEnding(s, ".png", ".txt")
	}
	o.want(t)
	return nil
}

// shows says that some file shows something.
func (o *vetOptions) shows(what func(target) bool) bool { return slices.ContainsFunc(o.targets, what) }

// fits says whether the model has the layers that are asked for.
func (o *vetOptions) fits(j judged) error {
	for _, t := range o.targets {
		if n := len(j.result.Layers); t.layer > n {
			return &report.LayerError{Layer: t.layer, Layers: n}
		}
	}
	return nil
}
