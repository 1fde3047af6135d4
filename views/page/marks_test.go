package page

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/page/bench"
)

// ordinaryPair is a pair of pinch pleats in inches.
func ordinaryPair(t *testing.T, heading string, face int, cloth int) *workup.Workup {
	t.Helper()
	o, problems := orderfile.Parse(fmt.Appendf(nil, `order: PAIR
units: in
fabrics: [{id: reed, use: face, usable_width: %d}]
treatments: [{window: Bay, heading: %s, face_width: %d, finished_length: 95, face: reed}]
`, cloth, heading, face))
	if o == nil {
		t.Fatal(problems)
	}
	return workup.Compute(o)
}

// shown reads a value back from the screen, as a hand does.
func shown(t *testing.T, value string) measure.Length {
	t.Helper()
	text := strings.TrimPrefix(i18n.For("en").Quantity(measure.Read(value)), "≈ ")
	l, err := measure.Parse(text, measure.In)
	if err != nil {
		t.Fatalf("%s shown as %q: %v", value, text, err)
	}
	return l
}

// A hand that marks what the pleating ticket shows, mark after mark from the return edge, leaves the lead flat that the
// panel has. Take-ups and spaces measured one after another add up their roundings: of these pairs about a third end
// outside a quarter inch so.
func TestMarkingByTheTicketEndsAtTheLead(t *testing.T) {
	pairs, quarter, eighth := 0, 0, 0
	for _, heading := range []string{"pinch-2", "pinch-3"} {
		for _, cloth := range []int{45, 54} {
			for face := 36; face < 186; face++ {
				w := ordinaryPair(t, heading, face, cloth)
				p := &w.Treatments[0].Panels[0]
				pairs++
				var marks []bench.PleatMark
				values := map[string]string{}
				for _, ticket := range plan.Tickets(w, nil, func() plan.Code { return plan.NewCode(1) }) {
					for _, s := range ticket.Steps {
						for _, v := range s.Values {
							if s.Station == plan.Pleating && ticket.Panel == "L" {
								values[v.Name] = v.Value.String()
								marks = append(marks, bench.Move{Name: v.Name, Value: v.Value}.Marks()...)
							}
						}
					}
				}
				if len(marks) != p.Pleats {
					t.Fatalf("%d pairs of marks for %d pleats", len(marks), p.Pleats)
				}
				lead := p.FlatWidth - shown(t, marks[len(marks)-1].End.String())
				if off := (lead - p.LeadToPleat).Abs(); off > measure.Inch/16 {
					t.Errorf("%s, %d in of %d in cloth: marking leaves %s at the lead, not %s", heading, face, cloth, lead.In(measure.In), p.LeadToPleat.In(measure.In))
				}
				off := (p.FlatWidth - oneByOne(t, values, p.Pleats) - p.LeadToPleat).Abs()
				if off > measure.Inch/4 {
					quarter++
				}
				if off > measure.Inch/8 {
					eighth++
				}
			}
		}
	}
	t.Logf("%d pairs: by take-ups and spaces one after another %d %% would end outside ±1/4 in and %d %% outside ±1/8 in at the lead", pairs, 100*quarter/pairs, 100*eighth/pairs)
	if pairs != 600 || quarter == 0 {
		t.Errorf("%d pairs, %d of which need the marks: the test shows nothing", pairs, quarter)
	}
}

// oneByOne is where the last pleat ends for a hand that measures take-ups and spaces one after another.
func oneByOne(t *testing.T, values map[string]string, pleats int) measure.Length {
	at := shown(t, values["edge_to_pleat"])
	each := strings.Fields(values["take_ups"])
	for k := range pleats {
		takeUp := values["take_up"]
		if len(each) > 0 {
			takeUp = each[k]
		}
		if at += shown(t, takeUp); k < pleats-1 {
			at += shown(t, values["space"])
		}
	}
	return at
}

// A ticket of the first release has no marks, hooks or tape: its page tells take-ups and spaces as what to do, and names
// what it knows.
func TestTheFirstReleasesTicketOnItsPage(t *testing.T) {
	w := ordinaryPair(t, "pinch-3", 84, 54)
	for _, ticket := range plan.Tickets(w, nil, func() plan.Code { return plan.NewCode(1) }) {
		if ticket.Kind != plan.PanelTicket {
			continue
		}
		for _, old := range []bool{false, true} {
			for _, s := range ticket.Steps {
				if s.Station != plan.Pleating {
					continue
				}
				step := bench.OpenStep{Station: s.Station, Values: s.Values, Units: "in"}
				if old {
					step.Values = slices.DeleteFunc(slices.Clone(s.Values), func(v plan.Value) bool { return v.Name == "pleat_marks" })
				}
				for _, m := range (bench.OpenTicket{Step: &step}).Moves() {
					if m.Name == "space" && strings.HasSuffix(m.Do, ".marked") == old {
						t.Errorf("old %v: the space is told by %s", old, m.Do)
					}
					if len(m.Marks()) > 0 == old && m.Name == "pleat_marks" {
						t.Errorf("old %v: %d marks", old, len(m.Marks()))
					}
				}
			}
		}
	}
}
