package api

import (
	"bytes"
	"cmp"
	"runtime"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
)

// describe: GET /api/openapi.json.
func (a *API) describe(c *fiber.Ctx) error {
	description, err := a.description()
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, fiber.MIMEApplicationJSON)
	return c.Send(description)
}

// healthDoc says part by part whether scans can be taken.
type healthDoc struct {
	Status   string `json:"status"`   // ok, unwell
	Database string `json:"database"` // ok, silent, damaged
	Disk     string `json:"disk"`     // ok, full, read_only
	File     string `json:"file"`     // ok, moved
	// CopyAge is how old the last copy is, the one at the second place where the shop names one; absent where there is none, and for strangers elsewhere.
	CopyAge *int64 `json:"copy_age_seconds,omitempty"`

	Code    string `json:"code,omitempty"` // as of a scan that is refused for it
	Message string `json:"message,omitempty"`
}

// unwell is the part of the document that each fault is told in, and as what.
var unwell = map[store.Fault]struct {
	part func(*healthDoc) *string
	as   string
}{
	store.Moved:    {func(d *healthDoc) *string { return &d.File }, "moved"},
	store.DiskFull: {func(d *healthDoc) *string { return &d.Disk }, "full"},
	store.ReadOnly: {func(d *healthDoc) *string { return &d.Disk }, "read_only"},
	store.Damaged:  {func(d *healthDoc) *string { return &d.Database }, "damaged"},
}

// health: GET /healthz answers 200 where scans can be taken, else 503.
func (a *API) health(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	doc := healthDoc{Status: "ok", Database: "ok", Disk: "ok", File: "ok"}
	fault, silent := a.Desk.Store.Health(ctx)
	if told, known := unwell[fault]; known {
		*told.part(&doc) = told.as
	}
	if silent {
		doc.Database = "silent"
	}
	if fault != store.NoFault || silent {
		r := desk.Refuse(cmp.Or(string(fault), "busy"), "")
		doc.Status, doc.Code, doc.Message = "unwell", r.Code, a.Printer(c).Refusal(r)
		a.Desk.Log.Error("scans can't be taken", "request", edge.RequestID(c), "fault", fault, "silent", silent)
		c.Status(fiber.StatusServiceUnavailable)
	}
	if mayLookInside(c) {
		if made, err := a.Desk.LastCopy(ctx); err == nil && !made.IsZero() {
			age := max(0, int64(a.Desk.Clock().Sub(made)/time.Second)) // a clock may have been set back
			doc.CopyAge = &age
		}
	}
	return c.JSON(doc)
}

// mayLookInside reports whether a request comes with a token, or from the machine itself with no proxy between.
func mayLookInside(c *fiber.Ctx) bool {
	_, known := edge.ActorOf(c)
	return known || c.Context().RemoteIP().IsLoopback() && c.Get(fiber.HeaderXForwardedFor) == "" && c.Get("Forwarded") == ""
}

// showMetrics: GET /metrics, for a token or for the machine itself when no proxy stands between.
func (a *API) showMetrics(c *fiber.Ctx) error {
	if !mayLookInside(c) {
		return desk.Refuse("unauthorized", "")
	}
	var memory runtime.MemStats
	runtime.ReadMemStats(&memory)
	var text bytes.Buffer
	a.Metrics.Write(&text, "streams", a.Metrics.Streams.Load(), "ledger_seq", a.Desk.Store.Floor().Seq(),
		"goroutines", runtime.NumGoroutine(), "heap_bytes", memory.HeapAlloc)
	c.Set(fiber.HeaderContentType, "text/plain; version=0.0.4; charset=utf-8")
	return c.Send(text.Bytes())
}
