package invent

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"time"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// dialect is how one export looks: delimiter, line ends, encoding, times, and the units that its header names.
type dialect struct {
	comma    rune
	crlf     bool
	encoding encoding.Encoding
	layout   string
	units    map[string]shown
	aliases  map[string]alias
}

// shown is a column in another unit than the contract's: header text, and value = canonical × factor + offset.
type shown struct {
	label          string
	factor, offset float64
	places         int
}

// alias is the unit that a readings row bears for a quantity, and the factor from the contract's unit.
type alias struct {
	unit   string
	factor float64
	places int
}

// Layouts of times: local without offset, with a T, and with the offset written out.
const (
	localSpace = "2006-01-02 15:04:05"
	localT     = "2006-01-02T15:04:05"
	withOffset = "2006-01-02T15:04:05-07:00"
)

const kPaPerPsi = 6.894757293168 // NIST SP 811

var plain = dialect{comma: ',', layout: localSpace}

// dialects by table and by the base or device that exports it; what is not here is plain.
var dialects = map[string]dialect{
	"transports/base-stellorin":  {comma: ';', crlf: true, encoding: unicode.UTF8BOM, layout: localSpace, units: kilos},
	"transports/base-umberlock":  {comma: '\t', crlf: true, encoding: charmap.Windows1252, layout: localT, units: kilos},
	"assessments/base-stellorin": {comma: ';', crlf: true, encoding: unicode.UTF8BOM, layout: localSpace, units: stellorinAssessments},
	"assessments/base-umberlock": {comma: '\t', layout: localT, units: map[string]shown{"fio2": {"(1)", 0.01, 0, 3}}},
	"cylinders/base-fenquill":    {comma: ',', layout: localSpace, units: pressures("(psi)", 1/kPaPerPsi)},
	"cylinders/base-stellorin":   {comma: ';', crlf: true, encoding: unicode.UTF8BOM, layout: localSpace, units: pressures("(kPa)", 1)},
	"cylinders/base-umberlock":   {comma: '\t', layout: localT, units: pressures("[bar]", 0.01)},
	"events/base-stellorin":      {comma: ';', crlf: true, encoding: unicode.UTF8BOM, layout: localSpace},
	"events/base-umberlock":      {comma: '\t', layout: localT},
	"checks/base-stellorin":      {comma: ';', crlf: true, layout: localSpace},
	"carried/base-umberlock":     {comma: '\t', layout: localT},
	"service/":                   {comma: '\t', crlf: true, encoding: unicode.UTF16(unicode.LittleEndian, unicode.UseBOM), layout: localSpace},
	"notes/":                     {comma: ',', crlf: true, encoding: unicode.UTF8BOM, layout: localSpace},
	"settings/V4":                {comma: ',', layout: withOffset, units: millibars},
	"settings/V5":                {comma: ';', layout: localT, units: map[string]shown{"inspiratory_time": {"(ms)", 1000, 0, 0}}},
	"alarms/V2":                  {comma: ';', crlf: true, layout: localSpace},
	"alarms/V4":                  {comma: ',', layout: withOffset},
	"alarms/M3":                  {comma: '\t', encoding: unicode.UTF8BOM, layout: localT},
	"power/V4":                   {comma: ',', layout: withOffset},
	"readings/V2":                {comma: ';', crlf: true, layout: localSpace},
	"readings/V3":                {comma: '\t', encoding: unicode.UTF8BOM, layout: localSpace, aliases: shortNames},
	"readings/V4":                {comma: ',', layout: withOffset, aliases: odditiesOfV4},
	"readings/V5":                {comma: ',', layout: localT},
	"readings/M1":                {comma: ',', layout: localSpace, aliases: vitalSigns},
	"readings/M3":                {comma: ';', crlf: true, layout: localT, aliases: vitalSigns},
}

var stellorinAssessments = map[string]shown{"temperature": {"[degF]", 1.8, 32, 2}, "glucose": {"(mmol/L)", 1 / 18.016, 0, 2},
	"pco2": {"(kPa)", 0.133322, 0, 2}, "po2": {"(kPa)", 0.133322, 0, 2}}

var kilos = map[string]shown{"weight": {"(kg)", 0.001, 0, 3}}

const mbarPerWater = 0.980665 // exact, 98.0665 Pa per cm[H2O]

var millibars = map[string]shown{"pip": {"(mbar)", mbarPerWater, 0, 2}, "peep": {"(mbar)", mbarPerWater, 0, 2}}

var odditiesOfV4 = map[string]alias{"pip": {"mbar", mbarPerWater, 1}, "expired_tidal_volume": {"L", 0.001, 4}}

var vitalSigns = map[string]alias{"heart_rate": {"bpm", 1, 0}, "temperature": {"degC", 1, 1}, "blood_pressure": {"mmHg", 1, 0}}

var shortNames = map[string]alias{"pip": {"cmH2O", 1, 0}, "mean_airway_pressure": {"cmH2O", 1, 1}, "rate": {"bpm", 1, 0},
	"expired_tidal_volume": {"ml", 1, 1}, "flow": {"lpm", 1, 1}}

func pressures(label string, factor float64) map[string]shown {
	return map[string]shown{"start_pressure": {label, factor, 0, 0}, "end_pressure": {label, factor, 0, 0}}
}

func dialectOf(table, owner string) dialect {
	if d, ok := dialects[table+"/"+owner]; ok {
		return d
	}
	return plain
}

// file is one export being written.
type file struct {
	table    string
	dialect  dialect
	place    *time.Location
	disk     io.Closer
	buffer   *bufio.Writer
	encoder  io.WriteCloser // nil: UTF-8 as it is
	csv      *csv.Writer
	cells    []string
	line     []byte
	rows     map[string]int // by table
	program  *program       // nil: the file bears canonical names
	names    []string       // the program's headers
	readings int            // rows written past the csv writer
	sample   sample
}

// createFile makes the file new (it must not exist) for the owner alone and writes the header.
func createFile(path, table string, look dialect, by *program, place *time.Location) (*file, error) {
	disk, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, fmt.Errorf("cannot create the export: %w; give an empty folder", err)
	}
	f := &file{table: table, dialect: look, place: place, disk: disk, buffer: bufio.NewWriterSize(disk, 1<<16), rows: map[string]int{}, program: by}
	var out io.Writer = f.buffer
	if look.encoding != nil {
		f.encoder = transform.NewWriter(f.buffer, look.encoding.NewEncoder())
		out = f.encoder
	}
	f.csv = csv.NewWriter(out)
	f.csv.Comma, f.csv.UseCRLF = look.comma, look.crlf
	return f, f.header()
}

func (f *file) header() error {
	if f.program != nil {
		f.names = f.program.headers()
		return f.csv.Write(f.names)
	}
	var names []string
	for _, column := range columns[f.table] {
		if s, ok := f.dialect.units[column]; ok {
			column += " " + s.label
		}
		names = append(names, column)
	}
	return f.csv.Write(names)
}

// add writes one row of a table; the csv writer keeps the first error for close.
func (f *file) add(table string, row []cell) {
	f.rows[table]++
	if f.program != nil {
		_ = f.csv.Write(f.cellsOf(table, row))
		return
	}
	f.cells = f.cells[:0]
	for i, c := range row {
		f.cells = append(f.cells, f.show(columns[f.table][i], c))
	}
	_ = f.csv.Write(f.cells)
}

func (f *file) show(column string, c cell) string {
	switch c.kind {
	case numberCell:
		if s, ok := f.dialect.units[column]; ok {
			return decimal(c.value*s.factor+s.offset, s.places)
		}
		return decimal(c.value, c.places)
	case timeCell:
		return c.when.In(f.place).Format(f.dialect.layout)
	}
	return c.text
}

// decimal never writes a negative zero.
func decimal(v float64, places int) string {
	scale := math.Pow10(places)
	return strconv.FormatFloat(math.Round(v*scale)/scale+0, 'f', places, 64)
}

// addReading is add for the table that grows: no cell of it needs quoting, so bytes go straight to the buffer.
func (f *file) addReading(transport, device string, r reading, odd oddReading) {
	if f.program.wide() {
		f.addWide(transport, device, r, odd)
		return
	}
	unit := ""
	if a, ok := f.dialect.aliases[r.quantity]; ok {
		r.value, r.places, unit = r.value*a.factor, places(a.places), a.unit
	}
	b := f.line[:0]
	b = append(append(b, transport...), byte(f.dialect.comma))
	b = append(append(b, device...), byte(f.dialect.comma))
	b = r.at.In(f.place).AppendFormat(b, f.dialect.layout)
	b = append(append(b, byte(f.dialect.comma)), odd.or(oddQuantity, r.quantity)...)
	b = append(b, byte(f.dialect.comma))
	if odd.part == oddValue {
		b = append(b, odd.text...)
	} else {
		b = strconv.AppendFloat(b, r.value, 'f', int(r.places), 64)
	}
	b = append(append(b, byte(f.dialect.comma)), odd.or(oddUnit, unit)...)
	if f.dialect.crlf {
		b = append(b, '\r')
	}
	f.line = append(b, '\n')
	f.raw(f.line)
	f.readings++
}

// raw bypasses the csv writer, whose header must be out first.
func (f *file) raw(line []byte) {
	if f.readings == 0 {
		f.csv.Flush()
	}
	if f.encoder != nil {
		_, _ = f.encoder.Write(line)
		return
	}
	_, _ = f.buffer.Write(line)
}

// close flushes through all layers and reports the first error.
func (f *file) close() error {
	f.flushSample()
	f.csv.Flush()
	err := f.csv.Error()
	if f.encoder != nil && err == nil {
		err = f.encoder.Close()
	}
	if flushed := f.buffer.Flush(); err == nil {
		err = flushed
	}
	if closed := f.disk.Close(); err == nil {
		err = closed
	}
	return err
}
