package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// Cut is one cut on a cutting ticket, in the order of cutting.
type Cut struct {
	Cut        string           `json:"cut"`
	Bolt       string           `json:"bolt,omitempty"` // "" where no bolts are listed, or none has room
	Lot        string           `json:"lot,omitempty"`
	From       measure.Quantity `json:"from,omitzero"`      // along the bolt
	OffHalf    bool             `json:"off_half,omitempty"` // the bolt is half as wide as the cloth
	Length     measure.Quantity `json:"length"`
	Class      string           `json:"class,omitempty"`      // A or B of a half-drop
	Phase      measure.Quantity `json:"phase,omitzero"`       // how far behind the pattern's own height it starts, where that is for one height in a room; else as its class says
	TrimTop    measure.Quantity `json:"trim_top,omitzero"`    // before the pattern's height, where a cut may start off it
	TrimBottom measure.Quantity `json:"trim_bottom,omitzero"` // the rest over the plain length
	// Trimming says that the cut is a row of tabs or of strips for bands, or a strip of facing, "" of other cuts. No pattern is matched on it.
	Trimming   workup.TrimmingUse `json:"trimming,omitempty"`
	Across     measure.Quantity   `json:"across,omitzero"`      // of a row of tabs: how wide each is cut; of a railroaded cut how much of the bolt's width it needs
	Railroaded bool               `json:"railroaded,omitempty"` // the panel's width runs along the bolt, its top along one edge of it. No pattern is matched on it
	For        []CutPart          `json:"for"`                  // one, or the two halves. Of a row of cushions, or of tabs, each with a part in it
	Done       bool               `json:"done,omitempty"`       // told as cut at the table
	DoneLength measure.Quantity   `json:"done_length,omitzero"` // as it was cut
}

// CutPart says whose piece a cut, or half of one, is.
type CutPart struct {
	Ticket Code        `json:"ticket,omitempty"` // the panel's
	Window string      `json:"window"`
	Copy   int         `json:"copy"`
	Copies int         `json:"copies"`          // how many such windows the treatment has
	Panel  string      `json:"panel"`           // "" of a piece
	Place  int         `json:"place"`           // from the return edge, from 1
	Half   workup.Half `json:"half,omitempty"`  // left, right, "" for a whole width
	Count  int         `json:"count,omitempty"` // of a trimming: how many tabs, or strips, of the cut are the panel's
}

// Share is what one panel has of a cut, with what the cut is.
type Share struct {
	CutPart
	Trimming workup.TrimmingUse
	Across   measure.Quantity
}

// Shares says what each panel has of a cut.
func (l Cut) Shares() []Share {
	shares := make([]Share, len(l.For))
	for i, p := range l.For {
		shares[i] = Share{p, l.Trimming, l.Across}
	}
	return shares
}

// String tags a piece without words: "Bay, left 1 L/2" is the second piece from the return edge of panel L of the
// first such window, "Bench seat 1/2" the second cut of the first such piece. The half, where it is one, has its name in the catalogue: "half.left".
func (p CutPart) String() string {
	if p.Panel == "" {
		return fmt.Sprintf("%s %d/%d", p.Window, p.Copy, p.Place)
	}
	return fmt.Sprintf("%s %d %s/%d", p.Window, p.Copy, p.Panel, p.Place)
}

// Remnant is what is left at the end of a bolt after the order's cuts.
type Remnant struct {
	Bolt   string           `json:"bolt"`
	From   measure.Quantity `json:"from"`
	Length measure.Quantity `json:"length"`
}

// End is where a cut ends on its bolt, as it was cut where it is.
func (l *Cut) End() measure.Length {
	return l.From.Length() + cmp.Or(l.DoneLength, l.Length).Length()
}

// Span is the stretch that a cut takes of its bolt.
func (l *Cut) Span() cutting.Span { return cutting.Span{From: l.From.Length(), To: l.End()} }

// Lie puts a cut at a mark of a bolt of a lot, which may be half as wide as the cloth.
func (l *Cut) Lie(bolt, lot string, half bool, from measure.Quantity) {
	l.Bolt, l.Lot, l.OffHalf, l.From = bolt, lot, half, from
}

// LieNowhere takes a cut off the bolt that it was to be cut from.
func (l *Cut) LieNowhere() { l.Lie("", "", false, measure.Quantity{}) }

// OddHalf reports whether the cut is half a width and nobody has the other half.
func (l *Cut) OddHalf() bool { return len(l.For) == 1 && l.For[0].Half != workup.Whole }

// LeavesHalf reports whether half a width is left beside the cut, which nobody has.
func (l *Cut) LeavesHalf() bool { return l.OddHalf() && !l.OffHalf }

// Make says that the cut is made, so long; where it was made at another place than planned, from says where, and top how much of it lies
// before its pattern's height there. A cut that came out shorter has less to trim.
func (l *Cut) Make(length, from, top measure.Quantity) {
	unit := l.Length.Unit()
	if !from.IsZero() {
		trims := l.TrimTop.Length() + l.TrimBottom.Length()
		l.From, l.TrimTop, l.TrimBottom = from, top, OptionalLength(trims-top.Length(), unit)
	}
	l.Done, l.DoneLength = true, length
	l.TrimBottom = OptionalLength(l.TrimBottom.Length()-l.short(), unit)
}

// Unmake says that the cut is to be made again, as long as it was planned.
func (l *Cut) Unmake() {
	l.TrimBottom = OptionalLength(l.TrimBottom.Length()+l.short(), l.Length.Unit())
	l.Done, l.DoneLength = false, measure.Quantity{}
}

// short is by how much the cut was made shorter than planned.
func (l *Cut) short() measure.Length {
	if !l.Done {
		return 0
	}
	return max(0, l.Length.Length()-l.DoneLength.Length())
}

// Behind is how far behind the pattern's own height the cuts of its panel start, those of class B half a repeat more.
func (l *Cut) Behind(repeat measure.Length) measure.Length {
	if l.Phase.IsZero() || repeat <= 0 {
		return 0
	}
	behind := l.Phase.Length()
	if l.Class == "B" {
		behind -= repeat.Div(2)
	}
	return (behind + repeat) % repeat
}

// Cut returns a cut of the ticket by its number, nil where it has none of it.
func (s *Ticket) Cut(cut string) *Cut {
	for i := range s.Cuts {
		if s.Cuts[i].Cut == cut {
			return &s.Cuts[i]
		}
	}
	return nil
}

// KnowsCloth reports whether bolts were listed when the ticket's cuts were laid out.
func (s *Ticket) KnowsCloth() bool { return !s.Number("on_bolts").IsZero() }

// Unplaced are a cutting ticket's cuts that lie on no bolt and aren't cut, and their length together.
func (s *Ticket) Unplaced() (cuts []string, short measure.Length) {
	for i := range s.Cuts {
		if l := &s.Cuts[i]; l.Bolt == "" && !l.Done {
			cuts = append(cuts, l.Cut)
			short += l.Length.Length()
		}
	}
	return cuts, short
}

// NumberCuts numbers a cutting ticket's cuts, and sets how many there are and how much cloth they take: half a repeat more
// where a half-drop has both classes, as the work-up counts it, is in the gaps between them.
func (s *Ticket) NumberCuts() {
	var length measure.Length
	done := map[string]bool{} // a piece that is cut keeps the number on its tag
	for i := range s.Cuts {
		length += s.Cuts[i].Length.Length()
		if s.Cuts[i].Done {
			done[s.Cuts[i].Cut] = true
		}
	}
	n := 0
	for i := range s.Cuts {
		if s.Cuts[i].Done {
			continue
		}
		for n++; done[strconv.Itoa(n)]; n++ {
		}
		s.Cuts[i].Cut = strconv.Itoa(n)
	}
	for i := range s.Steps {
		step := &s.Steps[i]
		step.Values = slices.Clone(step.Values)
		for k := range step.Values {
			switch v := &step.Values[k]; v.Name {
			case "cuts":
				v.Value = measure.OfCount(len(s.Cuts))
			case "length":
				v.Value = measure.OfLength(length, s.Units)
			}
		}
	}
}

// Along says what the cuts of a ticket have along their bolt: "length", of those that are turned "run", which is their panel's width, and of
// a ticket with both "length_or_run".
func Along(cuts []Cut) string {
	turned := 0
	for i := range cuts {
		if cuts[i].Railroaded {
			turned++
		}
	}
	switch turned {
	case 0:
		return "length"
	case len(cuts):
		return "run"
	}
	return "length_or_run"
}

// Names of what is asked at the cutting table of a bolt of the shelf, each followed by which: a cut's number, a bolt's code, a stretch's number.
const (
	CutEntry     = "cut."
	RestEntry    = "rest."
	RemnantEntry = "remnant."
)

// AtTable reports whether an entry is one of the cutting table, and of which cut, bolt or stretch.
func AtTable(entry string) (kind, which string, is bool) {
	for _, kind := range []string{CutEntry, RestEntry, RemnantEntry} {
		if which, is := strings.CutPrefix(entry, kind); is {
			return kind, which, true
		}
	}
	return "", "", false
}
