package reports

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"regexp"
	"slices"
	"strings"

	"tripwake/reports/charts"
)

//go:embed templates
var templateFiles embed.FS

// shell is what every report has around its content.
type shell struct {
	Title  string
	Policy string        // content security policy: nothing from outside, no script, this style sheet alone
	Style  template.HTML // the style element
}

// newShell makes the head of a document. The policy names the style sheet by the hash of its exact bytes. paper is the sheet for
// which it is laid out, empty for that of the reader's printer. Where charts answer to a pointer, the policy names their one script.
func newShell(title, paper string, interactive bool) (shell, error) {
	css, err := templateFiles.ReadFile("templates/report.css")
	if err != nil {
		return shell{}, fmt.Errorf("report: style sheet: %w", err)
	}
	if paper != "" {
		css = fmt.Appendf(css, "@page { size: %s; }\n", paper)
	}
	policy := fmt.Sprintf("default-src 'none'; style-src %s; img-src data:; base-uri 'none'; form-action 'none'", hashOf(string(css)))
	if interactive {
		script, err := charts.LiveScript()
		if err != nil {
			return shell{}, err
		}
		policy += "; script-src " + hashOf(script)
	}
	return shell{Title: title, Policy: policy, Style: template.HTML("<style>" + string(css) + "</style>")}, nil
}

// document fills the template of that name.
func document(folder, name string, page any) ([]byte, error) {
	set, err := template.New("").ParseFS(templateFiles, "templates/shared/*.html", "templates/"+folder+"/*.html")
	if err != nil {
		return nil, fmt.Errorf("report: templates: %w", err)
	}
	var out bytes.Buffer
	if err := set.ExecuteTemplate(&out, name, page); err != nil {
		return nil, fmt.Errorf("report %s: %w", folder, err)
	}
	return out.Bytes(), nil
}

// render fills the template of that name and writes the document, with the charts of the renderer made lively where it keeps them.
func render(w io.Writer, folder, name string, page any, r *charts.Renderer) error {
	text, err := document(folder, name, page)
	if err == nil && r != nil {
		text, err = enliven(text, r)
	}
	if err != nil {
		return err
	}
	return put(w, folder, text)
}

// put writes a document in one piece, so that a failure leaves no half one behind.
func put(w io.Writer, folder string, text []byte) error {
	if _, err := w.Write(text); err != nil {
		return fmt.Errorf("report %s could not be written: %w", folder, err)
	}
	return nil
}

// table is a table of words and ready numbers. The first cell of a row is its heading.
type table struct {
	Caption string
	Head    []column
	Rows    []line
	Class   string // class of the table element, empty for none
	Wide    bool   // too wide for a phone: its box scrolls, and is reached by keyboard
}

// column is the heading of one column. Numeric columns are set to the right.
type column struct {
	Text    string
	Numeric bool
}

// line is one row. Class is "", "focus" (the month under report), "total", "part" (a heading over several
// rows) or "rest" (what stands for rows left out).
type line struct {
	Class string
	ID    string // what links lead to, empty for none
	Keep  bool   // stands however long the table is
	Cells []cell
}

// cell is text, or a drawing of package charts.
type cell struct {
	Text    string
	Numeric bool
	Drawing template.HTML
	Target  string // id that the text leads to, empty for none
	Links   []link // stand behind the text
}

// columns makes headings: a name that ends in "#" is numeric.
func columns(names ...string) []column {
	head := make([]column, len(names))
	for i, name := range names {
		text, numeric := strings.CutSuffix(name, "#")
		head[i] = column{text, numeric}
	}
	return head
}

// add puts a row of texts at the end of the table, numbers as the headings say.
func (t *table) add(class string, texts ...string) {
	cells := make([]cell, len(texts))
	for i, text := range texts {
		cells[i] = cell{Text: text, Numeric: t.Head[i].Numeric}
	}
	t.Rows = append(t.Rows, line{Class: class, Cells: cells})
}

// draw puts a drawing into the last cell of the last row.
func (t *table) draw(drawing template.HTML) {
	cells := t.Rows[len(t.Rows)-1].Cells
	cells[len(cells)-1].Drawing = drawing
}

// named gives the last row an id that links can lead to.
func (t *table) named(id string) { t.Rows[len(t.Rows)-1].ID = id }

// links puts links behind the text of a cell of the last row.
func (t *table) links(at int, to ...link) { t.Rows[len(t.Rows)-1].Cells[at].Links = to }

// part puts a heading over the rows that follow.
func (t *table) part(text string) {
	t.Rows = append(t.Rows, line{Class: "part", Cells: []cell{{Text: text}}})
}

// rowsShown is how many rows of a kind a table beside a chart has at most: no committee reads more.
const rowsShown = 30

var monthName = regexp.MustCompile(`^\d{4}-\d{2}$`)

// atMost leaves rows away where a part of the table has more than so many, the earlier ones of months, else the later ones, and
// says in their place how many they are and where to find them. Totals, the month under report and what stands out stay.
func (t table) atMost(most int, where string) table {
	var kept []line
	for start := 0; start < len(t.Rows); {
		end := start + 1
		for end < len(t.Rows) && t.Rows[end].Class != "part" {
			end++
		}
		kept = append(kept, shorter(t.Rows[start:end], most, where)...)
		start = end
	}
	t.Rows = kept
	return t
}

func shorter(rows []line, most int, where string) []line {
	ordinary := slices.DeleteFunc(slices.Clone(rows), line.stays)
	others := len(ordinary) - most
	if others <= 1 { // a row that says so would take the place of the one left out
		return rows
	}
	byMonth := monthName.MatchString(ordinary[0].Cells[0].Text)
	rest := line{Class: "rest", Cells: []cell{{Text: fmt.Sprintf("and %d others: %s", others, where)}}}
	var kept []line
	met := 0
	for _, row := range rows {
		if row.stays() {
			kept = append(kept, row)
			continue
		}
		met++
		switch {
		case byMonth && met == 1, !byMonth && met == most+1:
			kept = append(kept, rest)
		case byMonth && met > others, !byMonth && met <= most:
			kept = append(kept, row)
		}
	}
	return kept
}

// stays says that a row must not be left out.
func (l line) stays() bool {
	return l.Class != "" || l.ID != "" || l.Keep || strings.HasSuffix(l.Cells[0].Text, "stands out")
}

// Scrolls says that the box of the table scrolls on a phone, and so must be reached by keyboard.
func (t table) Scrolls() bool {
	return t.Wide || len(t.Head) >= broadFrom || slices.ContainsFunc(t.Head, column.Long) ||
		slices.ContainsFunc(t.Rows, func(row line) bool { return row.Class != "rest" && row.Cells[0].Long() })
}

// Span is the number of columns, for a heading over several rows.
func (t table) Span() int { return len(t.Head) }

// trimmed leaves the last column away where no row has anything in it.
func (t table) trimmed() table {
	last := len(t.Head) - 1
	for _, row := range t.Rows {
		if len(row.Cells) > last && (row.Cells[last].Text != "" || row.Cells[last].Links != nil) {
			return t
		}
	}
	t.Head = t.Head[:last]
	for i, row := range t.Rows {
		if len(row.Cells) > last {
			t.Rows[i].Cells = row.Cells[:last]
		}
	}
	return t
}
