package room

import (
	"strings"

	"tablehand/views/i18n"
)

// Pen draws an elevation in the unit of its sheet, x to the right and y down. A class names what a thing is; how it looks is the
// pen's.
type Pen interface {
	Rect(class string, x, y, width, height float64)
	Line(class string, x1, y1, x2, y2 float64)
	Circle(class string, x, y, radius float64)
	Centre(x, y float64, text string, bold bool) // its middle at x, on the baseline y
	Upward(x, y float64, text string)            // read from below, on the baseline x, its middle at y
}

// Sheet is what an elevation is laid out for.
type Sheet struct {
	Width   float64
	Height  float64 // that all rows are to come to, where that leaves the windows large enough; 0 any
	Tallest float64 // of a window, from the floor or the hem
	Letters float64 // their size, which no scale changes
	Wide    func(text string, bold bool) float64
	Say     *i18n.Printer
}

// Distances in sizes of the letters.
const (
	line     = 1.3 // of a caption
	measured = 1.6 // of a row of measures: the words and the line below them
	side     = 2.0 // of a measure that is read from below
	between  = 1.5 // windows, and rows
	gap      = 0.5
)

// smallest is the scale down to which windows are drawn smaller so that the room keeps together, in parts of the largest that
// the sheet takes; flowing the one at which a room that doesn't goes on from sheet to sheet. Our own choice.
const (
	smallest = 0.28
	flowing  = 0.6
)

// Elevation is a room laid out: rows of windows, all to one scale.
type Elevation struct {
	Rows []Row
}

// Row is windows beside each other: on one floor line, or hung from one line where the order doesn't give their rods' height.
type Row struct {
	sheet   *Sheet
	title   []string // what the first row of its kind says
	onFloor bool
	figures []figure
	above   float64 // of the floor, or the line that they hang from
	below   float64
}

// Height is the row's, with what parts it from the next.
func (r *Row) Height() float64 {
	return float64(len(r.title))*line*r.sheet.Letters + r.above + r.below + between*r.sheet.Letters
}

// Height is that of all rows.
func (e *Elevation) Height() float64 {
	sum := 0.0
	for i := range e.Rows {
		sum += e.Rows[i].Height()
	}
	return sum
}

// Lay lays a room out on a sheet, as large as it takes.
func Lay(r Room, s *Sheet) *Elevation {
	most := s.largest(r)
	for scale := most; scale >= smallest*most; scale *= 0.96 {
		if e := s.lay(r, scale); s.Height == 0 || e.Height() <= s.Height {
			return e
		}
	}
	return s.lay(r, flowing*most)
}

// largest is the scale at which the widest window takes the whole width, or the tallest its height.
func (s *Sheet) largest(r Room) float64 {
	scale := 0.0
	for i := range r.Windows {
		w := &r.Windows[i]
		left, right := w.ends()
		room := s.Width - s.Letters*side
		if w.Hang != nil {
			room -= s.Letters * side
		}
		fits := min(room/float64(right-left), s.Tallest/float64(w.tall()))
		if scale == 0 || fits < scale {
			scale = fits
		}
	}
	return scale
}

// lay fills rows with windows at a scale, those on the floor line first.
func (s *Sheet) lay(r Room, scale float64) *Elevation {
	e := &Elevation{}
	for _, onFloor := range []bool{true, false} {
		title := s.Say.T("room.hung")
		if onFloor {
			title = s.Say.T("room.on_floor")
		}
		var row *Row
		used := 0.0
		for i := range r.Windows {
			w := &r.Windows[i]
			if (w.Hang != nil) != onFloor {
				continue
			}
			f := s.figure(w, r.Units, scale)
			if row == nil || used+f.wide() > s.Width {
				e.Rows = append(e.Rows, Row{sheet: s, onFloor: onFloor})
				if row == nil {
					e.Rows[len(e.Rows)-1].title = s.wrap(title, s.Width, false)
				}
				row, used = &e.Rows[len(e.Rows)-1], 0
			}
			row.figures = append(row.figures, f)
			row.above, row.below = max(row.above, f.above()), max(row.below, f.below())
			used += f.wide() + between*s.Letters
		}
	}
	return e
}

// Draw draws the row with its left top at (x, y).
func (r *Row) Draw(pen Pen, x, y float64) {
	s := r.sheet
	for _, title := range r.title {
		y += s.Letters
		pen.Centre(x+s.Width/2, y, title, false)
		y += (line - 1) * s.Letters
	}
	y += r.above
	wide := -between * s.Letters
	for i := range r.figures {
		wide += r.figures[i].wide() + between*s.Letters
	}
	at := x + (s.Width-wide)/2
	for i := range r.figures {
		r.figures[i].draw(pen, at, y)
		at += r.figures[i].wide() + between*s.Letters
	}
	if r.onFloor {
		pen.Line("floor", x, y, x+s.Width, y)
	}
}

// wrap breaks a text into lines of at most room where its words let it.
func (s *Sheet) wrap(text string, room float64, bold bool) []string {
	var lines []string
	for _, word := range strings.Fields(text) {
		if last := len(lines) - 1; last >= 0 && s.Wide(lines[last]+" "+word, bold) <= room {
			lines[last] += " " + word
			continue
		}
		lines = append(lines, word)
	}
	return lines
}
