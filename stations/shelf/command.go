package shelf

import (
	"strings"
	"time"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
)

// Action is what a command or an event does.
type Action string

const (
	Receive      Action = "receive"
	Inspect      Action = "inspect"
	PlaceIt      Action = "place"
	Keep         Action = "keep"
	Unkeep       Action = "unkeep"
	HoldBolt     Action = "hold_bolt"
	FreeBolt     Action = "free_bolt"
	Lay          Action = "lay"
	Cut          Action = "cut"
	TellFlaw     Action = "flaw"
	Spoil        Action = "spoil"
	Part         Action = "part"
	Rest         Action = "rest"
	Scrap        Action = "scrap"
	GiveBack     Action = "give_back"
	Lose         Action = "lose"
	Find         Action = "find"
	ReleaseCloth Action = "release_cloth"
	BeginCount   Action = "begin_count"
	CountBolt    Action = "count_bolt"
	EndCount     Action = "end_count"
	Settle       Action = "settle"
	MergeCloth   Action = "merge_cloth"
	Undo         Action = "undo"
	// CutAll is what a cutting that is finished made of its bolts, nobody having told of them at the table.
	CutAll Action = "cut_all"
)

// Command is one wish about a bolt or a count. Lengths are as people write them, a bare number in the bolt's unit; From and To are
// marks.
type Command struct {
	Action   Action
	Bolt     plan.Code
	Length   string      `json:",omitempty"`
	Widths   []string    `json:",omitempty"` // at several places: the least counts
	Repeats  int         `json:",omitempty"` // measured together
	Over     string      `json:",omitempty"` // their length
	First    string      `json:",omitempty"` // the mark of the first repeat
	Flaws    []FlawTold  `json:",omitempty"`
	Place    string      `json:",omitempty"`
	Order    string      `json:",omitempty"` // for which it is kept, or laid
	Customer string      `json:",omitempty"` // for whom it is kept
	Reason   string      `json:",omitempty"`
	Lot      bool        `json:",omitempty"` // of a hold: all bolts of the lot
	Tickets  []plan.Code `json:",omitempty"` // of a lay: that cut from it
	Cloth    string      `json:",omitempty"` // of a lay: what those are cut from
	Ticket   plan.Code   `json:",omitempty"` // of a cut and of one that is spoilt
	Cut      string      `json:",omitempty"`
	From     string      `json:",omitempty"`
	To       string      `json:",omitempty"`
	After    string      `json:",omitempty"` // of a flaw: From and To are measured from the end of this cut
	Keep     bool        `json:",omitempty"` // of a spoilt cut: it is a remnant
	Seen     bool        `json:",omitempty"` // of a cut: with the flaw that is in it
	Again    bool        `json:",omitempty"` // of a rest: measured twice
	Count    string      `json:",omitempty"`
	As       Settlement  `json:",omitempty"`

	Beside measure.Length `json:"-"` // the width that a cut doesn't take, 0 for none
	New    plan.Code      `json:"-"` // a code drawn for what comes off; a count's id stands in Count
	Ways   Ways           `json:"-"`
}

// FlawTold is a flaw as somebody types it. Points 0: by its kind and length.
type FlawTold struct {
	From   string
	To     string   `json:",omitempty"` // "" for a spot
	Points int      `json:",omitempty"`
	Kind   FlawKind `json:",omitempty"`
	Edge   bool     `json:",omitempty"`
}

// Receipt is a bolt that came in, as somebody types it.
type Receipt struct {
	Cloth         string
	Lot           string       `json:",omitempty"`
	SupplierPiece string       `json:",omitempty"`
	Owner         string       `json:",omitempty"`
	Length        string       `json:",omitempty"` // measured
	Invoiced      string       `json:",omitempty"`
	Width         string       `json:",omitempty"`
	Place         string       `json:",omitempty"`
	Units         measure.Unit `json:",omitempty"`
	Begin         string       `json:",omitempty"` // where the cloth begins: of a bolt of an order's file that was cut from
	From          *Origin      `json:",omitempty"`
	// Of a bolt of an order's file, with what that says, so that nobody types it again.
	FirstRepeat measure.Quantity `json:"-"`
	Flaws       []Flaw           `json:"-"`
	Ends        string           `json:"-"` // left uncut at each end, where the cloth has its own
	Codes       []plan.Code      `json:"-"` // drawn, one for each alike bolt
	Count       int              `json:",omitempty"`
}

// Ways are the shop's own ways with cloth.
type Ways struct {
	orderfile.ShelfWays
	ReasonToScrap measure.Length // what is longer is scrapped for a reason
}

// WaysOf are a shop's ways with a bolt that is measured in units; that a yard or a metre is scrapped for a reason is our own choice.
func WaysOf(shop orderfile.ShelfWays, units measure.Unit) Ways {
	w := Ways{shop, measure.Yard}
	if units.Metric() {
		w.ReasonToScrap = measure.Metre
	}
	return w
}

// ShippedWays are those of a shop that has none of its own.
func ShippedWays(units measure.Unit) Ways {
	return WaysOf(orderfile.DefaultConventions(units).Shelf, units)
}

// Around is what a command meets beside the shelf.
type Around struct {
	Seq      int64 // of the event, once it has one
	Device   string
	Person   string
	At       time.Time
	Promised []Promise            // cuts of tickets that are still to be made from the bolt
	Customer string               // whose the order of a keep or a lay is
	Used     func(plan.Code) bool // whether a ticket has a code
}

// Refusal is a command that the shelf refuses; nothing changed.
type Refusal struct {
	Code  string // a promise: "on_table", ...
	Field string
	Args  map[string]any // for the sentence "refusal.<code>"
	Bolts []plan.Code    // others that it is about
	Place string
	Of    []plan.Code // tickets that it is about
	Row   int         // of a receipt, from 0
}

func (r *Refusal) Error() string { return "shelf: refused: " + r.Code }

// refuse makes a refusal; args are by turns a name and its value.
func refuse(code, field string, args ...any) *Refusal {
	r := &Refusal{Code: code, Field: field, Args: map[string]any{}}
	for i := 0; i+1 < len(args); i += 2 {
		r.Args[args[i].(string)] = args[i+1]
	}
	return r
}

// refuse makes a refusal that says which bolt it is, and where.
func (b *Bolt) refuse(code, field string, args ...any) *Refusal {
	r := refuse(code, field, append(args, "Bolt", string(b.Code), "Cloth", b.Cloth, "Lot", b.Lot, "Place", b.Place, "Reason", b.Hold, "State", b.State())...)
	r.Bolts, r.Place, r.Of = []plan.Code{b.Code}, b.Place, b.For
	return r
}

func badValue(field, value string) *Refusal {
	return refuse("bad_value", field, "Name", field, "Value", value)
}

func missing(field string) *Refusal { return refuse("missing_key", field, "Name", field) }

const (
	longest  = 1000 * measure.Metre // of a bolt, as in an order file
	mostWord = 60                   // letters of a lot, a place, a supplier's piece
	mostLine = 200                  // of a reason
	narrow   = 10 * measure.Inch    // of a cloth's width, as in the book of cloths
	wide     = 5 * measure.Metre
)

// lengthOf reads a length that somebody typed, 0 to 1 km.
func lengthOf(field, text string, units measure.Unit) (measure.Length, *Refusal) {
	if blank(text) {
		return 0, missing(field)
	}
	l, err := measure.Parse(text, units)
	if err != nil {
		return 0, refuse("bad_length", field, "Name", field, "Value", text)
	}
	if l < 0 || l > longest {
		return 0, badValue(field, text)
	}
	return l, nil
}

// maybeLength is lengthOf for one that may be left out.
func maybeLength(field, text string, units measure.Unit) (measure.Length, *Refusal) {
	if blank(text) {
		return 0, nil
	}
	return lengthOf(field, text, units)
}

func widthOf(field, text string, units measure.Unit) (measure.Length, *Refusal) {
	l, r := lengthOf(field, text, units)
	if r == nil && (l < narrow || l > wide) {
		r = badValue(field, text)
	}
	return l, r
}

// short refuses words that are too long; texts are by turns a field and what stands there.
func short(most int, texts ...string) *Refusal {
	for i := 0; i+1 < len(texts); i += 2 {
		if utf8.RuneCountInString(texts[i+1]) > most {
			return refuse("bad_value", texts[i], "Name", texts[i], "Value", "", "Most", most)
		}
	}
	return nil
}

func blank(s string) bool { return strings.TrimSpace(s) == "" }
