package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
)

const shopAddress = "http://shop.test:8080"

// TestFloorCount: a count of a station finds the one that is lost and the one that strayed, and not what went on meanwhile; it
// changes nothing on the floor.
func TestFloorCount(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1", "window: Bay, left", "window: Bay")
	s.cutAll(t, "SMI-1")
	s.release(t, "SMI-2")
	s.cutAll(t, "SMI-2")
	left, right := s.ticketOf(t, "SMI-1", "Bay", "L"), s.ticketOf(t, "SMI-1", "Bay", "R")
	stray, moved := s.ticketOf(t, "SMI-2", "Bay, left", "L"), s.ticketOf(t, "SMI-2", "Bay, left", "R")
	s.workOn(t, stray, "fold") // its work is at the fold
	begun := s.ask(t, scene{as: stations.Bench, do: "POST /api/floor_counts", send: fields{"station": "joining", "key": "k1"}, status: 201,
		has: map[string]string{"station": "joining", "expected": "3", "there": "0", "ended": "false", "seen.#": "0", "missing.#": "0"}})
	count := "/api/floor_counts/" + begun.at("count")
	seen := func(code string) fields { return fields{"ticket": code} }
	s.play(t, []scene{
		{name: "begun twice with a key it is one", as: stations.Bench, do: "POST /api/floor_counts", send: fields{"station": "joining", "key": "k1"}, status: 201, has: map[string]string{"count": begun.at("count")}},
		{name: "no such station", as: stations.Bench, do: "POST /api/floor_counts", send: fields{"station": "beading"}, status: 422, code: "bad_value"},
		{name: "not for the accounts", as: stations.Accounts, do: "POST " + count + "/seen", send: seen(left), status: 403},
		{name: "one that belongs here, by its square", as: stations.Bench, do: "POST " + count + "/seen", send: seen(shopAddress + "/T/" + left), status: 200, has: map[string]string{"there": "1", "seen.0.ticket": left}},
		{name: "twice", as: stations.Bench, do: "POST " + count + "/seen", send: seen(left), status: 200, has: map[string]string{"there": "1", "seen.#": "1"}},
		{name: "one that doesn't", as: stations.Office, do: "POST " + count + "/seen", send: seen(stray), status: 200, has: map[string]string{"there": "1", "seen.#": "2", "seen.0.station": "fold"}},
		{name: "no ticket at all", as: stations.Bench, do: "POST " + count + "/seen", send: seen("00000000X"), status: 422, code: "bad_code"},
		{name: "no such count", as: stations.Bench, do: "POST /api/floor_counts/none/seen", send: seen(left), status: 404, code: "not_found"},
	})
	s.workOn(t, moved, "fold") // somebody goes on with the work
	ended := map[string]string{"ended": "true", "expected": "3", "there": "1", "missing.#": "1", "missing.0.ticket": right, "missing.0.station": "joining",
		"astray.#": "1", "astray.0.ticket": stray, "astray.0.station": "fold"}
	s.play(t, []scene{
		{name: "ended", as: stations.Bench, do: "POST " + count + "/end", status: 200, has: ended},
		{name: "ended again", as: stations.Bench, do: "POST " + count + "/end", status: 200, has: ended},
		{name: "too late", as: stations.Bench, do: "POST " + count + "/seen", send: seen(right), status: 409, code: "count_ended"},
	})
	s.workOn(t, right, "fold") // found: what was counted stays as it was counted
	ended["missing.0.station"] = "fold"
	s.play(t, []scene{{name: "read later", as: stations.Office, do: "GET " + count, status: 200, has: ended}})
	s.audited(t)
}

// TestCountByForms: a count works without script, says what it sees, and goes on after what is no ticket.
func TestCountByForms(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	left := s.ticketOf(t, "SMI-1", "Bay, left", "L")
	s.visit(t, stations.Bench, "/count", 200, `value="joining"`)
	got := s.post(t, stations.Bench, "/count", url.Values{"station": {"joining"}}, false)
	page := got.header.Get("Location")
	if got.status != 303 || !strings.HasPrefix(page, "/count/") {
		t.Fatal(got.status, page)
	}
	got = s.post(t, stations.Bench, page+"/seen", url.Values{"code": {" " + left + " "}}, false)
	s.visit(t, stations.Bench, got.header.Get("Location"), 200, "SMI-1: noted.", "1 of 2 that belong here")
	if got = s.post(t, stations.Bench, page+"/seen", url.Values{"code": {"00000000X"}}, false); got.status != 422 || !strings.Contains(string(got.body), "1 of 2 that belong here") {
		t.Error(got.status, string(got.body))
	}
	s.visit(t, stations.Office, "/count", 200, `href="`+page+`"`)
	if got = s.post(t, stations.Bench, page+"/end", nil, false); got.status != 303 {
		t.Error(got.status)
	}
	s.visit(t, stations.Bench, page, 200, "1 is missing", s.ticketOf(t, "SMI-1", "Bay, left", "R"))
	if strings.Contains(s.visit(t, stations.Bench, "/count", 200), page) {
		t.Error("a count that has ended goes on")
	}
}

// TestCalendarFeed: whoever has the address reads due dates, nobody else does; a new address ends the old one.
func TestCalendarFeed(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-1")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-2"), status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-3"), status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/SMI-3/cancel", send: fields{"reason": "House sold"}, status: 200})
	s.ask(t, scene{do: "GET /calendar/none.ics", status: 401})
	path := func() string {
		made := s.ask(t, scene{as: stations.Office, do: "POST /api/calendar", status: 201}).at("url")
		path, ok := strings.CutPrefix(made, shopAddress)
		if !ok {
			t.Fatal(made)
		}
		return path
	}
	first := path()
	feed := s.ask(t, scene{do: "GET " + first, status: 200})
	holds(t, "the feed", feed, 200, []string{"SUMMARY:SMI-1 · Saltmarsh Inn: 0 of 2 finished", "SUMMARY:SMI-2 · Saltmarsh Inn: received\\, not released", "DTSTART;VALUE=DATE:20261218"})
	if kind := feed.header.Get("Content-Type"); strings.Contains(string(feed.body), "SMI-3") || kind != "text/calendar; charset=utf-8" {
		t.Errorf("as %s: %s", kind, feed.body)
	}
	second := path()
	s.ask(t, scene{do: "GET " + first, status: 401})
	s.ask(t, scene{do: "GET " + second, status: 200})
	s.visit(t, stations.Office, "/settings/calendar", 200, "There is an address already")
	page := s.post(t, stations.Office, "/settings/calendar", nil, false)
	if !strings.Contains(string(page.body), shopAddress+"/calendar/") || strings.Contains(string(page.body), second) {
		t.Error(string(page.body))
	}
	s.ask(t, scene{do: "GET " + second, status: 401})
}
