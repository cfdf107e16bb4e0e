package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var updateReadme = flag.Bool("update-readme", false, "write the real output into README.md")

// TestReadmeSession runs the commands README.md shows and compares what they
// print with what it says they print.
func TestReadmeSession(t *testing.T) {
	const file = "../../README.md"
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	readme := string(data)
	for _, command := range []string{"go run ./cmd/playgauge demo", "go test ./..."} {
		if !strings.Contains(readme, "\n    "+command+"\n") {
			t.Errorf("README.md no longer shows: %s", command)
		}
	}

	t.Setenv("NO_COLOR", "1")
	t.Setenv("COLUMNS", "")
	// Hints name the program as it is called once it is installed.
	called := os.Args[0]
	os.Args[0] = "playgauge"
	defer func() { os.Args[0] = called }()
	t.Chdir(t.TempDir())
	if code := run([]string{"demo"}, strings.NewReader(""), &bytes.Buffer{}, &bytes.Buffer{}); code != 0 {
		t.Fatalf("demo exits %d", code)
	}
	if err := os.WriteFile("shed.toml", []byte(block(readme, "    name = \"shed\"")), 0o644); err != nil {
		t.Fatal(err)
	}

	var want strings.Builder
	ran := 0
	lines := strings.SplitAfter(readme, "\n")
	for i := 0; i < len(lines); i++ {
		want.WriteString(lines[i])
		command, ok := strings.CutPrefix(strings.TrimRight(lines[i], "\n"), "    $ playgauge ")
		if !ok {
			continue
		}
		ran++
		var out, errs bytes.Buffer
		if code := run(strings.Fields(command), strings.NewReader(""), &out, &errs); code > 1 {
			t.Fatalf("%s exits %d: %s", command, code, &errs)
		}
		for _, l := range strings.SplitAfter(strings.TrimRight(out.String(), "\n")+"\n", "\n") {
			if strings.TrimSpace(l) != "" {
				l = "    " + l
			}
			want.WriteString(l)
		}
		for i+1 < len(lines) && (strings.HasPrefix(lines[i+1], "    ") || lines[i+1] == "\n" && i+2 < len(lines) && strings.HasPrefix(lines[i+2], "    ")) {
			i++
		}
	}
	if ran < 3 {
		t.Fatalf("README.md shows only %d commands", ran)
	}
	if want.String() == readme {
		return
	}
	if *updateReadme {
		if err := os.WriteFile(filepath.Join(testFolder, file), []byte(want.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("README.md does not show what the commands print; go test ./cmd/playgauge -run Readme -update-readme writes it:\n%s", want.String())
}

// testFolder is where the tests start.
var testFolder = func() string {
	wd, err := os.Getwd()
	if err != nil {
		panic(err)
	}
	return wd
}()

// block is the indented block that begins with a line, without the indent.
func block(text, first string) string {
	_, rest, _ := strings.Cut(text, first)
	var b strings.Builder
	for _, l := range strings.SplitAfter(first+rest, "\n") {
		if strings.TrimSpace(l) != "" && !strings.HasPrefix(l, "    ") {
			break
		}
		b.WriteString(strings.TrimPrefix(l, "    "))
	}
	return b.String()
}
