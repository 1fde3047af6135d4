package edge

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
)

// statuses is the status of each code that is not 409, the floor's plain "not now".
var statuses = map[string]int{
	"bad_request":        fiber.StatusBadRequest,
	"unauthorized":       fiber.StatusUnauthorized,
	"forbidden":          fiber.StatusForbidden,
	"not_found":          fiber.StatusNotFound,
	"unknown_ticket":     fiber.StatusNotFound,
	"unknown_bolt":       fiber.StatusNotFound,
	"unknown_cloth":      fiber.StatusNotFound,
	"rest_differs":       fiber.StatusUnprocessableEntity,
	"method_not_allowed": fiber.StatusMethodNotAllowed,
	"timeout":            fiber.StatusRequestTimeout,
	"too_large":          fiber.StatusRequestEntityTooLarge,
	"bad_code":           fiber.StatusUnprocessableEntity,
	"unknown_code":       fiber.StatusNotFound,
	"unknown_badge":      fiber.StatusNotFound,
	"lead_only":          fiber.StatusForbidden,
	"bad_pin":            fiber.StatusUnprocessableEntity,
	"bad_passphrase":     fiber.StatusUnprocessableEntity,
	"code_used":          fiber.StatusGone,
	"code_expired":       fiber.StatusGone,
	"not_its_station":    fiber.StatusForbidden,
	"bad_value":          fiber.StatusUnprocessableEntity,
	"missing_key":        fiber.StatusUnprocessableEntity,
	"unknown_key":        fiber.StatusUnprocessableEntity,
	"entries_missing":    fiber.StatusUnprocessableEntity,
	"cut_too_short":      fiber.StatusUnprocessableEntity,
	"too_long":           fiber.StatusUnprocessableEntity,
	"on_flaw":            fiber.StatusUnprocessableEntity,
	"off_phase":          fiber.StatusUnprocessableEntity,
	"off_bolt":           fiber.StatusUnprocessableEntity,
	"reason_missing":     fiber.StatusUnprocessableEntity,
	"not_released":       fiber.StatusConflict,
	"bad_length":         fiber.StatusUnprocessableEntity,
	"duplicate":          fiber.StatusUnprocessableEntity,
	"problems":           fiber.StatusUnprocessableEntity,
	"picture_kind":       fiber.StatusUnprocessableEntity,
	"picture_pixels":     fiber.StatusUnprocessableEntity,
	"picture_damaged":    fiber.StatusUnprocessableEntity,
	"code_not_found":     fiber.StatusUnprocessableEntity,
	"unknown_picture":    fiber.StatusUnprocessableEntity,
	"too_many":           fiber.StatusTooManyRequests,
	"header_too_large":   fiber.StatusRequestHeaderFieldsTooLarge,
	"internal":           fiber.StatusInternalServerError,
	"busy":               fiber.StatusServiceUnavailable,
	"sign_in_busy":       fiber.StatusServiceUnavailable,
	"paper_busy":         fiber.StatusServiceUnavailable,
	"not_known_yet":      fiber.StatusServiceUnavailable,
	"disk_full":          fiber.StatusServiceUnavailable,
	"disk_read_only":     fiber.StatusServiceUnavailable,
	"data_damaged":       fiber.StatusServiceUnavailable,
	"data_moved":         fiber.StatusServiceUnavailable,
}

// StatusOf returns the status that a refusal's code answers with.
func StatusOf(code string) int {
	if status, ok := statuses[code]; ok {
		return status
	}
	return fiber.StatusConflict
}

// fiberCodes are the codes of what fiber itself refuses, by its status.
var fiberCodes = map[int]string{
	fiber.StatusBadRequest:                  "bad_request",
	fiber.StatusNotFound:                    "not_found",
	fiber.StatusMethodNotAllowed:            "method_not_allowed",
	fiber.StatusRequestTimeout:              "timeout",
	fiber.StatusRequestEntityTooLarge:       "too_large",
	fiber.StatusRequestHeaderFieldsTooLarge: "header_too_large",
}

// RefusalOf turns any error of a handler into the refusal to tell; ok is false for one that nobody outside may
// see, which is logged.
func RefusalOf(err error) (r *stations.Refusal, ok bool) {
	var raised *fiber.Error
	switch {
	case errors.As(err, &r):
		return r, true
	case errors.Is(err, store.ErrNotFound):
		return desk.Refuse("not_found", ""), true
	case store.FaultOf(err) != store.NoFault:
		return desk.Refuse(string(store.FaultOf(err)), ""), true
	case errors.Is(err, store.ErrNotKnownYet):
		return desk.Refuse("not_known_yet", ""), true
	case errors.Is(err, store.ErrBusy), errors.Is(err, store.ErrClosed):
		return desk.Refuse("busy", ""), true
	case errors.As(err, &raised) && fiberCodes[raised.Code] != "":
		return desk.Refuse(fiberCodes[raised.Code], ""), true
	}
	return nil, false
}

// AnswerError is fiber's error handler: every refusal and every fault leaves through here.
func (e *Edge) AnswerError(c *fiber.Ctx, err error) error {
	unread := RequestID(c) == "" // refused before any middleware: a body too large, a request that can't be read
	if unread {
		begin(c)
	}
	r, told := RefusalOf(err)
	if unread && e.bodies.give(&c.Request().Header) {
		r = desk.Refuse("busy", "") // too much is under way
	}
	if unread {
		// Not the error itself: it may quote the request, with its cookie or token.
		e.Desk.Log.Warn("request refused unread", "request", RequestID(c), "kind", r.Code)
	}
	if !told {
		e.Desk.Log.Error("request failed", "request", RequestID(c), "method", c.Method(), "route", routeOf(c), "error", err)
		r = desk.Refuse("internal", "", "Request", RequestID(c))
	}
	// To a stranger an address that isn't there looks like one that is.
	if _, known := ActorOf(c); !known && (r.Code == "not_found" || r.Code == "method_not_allowed") && !e.OpenTo(c.Path()) {
		r = desk.Refuse("unauthorized", "")
	}
	switch r.Code {
	case "too_large":
		lingerAfter(c)
	case "busy", "not_known_yet":
		if unread {
			lingerAfter(c)
		}
		c.Set(fiber.HeaderRetryAfter, "1")
	case "paper_busy":
		c.Set(fiber.HeaderRetryAfter, "5")
	case "disk_full", "disk_read_only", "data_damaged", "data_moved": // a person has to come first
		e.Desk.Log.Error("request failed", "request", RequestID(c), "error", err)
		c.Set(fiber.HeaderRetryAfter, "30")
	case "too_many", "sign_in_busy":
		c.Set(fiber.HeaderRetryAfter, fmt.Sprint(r.Args["Seconds"]))
	case "unauthorized":
		c.Set(fiber.HeaderWWWAuthenticate, "Bearer")
	}
	c.Status(StatusOf(r.Code))
	if e.WantsPage(c) {
		return e.ShowRefusal(c, r)
	}
	return c.JSON(e.refusalDoc(c, r))
}

// WantsPage reports whether the request comes from a browser's address bar or form rather than from a program.
func (e *Edge) WantsPage(c *fiber.Ctx) bool {
	return !forPrograms(c.Path()) && strings.Contains(c.Get(fiber.HeaderAccept), "text/html")
}

// refusalDocument is the answer, of server/interface.md, to what is refused.
type refusalDocument struct {
	Code     string          `json:"code,omitempty"`
	Message  string          `json:"message,omitempty"`
	Field    string          `json:"field,omitempty"`
	Where    *stations.Place `json:"where,omitempty"`
	Missing  []string        `json:"missing,omitempty"`
	Problems []ProblemDoc    `json:"problems,omitempty"`
}

func (e *Edge) refusalDoc(c *fiber.Ctx, r *stations.Refusal) refusalDocument {
	problems := e.ProblemDocs(c, r.Problems)
	if r.Code == "problems" {
		return refusalDocument{Problems: problems}
	}
	return refusalDocument{Code: r.Code, Message: e.Printer(c).Refusal(r), Field: r.Field, Where: r.Where,
		Missing: r.Missing, Problems: problems}
}

// ProblemDoc is the API's form of a problem.
type ProblemDoc struct {
	Severity engine.Severity `json:"severity"`
	Code     string          `json:"code"`
	Where    string          `json:"where,omitempty"`
	Message  string          `json:"message"`
	Line     int             `json:"line,omitempty"`
	Column   int             `json:"column,omitempty"`
	workup.ShortDocument
}

// ProblemDocs writes problems in the language asked for; never nil, so that the JSON is a list.
func (e *Edge) ProblemDocs(c *fiber.Ctx, problems []engine.Problem) []ProblemDoc {
	docs := slices.Grow([]ProblemDoc{}, len(problems))
	if len(problems) == 0 { // as of nearly each scan: no language has to be found
		return docs
	}
	say := e.Printer(c)
	for _, p := range problems {
		docs = append(docs, ProblemDoc{p.Severity, p.Code, p.Where, say.Problem(p), p.Line, p.Column, workup.ShortOf(p)})
	}
	return docs
}
