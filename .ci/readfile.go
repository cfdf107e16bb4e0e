// Command readfile is the yardsticks of .ci/ratio: it reads an STL file with the
// library, or in a bare loop over a binary one, or does nothing at all.
package main

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"github.com/hschendel/stl"
)

func main() {
	if err := measured(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2) // 1 is a weld to .ci/ratio
	}
}

// measured does what is to be timed: nothing, "read" FILE or "loop" FILE.
func measured(args []string) error {
	switch {
	case len(args) == 0:
		return nil
	case len(args) == 2 && args[0] == "read":
		_, err := stl.ReadFile(args[1])
		return err
	case len(args) == 2 && args[0] == "loop":
		return loop(args[1])
	}
	return errors.New("usage: readfile [read|loop FILE]")
}

// loop decodes the corners of a binary file and keeps their extremes.
func loop(file string) error {
	const header, record = 84, 50
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	r := bufio.NewReaderSize(f, 1<<16)
	if _, err := r.Discard(header); err != nil {
		return err
	}
	var b [record]byte
	var lo, hi [3]float32
	for {
		if _, err := io.ReadFull(r, b[:]); err == io.EOF {
			break
		} else if err != nil { // not binary, say
			return fmt.Errorf("%s: %w", file, err)
		}
		for k := range 9 { // after the normal
			x := math.Float32frombits(binary.LittleEndian.Uint32(b[12+4*k:]))
			lo[k%3], hi[k%3] = min(lo[k%3], x), max(hi[k%3], x)
		}
	}
	_, err = fmt.Println(lo, hi)
	return err
}
