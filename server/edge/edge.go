// Package edge is where HTTP meets the shop: who asks, in which language, what of a request is read and within which
// bounds, and what a refusal is to a program or a person. The API and the pages stand on it.
package edge

import (
	"net/netip"
	"sync"
	"sync/atomic"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/auth"
	"tablehand/server/desk"
	"tablehand/stations"
)

// Edge is what every handler needs.
type Edge struct {
	Desk    *desk.Desk
	Auth    *auth.Keeper
	Proxies []netip.Prefix // whose X-Forwarded-For is believed, beside the machine itself
	Guesses *limiter       // of the passphrase and of ticket codes
	Metrics *metrics
	HTTPS   HTTPS

	// What the rest of the server tells the edge: a page for a refusal, and whether an address needs no sign-in.
	ShowRefusal func(c *fiber.Ctx, r *stations.Refusal) error
	OpenTo      func(path string) bool

	bodies bodies
	seen   sync.Map // of a device's id to when that was last kept

	turns  turns                             // of those who sign in
	spoken atomic.Pointer[map[string]string] // the language that people read, by name
}

// New returns the edge of a desk.
func New(d *desk.Desk, keeper *auth.Keeper, proxies []netip.Prefix) (*Edge, error) {
	e := &Edge{Desk: d, Auth: keeper, Proxies: proxies, Guesses: newLimiter(d.Clock), Metrics: newMetrics()}
	return e, e.readSpoken()
}
