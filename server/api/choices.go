package api

import (
	"encoding/json"
	"regexp"
	"strconv"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/edge"
)

// choiceDoc is one way to make a window.
type choiceDoc struct {
	Set     map[string]string            `json:"set"`
	Code    string                       `json:"code"`
	Why     string                       `json:"why"`
	Heading string                       `json:"heading"`
	Panels  []workup.PanelDocument       `json:"panels"`
	Fabrics []workup.FabricTotalDocument `json:"fabrics"`
	Price   *billing.Money               `json:"price,omitempty"`
}

// showChoices: POST /api/choices, an order file that says of which window beside it: "treatment": 0.
func (a *API) showChoices(c *fiber.Ctx) error {
	source := c.BodyRaw()
	if err := edge.CheckOrder(len(source), "body"); err != nil {
		return err
	}
	source, treatment, ok := withoutTreatment(source)
	if !ok {
		return desk.RefuseProblems([]engine.Problem{{Severity: engine.Error, Code: "missing_key", Where: "treatment", Args: map[string]any{"Key": "treatment"}}})
	}
	w, problems, err := a.Desk.WorkOut(source, a.Desk.PracticeOf(""))
	if err != nil {
		return err
	}
	if w == nil {
		return desk.RefuseProblems(problems)
	}
	if treatment >= len(w.Order.Treatments) {
		return desk.RefuseProblems([]engine.Problem{{Severity: engine.Error, Code: "bad_value", Key: "problem.bad_value.treatment", Where: "treatment",
			Args: map[string]any{"Value": treatment, "Last": len(w.Order.Treatments) - 1}}})
	}
	say, list := a.Printer(c), []choiceDoc{}
	for _, ch := range a.Desk.Choices(w.Order, treatment) {
		doc := ch.Work.Document(false, say.Problem, nil).Treatments[0]
		list = append(list, choiceDoc{ch.Set, ch.Why.Code, say.Choice(ch.Why.Code, ch.Why.Args), string(doc.Heading), doc.Panels, doc.Fabrics, ch.Price})
	}
	return c.JSON(struct {
		Choices []choiceDoc `json:"choices"`
	}{list})
}

var treatmentLine = regexp.MustCompile(`(?m)^treatment:[ \t]*([0-9]{1,6})[ \t]*$`)

// withoutTreatment takes the key that says which window off an order file, so that what is wrong keeps its line in YAML.
func withoutTreatment(source []byte) (file []byte, treatment int, ok bool) {
	var keys map[string]json.RawMessage
	if json.Unmarshal(source, &keys) == nil {
		if json.Unmarshal(keys["treatment"], &treatment) != nil || treatment < 0 {
			return source, 0, false
		}
		delete(keys, "treatment")
		file, err := json.Marshal(keys)
		return file, treatment, err == nil
	}
	at := treatmentLine.FindSubmatchIndex(source)
	if at == nil {
		return source, 0, false
	}
	treatment, _ = strconv.Atoi(string(source[at[2]:at[3]])) // six digits
	return append(append(append([]byte{}, source[:at[0]]...), '#'), source[at[1]:]...), treatment, true
}
