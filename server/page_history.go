package server

import (
	"slices"

	"tablehand/stations"
	"tablehand/views"
)

// historyOf tells what has happened to an order, or to one of its tickets: what was done to it, and what changed it.
func (s *Server) historyOf(order string, ticket stations.Code) ([]views.HistoryRow, error) {
	ctx, cancel := waiting()
	defer cancel()
	events, err := s.Store.History(ctx, order)
	if err != nil {
		return nil, err
	}
	var rows []views.HistoryRow
	for i := range events {
		if ticket == "" || concerns(&events[i], ticket) {
			rows = append(rows, s.historyRow(&events[i], ticket))
		}
	}
	return rows, nil
}

// concerns reports whether an event is about a ticket: made it, moved it, changed its numbers or cancelled it.
func concerns(e *stations.Event, code stations.Code) bool {
	if e.Ticket == code || slices.ContainsFunc(e.Also, func(m stations.Moved) bool { return m.Ticket == code }) ||
		slices.ContainsFunc(e.Tickets, func(t stations.TicketSpec) bool { return t.Code == code }) {
		return true
	}
	return e.Action == stations.Cancel || e.Revised != nil && (slices.Contains(e.Revised.Dropped, code) ||
		slices.ContainsFunc(e.Revised.Changed, func(ch stations.Changed) bool { return ch.Ticket == code }))
}

func (s *Server) historyRow(e *stations.Event, only stations.Code) views.HistoryRow {
	floor := s.Store.Floor()
	row := views.HistoryRow{
		At: e.At.In(s.shop().Zone), Action: e.Action, Who: e.Person, Station: e.Station, To: e.To, Reason: e.Reason, Picture: e.Picture,
		New: e.New, OutOf: e.OutOf,
	}
	if row.Who == "" {
		row.Who = e.Actor.Name
	}
	if t := floor.Ticket(e.Ticket); t != nil {
		piece := views.PieceOf(t, s.today())
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
		change := views.TicketChange{Piece: views.PieceOf(t, s.today()), Protected: ch.Protected}
		for _, name := range ch.Values {
			change.Numbers = append(change.Numbers, views.NumberChange{Name: name})
		}
		row.Changes = append(row.Changes, change)
	}
	return row
}
