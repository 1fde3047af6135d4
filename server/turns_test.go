package server

import (
	"context"
	"strings"
	"testing"
	"time"

	"tablehand/stations"
)

// TestPaperTakesTurns: as much paper as the shop makes and has waiting is made, one more is refused with a code of its own and
// when to come again, and scans don't wait for any of it.
func TestPaperTakesTurns(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	var leave []func()
	for range 2 {
		l, err := s.Desk.PaperTurn()
		if err != nil {
			t.Fatal(err)
		}
		leave = append(leave, l)
	}
	const waiting = 16
	answers := make(chan int, waiting)
	for range waiting {
		go func() {
			res, err := s.app.Test(s.request(scene{as: stations.Office, do: "GET /api/orders/SMI-1/packet.pdf"}, nil), -1)
			if err != nil {
				answers <- 0
				return
			}
			answers <- res.StatusCode
		}()
	}
	for s.Desk.PapersInHand() < 2+waiting {
		time.Sleep(time.Millisecond)
	}
	for _, address := range []string{"/api/orders/SMI-1/packet.pdf", "/api/orders/SMI-1/tickets.pdf", "/api/tickets/" + codes[2] + "/ticket.pdf", "/cards.pdf", "/check/sheet.pdf"} {
		got := s.try(t, scene{as: stations.Office, do: "GET " + address})
		if got.status != 503 {
			t.Errorf("%s answered %d beside all that may wait", address, got.status)
		}
		if got.at("code") != "paper_busy" || got.header.Get("Retry-After") == "" {
			t.Errorf("%s answered %s, come again in %q", address, got.body, got.header.Get("Retry-After"))
		}
	}
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(codes[0], "start", "cutting"), status: 200})
	for _, l := range leave {
		l()
	}
	for range waiting {
		if status := <-answers; status != 200 {
			t.Errorf("one that waited is answered %d", status)
		}
	}
}

// TestLargeFilesAreReadInTurn: while a large order file is read others like it wait, and small ones don't.
func TestLargeFilesAreReadInTurn(t *testing.T) {
	s := openShop(t)
	large := orderFile(t, "LARGE") + strings.Repeat("# "+strings.Repeat("x", 100)+"\n", 3000)
	leave, err := s.Desk.FileTurn([]byte(large))
	if err != nil {
		t.Fatal(err)
	}
	taken := make(chan error, 1)
	go func() {
		_, _, err := s.Desk.Take(context.Background(), stations.Actor{Role: stations.Office, Device: "desk"}, "", []byte(large))
		taken <- err
	}()
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, "SMALL"), status: 201})
	if s.Store.Floor().Order("LARGE") != nil {
		t.Error("a large file is read beside another")
	}
	leave()
	if err := <-taken; err != nil || s.Store.Floor().Order("LARGE") == nil {
		t.Errorf("in its turn: %v", err)
	}
}
