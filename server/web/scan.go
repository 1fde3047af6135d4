package web

import (
	"crypto/rand"
	"errors"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views"
	"tablehand/views/page/bench"
)

// benchAnswer is what the scan script hears of a form that it sent.
type benchAnswer struct {
	OK      bool          `json:"ok"`
	State   bench.Outcome `json:"state"` // done, held, refused: what is held is OK, and yet not done
	Word    string        `json:"word"`  // that, as the band says it large
	Code    string        `json:"code,omitempty"`
	Message string        `json:"message"`
	Missing []string      `json:"missing,omitempty"` // entries and checks to look at
	Open    *string       `json:"open,omitempty"`    // the address to be at now
	Person  string        `json:"person,omitempty"`  // who works here from now on
	Go      string        `json:"go,omitempty"`      // the address of another page to go on to
}

// benchScan is one form of a bench, and what came of it.
type benchScan struct {
	body    edge.ScanBody
	station plan.Station   // that the ticket is worked at
	bench   []plan.Station // those of the page
	own     bool           // sent from the ticket's own page
	today   bool           // sent from the office's page of today
	lead    bool           // a lead decides, who doesn't work here
	card    bool           // a card was scanned, about the ticket that lies open
	press   bool           // it is one of the page's own keys
	ticket  *stations.Ticket
}

// scanByForm: POST /station/{station}/scan, whatever is done at a bench. The script gets a small answer, a
// browser without it the page.
func (s *Site) scanByForm(c *fiber.Ctx) error {
	b, err := s.readBench(c)
	if err != nil {
		return err
	}
	if badge, ok := edge.BadgeOf(b.body.Ticket); ok && b.body.Action == stations.ScanIt {
		return s.chooseByBadge(c, b, badge)
	}
	if bolt := s.boltScanned(&b); bolt != nil {
		open := s.cutFrom(&b, c.FormValue("open"))
		if open == nil {
			return s.openBolt(c, bolt)
		}
		b.body.Action, b.body.Ticket, b.body.Bolt = stations.Lay, string(open.Spec.Code), string(bolt.Code)
	}
	if !b.lead {
		s.rememberPerson(c, b.body.Person)
	}
	event, opened, err := s.doBench(c, &b)
	if err != nil {
		return s.refuseBench(c, b, err)
	}
	say := s.sayDone(c, b, event, opened) + s.sayNext(c, b, event)
	address := b.address()
	if b.today {
		address = toToday(string(event.Action), string(b.ticket.Spec.Code))
	}
	if !s.WantsPage(c) {
		state, word := bench.Ended(event.Action, opened, b.ticket.State() == stations.Held)
		return c.JSON(benchAnswer{OK: true, State: state, Word: s.Printer(c).T(word), Message: say, Open: &address})
	}
	return GoOn(c, address)
}

// chooseByBadge has who owns a badge work at the device from now on; what lies open stays.
func (s *Site) chooseByBadge(c *fiber.Ctx, b benchScan, badge plan.Code) error {
	p, err := s.PersonOfBadge(c, badge)
	if err != nil {
		b.ticket = nil
		return s.refuseBench(c, b, err)
	}
	s.rememberPerson(c, p.Name)
	said := s.Printer(c).T("people.works_here_now", "Person", p.Name)
	if !s.WantsPage(c) {
		return c.JSON(benchAnswer{OK: true, State: bench.Done, Word: s.Printer(c).T("band.done"), Message: said, Person: p.Name})
	}
	return GoOn(c, benchAddress(b.bench[0], strings.TrimSpace(c.FormValue("open"))))
}

// boltScanned is the bolt whose label was scanned in place of a ticket, nil for none.
func (s *Site) boltScanned(b *benchScan) *shelf.Bolt {
	if b.card || b.body.Action != stations.ScanIt {
		return nil
	}
	return s.BoltOf(b.body.Ticket)
}

// cutFrom is the cutting ticket that lies open and is at work, for which a bolt whose label is scanned is laid on the table; nil for none.
func (s *Site) cutFrom(b *benchScan, open string) *stations.Ticket {
	code, err := stations.ParseCode(open)
	if err != nil || b.station != plan.Cutting {
		return nil
	}
	t := s.Desk.Store.Floor().Ticket(code)
	if t == nil || t.Spec.Kind != plan.CuttingTicket || t.State() != stations.AtWork {
		return nil
	}
	return t
}

// openBolt goes on to a bolt's page.
func (s *Site) openBolt(c *fiber.Ctx, bolt *shelf.Bolt) error {
	if s.WantsPage(c) {
		return GoOn(c, boltAddress(bolt.Code))
	}
	said := s.Printer(c).T("page.bolt_scanned", "Bolt", string(bolt.Code), "Cloth", s.Stock().Names(bolt.Cloth))
	return c.JSON(benchAnswer{OK: true, State: bench.Done, Word: s.Printer(c).T("band.done"), Message: said, Go: boltAddress(bolt.Code)})
}

func boltAddress(code plan.Code) string { return "/b/" + url.PathEscape(string(code)) }

// address is the page on which the ticket is open afterwards.
func (b *benchScan) address() string {
	address := benchAddress(b.bench[0], string(b.ticket.Spec.Code))
	if b.asksLengths() { // a browser opens the fold that the field is in
		return address + map[stations.Action]string{stations.Flaw: "#flaw-from", stations.Rest: "#rest-length"}[b.body.Action]
	}
	if b.own {
		return "/t/" + url.PathEscape(string(b.ticket.Spec.Code))
	}
	return address
}

// readBench reads the form. A scan from the box needs no key of its own without script: each is another.
func (s *Site) readBench(c *fiber.Ctx) (benchScan, error) {
	station, err := s.stationAsked(c)
	if err != nil {
		return benchScan{}, err
	}
	b := benchScan{station: station, bench: s.benchAt(c, station), own: c.FormValue("back") == "ticket", today: c.FormValue("back") == "today", body: edge.ScanBody{
		Ticket: strings.TrimSpace(c.FormValue("code")), Station: station, Action: stations.Action(c.FormValue("action")),
		Key: c.FormValue("key"), Person: strings.TrimSpace(c.FormValue("person")), Reason: strings.TrimSpace(c.FormValue("reason")),
		Cut: c.FormValue("cut"), Bolt: c.FormValue("bolt"), After: c.FormValue("after"), From: s.typed(c, "from"), Length: s.typed(c, "length"),
		Place: strings.TrimSpace(c.FormValue("place")), Again: c.FormValue("again") == "yes", Keep: c.FormValue("keep") == "yes", Seen: c.FormValue("seen") == "yes",
		To: plan.Station(c.FormValue("to")), Picture: c.FormValue("picture"), Override: c.FormValue("override") != "", Measured: map[string]string{},
	}}
	if b.body.Action == stations.Flaw {
		b.body.To = plan.Station(s.typed(c, "to"))
	}
	if billable := c.FormValue("billable"); billable != "" {
		yes := billable == "yes"
		b.body.Billable = &yes
	}
	if why := c.FormValue("why"); slices.Contains(bench.HoldReasons(), why) {
		b.body.Reason = s.Printer(c).T("card.reason." + why)
	}
	if badge := strings.TrimSpace(c.FormValue("lead")); badge != "" {
		b.lead, b.body.Person, b.body.PIN = true, badge, c.FormValue("pin")
	}
	if b.body.Action == "" {
		b.body.Action = stations.ScanIt
	}
	if card, ok := stations.ParseCard(b.body.Ticket); ok && b.body.Action == stations.ScanIt {
		b.card, b.press = true, card.Press != ""
		b.body.Ticket, b.body.Action = strings.TrimSpace(c.FormValue("open")), card.Action
		if card.Reason != "" {
			b.body.Reason = s.Printer(c).T("card.reason." + card.Reason)
		}
	}
	if b.body.Key == "" {
		b.body.Key = rand.Text()
	}
	if at, err := time.Parse(time.RFC3339, c.FormValue("at")); err == nil {
		b.body.At = &at
	}
	for name, value := range c.Request().PostArgs().All() {
		entry, measured := strings.CutPrefix(string(name), "measured.")
		switch typed := strings.TrimSpace(string(value)); {
		case measured && typed != "":
			b.body.Measured[entry] = s.Printer(c).Typed(typed)
		case string(name) == "check":
			b.body.Checks = append(b.body.Checks, string(value))
		}
	}
	if b.body.Action != stations.Start && b.body.Action != stations.Finish && b.body.Action != stations.ScanIt {
		b.body.Measured, b.body.Checks = nil, nil
	}
	return b, nil
}

// typed is a length of a form, in the form of files.
func (s *Site) typed(c *fiber.Ctx, field string) string {
	if text := strings.TrimSpace(c.FormValue(field)); text != "" {
		return s.Printer(c).Typed(text)
	}
	return ""
}

func (s *Site) rememberPerson(c *fiber.Ctx, name string) {
	if name == "" || len(name) > edge.MaxName {
		return
	}
	c.Cookie(&fiber.Cookie{Name: edge.PersonCookie, Value: url.QueryEscape(name), Path: "/", Expires: s.Desk.Clock().AddDate(1, 0, 0), SameSite: fiber.CookieSameSiteLaxMode})
}

// doBench sends the form's command. A scan of a ticket that is at work here, with nothing filled in, is no
// mistake: it opens the ticket.
func (s *Site) doBench(c *fiber.Ctx, b *benchScan) (e stations.Event, opened bool, err error) {
	if b.card && b.body.Ticket == "" {
		return e, false, desk.Refuse("nothing_open", "ticket")
	}
	if b.press {
		return e, false, desk.Refuse("no_key_here", "ticket") // the page's script, which acts on it, isn't there
	}
	if err := b.body.Check(); err != nil {
		return e, false, err
	}
	if b.ticket, err = s.TicketAsked(c, b.body.Ticket); err != nil {
		return e, false, err
	}
	if b.card || b.body.Action == stations.ScanIt {
		b.turnTo(plan.Station(c.FormValue("at_station")))
	}
	if !slices.Contains(edge.ScanActions, b.body.Action) {
		return e, false, desk.Refuse("bad_value", "action", "Name", "action", "Value", string(b.body.Action))
	}
	if err := edge.MayWork(c, b.body.Action, b.body.Station); err != nil {
		return e, false, err
	}
	if err := s.Persons(c, &b.body); err != nil {
		return e, false, err
	}
	if b.body.Picture, err = s.pictureOfHold(c, b.body); err != nil {
		return e, false, err
	}
	if missing := b.unmeasured(); len(missing) > 0 {
		if b.body.Action == stations.ScanIt && len(b.body.Measured) == 0 {
			return e, true, nil
		}
		r := desk.Refuse("entries_missing", "measured")
		r.Missing, r.Where = missing, &stations.Place{Station: b.station}
		return e, false, r
	}
	if b.card && b.body.Action == stations.Cut && b.body.Cut == "" {
		if of, cut := s.Desk.Store.Floor().InTurn(b.ticket); of != nil { // of several that are cut in one run
			b.ticket, b.body.Cut = of, cut
		}
	}
	if b.card && b.body.Action == stations.Lay && b.body.Bolt == "" {
		if table := bench.TableOf(s.Desk.Store.Floor(), b.ticket); table != nil && table.ToLay != nil {
			b.body.Bolt = string(table.ToLay.Code)
		}
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	e, err = s.Desk.Scan(ctx, b.body.Command(actor, b.ticket.Spec.Code))
	if desk.IsRefusal(err, "entries_missing") && b.body.Action == stations.ScanIt && len(b.body.Measured)+len(b.body.Checks) == 0 {
		return e, true, nil
	}
	if b.asksLengths() && desk.IsRefusal(err, "missing_key") {
		return e, true, nil // the form is there: a card has no lengths
	}
	if err == nil {
		b.ticket = s.Desk.Store.Floor().Ticket(b.ticket.Spec.Code)
	}
	return e, false, err
}

// turnTo has a scan be of the station of the bench that the ticket is for. A page on which it lies open says at which: a scan
// that is read twice, or sent again once its answer was lost, is of that one still, and doesn't begin the next.
func (b *benchScan) turnTo(open plan.Station) {
	b.station = stationFor(b.bench, b.ticket)
	if slices.Contains(b.bench, open) {
		b.station = open
	}
	b.body.Station = b.station
}

// asksLengths reports whether a card was scanned that opens a form of the cutting table.
func (b *benchScan) asksLengths() bool {
	return b.card && (b.body.Action == stations.Flaw || b.body.Action == stations.Rest)
}

// unmeasured names what is to be measured before the ticket is begun and isn't. A page asks for it first, so that nobody
// cuts before; a program may start without, and is asked at the finish.
func (b *benchScan) unmeasured() []string {
	now := b.ticket.Current()
	if b.body.Action != stations.Start && b.body.Action != stations.ScanIt || now == nil || now.State != stations.Ready || now.Spec.Station != b.station {
		return nil
	}
	return now.MissingAtStart(b.body.Measured)
}

// sayDone says what was done, for eyes a metre away.
func (s *Site) sayDone(c *fiber.Ctx, b benchScan, e stations.Event, opened bool) string {
	say := s.Printer(c)
	args := []any{"Piece", s.Views(c).PieceName(views.PieceOf(b.ticket, s.Desk.Today())), "Station", say.Station(e.Station), "State", say.T("state." + string(e.State))}
	if e.Next != "" {
		args = append(args, "Next", say.Station(e.Next))
	}
	switch {
	case opened && b.asksLengths():
		return say.T("page.did.asks_"+string(b.body.Action), args...)
	case opened && b.ticket.State() == stations.Ready:
		return say.T("page.did.measure_first", args...)
	case opened:
		return say.T("page.did.opened", args...)
	case len(e.OutOf) > 0:
		var names []string
		for _, name := range e.OutOf {
			names = append(names, say.T("entry."+name))
		}
		return say.T("page.did.out_of_tolerance", append(args, "Entries", strings.Join(names, ", "))...)
	case e.Pair != nil:
		var apart []string
		for _, m := range e.Pair.Measures {
			apart = append(apart, say.T("pair.measure", "Name", say.T("entry."+m.Entry), "Value", say.Quantity(m.Measured), "Mate", say.Quantity(m.Mate)))
		}
		return say.T("page.did.pair_differs", append(args, "Measures", strings.Join(apart, "; "))...)
	case e.Action == stations.Cut, e.Action == stations.Flaw, e.Action == stations.Spoil, e.Action == stations.Rest:
		return s.sayTable(c, b, e)
	case e.Action == stations.Lay:
		return say.T("page.did.lay", append(args, "Bolt", e.Bolt)...)
	case e.Action == stations.Finish && e.Next != "":
		return say.T("page.did.finish_next", args...)
	}
	return say.T("page.did."+string(e.Action), args...)
}

// sayTable says what was told at the cutting table, and which cut is next.
func (s *Site) sayTable(c *fiber.Ctx, b benchScan, e stations.Event) string {
	say, piece := s.Printer(c), views.PieceOf(b.ticket, s.Desk.Today())
	if piece.Cloth != nil {
		return say.T("page.did.table_held", "Piece", s.Views(c).PieceName(piece), "Lacks", s.Views(c).Lacks(piece.Cloth))
	}
	left := say.T("page.did.all_cut")
	of, _ := s.Desk.Store.Floor().InTurn(b.ticket) // another of those that are cut in one run
	if next := of.NextCut(); next != nil {
		order := ""
		if of.Order != b.ticket.Order {
			order = of.Order
		}
		moved := slices.ContainsFunc(e.Lines, func(l stations.Laid) bool { return l.Ticket == of.Spec.Code })
		left = say.T("page.did.next_cut", "Cut", next.Cut, "Order", order, "Moved", moved, "Bolt", next.Bolt, "From", say.Quantity(next.From))
	}
	return say.T("page.did."+string(e.Action), "Cut", e.Cut, "Bolt", e.Bolt, "Length", say.Quantity(e.Length), "Left", left)
}

// sayNext announces what the station has next, once a piece of it is finished.
func (s *Site) sayNext(c *fiber.Ctx, b benchScan, e stations.Event) string {
	ready := workplaceAt(s.Desk.Store.Floor(), b.bench).ready
	if b.own || e.Action != stations.Finish || len(ready) == 0 || slices.Contains(b.bench, e.Next) {
		return "" // the ticket itself is the next at a bench that goes on with it
	}
	next := views.PieceOf(ready[0], s.Desk.Today())
	return " " + s.Printer(c).T("steps.next_here", "Piece", s.Views(c).PieceName(next), "Order", next.Order)
}

// refuseBench tells a refusal where the work is: beside the open ticket with what was typed, nothing of it lost.
func (s *Site) refuseBench(c *fiber.Ctx, b benchScan, err error) error {
	r, ok := edge.RefusalOf(err)
	if !ok {
		return err
	}
	text := s.Printer(c).Refusal(r)
	missing := r.Missing
	if name, ok := strings.CutPrefix(r.Field, "measured."); ok {
		missing = append(slices.Clone(missing), name)
	}
	c.Status(edge.StatusOf(r.Code))
	if !s.WantsPage(c) {
		answer := benchAnswer{State: bench.Refused, Word: s.Printer(c).T("band.refused"), Code: r.Code, Message: text, Missing: missing}
		if b.ticket != nil && (b.own || slices.Contains(b.bench, b.ticket.Station())) {
			address := b.address()
			answer.Open = &address
		}
		if r.Code == "busy" {
			c.Set(fiber.HeaderRetryAfter, "1")
		}
		return c.JSON(answer)
	}
	answer := &views.Answer{Refused: true, Text: text}
	if b.today {
		return s.showHomePage(c, answer)
	}
	if b.ticket == nil {
		return s.showStationPage(c, b.station, nil, answer, b.body.Ticket)
	}
	at := stationFor(b.bench, b.ticket)
	if b.own {
		at = ""
	}
	open, oops := s.openTicket(c, b.ticket, at)
	if oops != nil {
		return errors.Join(err, oops)
	}
	for name, value := range b.body.Measured {
		open.Typed[name] = value
	}
	for _, name := range b.body.Checks {
		open.Ticked[name] = true
	}
	for _, name := range missing {
		open.Missing[name] = true
	}
	if b.own {
		return s.showTicketPage(c, open, answer)
	}
	return s.showStationPage(c, b.station, open, answer, "")
}
