package hands

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// typed is what is typed into the fields of a part of the form, by their names without numbers; the others are gone past by Enter.
type typed map[string]string

// window is a window of the order of all headings: what is typed of it, and how its panels are taken through the stations.
type window struct {
	heading string
	typed   typed
	by      string // scanner, keys or finger
	quick   bool   // by hand in the quick tier too
}

// fourteen are a window of each heading, named after it, whose names a person begins to type; of three families one panel is made by
// hand each time.
var fourteen = []window{
	{"cartridge-tape", typed{"heading": "cartridge pleat t", "tape": "cart-4", "face_width": "84", "return": "3 1/2", "overlap": "6"}, "scanner", false},
	{"pinch-2", typed{"heading": "double", "face_width": "60"}, "keys", false},
	{"pinch-3", typed{"heading": "triple", "draw": "one way, stacks l", "face_width": "48"}, "keys", true},
	{"pinch-tape", typed{"heading": "pinch pleat t", "tape": "pinch-4", "face_width": "72"}, "finger", true},
	{"cartridge-hand", typed{"heading": "cartridge pleats b", "face_width": "66"}, "scanner", false},
	{"goblet", typed{"heading": "goblet", "draw": "one way, stacks r", "face_width": "50"}, "finger", false},
	{"box", typed{"heading": "box", "face_width": "80"}, "keys", false},
	{"inverted-box", typed{"heading": "inverted", "face_width": "80"}, "scanner", false},
	{"pencil-tape", typed{"heading": "pencil", "tape": "pencil-3", "face_width": "70"}, "keys", false},
	{"rod-pocket", typed{"heading": "rod", "rod": "pole", "face_width": "60"}, "finger", false},
	{"eyelet", typed{"heading": "eyelets", "rod": "pole", "draw": "one way, stacks l", "face_width": "40"}, "finger", true},
	{"tab", typed{"heading": "tab", "rod": "pole", "face_width": "60"}, "scanner", false},
	{"ring", typed{"heading": "rings", "rod": "pole", "face_width": "60"}, "finger", false},
	{"wave-tape", typed{"heading": "wave", "tape": "wave-3", "rod": "track", "face_width": "64"}, "keys", false},
}

// TestBrowserAllHeadings takes one order with every heading from the form to its invoice: typed by keys, released, its cloth cut, its panels made
// at the stations of their routes by scanner, keys and finger, all of them in the long tier, one of each family in the quick one, and billed.
func TestBrowserAllHeadings(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	var prices []shoptest.Fields
	for _, w := range fourteen {
		prices = append(prices, shoptest.Fields{"heading": w.heading, "panel": "40.00", "width": "18.00"})
	}
	s.Ask(t, shoptest.Request{As: s.Office, Do: "PUT /api/prices", Status: 200, Send: shoptest.Fields{"currency": "USD", "rows": prices}})

	p := b.Tab(t, 1280, 900, "/taking")
	typesAllHeadings(p)
	p.Keys("\r", chromedp.ModifierCtrl)
	p.Wait(`location.pathname === "/orders/SMI-14"`)
	p.Enter(`form[action$="/release"] .main-action`, `location.search === "?did=released"`)

	var got struct{ Tickets []shoptest.Row }
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/SMI-14", Status: 200}).Into(t, &got)
	for _, ticket := range got.Tickets {
		if ticket.Kind == "cutting" {
			passes(t, b, ticket.Ticket, "scanner")
		}
	}
	onFloor := func() int { // panels, as the board has them
		p.Open("/board")
		return browser.Read[int](p, `document.querySelectorAll(".hangings a").length`)
	}
	if hang := onFloor(); hang != 25 {
		t.Errorf("%d panels hang on the board once they are cut, want 25", hang)
	}
	panels, byHand := map[string]shoptest.Row{}, map[string]int{}
	for _, ticket := range got.Tickets {
		if ticket.Kind == "panel" {
			panels[ticket.Ticket] = ticket
			made(t, b, ticket, byHand)
		}
	}
	if len(panels) != 25 || len(byHand) != browser.Many(len(fourteen), 3) {
		t.Errorf("%d panels of %d headings by hand", len(panels), len(byHand))
	}
	if left := onFloor(); left > 0 {
		t.Errorf("%d panels are still on the floor", left)
	}

	p.Open("/ready")
	p.Wait(fmt.Sprintf(`document.querySelectorAll('input[name="panel"]:checked').length === %d`, len(panels)))
	p.Enter(`#ready .main-action`, `location.pathname.startsWith("/invoices/")`)
	p.Enter(`form[action$="/issue"] .main-action`, `document.querySelector('.note.done') && document.querySelector('a[href$=".pdf"]')`)
	var invoice struct {
		State string
		Lines []struct{ Ticket, Text string }
	}
	number := strings.TrimPrefix(browser.Read[string](p, "location.pathname"), "/invoices/")
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/invoices/" + number, Status: 200}).Into(t, &invoice)
	for _, line := range invoice.Lines {
		if panel, waits := panels[line.Ticket]; !waits || !strings.Contains(line.Text, panel.Window) {
			t.Errorf("billed is %q, which is no panel of the order or one twice", line.Text)
		}
		delete(panels, line.Ticket)
	}
	if invoice.State != "issued" || len(panels) > 0 {
		t.Errorf("the invoice is %s without %v", invoice.State, panels)
	}
	p.Open("/board")
	p.Wait(`document.querySelector("#board-empty")`)
	if orders := s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/board", Status: 200}).At("orders.#"); orders != "0" {
		t.Errorf("%s orders are on the board", orders)
	}
	s.Audit(t)
}

// made takes a panel through its stations, by hand where its turn has come, else as the floor's own programs do, and counts those by hand.
func made(t *testing.T, b *browser.Session, panel shoptest.Row, byHand map[string]int) {
	t.Helper()
	w := fourteen[slices.IndexFunc(fourteen, func(w window) bool { return w.heading == panel.Window })]
	if !browser.Everything() && (!w.quick || byHand[w.heading] > 0) {
		b.WorkTo(t, panel.Ticket, "")
		return
	}
	sum := 0
	for at := b.Look(t, panel.Ticket); at.Step != nil; at = b.Look(t, panel.Ticket) {
		n := passes(t, b, panel.Ticket, w.by)
		if n > mostAt(at.Step.Station) {
			t.Errorf("%s at %s takes %d", w.heading, at.Step.Station, n)
		}
		sum += n
	}
	byHand[w.heading]++
	t.Logf("%s %s by %s: %d", w.heading, panel.Panel, w.by, sum)
	b.Expect(t, panel.Ticket, "packing", "finished")
}

var numbered = regexp.MustCompile(`\d+\.`)

// types fills the fields from the one that has the focus to the last one given.
func types(p *browser.Tab, what typed, last string) {
	p.T.Helper()
	for range 40 {
		at := p.Focus()
		name := numbered.ReplaceAllString(at, "")
		p.Keys(what[name] + "\r")
		kind := strings.TrimSuffix(at, ".id") + ".kind"
		if text, asked := what[strings.TrimSuffix(name, ".id")+".kind"]; asked && strings.HasSuffix(at, ".id") { // which Enter goes past
			p.Back(fmt.Sprintf(`[name="%s"]`, kind))
			p.Keys(text + "\r")
		}
		if name == last {
			return
		}
	}
	p.T.Fatalf("Enter never comes to %s, but to %s", last, p.Focus())
}

// typesAllHeadings types the order: two cloths, a tape of each kind, a pole and a track, and the windows.
func typesAllHeadings(p *browser.Tab) {
	p.T.Helper()
	p.Back(`[name="order"]`) // a number is proposed, and the focus has gone past it
	types(p, typed{"order": "SMI-14", "customer": "Saltmarsh Inn", "due": "12182026",
		"fabrics.id": "reed", "fabrics.usable_width": "54", "fabrics.bolts.id": "R1", "fabrics.bolts.length": "600 yd"}, "fabrics.bolts.first_repeat")
	types(p, typed{"fabrics.id": "sateen", "fabrics.usable_width": "54", "fabrics.bolts.id": "S1", "fabrics.bolts.length": "600 yd"}, "fabrics.bolts.first_repeat")
	more := func(list string, what typed, last string) {
		p.T.Helper()
		p.Back(fmt.Sprintf(`button[value="add:%s"]`, list))
		p.Keys("\r")
		types(p, what, last)
	}
	types(p, typed{"tapes.id": "cart-4", "tapes.period": "6 1/2", "tapes.space": "2 1/2", "tapes.height": "4", "tapes.cords": "3"}, "tapes.cords")
	more("tapes", typed{"tapes.id": "pinch-4", "tapes.kind": "pinch", "tapes.period": "6 1/2", "tapes.space": "2 1/2", "tapes.height": "4", "tapes.cords": "3"}, "tapes.cords")
	more("tapes", typed{"tapes.id": "pencil-3", "tapes.kind": "pencil", "tapes.height": "3", "tapes.cords": "3"}, "tapes.cords")
	more("tapes", typed{"tapes.id": "wave-3", "tapes.kind": "wave", "tapes.height": "3", "tapes.pocket_pitch": "3/4", "tapes.pockets": "8"}, "tapes.pockets")
	p.Back(`button[value="add:rods"]`)
	p.Keys("\r")
	types(p, typed{"rods.id": "pole", "rods.diameter": "1"}, "rods.diameter")
	more("rods", typed{"rods.id": "track", "rods.kind": "track", "rods.carrier_pitch": "3 1/8"}, "rods.carrier_pitch")
	offered := browser.Read[[]string](p, `[...document.querySelectorAll('[name="treatments.0.heading"] option')].map((o) => o.value).filter(Boolean)`)
	for i, w := range fourteen {
		offered = slices.DeleteFunc(offered, func(h string) bool { return h == w.heading })
		if i > 0 {
			p.Keys(kb.F4)
		}
		what := typed{"treatments.window": w.heading, "treatments.finished_length": "95"}
		if i > 0 && fourteen[i-1].typed["draw"] != "" {
			what["treatments.draw"] = "pair" // a new window is drawn as the one before it
		}
		for key, text := range w.typed {
			what["treatments."+key] = text
		}
		types(p, what, "treatments.overlap")
		if w.heading == "rod-pocket" { // asked seldom, and folded away
			group := strings.TrimSuffix(p.Focus(), ".overlap")
			p.Reach(fmt.Sprintf(`[data-group="%s"] summary`, group))
			p.Keys("\r")
			p.Reach(fmt.Sprintf(`[name="%s.pocket.stand"]`, group))
			p.Keys("1")
		}
		if chosen := browser.Read[string](p, `[...document.querySelectorAll('[name$=".heading"]')].pop().value`); chosen != w.heading {
			p.T.Errorf("%q chooses the heading %s, want %s", w.typed["heading"], chosen, w.heading)
		}
	}
	if len(offered) > 0 {
		p.T.Errorf("no window is made with %v", offered)
	}
	p.Wait(fmt.Sprintf(`document.querySelectorAll('#results .numbers dl').length >= %d && document.getElementById("taking").dataset.errors === "0"`, len(fourteen)))
}
