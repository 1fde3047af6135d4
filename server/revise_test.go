package server

import (
	"context"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// twoWindows is the example with a second window and cloth to spare, changed by pairs of old and new text.
func twoWindows(t testing.TB, id string, changes ...string) string {
	t.Helper()
	file := example(t, id, "length: 20 yd", "length: 40 yd") + "  - {window: Door, room: \"15\", heading: cartridge-tape, draw: one_way_left, face_width: 40, finished_length: 84, face: reed, lining: sateen}\n"
	for i := 0; i+1 < len(changes); i += 2 {
		if !strings.Contains(file, changes[i]) {
			t.Fatalf("the order has no %q", changes[i])
		}
		file = strings.Replace(file, changes[i], changes[i+1], 1)
	}
	return ownBolts(file, id)
}

// releaseTwo takes and releases the order of two windows.
func (s *shop) releaseTwo(t testing.TB, id string, changes ...string) {
	t.Helper()
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: twoWindows(t, id, changes...), status: 201})
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/" + id + "/release", send: fields{}, status: 200})
}

// ticketOf returns the code of an order's panel, or of a fabric's first cutting ticket where window is "".
func (s *shop) ticketOf(t testing.TB, order, window, panelOrFabric string) string {
	t.Helper()
	for _, ticket := range s.Store.Floor().Order(order).Tickets {
		spec := ticket.Spec
		if !ticket.Cancelled && spec.Window == window && (spec.Panel == panelOrFabric || spec.Fabric == panelOrFabric) {
			return string(spec.Code)
		}
	}
	t.Fatalf("order %s has no %s %s", order, window, panelOrFabric)
	return ""
}

// workOn takes a ticket through its stations until it is ready at one; "" to the end.
func (s *shop) workOn(t testing.TB, code, until string) {
	t.Helper()
	for {
		step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + code, status: 200})
		station := step.at("step.station")
		if station == until || station == "" {
			return
		}
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", station), status: 200})
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(step, code), status: 200})
	}
}

// cutAll cuts whatever an order has to be cut.
func (s *shop) cutAll(t testing.TB, order string) {
	t.Helper()
	for _, ticket := range s.Store.Floor().Order(order).Tickets {
		if ticket.Spec.Kind == plan.CuttingTicket && !ticket.Cancelled {
			s.workOn(t, string(ticket.Spec.Code), "")
		}
	}
}

// toldOf returns whether a revision's answer tells of a ticket, its values, and whether it is protected.
func toldOf(a answer, code string) (told bool, values string, protected bool) {
	for i := range 50 {
		at := "changed." + string(rune('0'+i)) + "."
		if i > 9 || a.at(at+"ticket") == "" {
			break
		}
		if a.at(at+"ticket") == code {
			return true, a.at(at + "values"), a.at(at+"protected") == "true"
		}
	}
	return false, "", false
}

func (s *shop) audited(t testing.TB) {
	t.Helper()
	if differences, err := s.Store.Audit(context.Background()); err != nil || len(differences) > 0 {
		t.Errorf("audit: %v %v", differences, err)
	}
}

// TestReviseRefusals: whose order, which file, which state.
func TestReviseRefusals(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "POST /api/orders", send: twoWindows(t, "SMI-1"), status: 201})
	put := func(path, file string, status int, code string) answer {
		t.Helper()
		return s.ask(t, scene{as: office, do: "PUT /api/orders/" + path, send: file, status: status, code: code})
	}
	put("SMI-1", twoWindows(t, "SMI-2"), 422, "bad_value")
	put("SMI-9", twoWindows(t, "SMI-9"), 404, "not_found")
	put("SMI-1", "order: [", 422, "")
	s.ask(t, scene{as: stations.Bench, do: "PUT /api/orders/SMI-1", send: twoWindows(t, "SMI-1"), status: 403, code: "forbidden"})
	if got := put("SMI-1", twoWindows(t, "SMI-1", "face_width: 40", "face_width: 60"), 200, ""); got.at("revision") != "2" || got.at("changed.#") != "0" {
		t.Errorf("before the release: %s", got.body)
	}
	if old, err := s.Store.OrderFile(context.Background(), "SMI-1", 1); err != nil || string(old) != twoWindows(t, "SMI-1") {
		t.Errorf("the file of before isn't kept: %v", err)
	}
	put("SMI-1?from=1", twoWindows(t, "SMI-1"), 409, "revised_meanwhile")
	put("SMI-1?try=perhaps", twoWindows(t, "SMI-1"), 422, "bad_value")
	s.ask(t, scene{as: office, do: "POST /api/orders/SMI-1/cancel", send: fields{"reason": "sold"}, status: 200})
	put("SMI-1", twoWindows(t, "SMI-1"), 409, "cancelled")

	panels := s.workThrough(t, s.release(t, "DONE"))
	put("DONE", orderFile(t, "DONE"), 409, "finished")
	prices := fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: prices, status: 200})
	draft := s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": panels}, status: 201})
	s.ask(t, scene{as: office, do: "POST /api/invoices/" + draft.at("draft") + "/issue", send: fields{}, status: 200})
	put("DONE", orderFile(t, "DONE"), 409, "already_invoiced")
	s.audited(t)
}

// TestReviseOnTheFloor: a panel begun keeps its numbers and is told as protected, the other takes the new ones; a try
// changes nothing, and the old labels lead on to their panels.
func TestReviseOnTheFloor(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.releaseTwo(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	bay, door := s.ticketOf(t, "SMI-1", "Bay, left", "L"), s.ticketOf(t, "SMI-1", "Door", "S")
	s.workOn(t, bay, "tape") // past the heading fold
	get := func(code string) string {
		return string(s.ask(t, scene{as: office, do: "GET /api/tickets/" + code, status: 200}).body)
	}
	file := twoWindows(t, "SMI-1", "finished_length: 95 1/2", "finished_length: 93", "finished_length: 84", "finished_length: 83")
	before, doorBefore, seq := get(bay), get(door), s.Store.Floor().Seq()

	try := s.ask(t, scene{as: office, do: "PUT /api/orders/SMI-1?try=true", send: file, status: 200, has: map[string]string{"revision": "2"}})
	if get(bay) != before || get(door) != doorBefore || s.Store.Floor().Seq() != seq {
		t.Error("a try has changed something")
	}
	done := s.ask(t, scene{as: office, do: "PUT /api/orders/SMI-1?from=1", send: file, status: 200, has: map[string]string{"revision": "2"}})
	if string(done.body) != string(try.body) {
		t.Errorf("tried\n%s\ndone\n%s", try.body, done.body)
	}
	if told, values, protected := toldOf(done, bay); !told || !protected || !strings.Contains(values, "finished_length") {
		t.Errorf("the panel that is folded: %v %s %v\n%s", told, values, protected, done.body)
	}
	if get(bay) != before {
		t.Error("the panel that is folded has other numbers now")
	}
	if told, _, _ := toldOf(done, door); !told {
		t.Errorf("the panel that isn't begun is not told of: %s", done.body)
	}
	if told, _, protected := toldOf(done, door); told && !protected && get(door) == doorBefore {
		t.Error("a panel told as changed has its numbers of before")
	}
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/http:%2F%2Fshop.test%2Ft%2F" + bay, status: 200})
	if pdf := s.ask(t, scene{as: office, do: "GET /api/orders/SMI-1/tickets.pdf?paper=label", status: 200}); !strings.HasPrefix(string(pdf.body), "%PDF") {
		t.Error("no tickets are printed")
	}
	s.audited(t)
	events, err := s.Store.Events(context.Background(), seq, 1)
	if err != nil || len(events) != 1 || events[0].Action != stations.Revise || events[0].Order != "SMI-1" {
		t.Errorf("the ledger tells %+v %v", events, err)
	}
	s.workOn(t, bay, "")
	s.workOn(t, door, "")
	s.audited(t)
}

// TestReviseWindows: one widened before anything is cut, one added, one taken out before and after its cloth is cut.
func TestReviseWindows(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.releaseTwo(t, "SMI-1")
	put := func(how, file string, status int, code string) answer {
		t.Helper()
		return s.ask(t, scene{as: office, do: "PUT /api/orders/SMI-1" + how, send: file, status: status, code: code})
	}
	door := s.ticketOf(t, "SMI-1", "Door", "S")
	kitchen := "  - {window: Kitchen, heading: cartridge-tape, draw: one_way_left, face_width: 30, finished_length: 60, face: reed, lining: sateen}\n"
	added := put("", twoWindows(t, "SMI-1", "face_width: 40", "face_width: 60")+kitchen, 200, "")
	if told, values, protected := toldOf(added, door); !told || protected || !strings.Contains(values, "flat_width") {
		t.Errorf("widened uncut: %v %s %v", told, values, protected)
	}
	if added.at("added.#") != "1" || added.at("added.0") != s.ticketOf(t, "SMI-1", "Kitchen", "S") {
		t.Errorf("added: %s", added.body)
	}
	newest := s.ticketOf(t, "SMI-1", "Kitchen", "S")
	dropped := put("", twoWindows(t, "SMI-1"), 200, "")
	if dropped.at("dropped.0") != newest {
		t.Errorf("dropped: %s", dropped.body)
	}
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + newest, status: 200, has: map[string]string{"state": "cancelled"}})

	s.cutAll(t, "SMI-1")
	file := twoWindows(t, "SMI-1")
	gone := put("", file[:strings.Index(file, "  - {window: Door")], 200, "")
	if told, values, protected := toldOf(gone, door); !told || !protected || !strings.Contains(values, "quantity") || gone.at("dropped.#") != "" {
		t.Errorf("taken out though cut: %s", gone.body)
	}
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + door, status: 200, has: map[string]string{"state": "ready", "station": "joining"}})

	many := twoWindows(t, "SMI-1") + strings.Replace(kitchen, "face_width: 30", "face_width: 90, quantity: 9", 1)
	if try := put("?try=true", many, 200, ""); try.at("short.0") != "reed" {
		t.Errorf("a try of what is short: %s", try.body)
	}
	if refused := put("", many, 409, "fabric_short"); refused.at("where.least") == "" {
		t.Errorf("refused, how much is short at least isn't told: %s", refused.body)
	}
	put("?override=true", many, 422, "reason_missing")
	put("?override=true&reason="+url.QueryEscape("more comes on Tuesday"), many, 200, "")
	s.audited(t)
}

// TestRemake: who may, when, and that the new panel goes the whole way while the old one is kept.
func TestRemake(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.releaseTwo(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	door := s.ticketOf(t, "SMI-1", "Door", "S")
	post := func(as stations.Role, body fields, status int, code string) answer {
		t.Helper()
		return s.ask(t, scene{as: as, do: "POST /api/scans", send: body, status: status, code: code})
	}
	post(office, scanOf(door, "remake", "", "reason", "torn"), 409, "not_held")
	step := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + door, status: 200})
	post(stations.Bench, scanOf(door, "start", "joining"), 200, "")
	held := post(stations.Bench, finishOf(step, door, "flat_width", "20in"), 200, "")
	if held.at("state") != "held" {
		t.Fatalf("%s", held.body)
	}
	post(stations.Bench, scanOf(door, "remake", "", "reason", "torn"), 403, "forbidden")
	post(office, scanOf(door, "remake", ""), 422, "reason_missing")
	remake := scanOf(door, "remake", "", "reason", "cut across the pattern")
	done := post(office, remake, 200, "")
	again := done.at("new")
	if again == "" || done.at("state") != "cancelled" || done.at("also.#") != "2" {
		t.Fatalf("%s", done.body)
	}
	if repeated := post(office, remake, 200, ""); string(repeated.body) != string(done.body) {
		t.Errorf("sent again: %s, first %s", repeated.body, done.body)
	}
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + door, status: 200, has: map[string]string{"state": "cancelled"}})
	s.ask(t, scene{as: office, do: "GET /api/tickets/" + again, status: 200, has: map[string]string{"state": "waiting", "station": "cutting"}})
	s.audited(t)
	s.cutAll(t, "SMI-1")
	s.workOn(t, again, "")
	prices := fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: prices, status: 200})
	s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{again}}, status: 201})
	s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{door}}, status: 409})
	s.audited(t)
}

// TestRemakeCloth: what is left of the bolts doesn't do for it, or only in another lot, unless the office says so.
func TestRemakeCloth(t *testing.T) {
	r1 := "{id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}"
	for _, tt := range []struct{ code, bolts, least string }{ // five cuts of 9 repeats and three of 8 are 931½ of 1008 in: no room for one of three more
		{"fabric_short", "{id: R1, length: 28 yd, lot: A}", "364.5in"},
		{"lots_mixed", "{id: R1, length: 28 yd, lot: A}\n      - {id: R2, length: 20 yd, lot: B}", ""},
	} {
		t.Run(tt.code, func(t *testing.T) {
			s := openShop(t)
			s.releaseTwo(t, "SMI-1", r1, tt.bolts)
			s.cutAll(t, "SMI-1")
			bay := s.ticketOf(t, "SMI-1", "Bay, left", "L")
			s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(bay, "hold", "", "reason", "scorched"), status: 200})
			s.ask(t, scene{as: stations.Office, do: "POST /api/scans", send: scanOf(bay, "remake", "", "reason", "scorched"), status: 409, code: tt.code,
				has: map[string]string{"where.least": tt.least}})
			s.ask(t, scene{as: stations.Office, do: "POST /api/scans", status: 200,
				send: scanOf(bay, "remake", "", "reason", "more is ordered", "override", true)})
			s.audited(t)
		})
	}
}

// TestUntoldTable: at a cutting ticket at work where nobody has told a cut, all cuts count as made; what is revised or
// ended then says so, until the first cut is told.
func TestUntoldTable(t *testing.T) {
	s := openShop(t)
	const says = "counts as cut"
	codes := s.release(t, "SMI-1")
	reed, panel := codes[0], codes[2]
	source := orderFile(t, "SMI-1", "finished_length: 95 1/2", "finished_length: 81") // fewer repeats a cut
	preview := func() string {
		form := url.Values{"truth": {"file"}, "source": {source}, "revision": {"1"}}
		return holds(t, "preview", s.post(t, stations.Office, "/orders/SMI-1/revise", form, false), 200, []string{`value="confirm"`})
	}
	if strings.Contains(preview(), says) {
		t.Error("nothing is begun, and yet all counts as cut")
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(reed, "scan", "cutting"), status: 200})
	if page := preview(); strings.Count(page, says) < 2 { // the cutting ticket's, and that of both panels, which change alike
		t.Errorf("the preview doesn't say that all cuts count as made:\n%s", page)
	}
	s.visit(t, stations.Office, "/t/"+panel, 200, says)
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(reed, "cut", "cutting", "cut", "1", "length", "121 1/2"), status: 200})
	if page := preview(); strings.Contains(page, says) {
		t.Errorf("what is cut is told, and yet all counts as cut:\n%s", page)
	}
	if page := s.visit(t, stations.Office, "/t/"+panel, 200, "End this panel"); strings.Contains(page, says) {
		t.Error("what is cut is told, and yet all counts as cut")
	}
}

// TestRevisePages: what a new file would change is shown first, and made only from what was shown.
func TestRevisePages(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.releaseTwo(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	bay := s.ticketOf(t, "SMI-1", "Bay, left", "L")
	s.workOn(t, bay, "tape")
	if page := s.visit(t, office, "/board", 200); strings.Contains(page, ", order changed</span>") {
		t.Error("a panel that nobody has changed is marked")
	}
	seq := s.Store.Floor().Seq()
	file := twoWindows(t, "SMI-1", "finished_length: 95 1/2", "finished_length: 93")
	form := url.Values{"truth": {"file"}, "source": {file}, "revision": {"1"}}
	page := holds(t, "preview", s.post(t, office, "/orders/SMI-1/revise", form, false), 200,
		[]string{"Bay, left\u00a0·\u00a0L", "goes on with its numbers", "keeps its number", `value="confirm"`, "finished_length: 93"})
	if !strings.Contains(page, "≠") || s.Store.Floor().Seq() != seq {
		t.Error("the preview isn't told by a shape, or has changed something")
	}
	holds(t, "the form without script", s.post(t, office, "/orders/SMI-1/edit", with(url.Values{}, "truth", "file", "do", "save-file", "source", file, "revision", "1"), false), 200,
		[]string{`value="confirm"`})
	holds(t, "a file with an error", s.post(t, office, "/orders/SMI-1/revise", with(url.Values{}, "truth", "file", "source", twoWindows(t, "SMI-1", "face: reed", "face: weed")), false), 422,
		[]string{"weed"})
	holds(t, "at a bench", s.post(t, stations.Bench, "/orders/SMI-1/revise", form, false), 403, nil)

	form.Set("do", "confirm")
	if got := s.post(t, office, "/orders/SMI-1/revise", form, false); got.status != 303 || got.header.Get("Location") != "/orders/SMI-1?did=revised" {
		t.Fatalf("%d %s\n%s", got.status, got.header.Get("Location"), got.body)
	}
	holds(t, "confirmed twice", s.post(t, office, "/orders/SMI-1/revise", form, false), 409, []string{"Meanwhile"})
	s.visit(t, office, "/orders/SMI-1", 200, "order changed", "What has happened so far", "changed to revision", "≠")
	s.visit(t, office, "/t/"+bay, 200, "Revision 2 of the order wants other numbers", "order changed", "changed to revision")
	s.visit(t, office, "/board", 200, `, order changed</span></a>`, `<use href="#unequal"/>`)

	many := url.Values{"truth": {"file"}, "revision": {"2"}, "source": {file + "  - {window: Hall, heading: cartridge-tape, draw: one_way_left, face_width: 90, finished_length: 90, face: reed, lining: sateen, quantity: 9}\n"}}
	holds(t, "short", s.post(t, office, "/orders/SMI-1/revise", many, false), 200, []string{"There isn&#39;t enough cloth left", "reed", `name="reason"`, "New tickets"})
	many.Set("do", "confirm")
	holds(t, "short, confirmed without a reason", s.post(t, office, "/orders/SMI-1/revise", many, false), 409, []string{"There isn&#39;t enough cloth left", `name="override"`})
	s.audited(t)
}

// TestRemakePage: the office remakes a held panel from its page; a bench isn't offered it; both tickets lead to each other.
func TestRemakePage(t *testing.T) {
	s := openShop(t)
	s.releaseTwo(t, "SMI-1")
	s.cutAll(t, "SMI-1")
	door := s.ticketOf(t, "SMI-1", "Door", "S")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(door, "hold", "", "reason", "scorched"), status: 200})
	s.visit(t, stations.Office, "/t/"+door, 200, `value="remake"`)
	if page := s.visit(t, stations.Bench, "/t/"+door, 200); strings.Contains(page, `value="remake"`) {
		t.Error("a bench is offered to remake")
	}
	form := url.Values{"code": {door}, "action": {"remake"}, "key": {"one"}, "reason": {"scorched at the press"}, "back": {"ticket"}}
	if got := s.post(t, stations.Office, "/station/joining/scan", form, false); got.status != 303 {
		t.Fatalf("%d\n%s", got.status, got.body)
	}
	again := s.ticketOf(t, "SMI-1", "Door", "S")
	s.visit(t, stations.Office, "/t/"+door, 200, "/t/"+again, "scorched at the press")
	s.visit(t, stations.Office, "/t/"+again, 200, "/t/"+door, "remade")
	s.visit(t, stations.Office, "/orders/SMI-1", 200, "scorched at the press")
}

// TestReprints: a revision says whose paper it makes old and where each is, before and after it is made, and just these are printed.
func TestReprints(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.releaseTwo(t, "SMI-1")
	if page := s.visit(t, office, "/orders/SMI-1", 200); strings.Contains(page, "Pull and reprint") {
		t.Error("paper is to be reprinted that nothing has changed")
	}
	list := regexp.MustCompile(`(?s)<ul class="reprints">(.*?)</ul>`)
	form := url.Values{"truth": {"file"}, "source": {twoWindows(t, "SMI-1", "finished_length: 95 1/2", "finished_length: 93")}, "revision": {"1"}}
	shown := s.post(t, office, "/orders/SMI-1/revise", form, false)
	holds(t, "before", shown, 200, []string{"Pull and reprint: the labels of 4 tickets", "print just these from the order&#39;s page"})
	form.Set("do", "confirm")
	s.post(t, office, "/orders/SMI-1/revise", form, false)
	page := s.visit(t, office, "/orders/SMI-1", 200, "Pull and reprint: the labels of 4 tickets", `href="/orders/SMI-1/tickets.pdf?since=2"`)
	for when, text := range map[string]string{"before": string(shown.body), "after": page} {
		these := list.FindString(text)
		if strings.Count(these, "Bay, left") != 2 || strings.Contains(these, "Door") || strings.Count(these, "Cutting") < 2 {
			t.Errorf("%s: to be reprinted are %s", when, these)
		}
	}
	pages := func(query string) int {
		pdf := s.ask(t, scene{as: office, do: "GET /orders/SMI-1/tickets.pdf" + query, status: 200})
		return len(regexp.MustCompile(`/Type ?/Page\b`).FindAll(pdf.body, -1))
	}
	if all, these := pages(""), pages("?since=2"); these == 0 || these >= all {
		t.Errorf("%d labels of %d are printed", these, all)
	}
	s.ask(t, scene{as: office, do: "GET /api/orders/SMI-1/tickets.pdf?since=3", status: 404, code: "not_found"})
	s.ask(t, scene{as: office, do: "GET /api/orders/SMI-1/tickets.pdf?since=x", status: 422, code: "bad_value"})
	s.cutAll(t, "SMI-1")
	bay, door := s.ticketOf(t, "SMI-1", "Bay, left", "L"), s.ticketOf(t, "SMI-1", "Door", "S")
	s.visit(t, stations.Bench, "/station/joining?ticket="+bay, 200, "Revision 2 changed this ticket", "use the numbers here", `href="/t/`+bay+`/ticket.pdf"`)
	if page := s.visit(t, stations.Bench, "/station/joining?ticket="+door, 200); strings.Contains(page, "changed this ticket") {
		t.Error("a ticket that no revision has changed says that its paper may be older")
	}
	s.workOn(t, bay, "")
	s.visit(t, office, "/orders/SMI-1", 200, "Pull and reprint: the label of 1 ticket")
}
