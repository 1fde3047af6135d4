package server

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/page/taking"
)

// typedPieces is an order without a window as it is typed into the form: a cushion, and a repair that goes its own way.
func typedPieces(id string) url.Values {
	return url.Values{
		"truth": {"form"}, "base": {""}, "order": {id}, "customer": {"Saltmarsh Inn"}, "due": {"2026-12-18"}, "units": {"in"},
		"fabrics.0.was": {"-1"}, "fabrics.0.id": {"canvas"}, "fabrics.0.use": {"face"}, "fabrics.0.usable_width": {"54"},
		"fabrics.0.bolts.0.was": {"-1"}, "fabrics.0.bolts.0.id": {"C1"}, "fabrics.0.bolts.0.length": {"12 yd"},
		"treatments.0.was": {"-1"}, "treatments.0.heading": {"cartridge-tape"}, "treatments.0.face": {"canvas"}, // nobody has typed into it
		"pieces.0.was": {"-1"}, "pieces.0.piece": {"cushion"}, "pieces.0.text": {"Bench seat"}, "pieces.0.sizes.width": {"22"}, "pieces.0.sizes.depth": {"20"},
		"pieces.0.fabrics.0.was": {"-1"}, "pieces.0.fabrics.0.fabric": {""}, "pieces.0.route.0.was": {"-1"}, "pieces.0.route.0.station": {""},
		"pieces.3.was": {"-1"}, "pieces.3.piece": {"repair"}, "pieces.3.text": {"Torn hem"}, "pieces.3.quantity": {"2"}, "pieces.3.notes": {"Don't cut the fringe"},
		"pieces.3.route.0.was": {"-1"}, "pieces.3.route.0.station": {"sewing"}, "pieces.3.route.1.was": {"-1"}, "pieces.3.route.1.station": {""},
		"pieces.3.route.4.was": {"-1"}, "pieces.3.route.4.station": {"packing"}, "pieces.3.outside.who": {"Marsh Upholstery"}, "pieces.3.outside.back": {"2026-12-10"},
		"pieces.5.was": {"-1"}, "pieces.5.piece": {"cushion"}, // nor into this one
	}
}

// TestPiecesAreTyped: what is typed into the fields of pieces is what the file's text says; an order needs no window.
func TestPiecesAreTyped(t *testing.T) {
	s := openShop(t)
	a := s.drafted(t, "/taking/draft", typedPieces("OWN-1"), 200)
	const want = `pieces:
  - piece: cushion
    text: Bench seat
    sizes: {width: 22, depth: 20}
  - piece: repair
    text: Torn hem
    quantity: 2
    route: [sewing, packing]
    outside: {who: Marsh Upholstery, back: 2026-12-10}
    notes: Don't cut the fringe
`
	if a.Errors != 0 || !strings.HasSuffix(a.Source, want) || strings.Contains(a.Source, "treatments:") {
		t.Errorf("%d errors: %+v\n%s", a.Errors, a.Fields, a.Source)
	}
	if a.Defaults["pieces.0.sizes.thickness"] != "0" || a.Defaults["pieces.0.quantity"] != "1" || a.Defaults["pieces.0.fabrics.0.cuts"] != "worked out" || a.Defaults["pieces.3.fabrics.0.cuts"] != "" {
		t.Errorf("what stands for what is left out: %v", a.Defaults)
	}
	for _, has := range []string{"Bench seat", "Torn hem", "canvas"} {
		if !strings.Contains(a.Results, has) {
			t.Errorf("the results lack %q\n%s", has, a.Results)
		}
	}
	if got := s.post(t, stations.Office, "/taking", with(typedPieces("OWN-1"), "do", "save"), false); got.status != 303 {
		t.Fatalf("saved: %d\n%s", got.status, got.body)
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders/OWN-1/workup", status: 200, has: map[string]string{"pieces.#": "2", "pieces.1.quantity": "2"}})
	s.visit(t, stations.Office, "/orders/OWN-1/edit", 200, `name="pieces.1.route.0.station"`, `value="Marsh Upholstery"`, `name="pieces.0.sizes.depth" value="20"`)
}

// TestPiecesTellProblemsAtTheirFields: each by the name that the page gave the field; what is right keeps its numbers.
func TestPiecesTellProblemsAtTheirFields(t *testing.T) {
	s := openShop(t)
	for _, tt := range []struct {
		name string
		set  []string
		at   string
		code string
	}{
		{"no name", []string{"pieces.3.text", ""}, "pieces.3.text", "missing_key"},
		{"no size", []string{"pieces.0.sizes.depth", ""}, "pieces.0.sizes.depth", "missing_key"},
		{"a size that is none", []string{"pieces.0.sizes.welt", "1x"}, "pieces.0.sizes.welt", "bad_length"},
		{"a size of another kind", []string{"pieces.0.sizes.drop", "9"}, "pieces.0.sizes.drop", "unknown_key"},
		{"a station twice, behind an empty one", []string{"pieces.3.route.4.station", "sewing"}, "pieces.3.route.4.station", "duplicate"},
		{"cut without cloth", []string{"pieces.3.route.0.station", "cutting"}, "pieces.3.route.0.station", "bad_value"},
		{"cloth that isn't cut", []string{"pieces.0.route.0.station", "sewing"}, "pieces.0.route.0.station", "bad_value"},
		{"cuts that are missing", []string{"pieces.3.fabrics.2.was", "-1", "pieces.3.fabrics.2.fabric", "canvas"}, "pieces.3.fabrics.2.cuts", "missing_key"},
		{"back without who", []string{"pieces.3.outside.who", ""}, "pieces.3.outside.who", "missing_key"},
		{"too wide for the cloth", []string{"pieces.0.sizes.width", "60", "pieces.0.sizes.depth", "60"}, "pieces.0.sizes.width", "piece_too_wide"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := s.drafted(t, "/taking/draft", with(typedPieces("OWN-1"), tt.set...), 200)
			if !slices.ContainsFunc(a.Fields, func(f taking.FieldProblem) bool { return f.Field == tt.at && f.Code == tt.code }) {
				t.Errorf("not told: %+v", a.Fields)
			}
			if !strings.Contains(a.Results, "Torn hem") && !strings.Contains(a.Results, "Bench seat") {
				t.Errorf("what is right isn't worked out\n%s", a.Results)
			}
		})
	}
	two := with(typedPieces("OWN-1"), "fabrics.1.was", "-1", "fabrics.1.id", "reed", "fabrics.1.use", "face", "fabrics.1.usable_width", "54")
	a := s.drafted(t, "/taking/draft", two, 200)
	if !slices.ContainsFunc(a.Fields, func(f taking.FieldProblem) bool {
		return f.Field == "pieces.0.fabrics.0.fabric" && f.Code == "missing_key"
	}) {
		t.Errorf("which of two cloths isn't asked: %+v", a.Fields)
	}
}

// TestPiecesWithoutScript: the form's buttons add a piece, a cloth of one, copy one and take one off.
func TestPiecesWithoutScript(t *testing.T) {
	s := openShop(t)
	press := func(do, has string, count int) {
		t.Helper()
		got := s.post(t, stations.Office, "/taking", with(typedPieces("OWN-1"), "do", do), false)
		if n := strings.Count(string(got.body), has); got.status != 200 || n != count {
			t.Errorf("%s: %d, %q %d times, want %d", do, got.status, has, n, count)
		}
	}
	press("check", `.sizes.thickness" value`, 3) // one of them a blank for the script
	press("add:pieces", `.sizes.thickness" value`, 4)
	press("copy:pieces.3", `value="Marsh Upholstery"`, 2)
	press("remove:pieces.3", `value="Marsh Upholstery"`, 0)
	press("add:pieces.0.fabrics", `name="pieces.0.fabrics.1.cuts"`, 0)
	press("check", `name="pieces.1.route.2.station"`, 1) // behind the last station is room for one more
}

// TestPiecesPassTheShopsStations: a piece's way is chosen among the stations that the shop has, by its names for them.
func TestPiecesPassTheShopsStations(t *testing.T) {
	s := openShop(t)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/stations", send: fields{"stations": []fields{{"station": "outside", "off": true}, {"station": "sewing", "name": "Soft goods"}}}, status: 200})
	page := s.visit(t, stations.Office, "/taking", 200, `<option value="sewing">Soft goods</option>`, `<option value="packing">`)
	if strings.Contains(page, `<option value="outside">`) {
		t.Error("a station that is off is offered")
	}
}

// TestOwnPiecesComeIn: a customer's own pieces come in before the release and after it, with a photograph and a tag whose code their
// tickets keep; the order's page, the bench and Today say what is still to come.
func TestOwnPiecesComeIn(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	file := strings.NewReplacer("text: Torn hem", "text: Torn hem, quantity: 2, notes: Don't cut the fringe").Replace(cushionOrder)
	s.ask(t, scene{as: office, do: "POST /api/orders", send: file, status: 201})
	s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1/own", status: 200, has: map[string]string{"pieces.#": "2", "pieces.0.text": "Torn hem", "pieces.1.copy": "2", "pieces.1.of": "2",
		"pieces.0.ticket": "", "pieces.0.received": ""}})
	s.visit(t, office, "/orders/CUSH-1", 200, "2 pieces still to come", "hasn&#39;t brought it yet")
	s.visit(t, office, "/", 200, "2 pieces still to come")
	own := "POST /api/orders/CUSH-1/own"
	s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1/own.pdf", status: 404, code: "not_found"})
	picture := s.ask(t, scene{as: office, do: "POST /api/pictures", send: string(photoOfCloth(t)), header: asJPEG, status: 201}).at("picture")
	s.play(t, []scene{
		{name: "not by a bench", as: stations.Bench, do: own, send: fields{"text": "Torn hem"}, status: 403, code: "forbidden"},
		{name: "no such piece", as: office, do: own, send: fields{"text": "Torn hem", "copy": 3}, status: 404, code: "not_found"},
		{name: "the shop's own", as: office, do: own, send: fields{"text": "Bench seat"}, status: 404, code: "not_found"},
		{name: "no such picture", as: office, do: own, send: fields{"text": "Torn hem", "picture": strings.Repeat("0", 64)}, status: 422, code: "unknown_picture"},
	})
	first := s.ask(t, scene{as: office, do: own, send: fields{"text": "Torn hem", "copy": 2, "person": "Ada Brook", "picture": picture, "key": "k1"}, status: 200,
		has: map[string]string{"received.by": "Ada Brook", "received.picture": picture, "copy": "2"}})
	tag := first.at("ticket")
	s.play(t, []scene{
		{name: "sent again", as: office, do: own, send: fields{"text": "Torn hem", "copy": 2, "person": "Ada Brook", "picture": picture, "key": "k1"}, status: 200, has: map[string]string{"ticket": tag}},
		{name: "there already", as: office, do: own, send: fields{"text": "Torn hem", "copy": 2}, status: 409, code: "already_received"},
		{name: "its tag", as: office, do: "GET /api/orders/CUSH-1/own.pdf?paper=tag", status: 200},
		{name: "not another's", as: office, do: "GET /api/orders/CUSH-1/own.pdf?ticket=AAAAAAAAA", status: 404, code: "not_found"},
	})
	s.visit(t, office, "/orders/CUSH-1", 200, "1 piece still to come", "taken in by Ada Brook", `src="/api/pictures/`+picture)
	if got := s.try(t, scene{as: office, do: "GET /t/" + tag}); got.status != 303 {
		t.Errorf("the tag of a piece that isn't released leads to %d", got.status)
	}
	s.audited(t)

	// A revision before the release changes what its line says and keeps what it is called.
	s.ask(t, scene{as: office, do: "PUT /api/orders/CUSH-1", send: strings.Replace(file, "tear: 9", "tear: 11", 1), status: 200})
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/release", send: fields{}, status: 200})
	codes := s.pieceCodes(t, "CUSH-1")
	if codes["Torn hem 2"] != tag || codes["Torn hem 1"] == tag {
		t.Errorf("the tag says %s, the tickets %v", tag, codes)
	}
	s.visit(t, stations.Bench, "/t/"+tag, 200, `src="/api/pictures/`+picture, "taken in by Ada Brook")
	s.visit(t, stations.Bench, "/t/"+codes["Torn hem 1"], 200, "hasn&#39;t brought it yet")

	form, kind := photoForm(t, photoOfCloth(t), map[string]string{"text": "Torn hem", "copy": "1"})
	if got := s.try(t, scene{as: office, do: "POST /orders/CUSH-1/received", send: form, header: map[string]string{"Content-Type": kind, "Accept": "text/html"}}); got.status != 303 {
		t.Errorf("by form: %d %s", got.status, got.body)
	}
	s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1/own", status: 200, has: map[string]string{"pieces.0.ticket": codes["Torn hem 1"], "pieces.0.received.picture": picture}})
	s.visit(t, office, "/orders/CUSH-1", 200, "All of them are here")
	s.audited(t)

	// What is made again is still the piece that came in.
	s.ask(t, scene{as: office, do: "POST /api/scans", send: fields{"ticket": tag, "action": "hold", "key": "held", "reason": "torn further"}, status: 200})
	again := s.ask(t, scene{as: office, do: "POST /api/scans", send: fields{"ticket": tag, "action": "remake", "key": "again", "reason": "torn further"}, status: 200}).at("new")
	if o := s.Store.Floor().Order("CUSH-1"); o.ReceiptOf(plan.Code(again)) == nil {
		t.Error("the piece that is made again hasn't come in")
	}
	s.ask(t, scene{as: office, do: own + "/take_back", send: fields{"text": "Torn hem", "copy": 2, "reason": "x"}, status: 409, code: "already_begun"})
	s.audited(t)
}

// TestReceiptIsTakenBack: what was put on record by mistake is taken off it by an event of its own, before the release and after it, by API
// and by form; then the piece is to come, and can come in. One that was worked on is here.
func TestReceiptIsTakenBack(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "POST /api/orders", send: cushionOrder, status: 201})
	own, back := "POST /api/orders/CUSH-1/own", "POST /api/orders/CUSH-1/own/take_back"
	wrong := fields{"text": "Torn hem", "reason": "another customer's", "person": "Ada Brook", "key": "k1"}
	s.ask(t, scene{as: office, do: back, send: wrong, status: 409, code: "not_received"})
	picture := s.ask(t, scene{as: office, do: "POST /api/pictures", send: string(photoOfCloth(t)), header: asJPEG, status: 201}).at("picture")
	tag := s.ask(t, scene{as: office, do: own, send: fields{"text": "Torn hem", "picture": picture}, status: 200}).at("ticket")
	gone := map[string]string{"ticket": "", "received": ""}
	s.play(t, []scene{
		{name: "not by a bench", as: stations.Bench, do: back, send: wrong, status: 403, code: "forbidden"},
		{name: "without a reason", as: office, do: back, send: fields{"text": "Torn hem"}, status: 422, code: "missing_key"},
		{name: "no such piece", as: office, do: back, send: fields{"text": "Torn hem", "copy": 2, "reason": "x"}, status: 404, code: "not_found"},
		{name: "taken back", as: office, do: back, send: wrong, status: 200, has: gone},
		{name: "sent again", as: office, do: back, send: wrong, status: 200, has: gone},
		{name: "twice", as: office, do: back, send: fields{"text": "Torn hem", "reason": "x"}, status: 409, code: "not_received"},
		{name: "its tag means nothing", as: office, do: "GET /api/orders/CUSH-1/own.pdf", status: 404, code: "not_found"},
		{name: "the list", as: office, do: "GET /api/orders/CUSH-1/own", status: 200, has: map[string]string{"pieces.0.ticket": "", "pieces.0.received": ""}},
	})
	s.visit(t, office, "/orders/CUSH-1", 200, "1 piece still to come")
	if got := s.try(t, scene{as: office, do: "GET /t/" + tag}); got.status != 404 {
		t.Errorf("the tag of a piece that isn't here leads to %d", got.status)
	}
	s.audited(t)

	now := s.ask(t, scene{as: office, do: own, send: fields{"text": "Torn hem"}, status: 200, has: map[string]string{"received.picture": ""}}).at("ticket")
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/release", send: fields{}, status: 200})
	if code := s.pieceCodes(t, "CUSH-1")["Torn hem 1"]; code != now || code == tag {
		t.Errorf("the ticket is %s, its tag says %s, the one taken back %s", code, now, tag)
	}
	s.visit(t, office, "/orders/CUSH-1", 200, "It isn&#39;t here")
	form := url.Values{"text": {"Torn hem"}, "copy": {"1"}}
	if got := s.post(t, office, "/orders/CUSH-1/received/back", form, false); got.status != 422 {
		t.Errorf("by form without a reason: %d", got.status)
	}
	form.Set("reason", "the wrong line")
	if got := s.post(t, office, "/orders/CUSH-1/received/back", form, false); got.status != 303 {
		t.Errorf("by form: %d %s", got.status, got.body)
	}
	page := s.visit(t, office, "/orders/CUSH-1?did=unreceived", 200, "1 piece still to come", "It is still to come.")
	if strings.Contains(page, "It isn&#39;t here") {
		t.Error("what isn't on record can be taken off it")
	}
	s.ask(t, scene{as: office, do: "GET /api/orders/CUSH-1/own", status: 200, has: map[string]string{"pieces.0.ticket": now, "pieces.0.received": ""}})
	s.visit(t, office, "/orders/CUSH-1", 200, "piece had not come in", "the wrong line")
	s.audited(t)

	s.ask(t, scene{as: office, do: own, send: fields{"text": "Torn hem"}, status: 200, has: map[string]string{"ticket": now}})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(now, "start", "outside"), status: 200})
	s.ask(t, scene{as: office, do: back, send: fields{"text": "Torn hem", "reason": "x"}, status: 409, code: "already_begun"})
	if page := s.visit(t, office, "/orders/CUSH-1", 200, "All of them are here"); strings.Contains(page, "It isn&#39;t here") {
		t.Error("a piece that is worked on can be taken off the record")
	}
	s.audited(t)
}
