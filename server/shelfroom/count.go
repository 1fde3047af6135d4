package shelfroom

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/stock"
	"tablehand/server/web"
	"tablehand/stations"
	"tablehand/stations/shelf"
	"tablehand/views"
	page "tablehand/views/page/shelf"
)

// How many a count's pages list; our own choice.
const (
	mostPast = 12 // counts
	mostSeen = 20 // bolts that were scanned last
)

// countsPage: GET /shelf/count, where a count of the shelf is begun or gone on with.
func (r *Room) countsPage(c *fiber.Ctx) error {
	kept := r.Desk.Store.Floor().Shelf()
	p := page.CountsPage{Frame: r.Frame(c), Places: r.Stock().Places()}
	for _, count := range kept.Counts() {
		row := r.countRow(count)
		switch {
		case count.Open():
			p.Open = &row
		case len(p.Past) < mostPast:
			p.Past = append(p.Past, row)
		}
	}
	return r.Send(c, p)
}

func (r *Room) countRow(count *shelf.Count) page.CountRow {
	return page.CountRow{ID: count.ID, Place: count.Place, Begun: r.moment(count.Begun), Open: count.Unsettled()}
}

// beginCountByForm: POST /shelf/count, of the whole shelf or of one place.
func (r *Room) beginCountByForm(c *fiber.Ctx) error {
	begun, err := r.handle(c, shelf.Command{Action: shelf.BeginCount, Place: strings.TrimSpace(c.FormValue("place"))})
	if err != nil {
		return err
	}
	return web.GoOn(c, countAddress(begun.Shelf.Count))
}

func countAddress(id string) string { return "/shelf/count/" + url.PathEscape(id) }

// countPage: GET /shelf/count/{count}; ?saw=CODE says of a bolt whether it lies right, ?at= where whoever scans stands.
func (r *Room) countPage(c *fiber.Ctx) error { return r.showCount(c, nil) }

func (r *Room) showCount(c *fiber.Ctx, answer *views.Answer) error {
	floor := r.Desk.Store.Floor()
	count := floor.Shelf().Count(edge.Param(c, "count"))
	if count == nil {
		return desk.Refuse("not_found", "count")
	}
	p := page.CountPage{Frame: r.Frame(c), CountRow: r.countRow(count), Ended: !count.Open(), At: atOf(c), Seens: len(count.Seen), Answer: answer}
	if p.Ended {
		p.Lines = r.countLines(c, floor, count)
		return r.Send(c, p)
	}
	saw, _ := stations.ParseCode(c.Query("saw"))
	for i := range slices.Backward(count.Seen) {
		row := r.counted(c, floor, &count.Seen[i])
		if answer == nil && row.Code == saw {
			row.Found = c.Query("found") != ""
			p.Saw = &row
		} else if len(p.Seen) < mostSeen {
			p.Seen = append(p.Seen, row)
		}
	}
	p.Left = r.rows(c, count.Misses(floor.Shelf().Bolts()))
	slices.SortStableFunc(p.Left, func(a, b page.Bolt) int {
		unmeasured := func(b page.Bolt) int {
			if b.Measured {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(unmeasured(a), unmeasured(b)), strings.Compare(a.Place, b.Place))
	})
	return r.Send(c, p)
}

// atOf is where whoever scans says to stand.
func atOf(c *fiber.Ctx) string { return strings.TrimSpace(cmp.Or(c.FormValue("at"), c.Query("at"))) }

func (r *Room) counted(c *fiber.Ctx, floor *stations.Floor, s *shelf.Seen) page.Counted {
	b := floor.Shelf().Bolt(s.Bolt)
	row := page.Counted{Bolt: r.row(c, floor, b), Lay: s.Place, Length: spoken(s.Measured, b.Units)}
	row.Rest = spoken(s.Reckoned, b.Units)
	for _, line := range s.Lines(b, r.Stock().Ways(b.Units).CountPercent) {
		row.Elsewhere = row.Elsewhere || line.What == shelf.Elsewhere
		row.Differs = row.Differs || line.What == shelf.Otherwise
	}
	return row
}

// spoken is a length that was noted as long has it, Nothing where there is none.
func spoken(q measure.Quantity, units measure.Unit) measure.Quantity {
	if q.IsZero() {
		return q
	}
	return stock.Long(q.Length(), units)
}

// countLines are what a count found, by what differs.
func (r *Room) countLines(c *fiber.Ctx, floor *stations.Floor, count *shelf.Count) (list []page.CountLines) {
	for _, what := range []shelf.Differs{shelf.Unseen, shelf.Elsewhere, shelf.Otherwise} {
		of := page.CountLines{What: what}
		for _, l := range count.Lines {
			if l.What != what {
				continue
			}
			b := floor.Shelf().Bolt(l.Bolt)
			of.Lines = append(of.Lines, page.CountLine{Bolt: r.row(c, floor, b), Lay: l.Place, Reckoned: spoken(l.Reckoned, b.Units), Length: spoken(l.Measured, b.Units), Settled: l.Settled,
				Since: l.Settled == "" && l.Since(b)})
		}
		if len(of.Lines) > 0 {
			list = append(list, of)
		}
	}
	return list
}

// countSeenByForm: POST /shelf/count/{count}/seen. What is no label of a bolt is said on the page, so that counting goes on.
func (r *Room) countSeenByForm(c *fiber.Ctx) error {
	count := r.Desk.Store.Floor().Shelf().Count(edge.Param(c, "count"))
	if count == nil {
		return desk.Refuse("not_found", "count")
	}
	at := r.Stock().Place(atOf(c))
	b, err := r.BoltAsked(c, strings.TrimSpace(c.FormValue("code")))
	switch {
	case err != nil:
	case !count.Open():
		err = desk.Refuse("no_count", "count")
	default:
		cmd := shelf.Command{Action: shelf.CountBolt, Bolt: b.Code, Place: at, Length: r.typed(c, strings.TrimSpace(c.FormValue("length")))}
		_, err = r.handle(c, cmd)
	}
	if err != nil {
		return r.RefusedOn(c, err, r.showCount)
	}
	onward := url.Values{"saw": {string(b.Code)}}
	if at != "" {
		onward.Set("at", at)
	}
	if b.Lies == shelf.Missing {
		onward.Set("found", "1")
	}
	return web.GoOn(c, countAddress(count.ID)+"?"+onward.Encode())
}

// endCountByForm: POST /shelf/count/{count}/end.
func (r *Room) endCountByForm(c *fiber.Ctx) error {
	id := edge.Param(c, "count")
	if _, err := r.handle(c, shelf.Command{Action: shelf.EndCount, Count: id}); err != nil {
		return err
	}
	return web.GoOn(c, countAddress(id))
}

// settleCountByForm: POST /shelf/count/{count}/settle, what the office makes of a line.
func (r *Room) settleCountByForm(c *fiber.Ctx) error {
	b, err := r.BoltAsked(c, c.FormValue("bolt"))
	if err != nil {
		return err
	}
	id := edge.Param(c, "count")
	settled, err := r.handle(c, shelf.Command{Action: shelf.Settle, Count: id, Bolt: b.Code, As: shelf.Settlement(c.FormValue("as"))})
	if err != nil {
		return r.RefusedOn(c, err, r.showCount)
	}
	return web.GoOn(c, countAddress(id)+"#"+string(settled.Shelf.Lines[0].What)+"-"+string(b.Code))
}
