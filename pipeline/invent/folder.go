package invent

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// ledgerName is the hidden file that lists what Write made in a folder. Only files that it lists are ever replaced, so an
// export of a real device under the same name is never touched.
const ledgerName = ".invented"

// companions may lie beside the records: what the caller writes about them.
var companions = []string{"tripwake.yaml", "layout.yaml", "README.txt"}

// folder is the set of files being written. The first error stays and stops all further writing.
type folder struct {
	dir    string
	place  *time.Location
	ledger *os.File
	open   map[string]*openFile
	order  []string
	sum    Summary
	err    error

	zone string     // of the layout; empty: all files bear canonical names
	used []*program // of the files written
}

type openFile struct {
	*file
	part string
}

// openFolder makes the folder, or takes one that holds nothing but what Write made before, which it removes.
func openFolder(dir string, place *time.Location) (*folder, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("cannot make the folder for invented records: %w; give one that can be made", err)
	}
	mine, err := listed(filepath.Join(dir, ledgerName))
	if err != nil {
		return nil, err
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("cannot read the folder for invented records: %w", err)
	}
	for _, e := range entries {
		known := e.Name() == ledgerName || slices.Contains(mine, e.Name()) || slices.Contains(companions, e.Name())
		if !known || !e.Type().IsRegular() {
			return nil, fmt.Errorf("%s: holds %s, which is not an invented record; expected an empty folder or one written before: give another", dir, e.Name())
		}
	}
	for _, name := range mine {
		if err := os.Remove(filepath.Join(dir, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("cannot replace an invented record: %w", err)
		}
	}
	ledger, err := os.OpenFile(filepath.Join(dir, ledgerName), os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return nil, fmt.Errorf("cannot keep the list of invented records: %w", err)
	}
	return &folder{dir: dir, place: place, ledger: ledger, open: map[string]*openFile{}, sum: Summary{Rows: map[string]int{}}}, nil
}

// listed reads the names in a ledger; a name that leads out of the folder is no name of ours.
func listed(path string) ([]string, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("cannot read the list of invented records: %w", err)
	}
	defer f.Close()
	var names []string
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if name := lines.Text(); filepath.Base(name) == name && (strings.HasSuffix(name, ".csv") || name == LayoutName) {
			names = append(names, name)
		}
	}
	return names, nil
}

// sheet returns the file of a table and an owner, opening it on first use and closing the one of the period before.
func (o *folder) sheet(table, owner, part string) *file {
	if o.err != nil {
		return nil
	}
	by, stem, between := o.program(table, owner), table, "-"
	if by != nil {
		stem, between = by.stem, " "
	}
	key := stem + "/" + owner
	if f, ok := o.open[key]; ok {
		if f.part == part {
			return f.file
		}
		o.shut(f.file)
	} else {
		o.order = append(o.order, key)
	}
	name := strings.Join(slices.DeleteFunc([]string{stem, owner, part}, func(s string) bool { return s == "" }), between) + ".csv"
	if _, err := o.ledger.WriteString(name + "\n"); err != nil {
		o.fail(fmt.Errorf("cannot keep the list of invented records: %w", err))
		return nil
	}
	look := dialectOf(table, owner)
	if by != nil {
		look = by.dialect
		o.used = append(o.used, by)
	}
	f, err := createFile(filepath.Join(o.dir, name), table, look, by, o.place)
	if err != nil {
		o.fail(err)
		return nil
	}
	o.sum.Files = append(o.sum.Files, name)
	o.open[key] = &openFile{f, part}
	return f
}

// program is the one that exports a table of an owner, nil where the file bears canonical names.
func (o *folder) program(table, owner string) *program {
	if o.zone == "" {
		return nil
	}
	return programs[table+"/"+owner]
}

// sheets appends the file to a list, unless it cannot be had.
func (o *folder) sheets(list []*file, table, owner, part string) []*file {
	if f := o.sheet(table, owner, part); f != nil {
		list = append(list, f)
	}
	return list
}

func (o *folder) add(table, owner, part string, row []cell) {
	if f := o.sheet(table, owner, part); f != nil {
		f.add(table, row)
	}
}

func (o *folder) fail(err error) {
	if o.err == nil {
		o.err = err
	}
}

func (o *folder) shut(f *file) {
	err := f.close()
	for table, n := range f.rows {
		o.sum.Rows[table] += n
	}
	o.sum.Rows[f.table] += f.readings
	if err != nil {
		o.fail(fmt.Errorf("cannot finish an export of %s in %s: %w", f.table, o.dir, err))
	}
}

// layout writes the layout of the programs whose files were written.
func (o *folder) layout() {
	if len(o.used) == 0 || o.err != nil {
		return
	}
	if _, err := o.ledger.WriteString(LayoutName + "\n"); err != nil {
		o.fail(fmt.Errorf("cannot keep the list of invented records: %w", err))
		return
	}
	f, err := os.OpenFile(filepath.Join(o.dir, LayoutName), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		o.fail(fmt.Errorf("cannot write the layout of the invented records: %w; move %s away", err, LayoutName))
		return
	}
	if _, err := f.WriteString(layoutText(o.used, o.zone)); err != nil {
		o.fail(err)
	}
	if err := f.Close(); err != nil {
		o.fail(err)
	}
	o.sum.Files = append(o.sum.Files, LayoutName)
}

// close shuts all files and sorts their names; it returns the first error of the whole writing.
func (o *folder) close() (Summary, error) {
	for _, key := range o.order {
		if f, ok := o.open[key]; ok {
			o.shut(f.file)
		}
	}
	o.layout()
	if err := o.ledger.Close(); err != nil {
		o.fail(err)
	}
	slices.Sort(o.sum.Files)
	return o.sum, o.err
}
