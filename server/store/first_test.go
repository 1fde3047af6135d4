package store

import (
	"compress/gzip"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"tablehand/stations"
)

// TestLedgerKeepsItsText: an event of the first release's ledger, read and written again, has every text that it had.
func TestLedgerKeepsItsText(t *testing.T) {
	packed, err := os.Open("../../testdata/first/tablehand.db.gz")
	if err != nil {
		t.Fatal(err)
	}
	defer packed.Close()
	r, err := gzip.NewReader(packed)
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "tablehand.db"), content, 0o600); err != nil {
		t.Fatal(err)
	}
	s := openShop(t, dir)
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
