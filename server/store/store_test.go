package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"gorm.io/gorm"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// start is when the shops of these tests open.
var start = time.Date(2026, 3, 2, 7, 30, 0, 0, time.UTC)

// ticking is a clock that goes on a second at each look.
func ticking() func() time.Time {
	var mu sync.Mutex
	now := start
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		now = now.Add(time.Second)
		return now
	}
}

func openShop(t testing.TB, dir string) *Store {
	t.Helper()
	s, err := Open(context.Background(), Options{Dir: dir, Clock: ticking()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

var (
	office = stations.Actor{Role: stations.Office, Name: "Ida", Device: "desk"}
	bench  = stations.Actor{Role: stations.Bench, Name: "Table", Device: "tablet-1"}
)

// code returns the n-th ticket's code of these tests.
func code(n int) plan.Code { return plan.NewCode(uint64(n)) }

// order takes and releases an order with one cutting ticket, code(first), and panels that have the codes after it.
func order(t testing.TB, s *Store, id string, first, panels int) {
	t.Helper()
	ctx := context.Background()
	source := []byte("order: " + id + "\n")
	take := stations.TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Due: "2026-03-20", Fabrics: []string{"reed"}}
	if _, err := s.TakeOrder(ctx, take, source); err != nil {
		t.Fatal(err)
	}
	tickets := []plan.Ticket{{Code: code(first), Kind: plan.CuttingTicket, Fabric: "reed", Units: "in",
		Steps: []plan.Step{{Station: plan.Cutting}}}}
	for n := range panels {
		tickets = append(tickets, plan.Ticket{Code: code(first + 1 + n), Kind: plan.PanelTicket, Window: "Bay", Panel: "S",
			Copy: n + 1, Fabrics: []string{"reed"}, Heading: "cartridge-tape", Widths: 5, Units: "in",
			Steps: []plan.Step{{Station: plan.Cutting}, {Station: plan.Joining}, {Station: plan.Packing}}})
		tickets[0].Cuts = append(tickets[0].Cuts, plan.Cut{Cut: strconv.Itoa(n + 1), Length: measure.Read("96in"),
			For: []plan.CutPart{{Ticket: code(first + 1 + n), Window: "Bay", Copy: n + 1, Copies: panels, Panel: "S", Place: 1}}})
	}
	if _, err := s.Do(ctx, stations.ReleaseOrder{Actor: office, Order: id, Tickets: tickets}); err != nil {
		t.Fatal(err)
	}
}

// scan is a scan of the tests' tablet.
func scan(ticket plan.Code, action stations.Action, at plan.Station, key string) stations.Scan {
	s := stations.Scan{Actor: bench, Ticket: ticket, Station: at, Action: action, Key: key}
	if action == stations.Hold {
		s.Reason = "a flaw in the cloth"
	}
	return s
}

func mustDo(t testing.TB, s *Store, cmd stations.Command) stations.Event {
	t.Helper()
	e, err := s.Do(context.Background(), cmd)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// mustAudit fails the test for every difference.
func mustAudit(t testing.TB, s *Store) {
	t.Helper()
	differences, err := s.Audit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range differences {
		t.Error(d)
	}
}

func refusal(err error) string {
	var r *stations.Refusal
	if errors.As(err, &r) {
		return r.Code
	}
	return ""
}

func TestAShopOfTwoDays(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a shop? #1 100%")
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 2)
	mustDo(t, s, scan(code(1), stations.Start, plan.Cutting, "k1"))
	e := mustDo(t, s, scan(code(1), stations.Finish, plan.Cutting, "k2"))
	if e.Seq != 4 || s.Floor().Seq() != 4 {
		t.Errorf("the fourth event has seq %d, the floor %d", e.Seq, s.Floor().Seq())
	}
	mustDo(t, s, scan(code(2), stations.Start, plan.Joining, "k3"))
	mustAudit(t, s)
	evening := rowsOf(s.Floor())
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Do(context.Background(), scan(code(2), stations.Finish, plan.Joining, "k4")); !errors.Is(err, ErrClosed) {
		t.Errorf("a closed shop says %v", err)
	}

	s = openShop(t, dir)
	if morning := rowsOf(s.Floor()); !reflect.DeepEqual(morning, evening) {
		t.Errorf("folded again the floor is\n%+v\nit was\n%+v", morning, evening)
	}
	mustDo(t, s, scan(code(2), stations.Finish, plan.Joining, "k4"))
	mustAudit(t, s)
	if source, err := s.OrderSource(context.Background(), "SMI-1"); err != nil || string(source) != "order: SMI-1\n" {
		t.Errorf("the order's file is %q, %v", source, err)
	}
	if _, err := s.OrderSource(context.Background(), "SMI-2"); !errors.Is(err, ErrNotFound) {
		t.Errorf("the file of no order: %v", err)
	}
	if got := s.Floor().Order("SMI-1").Digest; got != digest([]byte("order: SMI-1\n")) {
		t.Errorf("the order's digest is %s", got)
	}
}

// rowsOf returns what a floor tells of itself.
func rowsOf(f *stations.Floor) []any {
	var rows []any
	for _, o := range f.Orders() {
		rows = append(rows, orderRowOf(o))
		for _, t := range o.Tickets {
			rows = append(rows, ticketRowOf(t))
			for _, step := range stepRows(t) {
				rows = append(rows, step)
			}
		}
	}
	for _, i := range f.Invoices() {
		rows = append(rows, invoiceRowOf(i))
	}
	return append(rows, f.Seq())
}

func TestOneKeyOneEvent(t *testing.T) {
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 1)
	first := scan(code(1), stations.Start, plan.Cutting, "k1")
	want := mustDo(t, s, first)
	mustDo(t, s, scan(code(1), stations.Hold, "", "k2"))

	again := first
	again.Actor.Name = "Table by the window" // a token may be renamed
	if got := mustDo(t, s, again); !reflect.DeepEqual(got, want) {
		t.Errorf("the same scan again answers\n%+v, first\n%+v", got, want)
	}
	other := first
	other.Person = "Ann"
	if _, err := s.Do(context.Background(), other); refusal(err) != "key_reused" {
		t.Errorf("another scan of the same key: %v", err)
	}
	elsewhere := first
	elsewhere.Actor.Device = "tablet-2"
	if _, err := s.Do(context.Background(), elsewhere); refusal(err) != "held" {
		t.Errorf("the same key of another device isn't decided anew: %v", err)
	}
	if _, err := s.Do(context.Background(), scan(code(1), stations.Finish, plan.Cutting, "k3")); refusal(err) == "" {
		t.Errorf("a held ticket is finished: %v", err)
	}
	mustDo(t, s, scan(code(1), stations.Resume, "", "k3")) // a refused scan's key is free
	if got := s.Floor().Seq(); got != 5 {
		t.Errorf("%d events, want 5", got)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = openShop(t, dir)
	if got := mustDo(t, s, first); !reflect.DeepEqual(got, want) {
		t.Errorf("the same scan in another run answers\n%+v, first\n%+v", got, want)
	}
}

// TestManyAtOnce has 24 devices send the same holds and resumes, each three times at once; no scan may be lost,
// none done twice, and the stream of commits has every event once and in order.
func TestManyAtOnce(t *testing.T) {
	const devices, rounds, copies = 24, 6, 3
	s := openShop(t, t.TempDir())
	var stream []int64 // written by the writer alone, read after Close
	s.OnCommit(func(events []stations.Event) {
		for _, e := range events {
			stream = append(stream, e.Seq)
		}
	})
	order(t, s, "SMI-1", 1, devices)
	var wg sync.WaitGroup
	for d := range devices {
		wg.Go(func() {
			for r := range rounds {
				action := []stations.Action{stations.Hold, stations.Resume}[r%2]
				cmd := scan(code(2+d), action, "", fmt.Sprintf("k%d", r))
				cmd.Actor.Device = fmt.Sprintf("tablet-%d", d)
				var seqs [copies]int64
				var retries sync.WaitGroup
				for c := range copies {
					retries.Go(func() {
						e, err := s.Do(context.Background(), cmd)
						if err != nil {
							t.Errorf("%s of %s: %v", action, cmd.Ticket, err)
						}
						if s.Floor().Seq() < e.Seq {
							t.Errorf("after the answer to event %d the floor is at %d", e.Seq, s.Floor().Seq())
						}
						seqs[c] = e.Seq
					})
				}
				retries.Wait()
				if seqs[0] != seqs[1] || seqs[1] != seqs[2] {
					t.Errorf("one scan became events %v", seqs)
				}
			}
		})
	}
	wg.Wait()
	mustAudit(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if len(stream) != 2+devices*rounds {
		t.Errorf("%d events were told, want %d", len(stream), 2+devices*rounds)
	}
	for i, seq := range stream {
		if seq != int64(i+1) {
			t.Fatalf("the stream's %d. event has seq %d", i+1, seq)
		}
	}
}

// TestAnAnswerThatTakesTooLong isn't called undone: the command is carried out, and its key tells so afterwards.
func TestAnAnswerThatTakesTooLong(t *testing.T) {
	s := openShop(t, t.TempDir())
	entered, leave := make(chan struct{}), make(chan struct{})
	s.OnCommit(func(events []stations.Event) {
		if events[0].Reason == "the writer waits" {
			close(entered)
			<-leave
		}
	})
	order(t, s, "SMI-1", 1, 2)
	slow := scan(code(2), stations.Hold, "", "k1")
	slow.Reason = "the writer waits"
	go s.Do(t.Context(), slow)
	<-entered
	impatient, cancel := context.WithTimeout(t.Context(), time.Millisecond)
	defer cancel()
	cmd := stations.CancelOrder{Actor: slow.Actor, Key: "k2", Order: "SMI-1", Reason: "sold"}
	if _, err := s.Do(impatient, cmd); !errors.Is(err, ErrNotKnownYet) || !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("the answer is %v", err)
	}
	close(leave)
	settle(s)
	if got := s.Floor().Order("SMI-1").State; got != stations.OrderCancelled {
		t.Fatalf("the order is %s", got)
	}
	seq := s.Floor().Seq()
	if e, err := s.Do(t.Context(), cmd); err != nil || e.Action != stations.Cancel || s.Floor().Seq() != seq {
		t.Errorf("sent again: %+v, %v", e, err)
	}
	if _, err := s.Do(t.Context(), stations.CancelOrder{Actor: slow.Actor, Key: "k2", Order: "SMI-1", Reason: "burnt"}); refusal(err) != "key_reused" {
		t.Errorf("another wish with that key: %v", err)
	}
	mustAudit(t, s)
}

func TestAFullQueueIsBusy(t *testing.T) {
	s := &Store{queue: make(chan *request, 1)}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Do(ctx, stations.Scan{}); !errors.Is(err, context.Canceled) {
		t.Errorf("the first command: %v", err)
	}
	if _, err := s.Do(ctx, stations.Scan{}); !errors.Is(err, ErrBusy) {
		t.Errorf("a command for a full queue: %v", err)
	}
}

func mustExec(t testing.TB, db *gorm.DB, sql string) {
	t.Helper()
	if err := db.Exec(sql).Error; err != nil {
		t.Fatal(err)
	}
}

func TestTheLedgerOnlyGrows(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 1)
	mustDo(t, s, scan(code(1), stations.Start, plan.Cutting, "k1"))
	const columns = "(seq, at, device, role, name, key, body_hash, action, order_id, ticket, station, state, details)"
	same := "SELECT %s, at, device, role, name, %s, %s, action, order_id, ticket, station, state, details FROM ledger WHERE seq = 3"
	for name, sql := range map[string]string{
		"update":              "UPDATE ledger SET name = 'X' WHERE seq = 1",
		"delete":              "DELETE FROM ledger WHERE seq = 3",
		"replace by sequence": "INSERT OR REPLACE INTO ledger " + columns + fmt.Sprintf(same, "3", "NULL", "NULL"),
		"replace by key":      "INSERT OR REPLACE INTO ledger " + columns + fmt.Sprintf(same, "4", "key", "body_hash"),
		"leave a gap":         "INSERT INTO ledger " + columns + fmt.Sprintf(same, "5", "NULL", "NULL"),
	} {
		if err := s.write.Exec(sql).Error; err == nil {
			t.Errorf("%s is allowed", name)
		}
		if err := s.read.Exec(sql).Error; err == nil || !strings.Contains(err.Error(), "readonly") {
			t.Errorf("%s through a reader: %v", name, err)
		}
	}
	mustAudit(t, s)
}

func TestEvents(t *testing.T) {
	s := openShop(t, t.TempDir())
	var told []stations.Event
	s.OnCommit(func(events []stations.Event) { told = append(told, events...) })
	order(t, s, "SMI-1", 1, 2)
	at := start.Add(-time.Minute)
	cmd := scan(code(2), stations.Hold, "", "k1")
	cmd.At = &at
	mustDo(t, s, cmd)
	s.Close()
	s = openShop(t, s.dir)
	for after := range int64(5) {
		got, err := s.Events(context.Background(), after, 2)
		if err != nil {
			t.Fatal(err)
		}
		want := told[min(after, 3):min(after+2, 3)]
		if len(got) != len(want) || len(got) > 0 && !reflect.DeepEqual(got, want) {
			t.Errorf("after %d:\n%+v\nwant\n%+v", after, got, want)
		}
	}
}

func TestFoldersThatCannotBeUsed(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	var folder *FolderError
	if _, err := Open(ctx, Options{Dir: file}); !errors.As(err, &folder) || folder.Dir != file {
		t.Errorf("a file as folder: %v", err)
	}
	if _, err := AuditDir(ctx, filepath.Join(dir, "none")); !errors.As(err, &folder) || !errors.Is(err, os.ErrNotExist) {
		t.Errorf("audit of no folder: %v", err)
	}
	broken := filepath.Join(dir, "broken")
	os.Mkdir(broken, 0o700)
	os.WriteFile(filepath.Join(broken, databaseFile), []byte(strings.Repeat("no database ", 1000)), 0o600)
	if _, err := Open(ctx, Options{Dir: broken}); !errors.As(err, &folder) {
		t.Errorf("a database that is none: %v", err)
	}

	s := openShop(t, filepath.Join(dir, "shop"))
	var inUse *InUseError
	if _, err := Open(ctx, Options{Dir: s.dir}); !errors.As(err, &inUse) {
		t.Errorf("a second server: %v", err)
	}
	s.Close()
	openShop(t, s.dir)

}

// A checkpoint while idle must not keep what comes after it from being committed.
func TestWritesGoOnAfterAnIdleCheckpoint(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	for i := range 3 {
		s.checkpoint()
		mustDo(t, s, scan(code(1), stations.Hold, "", fmt.Sprint("h", i)))
		mustDo(t, s, scan(code(1), stations.Resume, "", fmt.Sprint("r", i)))
		if err := s.AddSession(context.Background(), Session{ID: fmt.Sprint(i), Role: stations.Office, Hash: make([]byte, 32), Expires: start.AddDate(0, 1, 0)}); err != nil {
			t.Fatal(err)
		}
	}
	mustAudit(t, s)
}

// A clock that jumps ahead and back signs nobody out; only too many are forgotten, the first ones first.
func TestSessionsOutlastTheClock(t *testing.T) {
	now := start
	s, err := Open(t.Context(), Options{Dir: t.TempDir(), Clock: func() time.Time { return now }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	add := func(id string) {
		t.Helper()
		if err := s.AddSession(t.Context(), Session{ID: id, Role: stations.Office, Hash: make([]byte, 32), Expires: now.AddDate(0, 3, 0)}); err != nil {
			t.Fatal(err)
		}
	}
	add("before")
	now = start.AddDate(10, 0, 0)
	if _, err := s.Session(t.Context(), "before"); !errors.Is(err, ErrNotFound) {
		t.Errorf("one that has expired by this clock: %v", err)
	}
	add("ahead")
	now = start
	if _, err := s.Session(t.Context(), "before"); err != nil {
		t.Errorf("with the clock set right: %v", err)
	}
	mustExec(t, s.write, fmt.Sprintf("UPDATE sessions SET rowid = %d WHERE id = 'ahead'", mostSessions))
	add("last")
	for id, want := range map[string]error{"before": ErrNotFound, "ahead": nil, "last": nil} {
		if _, err := s.Session(t.Context(), id); !errors.Is(err, want) {
			t.Errorf("of too many, %q: %v", id, err)
		}
	}
}

// Looking keys up must cost the same however long the ledger is.
func TestKeysAreLookedUpByIndex(t *testing.T) {
	s := openShop(t, t.TempDir())
	var plan []struct{ Detail string }
	err := s.read.Raw("EXPLAIN QUERY PLAN "+lookUpKey, "a", "b").Scan(&plan).Error
	if err != nil {
		t.Fatal(err)
	}
	if text := fmt.Sprint(plan); !strings.Contains(text, "ledger_key") || strings.Contains(text, "SCAN") {
		t.Errorf("keys are looked up by %s", text)
	}
}
