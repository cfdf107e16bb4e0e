package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"playgauge": main})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("testdata", "script"),
		Setup:               setup,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"status": status},
	})
}

// status runs a program and checks its exit status: status N program args...
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N program args...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// setup gives each script its own home and the models it vets.
func setup(env *testscript.Env) error {
	home := filepath.Join(env.WorkDir, "home")
	config := filepath.Join(home, "config")
	env.Setenv("HOME", home)
	env.Setenv("XDG_CONFIG_HOME", config)
	env.Setenv("AppData", config)
	env.Setenv("FORCE_COLOR", "")
	if runtime.GOOS == "darwin" {
		config = filepath.Join(home, "Library", "Application Support")
	}
	machines := filepath.Join(config, "playgauge", "machines")
	if err := os.MkdirAll(machines, 0o777); err != nil {
		return err
	}
	env.Setenv("machines", machines)
	for name, gap := range map[string]float64{
		"free.stl":  1,    // twice the bottom need of the cautious machine
		"close.stl": 0.55, // 1.1 times the bottom need
		"tight.stl": 0.3,  // below every need
	} {
		if err := writeModel(filepath.Join(env.WorkDir, name), posts(gap)); err != nil {
			return err
		}
	}
	// Three plates in a row, so large that a sample of a joint spares some.
	plate := shape.Box(r3.Vec{}, r3.Vec{X: 40, Y: 20, Z: 4})
	row := plate.Append(plate.Move(40.3, 0, 0), plate.Move(80.7, 0, 0))
	if err := writeModel(filepath.Join(env.WorkDir, "row.stl"), row); err != nil {
		return err
	}
	// One part alone.
	if err := writeModel(filepath.Join(env.WorkDir, "single.stl"), shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 3})); err != nil {
		return err
	}
	return writePacked(env.WorkDir)
}

// posts are two blocks of 4 x 5 x 3 mm, side by side with a gap.
func posts(gap float64) shape.Solid {
	block := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 3})
	return block.Append(block.Move(4+gap, 0, 0))
}

func writeModel(file string, s shape.Solid) error {
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	return errors.Join(mesh.WriteSTL(f, s.Soup()), f.Close())
}
