package stations

import (
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"sync"

	"github.com/goccy/go-yaml"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

//go:embed routes.yaml
var routesFile []byte

// routes are the shop's routes and the checklists of their stations: data, read from YAML and validated.
type routes struct {
	Routes   []route     `yaml:"routes"`
	Cloth    checklist   `yaml:"cloth"`
	Stations []checklist `yaml:"stations"`
	// Retired are checks of tickets that older releases released. Their names are never given to another.
	Retired []string `yaml:"retired"`
}

// route is the stations that the panels of the headings of its name pass, cutting first.
type route struct {
	Name     string    `yaml:"name"`
	Stations []Station `yaml:"stations"`
}

// checklist is what one station shows, measures and checks, and how it is told from others.
type checklist struct {
	Station  Station       `yaml:"station"`
	Mark     Mark          `yaml:"mark"`
	Values   []string      `yaml:"values"`
	Label    []LabelNumber `yaml:"label"`
	Enter    []asked       `yaml:"enter"`
	Checks   []check       `yaml:"checks"`
	Cautions []string      `yaml:"cautions"`
	Minutes  *int          `yaml:"minutes"`
	Pair     []mated       `yaml:"pair"`
}

// Mark is a station's selvedge mark: the name of a shape and of a colour, which are drawn elsewhere.
type Mark struct {
	Shape  string `yaml:"shape"`
	Colour string `yaml:"colour"`
}

// LabelNumber is one number of a station's row on a panel's ticket: a value or entry of its step, or several that a hand
// takes together.
type LabelNumber struct {
	Name    string   `yaml:"name"` // catalogue: paper.value.<name>
	Of      []string `yaml:"of"`
	Between string   `yaml:"between"`
}

// asked is an entry before it has a panel's numbers: its target is the name of one of them.
type asked struct {
	Name    string    `yaml:"name"`
	Kind    EntryKind `yaml:"kind"`
	Target  string    `yaml:"target"`
	Options []string  `yaml:"options"`
	AtStart bool      `yaml:"at_start"`
}

// mated is an entry in which the panels of a pair are compared, and the name of the tolerance that says how far they may
// be apart.
type mated struct {
	Name  string `yaml:"name"`
	Entry string `yaml:"entry"`
}

// check is a hand check; When says of which panels it is asked, "" of all.
type check struct {
	Name string    `yaml:"name"`
	When condition `yaml:"when"`
}

// condition is a property of a panel that a check needs.
type condition string

const (
	always  condition = ""
	lined   condition = "lined"    // has a lining
	seamed  condition = "seamed"   // is joined from several pieces
	paired  condition = "paired"   // hangs beside a mate
	corded  condition = "corded"   // was pulled up by cords
	handSet condition = "hand_set" // its pleats were set by hand
	pinched condition = "pinched"  // its pleats are folded into fingers

	interlined condition = "interlined"
	weighted   condition = "weighted"   // has weights in its hem
	hemCorded  condition = "hem_corded" // has a weighted cord in its hem
)

// conditions are all of them.
var conditions = []condition{always, lined, seamed, paired, corded, handSet, pinched, interlined, weighted, hemCorded}

// holds reports whether a panel has the property.
func (c condition) holds(m made) bool {
	switch c {
	case lined:
		return m.line.Lining != ""
	case seamed:
		return len(m.panel.Seams) > 0
	case paired:
		return m.line.Draw.Paired()
	case corded:
		return m.panel.Cords > 0
	case handSet:
		return m.panel.SetByHand()
	case pinched:
		return m.panel.Fingers > 0
	case interlined:
		return m.line.Interlining != ""
	case weighted:
		return len(m.panel.WeightPlaces) > 0
	case hemCorded:
		return m.panel.WeightCord > 0
	}
	return true
}

// shipped are the routes that come with the program. They are part of the build: a fault in them panics at the
// first order, and in a test long before that.
var shipped = sync.OnceValue(func() *routes {
	r, err := readRoutes(routesFile)
	if err != nil {
		panic(err)
	}
	return r
})

// readRoutes reads and validates routes. Errors name line and column, or the station and what is wrong with it.
func readRoutes(file []byte) (*routes, error) {
	var r routes
	if err := yaml.UnmarshalWithOptions(file, &r, yaml.Strict()); err != nil {
		return nil, fmt.Errorf("stations: routes: %w", err)
	}
	for i := range r.Stations {
		for k := range r.Stations[i].Label {
			r.Stations[i].Label[k].complete()
		}
	}
	return &r, r.validate()
}

// complete fills in what a row needn't say.
func (n *LabelNumber) complete() {
	if len(n.Of) == 0 {
		n.Of = []string{n.Name}
	}
	if n.Between == "" {
		n.Between = "·"
	}
}

func (r *routes) validate() error {
	for _, way := range r.Routes {
		if len(way.Stations) < 2 || way.Stations[0] != Cutting {
			return fmt.Errorf("stations: route %q must begin with cutting and go on", way.Name)
		}
		for i, s := range way.Stations {
			if r.checklist(s) == nil {
				return fmt.Errorf("stations: route %q: station %q has no checklist", way.Name, s)
			}
			if slices.Contains(way.Stations[:i], s) {
				return fmt.Errorf("stations: route %q passes station %q twice", way.Name, s)
			}
		}
	}
	for _, h := range orderfile.Headings() {
		if r.of(h.Heading) == nil {
			return fmt.Errorf("stations: heading %q goes by no route %q of routes.yaml", h.Heading, h.Route)
		}
	}
	for _, value := range r.Cloth.Values {
		if clothNumbers[value] == nil {
			return fmt.Errorf("stations: cutting: no number of a fabric is called %q", value)
		}
	}
	for _, e := range r.Cloth.Enter {
		if clothNumbers[e.Target] == nil || e.Kind != LengthEntry {
			return fmt.Errorf("stations: cutting: entry %q: no length of a fabric is called %q", e.Name, e.Target)
		}
	}
	for _, c := range append([]checklist{r.Cloth}, r.Stations...) {
		for _, k := range c.Checks {
			if slices.Contains(r.Retired, k.Name) {
				return fmt.Errorf("stations: check %q is retired", k.Name)
			}
		}
	}
	for i, c := range r.Stations {
		if err := c.validate(); err != nil {
			return fmt.Errorf("stations: station %q of routes.yaml: %w", c.Station, err)
		}
		if !slices.ContainsFunc(r.Routes, func(way route) bool { return slices.Contains(way.Stations, c.Station) }) {
			return fmt.Errorf("stations: station %q of routes.yaml stands on no route", c.Station)
		}
		for _, other := range r.Stations[:i] {
			if other.Mark == c.Mark {
				return fmt.Errorf("stations: stations %q and %q of routes.yaml have one mark", other.Station, c.Station)
			}
		}
	}
	return nil
}

func (c *checklist) validate() error {
	if c.Station == Cutting && len(c.Enter)+len(c.Checks) > 0 {
		return fmt.Errorf("a panel enters and checks nothing at cutting, the fabric's ticket does")
	}
	for _, value := range c.Values {
		if workup.NumberOf(value) == nil {
			return fmt.Errorf("no number of a panel is called %q", value)
		}
	}
	if err := c.validateLook(); err != nil {
		return err
	}
	for _, e := range c.Enter {
		if workup.NumberOf(e.Target) == nil {
			return fmt.Errorf("entry %q: no number of a panel is called %q", e.Name, e.Target)
		}
		if e.Kind != LengthEntry && e.Kind != CountEntry && e.Kind != ChoiceEntry {
			return fmt.Errorf("entry %q: kind %q is none of length, count, choice", e.Name, e.Kind)
		}
		if (e.Kind == ChoiceEntry) != (len(e.Options) > 0) {
			return fmt.Errorf("entry %q: options go with a choice and with nothing else", e.Name)
		}
	}
	for _, p := range c.Pair {
		if !slices.ContainsFunc(c.Enter, func(e asked) bool { return e.Name == p.Entry && e.Kind == LengthEntry }) {
			return fmt.Errorf("pair %q: no length that is entered is called %q", p.Name, p.Entry)
		}
	}
	for _, k := range c.Checks {
		if !slices.Contains(conditions, k.When) {
			return fmt.Errorf("check %q: %q is none of %v", k.Name, k.When, conditions[1:])
		}
	}
	if c.Minutes != nil && *c.Minutes < 0 {
		return fmt.Errorf("%d minutes", *c.Minutes)
	}
	return nil
}

// validateLook refuses a row without a mark, or with a number on its label that the station hasn't.
func (c *checklist) validateLook() error {
	if c.Mark.Shape == "" || c.Mark.Colour == "" {
		return errors.New("it lacks its mark: {shape: ..., colour: ...}")
	}
	if len(c.Label) == 0 {
		return errors.New("it lacks the numbers of its label: [{name: ...}]")
	}
	for _, n := range c.Label {
		for _, name := range n.Of {
			if !slices.Contains(c.Values, name) && !slices.ContainsFunc(c.Enter, func(e asked) bool { return e.Name == name }) {
				return fmt.Errorf("label %q: no value or entry of the station is called %q", n.Name, name)
			}
		}
	}
	return nil
}

// checklist returns a station's, nil where there is none.
func (r *routes) checklist(s Station) *checklist {
	for i := range r.Stations {
		if r.Stations[i].Station == s {
			return &r.Stations[i]
		}
	}
	return nil
}

// target returns the number that an entry, or a limit of a pair, is held against; any other name is itself.
func (r *routes) target(name string) string {
	for i := range r.Stations {
		c := &r.Stations[i]
		for _, p := range c.Pair {
			if p.Name == name {
				return r.target(p.Entry)
			}
		}
		for _, e := range c.Enter {
			if e.Name == name {
				return e.Target
			}
		}
	}
	return name
}

// of returns the route of a heading, nil where there is none.
func (r *routes) of(h orderfile.Heading) *route {
	data := h.Data()
	for i := range r.Routes {
		if data != nil && r.Routes[i].Name == data.Route {
			return &r.Routes[i]
		}
	}
	return nil
}

// Stations returns the stations that a shop has, in the order in which work passes them: those that a route has to
// itself stand before the next that it shares.
func Stations() []Station {
	var all []Station
	for _, way := range shipped().Routes {
		for i, s := range way.Stations {
			if !slices.Contains(all, s) {
				all = slices.Insert(all, shared(all, way.Stations[i:]), s)
			}
		}
	}
	return all
}

// shared returns where in all the first of the stations ahead that it has already stands, its end where none does.
func shared(all, ahead []Station) int {
	for _, s := range ahead {
		if at := slices.Index(all, s); at >= 0 {
			return at
		}
	}
	return len(all)
}

// Target returns the key of the panel's number that an entry, or a limit of a pair, is held against; any other name is itself.
func Target(name string) string { return shipped().target(name) }

// Cautions returns what can hurt at a station, as catalogue keys "caution.<name>".
func Cautions(s Station) []string {
	var cautions []string
	if s == Cutting {
		cautions = append(cautions, shipped().Cloth.Cautions...)
	}
	if c := shipped().checklist(s); c != nil {
		cautions = append(cautions, c.Cautions...)
	}
	return cautions
}

// MarkOf returns a station's mark, the zero Mark of a station that there is no more.
func MarkOf(s Station) Mark {
	if c := shipped().checklist(s); c != nil {
		return c.Mark
	}
	return Mark{}
}

// LabelNumbers returns the key numbers of a station's row on a panel's ticket, the most important first. The slice is shared: read
// only.
func LabelNumbers(s Station) []LabelNumber {
	if c := shipped().checklist(s); c != nil {
		return c.Label
	}
	return nil
}

// Asked is what a station shows, measures and checks, whatever the panel: names of the catalogue's value, entry and
// check.
type Asked struct{ Values, Entries, Checks []string }

// AskedAt returns what a station asks of the pieces that pass it; at cutting what the cloth's own list asks, where
// panels are cut.
func AskedAt(s Station) Asked {
	list := &shipped().Cloth
	if s != Cutting {
		list = shipped().checklist(s)
	}
	if list == nil { // a station that only an old ledger knows
		return Asked{}
	}
	asked := Asked{Values: slices.Clone(list.Values)}
	for _, e := range list.Enter {
		asked.Entries = append(asked.Entries, e.Name)
	}
	for _, c := range list.Checks {
		asked.Checks = append(asked.Checks, c.Name)
	}
	return asked
}
