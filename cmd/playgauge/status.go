package main

import "playgauge/gapscan"

// The exit statuses. For several models the highest counts.
const (
	statusOK          = 0   // every joint free or close, or no joint
	statusBad         = 1   // something sticks or welds
	statusUsage       = 2   // wrong use
	statusFile        = 3   // a file could not be read or written
	statusInterrupted = 130 // stopped by a signal; as shells report a program ended by Ctrl-C
)

// statusOf is the exit status an outcome asks for.
func statusOf(o gapscan.Outcome) int {
	if o == gapscan.Sticks || o == gapscan.Welds {
		return statusBad
	}
	return statusOK
}
