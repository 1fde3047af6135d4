package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/stations"
)

// TestOrderLikeAnother: an order like another one has its windows, cloths and notes under another name and due date, none of its
// bolts, and today's practice; what is wrong is said and takes nothing.
func TestOrderLikeAnother(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "POST /api/orders", send: orderFile(t, "SMI-014"), status: 201})
	source := func(order string) *orderfile.Order {
		t.Helper()
		text, err := s.Store.OrderSource(t.Context(), order)
		if err != nil {
			t.Fatal(err)
		}
		o, problems := orderfile.Parse(text)
		if o == nil {
			t.Fatalf("%v in\n%s", problems, text)
		}
		return o
	}
	for _, step := range []scene{
		{name: "unknown", as: office, do: "POST /api/orders/SMI-1/like", send: fields{"order": "SMI-2"}, status: 404, code: "not_found"},
		{name: "without a name", as: office, do: "POST /api/orders/SMI-014/like", send: fields{"due": "2027-01-08"}, status: 422, code: "missing_key"},
		{name: "its own name", as: office, do: "POST /api/orders/SMI-014/like", send: fields{"order": "SMI-014"}, status: 409, code: "order_exists"},
		{name: "no date, and a name that asks for one", as: office, do: "POST /api/orders/SMI-014/like", send: fields{"order": "next", "due": "soon"}, status: 422,
			has: map[string]string{"problems.0.where": "order", "problems.1.where": "due"}},
		{name: "not the bench's", as: stations.Bench, do: "POST /api/orders/SMI-014/like", send: fields{"order": "SMI-2"}, status: 403, code: "forbidden"},
		{name: "taken", as: office, do: "POST /api/orders/SMI-014/like", send: fields{"order": "SMI-015", "due": "2027-01-08", "key": "k1"}, status: 201, has: map[string]string{"order": "SMI-015"}},
		{name: "sent twice", as: office, do: "POST /api/orders/SMI-014/like", send: fields{"order": "SMI-015", "due": "2027-01-08", "key": "k1"}, status: 201},
		{name: "on the books", as: office, do: "GET /api/orders/SMI-015", status: 200, has: map[string]string{"due": "2027-01-08", "customer": "Saltmarsh Inn", "state": "taken"}},
		{name: "without a date", as: office, do: "POST /api/orders/SMI-014/like", send: fields{"order": "SMI-016"}, status: 201},
		{name: "no date", as: office, do: "GET /api/orders/SMI-016", status: 200, has: map[string]string{"due": ""}},
	} {
		s.ask(t, step)
	}
	was, is := source("SMI-014"), source("SMI-015")
	if len(was.Fabrics[0].Bolts) == 0 {
		t.Fatal("the first has no bolts to leave out")
	}
	for i := range is.Fabrics {
		if len(is.Fabrics[i].Bolts) > 0 || is.Fabrics[i].ID != was.Fabrics[i].ID {
			t.Errorf("%s has bolts: %v", is.Fabrics[i].ID, is.Fabrics[i].Bolts)
		}
	}
	if len(is.Treatments) != len(was.Treatments) || is.Treatments[0].Window != was.Treatments[0].Window || is.Notes != was.Notes || is.Sidemark != was.Sidemark {
		t.Errorf("%+v isn't like %+v", is, was)
	}
	if before := source("SMI-014"); len(before.Fabrics[0].Bolts) != len(was.Fabrics[0].Bolts) {
		t.Error("the first lost its bolts")
	}
}

// TestNextOrder: the shop's numbering proposes a name for the next order, in the form and to programs; an order like another one is
// numbered as that one is.
func TestNextOrder(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	next := func(want string) {
		t.Helper()
		s.ask(t, scene{as: office, do: "GET /api/orders/next", status: 200, has: map[string]string{"order": want}})
		s.visit(t, office, "/taking", 200, `name="order" value="`+want+`"`)
	}
	next("001")
	for _, id := range []string{"001", "SMI-014"} {
		s.ask(t, scene{as: office, do: "POST /api/orders", send: orderFile(t, id), status: 201})
	}
	next("002")
	s.visit(t, office, "/orders/SMI-014", 200, `name="order" value="SMI-015"`)
	settings := url.Values{"shop_name": {"Saltmarsh Workroom"}, "units": {"in"}, "language": {"en"}, "address": {"http://shop.test:8080"}, "order_form": {"SMI-{m}"}}
	if got := s.post(t, office, "/settings", settings, false); got.status != 422 || !strings.Contains(string(got.body), `value="SMI-{m}"`) || !strings.Contains(string(got.body), "Write {n} once") {
		t.Errorf("%d %s", got.status, got.body)
	}
	settings.Set("order_form", " SMI-{n:3} ")
	if got := s.post(t, office, "/settings", settings, false); got.status != 303 {
		t.Errorf("%d %s", got.status, got.body)
	}
	next("SMI-015")

	page := s.post(t, office, "/orders/SMI-014/like", url.Values{"order": {"001"}, "due": {"2027-02-01"}}, false)
	holds(t, "a name that is taken", page, 409, []string{"There is an order 001 already", `name="order" value="001"`, `value="2027-02-01"`, "<details class=\"like\" open>"})
	if got := s.post(t, office, "/orders/SMI-014/like", url.Values{"order": {" SMI-015 "}, "due": {"2027-02-01"}}, false); got.status != 303 || got.header.Get("Location") != "/orders/SMI-015?did=taken" {
		t.Errorf("%d %s %s", got.status, got.header.Get("Location"), got.body)
	}
	next("SMI-016")
	if page := s.visit(t, stations.Accounts, "/orders/SMI-014", 200); strings.Contains(page, "/like") {
		t.Error("accounts are offered to take an order")
	}
}
