package paper

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"

	"tablehand/views/i18n"
)

// InvoiceSheet is an invoice as it is printed. Amounts are written already.
type InvoiceSheet struct {
	Say      *i18n.Printer
	Shop     string
	Customer string
	Number   string    // "" on a draft, which says so
	Date     string    // of issue, YYYY-MM-DD
	Made     time.Time // of the document, so that the same invoice gives the same bytes
	Lines    []InvoiceLine
	Total    string // "" while no price list gives a currency
}

// InvoiceLine bills one panel; Amount is "" while it has no price.
type InvoiceLine struct{ Text, Amount string }

// The invoice's page in millimetres and points. It is as wide as A4 and as high as US letter, so it prints whole on
// either.
const (
	invoiceWidth  = 210
	invoiceHeight = 279
	invoiceMargin = 20
	amountWidth   = 38
	textWidth     = invoiceWidth - 2*invoiceMargin - amountWidth
	lineHeight    = 6
	bodyPoints    = 10
)

// Invoice writes an invoice as PDF.
func Invoice(w io.Writer, sheet InvoiceSheet) error {
	p := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: invoiceWidth, Ht: invoiceHeight}})
	p.SetCreationDate(sheet.Made)
	p.SetModificationDate(sheet.Made)
	p.SetCatalogSort(true)
	p.SetLang(sheet.Say.Language())
	p.AddUTF8FontFromBytes("body", "", dejavusans.TTF)
	p.AddUTF8FontFromBytes("body", "B", dejavusansbold.TTF)
	p.SetMargins(invoiceMargin, invoiceMargin, invoiceMargin)
	p.SetAutoPageBreak(false, invoiceMargin)
	i := &invoice{Fpdf: p, sheet: sheet}
	i.begin()
	for _, l := range sheet.Lines {
		i.line(l.Text, l.Amount)
	}
	i.total()
	i.pageNumbers()
	if err := p.Output(w); err != nil {
		return fmt.Errorf("paper: invoice %s: %w", sheet.Number, err)
	}
	return nil
}

type invoice struct {
	*fpdf.Fpdf
	sheet InvoiceSheet
}

func (i *invoice) title() string {
	if i.sheet.Number == "" {
		return i.sheet.Say.T("paper.invoice.draft")
	}
	return i.sheet.Say.T("paper.invoice.title", "Number", i.sheet.Number)
}

// begin writes whose invoice it is, and to whom.
func (i *invoice) begin() {
	i.AddPage()
	i.SetFont("body", "", bodyPoints)
	i.MultiCell(0, lineHeight, i.sheet.Shop, "", "L", false)
	i.Ln(lineHeight)
	i.SetFont("body", "B", 2*bodyPoints)
	i.MultiCell(0, 2*lineHeight, i.title(), "", "L", false)
	i.SetFont("body", "", bodyPoints)
	if i.sheet.Date != "" {
		i.MultiCell(0, lineHeight, i.sheet.Say.Date(i.sheet.Date), "", "L", false)
	}
	i.Ln(lineHeight)
	i.MultiCell(0, lineHeight, i.sheet.Say.T("paper.invoice.to", "Customer", i.sheet.Customer), "", "L", false)
	i.Ln(lineHeight)
	i.rule()
}

// line writes one panel, on a new page where it doesn't fit.
func (i *invoice) line(text, amount string) {
	height := float64(len(i.SplitText(text, textWidth)))*lineHeight + 1
	i.keepTogether(height)
	top := i.GetY()
	i.MultiCell(textWidth, lineHeight, text, "", "L", false)
	i.SetXY(invoiceMargin+textWidth, top)
	i.CellFormat(amountWidth, lineHeight, amount, "", 0, "R", false, 0, "")
	i.SetXY(invoiceMargin, top+height)
}

func (i *invoice) total() {
	i.keepTogether(2 * lineHeight)
	i.rule()
	i.SetFont("body", "B", bodyPoints)
	i.CellFormat(textWidth, lineHeight, i.sheet.Say.T("paper.invoice.total"), "", 0, "L", false, 0, "")
	i.CellFormat(amountWidth, lineHeight, i.sheet.Total, "", 1, "R", false, 0, "")
}

func (i *invoice) keepTogether(height float64) {
	if i.GetY()+height > invoiceHeight-invoiceMargin {
		i.AddPage()
	}
}

func (i *invoice) rule() {
	i.Line(invoiceMargin, i.GetY(), invoiceWidth-invoiceMargin, i.GetY())
	i.Ln(lineHeight / 2)
}

// pageNumbers numbers the pages once it is known how many there are.
func (i *invoice) pageNumbers() {
	pages := i.PageCount()
	if pages == 1 {
		return
	}
	i.SetFont("body", "", 8)
	for n := 1; n <= pages; n++ {
		i.SetPage(n)
		i.SetXY(invoiceMargin, invoiceHeight-invoiceMargin/2)
		i.CellFormat(0, lineHeight, i.sheet.Say.T("paper.invoice.page", "Title", i.title(), "Page", n, "Pages", pages), "", 0, "R", false, 0, "")
	}
}
