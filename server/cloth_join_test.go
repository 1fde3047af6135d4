package server

import (
	"fmt"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// joined are two orders whose cuts are planned together on one bolt; alone each had one of its own.
func (s *shop) joined(t *testing.T, lot string) (bolt, first, second string) {
	t.Helper()
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed", "usable_width": "54in"}, status: 201})
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "450in", "place": "1A"})
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "370in", "place": "1B"})
	first, second = s.plainOn(t, "A", "95 1/2"), s.plainOn(t, "B", "75 1/2")
	bolt = s.receiveBolt(t, fields{"cloth": "reed", "lot": lot, "length": "830in", "place": "2A"})
	join := scene{as: stations.Bench, do: "POST /api/cutplan/join", send: fields{"tickets": []string{first, second}, "key": "joined"}, status: 403, code: "forbidden"}
	s.ask(t, join)
	join.as, join.status, join.code = stations.Office, 200, ""
	done := s.ask(t, join)
	if done.at("tickets.#") != "2" || done.at("lines.#") != "2" || done.at("cloth") != "reed" || done.at("proof") != "proven" {
		t.Errorf("joined: %s", done.body)
	}
	if a, b := s.on("A", "reed"), s.on("B", "reed"); a[bolt] != 4 || b[bolt] != 4 {
		t.Errorf("joined, the first is cut from %v, the second from %v", a, b)
	}
	s.promisedOnce(t)
	s.audited(t)
	return bolt, first, second
}

// TestJoinedCuts: what the office has joined is laid and cut in one run, each cut by its ticket; a flaw lays both anew, and who is cut last
// measures what is left.
func TestJoinedCuts(t *testing.T) {
	s := openShop(t)
	bolt, first, second := s.joined(t, "B")
	start := func(code string) {
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	}
	start(first)
	refused := s.ask(t, s.refusedAs(s.told(bolt, "lay", "tickets", []string{first, second}), 409, "not_started"))
	if refused.at("where.station") != "cutting" {
		t.Errorf("the refusal is %s", refused.body)
	}
	start(second)
	laid := s.ask(t, s.told(bolt, "lay", "ticket", first))
	if laid.at("joined.#") != "2" || len(s.bolted(bolt).For) != 2 {
		t.Errorf("laid for the first: %s", laid.body)
	}
	s.ask(t, scene{name: "the lay can't be taken back alone", as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "undo", "cutting"), status: 409, code: "undo_overtaken"})
	if asked := entries(s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + first, status: 200})); asked["cut.1"] == "" || asked["rest."+bolt] != "" {
		t.Errorf("with the other's cuts still to be made, the first asks %v", asked)
	}
	s.ask(t, s.refusedAs(s.told(bolt, "cut", "cut", "1"), 422, "missing_key"))
	inTurn := func() (ticket, cut string) {
		p := s.Store.Floor().Promised(plan.Code(bolt))
		if len(p) == 0 {
			return "", ""
		}
		return string(p[0].Ticket), p[0].Cut
	}
	ticket, cut := inTurn()
	late := s.Store.Floor().Promised(plan.Code(bolt))[7]
	s.ask(t, s.refusedAs(s.told(bolt, "cut", "ticket", string(late.Ticket), "cut", late.Cut), 409, "cuts_left"))
	s.ask(t, s.told(bolt, "cut", "ticket", ticket, "cut", cut))
	s.ask(t, s.told(bolt, "flaw", "ticket", ticket, "after", cut, "from", "2in", "to", "3in"))
	s.promisedOnce(t)
	s.audited(t)
	if a, b := s.on("A", "reed"), s.on("B", "reed"); a[bolt] != 4 || b[bolt] != 4 {
		t.Errorf("after the flaw the first is cut from %v, the second from %v", a, b)
	}
	for ticket, cut = inTurn(); cut != ""; ticket, cut = inTurn() {
		s.ask(t, s.told(bolt, "cut", "ticket", ticket, "cut", cut))
	}
	for _, code := range []string{first, second} {
		doc := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + code, status: 200})
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(doc, code), status: 200, has: map[string]string{"state": "finished"}})
	}
	if b := s.bolted(bolt); b.State() != shelf.OnShelf || !b.Account().Balances() {
		t.Errorf("cut, the bolt is %s with %+v", b.State(), b.Account())
	}
	s.audited(t)
}

// TestJoinedAgain: where a flaw leaves a run no room on its bolt, it is planned together again: the bolt on the table is cut on.
func TestJoinedAgain(t *testing.T) {
	s := openShop(t)
	bolt, first, second := s.joined(t, "A")
	for _, code := range []string{first, second} {
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	}
	s.ask(t, s.told(bolt, "lay", "ticket", second))
	p := s.Store.Floor().Promised(plan.Code(bolt))[0]
	s.ask(t, s.told(bolt, "cut", "ticket", string(p.Ticket), "cut", p.Cut))
	told := s.ask(t, s.told(bolt, "flaw", "ticket", string(p.Ticket), "after", p.Cut, "from", "2in", "to", "102in"))
	if told.at("lines.#") != "2" || told.at("problems.#") != "0" {
		t.Errorf("the flaw: %s", told.body)
	}
	stay := map[string]int{}
	for _, p := range s.Store.Floor().Promised(plan.Code(bolt)) {
		stay[p.Order]++
	}
	if len(stay) == 0 || s.on("A", "reed")[""]+s.on("B", "reed")[""] > 0 {
		t.Errorf("on the bolt stay %v", stay)
	}
	s.promisedOnce(t)
	s.audited(t)
	s.ask(t, scene{name: "taken back", as: stations.Bench, do: "POST /api/scans", send: scanOf(string(p.Ticket), "undo", "cutting"), status: 200})
	if n := len(s.Store.Floor().Promised(plan.Code(bolt))); n != 7 {
		t.Errorf("taken back, %d cuts lie on the bolt", n)
	}
	s.promisedOnce(t)
	s.audited(t)
}

// TestJoinRefused: what can't be planned together is refused as that, and nothing changes.
func TestJoinRefused(t *testing.T) {
	s := openShop(t)
	_, first, second := s.joined(t, "B")
	join := func(status int, code string, tickets ...string) answer {
		t.Helper()
		keys++
		return s.ask(t, scene{name: code, as: stations.Office, do: "POST /api/cutplan/join", send: fields{"tickets": tickets, "key": fmt.Sprint("j", keys)}, status: status, code: code})
	}
	was := s.Store.Floor().Seq()
	join(422, "missing_key")
	join(422, "missing_key", s.plainOn(t, "E", "20")) // one that isn't joined
	join(409, "cut_by_fabric", first, string(s.Store.Floor().Ticket(plan.Code(second)).Spec.Cuts[0].For[0].Ticket))
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/oat", send: fields{"name": "Oat", "usable_width": "54in"}, status: 201})
	s.receiveBolt(t, fields{"cloth": "oat", "lot": "A", "length": "450in"})
	file := strings.ReplaceAll(s.plainFile("C", "75 1/2"), "cloth: reed", "cloth: oat")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/C/release", status: 200})
	join(409, "wrong_cloth", first, s.ticketOf(t, "C", "", "reed"))
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "hold", "", "reason", "the shade"), status: 200})
	join(409, "held", first, second)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "resume", ""), status: 200})
	for _, b := range s.Store.Floor().Shelf().Bolts() {
		if b.Cloth == "reed" {
			s.ask(t, scene{as: stations.Office, do: "POST /api/shelf", send: fields{"bolt": string(b.Code), "action": "hold_bolt", "reason": "the shade", "key": "h" + string(b.Code)}, status: 200})
		}
	}
	join(409, "fabric_short", first, second) // there is no bolt that anybody may cut
	for _, b := range s.Store.Floor().Shelf().Bolts() {
		if b.Cloth == "reed" {
			s.ask(t, scene{as: stations.Office, do: "POST /api/shelf", send: fields{"bolt": string(b.Code), "action": "free_bolt", "reason": "it is the light", "key": "f" + string(b.Code)}, status: 200})
		}
	}
	s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "447in", "owner": "Reed House"})
	file = strings.ReplaceAll(s.plainFile("D", "95 1/2"), "Saltmarsh Inn", "Reed House")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/D/release", status: 200})
	join(409, "other_customers_cloth", first, s.ticketOf(t, "D", "", "reed"))
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(second, "start", "cutting"), status: 200})
	join(409, "at_work", first, second)
	if s.Store.Floor().Seq() <= was {
		t.Error("nothing was done at all")
	}
	s.promisedOnce(t)
	s.audited(t)
}

// TestJoinedApart: one of two that are joined is cancelled, or revised, and the other stays as it is; it is cut by itself then.
func TestJoinedApart(t *testing.T) {
	s := openShop(t)
	bolt, first, second := s.joined(t, "B")
	lies := func(code string) (at []string) {
		for _, l := range s.Store.Floor().Ticket(plan.Code(code)).Spec.Cuts {
			at = append(at, l.Bolt+" "+l.From.String())
		}
		return at
	}
	was := fmt.Sprint(lies(first))
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/B", send: s.plainFile("B", "77 1/2"), status: 200})
	s.promisedOnce(t)
	if is := fmt.Sprint(lies(first)); is != was {
		t.Errorf("the other is revised, and the first lies at %s, was at %s", is, was)
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/B/cancel", send: fields{"reason": "sold"}, status: 200})
	if is := fmt.Sprint(lies(first)); is != was || len(s.Store.Floor().JoinedWith(s.Store.Floor().Ticket(plan.Code(first)))) != 0 {
		t.Errorf("the other is cancelled, and the first lies at %s, joined with it still", is)
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(first, "start", "cutting"), status: 200})
	if laid := s.ask(t, s.told(bolt, "lay", "ticket", first)); laid.at("joined.#") != "" && laid.at("joined.#") != "0" {
		t.Errorf("laid: %s", laid.body)
	}
	s.audited(t)
	_ = second
}

// TestJoinedAndParted: what was joined is planned apart again, each on a bolt of its own as before, by the API and by the press of the page; a
// bolt that is laid for it is in the way, for the one that isn't begun too.
func TestJoinedAndParted(t *testing.T) {
	s := openShop(t)
	bolt, first, second := s.joined(t, "B")
	part := scene{as: stations.Bench, do: "POST /api/cutplan/join", send: fields{"tickets": []string{first}, "key": "parted"}, status: 403, code: "forbidden"}
	s.ask(t, part)
	part.as, part.status, part.code = stations.Office, 200, ""
	done := s.ask(t, part)
	if done.at("tickets.#") != "1" || done.at("lines.#") != "2" || done.at("proof") != "proven" {
		t.Errorf("parted: %s", done.body)
	}
	apart := func() {
		t.Helper()
		if a, b := s.on("A", "reed"), s.on("B", "reed"); a[bolt]+b[bolt] != 0 || len(a) != 1 || len(b) != 1 {
			t.Errorf("apart, the first is cut from %v, the second from %v", a, b)
		}
		s.promisedOnce(t)
		s.audited(t)
	}
	apart()
	if again := s.ask(t, part); again.at("seq") != done.at("seq") {
		t.Errorf("sent again: %s", again.body)
	}
	html, form := map[string]string{"Accept": "text/html"}, map[string]string{"Accept": "text/html", "Content-Type": "application/x-www-form-urlencoded"}
	page := func() string {
		return string(s.ask(t, scene{as: stations.Office, do: "GET /shelf/reed", header: html, status: 200}).body)
	}
	press := `name="apart" value="` + second + `"`
	if strings.Contains(page(), press) {
		t.Error("what is apart can be parted")
	}
	s.ask(t, scene{as: stations.Office, do: "POST /shelf/reed", header: form, send: "key=1&ticket=" + first + "&ticket=" + second, status: 200})
	if !strings.Contains(page(), press) {
		t.Error("what is joined can't be parted")
	}
	told := string(s.ask(t, scene{as: stations.Office, do: "POST /shelf/reed", header: form, send: "key=2&apart=" + second, status: 200}).body)
	if !strings.Contains(told, "B is planned by itself again") {
		t.Error("it isn't told that it is")
	}
	apart()
	s.ask(t, scene{as: stations.Office, do: "POST /shelf/reed", header: form, send: "key=3&ticket=" + first + "&ticket=" + second, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(first, "start", "cutting"), status: 200})
	s.ask(t, s.told(bolt, "lay", "ticket", first))
	for i, code := range []string{first, second} {
		part.send, part.status, part.code = fields{"tickets": []string{code}, "key": fmt.Sprint("late", i)}, 409, "on_table"
		s.ask(t, part)
	}
	s.audited(t)
}

// TestJoinByForm: the office joins orders on their cloth's page, and the bench's page goes from one ticket to the other in one run.
func TestJoinByForm(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed", "usable_width": "54in"}, status: 201})
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "900in", "place": "2A"})
	first, second := s.plainOn(t, "A", "95 1/2"), s.plainOn(t, "B", "75 1/2")
	html := map[string]string{"Accept": "text/html"}
	form := map[string]string{"Accept": "text/html", "Content-Type": "application/x-www-form-urlencoded"}
	page := string(s.ask(t, scene{as: stations.Office, do: "GET /shelf/reed", header: html, status: 200}).body)
	if !strings.Contains(page, "Cut together") || !strings.Contains(page, first) || !strings.Contains(page, second) {
		t.Error("the cloth's page has no way to cut them together")
	}
	if bench := string(s.ask(t, scene{as: stations.Bench, do: "GET /shelf/reed", header: html, status: 200}).body); strings.Contains(bench, "Cut together") {
		t.Error("a bench is shown what the office does")
	}
	one := string(s.ask(t, scene{as: stations.Office, do: "POST /shelf/reed", header: form, send: "key=1&ticket=" + first, status: 422}).body)
	if !strings.Contains(one, "Tick two orders or more") {
		t.Error("one alone isn't told")
	}
	s.ask(t, scene{as: stations.Office, do: "POST /shelf/reed", header: form, send: "key=2&ticket=" + first + "&ticket=" + second, status: 200})
	for _, code := range []string{first, second} {
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	}
	card := func(said, open string) string {
		t.Helper()
		a := s.ask(t, scene{as: stations.Bench, do: "POST /station/cutting/scan", send: "code=" + said + "&open=" + open, status: 303, header: form})
		return a.header.Get("Location")
	}
	card("DO+LAY", first)
	if b := s.bolted(bolt); len(b.For) != 2 {
		t.Errorf("laid by its card, the bolt is for %v", b.For)
	}
	for range 8 {
		p := s.Store.Floor().Promised(plan.Code(bolt))[0]
		other := first
		if string(p.Ticket) == first {
			other = second
		}
		shown := string(s.ask(t, scene{as: stations.Bench, do: "GET /station/cutting?ticket=" + other, header: html, status: 200}).body)
		if !strings.Contains(shown, "Next is a cut of "+p.Order) || !strings.Contains(shown, `name="code" value="`+string(p.Ticket)+`"`) {
			t.Errorf("with %s open the page doesn't go on to cut %s of %s", other, p.Cut, p.Order)
		}
		if strings.Contains(shown, `id="otherwise"`) {
			t.Error("what came out otherwise of another ticket's cut would be told of this one")
		}
		if to := card("DO+CUT", other); !strings.HasSuffix(to, string(p.Ticket)) {
			t.Errorf("cut by its card, it leads to %s", to)
		}
	}
	if left := s.Store.Floor().Promised(plan.Code(bolt)); len(left) != 0 {
		t.Errorf("%v isn't cut", left)
	}
	s.audited(t)
}
