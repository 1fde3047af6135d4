package paper

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations/invoice"
	"tablehand/views/i18n"
	"tablehand/views/paper/pdf"
)

// InvoiceSheet is an invoice or a credit note as it is printed: all that it says follows from what the invoice keeps, so that an
// issued one says the same for ever.
type InvoiceSheet struct {
	Say     *i18n.Printer
	Sheet   Sheet // Letter or A4, "" letter
	From    invoice.Letterhead
	Invoice *invoice.Document
	Date    string    // of issue, of a draft that of drafting, YYYY-MM-DD
	Made    time.Time // of the document, so that the same invoice gives the same bytes
}

const (
	invoiceMargin = 54.0
	bodySize      = 9.5
	headSize      = 8.5
	rowGap        = 4.0

	panelsRight = 150.0 // of the columns' right edges, before the page's right margin
	eachRight   = 78.0
	panelsRoom  = 44.0 // that the number of panels and its head take

	// toTop is where the customer stands at least: in the window of an envelope, 45 to 50 mm below the sheet's top edge, folded
	// in three (common practice, no source).
	toTop = 138.0
	// carryRoom is kept free at a page's foot for what it carries over.
	carryRoom = 20.0
	// subtotalRoom and totalRoom are what an order's sum takes, and the whole.
	subtotalRoom = 2*bodySize + 8
	totalRoom    = 44.0
)

// Invoice writes an invoice as PDF.
func Invoice(w io.Writer, sheet InvoiceSheet) error {
	_, err := writeInvoice(w, sheet)
	return err
}

func writeInvoice(w io.Writer, sheet InvoiceSheet) (*pen, error) {
	on := cmp.Or(sheet.Sheet, Letter)
	if on != Letter && on != A4 {
		return nil, fmt.Errorf("paper: an invoice does not fit %s", on)
	}
	i := &invoicePen{sheet: sheet, size: sheets[on]}
	i.pen = newPen(w, sheet.Say, i.size, i.title(), sheet.Made)
	i.begin()
	billed := sheet.Invoice.Orders()
	for n := range billed {
		i.order(&billed[n], len(billed) > 1, n == len(billed)-1)
	}
	i.total()
	i.terms()
	i.pageNumbers()
	if err := i.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: invoice %s: %w", sheet.Invoice.Number, err)
	}
	return i.pen, nil
}

// invoice lays an invoice out from the top down.
type invoicePen struct {
	*pen
	sheet InvoiceSheet
	size  pdf.Size
	y     float64        // where the next line begins
	sum   *billing.Money // of the rows so far; nil before the first that has a price, and after the total
	feet  []pdf.Place
}

func (i *invoicePen) edge() float64 { return i.size.Wd - invoiceMargin }

// end is where a page's text ends, above its number.
func (i *invoicePen) end() float64 { return i.size.Ht - invoiceMargin - footRoom }

// whatRoom is how wide the words of a row may be.
func (i *invoicePen) whatRoom() float64 { return i.edge() - panelsRight - panelsRoom - invoiceMargin }

func (i *invoicePen) isDraft() bool { return i.sheet.Invoice.Number == "" }

// word returns what the document says where invoices and credit notes differ: "head", "draft", "title" and the like.
func (i *invoicePen) word(name string, args ...any) string {
	kind := "paper.invoice."
	if i.sheet.Invoice.IsCredit() {
		kind = "paper.credit."
	}
	return i.sheet.Say.T(kind+name, args...)
}

func (i *invoicePen) title() string {
	if i.isDraft() {
		return i.word("draft")
	}
	return i.word("title", "Number", i.sheet.Invoice.Number)
}

// newPage begins a page, a draft's with its mark.
func (i *invoicePen) newPage() {
	i.pdf.AddPage()
	i.feet = append(i.feet, i.pdf.Reserve())
	i.page++
	i.y = invoiceMargin
	if !i.isDraft() {
		return
	}
	const largest, across = 150, 740 // so wide it stays on the sheet at that slant
	mark, size := i.fit(i.say.T("paper.invoice.draft.mark"), across, largest, bold)
	i.pdf.SetTextColour(shadeOf(225))
	i.pdf.Save()
	i.pdf.Rotate(55, i.size.Wd/2, i.size.Ht/2)
	width := i.plainWidth(mark, size, bold)
	i.plainText((i.size.Wd-width)/2, i.size.Ht/2+capHeight*size/2, mark, size, bold)
	i.pdf.Restore()
	i.pdf.SetTextColour(shadeOf(0))
}

// begin writes whose invoice it is, which, and to whom.
func (i *invoicePen) begin() {
	i.newPage()
	from, half := &i.sheet.From, (i.size.Wd-2*invoiceMargin)/2-10
	y := i.lines(invoiceMargin, i.y, half, from.Shop, 14, bold, 3)
	y = i.block(invoiceMargin, y+2, half, from.Address, 8)

	x := i.size.Wd/2 + 10
	facts := i.lines(x, i.y, half, i.word(map[bool]string{false: "head", true: "draft"}[i.isDraft()]), 22, bold, 2) + 4
	date := "paper.invoice.date"
	if i.isDraft() {
		date = "paper.invoice.drafted"
	} else {
		facts = i.fact(x, facts, half, "paper.invoice.number", i.sheet.Invoice.Number)
	}
	facts = i.fact(x, facts, half, date, i.say.Date(i.sheet.Date))
	if i.sheet.Invoice.IsCredit() {
		facts = i.fact(x, facts, half, "paper.credit.of", i.sheet.Invoice.RefersTo)
	}
	if i.isDraft() {
		facts = i.lines(x, facts+4, half, i.word("draft.help"), headSize, plain, 3)
	}
	i.y = max(y+22, facts+22, toTop)
	i.y = i.lines(invoiceMargin, i.y, half, i.say.T("paper.invoice.to"), headSize, plain, 1)
	i.y = i.lines(invoiceMargin, i.y, 2*half, i.sheet.Invoice.Customer, 12, bold, 3)
	if i.sheet.Invoice.IsCredit() {
		const most = 14 // lines of the longest reason that is taken
		i.y = i.lines(invoiceMargin, i.y+8, i.edge()-invoiceMargin, i.say.T("paper.credit.reason"), headSize, plain, 1)
		i.y = i.lines(invoiceMargin, i.y, i.edge()-invoiceMargin, i.sheet.Invoice.Reason, bodySize, plain, most)
	}
	i.y += 18
	i.tableHead()
}

func (i *invoicePen) fact(x, y, room float64, key, value string) float64 {
	const label = 70.0
	i.fitted(x, y+bodySize, label-4, i.say.T(key), headSize, plain)
	return i.lines(x+label, y, room-label, value, bodySize+1, bold, 2) + 2
}

// block writes a text line by line as it was typed.
func (i *invoicePen) block(x, y, room float64, text string, most int) float64 {
	for n, line := range strings.Split(strings.TrimSpace(text), "\n") {
		if n < most && strings.TrimSpace(line) != "" {
			y = i.lines(x, y, room, line, bodySize, plain, 3)
		}
	}
	return y
}

// tableHead names the columns, on every page.
func (i *invoicePen) tableHead() {
	amount := i.say.T("paper.invoice.amount.none")
	if c := i.sheet.Invoice.Currency; c != "" {
		amount = i.say.T("paper.invoice.amount", "Currency", c)
	}
	i.y += headSize
	i.text(invoiceMargin, i.y, i.say.T("paper.invoice.what"), headSize, plain)
	i.amounts(i.y, headSize, plain, i.say.T("paper.invoice.panels"), i.say.T("paper.invoice.each"), amount)
	i.y += 5
	i.rule(1)
	i.y += rowGap
}

func (i *invoicePen) amounts(y, size float64, st style, panels, each, amount string) {
	i.right(i.edge()-panelsRight, y, panels, size, st)
	i.right(i.edge()-eachRight, y, each, size, st)
	i.right(i.edge(), y, amount, size, st)
}

func (i *invoicePen) rule(width float64) {
	i.pdf.SetLineWidth(width)
	i.pdf.Line(invoiceMargin, i.y, i.edge(), i.y)
	i.pdf.SetLineWidth(ruleWidth)
}

// keep begins a new page, with its head, where a part of some height doesn't fit any more.
func (i *invoicePen) keep(height float64) {
	room := i.end()
	if i.sum != nil {
		room -= carryRoom
	}
	if i.y+height <= room {
		return
	}
	i.carry("paper.invoice.carried")
	i.newPage()
	i.fitted(invoiceMargin, i.y+bodySize, i.edge()-invoiceMargin, join(i.title(), join(i.sheet.From.Shop, i.sheet.Invoice.Customer)), bodySize, plain)
	i.y += bodySize + 14
	i.tableHead()
	i.carry("paper.invoice.brought")
}

// carry writes what the rows so far come to, at a page's foot and at the next one's head.
func (i *invoicePen) carry(key string) {
	if i.sum == nil {
		return
	}
	i.y += bodySize + 4
	i.text(invoiceMargin, i.y, i.say.T(key), bodySize, bold)
	i.right(i.edge(), i.y, i.say.Amount(*i.sum), bodySize, bold)
	i.y += 2 * rowGap
}

// order writes what is billed of one order, with its subtotal where there are several. Total and terms never stand on a page
// alone: the very last row goes with them.
func (i *invoicePen) order(o *invoice.Order, several, last bool) {
	i.keep(4 * bodySize * leading * 2) // with its first row
	i.y = i.lines(invoiceMargin, i.y, i.edge()-invoiceMargin, join(i.say.T("paper.invoice.order", "Order", o.Order), i.sheet.From.Sidemarks[o.Order]), bodySize+1, bold, 3) + rowGap
	for n := range o.Windows {
		w := &o.Windows[n]
		name := w.Window
		if w.Room != "" {
			name = join(name, i.say.T("paper.invoice.room", "Room", w.Room))
		}
		for m := range w.Rows {
			below := 0.0
			if last && n == len(o.Windows)-1 && m == len(w.Rows)-1 {
				below = subtotalRoom + totalRoom + i.termsRoom()
			}
			i.row(name, &w.Rows[m], below)
		}
	}
	if several {
		i.keep(subtotalRoom)
		i.y += bodySize + 2
		i.text(invoiceMargin, i.y, i.say.T("paper.invoice.subtotal", "Order", o.Order), bodySize, bold)
		i.right(i.edge(), i.y, i.say.Amount(billing.Sum(i.sheet.Invoice.Currency, o.Amounts)), bodySize, bold)
		i.y += 14
	}
}

// row writes panels that are alike: where they hang, what they are, how many, and how their amount comes about.
// Below it so much stays on its page.
func (i *invoicePen) row(window string, r *invoice.Row, below float64) {
	texts := []struct {
		text string
		st   style
	}{{window, bold}, {i.say.BilledWhat(r.Line), plain}, {i.say.BilledPanels(*r), plain}}
	if rate := i.say.BilledRate(r.Line); rate != "" {
		texts[2].text = join(texts[2].text, i.say.T("paper.invoice.each")+" "+rate)
	}
	height := rowGap
	for _, t := range texts {
		height += float64(len(i.wrap(t.text, i.whatRoom(), bodySize, t.st, 4))) * bodySize * leading
	}
	i.keep(height + below)
	each, total := i.say.T("paper.invoice.no_price"), ""
	if sum := r.Total(); sum != nil {
		each, total = i.say.Amount(*r.Amount), i.say.Amount(*sum)
		defer i.add(*sum)
	}
	i.amounts(i.y+bodySize, bodySize, plain, measure.Count(len(r.Lines)), each, total)
	for _, t := range texts {
		i.y = i.lines(invoiceMargin, i.y, i.whatRoom(), t.text, bodySize, t.st, 4)
	}
	i.y += rowGap
}

// add adds a row to what is carried over.
func (i *invoicePen) add(row billing.Money) {
	if i.sum != nil {
		row.Minor += i.sum.Minor
	}
	i.sum = &row
}

func (i *invoicePen) total() {
	i.sum = nil
	i.keep(totalRoom)
	i.y += 4
	i.rule(1)
	i.y += 18
	total := "—"
	if i.sheet.Invoice.Currency != "" {
		total = i.say.Money(i.sheet.Invoice.Total())
	}
	i.text(invoiceMargin, i.y, i.word("total"), 13, bold)
	i.right(i.edge(), i.y, total, 13, bold)
	i.y += 22
}

// termsMost is how many lines of its terms a shop has on an invoice at most.
const termsMost = 20

// asks reports whether the document says how it is to be paid; a credit note asks for nothing.
func (i *invoicePen) asks() bool {
	return !i.sheet.Invoice.IsCredit() && strings.TrimSpace(i.sheet.From.Terms) != ""
}

// termsRoom is what the terms take below the total.
func (i *invoicePen) termsRoom() float64 {
	if !i.asks() {
		return 0
	}
	lines := 0
	for n, line := range strings.Split(strings.TrimSpace(i.sheet.From.Terms), "\n") {
		if n < termsMost {
			lines += len(i.wrap(line, i.edge()-invoiceMargin, bodySize, plain, 3))
		}
	}
	return 12 + (headSize+float64(lines)*bodySize)*leading
}

// terms writes how the shop asks to be paid, where it says so.
func (i *invoicePen) terms() {
	if !i.asks() {
		return
	}
	i.keep(i.termsRoom())
	i.y += 12
	i.y = i.lines(invoiceMargin, i.y, i.edge()-invoiceMargin, i.say.T("paper.invoice.terms"), headSize, bold, 1)
	i.y = i.block(invoiceMargin, i.y, i.edge()-invoiceMargin, i.sheet.From.Terms, termsMost)
}

// pageNumbers numbers the pages once it is known how many there are.
func (i *invoicePen) pageNumbers() {
	pages := i.pdf.Pages()
	for n, foot := range i.feet {
		i.page = n + 1
		i.pdf.Fill(foot, func() {
			if pages > 1 {
				i.right(i.edge(), i.size.Ht-invoiceMargin, i.say.T("paper.invoice.page", "Title", i.title(), "Page", i.page, "Pages", pages), smallest, plain)
			}
		})
	}
}
