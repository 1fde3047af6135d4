package paper

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations/invoice"
	"tablehand/views/i18n"
)

// testInvoice bills a pair in each of some windows, two orders by turns, at 40 a panel and 18 a width.
func testInvoice(windows int) InvoiceSheet {
	usd := func(minor int64) billing.Money { return billing.Money{Minor: minor, Currency: "USD"} }
	i := &invoice.Document{Draft: "D-7", Number: "2026-0007", Customer: "Saltmarsh Inn", Currency: "USD", Date: "2026-12-18"}
	for n := range windows {
		for _, side := range []string{"L", "R"} {
			amount := usd(8500)
			i.Lines = append(i.Lines, invoice.Line{
				Order: []string{"SMI-014", "SMI-015"}[n%2], Window: fmt.Sprintf("Bay window of the long gallery, number %d", n+1), Room: "14",
				Panel: side, Heading: "cartridge-tape", Widths: 5, Lining: "sateen", Width: measure.Read("48.5in"), Length: measure.Read("95.5in"),
				Rate: &billing.Rate{Panel: usd(4000), Width: usd(1800)}, Amount: &amount,
			})
		}
	}
	return InvoiceSheet{
		Say: i18n.For("en"), Invoice: i, Date: "2026-12-18", Made: time.Date(2026, 12, 18, 9, 0, 0, 0, time.UTC),
		From: invoice.Letterhead{Shop: "Saltmarsh Workroom", Address: "3 Quay Lane\nSaltmarsh", Terms: "Within 30 days, please.",
			Sidemarks: map[string]string{"SMI-014": "Floor 1, room 14"}},
	}
}

func draftOf(sheet InvoiceSheet) InvoiceSheet {
	draft := *sheet.Invoice
	draft.Number = ""
	sheet.Invoice = &draft
	return sheet
}

func invoiced(sheet InvoiceSheet) func(w io.Writer) error {
	return func(w io.Writer) error { return Invoice(w, sheet) }
}

// TestInvoicePrintsEveryLine reads the sheets back with a reader that we did not write.
func TestInvoicePrintsEveryLine(t *testing.T) {
	const windows = 60
	text := readText(t, invoiced(testInvoice(windows)))
	for _, want := range []string{
		"Saltmarsh Workroom", "3 Quay Lane", "2026-0007", "Fri 18 Dec 2026", "Saltmarsh Inn", "Order SMI-014", "Order SMI-015", "1 left panel, 1 right panel",
		"Each 40.00 + 2½ × 18.00", "85.00", "170.00", "Subtotal SMI-014 5100.00", "10200.00 USD", "Within 30 days, please.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q on the invoice", want)
		}
	}
	for n := 1; n <= windows; n++ {
		if !strings.Contains(text+" ", fmt.Sprintf("number %d ", n)) {
			t.Errorf("window %d is not printed", n)
		}
	}
	pages := strings.Count(text, "Amount, USD") // every page has the table's head
	if pages < 3 || !strings.Contains(text, fmt.Sprintf("%d of %d", pages, pages)) {
		t.Errorf("%d windows under %d heads of the table", windows, pages)
	}
}

// TestInvoiceOnItsSheet: of 1 to 60 lines, on letter and on A4, everything is within the sheet; each page carries over what its rows
// come to, the next one brings that forward, and total and terms stand with a row.
func TestInvoiceOnItsSheet(t *testing.T) {
	for sheet, box := range map[Sheet]string{Letter: "/MediaBox [0 0 612 792]", A4: "/MediaBox [0 0 595.28 841.89]"} {
		for windows := 1; windows <= 60; windows++ {
			bill := testInvoice(windows)
			bill.Sheet = sheet
			var b bytes.Buffer
			p, err := writeInvoice(&b, bill)
			if err != nil {
				t.Fatal(err)
			}
			name := fmt.Sprintf("%d lines on %s", windows, sheet)
			if !strings.Contains(b.String(), box) {
				t.Errorf("%s: no page is %s", name, box)
			}
			apart(t, name, p, sheets[sheet].Wd, sheets[sheet].Ht, invoiceMargin-1)
			rows, said := map[int]int{}, map[string]string{} // rows by page; what stands right of a word on a page
			last := ""
			for _, l := range p.log {
				switch {
				case strings.HasPrefix(l.text, "Bay window"):
					rows[l.page]++
				case l.text == "Carried over" || l.text == "Brought forward":
					last = fmt.Sprint(l.text, l.page)
					continue
				}
				if last != "" {
					said[last], last = l.text, ""
				}
			}
			sum := 0
			for page := 1; page <= p.page; page++ {
				if page > 1 {
					if want := fmt.Sprintf("%d.00", sum); said[fmt.Sprint("Brought forward", page)] != want || said[fmt.Sprint("Carried over", page-1)] != want {
						t.Errorf("%s: page %d comes to %s: %v", name, page-1, want, said)
					}
				}
				if rows[page] == 0 {
					t.Errorf("%s: page %d has no row", name, page)
				}
				sum += 170 * rows[page]
			}
			if sum != 170*windows || len(said) != 2*(p.page-1) {
				t.Errorf("%s: rows of %d, carried %v", name, sum, said)
			}
		}
	}
	if Invoice(io.Discard, InvoiceSheet{Say: i18n.For("en"), Invoice: testInvoice(1).Invoice, Sheet: Labels}) == nil {
		t.Error("an invoice is printed on labels")
	}
}

// TestInvoiceNamesTheJob: an order's sidemark stands beside its number where there is one that may be shown.
func TestInvoiceNamesTheJob(t *testing.T) {
	text := readText(t, invoiced(testInvoice(2)))
	if !strings.Contains(text, "Order SMI-014 · Floor 1, room 14") || strings.Contains(text, "Order SMI-015 ·") {
		t.Errorf("the orders read\n%s", text)
	}
}

// TestDraftSaysSo: nobody may take a draft for an invoice.
func TestDraftSaysSo(t *testing.T) {
	text := readText(t, invoiced(draftOf(testInvoice(1))))
	if !strings.Contains(text, "Draft invoice") || !strings.Contains(text, "Not an invoice") || strings.Contains(text, "2026-0007") {
		t.Errorf("a draft reads\n%s", text)
	}
	if issued := readText(t, invoiced(testInvoice(1))); strings.Contains(issued, "Draft") {
		t.Errorf("an invoice reads\n%s", issued)
	}
}

func credited(sheet InvoiceSheet) InvoiceSheet {
	note := *sheet.Invoice
	note.Kind, note.Number, note.RefersTo, note.Reason, note.Frees = invoice.CreditNote, "CN-3", sheet.Invoice.Number, "Billed to the hotel, not to its owner", true
	sheet.Invoice = &note
	return sheet
}

// TestCreditNoteSaysSo: what it is, of which invoice and why; it asks for no payment, and its draft is no invoice's.
func TestCreditNoteSaysSo(t *testing.T) {
	text := readText(t, invoiced(credited(testInvoice(40))))
	for _, want := range []string{"Credit note", "CN-3", "For invoice 2026-0007", "Billed to the hotel, not to its owner", "Total credited 6800.00 USD", "Credit note CN-3 · 2 of"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q on the credit note", want)
		}
	}
	for _, not := range []string{"Invoice", "Within 30 days"} {
		if strings.Contains(text, not) {
			t.Errorf("%q on the credit note", not)
		}
	}
	draft := readText(t, invoiced(draftOf(credited(testInvoice(1)))))
	if !strings.Contains(draft, "Draft credit note") || !strings.Contains(draft, "Not a credit note yet") || strings.Contains(draft, "CN-3") {
		t.Errorf("a draft reads\n%s", draft)
	}
}

func TestInvoiceIsRepeatable(t *testing.T) {
	var a, b bytes.Buffer
	if Invoice(&a, testInvoice(2)) != nil || Invoice(&b, testInvoice(2)) != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same invoice gave two documents")
	}
}
