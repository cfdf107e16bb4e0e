package machine

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// FileSuffix ends the name of a machine file.
const FileSuffix = ".toml"

// Folder is where machine files are looked for by name: playgauge/machines
// in the user's configuration folder.
func Folder() (string, error) {
	base, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder of machine files: %w", err)
	}
	return filepath.Join(base, "playgauge", "machines"), nil
}

// Find reads a machine by the name of its file or by its name in Folder. It
// is taken as a file if it holds a path separator, ends in .toml, or is one
// in the current folder. The error is a *NotFoundError for a name that is
// not there, a *FileError for what the file says, or one of reading it.
func Find(nameOrFile string) (Machine, error) {
	if nameOrFile == "" {
		return Machine{}, errors.New("a machine needs a name or a file")
	}
	if strings.HasSuffix(nameOrFile, FileSuffix) || strings.ContainsAny(nameOrFile, "/"+string(filepath.Separator)) || isFile(nameOrFile) {
		return Load(nameOrFile)
	}
	folder, err := Folder()
	if err != nil {
		return Machine{}, err
	}
	m, err := Load(filepath.Join(folder, nameOrFile+FileSuffix))
	if errors.Is(err, fs.ErrNotExist) {
		return Machine{}, &NotFoundError{Name: nameOrFile, Folder: folder, Known: namesIn(folder)}
	}
	return m, err
}

// Load reads a machine file. An error is a *FileError.
func Load(file string) (Machine, error) {
	data, err := readFile(file)
	if err != nil {
		return Machine{}, err
	}
	return Parse(file, data)
}

// readFile reads a machine file, of one that is too large what tells so. An
// error is a *FileError.
func readFile(file string) ([]byte, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, &FileError{File: file, Problem: reason(err), Err: err}
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, MaxFileBytes+1))
	if err != nil {
		return nil, &FileError{File: file, Problem: reason(err), Err: err}
	}
	return data, nil
}

// reason leaves the file's name out of an error that will be shown with it.
func reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}

func isFile(name string) bool {
	info, err := os.Stat(name)
	return err == nil && !info.IsDir()
}

// Named is a machine file with the name that Find takes for it.
type Named struct{ Name, File string }

// FilesIn lists the machine files of a folder by name; none where there is no
// such folder. The error is one of reading it.
func FilesIn(folder string) ([]Named, error) {
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	var files []Named
	for _, e := range entries { // sorted, with the ending
		name, ok := strings.CutSuffix(e.Name(), FileSuffix)
		if ok && name != "" && !strings.HasPrefix(name, ".") && !e.IsDir() {
			files = append(files, Named{name, filepath.Join(folder, e.Name())})
		}
	}
	slices.SortFunc(files, func(a, b Named) int { return strings.Compare(a.Name, b.Name) })
	return files, nil
}

// namesIn lists the machines of a folder, sorted. A folder that cannot be read
// offers no names.
func namesIn(folder string) []string {
	files, _ := FilesIn(folder)
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	return names
}
