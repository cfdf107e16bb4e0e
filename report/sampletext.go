package report

import (
	"fmt"
	"io"
	"strconv"

	"playgauge/gapscan"
	"playgauge/gapscan/sample"
	"playgauge/gapscan/smallpart"
)

// SampleText writes what a sample holds, which layers to watch while it
// prints, and how to try it. The file is where it was written.
func SampleText(w io.Writer, s *sample.Sample, file string, style Style) error {
	p := newPage(style)
	j := &s.Joint
	p.sentence(string(tintBold) + plain(file) + string(tintEnd) + ": joint" + nbsp + strconv.Itoa(j.ID) +
		" of " + fileName(s.Model) + ", " + pairWords(s.Model.Joints[indexOf(s.Model, j.ID):][:1]) + ", " + tint(*j.Outcome) + nbsp + "- " + jointWords(s.Model, j))
	p.blank()
	p.entry("size", box(s.Result.Model.SizeMM)+nbsp+"mm, "+count(s.Result.Plan.Layers, "layer", "layers")+
		", "+shareOf(s.Share)+" of the model's plastic")
	p.entry("height", sampleHeight(s))
	if s.Result.Adjusted != nil {
		p.entry("printed", adjusted(s.Result.Adjusted))
	}
	p.entry("parts", sampleParts(s)...)
	p.entry("watch", sampleWatch(s)...)
	if line := sampleWeld(s); line != "" {
		p.entry("weld", line)
	}
	p.blank()
	for _, line := range []string{
		"Print it as you will print the model: the same machine, filament and settings, layers of " + size(s.Result.Plan.LayerHeightMM) + nbsp + "mm" + firstLayer(&s.Result.Plan) + ", as it lies, without scaling" + sampleSupport(s) + ".",
		"Let it cool, then move the parts by hand, away from yourself; mind your eyes if you must pry. If it welds, so will the model; if it moves, the model's joint should too.",
	} {
		p.sentence(line)
	}
	for i := range s.Result.Parts {
		if v := s.Result.Parts[i].SmallPart; v != nil && *v != string(smallpart.TooLarge) {
			p.sentence("Its pieces are small: keep them from children under three.")
			break
		}
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

// shareOf writes a share in whole percent.
func shareOf(v float64) string {
	if v < 0.01 {
		return "under 1" + nbsp + "%"
	}
	return rounded(100*v, 0) + nbsp + "%"
}

func indexOf(r *gapscan.Result, joint int) int {
	for i := range r.Joints {
		if r.Joints[i].ID == joint {
			return i
		}
	}
	return 0
}

func firstLayer(p *gapscan.PlanUsed) string {
	if p.FirstHeightMM == p.LayerHeightMM {
		return ""
	}
	return " (the first " + size(p.FirstHeightMM) + ")"
}

// sampleSupport says where support is needed: only where the model needs it.
func sampleSupport(s *sample.Sample) string {
	for i := range s.Result.Cautions {
		if c := &s.Result.Cautions[i]; c.Kind == gapscan.CautionMidAir && c.Layer != nil {
			return " or brim, with support only where it begins in mid-air, as the model does, first in layer" + nbsp + strconv.Itoa(*c.Layer)
		}
	}
	return ", brim or support"
}

// sampleHeight says how the sample's layers lie in the model.
func sampleHeight(s *sample.Sample) string {
	if s.Lowered == 0 {
		return "its layers are the model's, from the bed up"
	}
	return fmt.Sprintf("lowered by %d layers: its layer"+nbsp+"2 is layer"+nbsp+"%d of the model, and so on; its layer"+nbsp+"1 lies on the bed, well below the joint",
		s.Lowered, s.Lowered+2)
}

func sampleParts(s *sample.Sample) []string {
	var lines []string
	for i, p := range s.Parts {
		line := "a piece of part" + nbsp + strconv.Itoa(p.ID)
		if p.Whole {
			line = "part" + nbsp + strconv.Itoa(p.ID) + ", whole"
		}
		if i >= 2 {
			line += ", which lies between"
		}
		if p.Grip {
			line += ", with a bar to turn it by"
		}
		if p.Small {
			line += ", too small to hold in the fingers: use pliers"
		}
		lines = append(lines, line)
	}
	return lines
}

// sampleWatch names the runs of layers to watch and the worst.
func sampleWatch(s *sample.Sample) []string {
	var lines []string
	for i := 0; i < len(s.Watch); {
		k := i
		for k+1 < len(s.Watch) && s.Watch[k+1].Layer == s.Watch[k].Layer+1 {
			k++
		}
		first, last := s.Watch[i], s.Watch[k]
		line := layerAt(s.Result, first.Layer)
		if k > i {
			line = "layers" + nbsp + strconv.Itoa(first.Layer) + nbsp + "to" + nbsp + strconv.Itoa(last.Layer) +
				", z" + nbsp + height(s.Result.Layers[first.Layer-1].ZTopMM) + nbsp + "to" + nbsp + height(s.Result.Layers[last.Layer-1].ZTopMM) + nbsp + "mm"
		}
		if s.Lowered > 0 {
			line += " (" + strconv.Itoa(first.InModel)
			if k > i {
				line += nbsp + "to" + nbsp + strconv.Itoa(last.InModel)
			}
			line += " of the model)"
		}
		for _, w := range s.Watch[i : k+1] {
			if w.Worst && k > i {
				line += ", the worst is " + layerAt(s.Result, w.Layer)
			}
		}
		lines = append(lines, line)
		i = k + 1
	}
	if len(lines) > mostNotes+1 {
		lines = append(lines[:mostNotes], fmt.Sprintf("and %d more runs of layers", len(lines)-mostNotes))
	}
	if s.LeftOut > 0 {
		lines = append(lines, "the model has "+count(s.LeftOut, "more layer", "more layers")+" of this joint that "+oneOrMany(s.LeftOut, "does", "do")+" not come out free: not in the sample")
	}
	return lines
}

func oneOrMany(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// sampleWeld warns where the model holds faster than the sample.
func sampleWeld(s *sample.Sample) string {
	if s.Joint.WeldMM2 == nil || s.Own.WeldMM2 == nil || !bad(*s.Joint.Outcome) || *s.Own.WeldMM2 >= *s.Joint.WeldMM2*sameWeld {
		return ""
	}
	return weldNumber(*s.Own.WeldMM2) + nbsp + "mm2 in the sample, " + weldNumber(*s.Joint.WeldMM2) + nbsp + "mm2 in the model: what takes force here takes more there"
}

// sameWeld is the share of the model's weld from which the sample's is as
// large: it is summed over pieces of contour.
const sameWeld = 0.95
