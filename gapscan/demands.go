package gapscan

import "math"

// demands is what the model asks of any machine. Each joint is given what it
// asks alone.
func (sc *scanner) demands(layers []layerScan, joints []Joint) Demands {
	var all Demands
	each := make([]Demands, len(sc.pairs))
	for i, l := range layers {
		for k := range l.joints {
			f := &l.joints[k]
			bottom := i+1 <= sc.bottomLayers
			all.take(f, bottom)
			each[f.joint].take(f, bottom)
		}
	}
	all.settle()
	for k := range joints {
		d := &each[joints[k].ID-1]
		d.settle()
		joints[k].Asks = *d
	}
	if b, ok := sc.over.LongestBridge(); ok {
		all.BridgeMM = num(b.Span)
	}
	return all
}

// take adds what one joint asks in one layer.
func (d *Demands) take(f *jointLayer, bottom bool) {
	least := func(at **float64, v float64) {
		if !math.IsInf(v, 1) && (*at == nil || v < **at) {
			*at = num(v)
		}
	}
	if f.slope < f.side {
		least(&d.SlopeMM, f.slope)
	}
	if bottom {
		least(&d.BottomMM, f.side)
	} else {
		least(&d.SideMM, f.side)
	}
	if f.roof.hangs {
		least(&d.RoofMM, f.roof.hangAir)
		if d.RoofAir == nil || f.roof.hangLayers < *d.RoofAir {
			d.RoofAir = ptr(f.roof.hangLayers)
		}
	}
}

// settle leaves out slopes that ask for no more than the sides do.
func (d *Demands) settle() {
	if d.SlopeMM != nil && d.SideMM != nil && *d.SlopeMM >= *d.SideMM {
		d.SlopeMM = nil
	}
}
