// Command playgauge tells before printing whether a print-in-place toy will
// come off the bed moving.
package main

import (
	"os"
	"runtime/debug"
)

// gcPercent is how much the heap may grow before it is collected, unless the
// environment says otherwise. A model is arrays of numbers, which the
// collector passes over: collecting often costs next to nothing and takes a
// quarter off the peak.
const gcPercent = 20

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
