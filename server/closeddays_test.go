package server

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/stations"
	"tablehand/views/page/taking"
)

// TestClosedDays: a program reads them, the office sets them as a whole; what is wrong is all told at once, each where it stands.
func TestClosedDays(t *testing.T) {
	s := openShop(t)
	const path = "/api/closed_days"
	list := s.ask(t, scene{as: stations.Office, do: "GET " + path, status: 200, has: map[string]string{
		"weekdays.#": "2", "weekdays.0": "sat", "weekdays.1": "sun", "closed.#": "0", "default.weekdays.1": "sun", "source": "memory", "changed": ""}})
	s.play(t, []scene{
		{name: "as it was read", as: stations.Office, do: "PUT " + path, send: string(list.body), header: map[string]string{"Content-Type": "application/json"}, status: 200, has: map[string]string{"changed": ""}},
		{name: "all that is wrong", as: stations.Office, do: "PUT " + path, status: 422,
			send: fields{"weekdays": []string{"saturday"}, "closed": []fields{{"from": "2026-12-24", "to": "2026-12-01"}, {"from": "soon"}, {"name": "x"}}},
			has: map[string]string{"problems.#": "4", "problems.0.where": "weekdays[0]", "problems.1.where": "closed[0].to", "problems.2.where": "closed[1].from",
				"problems.2.code": "bad_value", "problems.3.where": "closed[2].from", "problems.3.code": "missing_key"}},
		{name: "never open", as: stations.Office, do: "PUT " + path, status: 422, send: fields{"weekdays": []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}},
			has: map[string]string{"problems.#": "1", "problems.0.code": "never_open"}},
		{name: "no weekdays", as: stations.Office, do: "PUT " + path, send: fields{"closed": []fields{}}, status: 422, code: "missing_key"},
		{name: "set", as: stations.Office, do: "PUT " + path, status: 200,
			send: fields{"weekdays": []string{"sun"}, "closed": []fields{{"from": "2026-12-24", "to": "2027-01-01", "name": "Christmas"}, {"from": "2026-12-08"}}},
			has:  map[string]string{"weekdays.#": "1", "closed.0.from": "2026-12-08", "closed.0.to": "2026-12-08", "closed.1.name": "Christmas", "changed.at": "2026-12-01T08:00:00Z"}},
		{name: "the whole is set", as: stations.Office, do: "PUT " + path, status: 200, send: fields{"weekdays": []string{"sun"}, "closed": []fields{{"from": "2026-12-24", "to": "2027-01-01", "name": "Christmas"}}},
			has: map[string]string{"closed.#": "1"}},
		{name: "a program reads", as: stations.Program, do: "GET " + path, status: 200},
		{name: "and doesn't set", as: stations.Program, do: "PUT " + path, send: fields{"weekdays": []string{}}, status: 403, code: "forbidden"},
	})
	record := string(s.ask(t, scene{as: stations.Office, do: "GET /api/record", status: 200}).body)
	for _, want := range []string{"closed_days: sat sun → sun", "closed_days: – → 2026-12-24 to 2027-01-01 Christmas", "closed_days: – → 2026-12-08", "closed_days: 2026-12-08 → –"} {
		if strings.Count(record, want) != 1 {
			t.Errorf("the record hasn't %q once\n%s", want, record)
		}
	}
	if n := strings.Count(record, "closed_days:"); n != 4 {
		t.Errorf("%d entries, want 4: what changes nothing is none", n)
	}
	s.anew(t)
	if why, closed := s.Desk.Shop().Closed.On("2026-12-28"); !closed || why != "Christmas" {
		t.Error("a server started again has forgotten them")
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/export.json", status: 200, has: map[string]string{"shop.closed_days.weekdays.0": "sun", "shop.closed_days.closed.0.name": "Christmas"}})
}

// TestClosedDueIsAsked: an order is taken whatever day it is due; a due date on a closed day is asked about, in the form before anything
// else is typed, with the open days around it to press.
func TestClosedDueIsAsked(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/closed_days", status: 200, send: fields{"weekdays": []string{"sat", "sun"}, "closed": []fields{{"from": "2026-12-24", "to": "2027-01-01", "name": "Christmas"}}}})
	for i, tt := range []struct {
		due, says string
		offers    []string
	}{
		{"2026-12-18", "", nil}, {"", "", nil},
		{"2026-12-19", "The shop is closed on Sat 19 Dec. Keep that date, or make it Fri 18 Dec or Mon 21 Dec?", []string{"2026-12-18", "2026-12-21"}},
		{"2026-12-28", "The shop is closed on Mon 28 Dec (Christmas). Keep that date, or make it Wed 23 Dec or Mon 4 Jan?", []string{"2026-12-23", "2027-01-04"}},
		{"2026-11-29", "The shop is closed on Sun 29 Nov. Keep that date, or make it Mon 30 Nov?", []string{"2026-11-30"}}, // what is past isn't proposed before it
	} {
		name := "SMI-" + string(rune('A'+i))
		for _, form := range []url.Values{with(typedOrder(name), "due", tt.due), {"truth": {"form"}, "base": {""}, "units": {"in"}, "due": {tt.due}}} {
			a := s.drafted(t, "/taking/draft", form, 200)
			at := slices.IndexFunc(a.Fields, func(p taking.FieldProblem) bool { return p.Code == "closed_day" })
			if (at >= 0) != (tt.says != "") {
				t.Errorf("%q: %+v", tt.due, a.Fields)
			} else if at >= 0 {
				var offers []string
				for _, o := range a.Fields[at].Offers {
					offers = append(offers, o.Value)
				}
				if f := a.Fields[at]; f.Field != "due" || f.Severity != engine.Warning || f.Text != tt.says || !slices.Equal(offers, tt.offers) {
					t.Errorf("%q: %+v", tt.due, f)
				}
			}
		}
		file := strings.Replace(orderFile(t, name), "due: 2026-12-18", "due: "+tt.due, 1)
		taken := s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: http.StatusCreated})
		if got := strings.Contains(string(taken.body), `"code":"closed_day"`); got != (tt.says != "") {
			t.Errorf("%q is taken with %s", tt.due, taken.body)
		}
	}
	revised := string(s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-A", send: strings.Replace(orderFile(t, "SMI-A"), "due: 2026-12-18", "due: 2026-12-19", 1), status: 200}).body)
	if !strings.Contains(revised, `"code":"closed_day","where":"due"`) {
		t.Errorf("a revision isn't asked: %s", revised)
	}
	like := s.post(t, stations.Office, "/orders/SMI-A/like", url.Values{"order": {"SMI-Z"}, "due": {"2026-12-20"}}, false)
	if page := string(s.ask(t, scene{as: stations.Office, do: "GET " + like.header.Get("Location"), header: map[string]string{"Accept": "text/html"}, status: 200}).body); !strings.Contains(page, "The shop is closed on Sun 20 Dec") {
		t.Error("an order like another one is taken for a Sunday, and nothing asks")
	}
}

// TestClosedDaysPage: the page works without script: it sets days, keeps what is typed and doesn't do, and takes a row out that is cleared.
func TestClosedDaysPage(t *testing.T) {
	s := openShop(t)
	const path = "/settings/closed-days"
	page := holds(t, "as shipped", s.ask(t, scene{as: stations.Office, do: "GET " + path, header: map[string]string{"Accept": "text/html"}, status: 200}), 200, []string{`value="sat" checked`, `value="sun" checked`, "Saturday, Sunday (from memory"})
	if strings.Contains(page, `value="fri" checked`) || strings.Contains(page, `name="from-4"`) {
		t.Error("more is set than is shipped")
	}
	if got := s.post(t, stations.Office, path, url.Values{"weekday": {"fri", "sun"}, "from-1": {""}, "to-1": {""}, "name-1": {""}, "from-2": {"2026-12-24"}, "to-2": {"2027-01-01"}, "name-2": {"Christmas"}}, false); got.status != http.StatusSeeOther {
		t.Fatalf("%d %s", got.status, got.body)
	}
	set := s.Desk.Shop().Closed
	if !slices.Equal(set.Weekdays, []string{"fri", "sun"}) || len(set.Dates) != 1 || set.Dates[0].Name != "Christmas" || set.Changed == nil {
		t.Fatalf("%+v", set)
	}
	holds(t, "what is typed", s.post(t, stations.Office, path, url.Values{"from-1": {"2026-12-24"}, "to-1": {"2026-12-02"}, "name-1": {"Stock-taking"}}, false), http.StatusUnprocessableEntity,
		[]string{"The last day comes before the first", `value="Stock-taking"`, `value="2026-12-02" aria-invalid="true"`})
	if now := s.Desk.Shop().Closed; len(now.Dates) != 1 || len(now.Weekdays) != 2 {
		t.Errorf("what was refused is set: %+v", now)
	}
	if got := s.post(t, stations.Office, path, url.Values{"from-1": {""}, "to-1": {""}, "name-1": {""}}, false); got.status != http.StatusSeeOther {
		t.Fatalf("%d %s", got.status, got.body)
	}
	if now := s.Desk.Shop().Closed; len(now.Dates) != 0 || len(now.Weekdays) != 0 {
		t.Errorf("what was cleared is left: %+v", now)
	}
}
