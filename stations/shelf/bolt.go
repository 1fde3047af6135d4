// Package shelf follows cloth from its receipt to the last remnant: bolts with what came off them, what was found on them and
// where they lie, and counts of what is there. It is pure, like the floor whose shelf it is: Decide says what a command does,
// Apply does it, and the same events give the same shelf whenever they are folded.
package shelf

import (
	"cmp"
	"slices"
	"time"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// State is what may be done with a bolt.
type State string

const (
	Received State = "received" // and not inspected: it can be cut, and says so
	OnShelf  State = "on_shelf"
	OnTable  State = "on_table" // cutting tickets have it
	Held     State = "held"     // its lot, width or shade is in doubt: nobody may cut it
	UsedUp   State = "used_up"
	GoneBack State = "gone_back" // to the supplier or the owner
	Missing  State = "missing"
)

// Bolt is one unbroken length of cloth with a label of its own; read only. A remnant is one too. A mark is a place along it,
// measured from its outer end as it was received: cuts, flaws and repeats keep their marks when the front is gone.
type Bolt struct {
	Code          plan.Code
	Cloth         string // key of the shop's cloth
	Lot           string // the supplier's dye lot
	SupplierPiece string // their number of it, by which one that is received twice is known
	Owner         string // "" the shop, else the customer
	Units         measure.Unit
	Invoiced      measure.Length   // by the supplier, 0 where nobody said
	Received      measure.Length   // measured, before anything came off; 0: not yet
	Began         measure.Length   // the mark where the cloth began when it came
	Begin         measure.Length   // where it begins now
	Rest          measure.Length   // what there is from Begin on; of one that has gone back, what went
	Width         measure.Length   // the least that was measured, else as the supplier says
	Repeats       int              // that were measured together, 0 for none
	OverRepeats   measure.Length   // how long those are together
	FirstRepeat   measure.Length   // the mark of the first
	Ends          measure.Quantity // left uncut at each end, as its cloth wants it; no quantity: as the shop has it
	Flaws         []Flaw
	Place         string
	Lies          State  // where it is, whether held or not
	Hold          string // why nobody may cut it, "" where somebody may
	From          *Origin
	Kept          *Kept
	Opened        bool        // something came off: it costs no new bolt to cut from it
	Measured      bool        // Rest was measured since something came off last
	For           []plan.Code // cutting tickets that have it on the table
	Off           []Off       // what came off, by mark, without a gap from Began to Begin
	Halves        []Off       // of the width, that cuts left beside them: their length is the cuts'
	Strays        []Stray     // what nobody can explain, each time it was measured
	Since         time.Time   // when it came
	Seen          time.Time   // when it was last in somebody's hands

	Events []int64 // what the ledger has of it, taken back or not

	measuredAt time.Time // when its rest was last measured
	was        State     // of a missing one: where it lay
	changes    int
	last       *move
}

// Origin says what a bolt was before it was one of the shelf: a bolt that an order's file lists, or a part of another bolt.
type Origin struct {
	Order  string           `json:"order,omitempty"`
	Fabric string           `json:"fabric,omitempty"`
	Bolt   string           `json:"bolt,omitempty"`
	Parent plan.Code        `json:"parent,omitempty"`
	Mark   measure.Quantity `json:"mark,omitzero"`  // on the parent
	Half   bool             `json:"half,omitempty"` // of the parent's width, beside a cut
}

// Stray is how much less was measured of a bolt than was reckoned; below 0: more.
type Stray struct {
	At     time.Time        `json:"at"`
	Length measure.Quantity `json:"length"`
}

// Kept says for whom a bolt is set aside: an order that isn't released yet, or a customer.
type Kept struct {
	Order    string `json:"order,omitempty"`
	Customer string `json:"customer,omitempty"`
}

// Off is a stretch that came off a bolt, in its whole width or, where Width says how wide it is, half of it.
type Off struct {
	As     OffKind          `json:"as"`
	From   measure.Quantity `json:"from"`
	To     measure.Quantity `json:"to"`
	Ticket plan.Code        `json:"ticket,omitempty"` // of a cut and of one that was spoilt
	Cut    string           `json:"cut,omitempty"`
	Bolt   plan.Code        `json:"bolt,omitempty"` // that a remnant is now; "" while it has no label and nobody said that it is scrap
	Width  measure.Quantity `json:"width,omitzero"`
	At     time.Time        `json:"at,omitzero"`
}

// OffKind says what became of a stretch.
type OffKind string

const (
	AsCut      OffKind = "cut"
	AsSpoilt   OffKind = "spoilt"
	AsFlaw     OffKind = "flaw"
	AsScrapped OffKind = "scrapped"
	AsRemnant  OffKind = "remnant"
)

// Span is the stretch.
func (f *Off) Span() cutting.Span { return cutting.Span{From: f.From.Length(), To: f.To.Length()} }

func (f *Off) length() measure.Length { return f.To.Length() - f.From.Length() }

// move is what may be taken back: the bolt as it was before it.
type move struct {
	action Action
	device string
	at     time.Time
	before *Bolt
}

// Told are the cutting tickets of the last thing done with the bolt that may be taken back, where that was told at the table.
func (b *Bolt) Told() []plan.Code {
	if b.last == nil || b.last.action == PlaceIt || b.last.action == Keep {
		return nil
	}
	return append(slices.Clone(b.For), b.last.before.For...)
}

// State is what may be done with the bolt.
func (b *Bolt) State() State {
	if b.Hold != "" && b.OnHand() {
		return Held
	}
	return b.Lies
}

// OnHand reports whether the bolt is in the shop, as far as is known.
func (b *Bolt) OnHand() bool { return b.Lies == Received || b.Lies == OnShelf || b.Lies == OnTable }

// OpenedSince reports whether the bolt is whole, or was until then: whoever cuts from it since has opened it.
func (b *Bolt) OpenedSince(at time.Time) bool {
	return !b.IsRemnant() && (!b.Opened || b.Began == 0 && len(b.Off) > 0 && !at.IsZero() && !b.Off[0].At.Before(at))
}

// Length is how long the bolt was when it came: as measured, else as invoiced.
func (b *Bolt) Length() measure.Length { return cmp.Or(b.Received, b.Invoiced) }

// End is the mark where the cloth ends.
func (b *Bolt) End() measure.Length { return b.Begin + b.Rest }

// IsRemnant reports whether the bolt came off another one.
func (b *Bolt) IsRemnant() bool { return b.From != nil && b.From.Parent != "" }

// IsHalf reports whether the bolt is half the width of the one that it came off.
func (b *Bolt) IsHalf() bool { return b.From != nil && b.From.Half }

// Repeat is the vertical repeat as measured, over several, to two nanometres, so that half of it is whole; 0 where nobody measured.
func (b *Bolt) Repeat() measure.Length {
	if b.Repeats == 0 {
		return 0
	}
	return 2 * b.OverRepeats.Div(2*int64(b.Repeats))
}

// Changes counts what has happened to the bolt: a plan that was made at another count may no longer hold.
func (b *Bolt) Changes() int { return b.changes }

// Unlabelled are stretches, and halves of widths, that came off and that nobody has called a remnant or scrap yet, by mark.
func (b *Bolt) Unlabelled() []Off {
	var list []Off
	for _, f := range slices.Concat(b.Off, b.Halves) {
		if f.As == AsRemnant && f.Bolt == "" {
			list = append(list, f)
		}
	}
	slices.SortStableFunc(list, func(a, b Off) int { return cmp.Compare(a.From.Length(), b.From.Length()) })
	return list
}

// Account says where a bolt's cloth went. Kerf, what is lost between phases and offcuts too short to keep are scrapped.
type Account struct {
	Received, Cut, Spoilt, Flaw, Scrapped, Remnants measure.Length
	Unexplained                                     measure.Length // more than was measured; below 0: less
	Rest                                            measure.Length
}

// Unexplained is how much less was measured in all than was reckoned; below 0: more.
func (b *Bolt) Unexplained() (sum measure.Length) {
	for i := range b.Strays {
		sum += b.Strays[i].Length.Length()
	}
	return sum
}

// Account adds up what came off the bolt.
func (b *Bolt) Account() Account {
	a := Account{Received: b.Length(), Unexplained: b.Unexplained(), Rest: b.Rest}
	sums := map[OffKind]*measure.Length{AsCut: &a.Cut, AsSpoilt: &a.Spoilt, AsFlaw: &a.Flaw, AsScrapped: &a.Scrapped, AsRemnant: &a.Remnants}
	for i := range b.Off {
		*sums[b.Off[i].As] += b.Off[i].length()
	}
	return a
}

// Balances reports whether what was received is what went somewhere and what is left.
func (a Account) Balances() bool {
	return a.Received == a.Cut+a.Spoilt+a.Flaw+a.Scrapped+a.Remnants+a.Unexplained+a.Rest
}

// quantity is a length in the bolt's unit.
func (b *Bolt) quantity(l measure.Length) measure.Quantity { return measure.OfLength(l, b.Units) }

// copy returns a bolt to change.
func (b *Bolt) copy() *Bolt {
	own := *b
	own.Flaws, own.Off, own.Halves, own.For = slices.Clone(b.Flaws), slices.Clone(b.Off), slices.Clone(b.Halves), slices.Clone(b.For)
	return &own
}

// half returns where in Halves the one is that was left beside a cut, -1 where none was.
func (b *Bolt) half(cut cutting.Span) int {
	return slices.IndexFunc(b.Halves, func(f Off) bool { return f.Span() == cut })
}

// off returns where in Off a cut of a ticket is, -1 where it wasn't made on the bolt or is spoilt.
func (b *Bolt) off(ticket plan.Code, cut string) int {
	return slices.IndexFunc(b.Off, func(f Off) bool { return f.As == AsCut && f.Ticket == ticket && f.Cut == cut })
}
