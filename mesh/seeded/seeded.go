// Package seeded gives the random tests of a package the same cases each
// time, so that what passes once passes again. Only tests import it.
package seeded

import (
	"flag"
	"os"
	"testing"
)

// Main is what a TestMain calls. -rapid.seed or RAPID_SEED with another number
// than 0, and -rapid.checks with a larger one, look farther.
func Main(m *testing.M) {
	flag.Parse()
	if seed := flag.Lookup("rapid.seed"); seed.Value.String() == "0" {
		if err := seed.Value.Set("1"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
