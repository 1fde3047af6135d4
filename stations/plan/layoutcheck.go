package plan

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tablehand/engine"
	"tablehand/engine/measure"
)

// Bounds of what a shop says of its stations, our own choice: a name fits its row on a ticket, a check a line at a bench.
const (
	MaxStationName = 24
	MaxCheckLabel  = 80
	MaxOwnChecks   = 12
	maxOwnOff      = measure.Metre // a greater tolerance is a slip
)

// Check returns all that is wrong in a layout, each at its row and field: "stations[2].after". What a station of the layout that is off
// would have asked for safety needs SafetyNext (safety_lost), and each route a station after cutting (route_empty).
func (l Layout) Check() []engine.Problem {
	c := layoutCheck{layout: l}
	for i := range l {
		c.row = i
		c.fitting(&l[i])
	}
	if len(c.problems) == 0 {
		c.routes()
	}
	return c.problems
}

type layoutCheck struct {
	layout   Layout
	row      int
	problems []engine.Problem
}

// wrong tells a problem of the row at hand; args are by turns a name and its value.
func (c *layoutCheck) wrong(field, code, key string, args ...any) {
	c.wrongAt(c.row, field, code, key, args...)
}

func (c *layoutCheck) wrongAt(row int, field, code, key string, args ...any) {
	p := engine.Problem{Severity: engine.Error, Code: code, Key: key, Where: fmt.Sprintf("stations[%d].%s", row, field),
		Args: map[string]any{"Station": c.layout[row].Station}}
	for i := 0; i+1 < len(args); i += 2 {
		p.Args[args[i].(string)] = args[i+1]
	}
	c.problems = append(c.problems, p)
}

func (c *layoutCheck) fitting(f *Fitting) {
	shippedRow, own := shipped().row(f.Station), IsOwn(f.Station)
	if f.Station == NewStation {
		c.wrong("station", "bad_value", "stations.full", "Most", len(shipped().Own))
		return
	}
	if shippedRow == nil && !own {
		c.wrong("station", "bad_value", "stations.none")
		return
	}
	if slices.ContainsFunc(c.layout[:c.row], func(o Fitting) bool { return o.Station == f.Station }) {
		c.wrong("station", "duplicate", "stations.twice")
	}
	c.name(f, own)
	c.text("bench", f.Bench, MaxStationName)
	if f.Safety != "" && f.Safety != SafetyNext {
		c.wrong("safety", "bad_value", "stations.safety")
	}
	if own {
		c.after(f)
		c.checks(f)
		c.entries(f)
		return
	}
	switch {
	case len(f.After)+len(f.Checks)+len(f.Enter) > 0:
		c.wrong("station", "bad_value", "stations.as_shipped_only")
	case f.Off && f.Station == Cutting:
		c.wrong("off", "bad_value", "stations.cutting")
	case f.Off && f.Safety == "" && len(SafetyOf(f.Station)) > 0:
		c.wrong("off", "safety_lost", "", "Count", len(SafetyOf(f.Station)))
	}
}

// SafetyOf are the checks of a shipped station that are asked for safety.
func SafetyOf(s Station) (names []string) {
	for _, k := range shipped().row(s).checks() {
		if k.Safety {
			names = append(names, k.Name)
		}
	}
	return names
}

func (c *layoutCheck) name(f *Fitting, own bool) {
	if own && f.Name == "" {
		c.wrong("name", "missing_key", "stations.nameless")
	}
	c.text("name", f.Name, MaxStationName)
	if f.Name != "" && slices.ContainsFunc(c.layout[:c.row], func(o Fitting) bool { return strings.EqualFold(o.Name, f.Name) }) {
		c.wrong("name", "duplicate", "stations.name_taken", "Name", f.Name)
	}
}

// text refuses one that is too long, or has what is no letter of a line.
func (c *layoutCheck) text(field, text string, most int) {
	switch {
	case utf8.RuneCountInString(text) > most:
		c.wrong(field, "bad_value", "stations.long", "Most", most)
	case strings.ContainsFunc(text, unicode.IsControl) || text != strings.TrimSpace(text):
		c.wrong(field, "bad_value", "stations.letters")
	}
}

func (c *layoutCheck) after(f *Fitting) {
	if len(f.After) == 0 {
		c.wrong("after", "missing_key", "stations.nowhere")
	}
	for i, at := range f.After {
		field := fmt.Sprintf("after[%d]", i)
		way := shipped().route(at.Route)
		switch {
		case way == nil:
			c.wrong(field, "bad_value", "stations.no_route", "Route", at.Route)
		case !slices.Contains(way.Stations, at.Station):
			c.wrong(field, "bad_value", "stations.not_on_route", "Route", at.Route, "After", at.Station)
		case slices.ContainsFunc(f.After[:i], func(o Place) bool { return o.Route == at.Route }):
			c.wrong(field, "duplicate", "stations.route_twice", "Route", at.Route)
		}
	}
}

func (c *layoutCheck) checks(f *Fitting) {
	if len(f.Checks) > MaxOwnChecks {
		c.wrong("checks", "bad_value", "stations.many_checks", "Most", MaxOwnChecks)
	}
	for i, k := range f.Checks {
		field := fmt.Sprintf("checks[%d]", i)
		if k.Label == "" {
			c.wrong(field, "missing_key", "stations.wordless")
		}
		c.text(field, k.Label, MaxCheckLabel)
		if k.Name != "" && ownCheckNumber(f.Station, k.Name) == 0 {
			c.wrong(field, "bad_value", "stations.check_name", "Name", k.Name)
		}
		if k.Name != "" && slices.ContainsFunc(f.Checks[:i], func(o OwnCheck) bool { return o.Name == k.Name }) {
			c.wrong(field, "duplicate", "stations.check_twice", "Name", k.Name)
		}
	}
}

func (c *layoutCheck) entries(f *Fitting) {
	for i, e := range f.Enter {
		field := fmt.Sprintf("enter[%d]", i)
		at := slices.IndexFunc(Measurable(), func(m Measure) bool { return m.Target == e.Target })
		switch {
		case at < 0:
			c.wrong(field, "bad_value", "stations.not_measured", "Name", e.Target)
		case slices.ContainsFunc(f.Enter[:i], func(o OwnEntry) bool { return o.Target == e.Target }):
			c.wrong(field, "duplicate", "stations.measured_twice", "Name", e.Target)
		case e.Tolerance != nil && (Measurable()[at].Kind != LengthEntry || !sound(e.Tolerance.Minus) || !sound(e.Tolerance.Plus)):
			c.wrong(field, "bad_value", "stations.tolerance", "Name", e.Target)
		}
	}
}

// sound reports whether a side of a tolerance is a length that somebody can mean.
func sound(q measure.Quantity) bool { return q.IsLength() && q.Length() >= 0 && q.Length() < maxOwnOff }

// routes refuses a way on which nothing comes after cutting.
func (c *layoutCheck) routes() {
	l := c.layout
	ways := [][]Station{l.way(PieceRoute, []Station{Sewing, Packing})} // of pieces that say no way of their own (engine/orderfile)
	names := []string{PieceRoute}
	for _, way := range shipped().Routes {
		ways, names = append(ways, l.way(way.Name, way.Stations)), append(names, way.Name)
	}
	for i, way := range ways {
		if slices.ContainsFunc(way, func(s Station) bool { return s != Cutting }) {
			continue
		}
		at := slices.IndexFunc(l, func(f Fitting) bool { return f.Off })
		c.wrongAt(at, "off", "route_empty", "", "Route", names[i])
		return
	}
}

// NumberChecks names the checks that have no name yet. used are names that are taken already: tickets may ask checks that the shop asks no
// more.
func (l Layout) NumberChecks(used []string) Layout {
	l = slices.Clone(l)
	for i := range l {
		s, last := l[i].Station, 0
		for _, k := range l[i].Checks {
			last = max(last, ownCheckNumber(s, k.Name))
		}
		for _, name := range used {
			last = max(last, ownCheckNumber(s, name))
		}
		l[i].Checks = slices.Clone(l[i].Checks)
		for k := range l[i].Checks {
			if l[i].Checks[k].Name == "" {
				last++
				l[i].Checks[k].Name = ownCheck(s, last)
			}
		}
	}
	return l
}
