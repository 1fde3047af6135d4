package server

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
)

// livedIn is a shop in which something of each kind has happened that an export has.
func livedIn(t *testing.T) *shop {
	t.Helper()
	s := openShop(t)
	office := stations.Office
	s.ask(t, scene{as: office, do: "PUT /api/conventions", send: fields{"bottom_hem": "5"}, status: 200})
	if err := s.KeepSettings(t.Context(), map[store.Setting]string{store.ShopName: "Saltmarsh", store.Address: "http://inn.test:8080", store.Zone: "America/New_York", store.Units: "in", store.Language: "es", store.PaymentTerms: "30 days", store.Paper: "a4", store.PrintSidemark: desk.Yes}); err != nil {
		t.Fatal(err)
	}
	s.ask(t, scene{as: office, do: "PUT /api/closed_days", send: fields{"weekdays": []string{"sun"}, "closed": []fields{{"from": "2026-12-24", "to": "2027-01-01", "name": "Christmas"}}}, status: 200})
	s.ask(t, scene{as: office, do: "PUT /api/stations", send: fields{"stations": []fields{{"station": "outside", "off": true}, {"station": "sewing", "name": "Soft goods"}}}, status: 200})
	s.ask(t, scene{as: office, do: "PUT /api/measuring", send: fields{"rows": []fields{{"route": "cartridge-tape", "station": "joining", "name": "flat_width", "when": "never"}}}, status: 200})
	s.addPerson(t, fields{"name": "Ada Brook", "floor": "lead", "sign_in": "office", "language": "es"})
	gone, _ := s.addPerson(t, fields{"name": "Tom Reed", "floor": "hand"})
	s.ask(t, scene{as: office, do: "POST /api/people/" + gone + "/set_aside", send: fields{}, status: 200})
	s.ask(t, scene{as: office, do: "PUT /api/cloths/reed", send: fields{"name": "Reed stripe", "price": fields{"amount": "18.50", "currency": "USD"}}, status: 201})
	s.ask(t, scene{as: office, do: "PUT /api/cloths/rede", send: fields{"name": "Rede stripe"}, status: 201})
	s.ask(t, scene{as: office, do: "POST /api/cloths/rede/set_aside", send: fields{}, status: 200})
	s.ask(t, scene{as: office, do: "POST /api/cloths/rede/merge", send: fields{"into": "reed"}, status: 200})

	panels := s.workThrough(t, s.release(t, "SMI-1"))
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: pricesOfTape("40.00", "18.00"), status: 200})
	for i, credited := range []bool{true, false, true} { // billed, credited, billed again
		draft := s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": []string{panels[i%2]}}, status: 201}).at("draft")
		number := s.ask(t, scene{as: office, do: "POST /api/invoices/" + draft + "/issue", status: 200}).at("number")
		if credited && i == 0 {
			note := s.ask(t, scene{as: office, do: "POST /api/invoices/" + number + "/credit", send: fields{"whole": true, "frees": true, "reason": "<too> dear & late"}, status: 201}).at("draft")
			s.ask(t, scene{as: office, do: "POST /api/invoices/" + note + "/issue", status: 200})
		}
	}
	s.ask(t, scene{as: office, do: "POST /api/orders", send: orderFile(t, "SMI-2"), status: 201})
	s.ask(t, scene{as: office, do: "PUT /api/orders/SMI-2", send: orderFile(t, "SMI-2", "finished_length: 95 1/2", "finished_length: 93"), status: 200})
	s.release(t, "SMI-3")
	s.cutAll(t, "SMI-3")
	s.ask(t, scene{as: office, do: "POST /api/orders", send: cushionOrder, status: 201})
	picture := s.ask(t, scene{as: office, do: "POST /api/pictures", send: string(photoOfCloth(t)), header: asJPEG, status: 201}).at("picture")
	s.ask(t, scene{as: office, do: "POST /api/orders/CUSH-1/own", send: fields{"text": "Torn hem", "person": "Ada Brook", "picture": picture}, status: 200})
	for _, end := range []string{"/end", ""} {
		count := "/api/floor_counts/" + s.ask(t, scene{as: stations.Bench, do: "POST /api/floor_counts", send: fields{"station": "joining"}, status: 201}).at("count")
		codes := []string{s.ticketOf(t, "SMI-3", "Bay, left", "L"), s.ticketOf(t, "SMI-3", "Bay, left", "R")}
		for _, code := range []string{slices.Min(codes), slices.Max(codes)} { // the last is shown first, though its code isn't
			s.clock.Add(1e9)
			s.ask(t, scene{as: stations.Bench, do: "POST " + count + "/seen", send: fields{"ticket": code}, status: 200})
		}
		if end != "" {
			s.ask(t, scene{as: stations.Bench, do: "POST " + count + end, status: 200})
		}
	}
	line := s.ask(t, scene{as: office, do: "GET /api/purchases?from=2026-01-01&to=2027-12-31", status: 200}).at("suppliers.0.lines.0.line")
	s.ask(t, scene{as: office, do: "POST /api/purchases/" + line, send: fields{"state": "ordered"}, status: 200})
	return s
}

// madeAt is the only thing in which two exports of a shop may differ.
var madeAt = regexp.MustCompile(`"made":"[^"]*"`)

func exportOf(t *testing.T, d *desk.Desk) string {
	t.Helper()
	var out bytes.Buffer
	if err := d.Export(t.Context(), &out); err != nil {
		t.Fatal(err)
	}
	return madeAt.ReplaceAllString(out.String(), `"made":""`)
}

// readBack reads an export into a new folder.
func readBack(t *testing.T, dir, export string, try bool) (desk.ReadBack, error) {
	t.Helper()
	return desk.ReadExport(t.Context(), dir, strings.NewReader(strings.Replace(export, `"made":""`, `"made":"2026-12-01T08:00:00Z"`, 1)), nil, try)
}

// TestExportIsReadBack: an export that is read into an empty folder makes a shop whose export is the same file, byte for byte but for
// the instant, and which works on; people come in by new badges alone; a shop in which something has happened is left alone.
func TestExportIsReadBack(t *testing.T) {
	s := livedIn(t)
	s.audited(t)
	export := exportOf(t, s.Desk)
	var parts map[string]json.RawMessage
	if err := json.Unmarshal([]byte(export), &parts); err != nil {
		t.Fatal(err)
	}
	for name, part := range parts {
		if len(part) < 3 && name != "format" && name != "made" {
			t.Errorf("nothing is in %s; the test has to have something of each", name)
		}
	}
	dir := t.TempDir()
	tried, err := readBack(t, dir, export, true)
	if err != nil {
		t.Fatal(err)
	}
	done, err := readBack(t, dir, export, false)
	if err != nil || done != tried || done.Orders != 4 || done.People != 2 || done.Pictures != 1 || int64(done.Events) != s.Store.Floor().Seq() {
		t.Fatalf("%+v, tried %+v: %v", done, tried, err)
	}
	again := openShopIn(t, dir)
	if got := exportOf(t, again.Desk); got != export {
		at := 0
		for at < min(len(got), len(export)) && got[at] == export[at] {
			at++
		}
		t.Fatalf("from letter %d on it says\n…%.300s\ninstead of\n…%.300s", at, got[max(0, at-100):], export[max(0, at-100):])
	}
	again.audited(t)
	people, err := again.Store.People(t.Context())
	if err != nil || len(people[0].Badge) != 9 || people[0].Badge == people[1].Badge || people[0].PIN+people[0].Passphrase != "" {
		t.Errorf("the people are %+v: %v", people, err)
	}
	again.workThrough(t, again.release(t, "SMI-4"))
	again.audited(t)
	if _, err := readBack(t, s.Store.Dir(), export, false); !isInUse(err) {
		t.Errorf("a shop that is served: %v", err)
	}
	if err := again.Store.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := readBack(t, dir, export, false); !errors.Is(err, store.ErrNotEmpty) {
		t.Errorf("a shop with something in it: %v", err)
	}
}

func isInUse(err error) bool {
	var inUse *store.InUseError
	return errors.As(err, &inUse)
}

// TestFirstShopIsReadBack: the shop of the first release, exported by this one, is read back as it is.
func TestFirstShopIsReadBack(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "tablehand.db"), unpacked(t, "tablehand.db.gz"), 0o600); err != nil {
		t.Fatal(err)
	}
	export, into := exportOf(t, openShopIn(t, dir).Desk), t.TempDir()
	if _, err := readBack(t, into, export, false); err != nil {
		t.Fatal(err)
	}
	if got := exportOf(t, openShopIn(t, into).Desk); got != export {
		t.Error("it is another")
	}
}

// TestExportThatCannotBeReadBack: what is no whole, sound export of a version that is known is refused with what is wrong and where,
// and leaves the folder as empty as it was.
func TestExportThatCannotBeReadBack(t *testing.T) {
	export := exportOf(t, livedIn(t).Desk)
	var whole struct{ Pictures []struct{ JPEG string } }
	if err := json.Unmarshal([]byte(export), &whole); err != nil {
		t.Fatal(err)
	}
	photo := whole.Pictures[0].JPEG
	other := base64.StdEncoding.EncodeToString([]byte("another"))
	without := func(part string) string {
		var parts map[string]json.RawMessage
		_ = json.Unmarshal([]byte(export), &parts)
		delete(parts, part)
		delete(parts, "format")
		text, _ := json.Marshal(parts)
		return `{"format":1,` + string(text[1:])
	}
	dir := t.TempDir()
	for name, tt := range map[string]struct {
		export string
		fault  desk.ReadBackFault
		where  string
	}{
		"nothing":              {"", desk.NoExport, ""},
		"no JSON":              {"order: SMI-1", desk.NoExport, ""},
		"a list":               {"[]", desk.NoExport, ""},
		"another object":       {`{"orders":[]}`, desk.OlderExport, ""},
		"an older one":         {strings.Replace(export, `"format":1,`, "", 1), desk.OlderExport, ""},
		"a newer one":          {strings.Replace(export, `"format":1`, `"format":2`, 1), desk.NewerExport, ""},
		"broken off":           {export[:len(export)/2], desk.NoExport, "*"},
		"without its end":      {strings.TrimSuffix(export, "]}\n"), desk.NoExport, "*"},
		"a part more":          {strings.Replace(export, `"format":1`, `"format":1,"devices":[]`, 1), desk.BadPart, "devices"},
		"a part twice":         {strings.Replace(export, `"format":1`, `"format":1,"made":"2026-12-01T08:00:00Z"`, 1), desk.BadPart, "made"},
		"without people":       {without("people"), desk.PartMissing, "people"},
		"a field that is none": {strings.Replace(export, `"set_aside"`, `"wages"`, 1), desk.BadPart, "people[0]"},
		"units that are none":  {strings.Replace(export, `"units":"in"`, `"units":"ell"`, 1), desk.BadPart, "shop.units"},
		"a convention":         {strings.Replace(export, `"value":"5in"`, `"value":"many"`, 1), desk.BadPart, "shop.conventions"},
		"what is measured":     {strings.Replace(export, `"when":"never"`, `"when":"at night"`, 1), desk.BadPart, "shop.measuring"},
		"a floor that is none": {strings.Replace(export, `"floor":"lead"`, `"floor":"cellar"`, 1), desk.BadPart, "people[0]"},
		"two of a name":        {strings.Replace(export, `"name":"Tom Reed"`, `"name":"ada brook"`, 1), desk.BadPart, "people[1]"},
		"a book's field":       {strings.Replace(export, `"fields":{"name":`, `"fields":{"nickname":`, 1), desk.BadPart, "books.cloths[0].nickname"},
		"a book that is none":  {strings.Replace(export, `"books":{"cloths"`, `"books":{"clothes"`, 1), desk.BadPart, "books.clothes[0].name"},
		"an entry's text":      {strings.Replace(export, `"name":"Reed stripe"`, `"name":"Reed"`, 1), desk.Unsound, ""},
		"an order's file":      {strings.Replace(export, "finished_length: 93", "finished_length: 99", 1), desk.Unsound, ""},
		"an event out of line": {strings.Replace(export, `"events":[{"seq":1`, `"events":[{"seq":2`, 1), desk.BadPart, "events[0]"},
		"events of nothing":    {regexp.MustCompile(`"action":"release"`).ReplaceAllString(export, `"action":"cancel"`), "*", "*"},
		"no such picture":      {strings.Replace(export, photo, other, 1), desk.Unsound, ""},
	} {
		t.Run(name, func(t *testing.T) {
			if tt.export == export {
				t.Fatal("the test changes nothing")
			}
			_, err := readBack(t, dir, tt.export, false)
			var refused *desk.ReadBackError
			if !errors.As(err, &refused) || tt.fault != "*" && refused.Fault != tt.fault || tt.where != "*" && refused.Where != tt.where {
				t.Errorf("got %v, want %s at %q", err, tt.fault, tt.where)
			}
		})
	}
	if _, err := readBack(t, dir, export, false); err != nil {
		t.Errorf("after all that, the whole: %v", err)
	}
}
