package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestMergeCloth: two rows of the book that are one cloth. Bolts and links move by one event, what is promised and what is on the table stays,
// files that name the merged one mean the other, and the fold and audit know it.
func TestMergeCloth(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed oat", "usable_width": "54in", "vertical_repeat": "13 1/2in"}, status: 201})
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
	gone := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "2 yd"})
	s.receiveBolt(t, fields{"cloth": "reed-oat", "lot": "A", "length": "30 yd"})
	s.take(t, "A", withoutBolts("A", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	s.take(t, "B", withoutBolts("B")...)
	s.take(t, "C", withoutBolts("C", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	s.play(t, []scene{
		{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": gone, "action": "scrap", "key": "s", "reason": "stained"}, status: 200},
		{as: stations.Office, do: "POST /api/orders/B/cloth", send: fields{"fabric": "reed", "cloth": "reed", "key": "l"}, status: 200},
		{as: stations.Office, do: "POST /api/orders/A/release", status: 200},
	})
	ticket := s.ticketOf(t, "A", "", "reed")
	promised := s.on("A", "reed")
	s.play(t, []scene{
		{as: stations.Bench, do: "POST /api/scans", send: fields{"ticket": ticket, "station": "cutting", "action": "start", "key": "1"}, status: 200},
		{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "lay", "ticket": ticket, "key": "2"}, status: 200},
		{name: "into itself", as: stations.Office, do: "POST /api/cloths/reed/merge", send: fields{"into": "reed"}, status: 422, code: "bad_value"},
		{name: "into nothing", as: stations.Office, do: "POST /api/cloths/reed/merge", send: fields{"into": "oat"}, status: 422, code: "bad_value"},
		{name: "not for a bench", as: stations.Bench, do: "POST /api/cloths/reed/merge", send: fields{"into": "reed-oat"}, status: 403, code: "forbidden"},
		{name: "merged", as: stations.Office, do: "POST /api/cloths/reed/merge", send: fields{"into": "reed-oat", "key": "m"}, status: 200, has: map[string]string{"cloth": "reed-oat"}},
		{name: "and the same again", as: stations.Office, do: "POST /api/cloths/reed/merge", send: fields{"into": "reed-oat", "key": "m"}, status: 200, has: map[string]string{"cloth": "reed-oat"}},
		{name: "the bolt stays on the table", as: stations.Bench, do: "GET /api/bolts/" + bolt, status: 200, has: map[string]string{"cloth": "reed-oat", "state": "on_table", "promised.0.order": "A",
			"history.2.action": "merge_cloth"}},
		{name: "what is used up moves too", as: stations.Bench, do: "GET /api/bolts/" + gone, status: 200, has: map[string]string{"cloth": "reed-oat", "state": "used_up"}},
		{name: "received by the old key", as: stations.Office, do: "POST /api/bolts", send: fields{"cloth": "reed", "length": "20 yd", "lot": "A", "key": "r"}, status: 201},
	})
	if now := s.on("A", "reed"); len(now) != len(promised) || now[bolt] != promised[bolt] {
		t.Errorf("promised were %v, now %v", promised, now)
	}
	for _, b := range s.Store.Floor().Shelf().Bolts() {
		if b.Cloth != "reed-oat" {
			t.Errorf("%s is of %s", b.Code, b.Cloth)
		}
	}
	if linked := s.Store.Floor().Order("B").Linked; linked["reed"] != "reed-oat" {
		t.Errorf("B is linked with %v", linked)
	}
	merges := 0
	events, err := s.Store.Events(t.Context(), 0, 1000)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range events {
		if e.Action == stations.Merge {
			merges++
		}
	}
	if merges != 1 {
		t.Errorf("%d events", merges)
	}
	s.play(t, []scene{
		{name: "by its link", as: stations.Office, do: "POST /api/orders/B/release", status: 200},
		{name: "a file that names the merged one", as: stations.Office, do: "POST /api/orders/C/release", status: 200},
		{name: "the cut goes on", as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "cut", "ticket": ticket, "cut": "1", "key": "c"}, status: 200},
	})
	for _, order := range []string{"B", "C"} {
		if len(s.on(order, "reed")) == 0 || s.on(order, "reed")[""] > 0 {
			t.Errorf("%s is cut from %v", order, s.on(order, "reed"))
		}
	}
	s.visit(t, stations.Bench, "/b/"+bolt, 200, "Two cloths in the book were one")
	s.promisedOnce(t)
	s.audited(t)
}

// TestMergeClothsThatDiffer: two that are sized otherwise are one for a reason alone, also where nothing is of them; by the page too, which
// has the answer in words.
func TestMergeClothsThatDiffer(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	for key, sizes := range map[string]fields{"oat": {"usable_width": "55in"}, "sand": {"vertical_repeat": "12in"}, "plain": {}} {
		sizes["name"] = strings.ToUpper(key)
		s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/" + key, send: sizes, status: 201})
	}
	s.play(t, []scene{
		{name: "nothing is of it", as: stations.Office, do: "POST /api/cloths/sand/merge", send: fields{"into": "reed"}, status: 409, code: "cloth_differs"},
		{name: "what only one says differs from nothing", as: stations.Office, do: "POST /api/cloths/plain/merge", send: fields{"into": "reed"}, status: 200},
	})
	s.receiveBolt(t, fields{"cloth": "reed", "length": "40 yd", "lot": "A"})
	s.take(t, "A", withoutBolts("A", "  - id: reed\n", "  - id: reed\n    cloth: plain\n")...)
	s.ask(t, scene{name: "a file that names one of which there never was a bolt", as: stations.Office, do: "POST /api/orders/A/release", status: 200})
	if on := s.on("A", "reed"); len(on) == 0 || on[""] > 0 {
		t.Errorf("it is cut from %v", on)
	}
	code := s.receiveBolt(t, fields{"cloth": "oat", "length": "4 yd"})
	s.ask(t, scene{name: "a bolt is of it", as: stations.Office, do: "POST /api/cloths/oat/merge", send: fields{"into": "reed"}, status: 409, code: "cloth_differs"})
	s.visit(t, stations.Office, "/books/cloths/oat?into=Reed", 200, "Its bolts move too", "Why they are one")
	form := url.Values{"into": {"reed"}}
	if got := s.post(t, stations.Office, "/books/cloths/oat/merge?look=Reed", form, false); got.status != 409 || !strings.Contains(string(got.body), "Say why they are one cloth") || !strings.Contains(string(got.body), "Merge into Reed") {
		t.Errorf("without a reason: %d", got.status)
	}
	form.Set("reason", "measured wrong")
	got := s.post(t, stations.Office, "/books/cloths/oat/merge?look=Reed", form, false)
	if got.status != 303 {
		t.Fatalf("for a reason: %d %s", got.status, got.body)
	}
	s.visit(t, stations.Office, strings.Split(got.header.Get("Location"), "#")[0], 200, "The two are one now")
	s.ask(t, scene{as: stations.Bench, do: "GET /api/bolts/" + code, status: 200, has: map[string]string{"cloth": "reed"}})
	s.audited(t)
}

// TestClothKeysOfPages: a cloth can't have the address of a page of the shelf for its key; one of that name gets another.
func TestClothKeysOfPages(t *testing.T) {
	s := openShop(t)
	for _, key := range []string{"count", "receive"} {
		s.play(t, []scene{
			{name: key, as: stations.Office, do: "PUT /api/cloths/" + key, send: fields{"name": "Linen"}, status: 422, has: map[string]string{"problems.0.code": "bad_value", "problems.0.where": "cloth"}},
			{name: key + " in a table", as: stations.Office, do: "POST /api/import/cloths", send: "cloth,name\n" + key + ",Linen\n", header: map[string]string{"Content-Type": "text/csv"}, status: 200, has: map[string]string{"new": "0", "problems.0.code": "bad_value"}},
			{name: key + " in a table by name", as: stations.Office, do: "POST /api/import/cloths", send: "name\n" + key + " cloth\n" + key + "\n", header: map[string]string{"Content-Type": "text/csv"}, status: 200, has: map[string]string{"new": "2"}},
			{name: "no page's address", as: stations.Office, do: "GET /api/cloths/" + key, status: 404},
			{name: key + " by name", as: stations.Office, do: "POST /api/cloths", send: fields{"name": key + "!"}, status: 201, has: map[string]string{"cloth": key + "-3"}},
			{name: "a tape may", as: stations.Office, do: "PUT /api/tapes/" + key, send: fields{"name": key}, status: 201},
		})
	}
}
