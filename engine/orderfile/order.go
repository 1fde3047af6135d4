// Package orderfile turns the bytes of an order file (YAML; JSON is accepted, being YAML) into a typed order, or
// into every problem of the file at its line and column. It does no I/O.
package orderfile

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// Use says what a fabric is in a panel.
type Use string

const (
	Face        Use = "face"
	Lining      Use = "lining"
	Interlining Use = "interlining"
)

// Match says how a pattern with a vertical repeat meets itself sideways.
type Match string

const (
	Straight Match = "straight"
	HalfDrop Match = "half_drop"
)

// Draw says which way a treatment opens; the side is where it stacks, seen from the room.
type Draw string

const (
	Pair           Draw = "pair"
	OneWayLeft     Draw = "one_way_left"
	OneWayRight    Draw = "one_way_right"
	StationaryPair Draw = "stationary_pair"
	Stationary     Draw = "stationary"
)

// Paired reports whether the draw hangs two panels, left and right.
func (d Draw) Paired() bool { return d == Pair || d == StationaryPair }

// CordEnd says how the loose end of a pulled-up tape's cords is made safe.
type CordEnd string

const (
	Wound  CordEnd = "wound"  // wound and stitched flat: can be let out for cleaning
	Tucked CordEnd = "tucked" // tucked into the end and sewn shut
	Cut    CordEnd = "cut"    // cut and stitched under: can't be let out
)

// Order is one client's order of windows, as its file says it with the defaults filled in.
type Order struct {
	ID       string
	Customer string
	// Sidemark is the client's name for the job; often a name, so tickets print it only when PrintSidemark.
	Sidemark      string
	PrintSidemark bool
	Due           string // civil date YYYY-MM-DD, "" where the file gives none
	Notes         string
	Units         measure.Unit // In, CM or MM
	Conventions   Conventions
	Fabrics       []Fabric
	Tapes         []Tape
	Rods          []Rod
	Treatments    []Treatment
	Pieces        []Piece // what is made beside the windows, or instead of them

	positions map[string]position
}

// Fabric is one cloth of the order.
type Fabric struct {
	ID             string
	Cloth          string // which of the shop's cloths it is, "" where the file doesn't say
	Use            Use
	OneWay         bool           // nap or motif runs one way: halves as for patterned cloth
	Thickness      measure.Length // 0 unless the order says
	UsableWidth    measure.Length // less selvedges
	MatchWidth     measure.Length // pitch at which the pattern meets itself sideways; 0 where not given
	VerticalRepeat measure.Length // 0: plain
	Match          Match
	// HorizontalRepeat is from motif to motif across the cloth, 0 none; MotifOffset from the left usable edge, right side up, to the middle
	// of the first one.
	HorizontalRepeat measure.Length
	MotifOffset      measure.Length
	Pile             Pile
	Sheer            bool     // hangs before the light: wider hems, more fullness, a cord of weights
	Railroads        bool     // woven to be turned: its pattern stands upright when the width runs along the bolt
	Shrink           *Percent // of the length; nil as the convention
	ShrinkWidth      Percent
	Relax            Percent         // how much the hanging panel grows
	Mass             AreaMass        // 0 unknown
	BoltLength       *measure.Length // of a usual bolt, 0 unknown; nil as the convention
	Bolts            []Bolt
}

// Pile says which way the nap of a fabric lies when it hangs, "" without one. Sources differ on which hangs better, so there is no default.
type Pile string

const (
	PileUp   Pile = "up"
	PileDown Pile = "down"
)

// Besides is the fabric with more of its bolts of the shelf spoken for, by their codes, which cuts there keep a kerf from: itself, or another.
func (f *Fabric) Besides(spoken map[string][]Flaw) *Fabric {
	if !slices.ContainsFunc(f.Bolts, func(b Bolt) bool { return b.Shelf != "" && len(spoken[b.Shelf]) > 0 }) {
		return f
	}
	other := *f
	other.Bolts = slices.Clone(f.Bolts)
	for i := range other.Bolts {
		b := &other.Bolts[i]
		for _, s := range spoken[b.Shelf] {
			b.Spoken = append(slices.Clip(b.Spoken), Flaw{s.From - b.Kerf, s.To + b.Kerf})
		}
	}
	return &other
}

// ByName are the fabric's bolts by their ids.
func (f *Fabric) ByName() map[string]*Bolt {
	named := make(map[string]*Bolt, len(f.Bolts))
	for i := range f.Bolts {
		named[f.Bolts[i].ID] = &f.Bolts[i]
	}
	return named
}

// AreaMass is what a square metre of cloth weighs, in micrograms.
type AreaMass int64

// Plain reports whether the cloth has no vertical repeat.
func (f *Fabric) Plain() bool { return f.VerticalRepeat == 0 }

// Bolt is one length of cloth on hand. All places on it are measured from its first cut end, and stay so when a part of
// it has gone to another order.
type Bolt struct {
	ID          string
	Shelf       string         // the code of one on the shop's shelf: what that says of it counts
	Length      measure.Length // of the whole bolt; 0 of one of the shelf whose length the file leaves to that
	From        measure.Length // this order's part runs from here to the bolt's end; 0 is all of it
	Lot         string
	FirstRepeat measure.Length // from the bolt's cut end to the first start of the pattern
	Flaws       []Flaw
	// Linked says that no file names it: the shelf has it of the fabric's cloth. Spoken are stretches of a bolt of the shelf that other orders are to be cut from, and Repeat its own as it was measured, an even number of
	// nanometres, 0 where it wasn't. Opened says that it was cut from, or is a remnant: to cut from it opens nothing. No file says these.
	Linked bool
	Spoken []Flaw
	Repeat measure.Length
	Opened bool
	// Half says that a piece of the shelf is half as wide as the cloth: only the odd half of a width is cut from it.
	Half bool
	// Kerf is lost between two cuts on a bolt of the shelf, and what stays of it is kept from MinRemnant on.
	Kerf, MinRemnant measure.Length
}

// OnHand is how much of a bolt the order may be cut from, flaws counted as cloth: its part of it, less what is spoken for.
func (b *Bolt) OnHand() measure.Length {
	spoken := slices.SortedFunc(slices.Values(b.Spoken), func(a, b Flaw) int { return cmp.Compare(a.From, b.From) })
	at, sum := b.From, measure.Length(0)
	for _, s := range spoken {
		sum += max(0, min(s.From, b.Length)-at)
		at = max(at, s.To)
	}
	return sum + max(0, b.Length-at)
}

// Flaw is a stretch of a bolt that no cut may contain.
type Flaw struct{ From, To measure.Length }

// EndMargin is the flat from a panel's edge to the first dot of its tape.
type EndMargin struct{ Nominal, Min, Max measure.Length }

// Tape is a heading tape. Lengths lie along the tape unless said. Period to PleatBase are of one that sets pleats.
type Tape struct {
	ID           string
	Period       measure.Length // dot to dot, flat
	Space        measure.Length // flat between pleats
	Height       measure.Length
	Cords        int
	TopDrop      measure.Length // tape below the folded edge
	EndMargin    EndMargin
	TrimBeyond   measure.Length // left past the edge to tuck under
	InsertLength measure.Length // buckram for each pleat; default 3·take-up
	Kind         TapeKind
	Ends         TapeEnds       // of a pinch tape
	Fingers      int            // of a pinch tape: that each pleat is drawn up into
	Tightest     measure.Ratio  // of a pencil tape: flat over fully drawn
	PocketPitch  measure.Length // of a wave tape: from pocket to pocket, flat
	Pockets      int            // of a wave tape: from one hook to the next
	PleatBase    measure.Length // what the closed base of a pleat still takes of the width; 0 until measured
	// HeadingFold and EasePerPleat are the tape's own, before the convention's; nil where not given.
	HeadingFold  *measure.Length
	EasePerPleat *measure.Length
}

// TakeUp returns the cloth that one pleat consumes.
func (t *Tape) TakeUp() measure.Length { return t.Period - t.Space }

// Hang is a finished length asked as a sum: BearingToFloor + HeadingAboveBearing − Clearance. HeadingAboveBearing is below 0 of a heading
// that hangs under its bearing; Own says that the order leaves it to the heading.
type Hang struct {
	BearingToFloor, HeadingAboveBearing, Clearance measure.Length
	Own                                            bool
}

// Treatment is one window's order line.
type Treatment struct {
	Window         string
	Room           string
	Heading        Heading
	Tape           string // the tape's id, of a heading set by tape; filled in where the order defines just one
	Draw           Draw
	FaceWidth      measure.Length // 0 where the panel is asked by its own width
	FinishedWidth  measure.Length // the panel's own: of stationary draws, and of others that give it instead; 0 else
	Return         measure.Length
	ReturnOther    *measure.Length // of a pair the right panel's, nil as Return; else of the other edge, nil none
	Overlap        measure.Length
	FinishedLength measure.Length // of Hang where that is given
	Hang           *Hang
	GlassWidth     measure.Length // 0 unknown
	Puddle         measure.Length // added to the finished length in the cut
	Face           string
	Lining         string // "" none
	Interlining    string // "" none
	Quantity       int
	CordEnd        CordEnd
	HookDrop       measure.Length // from the top edge down to the hooks
	Under          string         // a top treatment that hides the heading; "" none
	Notes          string

	// Overrides of heading data; nil where not given. Hems and fold are depths of double turns.
	HeadingFold *measure.Length
	BottomHem   *measure.Length
	SideHem     *measure.Length
	Pleats      *int
	Widths      *measure.Halves // of each panel
	Surplus     Surplus         // TrimSurplus, KeepSurplus; "" as Widths or the conventions have it
	// Fullness is of headings that no tape sets, LeadFlat of those set by hand. It is the flat from the leading edge to the first
	// pleat.
	Fullness *measure.Ratio
	LeadFlat *measure.Length
	Inserts  Filling // of the pleats of a heading whose row names fillings; "" where nothing is filled

	Rod    string // the rod's id, filled in where the order defines just one; "" none
	Points Points
	Eyelet EyeletSize // of eyelets alone, as Tab and Pocket
	Tab    TabSize
	Pocket PocketSize

	Motif          Motif
	MotifLead      *measure.Length // of a mirrored pair: leading edge to the first motif's middle; nil: half a repeat
	MotifHeight    measure.Length  // above the hem, or below the top (Conventions.MotifFrom): where a full pattern begins
	HemHeight      measure.Length  // of the hem above the lowest one of the room
	Railroad       bool            // the panel's width runs along the bolt
	RailroadLining bool
	Bands          []Band // one an edge at the most
}

// Motif says where across a panel the motifs of its cloth stand.
type Motif string

const (
	Marching       Motif = "marching"        // wherever they come
	Mirrored       Motif = "mirrored"        // as far from either leading edge of a pair
	CentredOn      Motif = "centred_on"      // one in the middle of the panel
	CentredBetween Motif = "centred_between" // two of them at the same distance from the middle
)

// Band is a strip of another cloth along an edge of a panel.
type Band struct {
	Edge   BandEdge
	Width  measure.Length // as it is seen
	Fabric string
	Method BandMethod
	Offset measure.Length // of one applied: from the edge
}

// BandEdge is the edge of a panel that a band runs along.
type BandEdge string

const (
	BandLeading BandEdge = "leading"
	BandReturn  BandEdge = "return"
	BandBottom  BandEdge = "bottom"
)

// BandMethod says how a band is sewn on.
type BandMethod string

const (
	Joined  BandMethod = "joined"  // to the face, which ends where the band begins
	Applied BandMethod = "applied" // on top of the face
)

// OtherReturn is the return of a pair's right panel, as the left one's where the order doesn't say; of any other
// draw that of the panel's other edge, 0 where it doesn't.
func (t *Treatment) OtherReturn() measure.Length {
	switch {
	case t.ReturnOther != nil:
		return *t.ReturnOther
	case t.Draw == Pair:
		return t.Return
	}
	return 0
}

// Fabric returns the fabric of that id, nil where there is none.
func (o *Order) Fabric(id string) *Fabric {
	if i := o.FabricIndex(id); i >= 0 {
		return &o.Fabrics[i]
	}
	return nil
}

// FabricIndex returns where the fabric of that id stands in the order, −1 where there is none.
func (o *Order) FabricIndex(id string) int {
	return slices.IndexFunc(o.Fabrics, func(f Fabric) bool { return f.ID == id })
}

// Tape returns the tape of that id, nil where there is none.
func (o *Order) Tape(id string) *Tape {
	for i := range o.Tapes {
		if o.Tapes[i].ID == id {
			return &o.Tapes[i]
		}
	}
	return nil
}

type position struct{ line, column int }

// Position returns line and column (runes, from 1) of the value at a path such as "treatments[0].face", or of
// the nearest mapping around it where the file has no such value; 0, 0 for an order not read from a file.
func (o *Order) Position(path string) (line, column int) {
	for {
		if p, ok := o.positions[path]; ok {
			return p.line, p.column
		}
		if path == "" {
			return 0, 0
		}
		path = parentPath(path)
	}
}

// Says reports whether the file has a value at that path.
func (o *Order) Says(path string) bool {
	_, ok := o.positions[path]
	return ok
}

// parentPath cuts the last key or index off a path.
func parentPath(path string) string {
	for i := len(path) - 1; i >= 0; i-- {
		if path[i] == '.' || path[i] == '[' {
			return path[:i]
		}
	}
	return ""
}
