package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"tablehand/engine/billing"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// settle waits until the writer has told of all before: it answers a command only then.
func settle(s *Store) { s.Do(context.Background(), scan("", stations.Hold, "", "")) }

// batchOf runs commands as one batch, whatever the timing.
func batchOf(s *Store, cmds ...stations.Command) []answer {
	batch := make([]*request, len(cmds))
	for i, cmd := range cmds {
		batch[i] = requestOf(cmd)
	}
	s.commit(batch)
	answers := make([]answer, len(cmds))
	for i, r := range batch {
		answers[i] = <-r.answer
	}
	return answers
}

func requestOf(cmd stations.Command) *request {
	r, err := newRequest(cmd, nil)
	if err != nil {
		panic(err)
	}
	return r
}

// TestABatch decides each command on what those before it did; a refused one takes nothing from the others.
func TestABatch(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 1)
	got := batchOf(s,
		scan(code(1), stations.Start, plan.Cutting, "k1"),
		scan(code(2), stations.Start, plan.Joining, "k2"), // its cloth isn't cut yet
		scan(code(1), stations.Finish, plan.Cutting, "k3"),
		scan(code(1), stations.Finish, plan.Cutting, "k3"), // the same again
		scan(code(2), stations.Start, plan.Joining, "k4"),
	)
	var is []string
	for _, a := range got {
		is = append(is, fmt.Sprintf("%d %s", a.event.Seq, refusal(a.err)))
	}
	if want := "3 |0 not_ready|4 |4 |5 "; strings.Join(is, "|") != want {
		t.Errorf("the answers are %q, want %q", strings.Join(is, "|"), want)
	}
	mustAudit(t, s)
}

// TestBillingInABatch drafts, drops and drafts again: a draft that is gone before its batch is kept has still moved
// its panels' tickets.
func TestBillingInABatch(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	for i, step := range []struct {
		ticket int
		at     plan.Station
	}{{1, plan.Cutting}, {2, plan.Joining}, {2, plan.Packing}, {3, plan.Joining}, {3, plan.Packing}} {
		mustDo(t, s, scan(code(step.ticket), stations.Start, step.at, fmt.Sprintf("s%d", i)))
		mustDo(t, s, scan(code(step.ticket), stations.Finish, step.at, fmt.Sprintf("f%d", i)))
	}
	draft := func(id string, panels ...plan.Code) stations.DraftInvoice {
		return stations.DraftInvoice{Actor: office, Draft: id, Customer: "Saltmarsh Inn", Panels: panels}
	}
	issue := func(id string) stations.IssueInvoice { return stations.IssueInvoice{Actor: office, Draft: id} }
	credit := func(id, of string, frees bool) stations.CreditInvoice {
		return stations.CreditInvoice{Actor: office, Draft: id, Invoice: of, Frees: frees, Reason: "wrong"}
	}
	for _, batch := range [][]stations.Command{
		{draft("a", code(2)), stations.DropInvoice{Actor: office, Draft: "a"}},
		{draft("b", code(2), code(3))},
		{stations.DropInvoice{Actor: office, Draft: "b"}, draft("c", code(3)), draft("d", code(2))},
		{stations.SetPriceList{Actor: office, Prices: billing.PriceList{Currency: "USD", Rows: []billing.PriceRow{{Heading: "cartridge-tape", Panel: "40", Width: "18"}}}},
			issue("c"), credit("x", "1", true), issue("x"), draft("e", code(3))}, // freed and drafted anew at once
		{stations.DropInvoice{Actor: office, Draft: "e"}, draft("f", code(3)), issue("f"), credit("y", "2", true), stations.DropInvoice{Actor: office, Draft: "y"}},
		{credit("z", "2", false), issue("z"), issue("d"), credit("v", "3", true), issue("v")},
	} {
		for i, a := range batchOf(s, batch...) {
			if a.err != nil {
				t.Errorf("answer %d: %v", i, a.err)
			}
		}
		mustAudit(t, s)
	}
	if got := batchOf(s, draft("g", code(3)))[0]; refusal(got.err) == "" {
		t.Errorf("a panel that its credit note keeps is billed again: %+v", got)
	}
	if a := batchOf(s, draft("h", code(2)))[0]; a.err != nil {
		t.Errorf("a panel that is free again: %v", a.err)
	}
	mustAudit(t, s)
	if got := batchOf(s, draft("e", code(2)))[0]; refusal(got.err) == "" {
		t.Errorf("a panel on a second draft: %+v", got)
	}
}

// refuseEvents has the database refuse the events of one ticket, whatever batch they come in.
func refuseEvents(t *testing.T, s *Store, ticket plan.Code) (lift func()) {
	t.Helper()
	mustExec(t, s.write, `CREATE TEMP TRIGGER refuse BEFORE INSERT ON main.ledger WHEN NEW.ticket = '`+string(ticket)+`'
		BEGIN SELECT RAISE(ABORT, 'this one never'); END`)
	return func() { mustExec(t, s.write, `DROP TRIGGER refuse`) }
}

// TestOneCommandThatIsAlwaysRefused takes nothing from those in its batch: they are kept each alone, and only it is
// told to come again.
func TestOneCommandThatIsAlwaysRefused(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 3)
	settle(s)
	var told []int64
	s.OnCommit(func(events []stations.Event) {
		for _, e := range events {
			told = append(told, e.Seq)
		}
	})
	lift := refuseEvents(t, s, code(3))
	first, bad, last := scan(code(2), stations.Hold, "", "k1"), scan(code(3), stations.Hold, "", "k2"), scan(code(4), stations.Hold, "", "k3")
	got := batchOf(s, first, bad, last, first)
	for i, want := range []int64{3, 0, 4, 3} {
		if got[i].event.Seq != want || (want == 0) != errors.Is(got[i].err, ErrBusy) {
			t.Errorf("answer %d is %+v, want event %d", i, got[i], want)
		}
	}
	if fmt.Sprint(told) != "[3 4]" || s.Floor().Seq() != 4 {
		t.Errorf("told of %v, the floor at %d", told, s.Floor().Seq())
	}
	mustAudit(t, s)
	lift()
	if a := batchOf(s, bad)[0]; a.err != nil || a.event.Seq != 5 {
		t.Errorf("once it can be kept: %+v", a)
	}
	mustAudit(t, s)
}

// TestABatchThatTheDiskRefuses is dropped whole, without trying each: everybody is told to come again, and then may.
func TestABatchThatTheDiskRefuses(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	settle(s)
	before := s.Floor()
	told := 0
	s.OnCommit(func([]stations.Event) { told++ })
	var pages int
	if err := s.write.Raw("PRAGMA page_count").Row().Scan(&pages); err != nil {
		t.Fatal(err)
	}
	mustExec(t, s.write, fmt.Sprintf("PRAGMA max_page_count = %d", pages)) // as a full disk
	good, large := scan(code(2), stations.Hold, "", "k1"), scan(code(3), stations.Hold, "", "k2")
	large.Reason = strings.Repeat("no room ", 10_000)
	for i, a := range batchOf(s, good, large) {
		if !errors.Is(a.err, ErrBusy) {
			t.Errorf("answer %d is %+v", i, a)
		}
	}
	if s.Floor() != before || told != 0 {
		t.Errorf("the floor went from %d to %d, told %d times", before.Seq(), s.Floor().Seq(), told)
	}
	mustAudit(t, s)
	mustExec(t, s.write, "PRAGMA max_page_count = 1000000")
	for i, a := range batchOf(s, good, large) {
		if a.err != nil || a.event.Seq != int64(3+i) {
			t.Errorf("again, answer %d is %+v", i, a)
		}
	}
	mustAudit(t, s)
}

// In one batch the same key twice is one event, and with another body it is refused.
func TestSameKeyTwiceInABatch(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 1)
	cmds := []stations.Scan{scan(code(1), stations.Hold, "", "k"), scan(code(1), stations.Hold, "", "k"), scan(code(1), stations.Resume, "", "k")}
	var batch []*request
	for _, c := range cmds {
		batch = append(batch, requestOf(c))
	}
	s.commit(batch) // no other command is under way
	first, second, third := <-batch[0].answer, <-batch[1].answer, <-batch[2].answer
	if first.err != nil || second.err != nil || first.event.Seq != second.event.Seq {
		t.Errorf("the same twice: %+v and %+v", first, second)
	}
	if refusal(third.err) != "key_reused" {
		t.Errorf("another body with the same key: %+v", third)
	}
	mustAudit(t, s)
}
