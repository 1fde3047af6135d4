package desk

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/server/store"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// Fittings are what a shop says of its stations: the layout, the words of all that its own ever checked, since tickets may still ask it, and
// who changed what last.
type Fittings struct {
	Layout  plan.Layout              `json:"stations"`
	Checks  map[string]string        `json:"checks,omitempty"`
	Changed map[plan.Station]Changed `json:"changed,omitempty"`
}

// Changed is who changed something, and when.
type Changed struct {
	By string    `json:"by"`
	At time.Time `json:"at"`
}

// words are the shop's own for its stations, by keys of the catalogue.
func (f *Fittings) words() map[string]string {
	words := map[string]string{}
	for name, label := range f.Checks {
		words["check."+name] = label
	}
	for _, s := range f.Layout {
		if s.Name != "" {
			words["station."+string(s.Station)] = s.Name
		}
	}
	return words
}

// fittingsOf reads what is kept of them. Work goes on as shipped where it can't be read, or this version has no such station.
func fittingsOf(kept string) (Fittings, error) {
	var f Fittings
	if kept == "" {
		return f, nil
	}
	if err := json.Unmarshal([]byte(kept), &f); err != nil {
		return Fittings{}, err
	}
	if problems := f.Layout.Check(); len(problems) > 0 {
		f.Layout = nil
		return f, fmt.Errorf("%s: %s", problems[0].Where, problems[0].Code)
	}
	return f, nil
}

// SetStations keeps what the shop says of its stations, the whole: a station that it doesn't name is as shipped, and one of its own that it
// doesn't name is no more. Orders that are released from now on go by it. A check without a name is a new one. Each change is noted in the
// record, as the entry by has it. The error is problems where something is wrong, station_used where tickets pass one of the shop's own
// that would be no more, and station_busy where work lies at one that would be off, unless that is left to be done.
func (d *Desk) SetStations(ctx context.Context, by store.Entry, set plan.Layout, leave bool) error {
	d.saving.Lock()
	defer d.saving.Unlock()
	was := d.Shop().Fittings
	if problems := d.CheckStations(set); len(problems) > 0 {
		return RefuseProblems(problems)
	}
	asked := stillAsked(d.Shop().Measuring, set)
	set = set.Placed()
	is := Fittings{Layout: tidy(set).NumberChecks(slices.Collect(maps.Keys(was.Checks))), Checks: map[string]string{}, Changed: map[plan.Station]Changed{}}
	if refused := d.Store.Floor().RefuseLayout(was.Layout, set, leave); refused != nil {
		return refused
	}
	maps.Copy(is.Checks, was.Checks)
	maps.Copy(is.Changed, was.Changed)
	for _, f := range is.Layout {
		for _, k := range f.Checks {
			is.Checks[k.Name] = k.Label
		}
	}
	var notes []store.Entry
	for _, s := range slices.Concat(plan.Stations(), plan.OwnStations()) {
		from, to := told(was.Layout.Of(s)), told(is.Layout.Of(s))
		if from == to {
			continue
		}
		note := by
		note.What, note.About = store.SettingChanged, fmt.Sprintf("%s: %s %s → %s", store.Stations, s, from, to)
		notes = append(notes, note)
		is.Changed[s] = Changed{by.Who, d.Clock().UTC().Truncate(time.Second)}
	}
	if len(notes) == 0 {
		return nil
	}
	text, err := json.Marshal(is)
	if err != nil {
		return err
	}
	measuring, err := json.Marshal(ownAskings(is.Layout, asked))
	if err != nil {
		return err
	}
	if err := d.Store.SetNoting(ctx, map[store.Setting]string{store.Stations: string(text), store.Measuring: string(measuring)}, notes...); err != nil {
		return err
	}
	return d.readSettings()
}

// stillAsked is what is asked when without what stations of the shop's own ask that a layout, as it was sent, doesn't name: one that is
// added takes such a one's place, and nothing of what that asked.
func stillAsked(m plan.Measuring, set plan.Layout) plan.Measuring {
	return slices.DeleteFunc(slices.Clone(m), func(a plan.Asking) bool { return plan.IsOwn(a.Station) && set.Of(a.Station) == nil })
}

// tidy leaves out stations of which a layout says nothing, and puts the others in the order of their numbers.
func tidy(l plan.Layout) plan.Layout {
	l = slices.DeleteFunc(slices.Clone(l), func(f plan.Fitting) bool { return !plan.IsOwn(f.Station) && told(&f) == told(nil) })
	for i := range l {
		if !l[i].Off || plan.IsOwn(l[i].Station) {
			l[i].Safety = ""
		}
	}
	slices.SortFunc(l, func(a, b plan.Fitting) int { return cmp.Compare(plan.Number(a.Station), plan.Number(b.Station)) })
	return l
}

// told is what the record says of a station.
func told(f *plan.Fitting) string {
	if f == nil {
		return "–"
	}
	var says []string
	if f.Off {
		says = append(says, "off")
	}
	if f.Off && f.Safety != "" {
		says = append(says, "safety "+f.Safety)
	}
	if f.Name != "" {
		says = append(says, "“"+f.Name+"”")
	}
	if f.Bench != "" {
		says = append(says, "bench “"+f.Bench+"”")
	}
	for _, at := range f.After {
		says = append(says, "after "+at.Route+"/"+string(at.Station))
	}
	for _, e := range f.Enter {
		says = append(says, e.Target+off(e.Tolerance))
	}
	for _, k := range f.Checks {
		says = append(says, "“"+k.Label+"”")
	}
	if len(says) == 0 {
		return "–"
	}
	return strings.Join(says, ", ")
}

func off(t *plan.Tolerance) string {
	if t == nil {
		return ""
	}
	return " −" + t.Minus.String() + " +" + t.Plus.String()
}

// CheckStations returns all that is wrong in what SetStations would keep.
func (d *Desk) CheckStations(set plan.Layout) []engine.Problem {
	set = set.Placed()
	return append(set.Check(), d.likeShipped(set)...)
}

// Sides reads the tolerance of a measure that a station of the shop's own makes: nil where neither side says anything; a side that is no
// length is one that Check refuses.
func Sides(minus, plus *string, units measure.Unit) *plan.Tolerance {
	if minus == nil && plus == nil {
		return nil
	}
	side := func(text *string) measure.Quantity {
		if text == nil {
			return measure.OfLength(0, units)
		}
		l, err := measure.Parse(*text, units)
		if err != nil {
			return measure.OfWord(*text)
		}
		return measure.OfLength(l, units)
	}
	return &plan.Tolerance{Minus: side(minus), Plus: side(plus)}
}

// likeShipped refuses a name that another station has already in the shop's language: two alike send cloth to the wrong bench.
func (d *Desk) likeShipped(l plan.Layout) (problems []engine.Problem) {
	say := i18n.For(d.Shop().Language)
	for i, f := range l {
		for _, s := range plan.Stations() {
			if own := l.Of(s); f.Name != "" && s != f.Station && (own == nil || own.Name == "") && strings.EqualFold(say.Station(s), f.Name) {
				problems = append(problems, engine.Problem{Severity: engine.Error, Code: "duplicate", Key: "stations.name_taken", Where: fmt.Sprintf("stations[%d].name", i),
					Args: map[string]any{"Name": f.Name, "Station": f.Station}})
			}
		}
	}
	return problems
}

// unmade tells of pieces that a shop with that layout can't make.
func unmade(w *workup.Workup, l plan.Layout) (problems []engine.Problem) {
	if w == nil {
		return nil
	}
	for _, i := range l.Lost(w.Order) {
		where := fmt.Sprintf("pieces[%d].route", i)
		line, column := w.Order.Position(where)
		problems = append(problems, engine.Problem{Severity: engine.Error, Code: "route_lost", Where: where, Line: line, Column: column,
			Args: map[string]any{"Text": w.Order.Pieces[i].Text}})
	}
	return problems
}
