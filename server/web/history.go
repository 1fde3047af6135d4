package web

import (
	"slices"
	"strconv"

	"github.com/gofiber/fiber/v2"

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
	events, err := s.Desk.Store.History(ctx, order)
	if err != nil {
		return views.History{}, err
	}
	if ticket != "" {
		events = slices.DeleteFunc(events, func(e stations.Event) bool { return !concerns(&e, ticket) })
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
		h.Rows = append(h.Rows, s.historyRow(&events[i], ticket))
	}
	return h, nil
}

// historyRows is how much of a history a page shows at once.
const historyRows = 50

// concerns reports whether an event is about a ticket: made it, moved it, changed its numbers or cancelled it.
func concerns(e *stations.Event, code plan.Code) bool {
	if e.Ticket == code || slices.ContainsFunc(e.Also, func(m stations.Moved) bool { return m.Ticket == code }) ||
		slices.ContainsFunc(e.Tickets, func(t plan.Ticket) bool { return t.Code == code }) {
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
		change := views.TicketChange{Piece: views.PieceOf(t, s.Desk.Today()), Protected: ch.Protected}
		for _, name := range ch.Values {
			change.Numbers = append(change.Numbers, views.NumberChange{Name: name})
		}
		row.Changes = append(row.Changes, change)
	}
	return row
}
