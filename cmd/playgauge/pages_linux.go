package main

import (
	"runtime"
	"runtime/debug"

	"golang.org/x/sys/unix"
)

// largePages asks for large pages for the next n bytes of the heap. Unasked,
// many systems hand memory out in pages of 4 KB, and taking them one by one can
// cost as much as a third of a vet. The runtime has no way to ask, so a block of
// that size is made, marked and given back: the heap keeps its addresses.
// Nothing is lost where a system has no large pages.
func largePages(n int) {
	// The block alone would start the collector, before it can be given back.
	defer debug.SetGCPercent(debug.SetGCPercent(-1))
	block := make([]byte, n) // fresh from the system, so untouched
	if unix.Madvise(block, unix.MADV_HUGEPAGE) != nil {
		return
	}
	runtime.GC()
}
