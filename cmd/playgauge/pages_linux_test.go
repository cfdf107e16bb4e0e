package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"unsafe"

	"golang.org/x/sys/unix"
)

// What the heap makes after largePages lies in memory that the kernel lists as
// advised to be backed by large pages ("hg" in proc_pid_smaps(5), VmFlags).
func TestLargePages(t *testing.T) {
	const size = 64 << 20
	if os.Getenv("PLAYGAUGE_FRESH_HEAP") == "" {
		inItself(t, "PLAYGAUGE_FRESH_HEAP") // what other tests have freed is not what was asked for
		return
	}
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

// Where a system has less to give than is asked for, a vet goes on without.
func TestLargePagesOfLittleMemory(t *testing.T) {
	const little = 256 << 20 // bytes
	if os.Getenv("PLAYGAUGE_LITTLE_MEMORY") != "" {
		limit := uint64(little + sizeOfSelf(t))
		if err := unix.Setrlimit(unix.RLIMIT_AS, &unix.Rlimit{Cur: limit, Max: limit}); err != nil {
			t.Fatal(err)
		}
		largePages(little)
		return
	}
	inItself(t, "PLAYGAUGE_LITTLE_MEMORY")
}

// inItself runs the test in a process of its own, which an environment variable
// tells so.
func inItself(t *testing.T, variable string) {
	t.Helper()
	self := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$", "-test.v")
	self.Env = append(os.Environ(), variable+"=1")
	out, err := self.CombinedOutput()
	if err != nil {
		t.Errorf("%v\n%.300s", err, out)
	}
	if bytes.Contains(out, []byte("--- SKIP")) {
		t.Skipf("%.300s", out)
	}
}

// sizeOfSelf gives the bytes of addresses that the process has taken.
func sizeOfSelf(t *testing.T) int {
	t.Helper()
	text, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		t.Fatal(err)
	}
	var pages int
	if _, err := fmt.Sscan(string(text), &pages); err != nil {
		t.Fatal(err)
	}
	return pages * os.Getpagesize()
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
