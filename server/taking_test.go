package server

import (
	"encoding/json"
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/views/page/taking"
)

// typedOrder is an order as it is typed into the form: two windows, a hand-set heading and a sum for a length.
func typedOrder(id string) url.Values {
	return url.Values{
		"truth": {"form"}, "base": {""}, "order": {id}, "customer": {"Saltmarsh Inn"}, "due": {"2026-12-18"}, "units": {"in"},
		"fabrics.0.was": {"-1"}, "fabrics.0.id": {"reed"}, "fabrics.0.use": {"face"}, "fabrics.0.usable_width": {"54"},
		"fabrics.0.bolts.0.was": {"-1"}, "fabrics.0.bolts.0.id": {"R1"}, "fabrics.0.bolts.0.length": {"60 yd"},
		"tapes.0.was": {"-1"}, "tapes.0.id": {"cart-4"}, "tapes.0.period": {"6 1/2"}, "tapes.0.space": {"2 1/2"}, "tapes.0.height": {"4"}, "tapes.0.cords": {"3"},
		"treatments.0.was": {"-1"}, "treatments.0.window": {"Bay, left"}, "treatments.0.heading": {"cartridge-tape"}, "treatments.0.face": {"reed"},
		"treatments.0.face_width": {"8' 3"}, "treatments.0.finished_length": {"95 1/2"},
		"treatments.7.was": {"-1"}, "treatments.7.window": {"Kitchen"}, "treatments.7.heading": {"pinch-3"}, "treatments.7.face": {"reed"},
		"treatments.7.face_width": {"60"}, "treatments.7.hang.bearing_to_floor": {"98 1/4"}, "treatments.7.hang.heading_above_bearing": {"3/4"}, "treatments.7.hang.clearance": {"1/2"},
		"treatments.9.was": {"-1"}, "treatments.9.heading": {"cartridge-tape"}, // nobody has typed into it
	}
}

func with(form url.Values, pairs ...string) url.Values {
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return form
}

// draftAnswer is what the page's script gets for each change.
type draftAnswer struct {
	Own                                             string
	Source, Results, Sheet, Told, Refused, To, Ways string
	Form                                            bool
	Fields                                          []taking.FieldProblem
	Sums, Shorts, Defaults                          map[string]string
	Errors                                          int
}

// drafted asks what a form comes to as the page's script does.
func (s *shop) drafted(t testing.TB, path string, form url.Values, status int) (a draftAnswer) {
	t.Helper()
	got := s.post(t, stations.Office, path, form, true)
	if got.status != status {
		t.Fatalf("POST %s: %d, want %d\n%s", path, got.status, status, got.body)
	}
	if err := json.Unmarshal(got.body, &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// TestDraftFollowsTheForm: numbers, problems at their fields, sums and the file; nothing is stored.
func TestDraftFollowsTheForm(t *testing.T) {
	s := openShop(t)
	a := s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), "shown", "treatments.7"), 200)
	if a.Errors != 0 || !a.Form {
		t.Errorf("%+v", a)
	}
	for _, has := range []string{"Bay, left", "Kitchen", "<svg", "reed", `data-window="treatments.7"`} {
		if !strings.Contains(a.Results, has) {
			t.Errorf("the results lack %q\n%s", has, a.Results)
		}
	}
	if sum := a.Sums["treatments.7"]; !strings.Contains(sum, "98") || strings.Count(sum, "num") != 4 || a.Sums["treatments.0"] != "" {
		t.Errorf("the sums are %q", a.Sums)
	}
	if !strings.Contains(a.Defaults["treatments.7.return"], "3 1/2") || a.Defaults["treatments.7.fullness"] != "2.5" {
		t.Errorf("what stands for what is left out: %v", a.Defaults)
	}
	if !strings.Contains(a.Source, "    hang: {bearing_to_floor: 98 1/4, heading_above_bearing: 3/4, clearance: 1/2}\n") || strings.Contains(a.Source, "from:") {
		t.Errorf("the file:\n%s", a.Source)
	}
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders/SMI-1", status: 404})
	s.ask(t, scene{as: stations.Bench, do: "POST /taking/draft", send: "truth=form", status: 403})
}

// TestDraftTellsProblemsAtTheirFields: each by the name that the page gave the field; the windows that are right
// keep their numbers.
func TestDraftTellsProblemsAtTheirFields(t *testing.T) {
	s := openShop(t)
	for _, tt := range []struct {
		name, field, text string
		code, says        string
	}{
		{"a length that is none", "treatments.7.face_width", "6x", "bad_length", "Rod face width"},
		{"one that is missing", "treatments.7.face_width", "", "missing_key", "Still to fill in"},
		{"a fabric that isn't there", "treatments.7.face", "weed", "unknown_reference", "Face fabric"},
		{"a part of a sum", "treatments.7.hang.clearance", "-1", "negative", "Clear of the floor"},
		{"a bolt", "fabrics.0.bolts.0.length", "none", "bad_length", "Length on it"},
		{"the order's own", "order", "SMI 1", "bad_value", "name"},
		{"found by the calculation", "treatments.7.face_width", "2", "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), tt.field, tt.text), 200)
			found := false
			for _, f := range a.Fields {
				found = found || f.Field == tt.field && f.Severity == "error" && (tt.code == "" || f.Code == tt.code) && strings.Contains(f.Text, tt.says)
			}
			if !found || a.Errors == 0 {
				t.Errorf("no error at %s: %+v", tt.field, a.Fields)
			}
			if !strings.Contains(a.Results, "<svg") {
				t.Errorf("the window that is right has lost its numbers\n%s", a.Results)
			}
		})
	}
}

// TestDraftTellsOfTheWindowsThatAreLeft: what the calculation finds is told at its own window, though one before it
// is left out.
func TestDraftTellsOfTheWindowsThatAreLeft(t *testing.T) {
	s := openShop(t)
	a := s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), "treatments.0.face_width", "", "treatments.7.heading", "cartridge-tape"), 200)
	var told []string
	for _, f := range a.Fields {
		if f.Code == "stitch_below_fold" || f.Code == "missing_key" {
			told = append(told, f.Field)
		}
	}
	if want := "[treatments.0.face_width treatments.7.tape]"; fmt.Sprint(told) != want {
		t.Errorf("told at %v, want %s", told, want)
	}
}

// TestDraftTellsWhatIsShort: beside the bolt of the lot that is wanted and in the bar, which calls nothing well until the cloth
// does. Bay's pair takes 5 cuts of 121½ in out of plain cloth of the same width, 3⅜ yd each; of 14 yd four come.
func TestDraftTellsWhatIsShort(t *testing.T) {
	s := openShop(t)
	bay := with(typedOrder("SMI-1"), "treatments.0.face_width", "84", "treatments.0.finished_length", "105 1/2", "treatments.0.return", "3 1/2",
		"treatments.0.overlap", "6", "fabrics.0.usable_width", "54", "fabrics.0.bolts.0.lot", "9", "fabrics.0.bolts.0.length", "14 yd",
		"fabrics.0.bolts.4.was", "-1", "fabrics.0.bolts.4.id", "R2", "fabrics.0.bolts.4.length", "1 yd", "fabrics.0.bolts.4.lot", "10")
	for name := range bay {
		if strings.HasPrefix(name, "treatments.7.") {
			bay.Del(name)
		}
	}
	a := s.drafted(t, "/taking/draft", bay, 200)
	const says = "4 of 5 cuts fit; order one more cut, 3 3⁄8 yd, of lot 9"
	beside := plainly(a.Shorts["fabrics.0.bolts.0"])
	if a.Errors != 0 || len(a.Shorts) != 1 || !strings.Contains(beside, says) {
		t.Errorf("beside the bolt: %d %q", a.Errors, a.Shorts)
	}
	if told := plainly(a.Told); !strings.Contains(told, "reed: "+says+". Ready to save.") || strings.Contains(told, "Nothing is wrong") {
		t.Errorf("the bar says %q", told)
	}
	a = s.drafted(t, "/taking/draft", with(bay, "due", "soon"), 200)
	if told := plainly(a.Told); !strings.Contains(told, "1 to fill in or fix") || !strings.Contains(told, "reed: "+says+".") || strings.Contains(told, "Ready to save") {
		t.Errorf("with a slip elsewhere the bar says %q", told)
	}
	a = s.drafted(t, "/taking/draft", with(bay, "due", "", "fabrics.0.bolts.0.length", "17 yd"), 200)
	if told := plainly(a.Told); len(a.Shorts) != 0 || told != "Nothing is wrong. Ready to save." {
		t.Errorf("with cloth enough: %q %q", a.Shorts, told)
	}
	a = s.drafted(t, "/taking/draft", with(bay, "treatments.0.face_width", "x"), 200)
	if !strings.Contains(a.Told, `href="#f-treatments.0.face_width"`) || plainly(a.Told) != "1 to fill in or fix" {
		t.Errorf("with a slip: %q", a.Told)
	}
}

// plainly is a piece of a page as it reads.
func plainly(html string) string {
	text := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(strings.ReplaceAll(html, "\n", " "), "")
	return strings.Join(strings.Fields(strings.TrimPrefix(strings.TrimSpace(text), "‖")), " ")
}

// TestDraftOffersEmptyParts: a fabric without a bolt and an order without a tape have an empty one to type into, which isn't
// written to the file; another bolt is opened by the address that a shortage leads to.
func TestDraftOffersEmptyParts(t *testing.T) {
	s := openShop(t)
	s.visit(t, stations.Office, "/taking", 200, `name="fabrics.0.bolts.0.id" value=""`, `name="tapes.0.id" value=""`)
	blank := with(typedOrder("SMI-1"), "fabrics.0.bolts.3.was", "-1", "fabrics.0.bolts.3.id", "", "fabrics.4.was", "-1", "fabrics.4.use", "face",
		"fabrics.4.bolts.0.was", "-1", "fabrics.4.bolts.0.id", "", "tapes.2.was", "-1", "tapes.2.id", "")
	if a := s.drafted(t, "/taking/draft", blank, 200); a.Errors != 0 || strings.Count(a.Source, "id:") != 3 {
		t.Errorf("%d errors\n%s", a.Errors, a.Source)
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMI-4"), status: 201})
	page := s.visit(t, stations.Office, "/orders/SMI-4/edit", 200)
	if strings.Contains(page, `name="fabrics.0.bolts.1.id"`) || strings.Contains(page, `name="tapes.1.id"`) {
		t.Error("an order that has bolts and a tape is offered others")
	}
	page = s.visit(t, stations.Office, "/orders/SMI-4/edit?bolt=1", 200, `name="fabrics.0.bolts.1.id" value=""`)
	if strings.Contains(page, `name="fabrics.1.bolts.1.id"`) {
		t.Error("another fabric is offered a bolt too")
	}
}

// TestDraftOfAFile: the file that is typed comes back as a form; one that is no order as its problems.
func TestDraftOfAFile(t *testing.T) {
	s := openShop(t)
	file := "# by the yard\n" + orderFile(t, "SMI-2", "conventions: {}", "conventions: {overlap_basis: past_centre}")
	a := s.drafted(t, "/taking/draft", url.Values{"truth": {"file"}, "source": {strings.ReplaceAll(file, "\n", "\r\n")}}, 200)
	if !a.Form || !strings.Contains(a.Sheet, `value="SMI-2"`) || !strings.Contains(a.Sheet, "past_centre") || a.Source != file {
		t.Errorf("%+v", a)
	}
	a = s.drafted(t, "/taking/draft", url.Values{"truth": {"file"}, "source": {"order: [SMI-2"}}, 200)
	if a.Form || a.Sheet != "" || a.Errors != 1 || !strings.Contains(a.Results, "Line 1") {
		t.Errorf("%+v", a)
	}
}

// TestOwnConventionsAreFields: an order's own conventions are fields of its form, are put into a new order as the customer's book has
// them, and go when they are emptied; what is wrong with one is told at it.
func TestOwnConventionsAreFields(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	own := func(changes ...string) url.Values {
		return with(with(typedOrder("SMI-1"), "conventions.bottom_hem", "5", "conventions.widths_rounding", "up_to_whole"), changes...)
	}
	a := s.drafted(t, "/taking/draft", own(), 200)
	if !strings.Contains(a.Own, `name="conventions.bottom_hem" value="5"`) || !strings.Contains(a.Own, `<option value="up_to_whole" selected>`) ||
		!strings.Contains(a.Source, "bottom_hem: 5") || !strings.Contains(a.Source, "widths_rounding: up_to_whole") {
		t.Fatalf("%s\n%s", a.Own, a.Source)
	}
	a = s.drafted(t, "/taking/draft", own("conventions.bottom_hem", "five"), 200)
	if a.Errors != 1 || len(a.Fields) == 0 || a.Fields[0].Field != "conventions.bottom_hem" {
		t.Errorf("%d errors, %+v", a.Errors, a.Fields)
	}
	s.drafted(t, "/taking", own("do", "save"), 200)
	s.ask(t, scene{as: office, do: "GET /api/orders/SMI-1/workup", status: 200, has: map[string]string{"treatments.0.panels.0.plain_length": "113.5in", "treatments.0.panels.0.widths": "3"}})
	s.visit(t, office, "/orders/SMI-1/edit", 200, `name="conventions.bottom_hem" value="5"`)
	holds(t, "emptied, without script", s.post(t, office, "/taking", own("do", "check", "base", "conventions: {bottom_hem: 5}\n", "conventions.bottom_hem", "", "conventions.widths_rounding", ""), false), 200, nil)
	a = s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), "base", "conventions:\n  bottom_hem: 5\n  edge_clear: 3\n", "conventions.bottom_hem", ""), 200)
	if strings.Contains(a.Source, "bottom_hem: 5") || !strings.Contains(a.Source, "edge_clear: 3") || !strings.Contains(a.Own, "conventions.edge_clear") {
		t.Errorf("one emptied, one that the form had no field for: %s", a.Source)
	}
}

// TestTakeTyped saves by the script, and without one by the form alone.
func TestTakeTyped(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.visit(t, office, "/taking", 200, `name="order"`, `name="treatments.0.window"`, `name="fabrics.0.id"`, `data-new="bolts"`)
	if a := s.drafted(t, "/taking", with(typedOrder("SMI-1"), "do", "save", "treatments.7.face_width", "x"), 422); a.To != "" || a.Errors != 1 {
		t.Errorf("%+v", a)
	}
	if a := s.drafted(t, "/taking", with(typedOrder("SMI-1"), "do", "save"), 200); a.To != "/orders/SMI-1?did=taken" {
		t.Errorf("%+v", a)
	}
	s.ask(t, scene{as: office, do: "GET /api/orders/SMI-1", status: 200, has: map[string]string{"customer": "Saltmarsh Inn", "due": "2026-12-18"}})
	if a := s.drafted(t, "/taking", with(typedOrder("SMI-1"), "do", "save"), 409); a.Refused == "" {
		t.Errorf("taken twice: %+v", a)
	}

	page := holds(t, "without script", s.post(t, office, "/taking", with(typedOrder("SMI-3"), "do", "save", "treatments.0.finished_length", "95 x"), false), 422,
		[]string{`value="95 x"`, `value="SMI-3"`, `aria-invalid="true"`, "98"})
	if beside := regexp.MustCompile(`(?s)name="treatments.0.finished_length".*?</div>`).FindString(page); !strings.Contains(beside, "isn&#39;t a length") {
		t.Errorf("not told at the field: %s", beside)
	}
	if got := s.post(t, office, "/taking", with(typedOrder("SMI-3"), "do", "save"), false); got.status != 303 || got.header.Get("Location") != "/orders/SMI-3?did=taken" {
		t.Errorf("%d %s", got.status, got.header.Get("Location"))
	}
	s.visit(t, office, "/orders/SMI-3", 200, `<p class="sum">`, `href="/orders/SMI-3/edit"`)
}

// TestFormWithoutScript adds, copies and removes parts by their buttons; what was typed stays.
func TestFormWithoutScript(t *testing.T) {
	s := openShop(t)
	press := func(do string, says ...string) string {
		t.Helper()
		return holds(t, do, s.post(t, stations.Office, "/taking", with(typedOrder("SMI-1"), "do", do), false), 200, says)
	}
	windows := func(page string) int { return strings.Count(page, `class="group treatments"`) - 1 } // less the blank one
	if page := press("check", `value="Bay, left"`, `value="98 1/4"`, "<svg"); windows(page) != 2 {
		t.Errorf("%d windows", windows(page))
	}
	if page := press("add:treatments", `name="treatments.2.window"`); windows(page) != 3 {
		t.Errorf("%d windows", windows(page))
	}
	if page := press("copy:treatments.7", `name="treatments.2.window" value="Kitchen"`); windows(page) != 3 {
		t.Errorf("%d windows", windows(page))
	}
	if page := press("remove:treatments.0", `name="treatments.0.window" value="Kitchen"`); windows(page) != 1 || strings.Contains(page, "Bay, left") {
		t.Errorf("%d windows", windows(page))
	}
	press("add:fabrics.0.bolts", `name="fabrics.0.bolts.1.id"`)
	press("remove:fabrics.0.bolts.0")
	press("remove:fabrics.9.bolts.0")
	press("add:customers")
	unreadable := s.post(t, stations.Office, "/taking", url.Values{"do": {"file"}, "source": {"order: [SMI-1"}}, false)
	holds(t, "a file that is no order", unreadable, 200, []string{"can&#39;t be shown as a form", "order: [SMI-1"})
}

// TestEditKeepsWhatTheFormDoesNotShow: an order with comments and conventions is changed by the form.
func TestEditKeepsWhatTheFormDoesNotShow(t *testing.T) {
	s := openShop(t)
	file := "# Ring first\n" + orderFile(t, "SMI-4", "conventions: {}", "conventions:\n  edge_clear: 3 # theirs")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 201})
	page := s.visit(t, stations.Office, "/orders/SMI-4/edit", 200, `action="/orders/SMI-4/edit"`, "readonly", "edge_clear", "# Ring first")
	form := url.Values{"do": {"save"}}
	for _, m := range regexp.MustCompile(`<input [^>]*name="([^"]+)"[^>]*value="([^"]*)"`).FindAllStringSubmatch(strings.Split(page, "<template")[0], -1) {
		form.Set(m[1], strings.NewReplacer("&#34;", `"`, "&#39;", "'").Replace(m[2]))
	}
	for _, m := range regexp.MustCompile(`(?s)<select [^>]*name="([^"]+)".*?<option value="([^"]*)" selected`).FindAllStringSubmatch(strings.Split(page, "<template")[0], -1) {
		form.Set(m[1], m[2])
	}
	form.Set("base", file)
	form.Set("treatments.0.notes", "Rod is up, measured twice")
	form.Set("customer", "Saltmarsh Inn & Daughter")
	a := s.drafted(t, "/orders/SMI-4/edit", form, 200)
	if a.To != "/orders/SMI-4?did=revised" {
		t.Fatalf("%+v", a)
	}
	page = s.visit(t, stations.Office, "/orders/SMI-4/edit", 200)
	for _, kept := range []string{"# Ring first", "edge_clear: 3 # theirs", "customer: Saltmarsh Inn &amp; Daughter"} {
		if !strings.Contains(page, kept) {
			t.Errorf("%q is lost\n%s", kept, page)
		}
	}
	if a := s.drafted(t, "/orders/SMI-4/edit", form, 409); a.Refused == "" {
		t.Errorf("two people changed the same revision: %+v", a)
	}
	s.visit(t, stations.Office, "/orders/SMI-9/edit", 404)

	s.release(t, "SMI-5")
	s.visit(t, stations.Office, "/orders/SMI-5", 200, "/orders/SMI-5/edit")
	s.visit(t, stations.Office, "/orders/SMI-5/edit", 200, `data-review="/orders/SMI-5/revise"`)
	form.Set("order", "SMI-5")
	if a := s.drafted(t, "/orders/SMI-5/edit", form, 409); !strings.Contains(a.Refused, "on the floor") {
		t.Errorf("an order on the floor is changed unseen: %+v", a)
	}
}

// BenchmarkDraft measures what a key costs the server, for orders of 1, 10 and 100 windows: all right, and with the
// last one half typed.
func BenchmarkDraft(b *testing.B) {
	for _, n := range []int{1, 10, 100} {
		for name, length := range map[string]string{"right": "95 1/2", "half": ""} {
			b.Run(fmt.Sprintf("%d/%s", n, name), func(b *testing.B) {
				s := openShop(b)
				form := typedOrder("SMI-1")
				for i := range n {
					for _, key := range []string{"was", "window", "heading", "face", "face_width", "finished_length"} {
						form.Set(fmt.Sprintf("treatments.%d.%s", i, key), form.Get("treatments.0."+key))
					}
				}
				form.Set(fmt.Sprintf("treatments.%d.finished_length", n-1), length)
				for b.Loop() {
					s.drafted(b, "/taking/draft", form, 200)
				}
			})
		}
	}
}

// TestFlawsAreFields: a flaw is typed at its bolt, added and removed there, and what is wrong with it stands at its field.
func TestFlawsAreFields(t *testing.T) {
	s := openShop(t)
	flawed := func() url.Values {
		return with(typedOrder("SMI-1"), "fabrics.0.bolts.0.flaws.0.was", "-1", "fabrics.0.bolts.0.flaws.0.from", "7 yd", "fabrics.0.bolts.0.flaws.0.to", "7 yd 3 in")
	}
	if a := s.drafted(t, "/taking/draft", flawed(), 200); a.Errors != 0 || !strings.Contains(a.Source, "flaws: [{from: 7 yd, to: 7 yd 3 in}]") {
		t.Errorf("%d errors in\n%s", a.Errors, a.Source)
	}
	a := s.drafted(t, "/taking/draft", with(flawed(), "fabrics.0.bolts.0.flaws.0.to", "8 x"), 200)
	if len(a.Fields) == 0 || a.Fields[0].Field != "fabrics.0.bolts.0.flaws.0.to" || a.Errors != 1 {
		t.Errorf("%+v", a.Fields)
	}
	page := holds(t, "one more", s.post(t, stations.Office, "/taking", with(flawed(), "do", "add:fabrics.0.bolts.0.flaws"), false), 200, nil)
	if !strings.Contains(page, `name="fabrics.0.bolts.0.flaws.1.from"`) || !strings.Contains(page, `data-new="flaws"`) {
		t.Error("no field for another flaw")
	}
	page = holds(t, "one less", s.post(t, stations.Office, "/taking", with(flawed(), "do", "remove:fabrics.0.bolts.0.flaws.0"), false), 200, nil)
	if strings.Contains(page, `name="fabrics.0.bolts.0.flaws.0.from"`) {
		t.Error("the flaw is still there")
	}
}

// TestProblemsOfFieldsAreInWords: what is wrong with a choice is told by the words that the form shows, not by those of the file.
func TestProblemsOfFieldsAreInWords(t *testing.T) {
	s := openShop(t)
	for _, tt := range []struct {
		key, value  string
		says, hides string
	}{
		{"treatments.0.heading", "pinch3", "double pinch pleats, triple pinch pleats", "pinch-2"},
		{"treatments.0.draw", "diagonal", "one way, stacks left", "one_way_left"},
		{"treatments.0.finished_width", "40", "Rod face width", "face_width"},
		{"treatments.0.motif", "askew", "one in the middle", "centred_on"},
	} {
		a := s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), tt.key, tt.value), 200)
		i := slices.IndexFunc(a.Fields, func(p taking.FieldProblem) bool { return p.Field == tt.key })
		if i < 0 || !strings.Contains(a.Fields[i].Text, tt.says) || strings.Contains(a.Fields[i].Text, tt.hides) {
			t.Errorf("%s %s: %+v", tt.key, tt.value, a.Fields)
		}
	}
}

// TestBandsAreFields: a band is typed at its window, added and removed there, and what is wrong with it stands at its field.
func TestBandsAreFields(t *testing.T) {
	s := openShop(t)
	banded := func(more ...string) url.Values {
		const band = "treatments.0.bands.0."
		return with(with(typedOrder("SMI-1"), band+"was", "-1", band+"edge", "leading", band+"width", "3", band+"fabric", "reed"), more...)
	}
	a := s.drafted(t, "/taking/draft", banded("fabrics.0.horizontal_repeat", "13", "treatments.0.motif", "mirrored", "fabrics.0.mass", "9.5 oz/yd2"), 200)
	for _, want := range []string{"- {edge: leading, width: 3, fabric: reed}", "horizontal_repeat: 13", "motif: mirrored", "mass: 9.5 oz/yd2"} {
		if !strings.Contains(a.Source, want) {
			t.Errorf("no %s in\n%s", want, a.Source)
		}
	}
	if a.Errors != 0 {
		t.Errorf("%+v", a.Fields)
	}
	a = s.drafted(t, "/taking/draft", banded("treatments.0.bands.0.width", "-3"), 200)
	if len(a.Fields) == 0 || a.Fields[0].Field != "treatments.0.bands.0.width" || a.Errors != 1 {
		t.Errorf("%+v", a.Fields)
	}
	page := holds(t, "one more", s.post(t, stations.Office, "/taking", banded("do", "add:treatments.0.bands"), false), 200, nil)
	if !strings.Contains(page, `name="treatments.0.bands.1.width"`) || !strings.Contains(page, `data-new="bands"`) {
		t.Error("no field for another band")
	}
	page = holds(t, "one less", s.post(t, stations.Office, "/taking", banded("do", "remove:treatments.0.bands.0"), false), 200, nil)
	if strings.Contains(page, `name="treatments.0.bands.0.width"`) {
		t.Error("the band is still there")
	}
}

// TestBareBoltIsAsked: a bolt's bare number in an order by inches is asked about, with both answers to press; one with its unit, one
// that can't be yards, and one in another unit isn't.
func TestBareBoltIsAsked(t *testing.T) {
	s := openShop(t)
	for _, tt := range []struct {
		length, units string
		asked         bool
	}{{"40", "in", true}, {"40.5", "in", true}, {"40 yd", "in", false}, {"40 in", "in", false}, {"1440", "in", false}, {"x", "in", false}, {"4000", "mm", false}} {
		a := s.drafted(t, "/taking/draft", with(typedOrder("SMI-1"), "units", tt.units, "fabrics.0.bolts.0.length", tt.length), 200)
		i := slices.IndexFunc(a.Fields, func(p taking.FieldProblem) bool { return p.Code == "bolt_unit" })
		if (i >= 0) != tt.asked {
			t.Errorf("%s in an order by %s: %+v", tt.length, tt.units, a.Fields)
		} else if tt.asked && (a.Fields[i].Field != "fabrics.0.bolts.0.length" || !slices.Equal(a.Fields[i].Offers, []taking.Offer{{Value: tt.length + " yd", Text: tt.length + " yd"}, {Value: tt.length + " in", Text: tt.length + " in"}})) {
			t.Errorf("%s: %+v", tt.length, a.Fields[i])
		}
	}
}
