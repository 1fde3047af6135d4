package i18n_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// bench plays commands on a floor with the example order released.
type bench struct {
	t       *testing.T
	floor   *stations.Floor
	tickets []*stations.Ticket
	now     time.Time
	n       uint64
}

var (
	officeActor = stations.Actor{Role: stations.Office, Device: "office"}
	benchActor  = stations.Actor{Role: stations.Bench, Device: "bench"}
)

func newBench(t *testing.T) *bench {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/contract/order.yaml")
	if err != nil {
		t.Fatal(err)
	}
	order, problems := orderfile.Parse(raw)
	if order == nil {
		t.Fatal(problems)
	}
	b := &bench{t: t, floor: stations.NewFloor(), now: time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)}
	b.must(stations.TakeOrder{Actor: officeActor, Order: order.ID, Customer: order.Customer})
	b.must(stations.ReleaseOrder{Actor: officeActor, Order: order.ID, Tickets: plan.Tickets(workup.Compute(order), nil, func() plan.Code {
		b.n++
		return plan.NewCode(b.n)
	})})
	b.tickets = b.floor.Order(order.ID).Tickets
	return b
}

func (b *bench) send(cmd stations.Command) *stations.Refusal {
	o := b.floor.Overlay()
	e, err := o.Decide(cmd, b.now)
	if err != nil {
		return err.(*stations.Refusal)
	}
	o.Apply(e)
	b.floor = o.Floor()
	return nil
}

func (b *bench) must(cmd stations.Command) {
	b.t.Helper()
	if r := b.send(cmd); r != nil {
		b.t.Fatal(r)
	}
}

// scan acts on the nth ticket where it is.
func (b *bench) scan(n int, a stations.Action, change func(*stations.Scan)) stations.Scan {
	t := b.floor.Ticket(b.tickets[n].Spec.Code)
	c := stations.Scan{Actor: benchActor, Ticket: t.Spec.Code, Action: a, Station: t.Station(), Reason: "no thread", Measured: map[string]string{}}
	if now := t.Current(); now != nil {
		c.Checks = now.Spec.Checks
		for _, e := range now.Spec.Enter {
			c.Measured[e.Name] = e.Target.String()
		}
	}
	if change != nil {
		change(&c)
	}
	return c
}

func (b *bench) work(n int) {
	b.t.Helper()
	b.must(b.scan(n, stations.Start, nil))
	b.must(b.scan(n, stations.Finish, nil))
}

// TestHeadingsHaveTheirWords: each heading has its name, and each source that its row gives a sentence.
func TestHeadingsHaveTheirWords(t *testing.T) {
	for _, d := range orderfile.Headings() {
		mustHave(t, "heading."+string(d.Heading))
		for _, source := range []string{d.Sources.Fullness, d.Sources.Count, d.Sources.TakeUp, d.Sources.Space, d.Sources.Lead, d.Sources.Pitch} {
			if source != "" { // the rows' own test names one that is missing
				mustHave(t, "source."+source)
			}
		}
	}
}

// TestNumbersHaveTheirWords: each number of a panel has its name; what it is, its formula and its source where a trail explains it.
func TestNumbersHaveTheirWords(t *testing.T) {
	for _, n := range workup.Numbers() {
		mustHave(t, "value."+n.Key)
		if n.Explained() {
			mustHave(t, "trail.what."+n.Key)
			mustHave(t, "page.order.group."+string(n.Group))
		}
		for _, key := range n.Words() {
			mustHave(t, key)
		}
	}
}

// TestTheFloorHasItsWords: everything that a ticket can show has a name.
func TestTheFloorHasItsWords(t *testing.T) {
	for _, s := range plan.Stations() {
		mustHave(t, "station."+string(s))
		mustHave(t, "help.at."+string(s))
		for _, n := range (&plan.Step{Station: s}).Label() {
			mustHave(t, "paper.value."+n.Name)
		}
		for _, name := range plan.Cautions(s) {
			mustHave(t, "paper.caution."+name)
		}
		asked := plan.ChecklistOf(s)
		for _, list := range []struct {
			kind  string
			names []string
		}{{"value", asked.Values}, {"entry", asked.Entries}, {"check", asked.Checks}, {"caution", plan.Cautions(s)}} {
			for _, name := range list.names {
				mustHave(t, list.kind+"."+name)
			}
		}
	}
	for _, s := range plan.Stations() {
		for _, a := range plan.Acts(s, plan.ChecklistOf(s).Checks) {
			mustHave(t, a.Key(s))
		}
	}
	for _, ticket := range newBench(t).tickets {
		for _, step := range ticket.Steps {
			for _, v := range step.Spec.Values {
				mustHave(t, "value."+v.Name)
			}
			for _, e := range step.Spec.Enter {
				mustHave(t, "entry."+e.Name)
				for _, o := range e.Options {
					mustHave(t, "cord_end."+o)
				}
			}
			for _, c := range step.Spec.Checks {
				mustHave(t, "check."+c)
			}
			for _, c := range step.Spec.Cautions {
				mustHave(t, "caution."+c)
			}
		}
	}
}

func mustHave(t *testing.T, key string) {
	t.Helper()
	if !i18n.Has(key) {
		t.Errorf("the catalogues (views/i18n/locales) have no %s", key)
	}
}

// TestRefusalsSayWhereAndWhat reads the sentences of what the floor really refuses.
func TestRefusalsSayWhereAndWhat(t *testing.T) {
	say := i18n.For("en")
	b := newBench(t)
	const left = 2
	reads := func(want string, cmd stations.Command) {
		t.Helper()
		r := b.send(cmd)
		if r == nil {
			t.Fatalf("%+v is accepted", cmd)
		}
		got := say.Refusal(r)
		if got != want || strings.ContainsAny(got, "⟨⟩<>") {
			t.Errorf("%s reads\n%s\nwant\n%s", r.Code, got, want)
		}
	}
	at := func(s plan.Station) func(*stations.Scan) { return func(c *stations.Scan) { c.Station = s } }
	sateen, reed := string(b.tickets[1].Spec.Code), string(b.tickets[0].Spec.Code)

	reads("A panel's cloth is cut by fabric. Scan the cutting ticket "+reed+", "+sateen+" instead.", b.scan(left, stations.Start, nil))
	reads("This ticket does not go to Joining & hems. It is at Cutting: take it there.", b.scan(0, stations.Start, at(plan.Joining)))
	b.work(0)
	reads("The cloth of this panel is not all cut yet. Finish cutting ticket "+sateen+" first.", b.scan(left, stations.Start, at(plan.Joining)))
	b.work(1)
	reads("Cutting of reed has begun, so SMI-014 can't be cancelled any more.", stations.CancelOrder{Actor: officeActor, Order: "SMI-014", Reason: "sold"})
	reads("This panel is still at Joining & hems. Finish that step first.", b.scan(left, stations.Start, at(plan.Tape)))
	reads("Joining & hems has not begun with this ticket. Start it, then finish it.", b.scan(left, stations.Finish, nil))
	b.work(left)
	reads("Too late to undo: panel "+string(b.tickets[left].Spec.Code)+" has gone on with this cloth, at Heading fold. Send it back instead, with a reason.", b.scan(1, stations.Undo, nil))
	reads("Joining & hems has finished with this ticket already. It is at Heading fold now.", b.scan(left, stations.Start, at(plan.Joining)))
	reads("This ticket is not held; it is ready at Heading fold.", b.scan(left, stations.Resume, nil))
	b.must(b.scan(left, stations.Start, nil))
	reads("This ticket is at work already at Heading fold.", b.scan(left, stations.Start, nil))
	reads("“four” is not a length for Fold depth. Write it like 12 1/2 in or 318 mm.", b.scan(left, stations.Finish, func(c *stations.Scan) { c.Measured["fold_depth"] = "four" }))
	reads("This panel is not finished: it is at work at Heading fold.", stations.DraftInvoice{Draft: "D", Customer: "Saltmarsh Inn", Panels: []plan.Code{b.tickets[left].Spec.Code}})
	b.must(b.scan(left, stations.Hold, nil))
	reads("This ticket is held at Heading fold: no thread. Lift the hold first.", b.scan(left, stations.Finish, nil))
	reads("Too late to undo: work has gone on. Send it back instead, with a reason.", b.scan(left, stations.Undo, nil))
	b.must(b.scan(left, stations.Resume, nil))
	b.must(b.scan(left, stations.Finish, func(c *stations.Scan) { c.Measured["fold_depth"] = "5" }))
	reads("This ticket is held at Heading fold: a value is out of tolerance, and the office decides.", b.scan(left, stations.Start, nil))
	reads("A value is out of tolerance at Heading fold: the office decides whether to accept it or send it back.", b.scan(left, stations.Resume, nil))
	reads("The office decides that, or a lead with badge and PIN.", b.scan(left, stations.Accept, nil))
	b.must(b.scan(left, stations.Accept, func(c *stations.Scan) { c.Actor = officeActor }))
	for b.floor.Ticket(b.tickets[left].Spec.Code).State() != stations.Finished {
		b.work(left)
	}
	reads("All the work on this ticket is done.", b.scan(left, stations.Start, nil))
	reads("We have no ticket 000000999. Check the label, or ask the office.", stations.Scan{Ticket: "000000999", Action: stations.Start})
}

// TestRefusalsNameFieldsAsPagesDo: what is missing or too long is named by its label, not by its key.
func TestRefusalsNameFieldsAsPagesDo(t *testing.T) {
	for language, want := range map[string][2]string{
		"en": {"The name is missing.", "The reason is too long: at most 200 letters."},
		"es": {"Falta el nombre.", "Demasiado largo: el motivo admite 200 letras como máximo."},
	} {
		say := i18n.For(language)
		missing := &stations.Refusal{Code: "missing_key", Field: "name", Args: map[string]any{"Name": "name", "Value": ""}}
		long := &stations.Refusal{Code: "bad_value", Field: "reason", Args: map[string]any{"Name": "reason", "Value": "", "Most": 200}}
		if got := [2]string{say.Refusal(missing), say.Refusal(long)}; got != want {
			t.Errorf("%s says %q", language, got)
		}
	}
}
