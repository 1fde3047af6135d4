package server

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
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
	"method_not_allowed": fiber.StatusMethodNotAllowed,
	"timeout":            fiber.StatusRequestTimeout,
	"too_large":          fiber.StatusRequestEntityTooLarge,
	"bad_code":           fiber.StatusUnprocessableEntity,
	"bad_value":          fiber.StatusUnprocessableEntity,
	"missing_key":        fiber.StatusUnprocessableEntity,
	"unknown_key":        fiber.StatusUnprocessableEntity,
	"entries_missing":    fiber.StatusUnprocessableEntity,
	"cut_too_short":      fiber.StatusUnprocessableEntity,
	"too_long":           fiber.StatusUnprocessableEntity,
	"on_flaw":            fiber.StatusUnprocessableEntity,
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
	"disk_full":          fiber.StatusServiceUnavailable,
	"disk_read_only":     fiber.StatusServiceUnavailable,
	"data_damaged":       fiber.StatusServiceUnavailable,
}

// statusOf returns the status that a refusal's code answers with.
func statusOf(code string) int {
	if status, ok := statuses[code]; ok {
		return status
	}
	return fiber.StatusConflict
}

// refuse makes a refusal of the server's own; args are by turns a name and its value for the sentence.
func refuse(code, field string, args ...any) *stations.Refusal {
	r := &stations.Refusal{Code: code, Field: field, Args: map[string]any{"Name": field, "Value": "", "Reason": "", "Part": ""}}
	for i := 0; i+1 < len(args); i += 2 {
		r.Args[args[i].(string)] = args[i+1]
	}
	return r
}

// isRefusal reports whether err is a refusal with that code.
func isRefusal(err error, code string) bool {
	var r *stations.Refusal
	return errors.As(err, &r) && r.Code == code
}

// refuseProblems refuses an input for its problems; the answer has them in place of one code.
func refuseProblems(problems []engine.Problem) *stations.Refusal {
	return &stations.Refusal{Code: "problems", Problems: problems}
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

// refusalOf turns any error of a handler into the refusal to tell; ok is false for one that nobody outside may
// see, which is logged.
func refusalOf(err error) (r *stations.Refusal, ok bool) {
	var raised *fiber.Error
	switch {
	case errors.As(err, &r):
		return r, true
	case errors.Is(err, store.ErrNotFound):
		return refuse("not_found", ""), true
	case store.FaultOf(err) != store.NoFault:
		return refuse(string(store.FaultOf(err)), ""), true
	case errors.Is(err, store.ErrBusy), errors.Is(err, store.ErrClosed):
		return refuse("busy", ""), true
	case errors.As(err, &raised) && fiberCodes[raised.Code] != "":
		return refuse(fiberCodes[raised.Code], ""), true
	}
	return nil, false
}

// answerError is fiber's error handler: every refusal and every fault leaves through here.
func (s *Server) answerError(c *fiber.Ctx, err error) error {
	if requestID(c) == "" { // refused before any middleware: a body too large, a request that can't be read
		begin(c)
		s.Log.Warn("request refused unread", "request", requestID(c), "error", err)
	}
	r, told := refusalOf(err)
	if !told {
		s.Log.Error("request failed", "request", requestID(c), "method", c.Method(), "path", c.Path(), "error", err)
		r = refuse("internal", "", "Request", requestID(c))
	}
	// To a stranger an address that isn't there looks like one that is.
	if _, known := actorOf(c); !known && (r.Code == "not_found" || r.Code == "method_not_allowed") && !s.openTo(c.Path()) {
		r = refuse("unauthorized", "")
	}
	switch r.Code {
	case "too_large":
		lingerAfter(c)
	case "busy":
		c.Set(fiber.HeaderRetryAfter, "1")
	case "disk_full", "disk_read_only", "data_damaged": // a person has to come first
		s.Log.Error("request failed", "request", requestID(c), "error", err)
		c.Set(fiber.HeaderRetryAfter, "30")
	case "too_many":
		c.Set(fiber.HeaderRetryAfter, fmt.Sprint(r.Args["Seconds"]))
	case "unauthorized":
		c.Set(fiber.HeaderWWWAuthenticate, "Bearer")
	}
	c.Status(statusOf(r.Code))
	if s.wantsPage(c) {
		return s.showRefusal(c, r)
	}
	return c.JSON(s.refusalDoc(c, r))
}

// wantsPage reports whether the request comes from a browser's address bar or form rather than from a program.
func (s *Server) wantsPage(c *fiber.Ctx) bool {
	return !forPrograms(c.Path()) && strings.Contains(c.Get(fiber.HeaderAccept), "text/html")
}

// refusalDocument is the answer, of server/interface.md, to what is refused.
type refusalDocument struct {
	Code     string          `json:"code,omitempty"`
	Message  string          `json:"message,omitempty"`
	Field    string          `json:"field,omitempty"`
	Where    *stations.Place `json:"where,omitempty"`
	Missing  []string        `json:"missing,omitempty"`
	Problems []problemDoc    `json:"problems,omitempty"`
}

func (s *Server) refusalDoc(c *fiber.Ctx, r *stations.Refusal) refusalDocument {
	problems := s.problemDocs(c, r.Problems)
	if r.Code == "problems" {
		return refusalDocument{Problems: problems}
	}
	return refusalDocument{Code: r.Code, Message: s.printer(c).Refusal(r), Field: r.Field, Where: r.Where,
		Missing: r.Missing, Problems: problems}
}

// problemDoc is the API's form of a problem.
type problemDoc struct {
	Severity engine.Severity `json:"severity"`
	Code     string          `json:"code"`
	Where    string          `json:"where,omitempty"`
	Message  string          `json:"message"`
	Line     int             `json:"line,omitempty"`
	Column   int             `json:"column,omitempty"`
}

// problemDocs writes problems in the language asked for; never nil, so that the JSON is a list.
func (s *Server) problemDocs(c *fiber.Ctx, problems []engine.Problem) []problemDoc {
	docs := slices.Grow([]problemDoc{}, len(problems))
	say := s.printer(c)
	for _, p := range problems {
		docs = append(docs, problemDoc{p.Severity, p.Code, p.Where, say.Problem(p), p.Line, p.Column})
	}
	return docs
}
