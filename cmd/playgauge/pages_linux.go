package main

import (
	"runtime"
	"runtime/debug"
	"unsafe"

	"golang.org/x/sys/unix"
)

// largePage is the size of a large page on most machines, in bytes. Where it is
// another, little is lost.
const largePage = 2 << 20

// largePages asks for large pages for the next n bytes of the heap. Unasked,
// many systems hand memory out in pages of 4 KB, and taking them one by one can
// cost as much as a third of a vet. The runtime has no way to ask, so a block of
// that size is made, marked and given back: the heap keeps its addresses.
// Nothing is lost where a system has no large pages, or not so much to give.
func largePages(n int) {
	if !canHave(2 * n) {
		return
	}
	// The block alone would start the collector, before it can be given back. Not
	// off: later the heap would keep more, measured by a goal without bounds.
	defer debug.SetGCPercent(debug.SetGCPercent(10_000))
	block := make([]byte, n) // fresh from the system, so untouched
	if unix.Madvise(block, unix.MADV_HUGEPAGE) != nil {
		return
	}
	// The heap has taken small pages of the large one in which the block begins,
	// and would take the rest of it so, too.
	first := uintptr(unsafe.Pointer(&block[0])) &^ (largePage - 1)
	_, _, _ = unix.Syscall(unix.SYS_MADVISE, first, largePage, unix.MADV_HUGEPAGE)
	_, _, _ = unix.Syscall(unix.SYS_MADVISE, first, largePage, unix.MADV_COLLAPSE)
	runtime.GC()
}

// canHave says whether the system would hand out n bytes: the runtime does not
// go on where it gets no memory, and takes somewhat more than a block needs.
func canHave(n int) bool {
	probe, err := unix.Mmap(-1, 0, n, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_ANON|unix.MAP_PRIVATE)
	if err != nil {
		return false
	}
	return unix.Munmap(probe) == nil
}
