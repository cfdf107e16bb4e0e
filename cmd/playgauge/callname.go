package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
)

// goRunPath matches the path of a binary that go run built: in a temporary
// folder the first time, in the build cache from then on.
var goRunPath = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`[/\\]go-build\d+[/\\]b\d+[/\\]exe[/\\][^/\\]+$|[/\\][0-9a-f]{64}-d[/\\][^/\\]+$`)
})

// Where go run finds the program: sourceFolder from the module's folder,
// importPath from any folder in it.
const (
	sourceFolder = "./cmd/playgauge"
	importPath   = "playgauge/cmd/playgauge"
)

// callName is what a person types, in the folder they are in, to call this
// program again. exe is the path of its binary, arg0 the name it was called
// by.
func callName(exe, arg0 string) string {
	if goRunPath().MatchString(exe) {
		if info, err := os.Stat(sourceFolder); err == nil && info.IsDir() {
			return "go run " + sourceFolder
		}
		return "go run " + importPath
	}
	name := strings.TrimSuffix(filepath.Base(arg0), ".exe")
	if found, err := exec.LookPath(name); err == nil && sameFile(found, exe) {
		return shellWord(name)
	}
	return shellWord(arg0)
}

// ownCallName is callName for the program that is running.
func ownCallName() string {
	exe, err := os.Executable()
	if err != nil {
		return "playgauge"
	}
	return callName(exe, os.Args[0])
}
