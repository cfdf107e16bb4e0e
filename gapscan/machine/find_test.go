package machine

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// useFolder makes a fresh folder of machine files the user's.
func useFolder(t *testing.T) string {
	t.Helper()
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_CONFIG_HOME", filepath.Join(home, "config"))
	t.Setenv("AppData", filepath.Join(home, "AppData"))
	t.Chdir(t.TempDir())
	folder, err := Folder()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(folder, home) {
		t.Fatalf("%s is not under %s", folder, home)
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	return folder
}

func write(t *testing.T, file, text string) {
	t.Helper()
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func TestFind(t *testing.T) {
	folder := useFolder(t)
	write(t, filepath.Join(folder, "shed.toml"), "material = \"PETG\"")
	write(t, "loft.toml", "name = \"the loft's\"")
	write(t, "plain", "")
	if err := os.Mkdir("shed", 0o777); err != nil { // a folder of that name is no machine
		t.Fatal(err)
	}
	for arg, want := range map[string][2]string{
		"shed":                             {"shed", filepath.Join(folder, "shed.toml")},
		"loft.toml":                        {"the loft's", "loft.toml"},
		"./loft.toml":                      {"the loft's", "./loft.toml"},
		"plain":                            {"plain", "plain"},
		filepath.Join(folder, "shed.toml"): {"shed", filepath.Join(folder, "shed.toml")},
	} {
		m, err := Find(arg)
		if err != nil || m.Name != want[0] || m.File != want[1] {
			t.Errorf("%s: %q from %q, %v", arg, m.Name, m.File, err)
		}
	}
	for _, arg := range []string{"shed.toml", "./shed", "no/where"} {
		if _, err := Find(arg); err == nil {
			t.Errorf("%s was found", arg)
		}
	}
	if _, err := Find("gone.toml"); !errors.Is(err, fs.ErrNotExist) || strings.Count(err.Error(), "gone.toml") != 1 {
		t.Errorf("got %v", err)
	}
}

func TestFindListsTheNamesThereAre(t *testing.T) {
	folder := useFolder(t)
	_, err := Find("shed")
	var nf *NotFoundError
	if !errors.As(err, &nf) || nf.Known != nil || !strings.Contains(err.Error(), "no machine file in "+folder) {
		t.Errorf("empty folder: %v", err)
	}
	write(t, filepath.Join(folder, "loft.toml"), "")
	write(t, filepath.Join(folder, "attic.toml"), "")
	write(t, filepath.Join(folder, "notes.txt"), "")
	_, err = Find("shed")
	if !errors.As(err, &nf) || !strings.HasSuffix(err.Error(), "there are attic, loft") {
		t.Errorf("got %v", err)
	}
	write(t, filepath.Join(folder, "shed.toml"), "sides = 1")
	if _, err = Find("shed"); errors.As(err, &nf) || !strings.Contains(err.Error(), "shed.toml:1: sides = 1") {
		t.Errorf("got %v", err)
	}
}
