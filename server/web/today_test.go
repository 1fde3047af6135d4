package web

import (
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/billing"
	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/views/page/home"
)

// TestTodayLooksAtTwentyOrders: of the orders that aren't released so many are looked at, those whose cloth doesn't do first, and the
// others counted.
func TestTodayLooksAtTwentyOrders(t *testing.T) {
	st, err := store.Open(t.Context(), store.Options{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	d, err := desk.New(desk.Config{Store: st})
	if err != nil {
		t.Fatal(err)
	}
	example, err := os.ReadFile(filepath.Join("..", "..", "testdata", "contract", "order.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	site := &Site{Edge: &edge.Edge{Desk: d}}
	for n := 1; n <= 21; n++ {
		changes := []string{"SMI-014", fmt.Sprintf("SMI-%03d", n), "id: R1", fmt.Sprint("id: R", n), "id: S1", fmt.Sprint("id: S", n)}
		if n%7 == 0 { // its cloth is short
			changes = append(changes, "length: 40 yd", "length: 8 yd")
		}
		source := strings.NewReplacer(changes...).Replace(string(example))
		if _, _, err := d.Take(t.Context(), stations.Actor{Role: stations.Office}, "", []byte(source)); err != nil {
			t.Fatal(err)
		}
		if n < 20 {
			continue
		}
		p := todayOf(t, site)
		var got []string
		for _, order := range p.Release {
			got = append(got, order.ID)
			if short := order.ID == "SMI-007" || order.ID == "SMI-014"; (len(order.Short) > 0) != short {
				t.Errorf("%s lacks %v", order.ID, order.Short)
			}
		}
		if len(got) != 20 || got[0] != "SMI-007" || got[1] != "SMI-014" || got[2] != "SMI-001" || got[19] != "SMI-020" || p.MoreRelease != n-20 {
			t.Errorf("of %d the page shows %v and %d more", n, got, p.MoreRelease)
		}
	}
}

// todayOf gathers what waits for the office.
func todayOf(t *testing.T, site *Site) home.Page {
	t.Helper()
	var p home.Page
	app := fiber.New()
	app.Get("/", func(c *fiber.Ctx) error { return site.lookAtToday(c, site.Desk.Store.Floor(), &p) })
	answer, err := app.Test(httptest.NewRequest("GET", "/", nil), int(time.Minute.Milliseconds()))
	if err != nil || answer.StatusCode != fiber.StatusOK {
		t.Fatalf("%v %v", answer, err)
	}
	return p
}

// TestNoTotalOfAPart: while a panel has no price there is no total, neither of what can be billed nor of an invoice.
func TestNoTotalOfAPart(t *testing.T) {
	price, err := billing.ParseAmount("40.00", "USD")
	if err != nil {
		t.Fatal(err)
	}
	list := billing.PriceList{Currency: "USD", Rows: []billing.PriceRow{{Heading: "pinch-3", Panel: "40.00", Width: "0"}}}
	for name, tt := range map[string]struct {
		headings []string
		want     string
	}{
		"all priced":     {[]string{"pinch-3", "pinch-3", "pinch-3"}, "120.00"},
		"the first not":  {[]string{"cartridge-tape", "pinch-3", "pinch-3"}, ""},
		"the middle not": {[]string{"pinch-3", "cartridge-tape", "pinch-3"}, ""},
		"the last not":   {[]string{"pinch-3", "pinch-3", "cartridge-tape"}, ""},
		"none":           {[]string{"cartridge-tape", "cartridge-tape", "cartridge-tape"}, ""},
	} {
		w := newWorkroom(time.Date(2026, 12, 16, 10, 0, 0, 0, wallZone))
		codes := w.release("SMI-1", "2026-12-30", len(tt.headings))
		w.cut(codes)
		document := &invoice.Document{Currency: "USD"}
		for i, heading := range tt.headings {
			w.finish(codes[i+1], 7)
			w.o.Floor().Ticket(codes[i+1]).Spec.Heading = orderfile.Heading(heading)
			line := invoice.Line{Ticket: codes[i+1], Heading: heading}
			if heading == "pinch-3" {
				line.Amount = &price
			}
			document.Lines = append(document.Lines, line)
		}
		w.happens(stations.Event{Action: stations.SetPrices, Prices: &list})
		rows := billable(w.o.Floor(), readyOf(w.o.Floor()))
		if len(rows) != 1 || len(rows[0].Panels) != 3 {
			t.Fatalf("%s: billable are %+v", name, rows)
		}
		for of, total := range map[string]*billing.Money{"what can be billed": rows[0].Total, "the invoice": wholeTotal(document)} {
			got := ""
			if total != nil {
				got = total.Amount()
			}
			if got != tt.want {
				t.Errorf("%s: the total of %s is %q, want %q", name, of, got, tt.want)
			}
		}
	}
}

// readyOf is what can be billed of a floor whose orders' names are their customers'.
func readyOf(floor *stations.Floor) (list []desk.Ready) {
	for _, t := range floor.Ready() {
		list = append(list, desk.Ready{Ticket: t, To: t.Customer})
	}
	return list
}
