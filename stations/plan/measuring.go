package plan

import (
	"fmt"
	"maps"
	"slices"
	"sync"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Occasion says of which panels an entry or a check is asked.
type Occasion string

const (
	Always       Occasion = "always"
	FirstOfPair  Occasion = "first_of_pair"  // of the panel of a pair that is measured first; of one that hangs alone, always
	FirstOfOrder Occasion = "first_of_order" // of the first of an order's panels on the route
	Never        Occasion = "never"
)

// Asking is one entry or check of a station, on the way of one route, and when it is asked.
type Asking struct {
	Route   string   `json:"route"`
	Station Station  `json:"station"`
	Name    string   `json:"name"`
	When    Occasion `json:"when"`
}

// AskingRow is an entry or check, when it is asked, and what a shop can set.
type AskingRow struct {
	Asking
	Shipped Occasion   // when it is asked where the shop has set nothing else
	Check   bool       // else it is an entry
	Safety  bool       // somebody may be hurt where it is forgotten: it is asked always
	Choices []Occasion // that it can be set to
}

// Key names the entry or check among all: "cartridge-tape/fold/fold_depth".
func (a Asking) Key() string { return a.Route + "/" + string(a.Station) + "/" + a.Name }

// Kind is "entry" or "check", as the catalogue names them.
func (r AskingRow) Kind() string {
	if r.Check {
		return "check"
	}
	return "entry"
}

// Measuring is what is asked otherwise than always.
type Measuring []Asking

// ClothRoute is the way of a fabric's cutting, which has a ticket of its own.
const ClothRoute = "cutting"

// Askings returns what is asked on each route of a shop with that layout, in the order of the work, and when it is asked.
func (l Layout) Askings(m Measuring) []AskingRow {
	rows := l.askings()
	for i := range rows {
		rows[i].When = Always
		if k := slices.IndexFunc(m, rows[i].same); k >= 0 {
			rows[i].When = m[k].When
		}
	}
	return rows
}

// askings are the rows before the shop has set any: those that are shipped, and those of its own stations behind them.
func (l Layout) askings() []AskingRow {
	rows := slices.Clone(askings())
	for _, f := range l {
		if !IsOwn(f.Station) {
			continue
		}
		own := l.row(f.Station)
		for _, e := range f.Enter {
			own.Enter = append(own.Enter, entryRow{Name: ownEntry(f.Station, e.Target)})
		}
		for _, at := range f.After {
			asked := *own
			if at.Route == PieceRoute {
				asked.Enter = nil // it measures nothing
			}
			rows = append(rows, asked.askings(at.Route, f.Station, Always, FirstOfPair, FirstOfOrder, Never)...)
		}
	}
	return rows
}

// askings are the rows as shipped.
var askings = sync.OnceValue(func() (rows []AskingRow) {
	r := shipped()
	rows = r.Cloth.askings(ClothRoute, Cutting, Always, Never)
	for _, way := range r.Routes {
		for _, s := range way.Stations {
			c := *r.row(s)
			c.Checks = slices.DeleteFunc(slices.Clone(c.Checks), func(k check) bool { return !way.makes(k) })
			c.Enter = slices.DeleteFunc(slices.Clone(c.Enter), func(e entryRow) bool { return !way.carries(e.Of) })
			if way.Name == PieceRoute {
				c.Enter = nil // it measures nothing
			}
			rows = append(rows, c.askings(way.Name, s, Always, FirstOfPair, FirstOfOrder, Never)...)
		}
	}
	return rows
})

// HeldTo lists the stations where something is held to the tolerance of a name (orderfile.Tolerances), in the order of the work.
func HeldTo(tolerance string) (at []Station) {
	all := orderfile.DefaultConventions(measure.In).Tolerances
	for _, s := range Stations() {
		held := func(name string) bool {
			own := string(s) + "." + name
			if _, has := all[own]; has {
				return own == tolerance
			}
			return name == tolerance
		}
		c := shipped().asked(s)
		if slices.ContainsFunc(c.Enter, func(e entryRow) bool { return e.Kind == LengthEntry && held(e.Name) }) ||
			slices.ContainsFunc(c.Pair, func(p pairRow) bool { return held(p.Name) }) {
			at = append(at, s)
		}
	}
	return at
}

// makes reports whether a check can be asked on a route: some properties of panels come from one of its stations, and
// pieces are asked what is theirs.
func (w *route) makes(k check) bool {
	if w.Name == PieceRoute {
		return k.Piece
	}
	if k.When == hooked && slices.Contains(w.Stations, RodPocket) {
		return false // the rod is all that holds it
	}
	at, ok := map[condition]Station{corded: PullUp, pinched: Tacking}[k.When]
	return w.carries(k.Of) && (!ok || slices.Contains(w.Stations, at))
}

// carries reports whether panels of one of the headings pass the route.
func (w *route) carries(of headings) bool {
	return slices.ContainsFunc(orderfile.Headings(), func(d orderfile.HeadingData) bool { return d.Route == w.Name && of.have(d.Heading) }) || w.Name == PieceRoute
}

func (c *row) askings(route string, s Station, choices ...Occasion) (rows []AskingRow) {
	add := func(name string, when Occasion, check, safety bool) {
		may := choices
		if safety {
			may = []Occasion{Always}
		}
		if when == "" {
			when = Always
		}
		rows = append(rows, AskingRow{Asking{route, s, name, when}, when, check, safety, may})
	}
	for _, e := range c.Enter {
		add(e.Name, e.Asked, false, c.safe(e.Name))
	}
	for _, k := range c.Checks {
		add(k.Name, k.Asked, true, k.Safety)
	}
	return rows
}

// safe reports whether an entry is made in an act of safety.
func (c *row) safe(entry string) bool {
	return slices.ContainsFunc(c.Checks, func(k check) bool { return k.Safety && k.With == entry })
}

// With is what a shop with that layout asks that has set some of it itself: the rest is as shipped.
func (l Layout) With(set []Asking) Measuring {
	var m Measuring
	for _, r := range l.askings() {
		a := r.Asking
		if i := slices.IndexFunc(set, a.same); i >= 0 {
			a.When = set[i].When
		}
		if a.When != Always {
			m = append(m, a)
		}
	}
	return m
}

// same reports whether another is of the same entry or check, whenever it is asked.
func (a Asking) same(b Asking) bool {
	return a.Route == b.Route && a.Station == b.Station && a.Name == b.Name
}

// Set puts on tickets what they ask otherwise than always. Steps that several of them share they share afterwards.
func (m Measuring) Set(tickets []Ticket) {
	if len(m) == 0 {
		return
	}
	set := map[*Step][]Step{}
	for i := range tickets {
		t := &tickets[i]
		if len(t.Steps) == 0 {
			continue
		}
		steps := set[&t.Steps[0]]
		if steps == nil {
			steps = slices.Clone(t.Steps)
			for k := range steps {
				steps[k].Asked = m.of(t.Route(), &steps[k])
			}
			set[&t.Steps[0]] = steps
		}
		t.Steps = steps
	}
}

// of returns what a step on a route asks otherwise than always, nil for none.
func (m Measuring) of(route string, s *Step) map[string]Occasion {
	var asked map[string]Occasion
	for _, a := range m {
		if a.Route == route && a.Station == s.Station && (s.Entry(a.Name) != nil || slices.Contains(s.Checks, a.Name)) {
			if asked == nil {
				asked = map[string]Occasion{}
			}
			asked[a.Name] = a.When
		}
	}
	return asked
}

// Route returns the name of a ticket's way, "" of a heading that there is no more.
func (s *Ticket) Route() string {
	switch s.Kind {
	case CuttingTicket:
		return ClothRoute
	case PieceTicket:
		return PieceRoute
	}
	if way := shipped().of(s.MadeAs()); way != nil {
		return way.Name
	}
	return ""
}

// When says when a step asks an entry or a check of its own.
func (s *Step) When(name string) Occasion {
	if when := s.Asked[name]; when != "" {
		return when
	}
	return Always
}

// Together is what two versions of one step ask otherwise than always.
func Together(a, b map[string]Occasion) map[string]Occasion {
	if len(a) == 0 {
		return b
	}
	both := maps.Clone(a)
	maps.Copy(both, b)
	return both
}

// CheckAsked returns all that is wrong in what a shop with that layout sets: entries and checks that there are none of, named twice, asked when
// there is no such occasion, and safety that would not be asked always (always_asked).
func (l Layout) CheckAsked(set []Asking) []engine.Problem {
	var problems []engine.Problem
	rows := l.askings()
	for i, a := range set {
		wrong := func(code, key, field string, args map[string]any) {
			problems = append(problems, engine.Problem{Severity: engine.Error, Code: code, Key: key, Where: fmt.Sprintf("rows[%d].%s", i, field), Args: args})
		}
		at := slices.IndexFunc(rows, func(r AskingRow) bool { return r.same(a) })
		switch {
		case at < 0:
			wrong("bad_value", "measuring.none", "name", map[string]any{"Name": a.Name, "Station": string(a.Station), "Route": a.Route})
		case slices.ContainsFunc(set[:i], a.same):
			wrong("duplicate", "measuring.twice", "name", map[string]any{"Name": a.Name, "Station": string(a.Station), "Route": a.Route})
		case rows[at].Safety && a.When != Always:
			wrong("always_asked", "", "when", map[string]any{"Name": a.Name})
		case !slices.Contains(rows[at].Choices, a.When):
			wrong("bad_value", "measuring.when", "when", map[string]any{"Name": a.Name, "When": string(a.When), "Known": words(rows[at].Choices)})
		}
	}
	return problems
}

func words(occasions []Occasion) []string {
	var list []string
	for _, o := range occasions {
		list = append(list, string(o))
	}
	return list
}

// validateAsked refuses an occasion that there isn't, safety that isn't always asked, and an entry and a check of one name.
func (c *row) validateAsked() error {
	occasions := []Occasion{"", FirstOfPair, FirstOfOrder, Never}
	for _, e := range c.Enter {
		if !slices.Contains(occasions, e.Asked) || e.Asked != "" && c.safe(e.Name) {
			return fmt.Errorf("entry %q can't be asked %q", e.Name, e.Asked)
		}
		if slices.ContainsFunc(c.Checks, func(k check) bool { return k.Name == e.Name }) {
			return fmt.Errorf("an entry and a check are both called %q", e.Name)
		}
	}
	for _, k := range c.Checks {
		if !slices.Contains(occasions, k.Asked) || k.Asked != "" && k.Safety {
			return fmt.Errorf("check %q can't be asked %q", k.Name, k.Asked)
		}
	}
	return nil
}
