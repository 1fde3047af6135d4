package plan

import (
	"slices"
	"strconv"
	"strings"
)

// OwnStations are the places that the program keeps for stations of a shop's own. Their marks and numbers are settled (own: of routes.yaml), so
// that a placard which hangs already never comes to mean another station, whatever stations a later release ships.
func OwnStations() []Station {
	var all []Station
	for i := range shipped().Own {
		all = append(all, shipped().Own[i].Station)
	}
	return all
}

// NewStation stands for the next place that is free where a station is added.
const NewStation Station = "own"

// Placed gives the stations that a layout adds their places; one that finds none keeps NewStation, which Check refuses.
func (l Layout) Placed() Layout {
	l = slices.Clone(l)
	for i := range l {
		free := slices.IndexFunc(shipped().Own, func(o ownRow) bool { return l.Of(o.Station) == nil })
		if l[i].Station == NewStation && free >= 0 {
			l[i].Station = shipped().Own[free].Station
		}
	}
	return l
}

// IsOwn reports whether a station is one of a shop's own.
func IsOwn(s Station) bool {
	return slices.ContainsFunc(shipped().Own, func(o ownRow) bool { return o.Station == s })
}

// firstOwn is the number of the first of a shop's own stations on its mark and placard; the numbers below are for those that are shipped.
const firstOwn = 21

// ownRow is a place for a station of a shop's own.
type ownRow struct {
	Station Station `yaml:"station"`
	Mark    Mark    `yaml:"mark"`
}

// own returns the place of a shop's own station, -1 for one that is shipped.
func (r *routes) own(s Station) int {
	return slices.IndexFunc(r.Own, func(o ownRow) bool { return o.Station == s })
}

// ownCheck names a check of a shop's own station: "own_b_check_5".
func ownCheck(s Station, n int) string { return string(s) + "_check_" + strconv.Itoa(n) }

// ownCheckNumber is the number in such a name, 0 of another.
func ownCheckNumber(s Station, name string) int {
	rest, _ := strings.CutPrefix(name, string(s)+"_check_")
	n, err := strconv.Atoi(rest)
	if err != nil || n < 1 || ownCheck(s, n) != name {
		return 0
	}
	return n
}

// ownEntry names what a shop's own station measures: "own_b_finished_width".
func ownEntry(s Station, target string) string { return string(s) + "_" + target }

// OwnTarget returns the number that an entry of a shop's own station is held against, "" of any other name.
func OwnTarget(entry string) string {
	if !strings.HasPrefix(entry, "own_") {
		return ""
	}
	for _, m := range Measurable() {
		if before, ok := strings.CutSuffix(entry, "_"+m.Target); ok && IsOwn(Station(before)) {
			return m.Target
		}
	}
	return ""
}

// Measure is a number of a panel that a hand can measure or count: what the shipped stations do.
type Measure struct {
	Target string
	Kind   EntryKind
}

// Measurable are the numbers that a shop's own station can measure or count, each once, in the order of the work.
func Measurable() []Measure { return shipped().measurable }

func (r *routes) findMeasurable() (all []Measure) {
	for _, c := range r.Stations {
		for _, e := range c.Enter {
			if e.Kind != ChoiceEntry && !slices.ContainsFunc(all, func(m Measure) bool { return m.Target == e.Target }) {
				all = append(all, Measure{e.Target, e.Kind})
			}
		}
	}
	return all
}

// measuring returns the first shipped entry of a number, and its station.
func (r *routes) measuring(target string) (Station, *entryRow) {
	for i := range r.Stations {
		for k := range r.Stations[i].Enter {
			if e := &r.Stations[i].Enter[k]; e.Target == target {
				return r.Stations[i].Station, e
			}
		}
	}
	return "", nil
}
