package plan

import (
	"cmp"
	"fmt"
	"slices"
)

// Act is one act of hand and eye at a station: the checks that are confirmed together, in the order of the station's row.
type Act struct {
	// Name has its words under "act.<station>.<name>". It is "" of a check that no row has, on a ticket of an older
	// release: that one is an act by itself, in the check's own words.
	Name   string
	Checks []string
	With   string // the entry, a choice, that is made in the same act; "" for none
	Safety bool   // somebody may be hurt later if it is forgotten: an act by itself, always asked

	from Station // whose act it is, where that station is off and another asks it
}

// Key returns the catalogue's key of the act's words at a station.
func (a Act) Key(s Station) string {
	if a.Name == "" {
		return "check." + a.Checks[0]
	}
	return "act." + string(cmp.Or(a.from, s)) + "." + a.Name
}

// Acts puts checks of a station together to acts, in the order of the station's row; those that it hasn't stand last.
func Acts(s Station, checks []string) []Act {
	var acts []Act
	var known []string
	for _, k := range shipped().asked(s).checks() {
		if !slices.Contains(checks, k.Name) {
			continue
		}
		known = append(known, k.Name)
		i := slices.IndexFunc(acts, func(a Act) bool { return a.Name == k.Act })
		if i < 0 {
			i, acts = len(acts), append(acts, Act{Name: k.Act, With: k.With, Safety: k.Safety})
		}
		acts[i].Checks = append(acts[i].Checks, k.Name)
	}
	for _, name := range checks {
		if !slices.Contains(known, name) {
			acts = append(acts, shipped().actOf(name))
		}
	}
	return acts
}

// actOf is the act of a check that a station asks without having it: one of safety, of a station that is off, else a check that no row
// has.
func (r *routes) actOf(name string) Act {
	for _, c := range r.Stations {
		for _, k := range c.Checks {
			if k.Name == name && k.Safety {
				return Act{Name: k.Act, Checks: []string{name}, With: k.With, Safety: true, from: c.Station}
			}
		}
	}
	return Act{Checks: []string{name}}
}

// asked returns the row that says what a station asks: at cutting the cloth's own, where panels are cut. nil for a station
// that only an old ledger knows.
func (r *routes) asked(s Station) *row {
	if s == Cutting {
		return &r.Cloth
	}
	return r.row(s)
}

// checks are a row's, none of no row.
func (c *row) checks() []check {
	if c == nil {
		return nil
	}
	return c.Checks
}

// validateActs refuses a check without an act, a safety act that has something else in it, and a choice that isn't the
// station's.
func (c *row) validateActs() error {
	for i, k := range c.Checks {
		if k.Act == "" {
			return fmt.Errorf("check %q lacks its act", k.Name)
		}
		if k.With != "" && !slices.ContainsFunc(c.Enter, func(e entryRow) bool { return e.Name == k.With && e.Kind == ChoiceEntry }) {
			return fmt.Errorf("check %q: no choice of the station is called %q", k.Name, k.With)
		}
		for _, other := range c.Checks[:i] {
			if other.Act == k.Act && (k.Safety || other.Safety || k.With != "" || other.With != "") {
				return fmt.Errorf("checks %q and %q are one act: what is asked for safety, or goes with a choice, is an act by itself", other.Name, k.Name)
			}
		}
	}
	return c.validateAsked()
}
