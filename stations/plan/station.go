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

// Number is a station's number on its mark and placard, from 1: its place among the rows, which never changes once placards hang. 0
// of a station that there is no more.
func Number(s Station) int {
	return slices.IndexFunc(shipped().Stations, func(c row) bool { return c.Station == s }) + 1
}

// MarkOf returns a station's mark, the zero Mark of a station that there is no more.
func MarkOf(s Station) Mark {
	if c := shipped().row(s); c != nil {
		return c.Mark
	}
	return Mark{}
}

// LabelNumbers returns the key numbers of a station's row on a panel's ticket, the most important first. The slice is shared: read
// only.
func LabelNumbers(s Station) []LabelNumber {
	if c := shipped().row(s); c != nil {
		return c.Label
	}
	return nil
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
	asked := Checklist{Values: slices.Clone(list.Values)}
	for _, e := range list.Enter {
		asked.Entries = append(asked.Entries, e.Name)
	}
	for _, c := range list.Checks {
		asked.Checks = append(asked.Checks, c.Name)
	}
	return asked
}

// Cautions returns what can hurt at a station, as catalogue keys "caution.<name>".
func Cautions(s Station) []string {
	var cautions []string
	if s == Cutting {
		cautions = append(cautions, shipped().Cloth.Cautions...)
	}
	if c := shipped().row(s); c != nil {
		cautions = append(cautions, c.Cautions...)
	}
	return cautions
}

// Target returns the key of the panel's number that an entry, or a limit of a pair, is held against; any other name is itself.
func Target(name string) string { return shipped().target(name) }
