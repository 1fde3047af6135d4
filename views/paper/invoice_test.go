package paper

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tablehand/views/i18n"
)

func testInvoice(lines int) InvoiceSheet {
	sheet := InvoiceSheet{Say: i18n.For("en"), Shop: "Saltmarsh Workroom", Customer: "Saltmarsh Inn", Number: "2026-0007",
		Date: "2026-12-18", Made: time.Date(2026, 12, 18, 9, 0, 0, 0, time.UTC), Total: "170.00 USD"}
	for n := range lines {
		sheet.Lines = append(sheet.Lines, InvoiceLine{fmt.Sprintf("SMI-014, room 14, Bay window of the long gallery, left, number %d: left panel, cartridge tape, 2½ widths", n+1), "85.00 USD"})
	}
	return sheet
}

// TestInvoicePrintsEveryLine reads the sheet back with a reader that we did not write.
func TestInvoicePrintsEveryLine(t *testing.T) {
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftotext is missing")
		}
		t.Skip("pdftotext is missing")
	}
	const lines = 60
	file := filepath.Join(t.TempDir(), "invoice.pdf")
	var pdf bytes.Buffer
	if err := Invoice(&pdf, testInvoice(lines)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, pdf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(reader, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(out)), " ")
	for _, want := range []string{"Saltmarsh Workroom", "Invoice 2026-0007", "Fri 18 Dec 2026", "Saltmarsh Inn", "170.00 USD"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q on the invoice", want)
		}
	}
	for n := 1; n <= lines; n++ {
		if !strings.Contains(text, fmt.Sprintf("number %d:", n)) && !strings.Contains(text, fmt.Sprintf("number %d ", n)) {
			t.Errorf("line %d is not printed", n)
		}
	}
	if pages := strings.Count(string(out), "\f"); pages < 3 {
		t.Errorf("%d lines on %d pages", lines, pages)
	}
}

func TestInvoiceIsRepeatable(t *testing.T) {
	var a, b bytes.Buffer
	if Invoice(&a, testInvoice(2)) != nil || Invoice(&b, testInvoice(2)) != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same invoice gave two documents")
	}
}
