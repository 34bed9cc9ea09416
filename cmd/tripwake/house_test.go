package main

import (
	"encoding/json"
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// module is what import paths of the project begin with.
const module = "tripwake/"

// root is the project's folder, seen from this package.
var root = filepath.Join("..", "..")

// imports says what a package may import of the project, and why. A package that is not named may import nothing of it.
// Data goes one way, files -> pipeline -> queries -> measures -> reports, and so do imports, the other way round.
var imports = map[string]struct {
	may []string
	why string
}{
	"cmd/tripwake": {[]string{"reports", "reports/extract", "queries", "queries/measures", "pipeline", "pipeline/draft", "pipeline/invent", "pipeline/layout", "pipeline/store"},
		"the commands put the parts together; they open the store, and take answers from queries, never from its tables"},
	"reports": {[]string{"reports/charts", "queries", "queries/measures", "queries/stats"},
		"a report lays out answers; of stats it takes the names of the rules of signals alone; it sees neither store nor pipeline"},
	"reports/extract": {[]string{"queries", "queries/measures", "queries/stats"},
		"an extract is columns from queries in files; of stats it takes which counts to withhold, of measures how a cell is defused"},
	"reports/charts": {nil, "a chart knows plain numbers, not what they mean"},
	"queries/measures": {[]string{"queries", "queries/stats"},
		"a measure is facts from a question and a statistic; it has no SQL"},
	"queries": {[]string{"queries/views", "queries/allowed", "pipeline/store", "pipeline/link", "pipeline/units", "pipeline/records"},
		"a question reads the store; what a window is, what a unit is worth and what a column means stands in the pipeline once"},
	"queries/allowed": {nil, "LEAF: judges the parse of a statement alone"},
	"queries/views":   {nil, "LEAF: SQL texts"},
	"queries/stats":   {nil, "LEAF: statistics over plain slices, which can be held to published values alone"},
	"pipeline": {[]string{"pipeline/intake", "pipeline/layout", "pipeline/normalise", "pipeline/link", "pipeline/store", "pipeline/records"},
		"Load calls the stages in order"},
	"pipeline/intake":          {[]string{"pipeline/layout", "pipeline/records", "pipeline/units", "pipeline/store"}, "tables are told by name and header, a header may bear a unit; store quotes names"},
	"pipeline/normalise":       {[]string{"pipeline/intake", "pipeline/layout", "pipeline/records", "pipeline/units", "pipeline/store"}, "text to typed values: needs the source, the columns, the units"},
	"pipeline/draft":           {[]string{"pipeline/intake", "pipeline/layout", "pipeline/records", "pipeline/units"}, "samples of files held against columns and units, written as a layout; it stores nothing"},
	"pipeline/link":            {nil, "SQL for whose a device row is; it knows the store's tables by name only"},
	"pipeline/store":           {[]string{"pipeline/records"}, "the schema is made from the record contract"},
	"pipeline/store/storetest": {[]string{"pipeline/store"}, "tests of several packages open stores"},
	"pipeline/records":         {nil, "LEAF: the record contract, known to all and knowing nobody"},
	"pipeline/layout":          {[]string{"pipeline/records", "pipeline/units"}, "a layout is held against the record contract and the units when it is read"},
	"pipeline/units":           {nil, "LEAF: units and their factors, which stand nowhere else"},
	"pipeline/invent":          {nil, "invented exports must not be made by the code that reads them"},
	"queries/stats/crosscheck": {nil, "a test only, of stats against R and Python"},
}

// outside says which packages alone may import what is not ours. A module that is not named may be imported by nobody: what
// the project leans on is decided here.
var outside = []struct {
	path string // an import path, or the beginning of some, ending in a slash
	may  []string
	why  string
}{
	{"github.com/marcboeker/go-duckdb/", []string{"pipeline/store"}, "one package knows the engine, so that it is opened in one way only"},
	{"database/sql", []string{"pipeline/store", "queries"}, "store opens and lends, queries ask; all others speak of records and answers"},
	{"database/sql/", []string{"pipeline/store"}, "what a driver needs"},
	{"go.yaml.in/yaml/v3", []string{"pipeline/layout"}, "a layout is the one file that is read with its lines"},
	{"github.com/spf13/", []string{"cmd/tripwake"}, "settings and command lines end where the program begins"},
	{"github.com/schollz/progressbar/", []string{"cmd/tripwake"}, "only a command talks to a terminal"},
	{"golang.org/x/term", []string{"cmd/tripwake"}, "only a command talks to a terminal"},
	{"github.com/dop251/goja", []string{"reports/charts"}, "script runs in one place"},
	{"github.com/go-echarts/", []string{"reports/charts"}, "a chart is described in one place"},
	{"github.com/apache/arrow/", []string{"reports/extract"}, "files for researchers are written, and read back, in one place"},
	{"github.com/chromedp/", nil, "a browser is driven by tests alone; what the program prints with one it starts as anybody would"},
	{"gonum.org/", []string{"queries/stats"}, "distributions are asked for where intervals are made"},
	{"golang.org/x/sync/", []string{"pipeline/intake"}, "files are gone through side by side where their bytes are"},
	{"golang.org/x/text/", []string{"pipeline/intake", "pipeline/invent"}, "encodings end at the door; invented exports have them too"},
	{"net/http", nil, "the program works without a network"},
	{"net", nil, "the program works without a network"},
	{"os/exec", []string{"cmd/tripwake"}, "a report is printed by a browser of the machine, and by a command alone; nothing else is started"},
}

// ruleOf finds the rule for an import that is not ours. Packages of the standard library need none.
func ruleOf(path string) (may []string, why string, bound bool) {
	for _, o := range outside {
		if path == o.path || (strings.HasSuffix(o.path, "/") && strings.HasPrefix(path, o.path)) {
			return o.may, o.why, true
		}
	}
	if strings.Contains(strings.Split(path, "/")[0], ".") {
		return nil, "the module is not in the table; say there who may import it and why", true
	}
	return nil, "", false
}

// listed is what is looked at of a package in `go list -json`.
type listed struct {
	ImportPath, Dir, Doc  string
	Imports, TestImports  []string
	XTestImports, GoFiles []string
}

func (p listed) name() string { return strings.TrimPrefix(p.ImportPath, module) }

// packages asks the go tool for every package of the project.
func packages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,Doc,Imports,TestImports,XTestImports,GoFiles", "./...")
	cmd.Dir = root
	text, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	found := objects[listed](t, string(text))
	if len(found) < 10 {
		t.Fatalf("go list names %d packages only", len(found))
	}
	return found
}

// Imports go one way. The table above is the only place where that is decided.
func TestImports(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range packages(t) {
		seen[p.name()] = true
		rule, ok := imports[p.name()]
		if !ok {
			t.Errorf("%s: is not in the table of imports; say there what it may import and why", p.name())
		}
		for _, path := range p.Imports {
			name, ours := strings.CutPrefix(path, module)
			if ours && !slices.Contains(rule.may, name) {
				t.Errorf("%s imports %s, which the table does not allow (%s)", p.name(), name, rule.why)
			}
			if may, why, bound := ruleOf(path); !ours && bound && !slices.Contains(may, p.name()) {
				t.Errorf("%s imports %s, which only %v may: %s", p.name(), path, may, why)
			}
		}
	}
	for name, rule := range imports {
		if !seen[name] {
			t.Errorf("%s: stands in the table of imports and does not exist", name)
		}
		if rule.why == "" {
			t.Errorf("%s: the table gives no reason", name)
		}
	}
}

// Nothing below cmd can be reached from what is below it: the table itself has no circle and never points back.
func TestImportTableGoesOneWay(t *testing.T) {
	order := []string{"cmd", "reports", "queries", "pipeline"}
	for name, rule := range imports {
		for _, to := range rule.may {
			if slices.Index(order, strings.Split(to, "/")[0]) < slices.Index(order, strings.Split(name, "/")[0]) {
				t.Errorf("the table lets %s import %s, which lies above it", name, to)
			}
		}
	}
}

// Tests keep to the same rules, but for what they need to make a store to ask.
func TestTestImports(t *testing.T) {
	for _, p := range packages(t) {
		for _, path := range append(p.TestImports, p.XTestImports...) {
			if strings.HasPrefix(path, "github.com/marcboeker/go-duckdb") && p.name() != "pipeline/store" {
				t.Errorf("tests of %s import the engine's driver; open a store instead", p.name())
			}
			if path == module+"cmd/tripwake" {
				t.Errorf("tests of %s import the program", p.name())
			}
		}
	}
}

// sources parses the Go files of every package, without tests.
func sources(t *testing.T, p listed, files *token.FileSet) []*ast.File {
	t.Helper()
	var parsed []*ast.File
	for _, name := range p.GoFiles {
		file, err := parser.ParseFile(files, filepath.Join(p.Dir, name), nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		parsed = append(parsed, file)
	}
	return parsed
}

// Every package says what comes in, what goes out and what it refuses; every exported name is explained.
func TestDocumentation(t *testing.T) {
	for _, p := range packages(t) {
		if len(p.Doc) < 40 {
			t.Errorf("%s: has no package comment that says what it does", p.name())
		}
		files := token.NewFileSet()
		parsed := sources(t, p, files)
		if len(parsed) == 0 || parsed[0].Name.Name == "main" {
			continue
		}
		described, err := doc.NewFromFiles(files, parsed, p.ImportPath)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range undocumented(described) {
			t.Errorf("%s: %s has no comment", p.name(), name)
		}
	}
}

func undocumented(p *doc.Package) (names []string) {
	note := func(name, text string) {
		if strings.TrimSpace(text) == "" {
			names = append(names, name)
		}
	}
	values := func(all []*doc.Value) {
		for _, v := range all {
			for _, spec := range v.Decl.Specs {
				one := spec.(*ast.ValueSpec)
				note(one.Names[0].Name, v.Doc+one.Doc.Text()+one.Comment.Text())
			}
		}
	}
	functions := func(prefix string, all []*doc.Func) {
		for _, f := range all {
			note(prefix+f.Name, f.Doc)
		}
	}
	values(p.Consts)
	values(p.Vars)
	functions("", p.Funcs)
	for _, typ := range p.Types {
		note(typ.Name, typ.Doc)
		values(typ.Consts)
		values(typ.Vars)
		functions("", typ.Funcs)
		functions(typ.Name+".", typ.Methods)
	}
	return slices.DeleteFunc(names, func(name string) bool {
		return name == "_" || strings.Contains(name, ".String") || strings.Contains(name, ".Error")
	})
}

// The house numbers are aims, printed with -v; only a function over 100 lines is an error.
const longestFunction = 100

func TestSizes(t *testing.T) {
	var functions, files []int
	for _, p := range packages(t) {
		set := token.NewFileSet()
		for _, file := range sources(t, p, set) {
			files = append(files, set.Position(file.FileEnd).Line)
			for _, decl := range file.Decls {
				f, ok := decl.(*ast.FuncDecl)
				if !ok || f.Body == nil {
					continue
				}
				from, to := set.Position(f.Pos()), set.Position(f.End())
				lines := to.Line - from.Line + 1
				functions = append(functions, lines)
				if lines > longestFunction {
					t.Errorf("%s:%d: %s has %d lines, more than %d", from.Filename, from.Line, f.Name.Name, lines, longestFunction)
				}
			}
		}
	}
	slices.Sort(functions)
	slices.Sort(files)
	at := func(sorted []int, percent int) int { return sorted[(len(sorted)-1)*percent/100] }
	t.Logf("%d functions: half have at most %d lines (aim 12), nine in ten %d (aim 40), the longest %d",
		len(functions), at(functions, 50), at(functions, 90), functions[len(functions)-1])
	t.Logf("%d files: half have at most %d lines, nine in ten %d (aim 350), the longest %d",
		len(files), at(files, 50), at(files, 90), files[len(files)-1])
	if at(functions, 50) > 24 || at(functions, 90) > 60 || at(files, 90) > 500 {
		t.Error("functions or files have grown far beyond the house numbers")
	}
}

// committed are the files of the project: what git would keep, or all that is there where git is not.
func committed(t *testing.T) []string {
	t.Helper()
	cmd := exec.Command("git", "ls-files", "-co", "--exclude-standard", "-z")
	cmd.Dir = root
	if text, err := cmd.Output(); err == nil {
		names := strings.Split(strings.TrimSuffix(string(text), "\x00"), "\x00")
		return slices.DeleteFunc(names, func(name string) bool {
			_, err := os.Stat(filepath.Join(root, name))
			return err != nil
		})
	}
	var names []string
	made := regexp.MustCompile(`^(\.git|bin|demo|reports/charts/runtime/(node_modules|dist)|testdata/(public|readers|browser)/node_modules)(/|$)`)
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, path)
		switch name = filepath.ToSlash(name); {
		case err != nil:
			return err
		case made.MatchString(name) && entry.IsDir():
			return fs.SkipDir
		case !entry.IsDir():
			names = append(names, name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

// topLevel is the layout agreed on.
var topLevel = []string{"cmd", "pipeline", "reports", "queries", "testdata", "README.md", "DEVELOPERS.md", "go.mod", "go.sum",
	"Makefile", "LICENSE", "NOTICE", ".ci", ".gitignore", ".gitattributes"}

func TestLayout(t *testing.T) {
	found := map[string]bool{}
	for _, name := range committed(t) {
		found[strings.Split(name, "/")[0]] = true
	}
	for _, name := range slices.Sorted(maps.Keys(found)) {
		if !slices.Contains(topLevel, name) {
			t.Errorf("%s: is no part of the layout; what is made belongs into a git-ignored folder", name)
		}
	}
	for _, name := range topLevel {
		if !found[name] {
			t.Errorf("%s: is missing", name)
		}
	}
}

// What the documents point at is there.
func TestDocumentLinks(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#]+)\)`)
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			t.Fatal(err)
		}
		for _, found := range link.FindAllStringSubmatch(string(text), -1) {
			if _, err := os.Stat(filepath.Join(root, filepath.FromSlash(found[1]))); err != nil {
				t.Errorf("%s points at %s, which is not there", name, found[1])
			}
		}
	}
}

// Patterns that must not stand in Go or template files, each where it would do harm.
var banned = []struct {
	pattern *regexp.Regexp
	in      *regexp.Regexp
	why     string
}{
	{regexp.MustCompile(`\.(Render|RenderSnippet|RenderContent)\(`), regexp.MustCompile(`^reports/.*\.go$`),
		"go-echarts' own renderers leave script tags in titles unescaped; marshal chart.JSON() instead"},
	{regexp.MustCompile(`t\.Skip(f|Now)?\(`), regexp.MustCompile(`_test\.go$`), "a test that is skipped says nothing: it fails, or is not there"},
	{regexp.MustCompile(`(?i)<script|\son[a-z]+=|javascript:`), regexp.MustCompile(`^reports/templates/`), "reports hold no script"},
	{regexp.MustCompile(`https?://`), regexp.MustCompile(`^reports/templates/`), "reports ask for nothing outside"},
	{regexp.MustCompile(`(?i)(^|[^a-z_])select\s.+\sfrom\s`), regexp.MustCompile(`^(reports|cmd)/.*\.go$`), "SQL lies in pipeline and queries"},
}

func TestBannedPatterns(t *testing.T) {
	self := "cmd/tripwake/house_test.go"
	for _, name := range committed(t) {
		if name == self {
			continue
		}
		for _, b := range banned {
			if !b.in.MatchString(name) || (strings.HasSuffix(name, "_test.go") && !strings.HasSuffix(b.in.String(), `_test\.go$`)) {
				continue
			}
			text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
			if err != nil {
				t.Fatal(err)
			}
			if at := b.pattern.FindIndex(text); at != nil {
				t.Errorf("%s:%d: %q: %s", name, 1+strings.Count(string(text[:at[0]]), "\n"), text[at[0]:at[1]], b.why)
			}
		}
	}
}

// House rules for SQL that lie in the pipeline; those of queries are held by that package.
func TestPipelineSQLStyle(t *testing.T) {
	quoted := regexp.MustCompile(`'[^']*'`)
	found := 0
	for _, name := range committed(t) {
		if !strings.HasPrefix(name, "pipeline/") || !strings.HasSuffix(name, ".sql") {
			continue
		}
		found++
		text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")
		for i, start := range []string{"-- answers: ", "-- grain: ", "-- parameters: "} {
			if len(lines) <= i || !strings.HasPrefix(lines[i], start) {
				t.Errorf("%s:%d: expected the header line %q", name, i+1, start)
			}
		}
		body := strings.Join(lines[min(3, len(lines)):], "\n")
		if len(lines) > 60 || strings.Count(body, " as (\n") > 5 {
			t.Errorf("%s: %d lines and %d common table expressions, expected at most 60 and 5", name, len(lines), strings.Count(body, " as (\n"))
		}
		if capital := regexp.MustCompile(`[A-Z]`).FindString(quoted.ReplaceAllString(body, "")); capital != "" {
			t.Errorf("%s: capital %q outside a literal", name, capital)
		}
	}
	if found == 0 {
		t.Error("no SQL file found in pipeline")
	}
}

// What npm brings is pinned: every package of the lock files has a checksum, and none comes from a folder or a repository.
func TestPackagesArePinned(t *testing.T) {
	for _, folder := range []string{"reports/charts/runtime", "testdata/public", "testdata/readers", "testdata/browser"} {
		holdPinned(t, filepath.Join(root, filepath.FromSlash(folder), "package-lock.json"))
	}
}

func holdPinned(t *testing.T, path string) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var lock struct {
		Packages map[string]struct {
			Version, Resolved, Integrity string
			Link                         bool
		}
	}
	if err := json.Unmarshal(text, &lock); err != nil {
		t.Fatal(err)
	}
	if len(lock.Packages) < 2 {
		t.Fatalf("the lock file names %d packages", len(lock.Packages))
	}
	for name, p := range lock.Packages {
		if name != "" && (!strings.HasPrefix(p.Integrity, "sha512-") || p.Version == "" || p.Link) {
			t.Errorf("%s: %+v is not pinned by a checksum", name, p)
		}
	}
}
