package web

import (
	"slices"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// A ledger of another program may have a station that this one hasn't: what stands there is shown there, not at cutting.
func TestUnknownStation(t *testing.T) {
	const beading plan.Station = "beading"
	steps := []plan.Step{{Station: plan.Cutting}, {Station: beading}}
	ticket := &stations.Ticket{Spec: &plan.Ticket{Kind: plan.PanelTicket, Steps: steps}, At: 1,
		Steps: []stations.StepNow{{Spec: &steps[0], State: stations.Finished}, {Spec: &steps[1], State: stations.Ready}}}
	orders := []*stations.Order{{ID: "OLD-1", State: stations.OrderReleased, Tickets: []*stations.Ticket{ticket}}}
	for _, count := range countStations(nil, orders) {
		if want := count.Station == beading; (count.Ready == 1) != want {
			t.Errorf("%d ready at %s", count.Ready, count.Station)
		}
	}
	if used := inUse(nil, orders); !slices.Equal(used, []plan.Station{plan.Cutting, beading}) {
		t.Errorf("the board shows %q", used)
	}
	if name := i18n.For("es").Station(beading); name != "beading" {
		t.Errorf("it is called %q", name)
	}
	row := urgent(orders[0], plan.Stations(), time.Now().Format(time.DateOnly))
	if len(row.Rod) != 1 || row.Rod[0].Station != beading {
		t.Errorf("the order's panels hang at %v", row.Rod)
	}
}
