package machine

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// The variables by which the test program becomes one that records.
const (
	recordFile = "PLAYGAUGE_TEST_RECORD_FILE"
	recordName = "PLAYGAUGE_TEST_RECORD_NAME"
)

// records is how many times each process records.
const records = 12

func TestMain(m *testing.M) {
	if file := os.Getenv(recordFile); file != "" {
		for i := range records {
			source := fmt.Sprintf("%s.%d", os.Getenv(recordName), i)
			err := Record(file, []Trial{{Family: FamilySide, GapMM: 0.3, Result: CameFree, Source: source}}, atOnce)
			if err != nil {
				fmt.Println(err)
				os.Exit(1)
			}
			fmt.Println(source)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// atOnce does work that nothing stops.
func atOnce(work func() error) error { return work() }

// recorder is a process that records.
func recorder(t *testing.T, file, name string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), self)
	cmd.Env = append(os.Environ(), recordFile+"="+file, recordName+"="+name)
	return cmd
}

const byHand = "# mine\nname = \"shed\"   # the one in the shed\n\n[tested]\n# bridge_mm = 20\nside_mm = 0.3\n"

func sources(t *testing.T, file string) []string {
	t.Helper()
	m, err := Load(file)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, trial := range m.Trials {
		out = append(out, trial.Source)
	}
	return out
}

func TestRecordByManyProcesses(t *testing.T) {
	file := filepath.Join(t.TempDir(), "shed.toml")
	write(t, file, byHand)
	const processes = 6
	var running []*exec.Cmd
	outs := make([]strings.Builder, processes)
	for i := range processes {
		cmd := recorder(t, file, fmt.Sprint(i))
		cmd.Stdout = &outs[i]
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		running = append(running, cmd)
	}
	// Whoever reads meanwhile finds a whole file, and never less than before.
	stop, read := make(chan struct{}), make(chan error)
	go func() {
		seen := 0
		for {
			m, err := Load(file)
			if err == nil && len(m.Trials) < seen {
				err = fmt.Errorf("%d trials after %d", len(m.Trials), seen)
			}
			seen = len(m.Trials)
			select {
			case <-stop:
				read <- err
				return
			default:
			}
			if err != nil {
				read <- err
				return
			}
		}
	}()
	for i, cmd := range running {
		if err := cmd.Wait(); err != nil {
			t.Fatalf("%v: %s", err, outs[i].String())
		}
	}
	close(stop)
	if err := <-read; err != nil {
		t.Errorf("read meanwhile: %v", err)
	}
	got := sources(t, file)
	if len(got) != processes*records {
		t.Errorf("%d of %d are there", len(got), processes*records)
	}
	for p := range processes { // none lost, none twice, each process's in its order
		i := -1
		for k := range records {
			at := slices.Index(got, fmt.Sprintf("%d.%d", p, k))
			if at <= i {
				t.Fatalf("process %d, record %d: at %d after %d", p, k, at, i)
			}
			i = at
		}
	}
	text, err := os.ReadFile(file)
	if err != nil || !strings.HasPrefix(string(text), byHand) {
		t.Errorf("what was written by hand is lost: %v\n%s", err, text)
	}
}

// A process that is killed leaves a whole file with all that it said it had
// recorded, and the lock to the next.
func TestRecordKilled(t *testing.T) {
	file := filepath.Join(t.TempDir(), "shed.toml")
	write(t, file, byHand)
	var said []string
	for i := range 8 {
		cmd := recorder(t, file, fmt.Sprint(i))
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		for range i/2 + 1 { // then somewhere in the next
			if !lines.Scan() {
				t.Fatal("it recorded nothing")
			}
			said = append(said, lines.Text())
		}
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for lines.Scan() {
			said = append(said, lines.Text())
		}
		_ = cmd.Wait() // killed
		got := sources(t, file)
		for _, s := range said {
			if !slices.Contains(got, s) {
				t.Fatalf("%s was lost", s)
			}
		}
	}
	if err := Record(file, someTrials, atOnce); err != nil {
		t.Fatal(err)
	}
}

func TestRecordLeavesWhatItCannot(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"cut.toml":     byHand + "[[trial]]\nfamily = \"si",
		"unknown.toml": "nozle_mm = 0.4\n",
		"large.toml":   "#" + strings.Repeat("-", MaxFileBytes-20) + "\n",
		"inline.toml":  "trial = []\n",
	} {
		file := filepath.Join(dir, name)
		write(t, file, text)
		err := Record(file, someTrials, atOnce)
		var fe *FileError
		if !errors.As(err, &fe) || fe.File != file {
			t.Errorf("%s: %v", name, err)
		}
		if got, err := os.ReadFile(file); err != nil || string(got) != text {
			t.Errorf("%s: changed, %v", name, err)
		}
	}
	file := filepath.Join(dir, "good.toml")
	write(t, file, byHand)
	var te *TrialError
	if err := Record(file, []Trial{someTrials[0], {}}, atOnce); !errors.As(err, &te) || te.Index != 1 {
		t.Errorf("a trial that is none: %v", err)
	}
	if err := Record(file, nil, atOnce); err != nil {
		t.Error(err)
	}
	if got, _ := os.ReadFile(file); string(got) != byHand {
		t.Errorf("changed: %s", got)
	}
	for _, gone := range []string{filepath.Join(dir, "gone.toml"), filepath.Join(dir, "no", "folder.toml")} {
		if err := Record(gone, someTrials, atOnce); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%v", err)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".tmp") || strings.Contains(e.Name(), "gone") {
			t.Errorf("left behind: %s", e.Name())
		}
	}
	if names := namesIn(dir); len(names) != 5 {
		t.Errorf("machines: %v", names)
	}
}

func TestRecordKeepsModeAndLink(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links and modes are of another kind here")
	}
	dir := t.TempDir()
	real, link := filepath.Join(dir, "real.toml"), filepath.Join(dir, "link.toml")
	write(t, real, byHand)
	if err := errors.Join(os.Chmod(real, 0o640), os.Symlink("real.toml", link)); err != nil {
		t.Fatal(err)
	}
	if err := Record(link, someTrials, atOnce); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(link)
	if err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v", err)
	}
	info, err = os.Lstat(real)
	if err != nil || info.Mode() != 0o640 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	if got := sources(t, real); len(got) != len(someTrials) {
		t.Errorf("recorded %d", len(got))
	}
}

// There is no new file beside the machine's but while the work is held, and where
// it may not be done the file stays as it is.
func TestRecordIsHeld(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "shed.toml")
	begun := func() int {
		found, err := filepath.Glob(filepath.Join(folder, ".shed.toml.*.tmp"))
		if err != nil {
			t.Fatal(err)
		}
		return len(found)
	}
	held := 0
	hold := func(work func() error) error {
		held++
		if begun() != 0 {
			t.Error("a file is begun before the work is held")
		}
		return work()
	}
	if err := Create(file, []byte(byHand), hold); err != nil || held != 1 {
		t.Fatalf("%v, held %d times", err, held)
	}
	if err := Record(file, someTrials, hold); err != nil || held != 2 || begun() != 0 {
		t.Errorf("%v, held %d times, %d files left", err, held, begun())
	}
	stopped := errors.New("stopped")
	before := sources(t, file)
	err := Record(file, someTrials, func(func() error) error { return stopped })
	if !errors.Is(err, stopped) || !slices.Equal(sources(t, file), before) {
		t.Errorf("%v, %q were %q", err, sources(t, file), before)
	}
}

func TestCreate(t *testing.T) {
	t.Chdir(t.TempDir())
	file := filepath.Join("some", "folder", "shed.toml")
	if err := Create(file, []byte(byHand), atOnce); err != nil {
		t.Fatal(err)
	}
	if err := Create(file, []byte("name = \"other\"\n"), atOnce); !errors.Is(err, fs.ErrExist) || strings.Count(err.Error(), "shed.toml") != 1 {
		t.Errorf("over another: %v", err)
	}
	if got, err := os.ReadFile(file); err != nil || string(got) != byHand {
		t.Errorf("%s, %v", got, err)
	}
	var fe *FileError
	if err := Create("bad.toml", []byte("nozle_mm = 1"), atOnce); !errors.As(err, &fe) || isFile("bad.toml") {
		t.Errorf("%v", err)
	}
	if err := Create("bare.toml", nil, atOnce); err != nil || Record("bare.toml", someTrials[:1], atOnce) != nil || len(sources(t, "bare.toml")) != 1 {
		t.Errorf("%v", err)
	}
}
