package stations

import (
	"reflect"
	"slices"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
)

// revisions are files that an order may be revised to: windows wider, longer, renamed, moved, more of them or fewer, in
// other cloth, unlined, with other bolts.
func revisions(t fataler) []*workup.Workup {
	window := func(name, more string) string {
		return "  - {window: " + name + ", heading: cartridge-tape, draw: one_way_left, face_width: 70, finished_length: 80, face: reed" + more + "}\n"
	}
	bay := "treatments:\n"
	return []*workup.Workup{
		revisedOrder(t),
		revisedOrder(t, wider, widerTo),
		revisedOrder(t, longer, longerTo),
		revisedOrder(t, bayLonger, bayLongerT, longer, "finished_length: 80"),
		revisedOrder(t, "window: Door", "window: Garden door"),
		revisedOrder(t, bay, bay+window("Porch", ", lining: sateen")),
		revisedOrder(t, bay, bay+window("Porch", "")+window("Stair", ", lining: sateen, quantity: 2")),
		revisedOrder(t, "quantity: 1", "quantity: 3"),
		revisedOrder(t, "quantity: 1", "quantity: 2", "    lining: sateen\n", ""),
		revisedOrder(t, "finished_length: 84, face: reed, lining: sateen", "finished_length: 84, face: reed"),
		revisedOrder(t, "insert_length: 12", "insert_length: 13", "cord_end: wound", "cord_end: tucked"),
		revisedOrder(t, "{id: R1, length: 40 yd, lot: A", "{id: R2, length: 30 yd, lot: B}\n      - {id: R1, length: 40 yd, lot: A"),
		revisedOrder(t, "match: straight", "match: half_drop"),
	}
}

// TestAnyRevision revises and remakes at random among scans. After each command every ticket stands in order, no cloth
// is cut twice, no number changes on a step that was begun, and who follows the ledger sees the same floor.
func TestAnyRevision(t *testing.T) {
	files := revisions(t)
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: "Saltmarsh Inn", Digest: "d"})
		now := files[0]
		s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(now, nil, s.code)})
		follower := NewFloor()
		for range rapid.IntRange(1, 50).Draw(t, "commands") {
			before := s.floor
			switch kind := rapid.IntRange(0, 9).Draw(t, "kind"); {
			case kind < 6:
				s.forward(t)
			case kind < 8:
				file := files[rapid.IntRange(0, len(files)-1).Draw(t, "file")]
				_, r := s.try(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(file), Override: rapid.Bool().Draw(t, "override"), Reason: "because"})
				if r == nil {
					now = file
					underNobodysHands(t, before, s.floor)
				}
			default:
				s.anyChange(t, now)
			}
			s.wait(time.Duration(rapid.IntRange(0, 200).Draw(t, "seconds")) * time.Second)
			follower = follow(t, follower, s.ledger)
			inOrder(t, s.floor)
			cutOnce(t, s.floor.Order("ORDER"), now)
			everyPanelHasATicket(t, s.floor.Order("ORDER"), now)
		}
		for name, f := range map[string]*Floor{"the ledger folded at once": refold(t, s.ledger), "a floor that follows the ledger": follower} {
			if !reflect.DeepEqual(image(f), image(s.floor)) {
				t.Fatalf("%s is another floor", name)
			}
		}
	})
}

// anyChange holds, resumes, sends back or remakes some ticket, whatever its state.
func (s *shop) anyChange(t *rapid.T, w *workup.Workup) {
	all := s.floor.Order("ORDER").Tickets
	code := all[rapid.IntRange(0, len(all)-1).Draw(t, "ticket")].Spec.Code
	cmd := s.scan(code, rapid.SampledFrom([]Action{Hold, Hold, Resume, SendBack, Accept, Remake, Remake, Undo}).Draw(t, "action"), by(office))
	cmd.To = rapid.SampledFrom(plan.Stations()).Draw(t, "to")
	if cmd.Action == Remake {
		sheet := Sheet{Work: w, Digest: s.floor.Order("ORDER").Digest, Codes: s.code}
		cmd.Sheet, cmd.Override = &sheet, rapid.Bool().Draw(t, "override")
	}
	e, r := s.try(cmd)
	if r != nil || e.Action != Remake {
		return
	}
	was, is := s.floor.Ticket(code), s.floor.Ticket(e.New)
	if !was.Cancelled || was.RemadeAs != e.New || is.Spec.RemadeFrom != code || plan.SeatOf(was.Spec) != plan.SeatOf(is.Spec) {
		t.Fatalf("remade %+v as %+v", was, is)
	}
	for _, cut := range s.floor.Cutters(is) {
		if cut.State() != Ready || len(cut.Spec.Panels()) != 1 {
			t.Fatalf("%s cuts for the panel again: %+v", cut.Spec.Code, cut)
		}
	}
}

// underNobodysHands holds every step that was begun, and every cutting, against its numbers of before a revision.
func underNobodysHands(t fataler, before, after *Floor) {
	for _, was := range before.Order("ORDER").Tickets {
		is := after.Ticket(was.Spec.Code)
		if is.Cancelled && !was.Cancelled && (was.isPanel() && slices.ContainsFunc(before.Cutters(was), (*Ticket).cutInto) || !was.isPanel() && was.cutInto()) {
			t.Fatalf("%s was cut, and the revision cancels it", was.Spec.Code)
		}
		if !was.isPanel() {
			if was.cutInto() && !reflect.DeepEqual(was.Spec.Cuts, is.Spec.Cuts) {
				t.Fatalf("%s was being cut, and its cuts change", was.Spec.Code)
			}
			continue
		}
		for i := 1; i < len(was.Steps); i++ {
			if names := revision.Differences(alone(was.Steps[i].Spec), alone(is.Steps[i].Spec)); was.done(i) && len(names) > 0 {
				t.Fatalf("%s was at step %d, and %q change at step %d", was.Spec.Code, was.At, names, i)
			}
		}
	}
}

// alone is a ticket of one step, of no older edition than any number.
func alone(s *plan.Step) *plan.Ticket { return &plan.Ticket{Edition: 99, Steps: []plan.Step{*s}} }

// cutOnce holds the cuts of all the order's cutting tickets against its bolts: none meet, none lies on a flaw or beyond
// the end, and every panel has its pieces once.
func cutOnce(t fataler, o *Order, w *workup.Workup) {
	type stretch struct {
		span cutting.Span
		by   plan.Code
	}
	on := map[[2]string][]stretch{}
	for _, c := range o.Tickets {
		if c.isPanel() || c.Cancelled {
			continue
		}
		for _, l := range c.Spec.Cuts {
			if l.Bolt == "" {
				continue
			}
			from := l.From.Length()
			span, key := cutting.Span{From: from, To: from + l.Length.Length()}, [2]string{c.Spec.Fabric, l.Bolt}
			for _, other := range on[key] {
				if span.From < other.span.To && other.span.From < span.To {
					t.Fatalf("%s and %s cut the same cloth of %v: %v and %v", c.Spec.Code, other.by, key, span, other.span)
				}
			}
			on[key] = append(on[key], stretch{span, c.Spec.Code})
			if !c.cutInto() {
				onTheBolt(t, w, c.Spec.Fabric, l.Bolt, span)
			}
		}
	}
}

func onTheBolt(t fataler, w *workup.Workup, fabric, bolt string, span cutting.Span) {
	f := w.Order.Fabric(fabric)
	if f == nil {
		return
	}
	for _, b := range f.Bolts {
		if b.ID != bolt {
			continue
		}
		if span.To > max(b.Length, 40*36*measure.Inch) { // a panel that waits for the office may lie where the bolt was longer
			t.Fatalf("%v reaches over the end of %s", span, bolt)
		}
		for _, flaw := range b.Flaws {
			if span.From < flaw.To && flaw.From < span.To {
				t.Fatalf("%v lies on a flaw of %s", span, bolt)
			}
		}
	}
}

// everyPanelHasATicket: each panel of the newest file has one ticket that isn't cancelled, with all its pieces on cutting
// tickets; its numbers are the file's, or those that differ are flagged.
func everyPanelHasATicket(t fataler, o *Order, w *workup.Workup) {
	live := map[plan.Seat]*Ticket{}
	has := revision.Pieces{}
	for _, ticket := range o.Tickets {
		switch {
		case ticket.Cancelled:
		case !ticket.isPanel():
			has.Add(ticket.Spec.Fabric, ticket.Spec.Cuts)
		case live[plan.SeatOf(ticket.Spec)] != nil:
			t.Fatalf("two tickets for %+v", plan.SeatOf(ticket.Spec))
		default:
			live[plan.SeatOf(ticket.Spec)] = ticket
		}
	}
	planned := plan.Panels(w, nil)
	codes, asks := map[plan.Seat]plan.Code{}, revision.Pieces{}
	for i := range planned {
		codes[plan.SeatOf(&planned[i])] = plan.NewCode(uint64(i))
	}
	for i := range w.Cloth {
		asks.Add(w.Cloth[i].Fabric.ID, plan.ClothOf(w, &w.Cloth[i]).Lines(w, codes))
	}
	for i := range planned {
		ticket := live[plan.SeatOf(&planned[i])]
		if ticket == nil {
			t.Fatalf("no ticket for %s %s %d", planned[i].Window, planned[i].Panel, planned[i].Copy)
			return
		}
		delete(live, plan.SeatOf(&planned[i]))
		differs := revision.Differences(ticket.Spec, &planned[i])
		if len(differs) == 0 && len(ticket.Kept) > 0 && !reflect.DeepEqual(sortedOf(has, ticket.Spec.Code), sortedOf(asks, codes[plan.SeatOf(&planned[i])])) {
			differs = []string{cutsOnly}
		}
		if !slices.Equal(differs, ticket.Kept) {
			t.Fatalf("%s differs from the file in %q and is flagged for %q", ticket.Spec.Code, differs, ticket.Kept)
		}
		for _, fabric := range planned[i].Fabrics {
			if len(ticket.Kept) == 0 && !revision.Fit(asks.Of(codes[plan.SeatOf(&planned[i])], fabric), has.Of(ticket.Spec.Code, fabric)) {
				t.Fatalf("the pieces of %s don't do for the file, and it doesn't say so", ticket.Spec.Code)
			}
		}
		for _, fabric := range ticket.Spec.Fabrics {
			var sum measure.Halves
			for _, p := range has[ticket.Spec.Code][fabric] {
				sum += map[bool]measure.Halves{true: 1, false: 2}[p.Half]
			}
			want := widthsOf(ticket.Spec, fabric)
			if want == "" || sum.String() == want {
				continue
			}
			// One that was cut wider, and sent back to take fewer widths, has some over.
			if widths, err := strconv.ParseFloat(want, 64); err != nil || float64(sum) < 2*widths || len(ticket.Kept) > 0 || !allCut(o, ticket, fabric) {
				t.Fatalf("%s has %s widths of %s, its ticket says %s", ticket.Spec.Code, sum, fabric, want)
			}
		}
	}
	for _, left := range live {
		if !left.Removed {
			t.Fatalf("%s is not in the file and doesn't say so", left.Spec.Code)
		}
	}
}

// allCut reports whether every cutting ticket of a panel's fabric is begun or done.
func allCut(o *Order, panel *Ticket, fabric string) bool {
	return !slices.ContainsFunc(o.Tickets, func(t *Ticket) bool {
		return panel.cutFrom(t) && t.Spec.Fabric == fabric && !t.cutInto()
	})
}

// sortedOf are a panel's pieces of each fabric in one order.
func sortedOf(p revision.Pieces, panel plan.Code) map[string][]revision.Piece {
	all := map[string][]revision.Piece{}
	for fabric := range p[panel] {
		all[fabric] = p.Of(panel, fabric)
	}
	return all
}

// widthsOf is how many widths of a fabric a panel's ticket says, "" where it doesn't.
func widthsOf(s *plan.Ticket, fabric string) string {
	name := map[bool]string{true: "lining_widths", false: "widths"}[fabric == s.Lining]
	return s.At(plan.Cutting).Value(name).String()
}

// TestRevisionsAreSome keeps the random test honest: its files differ.
func TestRevisionsAreSome(t *testing.T) {
	seen := map[string]int{}
	for i, w := range revisions(t) {
		text := ""
		for _, p := range plan.Panels(w, nil) {
			text += p.Window + p.Panel + strconv.Itoa(p.Copy)
			for _, step := range p.Steps {
				for _, v := range step.Values {
					text += v.Value.String()
				}
			}
		}
		for _, c := range w.Cloth {
			for _, p := range c.Plan.Placements {
				text += p.Bolt + p.From.In(measure.MM)
			}
			text += string(c.Fabric.Match) + c.Fabric.Bolts[0].Lot
		}
		if k, twice := seen[text]; twice {
			t.Errorf("files %d and %d are one", k, i)
		}
		seen[text] = i
	}
}
