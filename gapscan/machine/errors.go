package machine

import (
	"fmt"
	"strings"
)

// FileError is what is wrong with a machine file.
type FileError struct {
	// File is the name the file was given by.
	File string
	// Line counts from 1; 0 where the whole file is meant.
	Line int
	// Key is the dotted key ("tested.side_mm", or "[[trial]]" for a table)
	// and Value what the file gives it, as written there and shortened; both
	// empty where no key is at fault.
	Key, Value string
	// Problem says what is wrong, or what is allowed.
	Problem string
	// Known lists the keys there are, where Key is none of them and Problem
	// does not say what was meant.
	Known []string
	// Err is the error of reading the file, nil where it was read.
	Err error
}

// Unwrap gives the error of reading the file.
func (e *FileError) Unwrap() error { return e.Err }

// Error is one line: shed.toml:9: tested.side_mm = -0.3: must be ...
func (e *FileError) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d", e.Line)
	}
	if e.Key != "" {
		b.WriteString(": " + e.Key)
		if e.Value != "" {
			b.WriteString(" = " + e.Value)
		}
	}
	return b.String() + ": " + e.Problem
}

// NotFoundError says that there is no machine of a name.
type NotFoundError struct {
	Name string
	// Folder is where its file was looked for.
	Folder string
	// Known lists the names that are there, sorted.
	Known []string
}

// Error is one line that lists the names there are.
func (e *NotFoundError) Error() string {
	if len(e.Known) == 0 {
		return fmt.Sprintf("no machine %q: there is no machine file in %s", e.Name, e.Folder)
	}
	return fmt.Sprintf("no machine %q in %s: there are %s", e.Name, e.Folder, strings.Join(e.Known, ", "))
}
