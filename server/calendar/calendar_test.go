package calendar

import (
	"bytes"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	goical "github.com/emersion/go-ical"
)

// TestFeed: a reader that we did not write finds in it what went in, whatever letters it has; its lines are as RFC 5545 (3.1) wants
// them: at most 75 octets, ended by CR LF, no letter cut in two.
func TestFeed(t *testing.T) {
	dues := []Due{
		{ID: "SMI-014@shop", Day: "2026-12-18", Title: "SMI-014 · Saltmarsh Inn, east; wing\\2: 4 of 12 finished", Address: "https://shop.test/orders/SMI-014"},
		{ID: "LAN-003@shop", Day: "2026-12-31", Title: strings.Repeat("Señor Äpfel ", 12), Address: "https://shop.test/orders/LAN-003"},
		{ID: "OST-012@shop", Day: "some day", Title: "No day"},
	}
	var b bytes.Buffer
	if err := Write(&b, "Saltmarsh Workroom", dues, time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.SplitAfter(b.String(), "\n") {
		if body, ended := strings.CutSuffix(line, "\r\n"); line != "" && !ended || len(body) > 75 || !utf8.ValidString(body) {
			t.Errorf("the line %q is not as the standard has lines", line)
		}
	}
	feed, err := goical.NewDecoder(&b).Decode()
	if err != nil {
		t.Fatal(err)
	}
	events := feed.Events()
	if len(events) != 2 {
		t.Fatalf("%d events were read", len(events))
	}
	for i, e := range events {
		text := func(name string) string {
			s, err := e.Props.Text(name)
			if err != nil {
				t.Fatal(err)
			}
			return s
		}
		begins, err := e.DateTimeStart(time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		ends, err := e.DateTimeEnd(time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		d := dues[i]
		address, err := e.Props.URI(goical.PropURL)
		if err != nil || address.String() != d.Address {
			t.Errorf("%s is at %v (%v)", d.ID, address, err)
		}
		if text(goical.PropUID) != d.ID || text(goical.PropSummary) != d.Title || begins.Format(time.DateOnly) != d.Day || ends.Sub(begins) != 24*time.Hour ||
			e.Props.Get(goical.PropDateTimeStart).ValueType() != goical.ValueDate {
			t.Errorf("%+v is read as %q on %v to %v", d, text(goical.PropSummary), begins, ends)
		}
	}
}
