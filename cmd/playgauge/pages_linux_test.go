package main

import (
	"bufio"
	"fmt"
	"os"
	"strings"
	"testing"
	"unsafe"

	"golang.org/x/sys/unix"
)

// What the heap makes after largePages lies in memory that the kernel lists as
// advised to be backed by large pages ("hg" in proc_pid_smaps(5), VmFlags).
func TestLargePages(t *testing.T) {
	const size = 64 << 20
	probe, err := unix.Mmap(-1, 0, size, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_ANON|unix.MAP_PRIVATE)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = unix.Munmap(probe) }()
	if err := unix.Madvise(probe, unix.MADV_HUGEPAGE); err != nil {
		t.Skipf("this kernel has no large pages: %v", err)
	}

	largePages(size)
	got := make([]byte, size) // as large as the block, so only its place is free at once
	begin := uintptr(unsafe.Pointer(&got[0]))
	for _, at := range []uintptr{begin + size/2, begin &^ (largePage - 1)} {
		if flags := flagsAt(t, at); !strings.Contains(flags, " hg") {
			t.Errorf("memory of the heap has flags %q, without large pages", flags)
		}
	}
}

// flagsAt gives the VmFlags of the mapping that holds an address.
func flagsAt(t *testing.T, at uintptr) string {
	t.Helper()
	f, err := os.Open("/proc/self/smaps")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var here bool
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var from, to uintptr
		if n, _ := fmt.Sscanf(lines.Text(), "%x-%x ", &from, &to); n == 2 {
			here = from <= at && at < to
		}
		if flags, ok := strings.CutPrefix(lines.Text(), "VmFlags:"); ok && here {
			return flags
		}
	}
	t.Fatalf("no mapping holds %#x", at)
	return ""
}
