package page

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"tablehand/engine/billing"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/backup"
	"tablehand/views/page/bench"
	"tablehand/views/page/board"
	"tablehand/views/page/failure"
	"tablehand/views/page/find"
	"tablehand/views/page/home"
	"tablehand/views/page/invoice"
	"tablehand/views/page/orders"
	"tablehand/views/page/prices"
	"tablehand/views/page/ready"
	"tablehand/views/page/screen"
	"tablehand/views/page/search"
	"tablehand/views/page/signin"
)

// samples renders every page, each in the states that look different.
func samples(v *views.Views) map[string]func(io.Writer) error {
	late, held, back, work := pieces()[0], pieces()[1], pieces()[2], pieces()[3]
	station := func(open *bench.OpenTicket, role stations.Role) func(io.Writer) error {
		return func(w io.Writer) error {
			return v.Render(w, bench.StationPage{Frame: frame("/station/tape", role), Station: plan.Tape, AtWork: []views.Piece{work},
				Queue: []views.Piece{late, back}, Held: []views.Piece{held}, Coming: 7, Open: open})
		}
	}
	tried := openTicket(stations.AtWork, stations.Bench)
	tried.Typed["drop"], tried.Ticked["tape_steamed"] = "1/4", true
	tried.Missing["dots"], tried.Missing["pockets_up"] = true, true
	tried.Says = &views.Said{Refused: true, Text: "Two things are still to do."}
	elsewhere := openTicket(stations.Ready, stations.Bench)
	elsewhere.Here, elsewhere.CanUndo, elsewhere.Elsewise = false, true, plan.PullUp
	uncut := openTicket(stations.Waiting, stations.Bench)
	uncut.Step.Station, uncut.CutAt = plan.Cutting, []plan.Code{"8C4D2E6F9"}
	finished := openTicket(stations.Finished, stations.Bench)
	finished.Step, finished.Here = nil, false
	tickets := orderPage()
	tickets.Tickets, tickets.State = pieces(), stations.OrderReleased
	short := orderPage()
	short.Problems[0].Code = "fabric_short"
	counts := func() (all []home.StationCount) {
		for i, s := range plan.Stations() {
			all = append(all, home.StationCount{Station: s, Ready: i * 3 % 7, AtWork: i % 2, Held: i % 3 / 2})
		}
		return all
	}()
	return map[string]func(io.Writer) error{
		"signin": func(w io.Writer) error {
			return v.Render(w, signin.Page{Frame: frame("/sign-in", ""), Next: "/board"})
		},
		"backup": func(w io.Writer) error {
			return v.Render(w, backup.Page{Frame: frame("/check/backup", stations.Office), File: "tablehand-20261201T080000.000000.db"})
		},
		"backup-wrong": func(w io.Writer) error {
			return v.Render(w, backup.Page{Frame: frame("/check/backup", stations.Office), File: "tablehand-20261201T080000.000000.db", Wrong: true})
		},
		"signin-wrong": func(w io.Writer) error {
			return v.Render(w, signin.Page{Frame: frame("/sign-in", ""), Wrong: true})
		},
		"home": func(w io.Writer) error {
			return v.Render(w, home.Page{Frame: frame("/", stations.Office), Stations: counts, Orders: 12, Late: 1, Held: 3, Billable: 14})
		},
		"home-bench": func(w io.Writer) error {
			return v.Render(w, home.Page{Frame: frame("/", stations.Bench), Stations: counts})
		},
		"home-empty": func(w io.Writer) error {
			return v.Render(w, home.Page{Frame: frame("/", stations.Office), Stations: []home.StationCount{{Station: plan.Tape}}})
		},
		"today": func(w io.Writer) error { return v.Render(w, todayPage(counts)) },
		"search": func(w io.Writer) error {
			return v.Render(w, search.Page{Frame: frame("/search", stations.Office), Asked: "bay", Panels: pieces(), MorePanels: 3,
				Orders:   []views.OrderRow{{ID: "SMI-015", Customer: "Saltmarsh Inn", Due: "2026-12-14", State: stations.OrderReleased, Late: true, Panels: 8, Held: 1}},
				Invoices: []views.InvoiceRow{{ID: "1", Issued: true, Customer: "Lantern House", Panels: 3, Total: usd(25500)}, {ID: "D-1", Panels: 1}}})
		},
		"search-nothing": func(w io.Writer) error {
			return v.Render(w, search.Page{Frame: frame("/search", stations.Bench), Asked: "kelp"})
		},
		"orders": func(w io.Writer) error {
			return v.Render(w, orders.Page{Frame: frame("/orders", stations.Office), Orders: []views.OrderRow{
				{ID: "SMI-015", Customer: "Saltmarsh Inn", Due: "2026-12-14", State: stations.OrderReleased, Late: true, Panels: 8, Finished: 1, Held: 1},
				{ID: "REE-108", Customer: "Reed & Daughter, Upholsterers and Drapers", State: stations.OrderTaken}}})
		},
		"orders-empty": func(w io.Writer) error {
			return v.Render(w, orders.Page{Frame: frame("/orders", stations.Office)})
		},
		"orders-wrong": func(w io.Writer) error {
			return v.Render(w, orders.Page{Frame: frame("/orders", stations.Office), Uploaded: uploaded()})
		},
		"rules":            func(w io.Writer) error { return v.Render(w, rulesPage()) },
		"order":            func(w io.Writer) error { return v.Render(w, orderPage()) },
		"order-short":      func(w io.Writer) error { return v.Render(w, short) },
		"order-released":   func(w io.Writer) error { return v.Render(w, tickets) },
		"station":          station(openTicket(stations.Ready, stations.Bench), stations.Bench),
		"station-work":     station(openTicket(stations.AtWork, stations.Bench), stations.Bench),
		"station-tried":    station(tried, stations.Bench),
		"station-held":     station(outOfTolerance(stations.Bench), stations.Bench),
		"station-accept":   station(outOfTolerance(stations.Office), stations.Office),
		"station-cutting":  station(cuttingTicket(stations.Bench), stations.Bench),
		"station-none":     station(nil, stations.Bench),
		"station-uncut":    station(uncut, stations.Bench),
		"station-finished": station(finished, stations.Bench),
		"station-empty": func(w io.Writer) error {
			return v.Render(w, bench.StationPage{Frame: frame("/station/tape", stations.Bench), Station: plan.Tape})
		},
		"ticket": func(w io.Writer) error {
			return v.Render(w, bench.TicketPage{Frame: frame("/t/7K3M9Q2T5", stations.Bench), Open: *elsewhere})
		},
		"board": func(w io.Writer) error {
			return v.Render(w, board.Page{Frame: frame("/board", stations.Office), Stations: plan.Stations(), Rods: rods(v), Orders: 9, Late: 1, AtRisk: 2, Held: 2,
				Finished: []views.OrderRow{{ID: "TID-007", Customer: "Tidemill Theatre", Due: "2026-12-10", State: stations.OrderFinished, Panels: 8, Finished: 8}},
				Filter:   board.Filter{Find: "inn", Station: plan.Tape, State: "late"}})
		},
		"board-empty": func(w io.Writer) error {
			return v.Render(w, board.Page{Frame: frame("/board", stations.Office)})
		},
		"screen": func(w io.Writer) error {
			return v.Render(w, screen.Page{Frame: frame("/screen", stations.Screen), Lanes: lanes(), Late: 1, Held: 1})
		},
		"screen-empty": func(w io.Writer) error {
			return v.Render(w, screen.Page{Frame: frame("/screen", stations.Screen)})
		},
		"ready": func(w io.Writer) error {
			return v.Render(w, ready.Page{Frame: frame("/ready", stations.Office), NoPrices: true,
				Customers: []ready.Customer{{Customer: "Saltmarsh Inn", Panels: []ready.Panel{{Piece: work, Price: usd(8500)}, {Piece: back}}}},
				Invoices:  []views.InvoiceRow{{ID: "1", Issued: true, Customer: "Lantern House", Panels: 3, Total: usd(25500)}, {ID: "D-1", Customer: "Lantern House", Panels: 1}}})
		},
		"ready-empty": func(w io.Writer) error {
			return v.Render(w, ready.Page{Frame: frame("/ready", stations.Office)})
		},
		"invoice-draft": func(w io.Writer) error {
			return v.Render(w, invoice.Page{Frame: frame("/invoices/D-1", stations.Office), Invoice: billed("")})
		},
		"invoice-issued": func(w io.Writer) error {
			return v.Render(w, invoice.Page{Frame: frame("/invoices/1", stations.Office), Invoice: billed("1"), Total: usd(8500)})
		},
		"prices": func(w io.Writer) error {
			return v.Render(w, prices.Page{Frame: frame("/prices", stations.Office), Prices: billing.PriceList{Currency: "USD",
				Rows: []billing.PriceRow{{Heading: "cartridge-tape", Panel: "40.00", Width: "18.00"}}}, Said: &views.Said{Text: "The prices are saved."}})
		},
		"find": func(w io.Writer) error {
			return v.Render(w, find.Page{Frame: frame("/t", stations.Bench), Said: &views.Said{Refused: true, Text: "No ticket's code can be read in that photo."}})
		},
		"error-code": func(w io.Writer) error {
			return v.Render(w, failure.Page{Frame: frame("/t/7K3M9Q2T6", stations.Bench), Status: 404, Code: "unknown_ticket", Text: "No ticket is 7K3M9Q2T6."})
		},
		"error": func(w io.Writer) error {
			return v.Render(w, failure.Page{Frame: frame("/x", ""), Status: 500, Code: "internal", Text: "Something went wrong here."})
		},
	}
}

func newViews(t *testing.T) *views.Views {
	t.Helper()
	v, err := views.New(i18n.For("en"))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func rendered(t *testing.T, render func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := render(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var (
	inlineScript = regexp.MustCompile(`(?i)<script(?:\s[^>]*)?>[^<]+</script>|\son[a-z]+\s*=|javascript:`)
	inlineStyle  = regexp.MustCompile(`(?i)\sstyle\s*=|<style`)
	anID         = regexp.MustCompile(`\sid="([^"]+)"`)
	aReference   = regexp.MustCompile(`\s(?:for|form|aria-labelledby|aria-describedby)="([^"]+)"`)
	assetAddress = regexp.MustCompile(`(?:href|src)="(/assets/[^"]+)"`)
)

// TestPages holds what is true of every page: whole HTML, nothing inline (the content policy would drop it), every
// sentence in the catalogue, ids that are there once, and every asset that it names.
func TestPages(t *testing.T) {
	v := newViews(t)
	preview := os.Getenv("TABLEHAND_PREVIEW") // a folder to write the pages to, to look at them
	for name, render := range samples(v) {
		t.Run(name, func(t *testing.T) {
			page := rendered(t, render)
			if preview != "" {
				writePreview(t, v, preview, name, page)
			}
			if err := wellFormed(page); err != nil {
				t.Errorf("not well-formed: %v", err)
			}
			if found := inlineScript.FindString(page); found != "" {
				t.Errorf("inline script: %q", found)
			}
			if found := inlineStyle.FindString(page); found != "" {
				t.Errorf("inline style: %q", found)
			}
			for _, bad := range []string{"⟨", "<no value>", "%!", "ZgotmplZ"} {
				if i := strings.Index(page, bad); i >= 0 {
					t.Errorf("%q near %q", bad, page[max(0, i-60):min(len(page), i+60)])
				}
			}
			if forms, tokens := strings.Count(page, `method="post"`), strings.Count(page, `name="form_token" value="token-of-this-sign-in"`); forms != tokens {
				t.Errorf("%d forms change something, %d carry the token", forms, tokens)
			}
			ids := map[string]bool{}
			for _, m := range anID.FindAllStringSubmatch(page, -1) {
				if ids[m[1]] {
					t.Errorf("id %q is there twice", m[1])
				}
				ids[m[1]] = true
			}
			for _, m := range aReference.FindAllStringSubmatch(page, -1) {
				for _, id := range strings.Fields(m[1]) {
					if !ids[id] {
						t.Errorf("%q refers to an id that isn't there", id)
					}
				}
			}
			for _, m := range assetAddress.FindAllStringSubmatch(page, -1) {
				if _, ok := v.Assets.Find(m[1]); !ok {
					t.Errorf("asset %s isn't there", m[1])
				}
			}
		})
	}
}

// wellFormed reports an element that isn't closed, or closed where it was not opened.
func wellFormed(page string) error {
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

func writePreview(t *testing.T, v *views.Views, folder, name, page string) {
	t.Helper()
	for _, m := range assetAddress.FindAllStringSubmatch(page, -1) {
		asset, _ := v.Assets.Find(m[1])
		page = strings.ReplaceAll(page, m[1], filepath.Base(m[1]))
		if err := os.WriteFile(filepath.Join(folder, filepath.Base(m[1])), asset.Body, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(folder, name+".html"), []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestEntriesStartEmpty holds the rule of the bench: nothing is filled in or ticked for whoever measures.
func TestEntriesStartEmpty(t *testing.T) {
	v := newViews(t)
	page := rendered(t, samples(v)["station-work"])
	entries := regexp.MustCompile(`<input id="entry-[^>]*>`).FindAllString(page, -1)
	if len(entries) != 4 {
		t.Fatalf("%d entries, want 4", len(entries))
	}
	for _, e := range entries {
		if !strings.Contains(e, ` value=""`) {
			t.Errorf("entry is filled in: %s", e)
		}
	}
	if strings.Contains(page, `" checked>`) {
		t.Error("a check is ticked or a choice made")
	}
	for _, target := range []string{`<span class="num"><span class="fraction"><sup>1</sup>⁄<sub>4</sub></span> <small>in</small></span>`, `<span class="num">20</span>`} {
		if !strings.Contains(page, target) {
			t.Errorf("the target %s is not shown", target)
		}
	}
	kept := rendered(t, samples(v)["station-tried"])
	if !strings.Contains(kept, `name="measured.drop" value="1/4"`) || !strings.Contains(kept, `value="tape_steamed" checked`) {
		t.Error("what was typed is lost by a refused finish")
	}
}

// TestMainAction holds that a station page has one action that moves the work on, and which.
func TestMainAction(t *testing.T) {
	v := newViews(t)
	for name, want := range map[string]string{
		"station": "start", "station-work": "finish", "station-accept": "accept",
		"station-held": "", "station-uncut": "", "station-finished": "", "ticket": "",
	} {
		var got []string
		for _, m := range regexp.MustCompile(`<button class="main-action" form="work" name="action" value="([a-z_]+)"`).FindAllStringSubmatch(rendered(t, samples(v)[name]), -1) {
			got = append(got, m[1])
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: main actions %q, want %q", name, got, want)
		}
	}
}

// TestConcurrentRenders has many requests render at once, each its own page whole; run it with -race.
func TestConcurrentRenders(t *testing.T) {
	v := newViews(t)
	want := rendered(t, samples(v)["board"])
	var wg sync.WaitGroup
	for range 20 {
		wg.Go(func() {
			var b bytes.Buffer
			if err := samples(v)["board"](&b); err != nil || b.String() != want {
				t.Errorf("a render differs (error %v)", err)
			}
		})
	}
	wg.Wait()
}

// TestNothingIsMarkup holds that an order's own texts stay text.
func TestNothingIsMarkup(t *testing.T) {
	v := newViews(t)
	o := openTicket(stations.Ready, stations.Bench)
	o.Window = `<script>alert(1)</script>`
	o.Notes = []string{`"><img src=x onerror=alert(1)>`}
	page := rendered(t, func(w io.Writer) error {
		return v.Render(w, bench.TicketPage{Frame: frame("/t/7K3M9Q2T5", stations.Bench), Open: *o})
	})
	if strings.Contains(page, "<script>alert") || strings.Contains(page, "<img") {
		t.Error("a window's name or a note became markup")
	}
}

// A window's number is told where the order has several alike, on whatever list its panel stands alone.
func TestAWindowHasOneNameEverywhere(t *testing.T) {
	v, err := views.New(i18n.For("en"))
	if err != nil {
		t.Fatal(err)
	}
	for copies, want := range map[int]string{1: "Bay, left\u00a0·\u00a0R", 3: "Bay, left 1\u00a0·\u00a0R"} {
		spec := &plan.Ticket{Kind: plan.PanelTicket, Window: "Bay, left", Panel: "R", Copy: 1, Copies: copies,
			Steps: []plan.Step{{Station: plan.Tape}}}
		ticket := &stations.Ticket{Spec: spec, Steps: []stations.StepNow{{Spec: &spec.Steps[0], State: stations.Ready}}}
		if got := v.PieceName(views.PiecesOf([]*stations.Ticket{ticket}, "2026-11-25")[0]); got != want {
			t.Errorf("one of %d windows alike is %q, want %q", copies, got, want)
		}
	}
}
