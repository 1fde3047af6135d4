// Package opendays knows on which days a shop is closed. Days are civil dates, YYYY-MM-DD, without a time zone.
package opendays

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"tablehand/engine"
)

// Bounds of what a shop may say, our own choice: some years of holidays, a name that fits a line.
const (
	MostDates = 200 // stretches of dates
	MostName  = 60  // characters
	farthest  = 400 // days that Around looks ahead and back
)

// Closed is when a shop is closed: on weekdays, each week, and on dates.
type Closed struct {
	Weekdays []string  `json:"weekdays"` // of Weekdays, in their order
	Dates    []Stretch `json:"closed"`   // by their first day
}

// Stretch is one closed day or several in a row.
type Stretch struct {
	From string `json:"from"`
	To   string `json:"to"`   // its last day
	Name string `json:"name"` // "" for none
}

// Weekdays are the names of the days of a week, from Monday on.
func Weekdays() []string { return []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"} }

// Shipped is when a shop is closed that has said nothing: Saturdays and Sundays. From memory, no source.
func Shipped() Closed { return Closed{Weekdays: []string{"sat", "sun"}, Dates: []Stretch{}} }

// Read returns what was said in the order that it is kept in, or all that is wrong with it. A stretch without a last day is one day long.
// Each problem is where its value stands: "weekdays[2]", "closed[0].from".
func Read(said Closed) (Closed, []engine.Problem) {
	var wrong []engine.Problem
	tell := func(where, code, key string, args map[string]any) {
		wrong = append(wrong, engine.Problem{Severity: engine.Error, Code: code, Key: key, Where: where, Args: args})
	}
	read := Closed{Weekdays: []string{}, Dates: []Stretch{}}
	for i, day := range said.Weekdays {
		if !slices.Contains(Weekdays(), day) {
			tell("weekdays["+strconv.Itoa(i)+"]", "bad_value", "closed_days.wrong.weekday", map[string]any{"Text": day})
		}
	}
	for _, day := range Weekdays() {
		if slices.Contains(said.Weekdays, day) {
			read.Weekdays = append(read.Weekdays, day)
		}
	}
	if len(read.Weekdays) == len(Weekdays()) {
		tell("weekdays", "never_open", "", nil)
	}
	if len(said.Dates) > MostDates {
		tell("closed", "too_long", "closed_days.wrong.many", map[string]any{"Most": MostDates})
	}
	for i, s := range said.Dates {
		at := "closed[" + strconv.Itoa(i) + "]."
		s.From, s.Name = strings.TrimSpace(s.From), strings.TrimSpace(s.Name)
		s.To = cmp.Or(strings.TrimSpace(s.To), s.From)
		from, ok := parse(s.From)
		switch {
		case s.From == "":
			tell(at+"from", "missing_key", "closed_days.wrong.from", nil)
		case !ok:
			tell(at+"from", "bad_value", "closed_days.wrong.date", map[string]any{"Text": s.From})
		}
		if to, is := parse(s.To); !is && s.To != s.From {
			tell(at+"to", "bad_value", "closed_days.wrong.date", map[string]any{"Text": s.To})
		} else if is && ok && to.Before(from) {
			tell(at+"to", "bad_value", "closed_days.wrong.backwards", nil)
		}
		if utf8.RuneCountInString(s.Name) > MostName {
			tell(at+"name", "too_long", "closed_days.wrong.name", map[string]any{"Most": MostName})
		}
		read.Dates = append(read.Dates, s)
	}
	if len(wrong) > 0 {
		return Closed{}, wrong
	}
	slices.SortFunc(read.Dates, func(a, b Stretch) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To), cmp.Compare(a.Name, b.Name))
	})
	read.Dates = slices.Compact(read.Dates)
	return read, nil
}

// On reports whether the shop is closed on a day, and why, where a stretch of dates says so. It isn't on what is no day.
func (c Closed) On(day string) (why string, closed bool) {
	t, ok := parse(day)
	if !ok {
		return "", false
	}
	for _, s := range c.Dates {
		if s.From <= day && day <= s.To {
			return s.Name, true
		}
	}
	return "", slices.Contains(c.Weekdays, Weekdays()[(int(t.Weekday())+6)%7])
}

// Around returns the open days before and after a day that are nearest to it, "" where there is none in the year before or after.
func (c Closed) Around(day string) (before, after string) {
	t, ok := parse(day)
	if !ok {
		return "", ""
	}
	return c.next(t, -1), c.next(t, 1)
}

// next is the first open day after t, or before it where step is -1.
func (c Closed) next(t time.Time, step int) string {
	for range farthest {
		t = t.AddDate(0, 0, step)
		day := t.Format(time.DateOnly)
		if _, closed := c.On(day); !closed {
			return day
		}
	}
	return ""
}

// String writes a stretch for the record: "2026-12-24 to 2027-01-01 Christmas".
func (s Stretch) String() string {
	text := s.From
	if s.To != s.From {
		text += " to " + s.To
	}
	return strings.TrimSpace(text + " " + s.Name)
}

// parse reads a day as an order file writes it.
func parse(day string) (t time.Time, ok bool) {
	t, err := time.Parse(time.DateOnly, day)
	return t, err == nil
}
