package server

import (
	"strings"
	"testing"

	"tablehand/stations"
)

// TestTablePage: the bench's page asks for one cut at a time and has the ways beside it; without script its forms do all.
func TestTablePage(t *testing.T) {
	s := openShop(t)
	s.releaseTwo(t, "SMI-1", r1, "    bolts: [{id: R1, length: 40 yd, lot: A}]\n")
	code := s.ticketOf(t, "SMI-1", "", "reed")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(code, "start", "cutting"), status: 200})
	page := func() string {
		t.Helper()
		return string(s.ask(t, scene{as: stations.Bench, do: "GET /station/cutting?ticket=" + code, header: map[string]string{"Accept": "text/html"}, status: 200}).body)
	}
	form := func(body string, status int) string {
		t.Helper()
		return string(s.ask(t, scene{as: stations.Bench, do: "POST /station/cutting/scan", send: "code=" + code + "&" + body, status: status,
			header: map[string]string{"Accept": "text/html", "Content-Type": "application/x-www-form-urlencoded"}}).body)
	}
	for _, part := range []string{"Cut 1 of 8", `name="length" value="121.5in"`, `id="flaw"`, `id="rest"`, "Finish"} {
		if !strings.Contains(page(), part) {
			t.Errorf("the page has no %q", part)
		}
	}
	form("action=cut&cut=1&bolt=R1&from=0in&length=121.5in", 303)
	card := func(said string, status int, leads string) {
		t.Helper()
		a := s.ask(t, scene{as: stations.Bench, do: "POST /station/cutting/scan", send: "code=" + said + "&open=" + code, status: status,
			header: map[string]string{"Accept": "text/html", "Content-Type": "application/x-www-form-urlencoded"}})
		if to := a.header.Get("Location"); !strings.HasSuffix(to, leads) {
			t.Errorf("%s leads to %s", said, to)
		}
	}
	card("DO+FLAW", 303, "#flaw-from")
	card("do+rest", 303, "#rest-length")
	card("DO+CUT", 303, "?ticket="+code) // the second, as planned
	if got := form("action=cut&cut=3&length=100+1/4", 422); !strings.Contains(got, "too short") {
		t.Error("a cut that is too short isn't told")
	}
	form("action=flaw&after=2&from=20&to=23+1/2", 303)
	if got := page(); !strings.Contains(got, "Cut 3 of 8") || !strings.Contains(got, `name="from" value="270in"`) || !strings.Contains(got, "is-done") {
		t.Error("the third cut isn't behind the flaw")
	}
	office := string(s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-1", header: map[string]string{"Accept": "text/html"}, status: 200}).body)
	for where, page := range map[string]string{"the table's page": page(), "the order's": office} {
		if says := plainly(page); !strings.Contains(says, "R1 lot A 40 yd · 2 of 8 cut · knife at 243 in · left over") || !strings.Contains(says, "flaw 263 in – 266 1⁄2 in") {
			t.Errorf("%s doesn't say where the knife is and what is flawed: %s", where, says)
		}
		for class, want := range map[string]int{`class="cut done"`: 2, `class="cut next"`: 1, `class="flaw"`: 1, `class="knife"`: 1} {
			if got := strings.Count(page, "<rect "+class) + strings.Count(page, `overflow="visible" `+class); got != want {
				t.Errorf("%s draws %d times %s, want %d", where, got, class, want)
			}
		}
	}
	form("action=spoil&cut=1&reason=torn", 303)
	form("action=rest&bolt=R1&length=30+yd", 303)
	if got := page(); !strings.Contains(got, "Cut 2 of 8") {
		t.Error("the spoilt cut isn't asked for again")
	}
	s.audited(t)
}
