package contract

import (
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// TestEndings: after cutting began a panel can end, billed or not, and an order; an issued invoice can be credited
// whole. The books agree with the tables afterwards, and when the shop has been opened again.
func TestEndings(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "END-1", shoptest.ManyWindows("2")...)
	s.Ask(t, shoptest.Request{As: s.Office, Do: "PUT /api/prices", Send: priceList("40.00", "18.00"), Status: 200})
	one, two, three, four := f.Panels[0].Ticket, f.Panels[1].Ticket, f.Panels[2].Ticket, f.Panels[3].Ticket
	scrap := func(code string, more ...any) shoptest.Fields {
		return shoptest.Scan(code, "scrap", "", append([]any{"reason", "scorched"}, more...)...)
	}
	closing := shoptest.Fields{"reason": "the house is sold"}
	s.Play(t, []shoptest.Request{
		{Name: "nothing is cut", As: s.Office, Do: "POST /api/scans", Send: scrap(one, "billable", true), Status: 409, Code: "nothing_cut"},
		{Name: "nor of the order", As: s.Office, Do: "POST /api/orders/END-1/close", Send: closing, Status: 409, Code: "nothing_cut"},
	})
	f.CutAll(t)
	s.Play(t, []shoptest.Request{
		{Name: "a bench ends nothing", As: s.Station, Do: "POST /api/scans", Send: scrap(one, "billable", true), Status: 403, Code: "forbidden"},
		{Name: "whether it is billed is said", As: s.Office, Do: "POST /api/scans", Send: scrap(one), Status: 422, Code: "missing_key"},
		{Name: "and why", As: s.Office, Do: "POST /api/scans", Send: shoptest.Scan(one, "scrap", "", "billable", true), Status: 422, Code: "reason_missing"},
		{Name: "billed", As: s.Office, Do: "POST /api/scans", Send: scrap(one, "billable", true), Status: 200, Has: map[string]string{"state": "cancelled"}},
		{Name: "never billed", As: s.Office, Do: "POST /api/scans", Send: scrap(two, "billable", false), Status: 200, Has: map[string]string{"state": "cancelled"}},
		{Name: "not twice", As: s.Office, Do: "POST /api/scans", Send: scrap(two, "billable", true), Status: 409, Code: "cancelled"},
		{Name: "one of the two is ready", As: s.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{
			"customers.0.panels.#": "1", "customers.0.panels.0.ticket": one}},
		{Name: "the other stands on no invoice", As: s.Office, Do: "POST /api/invoices",
			Send: shoptest.Fields{"customer": "Saltmarsh Inn", "panels": []string{two}}, Status: 409},
	})
	s.WorkTo(t, three, "")
	s.Play(t, []shoptest.Request{
		{Name: "closing needs a reason", As: s.Office, Do: "POST /api/orders/END-1/close", Send: shoptest.Fields{}, Status: 422, Code: "missing_key"},
		{Name: "closed", As: s.Office, Do: "POST /api/orders/END-1/close", Send: closing, Status: 200, Has: map[string]string{"state": "finished"}},
		{Name: "its open panel is no more", As: s.Office, Do: "GET /api/tickets/" + four, Status: 200, Has: map[string]string{"state": "cancelled"}},
		{Name: "and takes no scan", As: s.Station, Do: "POST /api/scans", Send: shoptest.Scan(four, "scan", "joining"), Status: 409, Code: "cancelled"},
		{Name: "closed once", As: s.Office, Do: "POST /api/orders/END-1/close", Send: closing, Status: 409, Code: "finished"},
	})
	draft := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices", Status: 201, Has: map[string]string{"lines.#": "2"},
		Send: shoptest.Fields{"customer": "Saltmarsh Inn", "panels": []string{one, three}}}).At("draft")
	issued := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices/" + draft + "/issue", Send: shoptest.Fields{}, Status: 200})
	if got := f.State(t); got != "invoiced" {
		t.Errorf("with all that is billed on an invoice the order is %s", got)
	}
	credit := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices/" + issued.At("number") + "/credit", Status: 201,
		Send: shoptest.Fields{"whole": true, "frees": true, "reason": "billed to the wrong house"}}).At("draft")
	note := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/invoices/" + credit + "/issue", Send: shoptest.Fields{}, Status: 200,
		Has: map[string]string{"state": "issued", "total.amount": issued.At("total.amount")}})
	if note.At("number") == issued.At("number") || note.At("number") == "" {
		t.Errorf("the credit note of %s has the number %q", issued.At("number"), note.At("number"))
	}
	s.Play(t, []shoptest.Request{
		{Name: "both are ready again", As: s.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{"customers.0.panels.#": "2"}},
		{Name: "credited once", As: s.Office, Do: "POST /api/invoices/" + issued.At("number") + "/credit", Status: 409,
			Send: shoptest.Fields{"whole": true, "frees": true, "reason": "again"}},
	})
	s.Audit(t)
	again := shoptest.Serve(t, s.Dir)
	again.Office = s.Office
	again.Play(t, []shoptest.Request{
		{Name: "opened again", As: again.Office, Do: "GET /api/tickets/" + two, Status: 200, Has: map[string]string{"state": "cancelled"}},
		{Name: "what was freed is ready still", As: again.Office, Do: "GET /api/ready", Status: 200, Has: map[string]string{"customers.0.panels.#": "2"}},
	})
}
