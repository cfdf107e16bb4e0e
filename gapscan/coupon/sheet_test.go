package coupon

import (
	"bytes"
	"errors"
	"image/png"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

func sheet(t *testing.T, c *Coupon, kind string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Sheet(&b, c, kind); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The text lists every cell once, in testing order.
func TestTextSheetListsCellsInOrder(t *testing.T) {
	for name, opt := range variants {
		c, err := Design(opt)
		if err != nil {
			t.Fatal(err)
		}
		text := string(sheet(t, c, SheetText))
		var got []int
		for _, m := range regexp.MustCompile(`(\d+)[xy]? ______`).FindAllStringSubmatch(text, -1) {
			n, _ := strconv.Atoi(m[1])
			got = append(got, c.Cells[n-1].Order)
		}
		if len(got) != len(c.Cells) || !slices.IsSorted(got) {
			t.Errorf("%s: the cells listed have the places %v", name, got)
		}
		for _, line := range strings.Split(text, "\n") {
			if n := len([]rune(line)); n > textWide {
				t.Errorf("%s: a line of %d characters: %s", name, n, line)
			}
		}
		moves := slices.ContainsFunc(c.Cells, Cell.Moves)
		decks := slices.ContainsFunc(c.Cells, func(c Cell) bool { return !c.Moves() })
		for word, want := range map[string]bool{
			"free: it moves by finger": moves, "cracks with a nail": moves, "never moves": moves,
			"Bridges: push a feeler": decks, "print cool": true, "away from yourself": true, "eye protection": true,
		} {
			if strings.Contains(text, word) != want {
				t.Errorf("%s: %q is there: %v", name, word, !want)
			}
		}
	}
}

// The picture shows every cell's body in its place, and is the same each
// time.
func TestPictureSheet(t *testing.T) {
	for _, name := range []string{"default", "bridge alone", "long and short"} {
		c, err := Design(variants[name])
		if err != nil {
			t.Fatal(err)
		}
		data := sheet(t, c, SheetPNG)
		if !bytes.Equal(data, sheet(t, c, SheetPNG)) {
			t.Errorf("%s: two pictures differ", name)
		}
		pic, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if b := pic.Bounds(); b.Dx() != sheetWide || b.Dy() < sheetTall {
			t.Errorf("%s: %v", name, b)
		}
		for i, cell := range c.Cells {
			// Just inside the left end of its body, on its middle line.
			x := sheetBorder + planWide/2 + (c.body[i].Min.X+1)*planScale
			y := planTop + (c.Size.Y/2-cell.Center.Y)*planScale
			r, g, b, _ := pic.At(int(x), int(y)).RGBA()
			pr, pg, pb, _ := plate.RGBA()
			if r == pr && g == pg && b == pb {
				t.Errorf("%s: there is no cell %d", name, cell.Number)
			}
		}
	}
}

func TestUnknownSheetIsRefused(t *testing.T) {
	c, err := Design(Options{Families: []Family{Roof}})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	var e *OptionError
	if err := Sheet(&b, c, "pdf"); !errors.As(err, &e) || b.Len() > 0 {
		t.Errorf("the error is %v, %d bytes written", err, b.Len())
	}
}
