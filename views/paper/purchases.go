package paper

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"tablehand/engine/measure"
	"tablehand/views/i18n"
)

// PurchasesDoc is what has to be bought for the orders that are due in some days.
type PurchasesDoc struct {
	Say       *i18n.Printer
	Sheet     Sheet // "" letter
	Shop      string
	From, To  string // due dates, both included, YYYY-MM-DD
	Suppliers []PurchasesOf
	Made      time.Time
}

// PurchasesOf is what to buy of one supplier, whose name is "" where the books don't say.
type PurchasesOf struct {
	Supplier string
	Lines    []PurchaseLine
}

// PurchaseLine is one thing to buy.
type PurchaseLine struct {
	What                  string // catalogue: purchases.what.<what>
	Name                  string
	Number                string           // the supplier's
	Size                  measure.Quantity // the height of buckram, the drop of hooks, both diameters of eyelets
	Need, OnHand, ToOrder measure.Quantity
	Packs                 int // 0: the books don't say what one holds
	Orders                []string
	State                 string // catalogue: purchases.state.<state>; "open" is yet to be ordered
}

// Purchases writes a sheet for every supplier, more where its lines take them, with a box to tick at each line. The error is for
// labels and tags, which are too small.
func Purchases(w io.Writer, doc PurchasesDoc) error {
	_, err := writePurchases(w, doc)
	return err
}

func writePurchases(w io.Writer, doc PurchasesDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Letter)
	if sheet == Labels || sheet == TagStock {
		return nil, fmt.Errorf("paper: a purchase list does not fit labels or tags")
	}
	title := doc.Say.T("purchases.title")
	const orders = 45 // lines of a cell that names them, one each where names are long
	k := &purchases{flow: flow{pen: newPen(w, doc.Say, sheets[sheet], title, doc.Made), size: sheets[sheet], tall: orders}, doc: &doc}
	if len(doc.Suppliers) == 0 {
		k.supplier(nil)
	}
	for i := range doc.Suppliers {
		k.supplier(&doc.Suppliers[i])
	}
	k.numberSheets(join(doc.Shop, title))
	if err := k.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: purchases: %w", err)
	}
	return k.pen, nil
}

// purchases is a purchase list as it is written.
type purchases struct {
	flow
	doc *PurchasesDoc
}

// supplier begins a sheet for a supplier, nil where there is nothing to buy at all.
func (k *purchases) supplier(of *PurchasesOf) {
	name := ""
	if of != nil {
		name = cmp.Or(of.Supplier, k.say.T("purchases.nobody"))
	}
	k.part(func() error {
		k.write(join(k.doc.Shop, k.say.T("purchases.title")), 11, plain, 2)
		k.write(name, 22, bold, 2)
		k.write(k.say.T("paper.purchases.due", "From", k.say.Date(k.doc.From), "To", k.say.Date(k.doc.To)), 12, plain, 2)
		k.y += 8
		return nil
	})
	if of == nil {
		k.write(k.say.T("purchases.none"), 12, plain, 2)
		return
	}
	rows := make([][]string, len(of.Lines))
	for i := range of.Lines {
		rows[i] = k.line(&of.Lines[i])
	}
	const what, toOrder = 1, 5 // read first, across the counter or down the phone
	k.table([]column{
		{"", 0.04}, {k.say.T("paper.purchases.what"), 0.26}, {k.say.T("paper.purchases.number"), 0.1}, {k.say.T("paper.purchases.need"), 0.11},
		{k.say.T("paper.purchases.on_hand"), 0.09}, {k.say.T("paper.purchases.to_order"), 0.11}, {"", 0.1}, {k.say.T("paper.purchases.orders"), 0.19},
	}, rows, what, toOrder)
}

// line is a row of the table: the box is ticked, and the state said, of what is ordered or here.
func (k *purchases) line(l *PurchaseLine) []string {
	what := strings.TrimSpace(k.say.T("purchases.what."+l.What) + " " + l.Name)
	if !l.Size.IsZero() {
		what += " " + k.say.Quantity(l.Size)
	}
	box, packs, state := "□", "", ""
	if l.Packs > 0 {
		packs = k.say.N("purchases.packs", l.Packs)
	}
	if l.State != "open" {
		box, state = "☑", k.say.T("purchases.state."+l.State)
	}
	onHand := ""
	if !l.OnHand.IsZero() {
		onHand = k.say.Quantity(l.OnHand)
	}
	return []string{box, what, l.Number, k.say.Quantity(l.Need), onHand, k.say.Quantity(l.ToOrder), join(packs, state), strings.Join(l.Orders, ", ")}
}
