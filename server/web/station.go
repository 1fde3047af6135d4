package web

import (
	"net/url"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/bolt"
	"tablehand/views/page/bench"
)

// stationAsked returns the station that the address names, in any case: a placard's QR has it in upper case.
func (s *Site) stationAsked(c *fiber.Ctx) (plan.Station, error) {
	station := plan.Station(strings.ToLower(edge.Param(c, "station")))
	if !s.Desk.Shop().Fittings.Layout.Has(station) {
		return "", desk.Refuse("not_found", "station")
	}
	return station, nil
}

// stationPage: GET /station/{station}, with ?ticket=CODE that ticket open.
func (s *Site) stationPage(c *fiber.Ctx) error {
	station, err := s.stationAsked(c)
	if err != nil {
		return err
	}
	if at := s.benchAt(c, station)[0]; edge.Param(c, "station") != string(at) {
		return GoOn(c, benchAddress(at, c.Query("ticket"))) // the page's script keeps what waits by its address
	}
	var open *bench.OpenTicket
	if typed := c.Query("ticket"); typed != "" {
		t, err := s.TicketAsked(c, typed)
		if err != nil {
			return err
		}
		if open, err = s.openTicket(c, t, stationFor(s.benchAt(c, station), t)); err != nil {
			return err
		}
	}
	return s.showStationPage(c, station, open, nil, "")
}

// benchAt are the stations of the page on which a station's work is done: all of the device's own where it has several and
// the station is one of them, else those that the shop puts at the bench of that station.
func (s *Site) benchAt(c *fiber.Ctx, station plan.Station) []plan.Station {
	if own := ownStations(c); slices.Contains(own, station) {
		return own
	}
	bench := s.Desk.Shop().Fittings.Layout.Bench(station)
	if d := edge.DeviceOf(c); d != nil && slices.ContainsFunc(bench, func(at plan.Station) bool { return !d.WorksAt(at) }) {
		return []plan.Station{station}
	}
	return bench
}

// stationFor is the station of a bench that a ticket is for: where it is, else the next on its way, else the bench's first.
func stationFor(bench []plan.Station, t *stations.Ticket) plan.Station {
	for _, step := range t.Steps[min(t.At, len(t.Steps)):] {
		if slices.Contains(bench, step.Spec.Station) {
			return step.Spec.Station
		}
	}
	return bench[0]
}

// benchAddress is the address of a bench's page, by its first station, with a ticket open on it or none.
func benchAddress(first plan.Station, ticket string) string {
	address := "/station/" + string(first)
	if ticket != "" {
		address += "?ticket=" + url.QueryEscape(ticket)
	}
	return address
}

func (s *Site) showStationPage(c *fiber.Ctx, station plan.Station, open *bench.OpenTicket, answer *views.Answer, scanned string) error {
	floor, today := s.Desk.Store.Floor(), s.Desk.Today()
	at := s.benchAt(c, station)
	b := workplaceAt(floor, at)
	crew, err := s.crewFor(c)
	if err != nil {
		return err
	}
	p := bench.StationPage{
		Frame: s.frame(c, floor), Stations: at, Open: open, Answer: answer, Scanned: scanned, Coming: b.coming,
		Crew:   crew,
		AtWork: views.PiecesOf(b.atWork, today), Queue: views.PiecesOf(b.ready, today), Held: views.PiecesOf(b.held, today),
	}
	return s.send(c, p)
}

// crewFor are the people of the floor, as a bench shows them.
func (s *Site) crewFor(c *fiber.Ctx) (crew []bench.Hand, err error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	people, err := s.Desk.Store.People(ctx)
	for _, p := range people {
		if p.Here() {
			crew = append(crew, bench.Hand{Name: p.Name, Initials: p.Initials, Chosen: p.Name == edge.PersonOf(c)})
		}
	}
	return crew, err
}

// ticketPage: GET /t/{code}, what the square on a ticket leads to.
func (s *Site) ticketPage(c *fiber.Ctx) error {
	if code, err := stations.ParseCode(edge.Param(c, "code")); err == nil {
		if o := s.Desk.Awaiting(code); o != nil { // the tag of a piece whose order isn't released yet
			return GoOn(c, "/orders/"+url.PathEscape(o.ID)+"#own")
		}
	}
	if bolt := s.BoltOf(edge.Param(c, "code")); bolt != nil {
		return GoOn(c, boltAddress(bolt.Code))
	}
	t, err := s.TicketAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	open, err := s.openTicket(c, t, "")
	if err != nil {
		return err
	}
	return s.showTicketPage(c, open, nil)
}

func (s *Site) showTicketPage(c *fiber.Ctx, open *bench.OpenTicket, answer *views.Answer) error {
	p := bench.TicketPage{Frame: s.frame(c, s.Desk.Store.Floor()), Open: *open, Answer: answer}
	return s.send(c, p)
}

// underCuts are the bolts that a cutting ticket's cuts lie on.
func (s *Site) underCuts(o *stations.Order, t *stations.Ticket) ([]bolt.Strip, error) {
	w, err := s.Desk.WorkupOf(o)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(s.stripsOf(o, w, t.Spec.Fabric), func(b bolt.Strip) bool {
		return !slices.ContainsFunc(t.Spec.Cuts, func(l plan.Cut) bool { return l.Bolt == b.Bolt })
	}), nil
}

// openTicket lays a ticket open for a station's page, or at "" for its own.
func (s *Site) openTicket(c *fiber.Ctx, t *stations.Ticket, at plan.Station) (*bench.OpenTicket, error) {
	floor := s.Desk.Store.Floor()
	open := bench.Open(floor, t, at, s.Desk.Today())
	open.Frame, open.Back = s.frame(c, floor), at == ""
	open.PostTo = "/station/" + string(t.Station()) + "/scan"
	if at != "" {
		open.PostTo, open.Among = "/station/"+string(at)+"/scan", len(s.benchAt(c, at)) > 1
	}
	open.Key = pageKey(t)
	if open.Table != nil && open.Table.Turn != nil {
		open.Table.Turn.Key = pageKey(floor.Ticket(open.Table.Turn.Code))
	}
	open.CanUndo = s.undoable(c, floor, t)
	if now := t.Current(); now != nil {
		for name, value := range now.Measured {
			open.Typed[name] = value.String()
		}
	}
	if mate, list := floor.BesideMate(t); len(list) > 0 {
		open.Mate, open.Beside = views.PieceOf(mate, s.Desk.Today()), views.BarsOf(list, nil)
	}
	o := floor.Order(t.Order)
	var err error
	if open.Makeup.Whose, err = s.Desk.Whose(o); err != nil {
		return nil, err
	}
	if open.Own, err = s.ownPieceOf(o, t); err != nil {
		return nil, err
	}
	open.Piece = views.PieceOf(t, s.Desk.Today())
	if t.Spec.Kind == plan.CuttingTicket {
		if open.Bolts, err = s.underCuts(o, t); err != nil {
			return nil, err
		}
	}
	if open.Frame.Office() {
		would, err := s.wouldBe(t)
		if err != nil {
			return nil, err
		}
		if would != nil {
			open.Step.WouldBe = would
		}
	}
	if apart := s.apartOf(t); apart != nil {
		open.Step.Apart = apart
	} else if held := floor.HeldFor(t); held != nil {
		open.Waits = bench.WaitsOf(floor, held, s.Desk.Today())
	}
	if at == "" {
		if open.History, err = s.historyOf(c, t.Order, t.Spec.Code); err != nil {
			return nil, err
		}
	}
	if badge := c.FormValue("lead"); badge != "" {
		open.Lead = &bench.LeadTry{Badge: badge, Reason: c.FormValue("reason")}
	}
	if c.FormValue("action") == string(stations.Scrap) {
		open.Ending = &bench.Ending{Billable: c.FormValue("billable"), Reason: c.FormValue("reason")}
	}
	open.CutBegun, open.Untold = floor.BegunToCut(t), floor.UntoldCut(t)
	if open.UncutPanel() {
		for _, cut := range o.Tickets {
			if cut.Spec.Kind == plan.CuttingTicket && slices.Contains(t.Spec.Fabrics, cut.Spec.Fabric) && cut.Current() != nil {
				open.CutAt = append(open.CutAt, cut.Spec.Code)
			}
		}
	}
	if t.Spec.Kind == plan.PanelTicket && open.ShowsWork() {
		if open.Drawing, err = s.drawingOf(o, t.Spec, s.Printer(c)); err != nil {
			return nil, err
		}
		if open.Spots, err = s.spotsOf(o, t, s.Printer(c)); err != nil {
			return nil, err
		}
	}
	return &open, nil
}

// undoable reports whether the device that asks may take back what was last done to a ticket. The floor's own law
// says so, without doing it.
func (s *Site) undoable(c *fiber.Ctx, floor *stations.Floor, t *stations.Ticket) bool {
	actor, _ := edge.ActorOf(c)
	_, err := floor.Overlay().Decide(stations.Scan{Actor: actor, Ticket: t.Spec.Code, Action: stations.Undo, Key: "asking"}, s.Desk.Clock())
	return err == nil
}
