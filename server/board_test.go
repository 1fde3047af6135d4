package server

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/server/web"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// fillFloor puts so many orders of ten panels on the floor, in five windows each, and spreads them over the stations.
func (s *shop) fillFloor(tb testing.TB, orders int) {
	tb.Helper()
	for i := range orders {
		id := fmt.Sprintf("ORD-%03d", i)
		file := orderFile(tb, id, "quantity: 1", "quantity: 5", "due: 2026-12-18", fmt.Sprintf("due: 2026-12-%02d", 1+i%28), "customer: Saltmarsh Inn", fmt.Sprintf("customer: House %d", i%40))
		ctx, actor := context.Background(), stations.Actor{Role: stations.Office, Name: "Office", Device: "office"}
		if _, _, err := s.Desk.Take(ctx, actor, "", []byte(file)); err != nil {
			tb.Fatal(err)
		}
		if err := s.Desk.Release(ctx, actor, "", id, true, "a test"); err != nil {
			tb.Fatal(err)
		}
		for k, t := range s.Store.Floor().Order(id).Tickets {
			steps := len(t.Steps)
			if t.Spec.Kind == plan.PanelTicket {
				steps = (i + k) % 6
			}
			s.passSteps(tb, t.Spec.Code, steps)
		}
	}
}

// passSteps finishes as many of a ticket's steps, every measure as it should be.
func (s *shop) passSteps(tb testing.TB, code plan.Code, steps int) {
	tb.Helper()
	actor := stations.Actor{Role: stations.Bench, Name: "Bench", Device: "bench"}
	for range steps {
		now := s.Store.Floor().Ticket(code).Current()
		if now == nil || now.State == stations.Waiting {
			return
		}
		finish := stations.Scan{Actor: actor, Ticket: code, Station: now.Spec.Station, Action: stations.Finish, Key: fmt.Sprint(code, s.Store.Floor().Seq(), "f"), Checks: now.Spec.Checks, Measured: map[string]string{}}
		for _, e := range now.Spec.Enter {
			finish.Measured[e.Name] = e.Target.String()
		}
		start := finish
		start.Action, start.Key, start.Checks, start.Measured = stations.Start, fmt.Sprint(code, s.Store.Floor().Seq(), "s"), nil, nil
		for _, cmd := range []stations.Scan{start, finish} {
			if err := s.Do(cmd); err != nil {
				tb.Fatal(err)
			}
		}
	}
}

// BenchmarkBoardPage is the server's part of the board with 300 orders and 3,000 panels: as it is first asked for, as
// it is asked for again after a change to one order, as a page that shows it already is told of that change, and as
// somebody sifts it. It tells what goes over the wire each time.
func BenchmarkBoardPage(b *testing.B) {
	s := openShop(b)
	s.fillFloor(b, 300)
	code := s.Store.Floor().Order("ORD-150").Tickets[9].Spec.Code
	ask := func(path string, header map[string]string) int {
		header["Accept"], header["Accept-Encoding"] = "text/html", "gzip"
		got := s.try(b, scene{as: stations.Office, do: "GET " + path, header: header})
		if got.status != http.StatusOK {
			b.Fatalf("%d %s", got.status, got.body)
		}
		return len(got.body)
	}
	seen := func() string {
		page := s.try(b, scene{as: stations.Office, do: "GET /board", header: map[string]string{"Accept": "text/html"}})
		return regexp.MustCompile(`data-seen="([^"]+)"`).FindStringSubmatch(string(page.body))[1]
	}
	turn := 0
	change := func() { // what happens on a floor between two looks at it
		turn++
		action := []stations.Action{stations.Hold, stations.Resume}[turn%2]
		if err := s.Do(stations.Scan{Actor: stations.Actor{Role: stations.Bench, Device: "b"}, Ticket: code, Station: s.Store.Floor().Ticket(code).Station(), Action: action, Key: fmt.Sprint("turn", turn), Reason: "a flaw"}); err != nil {
			b.Fatal(err)
		}
	}
	if s.Store.Floor().Ticket(code).State() == stations.Held {
		b.Fatal("held already")
	}
	turn = 1
	run := func(name, path string, before func(), header func() map[string]string) {
		b.Run(name, func(b *testing.B) {
			size := 0
			for b.Loop() {
				b.StopTimer()
				h := header()
				before()
				b.StartTimer()
				size = ask(path, h)
			}
			b.ReportMetric(float64(size), "wire-B/op")
		})
	}
	none := func() map[string]string { return map[string]string{} }
	run("first", "/board", s.forget, none)
	run("again", "/board", change, none)
	run("patch", "/board", change, func() map[string]string { return map[string]string{"X-Seen": seen()} })
	run("sifted", "/board?find=house+7&station=tape", change, none)
}

// BenchmarkScreenPage is the server's part of the wall with 300 orders and 3,000 panels, and what goes over the wire.
func BenchmarkScreenPage(b *testing.B) {
	s := openShop(b)
	s.fillFloor(b, 300)
	size := 0
	for b.Loop() {
		got := s.try(b, scene{as: stations.Screen, do: "GET /screen", header: map[string]string{"Accept": "text/html", "Accept-Encoding": "gzip"}})
		if got.status != http.StatusOK {
			b.Fatalf("%d %s", got.status, got.body)
		}
		size = len(got.body)
	}
	b.ReportMetric(float64(size), "wire-B/op")
}

// TestSidemarkOnTheWall: the wall names an order's sidemark only where the shop's settings say that it may be shown.
func TestSidemarkOnTheWall(t *testing.T) {
	s := openShop(t)
	s.release(t, "SMI-014", "sidemark: Floor 1, room 14", "sidemark: Brewer's loft")
	for _, shown := range []string{"", desk.Yes, ""} {
		if err := s.KeepSettings(context.Background(), map[store.Setting]string{store.PrintSidemark: shown}); err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(s.visit(t, stations.Screen, "/screen", 200), "Brewer"); got != (shown == desk.Yes) {
			t.Errorf("the setting is %q, and the sidemark is shown: %v", shown, got)
		}
	}
}

// hanging returns the tickets that a board's page leads to, each as often as it does.
func hanging(page string) map[string]int {
	n := map[string]int{}
	for _, m := range regexp.MustCompile(`href="/t/([0-9A-Z]{9})"`).FindAllStringSubmatch(page, -1) {
		n[m[1]]++
	}
	return n
}

// hangsOnce holds a board's page to the floor: whatever isn't finished hangs there once, and nothing else.
func (s *shop) hangsOnce(t *testing.T, page string) {
	t.Helper()
	got := hanging(page)
	for _, o := range s.Store.Floor().Orders() {
		for _, ticket := range o.Tickets {
			want := 0
			if ticket.State() != stations.Finished && ticket.State() != stations.Cancelled {
				want = 1
			}
			if n := got[string(ticket.Spec.Code)]; n != want {
				t.Errorf("%s of %s at %s: %d times, want %d", ticket.Spec.Code, o.ID, ticket.Station(), n, want)
			}
			delete(got, string(ticket.Spec.Code))
		}
	}
	if len(got) > 0 {
		t.Errorf("more hangs than there is: %v", got)
	}
}

// TestEveryPanelHangsOnce lets things happen at random, while others look: each time what is on the floor and not
// finished is on the board once, and what the board has kept of its rods is as if it were made anew.
func TestEveryPanelHangsOnce(t *testing.T) {
	s := openShop(t)
	s.fillFloor(t, 4)
	s.release(t, "SMI-014")
	var codes []plan.Code
	for _, o := range s.Store.Floor().Orders() {
		for _, ticket := range o.Tickets {
			codes = append(codes, ticket.Spec.Code)
		}
	}
	r := rand.New(rand.NewPCG(1, 2))
	for turn := range 40 {
		var looking sync.WaitGroup
		for _, path := range []string{"/board", "/board?find=bay", "/search?q=house"} {
			looking.Go(func() {
				s.try(t, scene{as: stations.Office, do: "GET " + path, header: map[string]string{"Accept": "text/html"}})
			})
		}
		code := codes[r.IntN(len(codes))]
		hold := stations.Scan{Actor: stations.Actor{Role: stations.Bench, Device: "b"}, Ticket: code, Action: stations.Hold, Key: fmt.Sprint("turn", turn), Reason: "a flaw"}
		switch now := s.Store.Floor().Ticket(code).Current(); {
		case now == nil:
		case now.State == stations.Held:
			hold.Action = stations.Resume
			fallthrough
		case r.IntN(3) == 0:
			if err := s.Do(hold); err != nil {
				t.Fatal(err)
			}
		case now.State == stations.Ready:
			s.passSteps(t, code, 1+r.IntN(2))
		}
		looking.Wait()
		kept := s.visit(t, stations.Office, "/board", 200)
		s.hangsOnce(t, kept)
		s.forget()
		if anew := s.visit(t, stations.Office, "/board", 200); anew != kept {
			t.Fatalf("turn %d: what is kept isn't what is so\n%s\nanew\n%s", turn, kept, anew)
		}
	}
}

// TestBoardDrawsWhatItDefines: each drawing that the board's page points to stands in its sprite.
func TestBoardDrawsWhatItDefines(t *testing.T) {
	s := openShop(t)
	s.fillFloor(t, 12)
	page := s.visit(t, stations.Office, "/board", 200)
	uses := regexp.MustCompile(`<use href="#([^"]+)"`).FindAllStringSubmatch(page, -1)
	if len(uses) < 50 {
		t.Fatalf("%d drawings", len(uses))
	}
	for _, use := range uses {
		if n := strings.Count(page, `id="`+use[1]+`"`); n != 1 {
			t.Fatalf("#%s is defined %d times", use[1], n)
		}
	}
}

// TestBoardNamesFinishedOrders: an order whose panels are all finished hangs no more, and is named with the finished ones.
func TestBoardNamesFinishedOrders(t *testing.T) {
	s := openShop(t)
	s.fillFloor(t, 2)
	for _, ticket := range s.Store.Floor().Order("ORD-001").Tickets {
		s.passSteps(t, ticket.Spec.Code, len(ticket.Steps))
	}
	if state := s.Store.Floor().Order("ORD-001").State; state != stations.OrderFinished {
		t.Fatalf("the order is %s", state)
	}
	finished := func(path string) []string {
		_, list, _ := strings.Cut(s.visit(t, stations.Office, path, 200), `id="board-finished"`)
		var ids []string
		for _, m := range regexp.MustCompile(`href="/orders/([^"]+)"`).FindAllStringSubmatch(list, -1) {
			ids = append(ids, m[1])
		}
		return ids
	}
	if got := finished("/board"); !slices.Equal(got, []string{"ORD-001"}) {
		t.Errorf("finished: %v", got)
	}
	if got := finished("/board?find=ORD-000"); len(got) != 0 {
		t.Errorf("asked for another: %v", got)
	}
}

// TestBoardPatch: a page that says what it shows is sent what has changed since, and the whole wherever it may have
// something else.
func TestBoardPatch(t *testing.T) {
	s := openShop(t)
	s.fillFloor(t, 3)
	code := s.Store.Floor().Order("ORD-001").Tickets[5].Spec.Code
	same := func(path, seen string) (unsent []string, now string) {
		t.Helper()
		got := s.try(t, scene{as: stations.Office, do: "GET " + path, header: map[string]string{"Accept": "text/html", "X-Seen": seen}})
		page := holds(t, path, got, 200, nil)
		for _, m := range regexp.MustCompile(`id="rod-([^"]+)" data-same`).FindAllStringSubmatch(page, -1) {
			unsent = append(unsent, m[1])
		}
		return unsent, regexp.MustCompile(`data-seen="([^"]+)"`).FindStringSubmatch(page)[1]
	}
	all := []string{"ORD-000", "ORD-001", "ORD-002"}
	unsent, seen := same("/board", "")
	if len(unsent) != 0 {
		t.Errorf("to a new page unsent: %v", unsent)
	}
	if unsent, _ = same("/board", seen); !slices.Equal(unsent, all) {
		t.Errorf("nothing has happened, unsent: %v", unsent)
	}
	if err := s.Do(stations.Scan{Actor: stations.Actor{Role: stations.Bench, Device: "b"}, Ticket: code, Action: stations.Hold, Key: "h", Reason: "a flaw"}); err != nil {
		t.Fatal(err)
	}
	unsent, after := same("/board", seen)
	if !slices.Equal(unsent, []string{"ORD-000", "ORD-002"}) {
		t.Errorf("one has changed, unsent: %v", unsent)
	}
	if unsent, _ = same("/board", after); !slices.Equal(unsent, all) {
		t.Errorf("after it, unsent: %v", unsent)
	}
	for what, try := range map[string]string{"another filter": "/board?find=house", "another language": "/board?language=es"} {
		if unsent, _ = same(try, after); len(unsent) != 0 {
			t.Errorf("%s, unsent: %v", what, unsent)
		}
	}
	for _, wrong := range []string{"0-9", "-", "x", after + "0"} {
		if unsent, _ = same("/board", wrong); len(unsent) != 0 {
			t.Errorf("%q, unsent: %v", wrong, unsent)
		}
	}
	s.clock.Add(24 * 60 * 60 * 1e9)
	if unsent, _ = same("/board", after); len(unsent) != 0 {
		t.Errorf("on another day, unsent: %v", unsent)
	}
}

// TestBoardSifted: the board shows what its address asks for.
func TestBoardSifted(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-014")
	s.release(t, "OAK-2", "customer: Saltmarsh Inn", "customer: Café Müller", "due: 2026-12-18", "due: 2026-12-03", "window: Bay, left", "window: Landing", "sidemark: Floor 1, room 14", "sidemark: Brewer's loft")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "LATE-3", "due: 2026-12-18", "due: 2026-11-20"), status: 201})
	s.cutAll(t, "SMI-014")
	if err := s.Do(stations.Scan{Actor: stations.Actor{Role: stations.Bench, Device: "b"}, Ticket: plan.Code(codes[2]), Action: stations.Start, Station: plan.Joining, Person: "Adá", Key: "h"}); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		ask  string // of the address
		as   stations.Role
		rods string
		hang int // tickets on them
	}{
		{"", stations.Office, "LATE-3 OAK-2 SMI-014", 6},
		{"find=cafe+muller", stations.Office, "OAK-2", 4},
		{"find=cafe+muller", stations.Bench, "", 0},
		{"find=brewer+LOFT", stations.Office, "OAK-2", 4},
		{"find=landing", stations.Bench, "OAK-2", 2},
		{"find=14", stations.Bench, "OAK-2 SMI-014", 4}, // room 14 of OAK-2, and all of SMI-014
		{"find=ada", stations.Bench, "SMI-014", 1},
		{"find=reed", stations.Bench, "OAK-2 SMI-014", 5}, // its cutting ticket and the panels of it
		{"find=late", stations.Bench, "LATE-3", 0},
		{"find=por+vencer", stations.Bench, "OAK-2", 4},
		{"find=due+soon", stations.Bench, "OAK-2", 4},
		{"find=" + strings.Replace(strings.ToLower(codes[3]), "0", "o", -1), stations.Bench, "SMI-014", 1},
		{"find=nothing", stations.Office, "", 0},
		{"state=late", stations.Office, "LATE-3", 0},
		{"state=risk", stations.Office, "OAK-2", 4},
		{"state=taken", stations.Office, "LATE-3", 0},
		{"state=at_work", stations.Office, "SMI-014", 1},
		{"state=ready&station=joining", stations.Office, "SMI-014", 1},
		{"station=cutting&find=reed", stations.Office, "OAK-2", 3},
		{"state=weird&station=attic", stations.Office, "LATE-3 OAK-2 SMI-014", 6},
	}
	for _, tt := range tests {
		page := s.visit(t, tt.as, "/board?"+tt.ask, 200)
		var rods []string
		for _, m := range regexp.MustCompile(`<section class="rod[^"]*" id="rod-([^"]+)"`).FindAllStringSubmatch(page, -1) {
			rods = append(rods, m[1])
		}
		hang := 0
		for _, n := range hanging(page) {
			hang += n
		}
		if got := strings.Join(rods, " "); got != tt.rods || hang != tt.hang {
			t.Errorf("%q for %s: %q with %d tickets, want %q with %d", tt.ask, tt.as, got, hang, tt.rods, tt.hang)
		}
	}
	if page := s.visit(t, stations.Bench, "/board", 200); strings.Contains(page, "Müller") {
		t.Error("the board tells a bench whose an order is")
	}
}

// TestSearch finds by anything, straight to a ticket by its code, and tells a bench nothing of customers.
func TestSearch(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-014", "customer: Saltmarsh Inn", "customer: Café Müller")
	s.release(t, "OAK-2", "window: Bay, left", "window: Vestíbulo")
	typed := strings.ToLower(strings.NewReplacer("0", "o", "1", "l").Replace(codes[2]))
	for _, q := range []string{codes[2], typed, codes[2][:4] + "-" + codes[2][4:], "HTTP://SHOP.TEST:8080/T/" + codes[2]} {
		got := s.try(t, scene{as: stations.Bench, do: "GET /search?q=" + url.QueryEscape(q), header: map[string]string{"Accept": "text/html"}})
		if got.status != 303 || got.header.Get("Location") != "/t/"+codes[2] {
			t.Errorf("%q: %d to %q", q, got.status, got.header.Get("Location"))
		}
	}
	order, panel, cut := `href="/orders/SMI-014"`, `href="/t/`+codes[2]+`"`, `href="/t/`+codes[0]+`"`
	tests := []struct {
		q        string
		as       stations.Role
		has, not []string
	}{
		{"cafe", stations.Office, []string{order}, []string{panel}},
		{"CAFÉ muller bay", stations.Office, []string{panel}, []string{order}},
		{"cafe", stations.Bench, []string{`class="empty"`}, []string{panel, "Müller"}},
		{"smi", stations.Bench, []string{`href="/board?find=SMI-014"`}, []string{"Müller", order}},
		{"vestibulo", stations.Bench, []string{"Vestíbulo\u00a0·\u00a0L", "Vestíbulo\u00a0·\u00a0R"}, []string{panel}},
		{"reed", stations.Bench, []string{cut}, nil},
		{"bay waiting", stations.Bench, []string{panel}, []string{cut}},
		{"", stations.Office, nil, []string{`class="empty"`, order}},
		{"…", stations.Office, []string{`class="empty"`}, []string{order}},
		{strings.Repeat("x", 3000), stations.Office, []string{`class="empty"`}, nil},
	}
	for _, tt := range tests {
		page := s.visit(t, tt.as, "/search?q="+url.QueryEscape(tt.q), 200, tt.has...)
		for _, not := range tt.not {
			if strings.Contains(page, not) {
				t.Errorf("%.20q for %s: %q is there", tt.q, tt.as, not)
			}
		}
	}
	s.visit(t, stations.Screen, "/search?q=bay", 403)
	panels := s.workThrough(t, codes)
	draft := s.ask(t, scene{as: stations.Office, do: "POST /api/invoices", send: fields{"customer": "Café Müller", "panels": panels}, status: 201}).at("draft")
	s.visit(t, stations.Office, "/search?q="+draft, 200, `href="/invoices/`+draft+`"`)
	s.visit(t, stations.Office, "/search?q=muller", 200, `href="/invoices/`+draft+`"`)
}

// forget puts pages that keep nothing yet in the place of the shop's.
func (s *shop) forget() {
	people, err := web.New(s.edge)
	if err != nil {
		panic(err) // the same pages were parsed when the shop was opened
	}
	s.Server = assemble(s.Desk, s.edge, s.api, people)
	runtime.GC() // what a start leaves behind isn't the page's to sweep up
}
