package stations

import (
	"strings"
	"testing"

	"tablehand/stations/plan"
)

// banded is an order of a window on tabs whose leading edges are of another cloth, which grows as it hangs.
func banded(changes ...string) []string {
	return append([]string{
		"{id: reed, use: face, usable_width: 60, vertical_repeat: 25,", "{id: sedge, use: face, usable_width: 54, bolts: [{id: S1, length: 20 yd}]}, {id: reed, use: face, usable_width: 60, relax: 4,",
		"finished_length: 80, face: reed", "finished_length: 78, face: reed, bands: [{edge: leading, width: 3, fabric: sedge}]",
	}, changes...)
}

// TestBandsOnTheFloor: a panel with a band in another cloth waits for both to be cut; how long it is made and hangs stands on its ticket.
func TestBandsOnTheFloor(t *testing.T) {
	s := newShop(t)
	w := tabOrder(t, banded()...)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Due: w.Order.Due, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code)})
	reed, sedge := s.cutting("reed", 1).Spec.Code, s.cutting("sedge", 1).Spec.Code
	s.cutsAre(sedge, "band 1×1 2×1")
	panel := s.copyOf(2).Spec.Code
	s.work(reed)
	if s.floor.Ticket(panel).Current() == nil || s.floor.Ticket(panel).Current().State == Ready {
		t.Error("a panel is joined before its band is cut")
	}
	s.work(sedge)
	s.is(panel, plan.Joining, Ready)
	spec := s.floor.Ticket(panel).Spec
	if got := strings.Join(spec.Fabrics, " "); got != "reed sedge" {
		t.Errorf("the panel is of %s", got)
	}
	tabs := stepOf(spec, plan.Tabs)
	if e := tabs.Entry("length_middle"); e.Target.String() != "75in" || tabs.Value("table_length") != e.Target || !tabs.Value("finished_length").IsZero() {
		t.Errorf("made %s, shown %s", e.Target, tabs.Value("table_length"))
	}
	packing := stepOf(spec, plan.Packing)
	if packing.Entry("finished_length").Target.String() != "75in" || packing.Value("hung_length").String() != "78in" {
		t.Errorf("packed %s, hangs %s", packing.Entry("finished_length").Target, packing.Value("hung_length"))
	}
	joining := stepOf(spec, plan.Joining)
	if !strings.Contains(strings.Join(joining.Checks, " "), "bands_on") || joining.Value("band_leading").IsZero() {
		t.Errorf("%+v", joining)
	}
	inOrder(t, s.floor)
}

// TestReviseBands: a band that is to be wider is cut anew, though its strip is as long as before; one that is cut already stays.
func TestReviseBands(t *testing.T) {
	s := newShop(t)
	w := tabOrder(t, banded()...)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Due: w.Order.Due, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code)})
	sedge := s.cutting("sedge", 1).Spec.Code
	across := func() string { return s.floor.Ticket(sedge).Spec.Cuts[0].Across.String() }
	if across() != "6.5in" {
		t.Errorf("cut %s wide", across())
	}
	w = tabOrder(t, banded("edge: leading, width: 3", "edge: leading, width: 4")...)
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)})
	if across() != "7.5in" {
		t.Errorf("after the revision cut %s wide", across())
	}
	s.work(sedge)
	w = tabOrder(t, banded("edge: leading, width: 3", "edge: leading, width: 2")...)
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)})
	if across() != "7.5in" {
		t.Errorf("cut cloth turned %s wide", across())
	}
	inOrder(t, s.floor)
}

// stepOf is a ticket's step at a station.
func stepOf(spec *plan.Ticket, at plan.Station) *plan.Step {
	for i := range spec.Steps {
		if spec.Steps[i].Station == at {
			return &spec.Steps[i]
		}
	}
	return nil
}
