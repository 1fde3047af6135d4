package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations"
)

// TestTheOddHalf: the half of a width that no panel takes is asked for like what else came off, by name at its bench and on its bolt's page.
// Kept, it is a remnant of its own with its width, and counts into no cloth's free length; another width to keep from asks for none.
func TestTheOddHalf(t *testing.T) {
	for _, least := range []string{"10in", "20in", "28in"} { // of the second it is kept on the bolt's page, before the cutting ends
		s := openShop(t)
		s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed", "sold_by": "yd", "usable_width": "54in"}, status: 201})
		s.ask(t, scene{as: stations.Office, do: "PUT /api/conventions", send: fields{"min_half": least}, status: 200})
		bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "60 yd", "place": "3B"})
		ticket := s.linked(t, "A", "draw: pair", "draw: one_way_left", "quantity: 1", "quantity: 3", "    vertical_repeat: 13 1/2\n    match: straight\n", "")
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
		s.ask(t, s.told(bolt, "lay", "ticket", ticket))
		shown := func(page string) string {
			return string(s.ask(t, scene{as: stations.Bench, do: "GET " + page, header: map[string]string{"Accept": "text/html"}, status: 200}).body)
		}
		look := func() answer {
			return s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + ticket, status: 200})
		}
		for next := look().at("step.missing.0"); strings.HasPrefix(next, "cut."); next = look().at("step.missing.0") {
			s.ask(t, s.told(bolt, "cut", "cut", strings.TrimPrefix(next, "cut.")))
		}
		asked := entries(look())
		if least == "28in" {
			if asked["remnant.1"] != "" || len(s.bolted(bolt).Halves) != 0 {
				t.Errorf("27 in are asked for, which the shop doesn't keep: %v", asked)
			}
			continue
		}
		if asked["remnant.1"] != "keep" {
			t.Fatalf("it asks %v", asked)
		}
		bench := shown("/station/cutting?ticket=" + ticket)
		if !strings.Contains(bench, `half the width, <span class="num">27 <small>in</small>`) {
			t.Errorf("the bench doesn't say which piece it is: %s", bench)
		}
		if picture, looked := strings.Index(bench, `class="bolt-strip"`), strings.Index(bench, `<table class="cuts"`); picture < 0 || picture > looked ||
			looked > strings.Index(bench, `data-moves`) || !strings.Contains(bench, `<details class="more-actions"><summary>Cuts, in this order</summary>`) {
			t.Errorf("the picture doesn't stand before the list of cuts, or the list isn't folded: %s", bench)
		}
		asksRest := func() bool {
			return strings.Contains(shown("/station/cutting?ticket="+ticket), `id="rest" name="at-table" open`)
		}
		if strings.Contains(bench, `id="rest-bolt"`) || !asksRest() {
			t.Error("what is left isn't asked of the one bolt there is, or it is asked which")
		}
		s.ask(t, s.told(bolt, "rest", "length", measure.OfLength(s.bolted(bolt).Rest, measure.In).String()))
		if asksRest() {
			t.Error("what is left is asked for once more, where only the half is owed")
		}
		toTable := `href="/station/cutting?ticket=` + ticket
		if page := shown("/b/" + bolt); !strings.Contains(page, toTable) || strings.Contains(page, "Print the label of") {
			t.Errorf("the bolt's page doesn't lead back to the ticket that the half is owed to: %s", page)
		}
		if off := s.bolted(bolt).Unlabelled(); least == "20in" {
			kept := s.post(t, stations.Bench, "/b/"+bolt, url.Values{"action": {"part"}, "from": {off[0].From.String()}, "to": {off[0].To.String()}, "place": {"3B"}}, false)
			label := "Print the label of " + string(s.bolted(bolt).Halves[0].Bolt)
			if page := shown(kept.header.Get("Location")); kept.status != 303 || !strings.Contains(page, label) || !strings.Contains(page, toTable) {
				t.Errorf("kept, the label isn't offered, or the way back: %d %s", kept.status, page)
			}
			if strings.Contains(shown("/b/"+bolt+"?new="+bolt), "Print the label of") {
				t.Error("a bolt that didn't come off this one passes for its remnant")
			}
		}
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(look(), ticket), status: 200, has: map[string]string{"state": "finished"}})
		if strings.Contains(shown("/b/"+bolt), toTable) {
			t.Error("the bolt's page leads to a ticket that is finished")
		}
		of := s.ask(t, scene{as: stations.Bench, do: "GET /api/bolts/" + bolt, status: 200})
		half := of.at("halves.0.bolt")
		if of.at("halves.#") != "1" || of.at("halves.0.as") != "remnant" || of.at("halves.0.width") != "27in" || half == "" {
			t.Fatalf("the bolt has %s", of.body)
		}
		s.ask(t, scene{as: stations.Bench, do: "GET /api/bolts/" + half, status: 200, has: map[string]string{"kind": "remnant", "width": "27in", "lot": "A", "from.parent": bolt, "from.half": "true"}})
		s.ask(t, scene{as: stations.Office, do: "GET /api/cloths/reed", status: 200, has: map[string]string{"bolts": "1", "remnants": "1", "free": of.at("rest")}})
		if page := shown("/b/" + half); !strings.Contains(page, "Half width") {
			t.Errorf("the half's page is %s", page)
		}
		if b := s.bolted(bolt); !b.Account().Balances() || b.Account().Remnants != 0 || b.Rest+b.Account().Cut != 60*measure.Yard {
			t.Errorf("the account is %+v", b.Account())
		}
		s.ask(t, s.told(half, "hold_bolt", "reason", "shade"))
		s.ask(t, scene{as: stations.Office, do: "GET /api/cloths/reed", status: 200, has: map[string]string{"held": "0in", "free": of.at("rest")}})
		s.ask(t, scene{as: stations.Office, do: "POST /api/shelf", send: fields{"bolt": half, "action": "free_bolt", "key": "free"}, status: 200})
		s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "60 yd", "place": "3B"})
		ticket = s.linked(t, "B", "draw: pair", "draw: one_way_left", "quantity: 1", "quantity: 3", "    vertical_repeat: 13 1/2\n    match: straight\n", "")
		if page := s.visit(t, stations.Office, "/orders/B/cloth", 200, half); strings.Contains(page, "counts on") {
			t.Errorf("the half is told as narrow: %s", page)
		}
		if got := s.ask(t, scene{as: stations.Bench, do: "GET /api/orders/B/cutplan", status: 200}).body; strings.Count(string(got), `"bolt":"`+half+`","index":1`) != 1 {
			t.Errorf("the plan doesn't cut one half from the half: %s", got)
		}
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(ticket, "start", "cutting"), status: 200})
		if page := shown("/station/cutting?ticket=" + ticket); !strings.Contains(page, half+"</strong>") || !strings.Contains(page, "Half width") {
			t.Errorf("the bench doesn't have the half fetched: %s", page)
		}
		s.ask(t, s.told(half, "lay", "ticket", ticket))
		if page := shown("/station/cutting?ticket=" + ticket); !strings.Contains(page, "Cut from a kept half width") {
			t.Errorf("the bench doesn't say that a half is cut: %s", page)
		}
		s.ask(t, s.told(half, "cut", "cut", strings.TrimPrefix(look().at("step.missing.0"), "cut.")))
		if len(s.bolted(half).Halves) != 0 {
			t.Error("half a half is left")
		}
		s.audited(t)
	}
}
