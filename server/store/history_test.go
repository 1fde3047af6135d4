package store

import (
	"context"
	"errors"
	"slices"
	"testing"

	"tablehand/engine/billing"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
)

// TestNewestFile: an order is worked from its newest file, and each older one is kept under its revision.
func TestNewestFile(t *testing.T) {
	ctx := context.Background()
	s := openShop(t, t.TempDir())
	take := stations.TakeOrder{Actor: office, Order: "SMI-1", Customer: "Saltmarsh Inn"}
	if _, err := s.TakeOrder(ctx, take, []byte("first")); err != nil {
		t.Fatal(err)
	}
	for _, source := range []string{"second", "third"} {
		w := &workup.Workup{Order: &orderfile.Order{ID: "SMI-1", Customer: "Saltmarsh Inn"}}
		cmd := stations.ReviseOrder{Actor: office, Order: "SMI-1", Sheet: stations.Sheet{Work: w}}
		if _, err := s.ReviseOrder(ctx, cmd, []byte(source)); err != nil {
			t.Fatal(err)
		}
		if got, err := s.OrderSource(ctx, "SMI-1"); err != nil || string(got) != source {
			t.Errorf("the newest file is %q, %v, want %q", got, err, source)
		}
	}
	for i, want := range []string{"first", "second", "third"} {
		if got, err := s.OrderFile(ctx, "SMI-1", i+1); err != nil || string(got) != want {
			t.Errorf("revision %d is %q, %v, want %q", i+1, got, err, want)
		}
	}
	for _, none := range []int{0, 4} {
		if _, err := s.OrderFile(ctx, "SMI-1", none); !errors.Is(err, ErrNotFound) {
			t.Errorf("revision %d: %v", none, err)
		}
	}
	mustAudit(t, s)
}

// TestHistory: an order's is its own events and no others'; of no order there is none, though prices and invoices are of no order.
func TestHistory(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 1)
	order(t, s, "SMI-2", 11, 1)
	mustDo(t, s, stations.SetPriceList{Actor: office, Prices: billing.PriceList{Currency: "USD"}})
	mustDo(t, s, scan(code(2), stations.Hold, "", "k1"))
	for order, want := range map[string][]stations.Action{
		"SMI-1": {stations.Take, stations.Release, stations.Hold}, "SMI-2": {stations.Take, stations.Release}, "": nil, "SMI": nil,
	} {
		events, err := s.History(context.Background(), order, 0)
		if err != nil {
			t.Fatal(err)
		}
		var got []stations.Action
		for _, e := range events {
			got = append(got, e.Action)
		}
		if !slices.Equal(got, want) {
			t.Errorf("the history of %q is %v, want %v", order, got, want)
		}
	}
}
