package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// allowed says which of the project's packages each may import: the pipeline
// runs one way.
var allowed = map[string][]string{
	"mesh/parallel":     {},
	"mesh/seeded":       {},
	"mesh/bvh":          {"mesh/parallel"},
	"mesh":              {"mesh/bvh", "mesh/parallel"},
	"mesh/region":       {},
	"mesh/clip":         {"mesh", "mesh/region"},
	"mesh/shape":        {"mesh", "mesh/bvh", "mesh/region"},
	"mesh/shape/garden": {"mesh", "mesh/bvh", "mesh/shape"},
	".ci":               {}, // reads a file, for .ci/ratio
	"slice/sweep":       {},
	"slice":             {"mesh", "mesh/parallel", "slice/sweep"},
	"slice/near":        {"mesh/parallel", "slice"},
	"gapscan/machine":   {},
	"gapscan/coupon":    {"mesh/shape", "gapscan/machine"},
	"gapscan/overhang":  {"mesh/parallel", "slice", "slice/near", "slice/sweep"},
	"gapscan/slot":      {"mesh/parallel", "slice", "slice/near"},
	"gapscan/smallpart": {},
	"gapscan": {"mesh", "mesh/bvh", "mesh/parallel", "mesh/region", "slice", "slice/near", "slice/sweep",
		"gapscan/machine", "gapscan/overhang", "gapscan/slot", "gapscan/smallpart"},
	"gapscan/batch":    {"mesh", "gapscan", "gapscan/machine", "gapscan/smallpart"},
	"gapscan/practice": {"gapscan", "gapscan/machine"},
	"gapscan/remedy":   {"mesh", "slice", "slice/near", "gapscan", "gapscan/machine", "gapscan/practice"},
	"gapscan/sample":   {"mesh", "mesh/clip", "slice", "gapscan", "gapscan/machine", "gapscan/overhang"},
	"report":           {"mesh", "mesh/parallel", "slice", "gapscan", "gapscan/batch", "gapscan/machine", "gapscan/practice", "gapscan/remedy", "gapscan/sample", "gapscan/smallpart"},
	"cmd/playgauge": {"mesh", "mesh/shape", "mesh/shape/garden", "slice", "gapscan",
		"gapscan/batch", "gapscan/coupon", "gapscan/machine", "gapscan/remedy", "gapscan/sample", "report"},
}

func TestImportsRunOneWay(t *testing.T) {
	const root = "../.."
	seen := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		pkg := filepath.ToSlash(rel)
		may, known := allowed[pkg]
		if !known {
			t.Errorf("%s: no rule says what package %s may import", path, pkg)
			return nil
		}
		seen[pkg] = true
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, im := range f.Imports {
			p, err := strconv.Unquote(im.Path.Value)
			if err != nil {
				return err
			}
			if own, ok := strings.CutPrefix(p, "playgauge/"); ok && !slices.Contains(may, own) {
				t.Errorf("%s imports %s, which stands to its right or is not its business", path, own)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for pkg := range allowed {
		if !seen[pkg] {
			t.Errorf("there is a rule for %s but no such package", pkg)
		}
	}
}
