package stations

import (
	"errors"

	"tablehand/engine"
	"tablehand/stations/plan"
)

// Refusal is a command that the floor refuses; nothing changed.
type Refusal struct {
	Code     string // a promise: "wrong_station", ...
	Field    string
	Where    *Place
	Missing  []string         // entries and checks of an unfinished step
	Args     map[string]any   // for the sentence "refusal.<code>"
	Problems []engine.Problem // where they say more than the code
}

// Place says where a ticket is, which tickets do the work, or which key of the order's file has to be mended.
type Place struct {
	Station plan.Station `json:"station,omitempty"`
	Tickets []plan.Code  `json:"tickets,omitempty"`
	Key     string       `json:"key,omitempty"`
	Orders  []string     `json:"orders,omitempty"` // others that name the same bolt
}

func (r *Refusal) Error() string { return "stations: refused: " + r.Code }

// refuse makes a refusal; args are by turns a name and its value for the sentence.
func refuse(code, field string, args ...any) *Refusal {
	r := &Refusal{Code: code, Field: field, Args: make(map[string]any, len(args)/2)}
	for i := 0; i+1 < len(args); i += 2 {
		r.Args[args[i].(string)] = args[i+1]
	}
	return r
}

// refuse makes a refusal that says where the ticket is: the station as Where, and how the sentences name it.
func (t *Ticket) refuse(code, field string) *Refusal {
	r := refuse(code, field, "Ticket", string(t.Spec.Code), "Order", t.Order, "State", t.State(), "Done", t.State() == Finished,
		"Window", t.Spec.Window, "Panel", t.Spec.Panel, "Fabric", t.Spec.Fabric, "Reason", "", "ForOffice", false, "Cloth", false)
	r.Where = &Place{Station: t.Station()}
	if now := t.Current(); now != nil {
		r.Args["Reason"], r.Args["ForOffice"], r.Args["Cloth"] = now.Reason, now.ForOffice, now.Cloth != nil
	}
	return r
}

// ParseCode reads a ticket's code as plan.ParseCode does. The error is a *Refusal "bad_code" that has the Text and the Reason:
// length, symbol or check.
func ParseCode(text string) (plan.Code, error) {
	code, err := plan.ParseCode(text)
	var bad *plan.CodeError
	if errors.As(err, &bad) {
		return "", badCode(bad.Text, bad.Reason)
	}
	return code, err
}

func badCode(text, reason string) *Refusal {
	return &Refusal{Code: "bad_code", Field: "ticket", Args: map[string]any{"Text": text, "Reason": reason}}
}
