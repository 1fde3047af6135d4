package api

import (
	"bytes"
	"runtime"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
)

// describe: GET /api/openapi.json.
func (a *API) describe(c *fiber.Ctx) error {
	c.Set(fiber.HeaderContentType, fiber.MIMEApplicationJSON)
	return c.Send(a.description)
}

// health: GET /healthz answers 200 when the database does.
func (a *API) health(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := a.Desk.Store.Ping(ctx); err != nil {
		a.Desk.Log.Error("the store does not answer", "request", edge.RequestID(c), "error", err)
		return desk.Refuse("busy", "")
	}
	return c.JSON(struct {
		Status string `json:"status"`
	}{"ok"})
}

// showMetrics: GET /metrics, for a token or for the machine itself when no proxy stands between.
func (a *API) showMetrics(c *fiber.Ctx) error {
	_, known := edge.ActorOf(c)
	local := c.Context().RemoteIP().IsLoopback() && c.Get(fiber.HeaderXForwardedFor) == "" && c.Get("Forwarded") == ""
	if !known && !local {
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
