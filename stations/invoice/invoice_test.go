package invoice

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// panel is a ticket of a pair's panel in a window, with its finished size.
func panel(n uint64, window, side string, widths measure.Halves) *plan.Ticket {
	return &plan.Ticket{Code: plan.NewCode(n), Kind: plan.PanelTicket, Window: window, Panel: side, Copy: 1, Heading: "pinch-2", Widths: widths, Lining: "sateen",
		Steps: []plan.Step{{Station: plan.Packing, Values: []plan.Value{{Name: "finished_width", Value: measure.Read("48.5in")}, {Name: "finished_length", Value: measure.Read("95.5in")}}}}}
}

var list = billing.PriceList{Currency: "USD", Rows: []billing.PriceRow{{Heading: "pinch-2", Panel: "40.00", Width: "18.00"}}}

// bill is an invoice of a pair, a panel of another width of cloth, one of another order and one that has no price.
func bill() *Document {
	cartridge := panel(5, "Door", "S", 4)
	cartridge.Heading = "cartridge-tape"
	return &Document{Draft: "D", Customer: "Saltmarsh Inn", Lines: []Line{
		LineOf(panel(1, "Bay", "L", 5), "SMI-1", false), LineOf(panel(2, "Bay", "R", 5), "SMI-1", false), LineOf(panel(3, "Bay", "L", 4), "SMI-1", false),
		LineOf(panel(4, "Bay", "L", 5), "SMI-2", true), LineOf(cartridge, "SMI-2", false),
	}}
}

func TestLineOf(t *testing.T) {
	want := Line{Ticket: plan.NewCode(1), Order: "SMI-1", Window: "Bay", Panel: "L", Copy: 1, Heading: "pinch-2", Widths: 5, Lining: "sateen",
		Width: measure.Read("48.5in"), Length: measure.Read("95.5in"), Scrapped: true}
	if got := LineOf(panel(1, "Bay", "L", 5), "SMI-1", true); !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// A panel and two and a half widths are 40.00 and 45.00, two widths 36.00. A heading without a price has no amount, and
// loses the one that it had.
func TestPrice(t *testing.T) {
	i := bill()
	i.Lines[4].Amount, i.Lines[4].Rate = &billing.Money{Minor: 1, Currency: "USD"}, &billing.Rate{}
	i.Price(list)
	var amounts []int64
	for _, l := range i.Lines[:4] {
		amounts = append(amounts, l.Amount.Minor)
	}
	if !slices.Equal(amounts, []int64{8500, 8500, 7600, 8500}) || i.Lines[4].Amount != nil || i.Lines[4].Rate != nil || i.Currency != "USD" {
		t.Errorf("%v, %+v", amounts, i.Lines[4])
	}
	if total := i.Total(); total.Minor != 33100 || total.Currency != "USD" {
		t.Errorf("in all %v", total)
	}
	if codes := i.Unpriced(); !slices.Equal(codes, []plan.Code{plan.NewCode(5)}) {
		t.Errorf("%v lack a price", codes)
	}
}

// TestOrders: the lines of a pair are one row, what differs in cloth is another, and each order has its own.
func TestOrders(t *testing.T) {
	i := bill()
	i.Price(list)
	orders := i.Orders()
	if len(orders) != 2 || orders[0].Order != "SMI-1" || len(orders[0].Windows) != 1 || len(orders[1].Windows) != 2 {
		t.Fatalf("%+v", orders)
	}
	rows := orders[0].Windows[0].Rows
	if len(rows) != 2 || rows[0].Panels("L") != 1 || rows[0].Panels("R") != 1 || rows[1].Panels("L") != 1 || rows[1].Panels("R") != 0 {
		t.Fatalf("%+v", rows)
	}
	if rows[0].Total().Minor != 17000 || rows[1].Total().Minor != 7600 || orders[1].Windows[1].Rows[0].Total() != nil {
		t.Errorf("%v and %v", rows[0].Total(), rows[1].Total())
	}
	if len(orders[0].Amounts) != 3 || len(orders[1].Amounts) != 1 {
		t.Errorf("%d and %d amounts", len(orders[0].Amounts), len(orders[1].Amounts))
	}
	i.Lines[1].Scrapped = true
	if rows := i.Orders()[0].Windows[0].Rows; len(rows) != 3 {
		t.Errorf("a panel that was ended stands in one row with its mate: %+v", rows)
	}
}

// TestNumberAfter: invoices and credit notes are counted apart, each without a gap.
func TestNumberAfter(t *testing.T) {
	i := bill()
	i.Price(list)
	i.Number = i.NumberAfter(6, 2)
	note := i.CreditNote("C", true, "wrong lining", time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC))
	if i.Number != "7" || note.NumberAfter(6, 2) != "CN-3" || i.Name() != "7" || note.Name() != "C" {
		t.Errorf("%s and %s, called %s and %s", i.Number, note.NumberAfter(6, 2), i.Name(), note.Name())
	}
	if i.IsCredit() || !note.IsCredit() || note.RefersTo != "7" || !note.Frees || note.Reason != "wrong lining" || note.Total() != i.Total() || note.Customer != i.Customer {
		t.Errorf("%+v", note)
	}
	note.Lines[0].Window = "another"
	if i.Lines[0].Window != "Bay" {
		t.Error("the credit note changes its invoice")
	}
}
