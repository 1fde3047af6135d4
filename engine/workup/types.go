// Package workup turns an order's windows into the numbers of every panel: headings, widths, seams, cut
// lengths, linings, tape, inserts and cloth, each with the trail that explains it.
package workup

import (
	"tablehand/engine"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
)

// Workup is an order worked out.
type Workup struct {
	Order      *orderfile.Order
	Treatments []Treatment // one for each of the order's, in its order
	Pieces     []PieceWork // likewise
	Totals     Totals
	// Cloth has for each fabric that is used the cuts in the order they are cut, and where they lie on the bolts.
	Cloth    []ClothPlan
	Problems []engine.Problem // those of the calculation; the file's own are the order file's
}

// Treatment is one window worked out. Panels and Fabrics are empty when an error left it out (but for pleats that
// collide).
type Treatment struct {
	Index   int // in the order, from 0
	Window  string
	Room    string
	Heading orderfile.Heading
	orderfile.Made
	Quantity  int
	Panels    []Panel // of one window: L and R, or S
	Fabrics   []FabricUse
	Collision bool // its pleats collide: numbers are shown, nothing may be made
}

// PanelID tells the panels of one window apart: L and R as seen from the room, or S, a single.
type PanelID string

const (
	Left   PanelID = "L"
	Right  PanelID = "R"
	Single PanelID = "S"
)

// Panel is one panel's numbers. Positions run along the flat panel from the return edge.
type Panel struct {
	ID      PanelID
	AtRight bool // its return edge hangs at the right, as seen from the room
	Family  orderfile.Family
	Top     orderfile.Top
	Ringed  bool              // its points are rings
	Holds   orderfile.Holding // of a heading without pleats

	FinishedWidthAsked measure.Length
	FinishedWidth      measure.Length // reached
	TightWidth         measure.Length // n·(s + b) + 2e, drawn up tight
	Deviation          measure.Length // reached − asked
	Alternative        *Alternative   // only where the width asked isn't reached
	FinishedLength     measure.Length // as it hangs: with the order's hang worked out, and the puddle
	TableLength        measure.Length // the same on the table, of cloth that grows as it hangs; 0 of other cloth

	Pleats           int
	Body             orderfile.Body   // what becomes of each, "" of a tape's
	Fingers          int              // that each is pinched into, 0 of pleats that aren't
	FingerProjection measure.Length   // of a pinch tape: how far each finger stands out
	EndMargin        measure.Length   // e, return edge to the first dot of a tape; below 0 where that lies past the edge
	LeadMargin       measure.Length   // the same at the leading edge, e but with CornerEnds
	CornerEnds       bool             // the tape's pleats begin at the rod's corner, and the lead stays flat
	EdgeToPleat      measure.Length   // the flat from the return edge to the first pleat; of a tape e + s/2, from either
	PleatsInLap      int              // of a pair: pleats that stand where the leading edges lie over each other
	LeadFlat         measure.Length   // of a heading set by hand, or by a tape with CornerEnds: stays flat at the leading edge
	LeadToPleat      measure.Length   // from the leading edge to the first pleat, with half a space where it ends so
	TakeUp           measure.Length   // of one pleat; the mean of those set by hand
	TakeUps          []measure.Length // of a heading set by hand: one a pleat, from the return edge
	Space            measure.Length
	FlatWidth        measure.Length // H, hemmed
	Fullness         measure.Ratio
	FullnessAsked    measure.Ratio    // of a heading set by hand
	PleatPositions   []measure.Length // centres of take-ups
	PleatPlaces      []measure.Length // on the finished heading, from the return edge
	PleatMarks       []measure.Length // of a heading set by hand: start and end of each pleat, rounded to the step for marking

	Points       int // where the panel is held: eyelets, tabs, rings, hooks on carriers
	Pitch        measure.Length
	Positions    []measure.Length // of the points, flat
	Places       []measure.Length // of the points on the finished heading, from the return edge; a wave's as the open carriers stand
	EdgeToPoint  measure.Length   // flat, from the return edge to the first point
	LeadToPoint  measure.Length   // the same from the leading edge
	SeamsInFront int              // joins in folds that stand to the room
	FoldDepth    measure.Length   // how far a fold stands before and behind the rod when the panel is drawn back
	Reach        measure.Length   // of a wave: the widest that it hangs

	TopAllowance    measure.Length // cut above the finished length
	Bearing         measure.Length // the rod's top below the top edge, below 0 above it; BearingKnown
	BearingKnown    bool
	Pocket          measure.Length // depth of a rod's tunnel
	Stand           measure.Length // cloth above it
	Turn            measure.Length // turned under at its lower edge
	PocketStitching measure.Length // of all its lines
	EyeletDrop      measure.Length // from the top edge down to an eyelet's middle
	EyeletInner     measure.Length // its hole
	EyeletOuter     measure.Length // its rim
	TabLoop         measure.Length // from seam to seam
	TabCutLength    measure.Length
	TabCutWidth     measure.Length
	FacingLength    measure.Length // of the strip that the tabs are sewn under
	FacingHeight    measure.Length

	Widths        measure.Halves
	Pieces        []Piece // from the return edge
	Seams         []measure.Length
	SeamsInPleats int
	SeamsHidden   int
	TrimReturn    measure.Length
	TrimLeading   measure.Length
	// TurnedReturn and TurnedLeading are the surplus of a tape's panel that the shop keeps: more cloth in each hem.
	// Turned says that it does.
	Turned        bool
	TurnedReturn  measure.Length
	TurnedLeading measure.Length
	SideHem       measure.Length // depth of the double turn
	BottomHem     measure.Length
	HeadingFold   measure.Length

	MotifPositions []measure.Length // of cloth whose motifs stand side by side: their middles along the flat panel, from the return edge
	MotifPlaced    bool             // the order says where they stand
	MotifTrim      measure.Length   // what was trimmed for that, at one of the edges

	PlainLength   measure.Length
	CutLength     measure.Length
	RepeatsPerCut int            // 0 on plain cloth
	Phased        bool           // the patterns of its room are to hang at one height:
	Phase         measure.Length // so far behind the pattern's own height its cuts start

	TapeID      string // "" of a heading without a tape, as all numbers of the tape are 0
	TapeHeight  measure.Length
	TopDrop     measure.Length
	TapePiece   measure.Length
	TapeStart   measure.Length
	TapePitch   measure.Length
	Stitching   measure.Length // both lines
	StitchLine  measure.Length // the lower line below the top
	CordPullOut measure.Length
	CordInHand  measure.Length
	Cords       int
	CordTotal   measure.Length
	CordEnd     orderfile.CordEnd

	Inserts      int
	InsertLength measure.Length
	InsertHeight measure.Length
	InsertTurns  measure.Ratio
	TubeDiameter measure.Length
	TubeGap      measure.Length
	PleatFace    measure.Length // of pleats pressed flat: their width, in front or behind
	FaceGap      measure.Length // between two of them

	BuckramLength measure.Length // of a heading set by hand: one strip a panel
	BuckramHeight measure.Length

	HookPlaces   []measure.Length // on the finished heading, from the return edge
	HookDrop     measure.Length   // from the top edge down to them
	Mass         measure.Mass     // of all its cloth; 0 where not all is known
	Bands        []PanelBand      // in the order of the order file
	WeightPlaces []measure.Length // along the hem of the flat panel, from the return edge
	WeightCord   measure.Length   // 0: none

	StackBack     measure.Length // of a drawn panel
	RodWanted     measure.Length // that clears the glass with it
	CornerToPleat measure.Length

	LiningWidths    measure.Halves // 0: unlined
	LiningCutLength measure.Length
	LiningHem       measure.Length // depth of the double turn
	LiningWidth     measure.Length // as it hangs
	LiningSurplus   measure.Length // what the joined widths have over the flat width, trimmed off
	// LiningLift is the lining's hem above the face's, LiningTrim what is trimmed off at the top. LiningComputed says that
	// both are known: not where the lining is cut by one allowance.
	LiningLift     measure.Length
	LiningTrim     measure.Length
	LiningComputed bool

	Interlining          string         // the fabric's name, "" without one
	InterliningWidths    measure.Halves // 0: none
	InterliningCutLength measure.Length

	Run       measure.Length // of a railroaded panel: how long its one piece is cut along the bolt; 0 of others
	LiningRun measure.Length // the same of its lining
	Sheer     bool
	Pile      orderfile.Pile // which way its nap lies as it hangs

	Trail []Step

	startOfTape, endOfTape doubled // from either end of the piece to the dot nearest it: e + trim beyond, before it is rounded
}

// SetByHand reports whether the pleats are marked and sewn by hand.
func (p *Panel) SetByHand() bool { return p.Family == orderfile.SetByHand }

// Railroaded reports whether the panel's width runs along the bolt.
func (p *Panel) Railroaded() bool { return p.Run > 0 }

// Pleated reports whether the heading has pleats, set by a tape or by hand.
func (p *Panel) Pleated() bool { return p.Family != orderfile.Continuous }

// Across is how wide one pleat stands on the finished heading: a tube's diameter, the face of one pressed flat, 0 of others.
func (p *Panel) Across() measure.Length { return p.TubeDiameter + p.PleatFace }

// PanelBand is a strip of another cloth along an edge of a panel, as it is cut.
type PanelBand struct {
	Edge   orderfile.BandEdge
	Method orderfile.BandMethod
	Fabric string
	Width  measure.Length // as it is seen
	Offset measure.Length // of one applied: from the edge
	Cut    measure.Length // how wide, of one at the lower edge how high
	Length measure.Length // of each strip
	Pieces int            // strips
}

// Band returns the panel's band along an edge, nil without one.
func (p *Panel) Band(edge orderfile.BandEdge) *PanelBand {
	for i := range p.Bands {
		if p.Bands[i].Edge == edge {
			return &p.Bands[i]
		}
	}
	return nil
}

// Alternative is the other way to come near a width that the tape can't reach.
type Alternative struct {
	Pleats        int
	EndMargin     measure.Length
	FinishedWidth measure.Length
}

// Piece is one loom width, or half of one, of a panel, with its place from the return edge.
type Piece struct {
	Half  Half
	Class int // of a half-drop: 0 at the leading edge, then 1, 0, ...
}

// Half says which half of a width a piece is.
type Half string

const (
	Whole     Half = ""
	LeftHalf  Half = "left"
	RightHalf Half = "right"
)

// other is the half that a split width leaves.
func (h Half) other() Half {
	if h == LeftHalf {
		return RightHalf
	}
	return LeftHalf
}

// FabricUse is the cloth that a treatment takes, its quantity included.
type FabricUse struct {
	Fabric    string
	Use       orderfile.Use
	Widths    []measure.Halves // of each panel of one window
	Cuts      int
	CutLength measure.Length
	// PlainLength is the cut before what the shop's rule adds for the repeat; without a repeat it is the cut length.
	PlainLength measure.Length
	Railroaded  bool           // panels of one piece whose width runs along the bolt: CutLength is their run, and no pattern is matched
	Across      measure.Length // of such: how much of the bolt's width a cut needs
	HalfDrop    bool           // the pattern meets itself half a repeat lower, so neighbouring widths alternate in class
	Phase       measure.Length // how far behind the pattern's height its cuts start, for the sake of one height in a room
	Classes     [2]int         // cuts of each class; all are of class 0 where there is no half-drop
	Length      measure.Length // of all cuts, with what the shop's rules lose between them; with Trimmings
	Trimmings   []Trimming
}

// Totals are the order's.
type Totals struct {
	Fabrics    []FabricTotal
	Tape       []TapeTotal
	Buckram    []BuckramTotal
	Thread     []ThreadTotal
	Hooks      []HookTotal
	Eyelets    []EyeletTotal
	Rings      int
	Tabs       int
	Weights    int
	WeightCord measure.Length
	Mass       []MassTotal
	Incomplete bool // an error left a treatment out
}

// FabricTotal is a fabric's cuts over the order.
type FabricTotal struct {
	Fabric  string
	Use     orderfile.Use
	Cuts    int
	Length  measure.Length  // of all cuts one after another, with what the shop's rules lose between them
	ToOrder measure.Length  // with repeats for positioning, rounded by the order step
	OnBolts *measure.Length // nil where no bolts are listed
	// BoltLength is a usual bolt's, 0 unknown; Bolts is how many of them the planner needs, 0 where a cut is longer than
	// one holds, and BoltsComeTo their length. The pattern is taken to start at each bolt's end.
	BoltLength  measure.Length
	Bolts       int
	BoltsComeTo measure.Length
}

// TapeTotal is a tape's pieces over the order.
type TapeTotal struct {
	Tape    string
	Pieces  int
	Used    measure.Length
	ToOrder measure.Length // one period more: the head of the roll
}

// BuckramTotal is the stiffening of one height over the order.
type BuckramTotal struct {
	Height measure.Length
	Pieces int
	Length measure.Length
}

// EyeletTotal is the eyelets of one size over the order.
type EyeletTotal struct {
	Inner, Outer measure.Length
	Count        int
}

// ThreadTotal is the thread of one kind of seam over the order.
type ThreadTotal struct {
	For    string // "heading", "pocket"
	Length measure.Length
	Cones  int // 0 where the shop doesn't say what a cone holds
}

// HookTotal is the hooks of one drop over the order.
type HookTotal struct {
	Drop  measure.Length
	Count int
}

// MassTotal is what the panels of one window weigh on their rod.
type MassTotal struct {
	Treatment int
	Window    string
	Mass      measure.Mass
	Limit     measure.Mass // of the rod, 0 unknown
}

// ClothPlan is one fabric's cutting over the order.
type ClothPlan struct {
	Fabric *orderfile.Fabric
	Cuts   []Cut
	Plan   cutting.Plan // zero where no bolts are listed
	Proven bool         // of one on the shelf's bolts: no plan opens fewer

	pitch measure.Length      // cuts start on multiples of it from the first repeat; 0: anywhere
	run   measure.Length      // of all cuts on endless cloth, where the order takes their least run
	lots  []int               // by line: the first one that is cut from the same dye lot; nil: each by itself
	bound map[string][]string // the lots of groups that have pieces already
}

// Cut is one piece that the cutting station cuts; a split width serves two panels.
type Cut struct {
	ID        string // unique in its fabric
	Treatment int    // a piece's line counts on from the windows'
	Length    measure.Length
	Class     int // of a half-drop
	// TrimTop is what lies before the pattern's height at the top, and TrimBottom the rest of what the cut has over
	// its plain length. Surplus goes at the bottom (from memory; a shop may trim at the top to place a motif), but
	// where a cut may start off its phase.
	TrimTop    measure.Length
	TrimBottom measure.Length
	For        []Part         // one, or two halves; an odd half is a remnant. Of a row of cushions, or of trimmings, those that have a part in it
	Trimming   TrimmingUse    // what the cut is a row, or strip, of; "" of panels' and pieces' own. It starts anywhere
	Across     measure.Length // of a row: how wide each of its pieces is cut; of a railroaded panel how much of the bolt's width is its length
	Railroaded bool           // the panel's width runs along the bolt. It starts anywhere

	// Phase is how far behind the pattern's own height the first widths of the panels start that are to hang at one height with others of
	// their room; those of the second class start half a repeat behind that.
	Phase measure.Length

	start pattern.Start // its height on the pattern, where the cut may not start anywhere
}

// Part says which panel gets a cut, or half of it.
type Part struct {
	Panel PanelID // "" of a piece
	Copy  int     // which of the windows, from 1
	Place int     // from the return edge, from 1; of a piece, or of a panel's trimming, one cut after another
	Half  Half
	Count int // of a trimming: how many tabs, or strips, of the cut are the panel's
}
