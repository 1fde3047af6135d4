package views

import (
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// Piece is a ticket as lists and the board show it: a panel that hangs somewhere, a fabric to cut, or a cushion, a repair.
type Piece struct {
	Code      plan.Code
	Kind      plan.Kind
	Order     string
	Customer  string
	Due       string // YYYY-MM-DD or ""
	Window    string // of a piece that is no panel its text
	Room      string
	Panel     string // L, R, S; "" of a fabric, and of a piece that is no panel
	Copy      int    // which of several windows alike, 0 where there is one
	Fabric    string // of a cutting ticket
	Station   plan.Station
	State     stations.State
	Done, Of  int // steps finished, of how many
	Late      bool
	Measures  bool                // something has to be measured before it is begun
	AtRisk    bool                // due soon
	Reason    string              // why it is held
	Picture   string              // id of the one that shows why, "" for none
	ForOffice bool                // held until the office decides; the reason then is a code
	Cloth     *stations.ClothHold // what its bolts lack, where that holds it
	SentBack  *stations.SentBack
	Person    string // who works on it
	Invoice   string // on which it stands

	Kept       []string // numbers that the order's newest file has otherwise, and the work keeps
	Wants      int      // the revision that has them otherwise, 0 where the file has the panel no more
	RemadeFrom plan.Code
	RemadeAs   plan.Code
	Scrapped   bool // ended after its cloth was cut into
	BillsScrap bool // and billed all the same
}

// PieceOf shows a ticket of the floor; today says what is late.
func PieceOf(t *stations.Ticket, today string) Piece {
	p := Piece{
		Code: t.Spec.Code, Kind: t.Spec.Kind, Order: t.Order, Customer: t.Customer, Due: t.Due,
		Window: t.Spec.Window, Room: t.Spec.Room, Panel: t.Spec.Panel, Fabric: t.Spec.Fabric,
		Station: t.Station(), State: t.State(), Done: t.At, Of: len(t.Steps), Invoice: t.Invoice,
	}
	if t.Spec.Copies > 1 {
		p.Copy = t.Spec.Copy
	}
	p.RemadeFrom, p.RemadeAs = t.Spec.RemadeFrom, t.RemadeAs
	p.Scrapped, p.BillsScrap = t.Scrapped, t.BillsScrap
	if t.Spec.Kind != plan.CuttingTicket && !t.Cancelled {
		p.Kept = t.Kept
		if t.Wanted != nil {
			p.Wants = t.Wanted.Revision
		}
	}
	unfinished := p.State != stations.Finished && p.State != stations.Cancelled
	p.Late = unfinished && stations.PastDue(t.Due, today)
	p.AtRisk = unfinished && stations.DueSoon(t.Due, today)
	if step := t.Current(); step != nil {
		p.Measures = step.State == stations.Ready && len(step.MissingAtStart(nil)) > 0
		p.Cloth = step.Cloth
		p.Reason, p.Picture, p.ForOffice, p.SentBack, p.Person = step.Reason, step.Picture, step.ForOffice, step.SentBack, step.Person
	}
	return p
}

// Flag says in two words why a held piece is held, as a key of the catalogue. A person's reason is a sentence and stands
// beside it.
func (p Piece) Flag() string {
	switch key := "page.flag." + p.Reason; {
	case !p.ForOffice:
		return "page.flag.held"
	case p.Reason != "" && i18n.Has(key):
		return key
	}
	return "page.flag.decide"
}

// PiecesOf shows tickets.
func PiecesOf(tickets []*stations.Ticket, today string) []Piece {
	pieces := make([]Piece, 0, len(tickets))
	for _, t := range tickets {
		pieces = append(pieces, PieceOf(t, today))
	}
	return pieces
}

// IsCutting reports whether the piece is a fabric's cutting ticket.
func (p Piece) IsCutting() bool { return p.Kind == plan.CuttingTicket }

// The states that pages set off.
func (p Piece) Held() bool { return p.State == stations.Held }

func (p Piece) AtWork() bool { return p.State == stations.AtWork }

func (p Piece) Waiting() bool { return p.State == stations.Waiting }

func (p Piece) Ready() bool { return p.State == stations.Ready }

func (p Piece) Finished() bool { return p.State == stations.Finished }

// Side reports whether the piece is one of a pair's two panels.
func (p Piece) Side() bool { return p.Panel == string(workup.Left) || p.Panel == string(workup.Right) }

// Flagged reports whether something sets the piece off from those of its order that just hang there.
func (p Piece) Flagged() bool { return p.Held() || p.SentBack != nil || len(p.Kept) > 0 }

// Class returns the piece's style classes: its state, and whether it is late or due soon.
func (p Piece) Class() string {
	c := "piece is-" + string(p.State)
	if p.Late {
		c += " is-late"
	}
	if p.AtRisk {
		c += " is-risk"
	}
	return c
}
