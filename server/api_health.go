package server

import (
	_ "embed"
	"encoding/json"
	"sync"

	"github.com/goccy/go-yaml"
	"github.com/gofiber/fiber/v2"
)

//go:embed openapi.yaml
var openapiYAML []byte

// openapi is the API's description as JSON; a broken one is a fault of the build, so it panics.
var openapi = sync.OnceValue(func() []byte {
	var doc any
	if err := yaml.Unmarshal(openapiYAML, &doc); err != nil {
		panic("server: openapi.yaml: " + err.Error())
	}
	b, err := json.Marshal(doc)
	if err != nil {
		panic("server: openapi.yaml: " + err.Error())
	}
	return b
})

// describe: GET /api/openapi.json.
func (s *Server) describe(c *fiber.Ctx) error {
	c.Set(fiber.HeaderContentType, fiber.MIMEApplicationJSON)
	return c.Send(openapi())
}

// health: GET /healthz answers 200 when the database does.
func (s *Server) health(c *fiber.Ctx) error {
	ctx, cancel := waiting()
	defer cancel()
	if err := s.Store.Ping(ctx); err != nil {
		s.Log.Error("the store does not answer", "request", requestID(c), "error", err)
		return refuse("busy", "")
	}
	return c.JSON(struct {
		Status string `json:"status"`
	}{"ok"})
}
