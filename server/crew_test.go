package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"

	"tablehand/engine/billing"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// crew is one person in a shop who does now this, now that, over real connections: mostly what makes sense, now and
// then what doesn't. Several work at once.
type crew struct {
	name    string
	shop    *shop
	url     string
	example string // an order file
	rnd     *rand.Rand
	sent    int
	busy    int
	faults  []string // answers that a server must not give
}

func newCrew(s *shop, url, example, name string, seed uint64) *crew {
	return &crew{name: name, shop: s, url: url, example: example, rnd: rand.New(rand.NewPCG(seed, 14))}
}

// chance is true once in n.
func (c *crew) chance(n int) bool { return c.rnd.IntN(n) == 0 }

func pick[T any](c *crew, from []T) T { return from[c.rnd.IntN(len(from))] }

// send makes one request as a role. A refusal is an answer, a fault of the server is kept. Busy is what a remake hears
// whose order was revised while its cloth was looked for; it is counted, for it is what a panic looks like from outside.
func (c *crew) send(as stations.Role, do, kind string, body []byte) answer {
	c.sent++
	method, path, _ := strings.Cut(do, " ")
	req, err := http.NewRequest(method, c.url+path, bytes.NewReader(body))
	if err != nil {
		panic(err)
	}
	req.Header.Set("Authorization", "Bearer "+c.shop.tokens[as])
	req.Header.Set("Content-Type", kind)
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		c.faults = append(c.faults, err.Error())
		return answer{}
	}
	defer res.Body.Close()
	got := answer{status: res.StatusCode, header: res.Header}
	if got.body, err = io.ReadAll(res.Body); err == nil && got.at("code") == "busy" {
		c.busy++
	} else if err != nil || got.status >= 500 {
		c.faults = append(c.faults, fmt.Sprintf("%s %s answered %d %s %v", do, body, got.status, got.body, err))
	}
	return got
}

func (c *crew) json(as stations.Role, do string, body any) answer {
	raw, err := json.Marshal(body)
	if err != nil {
		panic(err)
	}
	return c.send(as, do, "application/json", raw)
}

// work does one thing on the floor.
func (c *crew) work() {
	ticket := c.someTicket()
	if ticket == nil {
		return
	}
	action := c.sensible(ticket)
	if ticket.Spec.Kind == plan.PanelTicket && c.chance(60) {
		action = stations.Scrap
	}
	if c.chance(40) {
		action = pick(c, edge.ScanActions)
	}
	c.scan(ticket, action)
	if (action == stations.ScanIt || action == stations.Finish) && c.chance(10) {
		c.scan(ticket, stations.Undo)
	}
}

// someTicket chooses one of a released order, of an early one rather than a late one.
func (c *crew) someTicket() *stations.Ticket {
	released := slices.DeleteFunc(c.open(), func(o *stations.Order) bool { return len(o.Tickets) == 0 })
	if len(released) == 0 {
		return nil
	}
	return pick(c, released[c.rnd.IntN(min(1+c.rnd.IntN(6), len(released)))].Tickets)
}

// sensible says what can be done to a ticket as it is.
func (c *crew) sensible(t *stations.Ticket) stations.Action {
	switch t.State() {
	case stations.Held:
		if t.Current().ForOffice {
			return pick(c, []stations.Action{stations.Accept, stations.Accept, stations.Remake, stations.SendBack})
		}
		return pick(c, []stations.Action{stations.Resume, stations.Resume, stations.Resume, stations.Remake})
	case stations.Waiting:
		if c.chance(8) {
			return stations.Hold
		}
	case stations.Finished:
		if c.chance(25) {
			return stations.SendBack
		}
	default:
		if c.chance(15) {
			return pick(c, []stations.Action{stations.Hold, stations.SendBack})
		}
	}
	return stations.ScanIt
}

// scan sends an action with what it needs, as measured to the mark, and sometimes off it.
func (c *crew) scan(t *stations.Ticket, action stations.Action) answer {
	body := fields{"ticket": t.Spec.Code, "station": t.Station(), "action": action, "key": fmt.Sprintf("%s-%d", c.name, c.sent)}
	as := stations.Bench
	switch action {
	case stations.Hold:
		body["reason"] = "a pulled thread"
	case stations.SendBack:
		body["reason"], body["to"] = "crooked", pick(c, t.Steps).Spec.Station
	case stations.Scrap:
		as, body["reason"], body["billable"] = stations.Office, "not wanted any more", c.chance(2)
	case stations.Accept, stations.Remake:
		as = stations.Office
		body["reason"] = "as seen"
		if action == stations.Remake {
			body["override"] = true
		}
	case stations.ScanIt, stations.Finish:
		if now := t.Current(); now != nil && (now.State == stations.AtWork || action == stations.Finish) {
			body["measured"], body["checks"] = c.measured(now.Spec), now.Spec.Checks
		}
	}
	return c.json(as, "POST /api/scans", body)
}

func (c *crew) measured(step *plan.Step) map[string]string {
	found := map[string]string{}
	for _, e := range step.Enter {
		found[e.Name] = e.Target.String()
		if e.Kind == plan.LengthEntry && c.chance(12) {
			found[e.Name] = "1in"
		}
	}
	return found
}

// manage does one thing of the office's with orders.
func (c *crew) manage() {
	orders := c.open()
	if len(orders) < 3 || c.chance(3) {
		c.take(len(orders) > 10 || c.chance(5))
		return
	}
	id := pick(c, orders).ID
	switch {
	case c.chance(5):
		c.json(stations.Office, "POST /api/orders/"+id+"/release", fields{"override": true, "reason": "the rest comes"})
	case c.chance(6):
		c.json(stations.Office, "POST /api/orders/"+id+"/cancel", fields{"reason": "sold"})
	case c.chance(8):
		c.json(stations.Office, "POST /api/orders/"+id+"/close", fields{"reason": "the house is sold"})
	default:
		c.send(stations.Office, "PUT /api/orders/"+id+"?override=true&reason=asked", "application/yaml", c.file(id))
	}
}

// open are the orders that the shop has something to do with.
func (c *crew) open() []*stations.Order {
	return slices.DeleteFunc(slices.Clone(c.shop.Store.Floor().Orders()), func(o *stations.Order) bool {
		return o.State == stations.OrderInvoiced || o.State == stations.OrderCancelled
	})
}

// take takes a new order in and releases it; or the house is sold, and it is cancelled.
func (c *crew) take(sold bool) {
	id := fmt.Sprintf("%s-%d", c.name, c.sent)
	c.send(stations.Office, "POST /api/orders", "application/yaml", c.file(id))
	if sold {
		c.json(stations.Office, "POST /api/orders/"+id+"/cancel", fields{"reason": "sold"})
		return
	}
	c.json(stations.Office, "POST /api/orders/"+id+"/release", fields{"override": true, "reason": "the rest comes"})
}

// file is an order as the customer wants it today.
func (c *crew) file(id string) []byte {
	return []byte(ownBolts(strings.NewReplacer("order: SMI-014", "order: "+id,
		"quantity: 1", "quantity: "+pick(c, []string{"1", "1", "2"}),
		"window: Bay, left", "window: "+pick(c, []string{"Bay, left", "Bay, left", "Bay, right"}),
		`room: "14"`, "room: "+pick(c, []string{`"14"`, `"14"`, `"15"`}),
		"due: 2026-12-18", "due: "+pick(c, []string{"2026-12-18", "2026-11-20", "2026-12-24", `""`}),
		"finished_length: 95 1/2", "finished_length: "+pick(c, []string{"95 1/2", "95 1/2", "94", "99"}),
		"face_width: 84", "face_width: "+pick(c, []string{"84", "84", "80"}),
	).Replace(c.example), id))
}

// bill does one thing with money.
func (c *crew) bill() {
	floor := c.shop.Store.Floor()
	var drafts, issued []string
	for _, i := range floor.Invoices() {
		if i.Number == "" || c.chance(20) {
			drafts = append(drafts, i.Draft)
		}
		if i.Number != "" && i.CreditedBy == "" && !i.IsCredit() || c.chance(20) {
			issued = append(issued, i.Name())
		}
	}
	switch n := c.rnd.IntN(12); {
	case n >= 10 && len(issued) > 0:
		c.json(stations.Office, "POST /api/invoices/"+pick(c, issued)+"/credit", fields{"whole": true, "frees": !c.chance(4), "reason": "wrong"})
	case n < 4:
		c.draft()
	case n < 6 && len(drafts) > 0:
		c.json(stations.Office, "POST /api/invoices/"+pick(c, drafts)+"/issue", fields{})
	case n < 8 && len(drafts) > 0:
		c.send(stations.Office, "DELETE /api/invoices/"+pick(c, drafts), "application/json", nil)
	case n < 9:
		c.setPrices()
	}
}

// draft asks for an invoice of some panels that are ready, or that were a moment ago; others do the same. Now and then
// one is among them that stands on an invoice already.
func (c *crew) draft() {
	floor := c.shop.Store.Floor()
	var panels []plan.Code
	for _, t := range floor.Ready() {
		if !c.chance(3) {
			panels = append(panels, t.Spec.Code)
		}
	}
	if len(panels) == 0 {
		return
	}
	panels = panels[:1+c.rnd.IntN(min(4, len(panels)))]
	if all := floor.Invoices(); len(all) > 0 && c.chance(3) {
		panels = append(panels, pick(c, pick(c, all).Lines).Ticket)
	}
	c.json(stations.Office, "POST /api/invoices", fields{"customer": "Saltmarsh Inn", "panels": panels})
}

func (c *crew) setPrices() {
	list := billing.PriceList{Currency: "USD", Rows: []billing.PriceRow{
		{Heading: "cartridge-tape", Panel: fmt.Sprint(c.rnd.IntN(90)), Width: fmt.Sprintf("%d.%02d", c.rnd.IntN(40), c.rnd.IntN(100))}}}
	c.json(stations.Office, "PUT /api/prices", list)
}
