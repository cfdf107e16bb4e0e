package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"syscall"
)

// app is one run of the program.
type app struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	files          outputs
	bar            progress
	ctx            context.Context // done when the program is stopped
}

// command is one of the program's commands.
type command struct {
	name string
	run  func(a *app, args []string) int
}

// commands lists them as the help does.
func commands() []command {
	return []command{
		{"vet", (*app).vet},
		{"remedy", (*app).remedy},
		{"sample", (*app).sample},
		{"coupon", (*app).coupon},
		{"machine", (*app).machine},
		{"demo", (*app).demo},
		{"help", (*app).help},
		{"version", (*app).version},
	}
}

// run does what the arguments ask and returns the exit status. A signal ends
// it early; files begun are then removed.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	stop := make(chan os.Signal, 1)
	// A signal ends the program as it ends any, until there is something to
	// tidy up: listening takes threads, a hundredth of the vet of a toy.
	listen := sync.OnceFunc(func() { signal.Notify(stop, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP) })
	defer signal.Stop(stop)
	a := &app{stdin: stdin, stdout: stdout, stderr: stderr, files: outputs{before: listen}, bar: progress{before: listen}}
	// A reader that has seen enough closes the pipe; writing then fails and
	// is told from other failures in print.
	signal.Ignore(syscall.SIGPIPE)
	return a.until(stop, func() int { return a.dispatch(args) })
}

// until works until done or stopped by a signal.
func (a *app) until(stop <-chan os.Signal, work func() int) int {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	a.ctx = ctx
	done := make(chan int, 1)
	go func() { done <- work() }()
	select {
	case status := <-done:
		return status
	case <-stop:
		cancel() // from here on nothing more is told
		a.files.abandon()
		a.bar.clear()
		return statusInterrupted
	}
}

func (a *app) dispatch(args []string) int {
	if len(args) == 0 {
		if _, err := io.WriteString(a.stderr, helpText); err != nil {
			return statusFile
		}
		return statusUsage
	}
	name := args[0]
	switch name {
	case "-h", "--help":
		name = "help"
	case "--version":
		name = "version"
	}
	for _, c := range commands() {
		if c.name == name {
			return c.run(a, args[1:])
		}
	}
	return a.unknownCommand(name)
}

func (a *app) unknownCommand(name string) int {
	if strings.HasPrefix(name, "-") && name != stdinName {
		a.message("unknown flag %s; a command comes first: see playgauge --help", name)
		return statusUsage
	}
	hint := "; see playgauge --help"
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	if near := nearest(name, names); near != "" {
		hint = "; did you mean " + near + "?"
	} else if _, err := os.Stat(name); err == nil || name == stdinName || strings.HasSuffix(strings.ToLower(name), ".stl") {
		hint = "; did you mean playgauge vet " + shellWord(name) + "?"
	}
	a.message("unknown command %q%s", name, hint)
	return statusUsage
}

func (a *app) help(args []string) int {
	text := helpText
	if len(args) > 0 {
		switch args[0] {
		case "vet":
			text = vetHelp()
		case "remedy":
			text = remedyHelp()
		case "sample":
			text = sampleHelp()
		case "coupon":
			text = couponHelp()
		case "machine":
			return a.helpOfMachine(args[1:])
		case "demo":
			text = demoHelp
		case "help", "version", "--help", "-h":
		default:
			return a.unknownCommand(args[0])
		}
	}
	return a.print(text, statusOK)
}

func (a *app) version(args []string) int {
	if len(args) > 0 {
		if args[0] == "--help" || args[0] == "-h" {
			return a.print(helpText, statusOK)
		}
		a.message("version: takes no arguments, got %s", args[0])
		return statusUsage
	}
	version := "(devel)"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		version = info.Main.Version
	}
	return a.print(fmt.Sprintf("playgauge %s %s %s/%s\n", version, runtime.Version(), runtime.GOOS, runtime.GOARCH), statusOK)
}
