package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// asProgram makes the test binary behave as the program: what is tested is a process of its own, with its exit code and
// its two streams.
const asProgram = "RUN_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
	}
	os.Exit(m.Run())
}

// place is a working directory of its own in which the program is run.
type place struct {
	t   *testing.T
	dir string
	env []string
}

func newPlace(t *testing.T, env ...string) *place {
	t.Helper()
	return &place{t, t.TempDir(), env}
}

// outcome is what one run of the program gave.
type outcome struct {
	code          int
	out, messages string
}

// run starts the program with nothing of the tester's own settings.
func (p *place) run(args ...string) outcome {
	p.t.Helper()
	cmd := exec.Command(os.Args[0], args...)
	cmd.Dir = p.dir
	cmd.Env = p.environment()
	var out, messages bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &messages
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		p.t.Fatal(err)
	}
	return outcome{cmd.ProcessState.ExitCode(), out.String(), messages.String()}
}

// environment is the tester's without settings of the tester's own, and the place's.
func (p *place) environment() (env []string) {
	for _, pair := range os.Environ() {
		if !strings.HasPrefix(pair, "TRIPWAKE_") && !strings.HasPrefix(pair, "SOURCE_DATE_EPOCH=") {
			env = append(env, pair)
		}
	}
	return append(append(env, asProgram+"=1"), p.env...)
}

// good runs a command that must succeed and gives its standard output.
func (p *place) good(args ...string) string {
	p.t.Helper()
	got := p.run(args...)
	if got.code != 0 {
		p.t.Fatalf("tripwake %s: exit %d\n%s", strings.Join(args, " "), got.code, got.messages)
	}
	return got.out
}

// bad runs a command that must end with a code and one line on standard error that holds the words.
func (p *place) bad(code int, words string, args ...string) {
	p.t.Helper()
	got := p.run(args...)
	last := strings.TrimSuffix(got.messages, "\n")
	if i := strings.LastIndexByte(last, '\n'); i >= 0 && code != exitRefused {
		p.t.Errorf("tripwake %s: expected one line on standard error, got\n%s", strings.Join(args, " "), got.messages)
	} else {
		last = last[i+1:]
	}
	if got.code != code || !strings.HasPrefix(last, "tripwake: ") || !strings.Contains(last, words) {
		p.t.Errorf("tripwake %s: exit %d %q, want exit %d with %q", strings.Join(args, " "), got.code, last, code, words)
	}
	if code != exitRefused && got.out != "" {
		p.t.Errorf("tripwake %s: failed and yet printed %q", strings.Join(args, " "), got.out)
	}
}

// write makes a file below the place and its folders.
func (p *place) write(name, text string) {
	p.t.Helper()
	path := filepath.Join(p.dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		p.t.Fatal(err)
	}
}

func (p *place) read(name string) string {
	p.t.Helper()
	text, err := os.ReadFile(filepath.Join(p.dir, name))
	if err != nil {
		p.t.Fatal(err)
	}
	return string(text)
}

// files gives the content of every file below a folder of the place.
func (p *place) files(folder string) map[string]string {
	p.t.Helper()
	found := map[string]string{}
	root := filepath.Join(p.dir, folder)
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		found[strings.TrimPrefix(path, root+string(filepath.Separator))] = string(text)
		return err
	})
	if err != nil {
		p.t.Fatal(err)
	}
	return found
}

// objects reads JSON lines.
func objects[T any](t *testing.T, text string) (found []T) {
	t.Helper()
	decoder := json.NewDecoder(strings.NewReader(text))
	for decoder.More() {
		var one T
		if err := decoder.Decode(&one); err != nil {
			t.Fatalf("%v in %.200s", err, text)
		}
		found = append(found, one)
	}
	return found
}

// ledgerOf gives the ledger by file.
func (p *place) ledgerOf(args ...string) map[string]ledgerLine {
	p.t.Helper()
	found := map[string]ledgerLine{}
	for _, line := range objects[ledgerLine](p.t, p.good(append(args, "--format", "json")...)) {
		found[line.File] = line
	}
	return found
}

// ledgerLine is a line of `ledger --format json`.
type ledgerLine struct {
	File         string         `json:"file"`
	Table        string         `json:"table"`
	Read         int            `json:"read"`
	Stored       int            `json:"stored"`
	Repeated     int            `json:"repeated"`
	Refused      int            `json:"refused"`
	CellsRefused int            `json:"cells_refused"`
	Superseded   int            `json:"superseded"`
	Reasons      map[string]int `json:"reasons"`
}
