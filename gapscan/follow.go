package gapscan

import "sync"

// follower hands out the layers of which those up to some above are scanned:
// for what looks at neighbouring layers, while these are at hand.
type follower struct {
	// behind is how many layers above the one handed out must be scanned.
	behind int

	mu      sync.Mutex
	scanned []bool
	upTo    int // all layers up to this one are scanned
	next    int // this one is handed out next
}

func newFollower(layers, behind int) *follower {
	return &follower{behind: behind, scanned: make([]bool, layers), next: 1}
}

// done says that layer n is scanned.
func (f *follower) done(n int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.scanned[n-1] = true
	for f.upTo < len(f.scanned) && f.scanned[f.upTo] {
		f.upTo++
	}
}

// ready gives the next layer, each once.
func (f *follower) ready() (n int, ok bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.next > f.upTo-f.behind {
		return 0, false
	}
	f.next++
	return f.next - 1, true
}

// rest is the first of the layers that are left when all are scanned: no more
// are handed out.
func (f *follower) rest() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	from := f.next
	f.next = len(f.scanned) + 1
	return from
}
