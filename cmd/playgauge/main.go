// Command playgauge tells before printing whether a print-in-place toy will
// come off the bed moving.
package main

import "os"

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
