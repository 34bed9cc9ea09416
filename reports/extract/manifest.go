package extract

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"

	"tripwake/queries"
)

const (
	manifestFile = "manifest.json"
	manifestKind = "tripwake extract"
)

// manifest says what an extract was made from, how, and what it holds, so that it can be cited and checked. Names of files
// and settings stay behind, since they may name a place or a person: their hashes stand for them.
type manifest struct {
	Kind         string          `json:"kind"`
	Program      string          `json:"program"`
	Version      string          `json:"version"`
	Model        string          `json:"model"`
	Inputs       []string        `json:"inputs_sha256"`
	Store        string          `json:"store_sha256"`
	Settings     string          `json:"settings_sha256"`
	Cohort       string          `json:"cohort_sha256"` // empty: every transport
	AgeLimits    []float64       `json:"age_limits_days"`
	WeightLimits []float64       `json:"weight_limits_grams"`
	Year         bool            `json:"year_told"`
	Classes      manifestClasses `json:"classes"`
	Tables       []manifestTable `json:"tables"`
	Outputs      []output        `json:"outputs"`
}

type manifestClasses struct {
	K                int            `json:"asked_for"`
	QuasiIdentifiers []string       `json:"quasi_identifiers"`
	Transports       int            `json:"transports"`
	Released         int            `json:"released"`
	LeftOut          int            `json:"left_out"`
	SmallestBefore   int            `json:"smallest_before"`
	InSmallBefore    int            `json:"in_smaller_before"`
	Smallest         int            `json:"smallest"`
	InSmall          int            `json:"in_smaller"`
	Steps            []manifestStep `json:"steps"`
}

type manifestStep struct {
	Column     string `json:"column"`
	Change     string `json:"change"`
	Transports int    `json:"transports"`
}

type manifestTable struct {
	Name    string `json:"name"`
	Rows    int    `json:"rows"`
	Columns int    `json:"columns"`
}

type output struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// writeManifest hashes every file that is there and lists them; the manifest itself comes last and is in no list but the
// one it returns.
func writeManifest(dir string, in Input, books []book, c queries.Classes) ([]string, error) {
	d := in.Disclosure
	m := manifest{Kind: manifestKind, Program: program, Version: in.Version, Model: Model, Inputs: slices.Sorted(slices.Values(in.Inputs)),
		Store: in.StoreHash, Settings: in.SettingsHash, Cohort: in.CohortHash, AgeLimits: d.AgeLimits, WeightLimits: d.WeightLimits, Year: d.Year,
		Classes: manifestClasses{K: c.K, QuasiIdentifiers: c.QuasiIdentifiers, Transports: c.Asked, Released: c.Released, LeftOut: c.LeftOut,
			SmallestBefore: c.SmallestBefore, InSmallBefore: c.InSmallBefore, Smallest: c.Smallest, InSmall: c.InSmall}}
	m.Inputs = slices.Compact(m.Inputs)
	for _, s := range c.Steps {
		m.Classes.Steps = append(m.Classes.Steps, manifestStep{s.Column, s.Change, s.Cells})
	}
	for _, b := range books {
		m.Tables = append(m.Tables, manifestTable{b.table.Name, b.rows, len(b.table.Columns)})
	}
	var err error
	if m.Outputs, err = outputs(dir); err != nil {
		return nil, err
	}
	var files []string
	for _, o := range m.Outputs {
		files = append(files, o.File)
	}
	return append(files, manifestFile), m.write(dir)
}

func (m manifest) write(dir string) error {
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	file, err := create(dir, manifestFile)
	if err != nil {
		return err
	}
	_, err = file.Write(append(text, '\n'))
	return errors.Join(err, file.Close())
}

func outputs(dir string) ([]output, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var all []output
	for _, e := range entries {
		sum, size, err := HashFile(filepath.Join(dir, e.Name()))
		if err != nil {
			return nil, err
		}
		all = append(all, output{e.Name(), sum, size})
	}
	return all, nil
}

// HashFile gives the SHA-256 of a file in hex, and its size in bytes.
func HashFile(path string) (sum string, size int64, err error) {
	file, err := os.Open(path)
	if err != nil {
		return "", 0, err
	}
	defer file.Close()
	h := sha256.New()
	size, err = io.Copy(h, file)
	return hex.EncodeToString(h.Sum(nil)), size, err
}
