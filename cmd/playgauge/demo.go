package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape/garden"
	"playgauge/report"
)

// demoFolder is where the demo writes unless told otherwise.
const demoFolder = "playgauge-demo"

// demoList names the file in the demo's folder that lists what an earlier
// demo wrote: a line a file, its SHA-256 and its name. A file that is listed
// and unchanged may be replaced.
const demoList = ".playgauge-demo.sums"

// nextScale is the scale the demo ends by proposing: gaps grow with the
// model, and the one of the model it proposes then comes to what the cautious
// machine needs.
const nextScale = "2.5"

// toyCaution is what to mind before such a print goes to a child.
const toyCaution = "These are toys: keep small parts and what can break off from children under three, " +
	"look for sharp strings, let bed and print cool, and crack a weld free away from yourself, " +
	"with your eyes protected. Local rules and accredited testing decide what may be given to a child."

// demoFile is a file the demo is about to write.
type demoFile struct {
	name string
	data []byte
}

// demo writes the program's own models and vets them.
func (a *app) demo(args []string) int {
	flags := newFlags("demo")
	if err := flags.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return a.print(demoHelp, statusOK)
	} else if err != nil {
		a.message("demo: %s", flagError(err, flags))
		return statusUsage
	}
	dir := demoFolder
	switch flags.NArg() {
	case 0:
	case 1:
		dir = flags.Arg(0)
	default:
		a.message("demo: takes one folder, got %d", flags.NArg())
		return statusUsage
	}
	if dir == "" {
		a.message("demo: a folder needs a name, got an empty one")
		return statusUsage
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		a.message("demo: %s: %s", dir, reason(err))
		return statusFile
	}
	text, files, err := a.demoModels(dir)
	if err == nil {
		err = a.writeDemo(dir, files)
	}
	if err != nil {
		a.message("demo: %s", err)
		return statusFile
	}
	return a.print(text, statusOK)
}

// demoModels builds and vets the models; the text has a line for each, the
// files are to be written.
func (a *app) demoModels(dir string) (text string, files []demoFile, err error) {
	models := garden.Models()
	a.bar.show(a.stderr, len(models))
	defer a.bar.clear()
	width := textWidth(a.stdout, os.Getenv)
	longest := 0
	for _, m := range models {
		longest = max(longest, len(m.File))
	}
	var out strings.Builder
	out.WriteString(wrap(fmt.Sprintf("%d models of garden toys are in %s, each with its heat-strip beside it (.png). On the built-in cautious machine:",
		len(models), dir), width))
	out.WriteString("\n")
	next := "" // the first that does not come out
	for _, m := range models {
		var stl, strip bytes.Buffer
		if err := mesh.WriteSTL(&stl, m.Build().Soup()); err != nil {
			return "", nil, fmt.Errorf("%s: %w", m.File, err)
		}
		// What is judged is the file, as anybody would vet it.
		soup, err := mesh.ReadSTL(bytes.NewReader(stl.Bytes()))
		if err != nil {
			return "", nil, fmt.Errorf("%s: %w", m.File, err)
		}
		r, err := judge(m.File, soup, gapscan.AsIs(), machine.BuiltIn())
		if err != nil {
			return "", nil, fmt.Errorf("%s: %w", m.File, err)
		}
		if err := report.Strip(&strip, r); err != nil {
			return "", nil, fmt.Errorf("%s: %w", m.File, err)
		}
		if next == "" && statusOf(r.Outcome) != statusOK {
			next = m.File
		}
		picture := strings.TrimSuffix(m.File, filepath.Ext(m.File)) + ".png"
		files = append(files, demoFile{m.File, stl.Bytes()}, demoFile{picture, strip.Bytes()})
		fmt.Fprintf(&out, "%-8s%-*s %s\n", r.Outcome, longest, m.File, m.About)
		a.bar.step()
	}
	out.WriteString("\n" + wrap("See why one of them fails, then what "+nextScale+" times the size does for it:", width))
	for _, scale := range []string{"", " --scale " + nextScale} {
		fmt.Fprintf(&out, "  %s vet %s%s\n", ownCallName(), shellWord(filepath.Join(dir, next)), scale)
	}
	out.WriteString("\n" + wrap(toyCaution, width))
	return out.String(), files, nil
}

// writeDemo writes the files into a folder that is there. If one of them is
// there already and an earlier demo did not write it, nothing is written.
func (a *app) writeDemo(dir string, files []demoFile) error {
	listFile := filepath.Join(dir, demoList)
	listed, err := readSums(listFile)
	if err != nil {
		return fmt.Errorf("%s: %s", listFile, reason(err))
	}
	for _, f := range files {
		file := filepath.Join(dir, f.name)
		there, err := os.ReadFile(file)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return fmt.Errorf("%s: %s", file, reason(err))
		case !bytes.Equal(there, f.data) && listed[f.name] != sum(there):
			return fmt.Errorf("%s is not as an earlier demo wrote it, so nothing was written; move it away or choose another folder", file)
		}
		listed[f.name] = sum(f.data)
	}
	for _, f := range files {
		if err := a.writeBytes(filepath.Join(dir, f.name), f.data); err != nil {
			return err
		}
	}
	var list bytes.Buffer
	for _, f := range files {
		fmt.Fprintf(&list, "%s  %s\n", listed[f.name], f.name)
	}
	return a.writeBytes(listFile, list.Bytes())
}

func (a *app) writeBytes(file string, data []byte) error {
	err := a.files.write(file, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
	if err != nil {
		return fmt.Errorf("%s: %s", file, reason(err))
	}
	return nil
}

// readSums reads the list of an earlier demo: SHA-256 by file name, empty
// where there is none. Lines of another form are passed over: what they
// meant to list is then simply not ours to replace.
func readSums(file string) (map[string]string, error) {
	sums := map[string]string{}
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return sums, nil
	}
	if err != nil {
		return nil, err
	}
	for line := range strings.Lines(string(data)) {
		if hash, name, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  "); ok {
			sums[name] = hash
		}
	}
	return sums, nil
}

func sum(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}
