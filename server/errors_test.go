package server

import (
	"bytes"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/store"
	"tablehand/stations"
)

// TestFaults: what breaks inside is logged under the request's id and told as nothing more.
func TestFaults(t *testing.T) {
	s := openShop(t)
	var log bytes.Buffer
	s.Log = slog.New(slog.NewTextHandler(&log, nil))
	s.app.Get("/api/fault", func(*fiber.Ctx) error { return errors.New("UNIQUE constraint failed: tickets.code") })
	s.app.Get("/api/panic", func(*fiber.Ctx) error { panic("UNIQUE nil map") })
	s.app.Get("/api/busy", func(*fiber.Ctx) error { return fmt.Errorf("taking: %w", store.ErrBusy) })
	for _, address := range []string{"fault", "panic"} {
		log.Reset()
		res, err := s.app.Test(s.request(scene{as: stations.Office, do: "GET /api/" + address}, nil), -1)
		if err != nil {
			t.Fatal(err)
		}
		got := read(t, res)
		id := got.header.Get("X-Request-Id")
		if got.status != 500 || got.at("code") != "internal" || strings.Contains(string(got.body), "UNIQUE") {
			t.Errorf("%s answered %d %s", address, got.status, got.body)
		}
		if id == "" || !strings.Contains(got.at("message"), id) || !strings.Contains(log.String(), "request="+id) || !strings.Contains(log.String(), "UNIQUE") {
			t.Errorf("%s: request %s answered %s, logged %s", address, id, got.body, log.String())
		}
	}
	s.app.Get("/api/not_known_yet", func(*fiber.Ctx) error { return fmt.Errorf("taking: %w", store.ErrNotKnownYet) })
	for _, code := range []string{"busy", "not_known_yet"} {
		res, err := s.app.Test(s.request(scene{as: stations.Office, do: "GET /api/" + code}, nil), -1)
		if err != nil {
			t.Fatal(err)
		}
		if got := read(t, res); got.status != 503 || got.at("code") != code || got.header.Get("Retry-After") == "" {
			t.Errorf("%s answered %d %v %s", code, got.status, got.header, got.body)
		}
	}
}

// TestLogHasRoutesNotAddresses: what an address names stays out of the access log.
func TestLogHasRoutesNotAddresses(t *testing.T) {
	s := openShop(t)
	var log bytes.Buffer
	s.Log = slog.New(slog.NewTextHandler(&log, nil))
	s.ask(t, scene{as: stations.Office, do: "GET /api/orders/Saltmarsh-7", status: 404})
	s.ask(t, scene{as: stations.Office, do: "GET /api/Saltmarsh-7", status: 404})
	if got := log.String(); strings.Contains(got, "Saltmarsh") || !strings.Contains(got, "route=/api/orders/:order ") ||
		!strings.Contains(got, "route=none ") || !strings.Contains(got, "status=404") {
		t.Error(got)
	}
}

func TestHeaders(t *testing.T) {
	s := openShop(t)
	for _, address := range []string{"GET /healthz", "GET /api/nothing"} {
		got := s.try(t, scene{do: address})
		csp := got.header.Get("Content-Security-Policy")
		if csp == "" || strings.Contains(csp, "unsafe") || got.header.Get("X-Content-Type-Options") != "nosniff" ||
			got.header.Get("Cache-Control") != "no-store" || got.header.Get("Server") != "" {
			t.Errorf("%s has headers %v", address, got.header)
		}
	}
}
