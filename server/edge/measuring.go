package edge

import (
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations/plan"
)

// SetMeasuring keeps what the shop asks when, and notes in the record what is otherwise than it was.
func (e *Edge) SetMeasuring(c *fiber.Ctx, set []plan.Asking) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	changed, err := e.Desk.SetMeasuring(ctx, set)
	if err != nil || len(changed) == 0 {
		return err
	}
	var about []string
	for _, a := range changed {
		about = append(about, a.Key()+" "+string(a.When))
	}
	e.Note(c, store.SettingChanged, string(store.Measuring)+": "+strings.Join(about, ", "))
	return nil
}
