package bench

import (
	"slices"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
)

// UncutPanel reports whether the ticket is a panel whose cloth is not cut yet: nobody scans it there.
func (o OpenTicket) UncutPanel() bool {
	return !o.IsCutting() && o.Step != nil && o.Step.Station == plan.Cutting
}

// ShowsWork reports whether the step's numbers are of use where the page is.
func (o OpenTicket) ShowsWork() bool { return o.Step != nil && o.Here && !o.UncutPanel() }

// Acts reports whether the page's device may act on the step.
func (o OpenTicket) Acts() bool { return o.ShowsWork() && o.Frame.Works() }

// CanFinish reports whether the step waits for its checks and entries.
func (o OpenTicket) CanFinish() bool { return o.Acts() && o.Step.State == stations.AtWork }

// CanMeasure reports whether the step can be begun, and something is measured before.
func (o OpenTicket) CanMeasure() bool {
	return o.Acts() && o.Step.State == stations.Ready && slices.ContainsFunc(o.Step.Enter, func(e plan.Entry) bool { return e.AtStart })
}

// Act is what a hand and an eye do and confirm in one go.
type Act struct {
	Open OpenTicket
	plan.Act
}

// Key is the catalogue's key of what the act is called.
func (a Act) Key() string { return a.Act.Key(a.Open.Step.Station) }

// Sketch names the act's drawing.
func (a Act) Sketch() string { return string(a.Open.Step.Station) + " " + a.Name }

// Single reports whether the act is one check, whose own words say more than what the act is called.
func (a Act) Single() bool { return len(a.Checks) == 1 }

// Missing reports whether the last try lacked any of its checks.
func (a Act) Missing() bool {
	return slices.ContainsFunc(a.Checks, func(name string) bool { return a.Open.Missing[name] })
}

// Check is one check as the page has it.
type Check struct {
	Name            string
	Ticked, Missing bool
}

// Check returns a check of the open step.
func (o OpenTicket) Check(name string) Check { return Check{name, o.Ticked[name], o.Missing[name]} }

// Tiles are the acts that are confirmed by themselves once the step is at work: one that is made with a choice stands with that.
func (o OpenTicket) Tiles() []Act {
	return slices.DeleteFunc(o.allActs(), func(a Act) bool { return o.asks(a.With) })
}

// WithChoice is the act that an entry's choice makes, its checks with it; nil where there is none.
func (r EntryRow) WithChoice() *Act {
	for _, a := range r.Open.allActs() {
		if a.With == r.Entry.Name {
			return &a
		}
	}
	return nil
}

func (o OpenTicket) allActs() []Act {
	if !o.CanFinish() {
		return nil
	}
	var acts []Act
	for _, a := range plan.Acts(o.Step.Station, o.Step.Checks) {
		acts = append(acts, Act{o, a})
	}
	return acts
}

// asks reports whether an entry of a name is asked now.
func (o OpenTicket) asks(name string) bool {
	return slices.ContainsFunc(o.Entries(), func(r EntryRow) bool { return r.Entry.Name == name })
}

// CanHold reports whether the step can be held.
func (o OpenTicket) CanHold() bool {
	return o.Acts() && o.Step.State != stations.Held
}

// CanRemake reports whether the office can have the panel made anew: it is held, and its cloth is cut.
func (o OpenTicket) CanRemake() bool {
	return o.Acts() && o.Frame.Office() && !o.IsCutting() && o.Held()
}

// TableLeads reports whether the table stands before what is measured and checked, with the bolts' picture; the list of cuts is then looked up.
func (o OpenTicket) TableLeads() bool { return o.CanFinish() && o.Table != nil && o.Table.Leads() }

// NextIsCut reports whether the one thing to do next is a cut: some are left. Until the first is told the ticket may also
// be cut by its list and finished once.
func (o OpenTicket) NextIsCut() bool {
	return o.CanFinish() && o.Table != nil && (o.Table.Next != nil || o.Table.Turn != nil)
}

// MeasuresFirst reports whether a cutting was begun without what is measured before the first cut, and nothing is cut yet.
func (o OpenTicket) MeasuresFirst() bool {
	return o.CanFinish() && o.Table != nil && !o.Table.ByCut && slices.ContainsFunc(o.Entries(), func(r EntryRow) bool { return r.Entry.AtStart })
}

// CanScrap reports whether the office can end the panel: cutting of its cloth has begun, and it isn't billed.
func (o OpenTicket) CanScrap() bool {
	return o.Frame.Office() && !o.IsCutting() && o.State != stations.Cancelled && o.CutBegun && o.Invoice == ""
}

// NeedsOffice reports whether the step is held until the office decides.
func (o OpenTicket) NeedsOffice() bool { return o.Step != nil && o.Step.ForOffice }

// LeadDecides reports whether what the office decides may be decided here too, by a lead with badge and PIN.
func (o OpenTicket) LeadDecides() bool { return o.Acts() && !o.Frame.Office() && o.NeedsOffice() }

// MainAction returns the one action that moves the work on, "" where nothing here does.
func (o OpenTicket) MainAction() stations.Action {
	if !o.Acts() {
		return ""
	}
	switch o.Step.State {
	case stations.Ready:
		return stations.Start
	case stations.AtWork:
		return stations.Finish
	case stations.Held:
		if !o.Step.ForOffice || o.Cloth != nil && o.Frame.Office() {
			return stations.Resume
		}
		if o.Frame.Office() && o.Cloth == nil {
			return stations.Accept
		}
	}
	return ""
}

// Entries returns what the step asks to be measured now: before it is begun what a start carries, and later the rest.
func (o OpenTicket) Entries() []EntryRow {
	if !o.CanFinish() && !o.CanMeasure() {
		return nil
	}
	var rows []EntryRow
	for _, e := range o.Step.Enter {
		if o.CanMeasure() == e.AtStart || !e.AtStart || o.Step.Measured[e.Name].IsZero() {
			rows = append(rows, EntryRow{o, e})
		}
	}
	return rows
}

// Beside is the entry's measure of the panel's mate, nil where there is none to compare it with.
func (r EntryRow) Beside() *views.PairBars { return r.Open.Beside[r.Entry.Name] }

// EntryRow is one entry of the open ticket's step.
type EntryRow struct {
	Open  OpenTicket
	Entry plan.Entry
}
