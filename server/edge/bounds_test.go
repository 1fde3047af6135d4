package edge

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// refusedFor returns the code and the field of a refusal, "" for none.
func refusedFor(t *testing.T, err error) string {
	t.Helper()
	if err == nil {
		return ""
	}
	var r *stations.Refusal
	if !errors.As(err, &r) {
		t.Fatalf("%v is no refusal", err)
	}
	return r.Code + " " + r.Field
}

// TestTextsUpToTheirBound: a text of just as many letters as it may have is taken, of one more refused. It is letters that
// count, not bytes.
func TestTextsUpToTheirBound(t *testing.T) {
	for text, want := range map[string]string{"": "", "ñandú": "", "ñandús": "bad_value name"} {
		if got := refusedFor(t, CheckTexts(Text("name", text, false, 5))); got != want {
			t.Errorf("%q, five letters at most: refused as %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"a": "", " ": "missing_key name", "": "missing_key name"} {
		if got := refusedFor(t, CheckTexts(Text("first", "a", true, 5), Text("name", text, true, 5))); got != want {
			t.Errorf("%q, which must be there: refused as %q, want %q", text, got, want)
		}
	}
}

// TestScanUpToItsBounds: each text, and each list, of a scan as long as it may be, and longer by one.
func TestScanUpToItsBounds(t *testing.T) {
	measured := func(n int) map[string]string {
		m := map[string]string{}
		for i := range n {
			m[fmt.Sprint("entry ", i)] = "1"
		}
		return m
	}
	checks := func(n int) []string { return strings.Fields(strings.Repeat("ironed ", n)) }
	letters := func(n int) string { return strings.Repeat("é", n) }
	good := ScanBody{Ticket: "00000000A", Action: stations.Finish, Key: "k"}
	for field, bound := range map[string]struct {
		most int
		set  func(b *ScanBody, n int)
	}{
		"ticket":   {300, func(b *ScanBody, n int) { b.Ticket = letters(n) }},
		"action":   {100, func(b *ScanBody, n int) { b.Action = stations.Action(letters(n)) }},
		"key":      {64, func(b *ScanBody, n int) { b.Key = letters(n) }},
		"station":  {100, func(b *ScanBody, n int) { b.Station = plan.Station(letters(n)) }},
		"person":   {100, func(b *ScanBody, n int) { b.Person = letters(n) }},
		"reason":   {1000, func(b *ScanBody, n int) { b.Reason = letters(n) }},
		"to":       {100, func(b *ScanBody, n int) { b.To = plan.Station(letters(n)) }},
		"picture":  {64, func(b *ScanBody, n int) { b.Action, b.Picture = stations.Hold, letters(n) }},
		"cut":      {100, func(b *ScanBody, n int) { b.Action, b.Cut = stations.Cut, letters(n) }},
		"bolt":     {100, func(b *ScanBody, n int) { b.Action, b.Bolt = stations.Rest, letters(n) }},
		"measured": {100, func(b *ScanBody, n int) { b.Measured = measured(n) }},
		"checks":   {100, func(b *ScanBody, n int) { b.Checks = checks(n) }},
	} {
		for n, want := range map[int]string{bound.most: "", bound.most + 1: "bad_value " + field} {
			body := good
			bound.set(&body, n)
			if got := refusedFor(t, body.Check()); got != want {
				t.Errorf("%s of %d: refused as %q, want %q", field, n, got, want)
			}
		}
	}
	for text, want := range map[string]string{letters(100): "", letters(101): "bad_value measured"} {
		body := good
		body.Measured = map[string]string{"fold_depth": text}
		if got := refusedFor(t, body.Check()); got != want {
			t.Errorf("a value of %d letters: refused as %q, want %q", len([]rune(text)), got, want)
		}
		body.Measured = map[string]string{text: "4"}
		if got := refusedFor(t, body.Check()); got != want {
			t.Errorf("a name of %d letters: refused as %q, want %q", len([]rune(text)), got, want)
		}
	}
}

// TestWhatOnlySomeScansBring: each key belongs to some actions, and is refused of the others.
func TestWhatOnlySomeScansBring(t *testing.T) {
	yes := true
	for field, key := range map[string]struct {
		set func(b *ScanBody)
		of  []stations.Action
	}{
		"billable": {func(b *ScanBody) { b.Billable = &yes }, []stations.Action{stations.Scrap}},
		"picture":  {func(b *ScanBody) { b.Picture = "p" }, []stations.Action{stations.Hold}},
		"override": {func(b *ScanBody) { b.Override = true }, []stations.Action{stations.Remake, stations.Resume, stations.Lay}},
		"cut":      {func(b *ScanBody) { b.Cut = "1" }, []stations.Action{stations.Cut, stations.Spoil}},
		"length":   {func(b *ScanBody) { b.Length = "1" }, []stations.Action{stations.Cut, stations.Spoil, stations.Rest}},
		"bolt":     {func(b *ScanBody) { b.Bolt = "R1" }, []stations.Action{stations.Lay, stations.Cut, stations.Flaw, stations.Rest}},
		"from":     {func(b *ScanBody) { b.From = "1" }, []stations.Action{stations.Cut, stations.Flaw}},
		"place":    {func(b *ScanBody) { b.Place = "1A" }, []stations.Action{stations.Spoil, stations.Rest}},
		"again":    {func(b *ScanBody) { b.Again = true }, []stations.Action{stations.Rest, stations.Finish, stations.ScanIt}},
		"keep":     {func(b *ScanBody) { b.Keep = true }, []stations.Action{stations.Spoil}},
		"seen":     {func(b *ScanBody) { b.Seen = true }, []stations.Action{stations.Cut}},
		"after":    {func(b *ScanBody) { b.After = "1" }, []stations.Action{stations.Flaw}},
	} {
		for _, action := range ScanActions {
			body := ScanBody{Ticket: "00000000A", Key: "k", Action: action}
			key.set(&body)
			want := "bad_value " + field
			for _, of := range key.of {
				if of == action {
					want = ""
				}
			}
			if got := refusedFor(t, body.Check()); got != want {
				t.Errorf("%s with %s: refused as %q, want %q", action, field, got, want)
			}
		}
	}
}

// TestOrderUpToItsBound: a file of just as many bytes as it may have is taken.
func TestOrderUpToItsBound(t *testing.T) {
	for size, want := range map[int]string{0: "", 8 << 20: "", 8<<20 + 1: "too_large file"} {
		if got := refusedFor(t, CheckOrder(size, "file")); got != want {
			t.Errorf("%d bytes: refused as %q, want %q", size, got, want)
		}
	}
}
