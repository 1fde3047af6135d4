package store

import (
	"encoding/json"
	"reflect"
	"testing"

	"tablehand/stations"
)

// TestLedgerKeepsItsText: an event of the first release's ledger, read and written again, has every text that it had.
func TestLedgerKeepsItsText(t *testing.T) {
	s := openShop(t, firstShop(t))
	var details []string
	if err := s.read.Model(&ledgerRow{}).Order("seq").Pluck("details", &details).Error; err != nil || len(details) == 0 {
		t.Fatalf("%d events: %v", len(details), err)
	}
	for _, was := range details {
		var e stations.Event
		if err := json.Unmarshal([]byte(was), &e); err != nil {
			t.Fatal(err)
		}
		is, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		var before, after any
		if json.Unmarshal([]byte(was), &before) != nil || json.Unmarshal(is, &after) != nil || !reflect.DeepEqual(before, after) {
			t.Fatalf("event %d was\n%s\nand is written\n%s", e.Seq, was, is)
		}
	}
}
