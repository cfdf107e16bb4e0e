package batch

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"
	"runtime"
	"runtime/metrics"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
)

// columns are three machines that differ in needs only.
func columns() []Column {
	var out []Column
	for i, side := range []float64{0.2, 0.3, 0.4} {
		mc := machine.BuiltIn()
		mc.Name = fmt.Sprintf("machine %d", i+1)
		mc.Tested.SideMM, mc.Tested.RoofMM, mc.Tested.BottomMM = &side, &side, &side
		out = append(out, Column{Machine: mc})
	}
	return out
}

// posts are two blocks side by side.
func posts(gap float64) shape.Solid {
	block := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 3})
	return block.Append(block.Move(4+gap, 0, 0))
}

func write(t testing.TB, file string, s *mesh.Soup) {
	t.Helper()
	var b bytes.Buffer
	if err := mesh.WriteSTL(&b, s); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
}

// on reads a model from a file whenever it is asked, and counts.
func on(t testing.TB, file string, loads *atomic.Int64) File {
	t.Helper()
	info, err := os.Stat(file)
	if err != nil {
		t.Fatal(err)
	}
	return File{Bytes: info.Size(), Models: func(yield func(Model, error) bool) {
		loads.Add(1)
		f, err := os.Open(file)
		if err != nil {
			yield(Model{Name: file}, err)
			return
		}
		defer f.Close()
		soup, err := mesh.ReadSTL(f)
		yield(Model{filepath.Base(file), soup}, err)
	}}
}

// toys writes 200 models: two gate hinges, and blocks side by side, of
// growing gaps.
func toys(t testing.TB, loads *atomic.Int64) []File {
	t.Helper()
	dir := t.TempDir()
	var files []File
	for i := range 200 {
		file := filepath.Join(dir, fmt.Sprintf("%03d.stl", i))
		if i%100 == 0 {
			write(t, file, shape.Must(garden.GateHinge(0.2+float64(i)/400)).Soup())
		} else {
			write(t, file, posts(0.1+float64(i)/400).Soup())
		}
		files = append(files, on(t, file, loads))
	}
	return files
}

// Two hundred models on three machines: everything is done once, and every
// answer is that of a vet by itself.
func TestNothingIsRepeated(t *testing.T) {
	var loads atomic.Int64
	files := toys(t, &loads)
	cols := columns()
	done := 0
	rows, stats, err := Run(t.Context(), files, gapscan.AsIs(), cols, Options{Done: func(n int) {
		if n != done+1 {
			t.Errorf("%d files done after %d", n, done)
		}
		done = n
	}})
	if err != nil {
		t.Fatal(err)
	}
	if loads.Load() != 200 || stats.Loaded != 200 || stats.Placed != 200 || stats.Sliced != 200 || stats.Judged != 600 || done != 200 {
		t.Errorf("%d read; %+v; %d files done", loads.Load(), stats, done)
	}
	for i := range rows {
		if rows[i].Name != fmt.Sprintf("%03d.stl", i) || rows[i].Err != nil || len(rows[i].Cells) != 3 {
			t.Fatalf("row %d: %s, %v, %d cells", i, rows[i].Name, rows[i].Err, len(rows[i].Cells))
		}
		if i%25 != 0 {
			continue
		}
		for soup := range files[i].Models {
			for k, c := range cols {
				r, err := gapscan.Vet(soup.Soup, gapscan.AsIs(), c.Machine)
				if err != nil {
					t.Fatal(err)
				}
				if d := cmp.Diff(cellOf(r), rows[i].Cells[k]); d != "" {
					t.Errorf("%s on %s: %s", rows[i].Name, c.Machine.Name, d)
				}
			}
		}
	}
	// The blocks of 0.25 mm stand free on 0.2, stick or weld on 0.3 and 0.4.
	at := rows[60].Cells
	if at[0].Outcome != gapscan.Free || at[1].Bad != 1 || at[2].Bad != 1 || *at[2].FirstBadLayer != 1 || *at[0].Demands.SideMM != 0.25 {
		t.Errorf("%+v", at)
	}
}

// Machines that share layer heights share the layers; others have their own.
func TestSlicedOnceForEachLayerHeights(t *testing.T) {
	cols := columns()
	cols[1].RestMM, cols[1].FirstMM = 0.3, 0.3
	var loads atomic.Int64
	file := filepath.Join(t.TempDir(), "a.stl")
	write(t, file, posts(0.3).Soup())
	rows, stats, err := Run(t.Context(), []File{on(t, file, &loads)}, gapscan.AsIs(), cols, Options{})
	if err != nil || stats.Loaded != 1 || stats.Placed != 1 || stats.Sliced != 2 || stats.Judged != 3 {
		t.Fatalf("%+v, %v", stats, err)
	}
	if c := rows[0].Cells; c[0].Layers != 15 || c[1].Layers != 10 || c[2].Layers != 15 {
		t.Errorf("%d, %d and %d layers", c[0].Layers, c[1].Layers, c[2].Layers)
	}
}

// The rows are the same on one processor and on several.
func TestSameOnAnyProcessors(t *testing.T) {
	var loads atomic.Int64
	files := toys(t, &loads)[90:110]
	var want []Row
	for _, n := range []int{1, 2, 7} {
		before := runtime.GOMAXPROCS(n)
		rows, _, err := Run(t.Context(), files, gapscan.AsIs(), columns(), Options{})
		runtime.GOMAXPROCS(before)
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = rows
		} else if d := cmp.Diff(want, rows); d != "" {
			t.Errorf("on %d processors: %s", n, d)
		}
	}
}

// However many could work, those that do keep within the bound, and so does
// the heap. A model that is larger than the bound is vetted all the same.
func TestMemoryIsBounded(t *testing.T) {
	const bound = 44 << 20
	dir := t.TempDir()
	var loads atomic.Int64
	var files []File
	for i := range 6 {
		file := filepath.Join(dir, fmt.Sprintf("%d.stl", i))
		write(t, file, shape.PinGrid(2, 2, 4000, false))
		files = append(files, on(t, file, &loads))
	}
	runtime.GC()
	base := heap()
	peak, stop := int64(0), make(chan struct{})
	watched := make(chan struct{})
	go func() {
		defer close(watched)
		for {
			select {
			case <-stop:
				return
			case <-time.After(time.Millisecond):
				peak = max(peak, heap()-base)
			}
		}
	}()
	_, stats, err := Run(t.Context(), files, gapscan.AsIs(), columns(), Options{Memory: bound, Workers: 8})
	close(stop)
	<-watched
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("set aside %d MB, heap %d MB, of %d MB", stats.MostBytes>>20, peak>>20, bound>>20)
	if stats.MostBytes > bound || peak > bound {
		t.Errorf("set aside %d bytes, the heap grew by %d, bound %d", stats.MostBytes, peak, bound)
	}
	if stats.MostBytes < bound/2 {
		t.Errorf("set aside only %d bytes of %d: nothing was bounded", stats.MostBytes, bound)
	}
	rows, stats, err := Run(t.Context(), files[:2], gapscan.AsIs(), columns(), Options{Memory: 1 << 20, Workers: 2})
	if err != nil || stats.Judged != 6 || stats.MostBytes > 1<<20 || rows[1].Err != nil {
		t.Errorf("models larger than the bound: %+v, %v", stats, err)
	}
}

// heap is what objects take, those not collected yet too.
func heap() int64 {
	s := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(s)
	return int64(s[0].Value.Uint64())
}

func several(models ...func() (Model, error)) File {
	var seq iter.Seq2[Model, error] = func(yield func(Model, error) bool) {
		for _, m := range models {
			if !yield(m()) {
				return
			}
		}
	}
	return File{Models: seq}
}

// What is wrong with one model is its row's; an archive's models are rows of
// their own.
func TestBrokenModelsAreRows(t *testing.T) {
	broken := errors.New("broken")
	good := func(name string) func() (Model, error) {
		return func() (Model, error) { return Model{name, posts(1).Soup()}, nil }
	}
	flat := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 0.05}).Soup()
	rows, stats, err := Run(t.Context(), []File{
		several(good("a"), func() (Model, error) { return Model{Name: "b"}, broken }, good("c")),
		several(),
		several(func() (Model, error) { return Model{"d", flat}, nil }),
		several(func() (Model, error) { return Model{"e", &mesh.Soup{XYZ: make([]float32, 9)}}, nil }),
	}, gapscan.AsIs(), columns(), Options{})
	if err != nil || len(rows) != 5 || stats.Loaded != 4 || stats.Judged != 6 {
		t.Fatalf("%d rows, %+v, %v", len(rows), stats, err)
	}
	var low *gapscan.NoLayerError
	var none *mesh.FormatError
	if rows[0].Err != nil || rows[1].Err != broken || rows[2].Err != nil || !errors.As(rows[3].Err, &low) || !errors.As(rows[4].Err, &none) {
		t.Errorf("%v", rows)
	}
	for i, r := range rows {
		if (r.Err == nil) != (len(r.Cells) == 3) {
			t.Errorf("row %d has %d cells, error %v", i, len(r.Cells), r.Err)
		}
	}
}

func TestEncode(t *testing.T) {
	refused := errors.New("refused")
	files := []File{several(
		func() (Model, error) { return Model{"a", posts(1).Soup()}, nil },
		func() (Model, error) { return Model{"b", posts(1).Soup()}, nil },
	)}
	rows, _, err := Run(t.Context(), files, gapscan.AsIs(), columns(), Options{Encode: func(r *gapscan.Result) ([]byte, error) {
		if r.Model.File == "b" {
			return nil, refused
		}
		return []byte(r.Model.File + " on " + r.Machine.Name), nil
	}})
	if err != nil || string(rows[0].Cells[2].Encoded) != "a on machine 3" || rows[1].Err != refused || rows[1].Cells != nil {
		t.Errorf("%+v, %v", rows, err)
	}
}

// A run that is stopped ends with the context's error and leaves nothing
// running.
func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	var loads atomic.Int64
	files := toys(t, &loads)
	rows, stats, err := Run(ctx, files, gapscan.AsIs(), columns(), Options{Done: func(n int) {
		if n == 3 {
			stop()
		} else if n > 3 {
			t.Error("progress is told after the end")
		}
	}})
	if !errors.Is(err, context.Canceled) || rows != nil || stats.Judged < 3 || loads.Load() > 100 {
		t.Errorf("%v, %d rows, %+v, %d loaded", err, len(rows), stats, loads.Load())
	}
}
