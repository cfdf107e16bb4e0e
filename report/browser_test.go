package report

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browserPatience is how long one page may take in all before its test fails
// rather than hangs.
const browserPatience = 60 * time.Second

// findBrowser is a browser that can be driven, or skips the test.
func findBrowser(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("no browser is installed (chromium, chromium-browser or google-chrome): the page was not tried in one")
	return ""
}

// startBrowser starts a browser with a profile of its own; tabs of it are
// opened with openTab.
func startBrowser(t *testing.T) context.Context {
	t.Helper()
	opts := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(findBrowser(t)), chromedp.UserDataDir(t.TempDir()),
		chromedp.DisableGPU, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	if os.Geteuid() == 0 {
		opts = append(opts, chromedp.NoSandbox) // which does not work for root
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("the browser does not start: %v", err)
	}
	return ctx
}

// tab is a page in a browser, with what it asked of the network and what went
// wrong in it.
type tab struct {
	t   *testing.T
	ctx context.Context

	mu       sync.Mutex
	requests []string
	errors   []string
}

// openTab writes a page to a file and opens it there, at a size in pixels.
func openTab(t *testing.T, browser context.Context, html []byte, wide, tall int64) *tab {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, html, 0o666); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(browser)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, browserPatience)
	t.Cleanup(cancel)
	b := &tab{t: t, ctx: ctx}
	if err := chromedp.Listen(ctx, b.listen); err != nil {
		t.Fatal(err)
	}
	if _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); err != nil {
		t.Fatal(err)
	}
	address := url.URL{Scheme: "file", Path: filepath.ToSlash(file)}
	b.do(chromedp.EmulateViewport(wide, tall), chromedp.Navigate(address.String()))
	return b
}

func (b *tab) listen(ev any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch ev := ev.(type) {
	case *network.EventRequestWillBeSent:
		b.requests = append(b.requests, ev.Request.URL)
	case *runtime.EventExceptionThrown:
		why := ev.ExceptionDetails.Text
		if e := ev.ExceptionDetails.Exception; e != nil {
			why += " " + e.Description
		}
		b.errors = append(b.errors, why)
	case *runtime.EventConsoleAPICalled:
		b.errors = append(b.errors, fmt.Sprintf("console: %v", ev.Type))
	case *log.EventEntryAdded:
		b.errors = append(b.errors, ev.Entry.Text)
	}
}

// away lists the requests for anything but the page's own file.
func (b *tab) away() (urls []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, u := range b.requests {
		if !strings.HasPrefix(u, "file:") && !strings.HasPrefix(u, "data:") || strings.HasPrefix(u, "file:") && !strings.HasSuffix(u, "/page.html") {
			urls = append(urls, u)
		}
	}
	return urls
}

// wrong lists what went wrong in the page.
func (b *tab) wrong() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return append([]string(nil), b.errors...)
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// settled waits until what was asked of the page is drawn: two frames.
const settled = `new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`

// press presses a key.
func (b *tab) press(key string, mods ...chromedp.KeyOption) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(key, mods...))
	b.settle()
}

func (b *tab) settle() {
	b.t.Helper()
	if _, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](settled, chromedp.EvalAwaitPromise)); err != nil {
		b.t.Fatal(err)
	}
}

// get evaluates an expression in the page.
func get[T any](b *tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// layer is the layer that is shown, told in three places.
func (b *tab) layer() int {
	b.t.Helper()
	n := get[int](b, `Number(document.body.dataset.layer)`)
	if s := get[string](b, `document.getElementById('strip').getAttribute('aria-valuenow')`); s != fmt.Sprint(n) {
		b.t.Errorf("the strip says layer %s, the page %d", s, n)
	}
	if s := get[string](b, `document.getElementById('now-layer').textContent`); s != fmt.Sprintf("layer\u00a0%d", n) {
		b.t.Errorf("the words say %q, the page layer %d", s, n)
	}
	return n
}

// drawn is the data of all that is drawn of a layer.
func (b *tab) drawn() string {
	b.t.Helper()
	return get[string](b, `[...document.querySelectorAll('#whole .island, #whole .wall, #whole .roof')].map((e) => e.getAttribute('d')).join('|')`)
}
