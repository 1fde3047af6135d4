package paper

import (
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"tablehand/engine/measure"
	"tablehand/views/i18n"
)

// testPurchases buys some cloths of a mill for more orders each, and what the books name no supplier of.
func testPurchases(say *i18n.Printer, sheet Sheet, cloths int) PurchasesDoc {
	mill := PurchasesOf{Supplier: "Marsh Mill"}
	var orders []string
	for n := range cloths {
		orders = append(orders, fmt.Sprintf("SMI-%03d", n+1))
		mill.Lines = append(mill.Lines, PurchaseLine{What: "cloth", Name: fmt.Sprintf("reed-%d · Reed stripe, colour %d", n+1, n+1), Number: fmt.Sprintf("M-%04d", 4711+n),
			Need: measure.Read("17.25yd"), OnHand: measure.Read("2yd"), ToOrder: measure.Read("15.25yd"), Orders: orders, State: "open"})
	}
	mill.Lines[0].State = "ordered"
	mill.Lines = append(mill.Lines, PurchaseLine{What: "tape", Name: "cart-4 · Cartridge 4 in", Number: "77", Need: measure.Read("61.5yd"),
		ToOrder: measure.Read("61.5yd"), Packs: 2, Orders: orders, State: "come"})
	return PurchasesDoc{Say: say, Sheet: sheet, Shop: "Saltmarsh Workroom", From: "2026-12-07", To: "2026-12-20", Made: time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC),
		Suppliers: []PurchasesOf{mill, {Lines: []PurchaseLine{
			{What: "buckram", Size: measure.Read("4in"), Need: measure.Read("456in"), ToOrder: measure.Read("456in"), Orders: orders[:1], State: "open"},
			{What: "hooks", Size: measure.Read("1.5in"), Need: measure.OfCount(38), OnHand: measure.OfCount(100), ToOrder: measure.OfCount(0), Orders: orders[:1], State: "open"},
			{What: "weights", Need: measure.OfCount(8), ToOrder: measure.OfCount(8), Orders: orders[:1], State: "open"},
		}}}}
}

// TestPurchasesPrintEveryLine reads the sheets back with a reader that we did not write: each supplier's lines stand on sheets of
// its own, with all that they say, and no order is left out of a line that is for many.
func TestPurchasesPrintEveryLine(t *testing.T) {
	const cloths = 40
	say := i18n.For("en")
	write := func(w io.Writer) error { return Purchases(w, testPurchases(say, Letter, cloths)) }
	text := readText(t, write)
	for n := 1; n <= cloths; n++ {
		for _, want := range []string{fmt.Sprintf("reed-%d ", n), fmt.Sprintf("M-%04d", 4710+n)} {
			if !strings.Contains(text, want) {
				t.Errorf("no %q on the list", want)
			}
		}
		if got, want := strings.Count(text, fmt.Sprintf("SMI-%03d", n)), cloths-n+2; n > 1 && got != want { // its own line, those after it, the tape's
			t.Errorf("SMI-%03d stands on %d lines, want %d", n, got, want)
		}
	}
	for _, want := range []string{"Saltmarsh Workroom · To buy", "Marsh Mill", "No supplier in the books", "For orders due from Mon 7 Dec 2026 to Sun 20 Dec 2026", "17 1/4 yd",
		"15 1/4 yd", "2 packs", "ordered", "2 packs ·", "Buckram 4 in", "38 100 0"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q on the list", want)
		}
	}
	if boxes, ticked := strings.Count(text, "□"), strings.Count(text, "☑"); boxes != cloths-1+3 || ticked != 2 {
		t.Errorf("%d boxes to tick and %d ticked, of %d lines", boxes, ticked, cloths+4)
	}
	if readText(t, write) != text {
		t.Error("the same list was printed otherwise")
	}
}

// TestPurchasesOnTheirSheets: in each language and on both sheets everything stands within the page and nothing over anything else; a
// supplier never shares a sheet.
func TestPurchasesOnTheirSheets(t *testing.T) {
	for _, language := range []string{"en", "es"} {
		for _, sheet := range []Sheet{Letter, A4} {
			for _, cloths := range []int{1, 8, 45} {
				doc := testPurchases(i18n.For(language), sheet, cloths)
				p, err := writePurchases(io.Discard, doc)
				if err != nil {
					t.Fatal(err)
				}
				name := fmt.Sprintf("%d cloths in %s on %s", cloths, language, sheet)
				apart(t, name, p, sheets[sheet].Wd, sheets[sheet].Ht, sheetMargin-1)
				pages := map[string]map[int]bool{"reed": {}, "4 in": {}}
				for _, l := range p.log {
					for what, on := range pages {
						if strings.Contains(l.text, what) {
							on[l.page] = true
						}
					}
				}
				for page := range pages["4 in"] {
					if pages["reed"][page] && cloths > 1 && len(pages["4 in"]) == 1 {
						t.Errorf("%s: two suppliers on sheet %d", name, page)
					}
				}
			}
		}
	}
	for _, sheet := range []Sheet{Labels, TagStock} {
		if Purchases(io.Discard, PurchasesDoc{Say: i18n.For("en"), Sheet: sheet}) == nil {
			t.Errorf("a purchase list is printed on %s", sheet)
		}
	}
	if text := readText(t, func(w io.Writer) error {
		return Purchases(w, PurchasesDoc{Say: i18n.For("en"), From: "2026-12-07", To: "2026-12-20"})
	}); !strings.Contains(text, "Nothing to buy for these days.") {
		t.Errorf("a list of nothing says %q", text)
	}
}
