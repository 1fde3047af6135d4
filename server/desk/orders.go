package desk

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// PracticeFor gives the conventions that an order is worked up with, but for those that its file has of its own.
type PracticeFor = func(units measure.Unit) orderfile.Conventions

// PracticeOf returns the practice of an order: what it was taken with, or the shop's of today for one that isn't on the
// books.
func (d *Desk) PracticeOf(order string) PracticeFor {
	if o := d.Store.Floor().Order(order); o != nil {
		return orderfile.Kept(o.Practice)
	}
	return d.Shop().Practice
}

// Bounds of the work on large order files: one with as many marks as there may be takes the parser seconds and 160 MB.
// Our own choice, as how large a large one is: an order of 300 windows has a third of that.
const (
	largeFile   = 256 << 10 // bytes
	filesAtOnce = 1
	filesWait   = 8
	fileWait    = 15 * time.Second
)

// WorkOut reads an order file and works it out. The problems are all that there are, those of the file first; the
// work-up is nil when the file can't be used. The error is busy, of FileTurn.
func (d *Desk) WorkOut(source []byte, under PracticeFor) (*workup.Workup, []engine.Problem, error) {
	leave, err := d.FileTurn(source)
	if err != nil {
		return nil, nil, err
	}
	defer leave()
	w, problems := d.workOut(orderfile.ParseUnder(source, under))
	if w != nil {
		problems = slices.Concat(tooManyPanels(w), problems)
	}
	return w, problems, nil
}

// mostPanels is how many panels and pieces an order may have that is taken, revised or released: its release is one event, and scans wait while
// that is written. Our own choice: several times a large hotel.
const mostPanels = 4000

// tooManyPanels tells of an order of more.
func tooManyPanels(w *workup.Workup) []engine.Problem {
	panels := 0
	for i := range w.Treatments {
		panels += len(w.Treatments[i].Panels) * w.Treatments[i].Quantity
	}
	for i := range w.Pieces {
		panels += w.Pieces[i].Quantity
	}
	if panels <= mostPanels {
		return nil
	}
	line, column := w.Order.Position("treatments")
	return []engine.Problem{{Severity: engine.Error, Code: "too_many_panels", Where: "treatments", Line: line, Column: column,
		Args: map[string]any{"Count": panels, "Most": mostPanels}}}
}

// FileTurn waits, with a large order file, for its turn to be read, which leave ends. Others have theirs at once. The error
// is busy where too many wait, or the turn doesn't come.
func (d *Desk) FileTurn(source []byte) (leave func(), err error) {
	if len(source) < largeFile {
		return func() {}, nil
	}
	leave, ok := d.files.Take()
	if !ok {
		return nil, Refuse("busy", "")
	}
	return leave, nil
}

// workOut works out an order on the bolts of its file and of the shelf.
func (d *Desk) workOut(order *orderfile.Order, problems []engine.Problem) (*workup.Workup, []engine.Problem) {
	if order == nil {
		return nil, problems
	}
	problems = append(problems, d.OnShelf(order)...)
	w := workup.Compute(order)
	d.tellShort(w)
	w.Problems = append(append(problems, w.Problems...), d.Offered(w)...)
	return w, w.Problems
}

// LacksCustomer tells of an order without a customer, which can be taken but not released; none of one that has one.
func LacksCustomer(o *orderfile.Order) []engine.Problem {
	if strings.TrimSpace(o.Customer) != "" {
		return nil
	}
	line, column := o.Position("customer")
	return []engine.Problem{{Severity: engine.Warning, Code: "customer_missing", Where: "customer", Line: line, Column: column}}
}

// SharedBolts tells of each bolt of an order that other unfinished orders name alike: it would be cut for two.
func (d *Desk) SharedBolts(order string, w *workup.Workup) []engine.Problem {
	var list []engine.Problem
	for _, s := range d.Store.Floor().SharedBolts(order, plan.NamedBolts(w)) {
		p := engine.Problem{
			Severity: engine.Warning, Code: "bolt_shared", Units: w.Order.Units, Where: boltPath(w.Order, s),
			Args: map[string]any{"Fabric": s.Fabric, "Bolt": s.Bolt, "Lot": s.Lot, "Orders": s.Orders, "Parted": !s.From.IsZero()},
		}
		if free := s.Taken.Length(); free > 0 {
			p.Args["Free"] = free
		}
		p.Line, p.Column = w.Order.Position(p.Where)
		list = append(list, p)
	}
	return list
}

// boltPath is where in the file a bolt is named.
func boltPath(o *orderfile.Order, bolt stations.SharedBolt) string {
	for i := range o.Fabrics {
		for k, b := range o.Fabrics[i].Bolts {
			if o.Fabrics[i].ID == bolt.Fabric && b.ID == bolt.Bolt {
				return fmt.Sprintf("fabrics[%d].bolts[%d]", i, k)
			}
		}
	}
	return ""
}

// Take stores an order whose file has no error. The error is a refusal with the problems when it has one, and
// nothing is stored; else the problems are its warnings and notes. The key is as of a scan, "" for none.
func (d *Desk) Take(ctx context.Context, actor stations.Actor, key string, source []byte) (string, []engine.Problem, error) {
	today := d.Shop().Practice
	w, problems, err := d.WorkOut(source, today)
	if err != nil {
		return "", nil, err
	}
	problems = append(problems, unmade(w, d.Shop().Fittings.Layout)...)
	if w == nil || engine.AnyError(problems) {
		return "", nil, RefuseProblems(problems)
	}
	cmd := stations.TakeOrder{Actor: actor, Key: key, Order: w.Order.ID, Customer: w.Order.Customer, Due: w.Order.Due}
	cmd.Practice = orderfile.ToKeep(today(w.Order.Units), w.Order.Units)
	cmd.Bolts = plan.NamedBolts(w)
	for _, cloth := range w.Cloth {
		cmd.Fabrics = append(cmd.Fabrics, cloth.Fabric.ID)
	}
	problems = append(problems, d.SharedBolts(cmd.Order, w)...)
	if _, err := d.Store.TakeOrder(ctx, cmd, source); err != nil {
		return "", nil, err
	}
	d.meet(ctx, actor, w.Order.Customer)
	return cmd.Order, slices.Concat(LacksCustomer(w.Order), d.ClosedDue(w.Order), problems), nil
}

// Release puts a stored order on the floor, with new tickets. With override it passes over short or mixed cloth,
// for a reason that is kept.
//
// What others have taken of the shelf meanwhile isn't its any more: it is planned anew a few times.
func (d *Desk) Release(ctx context.Context, actor stations.Actor, key, order string, override bool, reason string) error {
	for try := 1; ; try++ {
		cmd, err := d.planRelease(ctx, order)
		if err != nil {
			return err
		}
		cmd.Actor, cmd.Key, cmd.Override, cmd.Reason = actor, key, override, reason
		if _, err = d.Store.Do(ctx, cmd); try == tries || !IsRefusal(err, "busy") {
			return err
		}
	}
}

// tries is how often cloth is planned while the shelf changes under it.
const tries = 3

// planRelease plans the release of an order's newest file, and names that file: one that comes meanwhile isn't released by the
// numbers of the one before.
func (d *Desk) planRelease(ctx context.Context, order string) (stations.ReleaseOrder, error) {
	digest, revision := "", 0
	if o := d.Store.Floor().Order(order); o != nil {
		digest, revision = o.Digest, o.Revision
	}
	source, err := d.Store.OrderSource(ctx, order)
	if err != nil {
		return stations.ReleaseOrder{}, err
	}
	w, problems, err := d.WorkOut(source, d.PracticeOf(order)) // by today's bounds: nothing is cut yet
	if err != nil {
		return stations.ReleaseOrder{}, err
	}
	shop := d.Shop()
	if problems = append(problems, unmade(w, shop.Fittings.Layout)...); engine.AnyError(problems) {
		return stations.ReleaseOrder{}, RefuseProblems(problems)
	}
	cmd, err := releaseOf(w, shop.Fittings.Layout, NewCodes(d.Store.Floor()))
	cmd.Order, cmd.Digest, cmd.Revision, cmd.Measuring, cmd.Ways = order, digest, revision, shop.Measuring, d.Ways(w.Order.Units)
	return cmd, err
}

// releaseOf plans the release of an order as it is worked out. The error is of a cutting that can't be cut as it is laid:
// the last look before cloth that nobody can replace, by the checker that shares nothing with the placing.
func releaseOf(w *workup.Workup, layout plan.Layout, codes func() plan.Code) (stations.ReleaseOrder, error) {
	for i := range w.Cloth {
		if faults := cutting.Check(workup.Placing(&w.Cloth[i]), w.Cloth[i].Plan); len(w.Cloth[i].Fabric.Bolts) > 0 && len(faults) > 0 {
			return stations.ReleaseOrder{}, fmt.Errorf("server: the cutting of %s in order %s is wrong: %v", w.Cloth[i].Fabric.ID, w.Order.ID, faults)
		}
	}
	return stations.ReleaseOrder{
		Tickets:     plan.Tickets(w, layout, codes),
		Layout:      layout,
		FabricShort: tells(w.Problems, "fabric_short"),
		LotsMixed:   tells(w.Problems, "lots_mixed"),
		Lack:        stations.LackOf(w),
		Bolts:       plan.NamedBolts(w),
	}, nil
}

// Revising says how a new file is to be taken.
type Revising struct {
	DryRun   bool   // say what would change, and change nothing
	Today    bool   // work it up with the shop's conventions of today from then on
	From     int    // the revision that the file was made from; 0: whichever there is
	Override bool   // pass over cloth that is short or of mixed lots, for a reason that is kept
	Reason   string // why
	Key      string // as of a scan; "" for none
}

// Revised is what a new file changes on an order, or has changed.
type Revised struct {
	Order    string
	Revision int // the new one
	Changed  []stations.Changed
	Specs    []stations.Renumbered // what stands on those tickets then
	Added    []plan.Ticket         // new tickets; of a dry run their codes are not those that they will have
	Dropped  []plan.Code           // tickets cancelled
	// Short and Mixed are fabrics whose cloth is short, or suffices only from several lots, for what is still to be
	// cut: a dry run tells them, a real one is refused (fabric_short, lots_mixed) without Override.
	Short, Mixed []string
	Shared       []string             // orders that name the same bolts: likewise (bolt_shared)
	Held         []stations.ClothHold // tickets that their cloth holds from then on
	Problems     []engine.Problem     // warnings and notes of the file, and what holds tickets
}

// Revise replaces a stored order's file. The error is a refusal: problems when the file has an error, bad_value
// (field order) when it is another order's, not_found, finished, already_invoiced or cancelled for the order,
// revised_meanwhile when From is not its revision any more; after a release customer_missing when it takes the customer
// off, fabric_short, lots_mixed or bolt_shared.
func (d *Desk) Revise(ctx context.Context, actor stations.Actor, order string, source []byte, how Revising) (Revised, error) {
	kept, revision, layout := PracticeFor(d.Shop().Practice), 0, d.Shop().Fittings.Layout
	if o := d.Store.Floor().Order(order); o != nil {
		kept, revision = orderfile.Kept(o.Practice), o.Revision
		if len(o.Tickets) > 0 {
			layout = o.Layout
		}
	}
	under := kept
	if how.Today {
		under = d.Shop().Practice
	}
	w, problems, err := d.WorkOut(source, under)
	if err != nil {
		return Revised{}, err
	}
	problems = append(problems, unmade(w, layout)...)
	if w == nil || engine.AnyError(problems) {
		return Revised{}, RefuseProblems(problems)
	}
	cmd := stations.ReviseOrder{
		Actor: actor, Key: how.Key, Order: order, From: how.From, Override: how.Override, Reason: how.Reason,
		Sheet: stations.Sheet{Work: w, Codes: NewCodes(d.Store.Floor()), Revision: revision, Ways: d.Ways(w.Order.Units)},
	}
	if how.Today {
		if cmd.Practice = orderfile.ToKeep(under(w.Order.Units), w.Order.Units); cmd.Practice == nil {
			cmd.Practice = orderfile.Practice{} // that of the first release
		}
		cmd.UpToDate = len(differing(kept, under, w.Order.Units)) == 0
	}
	problems = append(problems, d.SharedBolts(order, w)...)
	if !how.Today { // a file that comes in
		problems = append(problems, d.ClosedDue(w.Order)...)
	}
	var e stations.Event
	if how.DryRun {
		cmd.Override, cmd.Reason = false, ""
		e, err = d.Store.TryRevision(cmd, source)
		if IsRefusal(err, "fabric_short") || IsRefusal(err, "lots_mixed") || IsRefusal(err, "bolt_shared") {
			cmd.Override, cmd.Reason = true, "try" // short, mixed and shared cloth is told, not refused
			e, err = d.Store.TryRevision(cmd, source)
		}
	} else {
		if e, err = d.Store.ReviseOrder(ctx, cmd, source); err == nil {
			d.meet(ctx, actor, w.Order.Customer)
		}
	}
	if err != nil {
		return Revised{}, err
	}
	held, lacks := LacksOf(e, cmd.Sheet.Work)
	return Revised{
		Held: held, Order: order, Revision: e.Revised.Revision, Changed: e.Revised.Changed, Specs: e.Revised.Specs, Added: e.Tickets, Dropped: e.Revised.Dropped,
		Short: e.Revised.Short, Mixed: e.Revised.Mixed, Shared: e.Apart, Problems: slices.Concat(LacksCustomer(w.Order), problems, lacks),
	}, nil
}

// LacksOf tells what an event holds cutting tickets for. What the file's own problems say of lots isn't told twice.
func LacksOf(e stations.Event, w *workup.Workup) (held []stations.ClothHold, lacks []engine.Problem) {
	for _, part := range e.Parts() {
		for _, h := range part.Holds {
			if h.Reason == "" {
				continue
			}
			held = append(held, h)
			if w == nil || !tells(w.Problems, h.Reason) {
				lacks = append(lacks, lackOf(h))
			}
		}
	}
	return held, lacks
}

// lackOf is the problem of a ticket that its cloth holds.
func lackOf(h stations.ClothHold) engine.Problem {
	return engine.Problem{Severity: engine.Warning, Code: h.Reason, Units: cmp.Or(h.Short.Unit(), measure.In), Where: "tickets." + string(h.Ticket), Args: map[string]any{
		"Ticket": string(h.Ticket), "Fabric": h.Fabric, "Short": h.Short.Length(), "Cuts": h.Cuts, "Count": len(h.Cuts), "Windows": h.Windows,
	}}
}

// NotMeasured is the note about a cutting that is finished with nothing told at the table: what is left of its bolts is reckoned, and what came
// off them has no label.
func NotMeasured(e stations.Event) engine.Problem {
	var bolts []string
	for _, one := range e.Shelf.Each {
		bolts = append(bolts, string(one.Bolt))
	}
	return engine.Problem{Severity: engine.Note, Code: "rest_not_measured", Where: "tickets." + string(e.Ticket), Args: map[string]any{"Bolts": bolts, "Count": len(bolts)}}
}

// Scan is Do for a command about one ticket. A remake plans from the order's newest file, and so does what is told at the
// cutting table; one that is revised while it is read is refused as busy, and may be sent again.
func (d *Desk) Scan(ctx context.Context, cmd stations.Scan) (stations.Event, error) {
	floor := d.Store.Floor()
	t := floor.Ticket(cmd.Ticket)
	if t == nil {
		return d.Store.Do(ctx, cmd)
	}
	cmd.Ways = d.Ways(t.Spec.Units)
	if cmd.NeedsSheet(floor) {
		sheet, err := d.sheet(ctx, floor, t.Order)
		if err != nil {
			return stations.Event{}, err
		}
		cmd.Sheet = sheet
		if cmd.Others, err = d.sheetsBeside(ctx, floor, t); err != nil {
			return stations.Event{}, err
		}
	}
	return d.Store.Do(ctx, cmd)
}

// sheet is the newest file of an order on the floor, worked out.
func (d *Desk) sheet(ctx context.Context, floor *stations.Floor, id string) (*stations.Sheet, error) {
	order := floor.Order(id)
	w, err := d.Workup(ctx, id)
	if err != nil {
		return nil, err
	}
	return &stations.Sheet{Work: w, Digest: order.Digest, Revision: order.Revision, Codes: NewCodes(floor), Ways: d.Ways(w.Order.Units)}, nil
}

// sheetsBeside are those of the other orders that are to be cut from a ticket's bolts of the shelf: what is told of them may move their cuts.
func (d *Desk) sheetsBeside(ctx context.Context, floor *stations.Floor, t *stations.Ticket) (map[string]*stations.Sheet, error) {
	others := map[string]*stations.Sheet{}
	for _, b := range floor.TableOf(t) {
		for _, p := range floor.Promised(b.Code) {
			if p.Order == t.Order || others[p.Order] != nil {
				continue
			}
			sheet, err := d.sheet(ctx, floor, p.Order)
			if err != nil {
				return nil, err
			}
			others[p.Order] = sheet
		}
	}
	return others, nil
}

// Workup works out the newest file of a stored order. The error is not_found where there is none, or busy.
func (d *Desk) Workup(ctx context.Context, order string) (*workup.Workup, error) {
	source, err := d.Store.OrderSource(ctx, order)
	return d.stored(source, err, d.PracticeOf(order))
}

// stored works out a file that the store gave.
func (d *Desk) stored(source []byte, err error, under PracticeFor) (*workup.Workup, error) {
	if err != nil {
		return nil, err
	}
	leave, err := d.FileTurn(source)
	if err != nil {
		return nil, err
	}
	defer leave()
	w, problems := d.workOut(orderfile.Reread(source, under))
	if w == nil {
		return nil, RefuseProblems(problems)
	}
	return w, nil
}

// NewCodes returns a source of codes that no ticket and no bolt has yet, drawn at random. One drawn twice at
// once by two releases is refused by the store.
func NewCodes(floor *stations.Floor) func() plan.Code {
	drawn := map[plan.Code]bool{}
	return func() plan.Code {
		for {
			var b [8]byte
			_, _ = rand.Read(b[:]) // never fails
			code := plan.NewCode(binary.BigEndian.Uint64(b[:]) >> 24)
			if !drawn[code] && floor.Ticket(code) == nil && floor.Shelf().Bolt(code) == nil {
				drawn[code] = true
				return code
			}
		}
	}
}

// tells reports whether a problem with that code is among them.
func tells(problems []engine.Problem, code string) bool {
	for _, p := range problems {
		if p.Code == code {
			return true
		}
	}
	return false
}
