package plan

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Layout is what a shop has otherwise than shipped of its stations: which it has switched off, what it calls them, which it works at one
// bench, and those that it has added. The nil Layout is as shipped. An order keeps that of its release (see Way).
type Layout []Fitting

// Fitting is one station of a shop.
type Fitting struct {
	Station Station `json:"station"`
	Off     bool    `json:"off,omitempty"`    // orders that are released pass it no more
	Safety  string  `json:"safety,omitempty"` // of one that is off: SafetyNext
	Name    string  `json:"name,omitempty"`   // "" as shipped
	Bench   string  `json:"bench,omitempty"`  // stations of one bench are worked in a row, on one page

	// Of a shop's own.
	After  []Place    `json:"after,omitempty"`
	Checks []OwnCheck `json:"checks,omitempty"`
	Enter  []OwnEntry `json:"enter,omitempty"`
}

// SafetyNext has the checks of safety of a station that is off asked at the next that the work passes, or where none comes any more at the
// one before. Somebody may be hurt where they aren't asked, so that they never go with their station.
const SafetyNext = "next"

// Place is a station on the way of a route.
type Place struct {
	Route   string  `json:"route"`
	Station Station `json:"station"`
}

// OwnCheck is a check of a shop's own station, in the shop's words.
type OwnCheck struct {
	Name  string `json:"name"`
	Label string `json:"label,omitempty"`
}

// OwnEntry is a number of the panel that a shop's own station measures or counts.
type OwnEntry struct {
	Target string `json:"target"`
	// Tolerance of a length; nil: the shop's own for that number.
	Tolerance *Tolerance `json:"tolerance,omitempty"`
}

// Of returns what the shop says of a station, nil for nothing.
func (l Layout) Of(s Station) *Fitting {
	for i := range l {
		if l[i].Station == s {
			return &l[i]
		}
	}
	return nil
}

// Off reports whether a station is switched off.
func (l Layout) Off(s Station) bool {
	f := l.Of(s)
	return f != nil && f.Off
}

// Has reports whether the shop has a station, switched off or not.
func (l Layout) Has(s Station) bool { return shipped().row(s) != nil || IsOwn(s) && l.Of(s) != nil }

// Stations are all that the shop has, those too that are off, in the order in which work passes them.
func (l Layout) Stations() []Station {
	var ways [][]Station
	for _, way := range shipped().Routes {
		ways = append(ways, l.with(way.Name, way.Stations))
	}
	all, _ := inOrder(ways)
	return all
}

// Open are the stations that aren't off, in the order in which work passes them.
func (l Layout) Open() []Station {
	return slices.DeleteFunc(l.Stations(), l.Off)
}

// Bench are the stations at whose bench a station's work is done, in the order of the work: itself alone where the shop puts no other there.
func (l Layout) Bench(s Station) []Station {
	f := l.Of(s)
	if f == nil || f.Bench == "" || f.Off {
		return []Station{s}
	}
	return l.At(f.Bench)
}

// At are the stations of a bench, in the order of the work; none that are off.
func (l Layout) At(bench string) []Station {
	return slices.DeleteFunc(l.Open(), func(s Station) bool {
		f := l.Of(s)
		return f == nil || f.Bench != bench
	})
}

// Benches are the names of the benches that take several stations, in the order of the work.
func (l Layout) Benches() (names []string) {
	for _, s := range l.Open() {
		if f := l.Of(s); f != nil && f.Bench != "" && !slices.Contains(names, f.Bench) && len(l.At(f.Bench)) > 1 {
			names = append(names, f.Bench)
		}
	}
	return names
}

// RouteNames are the routes that there are.
func RouteNames() (names []string) {
	for _, way := range shipped().Routes {
		names = append(names, way.Name)
	}
	return names
}

// Route returns the stations of a route as the shop has it, nil of a route that there isn't.
func (l Layout) Route(name string) []Station {
	if way := shipped().route(name); way != nil {
		return l.way(name, way.Stations)
	}
	return nil
}

// way is a way along a route with the shop's own stations on it, and without those that are off.
func (l Layout) way(route string, stations []Station) []Station {
	return slices.DeleteFunc(l.with(route, stations), l.Off)
}

// with puts the shop's own stations on a way, each behind the station that it comes after.
func (l Layout) with(route string, stations []Station) []Station {
	var way []Station
	for _, s := range stations {
		if !slices.Contains(way, s) {
			way = append(way, s)
		}
		for _, f := range l {
			if slices.Contains(f.After, Place{route, s}) && !slices.Contains(stations, f.Station) {
				way = append(way, f.Station)
			}
		}
	}
	return way
}

// row is what a station shows, measures and checks. A shop's own asks of pieces that are no panels what it asks of panels.
func (l Layout) row(s Station) *row {
	if own := shipped().own(s); own >= 0 {
		c := &row{Station: s, Mark: shipped().Own[own].Mark}
		if f := l.Of(s); f != nil {
			for _, k := range f.Checks {
				c.Checks = append(c.Checks, check{Name: k.Name, Piece: true})
			}
			for _, e := range f.Enter {
				c.Values = append(c.Values, told{Name: e.Target})
				if _, usual := shipped().measuring(e.Target); usual != nil && usual.Instead != "" {
					c.Values = append(c.Values, told{Name: usual.Instead})
				}
			}
		}
		return c
	}
	return shipped().row(s)
}

// measures adds what a shop's own station measures of a panel: numbers that the panel has.
func (l Layout) measures(m subject, step *Step, tolerances orderfile.Tolerances) {
	f := l.Of(step.Station)
	if f == nil {
		return
	}
	for _, e := range f.Enter {
		at, usual := shipped().measuring(e.Target)
		if usual == nil {
			continue
		}
		entry := usual.of(m, at, tolerances)
		if entry.Target.IsZero() {
			continue
		}
		entry.Name, entry.AtStart = ownEntry(step.Station, e.Target), false
		if t := e.Tolerance; t != nil && entry.Kind == LengthEntry {
			entry.Tolerance = &Tolerance{measure.OfLength(t.Minus.Length(), m.units), measure.OfLength(t.Plus.Length(), m.units)}
		}
		step.Enter = append(step.Enter, entry)
	}
}

// keepSafe asks at the other steps of a way what the stations on it that are off would have asked for safety. asks reports whether a check
// is asked of what is made, of gives an entry its target.
func (l Layout) keepSafe(way []Station, steps []Step, asks func(check) bool, of func(entryRow, Station) Entry) {
	for i, s := range way {
		if !l.Off(s) {
			continue
		}
		at := nextOpen(way[i+1:], steps)
		c := shipped().row(s)
		if at == nil || c == nil {
			continue
		}
		for _, k := range c.Checks {
			if !k.Safety || !asks(k) || slices.Contains(at.Checks, k.Name) {
				continue
			}
			at.Checks = append(slices.Clone(at.Checks), k.Name)
			for _, e := range c.Enter {
				if of != nil && e.Name == k.With && at.Entry(e.Name) == nil {
					at.Enter = append(slices.Clone(at.Enter), of(e, s))
				}
			}
		}
	}
}

// nextOpen is the first step at one of the stations ahead, the last step where there is none.
func nextOpen(ahead []Station, steps []Step) *Step {
	for _, s := range ahead {
		for i := range steps {
			if steps[i].Station == s {
				return &steps[i]
			}
		}
	}
	if len(steps) == 0 {
		return nil
	}
	return &steps[len(steps)-1]
}

// Way is what of the layout an order's tickets come from, as an event keeps it: without names, benches and words, which are the shop's of
// today.
func (l Layout) Way() Layout {
	var way Layout
	for _, f := range l {
		if !f.Off && !IsOwn(f.Station) {
			continue
		}
		f.Name, f.Bench = "", ""
		f.Checks = slices.Clone(f.Checks)
		for i := range f.Checks {
			f.Checks[i].Label = ""
		}
		way = append(way, f)
	}
	return way
}

// ChecklistOf returns what a station asks of the pieces that pass it; at cutting what the cloth's own list asks, where panels are cut.
func (l Layout) ChecklistOf(s Station) Checklist {
	list := ChecklistOf(s)
	if f := l.Of(s); f != nil && IsOwn(s) {
		for _, e := range f.Enter {
			list.Values, list.Entries = append(list.Values, e.Target), append(list.Entries, ownEntry(s, e.Target))
		}
		for _, k := range f.Checks {
			list.Checks = append(list.Checks, k.Name)
		}
	}
	return list
}
