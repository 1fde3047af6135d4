// Package shelf is the pages of the shop's cloth: what there is, a bolt that comes in, a bolt, its inspection.
package shelf

import (
	"embed"
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views"
)

// Bolt is a bolt as a list shows it.
type Bolt struct {
	Code      plan.Code
	Cloth     string // as the shop calls it
	Lot       string
	Owner     string // whose it is, where that may be told
	Customers bool   // it is a customer's
	Named     bool   // in a list of several cloths, so that it says which
	State     shelf.State
	Place     string
	Units     measure.Unit     // that it is measured in
	Rest      measure.Quantity // as a list shows cloth: long lengths in yards or metres
	Exact     measure.Quantity // the rest in the bolt's unit
	Free      measure.Quantity
	Longest   measure.Quantity // of what is free
	Measured  bool
	Remnant   bool
	Half      bool // of the width
	KeptFor   string
	Promised  []Promise
}

// Kind names a remnant in the catalogue: bolt.kind.<kind>.
func (b Bolt) Kind() string {
	if b.Half {
		return "half"
	}
	return "remnant"
}

// Promise is what a ticket is still to cut from a bolt.
type Promise struct {
	Ticket plan.Code
	Order  string
	Length measure.Quantity
}

// Cloth is a cloth of which there is something.
type Cloth struct {
	Key, Name       string
	Bolts, Remnants int
	Rest, Free      measure.Quantity
	Held, Missing   int // bolts
}

// IndexPage lists the cloths, or the bolts that were looked for.
type IndexPage struct {
	views.Frame
	Find     string
	Found    []Bolt
	Cloths   []Cloth
	Counting *CountRow // a count that goes on
	Strays   []Month   // newest first
}

// Month is how much less, and more, was measured in a month than was reckoned.
type Month struct {
	Name       string
	Less, More measure.Quantity
}

// ClothPage lists the bolts of a cloth.
type ClothPage struct {
	views.Frame
	Key, Name string
	Gone      bool // those that are used up or gone back
	Bolts     []Bolt
	JoinKey   string    // of the command that joins them
	Waiting   []Waiting // cutting tickets of the cloth that can be cut together, where there are several and the office asks
	Labels    string    // of those that have just come in: the address of their labels
	Answer    *views.Answer
}

// Waiting is a cutting ticket of a cloth that isn't begun, or is at work with its cuts told.
type Waiting struct {
	Ticket plan.Code
	Order  string
	Due    string
	Cuts   int      // still to be made
	With   []string // orders that it is cut with in one run
	Ticked bool
}

// Option is a cloth that may come in.
type Option struct{ Key, Name string }

// ReceivePage takes a bolt in.
type ReceivePage struct {
	views.Frame
	Cloths []Option
	Typed  map[string]string
	Wrong  string // the field that is refused
	Before bool   // it has come in before, and may be taken in all the same
	Answer *views.Answer
}

// Usual are the fields that are typed of most bolts, in their order.
func (ReceivePage) Usual() []string { return []string{"lot", "invoiced", "supplier_piece", "place"} }

// Seldom are the others, which are folded until something stands in one.
func (ReceivePage) Seldom() []string { return []string{"owner", "count", "length", "usable_width"} }

// Texts are all that are typed.
func (p ReceivePage) Texts() []string { return slices.Concat(p.Usual(), p.Seldom()) }

// Opens reports whether the fields that are seldom typed are to be seen.
func (p ReceivePage) Opens() bool {
	return slices.ContainsFunc(p.Seldom(), func(key string) bool { return p.Typed[key] != "" || p.Wrong == key })
}

// Field is a field of the form.
func (p ReceivePage) Field(key string) Field { return Field{key, p.Typed[key], p.Wrong == key} }

// Field is a field as it was typed.
type Field struct {
	Key   string // catalogue: shelf.field.<key>
	Typed string
	Wrong bool // refused
}

// Names of the kinds of flaws, for a choice.
func (InspectPage) Kinds() []shelf.FlawKind { return shelf.FlawKinds }

// FlawRow is a flaw as it is typed.
type FlawRow struct {
	From, To, Points string
	Kind             shelf.FlawKind
	Edge             bool
}

// InspectPage is the inspection of a bolt.
type InspectPage struct {
	views.Frame
	Bolt
	Begin   measure.Quantity // where its cloth begins now, Nothing where that is its outer end
	Holes   orderfile.HolePoints
	Metric  bool
	Repeats bool // the cloth has a pattern, as far as is known
	Typed   map[string]string
	Rows    []FlawRow
	Answer  *views.Answer
}

// Widths are the fields of the width, which is measured at three places.
func (InspectPage) Widths() []Width { return []Width{{1, "width_1"}, {2, "width_2"}, {3, "width_3"}} }

// Width is the field of a width.
type Width struct {
	Number int
	Key    string
}

// Patterned reports whether the fields of the pattern are to be seen.
func (p InspectPage) Patterned() bool {
	return p.Repeats || p.Typed["over"]+p.Typed["repeat"]+p.Typed["first_repeat"] != ""
}

//go:embed *.html
var html embed.FS

var (
	indexPage   = views.Template{Name: "shelf", HTML: html, Files: []string{"index.html", "bolts.html"}}
	clothPage   = views.Template{Name: "shelf-cloth", HTML: html, Files: []string{"cloth.html", "bolts.html"}}
	receivePage = views.Template{Name: "shelf-receive", HTML: html, Files: []string{"receive.html"}}
	inspectPage = views.Template{Name: "inspect", HTML: html, Files: []string{"inspect.html", "bolts.html"}}
)

// Template is how the page is written.
func (IndexPage) Template() *views.Template { return &indexPage }

// Template is how the page is written.
func (ClothPage) Template() *views.Template { return &clothPage }

// Template is how the page is written.
func (ReceivePage) Template() *views.Template { return &receivePage }

// Template is how the page is written.
func (InspectPage) Template() *views.Template { return &inspectPage }
