package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/engine/opendays"
	"tablehand/engine/orderfile"
	"tablehand/server/store"
)

// ClosedDays is when the shop is closed, and who said so last.
type ClosedDays struct {
	opendays.Closed
	Changed *Changed `json:"changed,omitempty"` // nil where nobody has
}

// closedDaysOf reads what is kept of them. What can't be read is as shipped.
func closedDaysOf(kept string) (ClosedDays, error) {
	shipped := ClosedDays{Closed: opendays.Shipped()}
	if kept == "" {
		return shipped, nil
	}
	var c ClosedDays
	if err := json.Unmarshal([]byte(kept), &c); err != nil {
		return shipped, err
	}
	read, problems := opendays.Read(c.Closed)
	if len(problems) > 0 {
		return shipped, fmt.Errorf("%s: %s", problems[0].Where, problems[0].Code)
	}
	return ClosedDays{read, c.Changed}, nil
}

// SetClosedDays keeps when the shop is closed, the whole. What is otherwise than it was is noted in the record, as the entry by has it.
// The error is problems where something is wrong, and nothing changes.
func (d *Desk) SetClosedDays(ctx context.Context, by store.Entry, said opendays.Closed) error {
	is, problems := opendays.Read(said)
	if len(problems) > 0 {
		return RefuseProblems(problems)
	}
	d.saving.Lock()
	defer d.saving.Unlock()
	var notes []store.Entry
	for _, change := range changesOf(d.Shop().Closed.Closed, is) {
		note := by
		note.What, note.About = store.SettingChanged, string(store.ClosedDays)+": "+change
		notes = append(notes, note)
	}
	if len(notes) == 0 {
		return nil
	}
	text, err := json.Marshal(ClosedDays{is, &Changed{by.Who, d.Clock().UTC().Truncate(time.Second)}})
	if err != nil {
		return err
	}
	if err := d.Store.SetNoting(ctx, map[store.Setting]string{store.ClosedDays: string(text)}, notes...); err != nil {
		return err
	}
	return d.readSettings()
}

// changesOf writes what is otherwise for the record: the weekdays in one, each stretch of dates by itself.
func changesOf(was, is opendays.Closed) (changes []string) {
	if !slices.Equal(was.Weekdays, is.Weekdays) {
		changes = append(changes, orNone(strings.Join(was.Weekdays, " "))+" → "+orNone(strings.Join(is.Weekdays, " ")))
	}
	for _, s := range was.Dates {
		if !slices.Contains(is.Dates, s) {
			changes = append(changes, s.String()+" → –")
		}
	}
	for _, s := range is.Dates {
		if !slices.Contains(was.Dates, s) {
			changes = append(changes, "– → "+s.String())
		}
	}
	return changes
}

// ClosedDue asks about an order's due date on which the shop is closed, with the open days around it that are still to come; none of
// another order.
func (d *Desk) ClosedDue(o *orderfile.Order) []engine.Problem {
	closed := d.Shop().Closed
	why, is := closed.On(o.Due)
	if !is {
		return nil
	}
	before, after := closed.Around(o.Due)
	if before < d.Today() {
		before = ""
	}
	p := engine.Problem{Severity: engine.Warning, Code: "closed_day", Where: "due",
		Args: map[string]any{"Day": engine.Day(o.Due), "Name": why, "Before": engine.Day(before), "After": engine.Day(after)}}
	p.Line, p.Column = o.Position("due")
	return []engine.Problem{p}
}
