package server

import (
	"bufio"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"tablehand/stations"
	"tablehand/stations/board"
	"tablehand/stations/plan"
)

// follower keeps a board of its own: it reads the shop's once and from then on only what the event stream says, as the
// description of Change tells. Its connection breaks all the time.
type follower struct {
	url, token, today string
	rnd               *rand.Rand
	until             *atomic.Int64 // the event after which it stops

	known bool
	board board.Board
	proof *board.Board // the shop's as it was read a moment ago, which must be its own when it has come so far

	cuts, proofs int // of its connection; compared
}

// follow runs until the event that it is to stop at. The error is a stream that says something else than it should.
func (f *follower) follow(ctx context.Context) error {
	for f.board.Seq < f.until.Load() {
		if !f.known || f.rnd.IntN(20) == 0 { // now and then it has forgotten everything
			if err := f.readBoard(ctx, &f.board); err != nil {
				return err
			}
			f.known, f.proof = true, nil
		}
		if f.proof == nil && f.rnd.IntN(3) == 0 {
			f.proof = new(board.Board)
			if err := f.readBoard(ctx, f.proof); err != nil {
				return err
			}
			if err := f.prove(); err != nil {
				return err
			}
		}
		life, cut := context.WithTimeout(ctx, time.Duration(10+f.rnd.IntN(800))*time.Millisecond)
		err := f.read(life)
		f.cuts++
		broken := life.Err() != nil && ctx.Err() == nil
		cut()
		if err != nil && !broken {
			return err
		}
		if f.rnd.IntN(3) == 0 {
			time.Sleep(time.Duration(f.rnd.IntN(60)) * time.Millisecond)
		}
	}
	return nil
}

func (f *follower) get(ctx context.Context, path string, header ...string) (*http.Response, error) {
	req, err := http.NewRequestWithContext(ctx, "GET", f.url+path, nil)
	if err != nil {
		return nil, err
	}
	req.Header.Set("Authorization", "Bearer "+f.token)
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Set(header[i], header[i+1])
	}
	res, err := http.DefaultClient.Do(req)
	if err == nil && res.StatusCode != http.StatusOK {
		res.Body.Close()
		err = fmt.Errorf("GET %s answered %d", path, res.StatusCode)
	}
	return res, err
}

func (f *follower) readBoard(ctx context.Context, into *board.Board) error {
	res, err := f.get(ctx, "/api/board")
	if err != nil {
		return err
	}
	defer res.Body.Close()
	*into = board.Board{}
	return json.NewDecoder(res.Body).Decode(into)
}

// prove holds the board against the shop's, once it has come so far.
func (f *follower) prove() error {
	if f.proof == nil || f.board.Seq < f.proof.Seq {
		return nil
	}
	own, err := json.Marshal(f.board)
	if err != nil {
		return err
	}
	shops, err := json.Marshal(f.proof)
	if err != nil {
		return err
	}
	f.proof = nil
	f.proofs++
	if string(own) != string(shops) {
		return fmt.Errorf("at %d a follower has the board\n%s\nthe shop\n%s", f.board.Seq, own, shops)
	}
	return nil
}

// read follows one connection; nil when the stream ended, or has come to where the follower stops.
func (f *follower) read(ctx context.Context) error {
	res, err := f.get(ctx, "/api/events", "Last-Event-ID", fmt.Sprint(f.board.Seq))
	if err != nil {
		return err
	}
	defer res.Body.Close()
	lines, data := bufio.NewReader(res.Body), ""
	for f.known && f.board.Seq < f.until.Load() {
		line, err := lines.ReadString('\n')
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		switch name, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), ": "); name {
		case "event":
			if value != "change" {
				return fmt.Errorf("an event %q came", value)
			}
		case "data":
			data = value
		case "":
			if err := f.take(data); err != nil {
				return err
			}
			data = ""
		}
	}
	return nil
}

// take does what one event's data says, which must be the next.
func (f *follower) take(data string) error {
	if data == "" {
		return nil
	}
	var c board.Change
	if err := json.Unmarshal([]byte(data), &c); err != nil {
		return fmt.Errorf("%s: %w", data, err)
	}
	if c.Seq != f.board.Seq+1 {
		return fmt.Errorf("event %d came after %d", c.Seq, f.board.Seq)
	}
	f.board.Seq = c.Seq
	f.change(c)
	if !f.known {
		return nil
	}
	f.board.Orders = slices.DeleteFunc(f.board.Orders, allBilled)
	for i := range f.board.Orders {
		o := &f.board.Orders[i]
		o.Late = o.Due != "" && o.Due < f.today && !allDone(*o)
	}
	slices.SortFunc(f.board.Orders, func(a, b board.Order) int {
		if (a.Due == "") != (b.Due == "") {
			return cmp.Compare(b.Due, a.Due) // those without a date last
		}
		return cmp.Or(cmp.Compare(a.Due, b.Due), cmp.Compare(a.Order, b.Order))
	})
	return f.prove()
}

func (f *follower) change(c board.Change) {
	if c.Action == stations.Take {
		f.board.Orders = append(f.board.Orders, board.Order{Order: c.Order, Tickets: []board.Row{}})
	}
	at := slices.IndexFunc(f.board.Orders, func(o board.Order) bool { return o.Order == c.Order })
	for _, code := range c.Billed {
		f.row(code).Billed = true
	}
	for _, code := range c.Unbilled {
		row := f.row(code)
		row.Billed = false
		f.known = f.known && row.Ticket == code // else its order is on the board again, and has to be read
	}
	if at < 0 { // of money, which is no order's
		return
	}
	o := &f.board.Orders[at]
	if c.Action == stations.Take || c.Action == stations.Revise {
		o.Due = c.Due
	}
	for _, l := range c.Labels {
		f.row(l.Ticket).Label = l
	}
	for _, code := range c.Cancelled {
		f.row(code).State = stations.Cancelled
	}
	for _, code := range c.Scrapped {
		row := f.row(code)
		row.State, row.Scrapped, row.Billable = stations.Cancelled, true, c.Billable
	}
	for _, t := range c.Tickets {
		o.Tickets = slices.Insert(o.Tickets, behind(o.Tickets, t), t)
	}
	if c.Next != "" {
		f.move(stations.Moved{Ticket: c.Ticket, Station: c.Next, State: stations.Ready})
	} else if c.Ticket != "" {
		f.move(stations.Moved{Ticket: c.Ticket, Station: c.Station, State: c.State})
	}
	for _, m := range c.Also {
		f.move(m)
	}
	if c.Action == stations.Cancel {
		f.board.Orders = slices.Delete(f.board.Orders, at, at+1)
	}
}

// behind returns where a new ticket stands among an order's.
func behind(rows []board.Row, t board.Row) int {
	for i := len(rows); i > 0; i-- {
		was := rows[i-1]
		if was.Kind == t.Kind && (t.Kind == plan.CuttingTicket || was.Window == t.Window && was.Room == t.Room) {
			return i
		}
	}
	return len(rows)
}

func (f *follower) move(m stations.Moved) {
	row := f.row(m.Ticket)
	row.Station, row.State = m.Station, m.State
}

// row returns a ticket's row; of one that the board doesn't have, a row that is nobody's.
func (f *follower) row(code plan.Code) *board.Row {
	for i := range f.board.Orders {
		for j := range f.board.Orders[i].Tickets {
			if row := &f.board.Orders[i].Tickets[j]; row.Ticket == code {
				return row
			}
		}
	}
	return &board.Row{}
}

// allDone reports whether every panel is finished or cancelled.
func allDone(o board.Order) bool {
	panels := 0
	for _, t := range o.Tickets {
		if t.Kind == plan.PanelTicket {
			panels++
			if t.State != stations.Finished && t.State != stations.Cancelled {
				return false
			}
		}
	}
	return panels > 0
}

// allBilled reports whether there is nothing more to do with an order.
func allBilled(o board.Order) bool {
	finished := 0
	for _, t := range o.Tickets {
		if t.Kind == plan.PanelTicket && (t.State == stations.Finished || t.Billable) {
			finished++
			if !t.Billed {
				return false
			}
		}
	}
	return finished > 0 && allDone(o)
}
