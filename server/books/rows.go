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
	// Counted are keys that documents have beside the fields, of what the shop has of an entry; sent back they say nothing.
	Counted []string
	// Fields are in the order in which a person fills them in; those of one group stand together.
	Fields []Field
	// Keyed books have ids that the shop chooses, since order files name them: what is put under a new one is added.
	Keyed bool
	// taken are no ids of the book: pages have them for addresses.
	taken map[string]bool
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
	Listed   bool     // it stands in lists
	Helped   bool     // a sentence says how to fill it in; catalogue: book.help.<key>
	Priced   bool     // what a supplier asks: for the office and accounts alone
	Of       []string // the kinds of entry that have it, by the field "kind"; nil: all
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
	office  = []stations.Role{stations.Office, stations.Program}
	offices = []stations.Role{stations.Office, stations.Program, stations.Accounts}
)

// pleated are the kinds of tape that set pleats of their own.
var pleated = []string{"cartridge", "pinch"}

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
		{Key: "kind", Kind: choice("trade", "private"), Group: "who", Listed: true},
		{Key: "names", Kind: others, Group: "who", Helped: true},
		{Key: "billing", Kind: lines(600), Group: "reach"},
		{Key: "delivery", Kind: lines(600), Group: "reach"},
		{Key: "contacts", Kind: list(mostList, text(mostLine)), Group: "reach"},
		{Key: "mail", Kind: address(), Group: "reach", Listed: true},
		{Key: "phone", Kind: text(40), Group: "reach", Listed: true},
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
		{Key: "conventions", Kind: conventions(), Group: "usual", Helped: true},
		{Key: "order_form", Kind: orderForm(), Group: "usual", Helped: true},
		{Key: "floor_note", Kind: notes, Group: "notes"},
		{Key: "office_note", Kind: notes, Group: "notes"},
	}},
	{Book: Cloths, IDKey: "cloth", Named: "name", Readers: offices, Keepers: office, Keyed: true, Counted: []string{"free", "promised", "held", "bolts", "remnants"}, taken: map[string]bool{"receive": true, "count": true}, together: clothFits, Fields: []Field{
		{Key: "name", Kind: named, Group: "who", Required: true},
		{Key: "names", Kind: others, Group: "who", Helped: true},
		{Key: "use", Kind: choice("face", "lining", "interlining"), Group: "who", Listed: true},
		{Key: "supplier", Kind: named, Group: "supply", Listed: true},
		{Key: "number", Kind: text(60), Group: "supply", Listed: true},
		{Key: "colour", Kind: text(60), Group: "supply"},
		{Key: "price", Kind: money(), Group: "supply", Priced: true, Helped: true},
		{Key: "sold_by", Kind: choice("yd", "m"), Group: "supply"},
		{Key: "bolt_length", Kind: onRoll, Group: "supply"},
		{Key: "usable_width", Kind: width, Group: "sizes", Listed: true},
		{Key: "match_width", Kind: some, Group: "sizes"},
		{Key: "vertical_repeat", Kind: any30m, Group: "sizes", Listed: true},
		{Key: "horizontal_repeat", Kind: any30m, Group: "sizes"},
		{Key: "match", Kind: choice("straight", "half_drop"), Group: "sizes"},
		{Key: "pile", Kind: choice("up", "down"), Group: "sizes"},
		{Key: "one_way", Kind: flag(), Group: "sizes"},
		{Key: "sheer", Kind: flag(), Group: "sizes"},
		{Key: "railroads", Kind: flag(), Group: "sizes"},
		{Key: "end_allowance", Kind: length(0, 40*measure.Inch), Group: "sizes", Helped: true},
		{Key: "measured.usable_width", Kind: width, Group: "measured"},
		{Key: "measured.vertical_repeat", Kind: any30m, Group: "measured"},
		{Key: "measured.shrink", Kind: percent, Group: "measured"},
		{Key: "thickness", Kind: length(0, 100*measure.Millimetre), Group: "hand"},
		{Key: "mass", Kind: mass, Group: "hand"},
		{Key: "shrink", Kind: percent, Group: "hand"},
		{Key: "shrink_width", Kind: percent, Group: "hand"},
		{Key: "fibre", Kind: text(mostLine), Group: "hand"},
		{Key: "care", Kind: text(mostLine), Group: "hand", Helped: true}, // in the words of ISO 3758
		{Key: "picture", Kind: text(64), Group: "hand"},
		{Key: "note", Kind: notes, Group: "notes"},
	}},
	{Book: Tapes, IDKey: "id", Named: "name", Readers: office, Keepers: office, Keyed: true, together: tapeFits, Fields: []Field{
		{Key: "name", Kind: named, Group: "who", Required: true},
		{Key: "names", Kind: others, Group: "who", Helped: true},
		{Key: "kind", Kind: choice("cartridge", "pinch", "pencil", "wave", "thread", "trim"), Group: "who", Listed: true},
		{Key: "supplier", Kind: named, Group: "supply"},
		{Key: "number", Kind: text(60), Group: "supply"},
		{Key: "price", Kind: money(), Group: "supply", Priced: true, Helped: true},
		{Key: "roll", Kind: onRoll, Group: "supply"},
		{Key: "cone", Kind: onCone, Group: "supply", Of: []string{"thread"}},
		{Key: "height", Kind: onTape, Group: "sizes", Listed: true},
		{Key: "cords", Kind: count(0, 12), Group: "sizes"},
		{Key: "period", Kind: onTape, Group: "sizes", Of: pleated, Listed: true},
		{Key: "over_ten", Kind: some, Group: "sizes", Of: pleated, Helped: true}, // ten periods, measured on the roll in use
		{Key: "space", Kind: onTape, Group: "sizes", Of: pleated},
		{Key: "pleat_base", Kind: within, Group: "sizes", Of: pleated},
		{Key: "ease_per_pleat", Kind: within, Group: "sizes", Of: pleated},
		{Key: "ends", Kind: choice("mid_space", "flat"), Group: "sizes", Of: []string{"pinch"}},
		{Key: "fingers", Kind: count(2, 4), Group: "sizes", Of: []string{"pinch"}},
		{Key: "tightest", Kind: number(1, 10), Group: "sizes", Of: []string{"pencil"}},
		{Key: "pocket_pitch", Kind: onTape, Group: "sizes", Of: []string{"wave"}},
		{Key: "pockets", Kind: count(1, 99), Group: "sizes", Of: []string{"wave"}},
		{Key: "top_drop", Kind: within, Group: "sewing"},
		{Key: "end_margin.nominal", Kind: within, Group: "sewing", Of: pleated},
		{Key: "end_margin.min", Kind: within, Group: "sewing", Of: pleated},
		{Key: "end_margin.max", Kind: within, Group: "sewing", Of: pleated},
		{Key: "trim_beyond", Kind: within, Group: "sewing"},
		{Key: "insert_length", Kind: some, Group: "sewing", Of: pleated},
		{Key: "heading_fold", Kind: any30m, Group: "sewing"},
		{Key: "note", Kind: notes, Group: "notes"},
	}},
	{Book: Rods, IDKey: "id", Named: "name", Readers: office, Keepers: office, Keyed: true, together: rodFits, Fields: []Field{
		{Key: "name", Kind: named, Group: "who", Required: true},
		{Key: "names", Kind: others, Group: "who", Helped: true},
		{Key: "kind", Kind: choice("pole", "track", "flat"), Group: "who", Listed: true},
		{Key: "supplier", Kind: named, Group: "supply"},
		{Key: "number", Kind: text(60), Group: "supply"},
		{Key: "price", Kind: money(), Group: "supply", Priced: true, Helped: true},
		{Key: "diameter", Kind: length(3*measure.Millimetre, 6*measure.Inch), Group: "sizes", Listed: true},
		{Key: "circumference", Kind: some, Group: "sizes"},
		{Key: "carrier_pitch", Kind: some, Group: "sizes"},
		{Key: "projection", Kind: some, Group: "sizes"},
		{Key: "ring_inner", Kind: some, Group: "sizes"},
		{Key: "ring_drop", Kind: some, Group: "sizes"},
		{Key: "span", Kind: some, Group: "sizes"},
		{Key: "supports", Kind: count(2, 99), Group: "sizes"},
		{Key: "limit", Kind: number(0, 2204, "kg", "lb"), Group: "sizes"}, // 1000 kg
		{Key: "return", Kind: any30m, Group: "panel", Listed: true},
		{Key: "overlap", Kind: any30m, Group: "panel", Listed: true},
		{Key: "note", Kind: notes, Group: "notes"},
	}},
	{Book: Phrases, IDKey: "id", Named: "text", Readers: office, Keepers: office, Fields: []Field{
		{Key: "text", Kind: text(mostLine), Group: "who", Required: true},
		{Key: "names", Kind: list(mostList, text(mostLine)), Group: "who", Helped: true},
		{Key: "kind", Kind: choice("hold", "note", "charge"), Group: "who", Listed: true},
		{Key: "amount", Kind: money(), Group: "who", Of: []string{"charge"}},
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
