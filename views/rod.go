package views

import (
	"slices"

	"tablehand/stations/plan"
)

// RodPlace is what of an order hangs at one place of its own rod: at a station, finished, or off the floor.
type RodPlace struct {
	Station plan.Station // "" beyond the stations
	Word    string       // catalogue: what it is called there
	Count   int          // of panels, and of fabrics to cut
	AtWork  int
	Windows []RodWindow // none on a rod that only counts
}

// RodWindow is what hangs there of one window, or of one fabric to cut.
type RodWindow struct {
	Name   string
	Copy   int
	Pieces []Piece
}

// placeOf is where a piece hangs; a fabric that is cut hangs nowhere, its panels do.
func placeOf(p Piece) (place RodPlace, hangs bool) {
	switch {
	case p.State == "cancelled":
		return RodPlace{Word: "rod.ended"}, !p.IsCutting()
	case p.Finished():
		return RodPlace{Word: "state.finished"}, !p.IsCutting()
	}
	return RodPlace{Station: p.Station}, true
}

// RodOf hangs an order's pieces where they are, along the shop's stations in the order of the work. Where they are many a rod only counts
// them.
func RodOf(pieces []Piece, way []plan.Station, counts bool) []RodPlace {
	var rod []RodPlace
	for _, p := range pieces {
		place, hangs := placeOf(p)
		if !hangs {
			continue
		}
		i := slices.IndexFunc(rod, func(r RodPlace) bool { return r.Station == place.Station && r.Word == place.Word })
		if i < 0 {
			i = len(rod)
			rod = append(rod, place)
		}
		rod[i].Count++
		if p.AtWork() {
			rod[i].AtWork++
		}
		if !counts {
			rod[i].hang(p)
		}
	}
	slices.SortStableFunc(rod, func(a, b RodPlace) int { return a.rank(way) - b.rank(way) })
	return rod
}

// rank is the place along the way of the work: stations, those that only an old ledger knows, finished, off the floor.
func (r RodPlace) rank(all []plan.Station) int {
	switch i := slices.Index(all, r.Station); {
	case i >= 0:
		return i
	case r.Station != "":
		return len(all)
	case r.Word == "state.finished":
		return len(all) + 1
	}
	return len(all) + 2
}

func (r *RodPlace) hang(p Piece) {
	name := p.Window
	if p.IsCutting() {
		name = p.Fabric
	}
	for i := range r.Windows {
		if w := &r.Windows[i]; w.Name == name && w.Copy == p.Copy && w.Pieces[0].Kind == p.Kind {
			w.Pieces = append(w.Pieces, p)
			return
		}
	}
	r.Windows = append(r.Windows, RodWindow{name, p.Copy, []Piece{p}})
}
