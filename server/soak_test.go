package server

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/board"
)

// TestSoak: fifty streams whose connections break all the time, each keeping a board of its own, while people work the
// floor, the office revises, remakes and bills. In the end every board is the shop's, and that is the ledger's. With
// TABLEHAND_LONG=1 about half a minute of it.
func TestSoak(t *testing.T) {
	const streams, people = 50, 4
	things := 800
	switch {
	case os.Getenv("TABLEHAND_LONG") == "1":
		things *= 15
	case testing.Short(): // as under the race detector
		things /= 3
	}
	s := openShop(t)
	url := s.listen(t)
	ctx, cancel := contextFor(5 * time.Minute)
	defer cancel()

	var until atomic.Int64
	until.Store(1 << 62)
	followers := make([]*follower, streams)
	errs := make(chan error, streams)
	for i := range followers {
		f := &follower{url: url, token: s.tokens[stations.Screen], today: s.Today(), rnd: rand.New(rand.NewPCG(uint64(i), 50)), until: &until}
		followers[i] = f
		go func() { errs <- f.follow(ctx) }()
	}
	runShop(t, s, url, people, things)
	// Nothing but this can be the last event, and whoever sees it has seen all.
	until.Store(s.Store.Floor().Seq() + 1)
	newCrew(s, url, "", "last", 0).setPrices()
	for range streams {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}

	told := s.ask(t, scene{as: stations.Screen, do: "GET /api/board", status: 200}).body
	want := bytes.Replace(told, fmt.Appendf(nil, `"epoch":%q,`, s.Store.Epoch()), nil, 1) // the rest is the board
	if folded := encode(t, board.Of(refold(t, s), s.Today())); string(folded) != string(want) {
		t.Errorf("the shop's board is not its ledger's:\n%s\n%s", want, folded)
	}
	cuts, proofs := 0, 0
	for i, f := range followers {
		cuts, proofs = cuts+f.cuts, proofs+f.proofs
		if got := encode(t, f.board); string(got) != string(want) {
			t.Errorf("stream %d has the board\n%s\nwant\n%s", i, got, want)
		}
	}
	t.Logf("%d events, %d connections, %d boards compared on the way", s.Store.Floor().Seq(), cuts, proofs)
	if cuts < 2*streams || proofs < streams/2 {
		t.Errorf("only %d connections of %d streams, %d boards compared", cuts, streams, proofs)
	}
	if !testing.Short() {
		everythingHappened(t, s, os.Getenv("TABLEHAND_LONG") != "1")
	}
	noDifference(t, s)
}

// noDifference holds the shop's tables against its ledger.
func noDifference(t *testing.T, s *shop) {
	t.Helper()
	differences, err := s.Store.Audit(context.Background())
	if err != nil || len(differences) > 0 {
		t.Errorf("audit: %v %v", differences, err)
	}
}

// runShop has people do so many things each, at once.
func runShop(t *testing.T, s *shop, url string, people, things int) {
	t.Helper()
	example := orderFile(t, "SMI-014")
	crews := make([]*crew, people)
	var all sync.WaitGroup
	for i := range crews {
		c := newCrew(s, url, example, fmt.Sprint("P", i), uint64(i))
		crews[i] = c
		all.Go(func() {
			for range things {
				switch n := c.rnd.IntN(20); {
				case n < 17:
					c.work()
				case n < 18:
					c.manage()
				default:
					c.bill()
				}
			}
		})
	}
	all.Wait()
	for _, c := range crews {
		if c.busy > things/100 {
			t.Errorf("%d of %d requests found the shop busy", c.busy, c.sent)
		}
		for _, fault := range c.faults {
			t.Error(fault)
		}
	}
}

// refold folds the shop's ledger anew.
func refold(t *testing.T, s *shop) *stations.Floor {
	t.Helper()
	o := stations.NewFloor().Overlay()
	for after := int64(0); ; {
		events, err := s.Store.Events(context.Background(), after, 1000)
		if err != nil {
			t.Fatal(err)
		}
		if len(events) == 0 {
			return o.Floor()
		}
		for _, e := range events {
			o.Apply(e)
			after = e.Seq
		}
	}
}

// happened counts what the ledger has.
func happened(t *testing.T, s *shop) map[stations.Action]int {
	t.Helper()
	did := map[stations.Action]int{}
	events, err := s.Store.Events(context.Background(), 0, 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range events {
		did[e.Action]++
	}
	return did
}

// everythingHappened holds that the run was one of all that a shop does. What chance may leave out of a short one is asked of a long one alone.
func everythingHappened(t *testing.T, s *shop, short bool) {
	t.Helper()
	did := happened(t, s)
	t.Log(did)
	seldom := []stations.Action{stations.Draft, stations.DropDraft, stations.Issue, stations.Credit, stations.Scrap}
	for _, a := range []stations.Action{stations.Take, stations.Release, stations.Revise, stations.Cancel, stations.Start,
		stations.Finish, stations.Undo, stations.Hold, stations.Resume, stations.SendBack, stations.Accept, stations.Remake,
		stations.Scrap, stations.Close, stations.SetPrices, stations.Draft, stations.DropDraft, stations.Issue, stations.Credit} {
		if did[a] == 0 && (!short || !slices.Contains(seldom, a)) {
			t.Errorf("nobody did %s", a)
		}
	}
}
