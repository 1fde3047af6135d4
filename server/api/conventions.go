package api

import (
	"strconv"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/sample"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
)

// conventionRow is a convention as the shop has it now. Lengths are in the shop's unit.
type conventionRow struct {
	Name    string            `json:"name"`
	Value   string            `json:"value"`   // "" where there is none
	Default string            `json:"default"` // as shipped
	Group   orderfile.Group   `json:"group"`
	Heading orderfile.Heading `json:"heading,omitempty"` // whose own it is
	Label   string            `json:"label"`
	Values  []string          `json:"values"` // the words that it may be, none of one that is no word
	Range   rangeDoc          `json:"range"`
	Source  orderfile.Source  `json:"source"` // of the shipped value
	Changed *changedByDoc     `json:"changed,omitempty"`
	Words   map[string]string `json:"words,omitempty"` // what the values say
}

// rangeDoc is what a value may be from and to. Above is in the place of Min where that isn't allowed itself.
type rangeDoc struct {
	Min   string `json:"min,omitempty"`
	Above string `json:"above,omitempty"`
	Max   string `json:"max,omitempty"`
}

// changedByDoc says who set it last, and how.
type changedByDoc struct {
	By   string    `json:"by"`
	At   time.Time `json:"at"`
	From string    `json:"from"`
	To   string    `json:"to"`
}

type conventionsDoc struct {
	Rows []conventionRow `json:"rows"`
}

// showConventions: GET /api/conventions.
func (a *API) showConventions(c *fiber.Ctx) error {
	say, shop := a.Printer(c), a.Desk.Shop()
	units := shop.Unit()
	now := shop.Practice(units)
	shipped := now.Shipped(units)
	var doc conventionsDoc
	for _, r := range now.Rows() {
		row := conventionRow{Name: r.Key, Value: r.Text(&now, units), Default: r.Text(&shipped, units), Group: r.Group, Heading: r.Heading, Label: say.T("convention." + r.Name()),
			Values: r.Words(), Source: r.Sources.In(units), Changed: changedBy(shop.Conventions, r.Key)}
		if row.Values == nil {
			row.Values = []string{}
			least, most, open := r.Limits(units)
			row.Range = rangeDoc{Min: least, Max: most}
			if open {
				row.Range.Min, row.Range.Above = "", least
			}
		}
		for _, word := range row.Values {
			if row.Words == nil {
				row.Words = map[string]string{}
			}
			row.Words[word] = say.T(r.WordKind() + "." + word)
		}
		doc.Rows = append(doc.Rows, row)
	}
	return c.JSON(doc)
}

func changedBy(ways desk.Ways, name string) *changedByDoc {
	way, set := ways[name]
	if !set {
		return nil
	}
	return &changedByDoc{way.By, way.At, way.From, way.To}
}

// triedDoc is what conventions would change.
type triedDoc struct {
	Changes []triedChangeDoc `json:"changes"`
	Sample  []triedWindowDoc `json:"sample"`
}

// triedChangeDoc is a convention that would be set otherwise. Moves says that it moves something of a window by itself.
type triedChangeDoc struct {
	Name    string `json:"name"`
	From    string `json:"from"`
	To      string `json:"to"`
	Moves   bool   `json:"moves"`
	Sampled bool   `json:"sampled"` // a window of the sample could show it
}

// triedWindowDoc is a window of the sample, before and after in the form of the work-up.
type triedWindowDoc struct {
	Window  string           `json:"window"`
	Before  sampleDoc        `json:"before"`
	After   sampleDoc        `json:"after"`
	Changes []movedNumberDoc `json:"changes"`
}

type sampleDoc struct {
	Panels   []workup.PanelDocument       `json:"panels"`
	Fabrics  []workup.FabricTotalDocument `json:"fabrics"`
	Totals   workup.TotalsDocument        `json:"totals"`
	Problems []workup.ProblemDocument     `json:"problems"`
}

// movedNumberDoc is a number that would be otherwise. Of is panel, face, lining, interlining, tape, buckram, thread, hooks or fittings.
type movedNumberDoc struct {
	Of     string           `json:"of"`
	Name   string           `json:"name"`
	Label  string           `json:"label"`
	Before measure.Quantity `json:"before,omitzero"`
	After  measure.Quantity `json:"after,omitzero"`
}

// setConventions: PUT /api/conventions, an object of values by name: what it doesn't name stays, null is the shipped value. ?try=true says
// what it would do to the windows of a sample, and changes nothing.
func (a *API) setConventions(c *fiber.Ctx) error {
	var set map[string]any
	if err := edge.Decode(c, &set); err != nil {
		return err
	}
	try, err := strconv.ParseBool(c.Query("try", "false"))
	if err != nil {
		return desk.Refuse("bad_value", "try")
	}
	if try {
		return a.tryConventions(c, set)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := a.Desk.SetConventions(ctx, a.Deed(c, store.SettingChanged, ""), set); err != nil {
		return err
	}
	return a.showConventions(c)
}

func (a *API) tryConventions(c *fiber.Ctx, set map[string]any) error {
	tried, err := a.Desk.TryConventions(set)
	if err != nil {
		return err
	}
	doc := triedDoc{Changes: []triedChangeDoc{}}
	for _, ch := range tried.Changes {
		doc.Changes = append(doc.Changes, triedChangeDoc{ch.Name, ch.From, ch.To, ch.Moves, ch.Sampled})
	}
	for _, w := range tried.Windows {
		moved := []movedNumberDoc{}
		for _, n := range w.Changes {
			moved = append(moved, movedNumberDoc{n.Of, n.Name, a.Printer(c).T("value." + n.Name), n.Before, n.After})
		}
		doc.Sample = append(doc.Sample, triedWindowDoc{a.Printer(c).T("sample.window." + w.Before.Name), a.sampleDocOf(c, w.Before), a.sampleDocOf(c, w.After), moved})
	}
	return c.JSON(doc)
}

func (a *API) sampleDocOf(c *fiber.Ctx, w sample.Window) sampleDoc {
	say := a.Printer(c)
	doc := w.Work.Document(false, say.Problem, func(key string) string { return say.T(key) })
	one := doc.Treatments[0]
	return sampleDoc{one.Panels, one.Fabrics, doc.Totals, doc.Problems}
}
