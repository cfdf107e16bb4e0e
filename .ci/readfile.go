// Command readfile reads an STL file with the library that is the yardstick of
// .ci/ratio, and nothing else.
package main

import (
	"fmt"
	"os"

	"github.com/hschendel/stl"
)

func main() {
	if _, err := stl.ReadFile(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
