package machine

import (
	"fmt"
	"strings"
)

// NewText is the text of a new machine file: it says what it is for, names
// the printer, and shows as comments all that may be added. Nothing in it is
// tested. What a key may not be is found by Parse.
func NewText(name string, nozzleMM float64, material string) []byte {
	title := strings.Map(func(r rune) rune { // a comment ends with its line
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, name)
	return fmt.Appendf(nil, newText, title, tomlText(name), shortNumber(nozzleMM), tomlText(material),
		DefaultBottomLayers, shortNumber(DefaultOverhangDeg), shortNumber(DefaultCrackMM2), shortNumber(DefaultRoofSpanMM), shortNumber(nozzleMM))
}

// newText is what NewText fills in. Taking the # away from a line that begins
// with "#" and no space makes it count.
const newText = `# %s: what one printer keeps open with one nozzle and one material.
# playgauge reads this file; edit it by hand as you like. Lengths are mm.

name = %s
nozzle_mm = %s
material = %s

# More about the printer. Take the # away and set your own value. The first
# six show what is taken while they are not set.
#bottom_layers = %-5d # layers from the bed in which the plastic spreads
#overhang_deg = %-6s # up to this angle from upright a surface still stands
#crack_mm2 = %-9s # a weld smaller than this you expect to crack by hand
#roof_span_mm = %-6s # span of the ceilings that roof gaps were tested under
#line_mm = %-11s # width of a line; else the nozzle's
#trim_mm = 0           # cut off each side of the bottom layers before printing
#spread_mm = 0.1       # how far each side spreads in the bottom layers
#sag = [[10, 0.0], [30, 0.2]]         # how far bridges sag: [span, sag], ...
#layer_heights_mm = [0.12, 0.2, 0.28] # those it prints well

# Limits are learned from the trials below. One that you set here by hand wins
# over them. Smallest gaps that came out free; the longest bridge that held.
#[tested]
#side_mm = 0.30
#roof_mm = 0.40        # vertical
#bottom_mm = 0.45      # as if nothing were trimmed
#bridge_mm = 30

# Trials: what was printed and what came of it. playgauge machine record adds
# them at the end of this file and changes nothing above.
`
