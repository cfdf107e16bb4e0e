package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

func TestCallName(t *testing.T) {
	onPath, elsewhere := t.TempDir(), t.TempDir()
	name := "playgauge"
	if runtime.GOOS == "windows" {
		name += ".exe"
	}
	installed, built := filepath.Join(onPath, name), filepath.Join(elsewhere, name)
	for _, file := range []string{installed, built} {
		if err := os.WriteFile(file, nil, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	root := t.TempDir()
	if err := os.MkdirAll(filepath.Join(root, "cmd", "playgauge"), 0o777); err != nil {
		t.Fatal(err)
	}
	hash := strings.Repeat("0f", 32)
	for _, c := range []struct{ path, folder, exe, arg0, want string }{
		{onPath, root, installed, "playgauge", "playgauge"},
		{onPath, root, installed, installed, "playgauge"},
		{"", root, installed, installed, shellWord(installed)},
		{onPath, root, built, "./playgauge", "./playgauge"}, // another one is on the path
		{"", root, built, "../my tools/playgauge", "'../my tools/playgauge'"},
		{onPath, root, "/tmp/go-build123/b001/exe/playgauge", "x", "go run ./cmd/playgauge"},
		{onPath, root, `C:\Temp\go-build123\b001\exe\playgauge.exe`, "x", "go run ./cmd/playgauge"},
		{onPath, root, "/cache/0f/" + hash + "-d/playgauge", "x", "go run ./cmd/playgauge"},
		{onPath, elsewhere, "/cache/0f/" + hash + "-d/playgauge", "x", "go run playgauge/cmd/playgauge"},
		// A test binary, and a folder that only looks like it.
		{"", root, "/tmp/go-build123/b001/playgauge.test", "playgauge.test", "playgauge.test"},
		{"", root, "/home/go-build/playgauge", "./playgauge", "./playgauge"},
	} {
		t.Setenv("PATH", c.path)
		t.Chdir(c.folder)
		if got := callName(c.exe, c.arg0); got != c.want {
			t.Errorf("%s called by %s: got %s, want %s", c.exe, c.arg0, got, c.want)
		}
	}
}

// The installed Go command builds where goRunPath looks, the first time and
// from the build cache.
func TestGoRunIsKnown(t *testing.T) {
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go command is on the path")
	}
	dir := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":  "module where\n",
		"main.go": "package main\n\nimport \"os\"\n\nfunc main() {\n\texe, _ := os.Executable()\n\tos.Stdout.WriteString(exe)\n}\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for range 2 {
		cmd := exec.Command(tool, "run", ".")
		cmd.Dir = dir
		cmd.Env = append(os.Environ(), "GOFLAGS=", "GOWORK=off")
		exe, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		if !goRunPath().Match(exe) {
			t.Errorf("%s is not taken for a binary of go run", exe)
		}
	}
}
