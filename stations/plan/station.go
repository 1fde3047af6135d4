package plan

import (
	"slices"
)

// Station is a station's key. Names on screen come from the catalogue.
type Station string

const (
	Cutting  Station = "cutting"
	Joining  Station = "joining"
	Fold     Station = "fold"
	Tape     Station = "tape"
	PullUp   Station = "pull_up"
	Inserts  Station = "inserts"
	Pressing Station = "pressing"
	Packing  Station = "packing"

	Heading  Station = "heading"  // buckram and heading, of pleats set by hand
	Pleating Station = "pleating" // marked and pleated
	Tacking  Station = "tacking"

	Sewing Station = "sewing" // of pieces that are no panels

	RodPocket Station = "rod_pocket"
	Eyelets   Station = "eyelets"
	Tabs      Station = "tabs"
)

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

// complete fills in what a row needn't say.
func (n *LabelNumber) complete() {
	if len(n.Of) == 0 {
		n.Of = []string{n.Name}
	}
	if n.Between == "" {
		n.Between = "·"
	}
}

// Stations returns the stations that are shipped, in the order in which work passes them.
func Stations() []Station { return Layout(nil).Stations() }

// inOrder puts the stations of ways in an order in which work passes them on every way; what the ways leave open goes way by way. It is
// false where ways pass stations in both directions: those stand at the end.
func inOrder(ways [][]Station) (all []Station, ok bool) {
	for {
		var blocked []Station
		next := Station("")
		for _, way := range ways {
			at := slices.IndexFunc(way, func(s Station) bool { return !slices.Contains(all, s) })
			if at < 0 {
				continue
			}
			if ready(ways, way[at], all) {
				next = way[at]
				break
			}
			blocked = append(blocked, way[at:]...)
		}
		if next == "" {
			return append(all, each(blocked, all)...), len(blocked) == 0
		}
		all = append(all, next)
	}
}

// each are the stations of a list, each once, that others lack.
func each(list, others []Station) (all []Station) {
	for _, s := range list {
		if !slices.Contains(others, s) && !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return all
}

// ready reports whether every station right before one is done.
func ready(ways [][]Station, s Station, done []Station) bool {
	for _, way := range ways {
		if at := slices.Index(way, s); at > 0 && !slices.Contains(done, way[at-1]) {
			return false
		}
	}
	return true
}

// Number is a station's number on its mark and placard, from 1: its place among the rows, which never changes once placards hang. 0
// of a station that there is no more.
func Number(s Station) int { return shipped().number(s) }

func (r *routes) number(s Station) int {
	if own := r.own(s); own >= 0 {
		return firstOwn + own
	}
	return slices.IndexFunc(r.Stations, func(c row) bool { return c.Station == s }) + 1
}

// MarkOf returns a station's mark, the zero Mark of a station that there is no more.
func MarkOf(s Station) Mark {
	if own := shipped().own(s); own >= 0 {
		return shipped().Own[own].Mark
	}
	if c := shipped().row(s); c != nil {
		return c.Mark
	}
	return Mark{}
}

// Label returns the key numbers of a step's row on a panel's ticket, the most important first: at a shop's own station all that it
// shows. The slice is shared: read only.
func (s *Step) Label() []LabelNumber {
	if c := shipped().row(s.Station); c != nil {
		return c.Label
	}
	var all []LabelNumber
	for _, v := range s.Values {
		n := LabelNumber{Name: v.Name}
		n.complete()
		all = append(all, n)
	}
	return all
}

// Checklist is what a station shows, measures and checks, whatever the panel: names of the catalogue's value, entry and
// check.
type Checklist struct{ Values, Entries, Checks []string }

// ChecklistOf returns what a station asks of the pieces that pass it; at cutting what the cloth's own list asks, where
// panels are cut.
func ChecklistOf(s Station) Checklist {
	list := shipped().asked(s)
	if list == nil { // a station that only an old ledger knows
		return Checklist{}
	}
	asked := Checklist{Values: names(list.Values)}
	for _, e := range list.Enter {
		asked.Entries = append(asked.Entries, e.Name)
	}
	for _, c := range list.Checks {
		asked.Checks = append(asked.Checks, c.Name)
	}
	return asked
}

// AskedOn returns what a shipped station asks on the way of a route: names of the catalogue's entry and check.
func AskedOn(route string, s Station) Checklist {
	var asked Checklist
	for _, r := range askings() {
		switch {
		case r.Route != route || r.Station != s || r.Safety && !r.Check: // what is entered for safety goes with its check
		case r.Check:
			asked.Checks = append(asked.Checks, r.Name)
		default:
			asked.Entries = append(asked.Entries, r.Name)
		}
	}
	return asked
}

// Cautions returns what can hurt at a station, as catalogue keys "caution.<name>".
func Cautions(s Station) []string {
	var cautions []string
	if s == Cutting {
		cautions = append(cautions, names(shipped().Cloth.Cautions)...)
	}
	if c := shipped().row(s); c != nil {
		cautions = append(cautions, names(c.Cautions)...)
	}
	return cautions
}

// Instead returns the key of the number that an entry is held against where a panel has that, "" for none; any other name is asked for as
// the target of an entry.
func Instead(name string) string {
	_, usual := shipped().measuring(Target(name))
	if usual == nil {
		return ""
	}
	return usual.Instead
}

// Target returns the key of the panel's number that an entry, or a limit of a pair, is held against; any other name is itself.
func Target(name string) string {
	if of := OwnTarget(name); of != "" {
		return of
	}
	return shipped().target(name)
}
