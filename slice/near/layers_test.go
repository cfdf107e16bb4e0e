package near

import (
	"reflect"
	"sync"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/slice"
)

// squares is a stack of layers of one square each with n points a side.
func squares(layers, n int) *slice.Stack {
	st := &slice.Stack{Layers: make([]slice.Layer, layers), Parts: 1}
	for i := range st.Layers {
		l := &st.Layers[i]
		l.Number = i + 1
		size := 10 + float64(i)
		for _, s := range [4][2]r2.Vec{
			{{X: 0, Y: 0}, {X: size, Y: 0}}, {{X: size, Y: 0}, {X: size, Y: size}},
			{{X: size, Y: size}, {X: 0, Y: size}}, {{X: 0, Y: size}, {X: 0, Y: 0}},
		} {
			for k := range n {
				l.Pts = append(l.Pts, r2.Add(s[0], r2.Scale(float64(k)/float64(n), r2.Sub(s[1], s[0]))))
			}
		}
		box := r2.Box{Max: r2.Vec{X: size, Y: size}}
		l.Contours = []slice.Contour{{End: int32(len(l.Pts)), Area: size * size, Box: box}}
		l.Islands = []slice.Island{{End: 1, Area: size * size, Box: box}}
	}
	return st
}

// counted is the stack's layers, counted as they are cut.
func counted(st *slice.Stack, most, fewest int) (*Layers, []int) {
	cuts := make([]int, len(st.Layers))
	return Window(len(st.Layers), most, fewest, func(n int) *slice.Layer {
		cuts[n-1]++
		l := st.Layers[n-1]
		return &l
	}), cuts
}

// What is asked for in its order, and up to half of the bound back, is cut once,
// and no more is there than may be.
func TestWindowCutsOnce(t *testing.T) {
	st := squares(100, 5) // 20 points each
	for _, c := range []struct{ most, fewest int }{{400, 3}, {0, 20}} {
		l, cuts := counted(st, c.most, c.fewest)
		for n := 1; n <= 100; n++ {
			for m := max(1, n-9); m <= n; m++ {
				if got := l.At(m).Layer.Number; got != m {
					t.Fatalf("asked for layer %d, got %d", m, got)
				}
			}
			there := 0
			for i := range l.at {
				if l.at[i].Load() != nil {
					there++
				}
			}
			if there != min(n, 20) {
				t.Fatalf("%+v: after layer %d there are %d, want %d", c, n, there, min(n, 20))
			}
		}
		for i, k := range cuts {
			if k != 1 {
				t.Errorf("%+v: layer %d was cut %d times", c, i+1, k)
			}
		}
	}
}

// Whoever asks back all the time gets what there is: no layer is cut more than
// about three times on the average.
func TestWindowIsNoTreadmill(t *testing.T) {
	l, cuts := counted(squares(60, 5), 0, 2)
	for n := 1; n <= 60; n++ {
		for m := n; m >= 1; m-- {
			l.At(m)
		}
	}
	sum := 0
	for _, c := range cuts {
		sum += c
	}
	if sum > 3*60 {
		t.Errorf("%d cuts of 60 layers", sum)
	}
}

// In any order, by any number of goroutines at once, a window gives what all
// layers indexed at once do.
func TestWindowIsTheStack(t *testing.T) {
	st := squares(30, 9)
	want := IndexAll(st)
	rapid.Check(t, func(t *rapid.T) {
		l, _ := counted(st, rapid.IntRange(0, 400).Draw(t, "most"), rapid.IntRange(0, 5).Draw(t, "fewest"))
		var wg sync.WaitGroup
		for range 3 {
			asks := rapid.SliceOfN(rapid.IntRange(1, 30), 1, 60).Draw(t, "asks")
			wg.Go(func() {
				for _, n := range asks {
					if got := l.At(n); !reflect.DeepEqual(got, want.At(n)) {
						t.Errorf("layer %d is another", n)
					}
				}
			})
		}
		wg.Wait()
	})
}

func TestIndexSome(t *testing.T) {
	st := squares(9, 2)
	some, all := IndexSome(st, 3, 5), IndexAll(st)
	for n := 1; n <= 9; n++ {
		if in := n >= 3 && n <= 5; some.At(n).Has(0) != in || in && !reflect.DeepEqual(some.At(n), all.At(n)) {
			t.Errorf("layer %d", n)
		}
	}
}
