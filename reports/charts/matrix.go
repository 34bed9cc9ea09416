package charts

import (
	"math"
	"strings"
)

// Matrix shows counts from one set of classes to another, the number in each cell, shaded by size.
type Matrix struct {
	Frame
	RowTitle, ColumnTitle string // e.g. "from", "to"
	Rows, Columns         []string
	Counts                [][]int // by row and column; negative is not shown ("–")
}

const (
	cellHeight = 30.0
	cellWidest = 92.0
)

// Matrix draws a matrix of counts.
func (r *Renderer) Matrix(m Matrix) (string, error) {
	s, err := m.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (m Matrix) check() error {
	if len(m.Rows) == 0 || len(m.Columns) == 0 || len(m.Counts) != len(m.Rows) {
		return m.wrong("Rows %d, Columns %d, Counts %d: want a row of counts for each row, and some", len(m.Rows), len(m.Columns), len(m.Counts))
	}
	for i, row := range m.Counts {
		if len(row) != len(m.Columns) {
			return m.wrong("Counts[%d] has %d cells: want %d", i, len(row), len(m.Columns))
		}
	}
	return m.Frame.check(300, 120)
}

func (m Matrix) sheet() (*sheet, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	s := newSheet("matrix", m.Frame, 0)
	left := math.Min(math.Max(widest(m.Rows, textSize), textWidth(clean(m.RowTitle), textSize))+14, s.width*0.3)
	each := math.Min((s.width-left-2)/float64(len(m.Columns)), cellWidest)
	heads, turned := m.columnHeads(each)
	top := 18 + headRoom(heads, turned)
	if s.frame.Height == 0 {
		s.height = math.Ceil(top + cellHeight*float64(len(m.Rows)) + 6)
		s.frame.Height = int(s.height)
	}
	s.setPlot(left, top, s.width-left-each*float64(len(m.Columns)), 6)
	s.x, s.y = bandScale(len(m.Columns), false), bandScale(len(m.Rows), true)
	s.shades = countFills
	m.cells(s)
	m.heads(s, heads, turned)
	return s, nil
}

const headLongest = 110.0 // px, of a turned column name

// columnHeads are the lines of each column's name: up to two, or one that is turned where a name would be cut else.
func (m Matrix) columnHeads(each float64) (heads [][]string, turned bool) {
	for _, name := range m.Columns {
		lines := strings.Join(wrap(name, each-4, smallSize, 2), "")
		turned = turned || strings.Contains(lines, ellipsis)
	}
	for _, name := range m.Columns {
		if turned {
			heads = append(heads, []string{fit(name, headLongest, smallSize)})
		} else {
			heads = append(heads, wrap(name, each-4, smallSize, 2))
		}
	}
	return heads, turned
}

// headRoom is the height that the column names take.
func headRoom(heads [][]string, turned bool) float64 {
	room := 0.0
	for _, lines := range heads {
		if turned {
			room = math.Max(room, textWidth(lines[0], smallSize)+8)
		} else {
			room = math.Max(room, lineHeight*float64(len(lines))+4)
		}
	}
	return room
}

// cells draws every cell and prints its number on it.
func (m Matrix) cells(s *sheet) {
	top := 0
	for _, row := range m.Counts {
		for _, n := range row {
			top = max(top, n)
		}
	}
	var cells [][3]int
	for i, row := range m.Counts {
		for j, n := range row {
			k := shadeOf(n, top)
			cells = append(cells, [3]int{j, i, k})
			text := "–"
			if n >= 0 {
				text = number(float64(n), 0)
			}
			s.write(s.px(float64(j)), s.py(float64(i)), text, lettering{align: "center", colour: countInks[k]})
			s.tip(float64(j), float64(i), m.Rows[i]+" → "+m.Columns[j], text)
		}
	}
	s.cells(cells)
}

// shadeOf is 0 for no count, then 1 to 4 by the square root of the share of the largest, so that small counts differ too.
func shadeOf(n, top int) int {
	if n <= 0 {
		return 0
	}
	last := len(countFills) - 1
	return min(last, max(1, int(math.Ceil(math.Sqrt(float64(n)/float64(top))*float64(last)-1e-9))))
}

// heads writes the names of rows and columns.
func (m Matrix) heads(s *sheet, heads [][]string, turned bool) {
	for i, name := range m.Rows {
		s.write(s.plot.left-8, s.py(float64(i)), fit(name, s.plot.left-10, textSize), lettering{align: "right"})
	}
	for j, lines := range heads {
		if turned {
			s.write(s.px(float64(j)), s.plot.top-4, lines[0], lettering{size: smallSize, up: true})
			continue
		}
		for k, text := range lines {
			y := s.plot.top - 9 - lineHeight*float64(len(lines)-1-k)
			s.write(s.px(float64(j)), y, text, lettering{size: smallSize, align: "center"})
		}
	}
	s.write(s.plot.left-8, s.plot.top-9, fit(m.RowTitle, s.plot.left-10, textSize), lettering{align: "right", colour: soft})
	s.write(s.plot.left, 8, fit(m.ColumnTitle, s.width-s.plot.left, textSize), lettering{colour: soft})
}
