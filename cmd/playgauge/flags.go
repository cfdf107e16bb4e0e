package main

import (
	"io"

	"github.com/spf13/pflag"
)

// flagSpec is a flag that hands its text to a function.
type flagSpec struct {
	name, value, usage string
	set                func(string) error
}

// newFlags makes the flags of a command, told in the order given. They print
// nothing themselves.
func newFlags(command string, specs ...flagSpec) *pflag.FlagSet {
	fs := pflag.NewFlagSet(command, pflag.ContinueOnError)
	fs.SortFlags = false
	fs.SetOutput(io.Discard)
	fs.Usage = func() {}
	addFlags(fs, specs...)
	return fs
}

func addFlags(fs *pflag.FlagSet, specs ...flagSpec) {
	for _, f := range specs {
		fs.Var(flagValue{f.value, f.set}, f.name, f.usage)
	}
}

// flagValue is the value of a flagSpec.
type flagValue struct {
	kind string
	set  func(string) error
}

func (v flagValue) Set(s string) error { return v.set(s) }
func (v flagValue) Type() string       { return v.kind }
func (v flagValue) String() string     { return "" }
