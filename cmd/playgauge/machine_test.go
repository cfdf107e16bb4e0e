package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"playgauge/gapscan/machine"
)

// recordCommand is a process of the program that records into a file.
func recordCommand(t *testing.T, file string, flags ...string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), exe)
	cmd.Args = append([]string{"playgauge", "machine", "record", file, "--date", "2026-05-31"}, flags...)
	return cmd
}

// Many processes that record into one file at once lose nothing, and each says
// what it recorded itself.
func TestRecordAtOnce(t *testing.T) {
	file := filepath.Join(t.TempDir(), "shed.toml")
	const byHand = "# mine\nname = \"shed\"\n"
	if err := os.WriteFile(file, []byte(byHand), 0o666); err != nil {
		t.Fatal(err)
	}
	const processes = 16
	var running [processes]*exec.Cmd
	var outs, errs [processes]strings.Builder
	gap := func(i int) float64 { return float64(20+i) / 100 }
	for i := range running {
		cmd := recordCommand(t, file, "--side", number(gap(i))+"=free", "--roof", fmt.Sprintf("%d=welds", i%5))
		cmd.Stdout, cmd.Stderr = &outs[i], &errs[i]
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		running[i] = cmd
	}
	for i, cmd := range running {
		if err := cmd.Wait(); err != nil || errs[i].Len() > 0 {
			t.Errorf("%v: %s", err, errs[i].String())
		}
		if want := fmt.Sprintf("  side    %.2f free\n", gap(i)); !strings.Contains(outs[i].String(), want) {
			t.Errorf("%q is not told: %s", want, outs[i].String())
		}
	}
	mc, err := machine.Load(file)
	if err != nil {
		t.Fatal(err)
	}
	side := map[float64]int{}
	for _, tr := range mc.Trials {
		if tr.Family == machine.FamilySide {
			side[tr.GapMM]++
		}
	}
	if len(mc.Trials) != 2*processes || len(side) != processes {
		t.Errorf("%d trials, %d side gaps of %d processes", len(mc.Trials), len(side), processes)
	}
	if text, err := os.ReadFile(file); err != nil || !strings.HasPrefix(string(text), byHand) {
		t.Errorf("what was written by hand is lost: %v", err)
	}
}

// What an editor left stays byte for byte, and the tables follow in its way.
func TestRecordKeepsTheText(t *testing.T) {
	const table = "[[trial]]\ndate = 2026-05-31\nfamily = \"side\"\ngap_mm = 0.3\nresult = \"free\"\nlayer_height_mm = 0.2\nfirst_height_mm = 0.2\n"
	crlf := func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }
	for text, want := range map[string]string{
		"":                         table,
		"name = \"a\"":             "name = \"a\"\n\n" + table,
		"\t# x  \n\nname='a' #y\n": "\t# x  \n\nname='a' #y\n\n" + table,
		crlf("name = \"a\"\n#\n"):  crlf("name = \"a\"\n#\n\n" + table),
		"\xef\xbb\xbfname = \"a\"": "\xef\xbb\xbfname = \"a\"\n\n" + table,
		table + "# good\n":         table + "# good\n\n" + table,
	} {
		file := filepath.Join(t.TempDir(), "a.toml")
		if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		if out, err := recordCommand(t, file, "--side", "0.3=free").CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		if got, err := os.ReadFile(file); err != nil || string(got) != want {
			t.Errorf("%q became\n%q, want\n%q; %v", text, got, want, err)
		}
	}
}

// A file that cannot be written into is as it was, and that is said.
func TestRecordWhereNothingCanBeWritten(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("no folder can be closed to this user")
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "a.toml")
	if err := errors.Join(os.WriteFile(file, []byte("name = \"a\"\n"), 0o666), os.Chmod(dir, 0o555)); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(dir, 0o777) }) // so that it can be removed
	out, err := recordCommand(t, file, "--side", "0.3=free").CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != statusFile || !strings.HasPrefix(string(out), "playgauge: machine record: nothing was recorded: ") {
		t.Errorf("%v: %s", err, out)
	}
}

func TestNewMachineFile(t *testing.T) {
	for in, want := range map[string][2]string{
		"shed": {"shed", ""}, "Werkstatt ü": {"Werkstatt ü", ""}, "a.b": {"a.b", ""},
		"shed.toml": {"shed", "shed.toml"}, "./shed": {"shed", "./shed.toml"}, "x/shed.toml": {"shed", "x/shed.toml"},
	} {
		called, file, err := newMachineFile(in)
		if err != nil || called != want[0] || file != want[1] {
			t.Errorf("%q: %q, %q, %v", in, called, file, err)
		}
	}
	for _, in := range []string{".", "..", "x/", ".toml", "a.", "a ", " a", "-a", "a/..", "a\nb", "a*", `a"b`, strings.Repeat("x", machine.MaxTextLength+1)} {
		if called, file, err := newMachineFile(in); err == nil {
			t.Errorf("%q is taken as %q, %q", in, called, file)
		} else if strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %q", in, err)
		}
	}
}

// What the coupon's closing words say is taken by record once the dots are filled
// in, a cell each.
func TestCouponWordsAreFlags(t *testing.T) {
	var out, errs strings.Builder
	t.Chdir(t.TempDir())
	if code := run([]string{"coupon"}, strings.NewReader(""), &out, &errs); code != statusOK {
		t.Fatal(errs.String())
	}
	_, rest, ok := strings.Cut(out.String(), "playgauge machine record NAME")
	if !ok {
		t.Fatal(out.String())
	}
	rest, _, _ = strings.Cut(rest, "\n\n")
	rest = strings.ReplaceAll(rest, "\\\n", " ")
	before, span, ok := strings.Cut(rest, "--span ")
	if !ok {
		t.Fatal(rest)
	}
	letters := regexp.MustCompile(`=\.+`).ReplaceAllStringFunc(before, func(dots string) string { return "=" + strings.Repeat("f", len(dots)-1) })
	rest = letters + "--span " + strings.ReplaceAll(span, "...", "0.1")
	if err := os.WriteFile("a.toml", nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if code := run(append([]string{"machine", "record", "a.toml"}, strings.Fields(rest)...), strings.NewReader(""), &out, &errs); code != statusOK {
		t.Fatalf("%s: %s", rest, errs.String())
	}
	mc, err := machine.Load("a.toml")
	if err != nil || len(mc.Trials) != 4*6+4*6+2*4+4 {
		t.Errorf("%d trials, %v", len(mc.Trials), err)
	}
}
