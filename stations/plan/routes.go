package plan

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
	Routes   []route `yaml:"routes"`
	Cloth    row     `yaml:"cloth"`
	Stations []row   `yaml:"stations"`
	// Retired are checks of tickets that older releases released. Their names are never given to another.
	Retired []string `yaml:"retired"`
	// Own are places for stations that a shop adds.
	Own []ownRow `yaml:"own"`

	measurable []Measure // what they can measure
}

// route is the stations that the panels of the headings of its name pass, cutting first.
type route struct {
	Name     string    `yaml:"name"`
	Stations []Station `yaml:"stations"`
}

// row is what one station shows, measures and checks, and how it is told from others.
type row struct {
	Station  Station       `yaml:"station"`
	Mark     Mark          `yaml:"mark"`
	Values   []told        `yaml:"values"`
	Label    []LabelNumber `yaml:"label"`
	Enter    []entryRow    `yaml:"enter"`
	Checks   []check       `yaml:"checks"`
	Cautions []told        `yaml:"cautions"`
	Minutes  *int          `yaml:"minutes"`
	Pair     []pairRow     `yaml:"pair"`
}

// entryRow is an entry before it has a panel's numbers: its target is the name of one of them.
type entryRow struct {
	Name    string    `yaml:"name"`
	Kind    EntryKind `yaml:"kind"`
	Target  string    `yaml:"target"`
	Instead string    `yaml:"instead"` // the number that it is held against where the panel has it, "" none
	Options []string  `yaml:"options"`
	AtStart bool      `yaml:"at_start"`
	Asked   Occasion  `yaml:"asked"` // "" always
	Of      headings  `yaml:"headings"`
}

// told is a number or a caution that a station tells: a name alone, or with the headings of whose panels it does.
type told struct {
	Name string   `yaml:"name"`
	Of   headings `yaml:"headings"`
}

// UnmarshalYAML reads a name, or a name and its headings.
func (t *told) UnmarshalYAML(read func(any) error) error {
	if read(&t.Name) == nil {
		return nil
	}
	type whole told
	return read((*whole)(t))
}

// names are all of a list, each once.
func names(list []told) (all []string) {
	for _, t := range list {
		if !slices.Contains(all, t.Name) {
			all = append(all, t.Name)
		}
	}
	return all
}

// namesOf are those that a heading's panels are told.
func namesOf(list []told, h orderfile.Heading) []string {
	return names(slices.DeleteFunc(slices.Clone(list), func(t told) bool { return !t.Of.have(h) }))
}

// headings are those of whose panels something is asked; none is all.
type headings []orderfile.Heading

func (list headings) have(h orderfile.Heading) bool {
	return len(list) == 0 || slices.Contains(list, h)
}

// unknown is one that isn't worked out, "" where all are.
func (list headings) unknown() orderfile.Heading {
	for _, h := range list {
		if h.Data() == nil {
			return h
		}
	}
	return ""
}

// pairRow is an entry in which the panels of a pair are compared, and the name of the tolerance that says how far they may
// be apart.
type pairRow struct {
	Name  string `yaml:"name"`
	Entry string `yaml:"entry"`
}

// check is a hand check; When says of which panels it is asked, "" of all. Act, With and Safety are as an Act has them.
type check struct {
	Name   string    `yaml:"name"`
	When   condition `yaml:"when"`
	Act    string    `yaml:"act"`
	With   string    `yaml:"with"`
	Safety bool      `yaml:"safety"`
	Asked  Occasion  `yaml:"asked"`
	Piece  bool      `yaml:"piece"` // it is asked of pieces that are no panels
	Of     headings  `yaml:"headings"`
}

// condition is a property of a panel that a check needs.
type condition string

const (
	always  condition = ""
	lined   condition = "lined"       // has a lining
	seamed  condition = "seamed"      // is joined from several pieces
	paired  condition = "paired"      // hangs beside a mate
	corded  condition = "corded"      // was pulled up by cords
	hooked  condition = "hooked"      // hangs by hooks, if only at an edge
	even    condition = "even_points" // hangs by an even number of points
	pinched condition = "pinched"     // its pleats are folded into fingers

	interlined condition = "interlined"
	weighted   condition = "weighted"   // has weights in its hem
	hemCorded  condition = "hem_corded" // has a weighted cord in its hem
	filled     condition = "filled"     // has something in its pleats
	rolled     condition = "rolled"     // has buckram rolled in them
	sheer      condition = "sheer"      // hangs before the light
	piled      condition = "piled"      // has a pile
	railroaded condition = "railroaded" // its width runs along the bolt
	banded     condition = "banded"     // has a band along an edge
	shelved    condition = "shelved"    // its cuts lie on bolts of the shelf: the floor asks it then, whatever they lay on when it was released
)

// conditions are all of them.
var conditions = []condition{always, lined, seamed, paired, corded, hooked, even, pinched, interlined, weighted, hemCorded, filled, rolled, sheer, piled, railroaded, banded, shelved}

// holds reports whether a panel has the property.
func (c condition) holds(m subject) bool {
	switch c {
	case lined:
		return m.line.Lining != ""
	case seamed:
		return len(m.panel.Seams) > 0
	case paired:
		return m.line.Draw.Paired()
	case corded:
		return m.panel.Cords > 0
	case hooked:
		return len(m.panel.HookPlaces) > 0
	case even:
		return m.panel.Points > 0 && m.panel.Points%2 == 0
	case pinched:
		return m.panel.Fingers > 0
	case interlined:
		return m.line.Interlining != ""
	case weighted:
		return len(m.panel.WeightPlaces) > 0
	case hemCorded:
		return m.panel.WeightCord > 0
	case filled:
		return m.panel.Inserts > 0
	case banded:
		return len(m.panel.Bands) > 0
	case rolled:
		return m.panel.InsertLength > 0
	case sheer:
		return m.panel.Sheer
	case piled:
		return m.panel.Pile != ""
	case railroaded:
		return m.panel.Railroaded()
	case shelved:
		return false
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
		return nil, fmt.Errorf("plan: routes: %w", err)
	}
	for i := range r.Stations {
		for k := range r.Stations[i].Label {
			r.Stations[i].Label[k].complete()
		}
	}
	r.measurable = r.findMeasurable()
	return &r, r.validate()
}

func (r *routes) validate() error {
	for _, way := range r.Routes {
		if len(way.Stations) < 2 || way.Stations[0] != Cutting {
			return fmt.Errorf("plan: route %q must begin with cutting and go on", way.Name)
		}
		for i, s := range way.Stations {
			if r.row(s) == nil {
				return fmt.Errorf("plan: route %q: station %q has no checklist", way.Name, s)
			}
			if slices.Contains(way.Stations[:i], s) {
				return fmt.Errorf("plan: route %q passes station %q twice", way.Name, s)
			}
		}
	}
	var ways [][]Station
	for _, way := range r.Routes {
		ways = append(ways, way.Stations)
	}
	if order, ok := inOrder(ways); !ok {
		return fmt.Errorf("plan: the routes pass stations in both directions: %q are in no order", order)
	}
	for _, h := range orderfile.Headings() {
		if r.of(h.Heading) == nil {
			return fmt.Errorf("plan: heading %q goes by no route %q of routes.yaml", h.Heading, h.Route)
		}
	}
	if err := r.validatePieces(); err != nil {
		return err
	}
	for _, value := range r.Cloth.Values {
		if clothNumbers[value.Name] == nil {
			return fmt.Errorf("plan: cutting: no number of a fabric is called %q", value.Name)
		}
	}
	for _, e := range r.Cloth.Enter {
		if clothNumbers[e.Target] == nil || e.Kind != LengthEntry {
			return fmt.Errorf("plan: cutting: entry %q: no length of a fabric is called %q", e.Name, e.Target)
		}
	}
	for _, k := range r.Cloth.Checks {
		if clothConditions[k.When] == nil {
			return fmt.Errorf("plan: cutting: check %q: %q says nothing of a fabric", k.Name, k.When)
		}
	}
	if err := r.Cloth.validateActs(); err != nil {
		return fmt.Errorf("plan: cutting: %w", err)
	}
	for _, c := range append([]row{r.Cloth}, r.Stations...) {
		for _, k := range c.Checks {
			if slices.Contains(r.Retired, k.Name) {
				return fmt.Errorf("plan: check %q is retired", k.Name)
			}
		}
	}
	for i, c := range r.Stations {
		if err := c.validate(); err != nil {
			return fmt.Errorf("plan: station %q of routes.yaml: %w", c.Station, err)
		}
		if !slices.ContainsFunc(r.Routes, func(way route) bool { return slices.Contains(way.Stations, c.Station) }) {
			return fmt.Errorf("plan: station %q of routes.yaml stands on no route", c.Station)
		}
		for _, other := range r.Stations[:i] {
			if other.Mark == c.Mark {
				return fmt.Errorf("plan: stations %q and %q of routes.yaml have one mark", other.Station, c.Station)
			}
		}
	}
	return r.validateOwn()
}

// validateOwn refuses a place for a shop's own station that reads as something else, or whose mark another has.
func (r *routes) validateOwn() error {
	if len(r.Stations) >= firstOwn {
		return fmt.Errorf("plan: %d stations of routes.yaml reach the numbers of a shop's own", len(r.Stations))
	}
	for i, o := range r.Own {
		if string(o.Station) != orderfile.OwnStation(i+1) {
			return fmt.Errorf("plan: own station %q of routes.yaml is none of orderfile.OwnStation", o.Station)
		}
		same := func(m Mark) bool { return m == o.Mark }
		if slices.ContainsFunc(r.Stations, func(c row) bool { return same(c.Mark) }) || slices.ContainsFunc(r.Own[:i], func(p ownRow) bool { return same(p.Mark) }) {
			return fmt.Errorf("plan: own station %q of routes.yaml has another's mark", o.Station)
		}
	}
	if len(r.Own) != orderfile.MostOwnStations {
		return fmt.Errorf("plan: routes.yaml has %d places for a shop's own stations, order files %d", len(r.Own), orderfile.MostOwnStations)
	}
	return nil
}

// validatePieces holds the stations against those that an order file can name on a piece's way.
func (r *routes) validatePieces() error {
	known := orderfile.PieceStations()
	for _, c := range r.Stations {
		if !slices.Contains(known, string(c.Station)) {
			return fmt.Errorf("plan: station %q of routes.yaml is none of orderfile.PieceStations", c.Station)
		}
	}
	if len(known) != len(r.Stations) {
		return fmt.Errorf("plan: orderfile.PieceStations are %d, routes.yaml has %d stations", len(known), len(r.Stations))
	}
	return nil
}

func (c *row) validate() error {
	if c.Station == Cutting && len(c.Enter)+len(c.Checks) > 0 {
		return fmt.Errorf("a panel enters and checks nothing at cutting, the fabric's ticket does")
	}
	for _, value := range c.Values {
		if workup.NumberOf(value.Name) == nil {
			return fmt.Errorf("no number of a panel is called %q", value.Name)
		}
	}
	for _, t := range slices.Concat(c.Values, c.Cautions) {
		if h := t.Of.unknown(); h != "" {
			return fmt.Errorf("%q: no heading is called %q", t.Name, h)
		}
	}
	if err := c.validateLook(); err != nil {
		return err
	}
	for _, e := range c.Enter {
		if workup.NumberOf(e.Target) == nil {
			return fmt.Errorf("entry %q: no number of a panel is called %q", e.Name, e.Target)
		}
		if e.Instead != "" && workup.NumberOf(e.Instead) == nil {
			return fmt.Errorf("entry %q: no number of a panel is called %q", e.Name, e.Instead)
		}
		if h := e.Of.unknown(); h != "" {
			return fmt.Errorf("entry %q: no heading is called %q", e.Name, h)
		}
		if e.Kind != LengthEntry && e.Kind != CountEntry && e.Kind != ChoiceEntry {
			return fmt.Errorf("entry %q: kind %q is none of length, count, choice", e.Name, e.Kind)
		}
		if (e.Kind == ChoiceEntry) != (len(e.Options) > 0) {
			return fmt.Errorf("entry %q: options go with a choice and with nothing else", e.Name)
		}
	}
	for _, p := range c.Pair {
		if !slices.ContainsFunc(c.Enter, func(e entryRow) bool { return e.Name == p.Entry && e.Kind == LengthEntry }) {
			return fmt.Errorf("pair %q: no length that is entered is called %q", p.Name, p.Entry)
		}
	}
	for _, k := range c.Checks {
		if !slices.Contains(conditions, k.When) {
			return fmt.Errorf("check %q: %q is none of %v", k.Name, k.When, conditions[1:])
		}
		if h := k.Of.unknown(); h != "" {
			return fmt.Errorf("check %q: no heading is called %q", k.Name, h)
		}
	}
	if c.Minutes != nil && *c.Minutes < 0 {
		return fmt.Errorf("%d minutes", *c.Minutes)
	}
	return c.validateActs()
}

// validateLook refuses a row without a mark, or with a number on its label that the station hasn't.
func (c *row) validateLook() error {
	if c.Mark.Shape == "" || c.Mark.Colour == "" {
		return errors.New("it lacks its mark: {shape: ..., colour: ...}")
	}
	if len(c.Label) == 0 && len(c.Values) > 0 {
		return errors.New("it lacks the numbers of its label: [{name: ...}]")
	}
	for _, n := range c.Label {
		for _, name := range n.Of {
			if !slices.Contains(names(c.Values), name) && !slices.ContainsFunc(c.Enter, func(e entryRow) bool { return e.Name == name }) {
				return fmt.Errorf("label %q: no value or entry of the station is called %q", n.Name, name)
			}
		}
	}
	return nil
}

// row returns a station's, nil where there is none.
func (r *routes) row(s Station) *row {
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

// route returns a route by its name, nil where there is none.
func (r *routes) route(name string) *route {
	for i := range r.Routes {
		if r.Routes[i].Name == name {
			return &r.Routes[i]
		}
	}
	return nil
}

// of returns the route of a heading, nil where there is none.
func (r *routes) of(h orderfile.Heading) *route {
	if data := h.Data(); data != nil {
		return r.route(data.Route)
	}
	return nil
}
