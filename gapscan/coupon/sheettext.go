package coupon

import (
	"fmt"
	"io"
	"strings"
)

// textWide is the width of the text sheet in characters.
const textWide = 78

func writeText(w io.Writer, c *Coupon) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Test coupon: %s\n%s\n", headline(c), wrap(sizeLine(c), ""))
	b.WriteString("\nHow to judge\n")
	for _, s := range judging(c) {
		b.WriteString(wrap(s, "  ") + "\n")
	}
	b.WriteString("\nTake care\n")
	for _, s := range takeCare {
		b.WriteString(wrap(s, "  ") + "\n")
	}
	b.WriteString("\nIn testing order: write free, sticks or welds (of a bridge its sag) on the\nline behind the number of the cell.\n")
	var family Family
	for _, g := range groups(c) {
		if g.family != family {
			family = g.family
			fmt.Fprintf(&b, "\n%s: %s\n", family, about(family, c))
		}
		fmt.Fprintf(&b, "  %-20s", g.level)
		for i, cell := range g.cells {
			if i > 0 && i%4 == 0 {
				fmt.Fprintf(&b, "\n  %-20s", "")
			}
			fmt.Fprintf(&b, " %4s ______", tag(cell))
		}
		b.WriteString("\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// wrap breaks a paragraph into lines of at most textWide, the first after
// the indent, the others two further in.
func wrap(s, indent string) string {
	var b strings.Builder
	n := 0
	for i, word := range strings.Fields(s) {
		switch {
		case i == 0:
			b.WriteString(indent)
			n = len(indent)
		case n+1+len(word) > textWide:
			b.WriteString("\n" + indent + "  ")
			n = len(indent) + 2
		default:
			b.WriteByte(' ')
			n++
		}
		b.WriteString(word)
		n += len(word)
	}
	return b.String()
}
