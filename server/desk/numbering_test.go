package desk

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/numbering"
	"tablehand/engine/orderfile"
	"tablehand/stations"
)

func TestNumbering(t *testing.T) {
	for _, tt := range []struct {
		form string
		has  []string
		next string // "" for a form that isn't one
	}{
		{"{n:3}", nil, "001"},
		{"{n}", []string{"9"}, "10"},
		{"HAL-{n:3}", []string{"HAL-007", "HAL-2", "hal-900", "HAL-", "HAL-12b", "ORD-500"}, "HAL-008"},
		{"26-{n:4}-S", []string{"26-0012-S", "26-0099"}, "26-0013-S"},
		{"{n:3}", []string{"999"}, "1000"},
		{"{n}", []string{"12345678901234567890"}, "1"}, // more digits than a number has
		{form: "HAL"},
		{form: "{n}-{n}"},
		{form: "{m}"},
		{form: "{n:0}"},
		{form: "{n:12}"},
		{form: "a b{n}"},
		{form: "-{n}"},
		{form: "a-name-so-long-that-no-digits-fit{n}"},
	} {
		n, ok := numbering.Read(tt.form)
		if ok != (tt.next != "") {
			t.Errorf("%q is read: %v", tt.form, ok)
		}
		if got := next(n, named(tt.has)); ok && got != tt.next {
			t.Errorf("%q after %v: %s, want %s", tt.form, tt.has, got, tt.next)
		}
	}
}

func named(names []string) (orders []*stations.Order) {
	for _, name := range names {
		orders = append(orders, &stations.Order{ID: name})
	}
	return orders
}

// TestNextIsFree: whatever orders there are, the next name is none of theirs and one that an order may have; and the next as a
// name is numbered comes after it.
func TestNextIsFree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOf(rapid.StringMatching(`(HAL-)?[0-9]{1,4}(-S)?`)).Draw(t, "names")
		form := rapid.SampledFrom([]string{"{n}", "{n:3}", "HAL-{n:2}", "{n:4}-S", "HAL-{n}-S"}).Draw(t, "form")
		n, ok := numbering.Read(form)
		name := next(n, named(names))
		if !ok || !orderfile.IsName(name) {
			t.Fatalf("%s gives %q", form, name)
		}
		if slices.Contains(names, name) {
			t.Fatalf("%s is in use", name)
		}
		like, ok := numbering.Of(name)
		number, mine := like.Number(name)
		if after := next(like, named([]string{name})); !ok || !mine || after == name || after != like.Name(number+1) {
			t.Fatalf("after %s comes %s", name, after)
		}
	})
}

func ExampleDesk_NextLike() {
	for _, name := range []string{"SMI-014", "Halloran", "2026/7", "Q4-12"} {
		n, ok := numbering.Of(name)
		fmt.Println(name, ok, next(n, named([]string{name, "SMI-020"})))
	}
	// Output:
	// SMI-014 true SMI-021
	// Halloran false 1
	// 2026/7 true 2026/8
	// Q4-12 true Q4-13
}
