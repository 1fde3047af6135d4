package books

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
)

// Book names one of the shop's books.
type Book string

const (
	Customers Book = "customers"
	Cloths    Book = "cloths" // linings and interlinings are cloths
	Tapes     Book = "tapes"
	Rods      Book = "rods"
	Phrases   Book = "phrases" // lines of text that are used again
)

// Data is a book's row: what its entries are called, and the table of their fields.
type Data struct {
	Book  Book
	IDKey string // of the id in documents
	Named string // the field that names an entry, which no two have alike
	// Readers are shown entries, Keepers change them. Nothing of a book reaches benches and walls but what an order has of it.
	Readers, Keepers []stations.Role
	// Fields are in the order in which a person fills them in; those of one group stand together.
	Fields []Field
	// together tells what is wrong between fields that are each right.
	together func(Fields) []misfit
}

// Field is a row of a book: from it follow how it is read and checked, its place on the page and in documents, its column of a
// CSV file, and its history.
type Field struct {
	Key      string // in documents, where a dot leads into an object; catalogue: book.<book>.<key>, else book.<key>
	Kind     Kind
	Group    string // catalogue: book.group.<group>
	Required bool
	Priced   bool // what a supplier asks: for the office and accounts alone
}

// Fields are what an entry says, by key. A field that says nothing isn't there.
type Fields map[string]string

// Most letters and elements; our own choice.
const (
	mostName  = 100
	mostLine  = 200
	mostLines = 2000
	mostList  = 50
)

var (
	named  = text(mostName)
	notes  = lines(mostLines)
	others = list(mostList, text(mostName))

	any30m  = length(0, 30*measure.Metre)              // as in an order file
	some    = length(1, 30*measure.Metre)              // more than nothing
	onTape  = length(1, 40*measure.Inch)               // from memory; common periods are 3 to 8 in
	within  = length(0, 40*measure.Inch)               // on a tape, too
	onRoll  = length(1, 1000*measure.Metre)            // of a tape's roll, and a bolt
	onCone  = length(1, 100*1000*measure.Metre)        // of thread; our own choice
	width   = length(10*measure.Inch, 5*measure.Metre) // of cloth: from 10 in, as in an order file
	percent = number(0, 50, "%")
	mass    = number(0, 5000, "g/m2", "oz/yd2")
)

// Who reads and keeps books.
var (
	offices = []stations.Role{stations.Office, stations.Program, stations.Accounts}
)

// headings are those that an order file names, those of later too.
func headings() []string {
	var all []string
	for _, h := range orderfile.AllHeadings() {
		all = append(all, string(h))
	}
	return all
}

// all are the books, in the order in which a person is offered them.
var all = []Data{
	{Book: Customers, IDKey: "id", Named: "name", Readers: offices, Keepers: offices, Fields: []Field{
		{Key: "name", Kind: named, Group: "who", Required: true},
		{Key: "kind", Kind: choice("trade", "private"), Group: "who"},
		{Key: "names", Kind: others, Group: "who"},
		{Key: "billing", Kind: lines(600), Group: "reach"},
		{Key: "delivery", Kind: lines(600), Group: "reach"},
		{Key: "contacts", Kind: list(mostList, text(mostLine)), Group: "reach"},
		{Key: "mail", Kind: address(), Group: "reach"},
		{Key: "phone", Kind: text(40), Group: "reach"},
		{Key: "terms", Kind: lines(600), Group: "money"},
		{Key: "tax_number", Kind: text(40), Group: "money"},
		{Key: "tax_status", Kind: choice("taxable", "resale", "exempt", "domestic", "reverse_charge", "intra_eu", "export", "outside"), Group: "money"},
		{Key: "certificate.number", Kind: text(60), Group: "money"},
		{Key: "certificate.place", Kind: text(60), Group: "money"},
		{Key: "certificate.until", Kind: date(), Group: "money"},
		{Key: "price_list", Kind: text(60), Group: "money"},
		{Key: "heading", Kind: choice(headings()...), Group: "usual"},
		{Key: "fullness", Kind: number(1, 10), Group: "usual"},
		{Key: "hems.side", Kind: any30m, Group: "usual"},
		{Key: "hems.bottom", Kind: any30m, Group: "usual"},
		{Key: "lining", Kind: named, Group: "usual"},
		{Key: "conventions", Kind: conventions(), Group: "usual"},
		{Key: "order_form", Kind: orderForm(), Group: "usual"},
		{Key: "floor_note", Kind: notes, Group: "notes"},
		{Key: "office_note", Kind: notes, Group: "notes"},
	}},
}

// All are the shop's books.
func All() []Data { return slices.Clone(all) }

// Data returns the row of a book, nil where there is none of that name.
func (b Book) Data() *Data {
	for i := range all {
		if all[i].Book == b {
			return &all[i]
		}
	}
	return nil
}

// Field returns a field's row, nil where the book has none of that key.
func (d *Data) Field(key string) *Field {
	for i := range d.Fields {
		if d.Fields[i].Key == key {
			return &d.Fields[i]
		}
	}
	return nil
}

// Groups are the groups of a book's fields, in their order.
func (d *Data) Groups() []string {
	var groups []string
	for _, f := range d.Fields {
		if !slices.Contains(groups, f.Group) {
			groups = append(groups, f.Group)
		}
	}
	return groups
}

// SeenBy reports whether somebody of a role is shown the field.
func (f *Field) SeenBy(role stations.Role) bool {
	return !f.Priced || role == stations.Office || role == stations.Accounts
}
