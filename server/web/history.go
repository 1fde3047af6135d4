package web

import (
	"context"
	"slices"
	"strconv"
	"sync"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/cache"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
)

// historyOf tells what has happened to an order, or to one of its tickets: what was done to it, and what changed it;
// the newest, or with ?before= what was before that number of the ledger.
func (s *Site) historyOf(c *fiber.Ctx, order string, ticket plan.Code) (views.History, error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	events, err := s.pasts.of(ctx, order)
	if err != nil {
		return views.History{}, err
	}
	if ticket != "" {
		events = slices.DeleteFunc(slices.Clone(events), func(e past) bool { return !e.concerns(ticket) })
	}
	before, _ := strconv.ParseInt(c.Query("before"), 10, 64) // what is no number asks for the newest
	h := views.History{Path: c.Path(), Total: len(events), Open: before > 0}
	for i := len(events) - 1; i >= 0; i-- {
		if before > 0 && events[i].Seq >= before {
			h.Newer++
			continue
		}
		if len(h.Rows) == historyRows {
			h.Older, h.Before = i+1, events[i+1].Seq
			break
		}
		h.Rows = append(h.Rows, s.historyRow(&events[i].Event, ticket))
	}
	return h, nil
}

// changesAtOnce is of how many tickets a row says what a revision has changed on them.
const changesAtOnce = 12

// historyRows is how much of a history a page shows at once.
const historyRows = 50

// past is an event as its order's history tells it: without the tickets' numbers, which are megabytes of a large order's.
type past struct {
	stations.Event
	added []plan.Code
}

func pastOf(e stations.Event) past {
	p := past{Event: e}
	for i := range e.Tickets {
		p.added = append(p.added, e.Tickets[i].Code)
	}
	p.Tickets = nil
	if e.Revised != nil {
		revised := *e.Revised
		revised.Specs = nil
		p.Revised = &revised
	}
	return p
}

// mostPasts is of how many orders the histories are kept: those that people look at.
const mostPasts = 64

// pasts keeps orders' histories. What has happened stays, so only what came since is read.
type pasts struct {
	ledger interface {
		History(ctx context.Context, order string, after int64) ([]stations.Event, error)
	}
	kept *cache.Cache[string, *pastOfOrder]
}

type pastOfOrder struct {
	mu     sync.Mutex
	events []past
}

// of returns an order's history, oldest first: read only.
func (p *pasts) of(ctx context.Context, order string) ([]past, error) {
	o, err := p.kept.Get(order, func() (*pastOfOrder, error) { return &pastOfOrder{}, nil })
	if err != nil {
		return nil, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	after := int64(0)
	if n := len(o.events); n > 0 {
		after = o.events[n-1].Seq
	}
	fresh, err := p.ledger.History(ctx, order, after)
	if err != nil {
		return nil, err
	}
	for _, e := range fresh {
		o.events = append(o.events, pastOf(e))
	}
	return o.events, nil
}

// concerns reports whether an event is about a ticket: made it, moved it, changed its numbers or cancelled it.
func (e *past) concerns(code plan.Code) bool {
	if e.Ticket == code || slices.ContainsFunc(e.Also, func(m stations.Moved) bool { return m.Ticket == code }) || slices.Contains(e.added, code) {
		return true
	}
	if e.Ended != nil && (slices.Contains(e.Ended.Scrapped, code) || slices.Contains(e.Ended.Cancelled, code) ||
		slices.ContainsFunc(e.Ended.Specs, func(s plan.Ticket) bool { return s.Code == code })) {
		return true
	}
	return e.Action == stations.Cancel || e.Revised != nil && (slices.Contains(e.Revised.Dropped, code) ||
		slices.ContainsFunc(e.Revised.Changed, func(ch stations.Changed) bool { return ch.Ticket == code }))
}

func (s *Site) historyRow(e *stations.Event, only plan.Code) views.HistoryRow {
	floor := s.Desk.Store.Floor()
	row := views.HistoryRow{
		At: e.At.In(s.Desk.Shop().Zone), Action: e.Action, Who: e.Person, Station: e.Station, To: e.To, Reason: e.Reason, Picture: e.Picture,
		New: e.New, OutOf: e.OutOf,
	}
	if e.Pair != nil { // its measures say more than its code
		row.Reason, row.Apart = "", e.Pair.Measures
	}
	if row.Who == "" {
		row.Who = e.Actor.Name
	}
	if t := floor.Ticket(e.Ticket); t != nil {
		piece := views.PieceOf(t, s.Desk.Today())
		row.Piece = &piece
	}
	if e.Revised == nil {
		return row
	}
	row.Revision = e.Revised.Revision
	for _, ch := range e.Revised.Changed {
		t := floor.Ticket(ch.Ticket)
		if t == nil || only != "" && ch.Ticket != only {
			continue
		}
		if len(row.Changes) == changesAtOnce {
			row.More++
			continue
		}
		change := views.TicketChange{Piece: views.PieceOf(t, s.Desk.Today()), Protected: ch.Protected}
		for _, name := range ch.Values {
			change.Numbers = append(change.Numbers, views.NumberChange{Name: name})
		}
		row.Changes = append(row.Changes, change)
	}
	return row
}
