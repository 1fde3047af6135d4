package board

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// Words gives the sentence of a catalogue key.
type Words interface {
	T(key string, args ...any) string
	Named(kind, name string) string
}

// TicketDoc is everything about one ticket that its station needs.
type TicketDoc struct {
	Row
	Makeup
	Order string         `json:"order"`
	Due   string         `json:"due,omitempty"`
	Notes []string       `json:"notes,omitempty"`
	Cuts  []Cut          `json:"cuts,omitempty"`  // of a cutting ticket, in the order of cutting
	Off   []stations.Off `json:"off,omitempty"`   // what its table told of the bolts beside them
	Fetch []Fetched      `json:"fetch,omitempty"` // of a cutting ticket that isn't finished: the bolts of the shelf that it is cut from
	Step  *Step          `json:"step,omitempty"`  // absent when the ticket is finished or cancelled
	Route []RouteRow     `json:"route"`
}

// Cut is a line of a cutting ticket.
type Cut struct {
	plan.Cut
	// Of one whose bolts are the shelf's: which it is in the order of cutting, from 1, and on patterned cloth on which phase it starts, A or B,
	// where it isn't said as a length.
	Plan  int    `json:"plan,omitempty"`
	Phase string `json:"phase,omitempty"`
}

func cutsOf(f *stations.Floor, t *stations.Ticket) (list []Cut) {
	shelved := t.Spec.Kind == plan.CuttingTicket && len(f.TableOf(t)) > 0
	for i := range t.Spec.Cuts {
		l := Cut{Cut: t.Spec.Cuts[i]}
		if !l.Cut.Phase.IsZero() {
			l.Phase = l.Cut.Phase.String()
		}
		if shelved {
			l.Plan = i + 1
			if l.Phase == "" && !t.Spec.Number("vertical_repeat").IsZero() && l.Trimming == "" && !l.Railroaded {
				l.Phase = cmp.Or(l.Class, "A")
			}
		}
		list = append(list, l)
	}
	return list
}

// Fetched is a bolt of the shelf that a cutting ticket is cut from: to_fetch, on_table, off once nothing more is to be cut from it.
type Fetched struct {
	Bolt  plan.Code `json:"bolt"`
	Lot   string    `json:"lot,omitempty"`
	Place string    `json:"place,omitempty"`
	State string    `json:"state"`
}

// Makeup is what a panel is made of and hangs under. Tickets of the first release don't know their tape.
type Makeup struct {
	Heading string `json:"heading,omitempty"`
	orderfile.Made
	Face        string `json:"face,omitempty"`
	Lining      string `json:"lining,omitempty"`
	Interlining string `json:"interlining,omitempty"`
	Tape        string `json:"tape,omitempty"`
	Under       string `json:"under,omitempty"`

	Outside *plan.Outside `json:"outside,omitempty"` // of a piece: who else works on it
	Copies  int           `json:"copies,omitempty"`  // how many such windows the treatment has
}

// RouteRow is one station of a ticket's route.
type RouteRow struct {
	Station plan.Station   `json:"station"`
	State   stations.State `json:"state"`
}

// Step is the current step with its words. Enter and Checks are empty while a panel's cloth isn't cut: a route has
// none there, nothing is to be done to the panel yet.
type Step struct {
	Station  plan.Station                `json:"station"`
	State    stations.State              `json:"state"`
	Values   []Value                     `json:"values"`
	Enter    []Entry                     `json:"enter"`
	Checks   []Check                     `json:"checks"`
	Acts     []Act                       `json:"acts"`
	Cautions []string                    `json:"cautions"`
	Minutes  *int                        `json:"minutes,omitempty"`
	Reason   string                      `json:"reason,omitempty"`  // why it is held
	Lacks    *stations.ClothHold         `json:"lacks,omitempty"`   // what the bolts lack, where that holds it
	Picture  string                      `json:"picture,omitempty"` // id of the one that shows it
	Measured map[string]measure.Quantity `json:"measured,omitempty"`
	Missing  []string                    `json:"missing,omitempty"` // at the cutting table: cuts, rests and stretches that are still to be told
	OutOf    []string                    `json:"out_of_tolerance,omitempty"`
	Pair     *stations.PairDiffers       `json:"pair,omitempty"` // how it differs from its mate, where that holds it
	SentBack *stations.SentBack          `json:"sent_back,omitempty"`
}

// Value is a computed measurement with its name for people.
type Value struct {
	Name  string           `json:"name"`
	Label string           `json:"label"`
	Value measure.Quantity `json:"value"`
}

// Entry is what the station enters, with its name for people.
type Entry struct {
	Name      string           `json:"name"`
	Label     string           `json:"label"`
	Kind      plan.EntryKind   `json:"kind"`
	Target    measure.Quantity `json:"target"`
	Tolerance *plan.Tolerance  `json:"tolerance,omitempty"`
	Options   []string         `json:"options,omitempty"`
	AtStart   bool             `json:"at_start,omitempty"` // a start may carry it
	Asking
}

// Check is one hand check with its sentence.
type Check struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Asking
}

// Asking says when an entry or a check is asked; nothing where that is always.
type Asking struct {
	When     plan.Occasion `json:"when,omitempty"`
	NotAsked bool          `json:"not_asked,omitempty"` // now: another panel has done it, or it never is
}

// Act is the checks that one act of hand and eye confirms, with its words.
type Act struct {
	Name   string   `json:"name,omitempty"` // absent of a check that stands by itself
	Label  string   `json:"label"`
	Checks []string `json:"checks"`
	With   string   `json:"with,omitempty"` // the choice among the entries that is made in it
}

// TicketDocOf returns a ticket's document in the words given; the floor is as for RowOf.
func TicketDocOf(f *stations.Floor, t *stations.Ticket, say Words) TicketDoc {
	doc := TicketDoc{Row: RowOf(f, t), Makeup: makeupOf(t.Spec), Order: t.Order, Due: t.Due, Notes: t.Spec.Notes, Cuts: cutsOf(f, t), Off: t.Off, Route: []RouteRow{}}
	for i := range t.Steps {
		state := t.Steps[i].State
		if t.Cancelled && state != stations.Finished {
			state = stations.Cancelled
		}
		doc.Route = append(doc.Route, RouteRow{t.Steps[i].Spec.Station, state})
	}
	if now := t.Current(); now != nil {
		doc.Step, doc.Fetch = stepOf(now, f.Asked(t, t.At), say), fetchOf(f, t)
		doc.Step.atTable(f, t, doc.Fetch, say)
	}
	return doc
}

func fetchOf(f *stations.Floor, t *stations.Ticket) (list []Fetched) {
	if t.Spec.Kind != plan.CuttingTicket || t.Cancelled {
		return nil
	}
	for _, b := range f.TableOf(t) {
		row := Fetched{b.Code, b.Lot, b.Place, "off"}
		name := f.Names(t, b)
		switch {
		case slices.Contains(b.For, t.Spec.Code):
			row.State = "on_table"
		case slices.ContainsFunc(t.Spec.Cuts, func(l plan.Cut) bool { return l.Bolt == name && !l.Done }):
			row.State = "to_fetch"
		}
		list = append(list, row)
	}
	return list
}

// atTable adds what is known of a cutting whose bolts are the shelf's: how many are to be fetched, how many it opens, whether fewer would do,
// and what it owes.
func (s *Step) atTable(f *stations.Floor, t *stations.Ticket, fetch []Fetched, say Words) {
	if len(fetch) == 0 {
		return
	}
	toFetch, opened := 0, 0
	for _, row := range fetch {
		if row.State == "to_fetch" {
			toFetch++
		}
		if f.Shelf().Bolt(row.Bolt).OpenedSince(t.Steps[0].Started) {
			opened++
		}
	}
	proof := cmp.Or(t.Spec.Proof, plan.BestFound)
	for _, v := range []plan.Value{{Name: "bolts_to_fetch", Value: measure.OfCount(toFetch)}, {Name: "opened", Value: measure.OfCount(opened)},
		{Name: "proof", Value: measure.OfWord(string(proof))}} {
		s.Values = append(s.Values, Value{v.Name, say.Named("value", v.Name), v.Value})
	}
	s.Missing = f.Owed(t)
}

func makeupOf(s *plan.Ticket) Makeup {
	return Makeup{
		Heading: string(s.Heading), Made: s.Made, Face: s.Face(), Lining: s.Lining, Interlining: s.Interlining, Tape: s.Tape, Under: s.Under,
		Copies: s.Copies, Outside: s.Outside,
	}
}

func stepOf(now *stations.StepNow, asked stations.Asked, say Words) *Step {
	s := &Step{
		Station: now.Spec.Station, State: now.State, Minutes: now.Spec.Minutes, Reason: now.Reason, Picture: now.Picture, Lacks: now.Cloth,
		Measured: now.Measured, OutOf: now.OutOf, Pair: now.Pair, SentBack: now.SentBack,
		Values: []Value{}, Enter: []Entry{}, Checks: []Check{}, Acts: []Act{}, Cautions: []string{},
	}
	for _, v := range now.Spec.Values {
		s.Values = append(s.Values, Value{v.Name, say.Named("value", v.Name), v.Value})
	}
	for _, c := range now.Spec.Cautions {
		s.Cautions = append(s.Cautions, say.T("caution."+c))
	}
	asking := func(name string) Asking {
		return Asking{now.Spec.Asked[name], !asked.Has(name)}
	}
	for _, e := range slices.Concat(now.Spec.Enter, table(asked.Enter)) {
		s.Enter = append(s.Enter, Entry{e.Name, say.Named("entry", e.Name), e.Kind, e.Target, e.Tolerance, e.Options, e.AtStart, asking(e.Name)})
	}
	for _, c := range asked.Shown(now.Spec) {
		s.Checks = append(s.Checks, Check{c, say.T("check." + c), asking(c)})
	}
	for _, a := range plan.Acts(now.Spec.Station, asked.Checks) {
		s.Acts = append(s.Acts, Act{a.Name, say.T(a.Key(now.Spec.Station)), a.Checks, a.With})
	}
	return s
}

// Coming adds what is to be said of the stretches that come off with the cuts as they lie, behind those that came off: so many in all.
func (d *TicketDoc) Coming(stretches int, say Words) {
	if d.Step == nil {
		return
	}
	had := func(name string) bool {
		return slices.ContainsFunc(d.Step.Enter, func(e Entry) bool { return e.Name == name })
	}
	for i := range stretches {
		if e := stations.RemnantAsked(i + 1); !had(e.Name) {
			d.Step.Enter = append(d.Step.Enter, Entry{Name: e.Name, Label: say.Named("entry", e.Name), Kind: e.Kind, Target: e.Target, Options: e.Options})
		}
	}
}

// table are the entries of the cutting table.
func table(enter []plan.Entry) []plan.Entry {
	return slices.DeleteFunc(slices.Clone(enter), func(e plan.Entry) bool { _, _, is := plan.AtTable(e.Name); return !is })
}
