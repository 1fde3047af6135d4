// Package web answers people: the pages, and what their forms send. Each works by full pages without script.
package web

import (
	"sync/atomic"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/workup"
	"tablehand/server/cache"
	"tablehand/server/edge"
	"tablehand/server/secure"
	"tablehand/views"
)

// Site is the shop for people.
type Site struct {
	*edge.Edge
	pages   *pages
	alike   *cache.Cache[*workup.Workup, [][]int] // windows that are made alike
	pasts   *pasts
	said    *cache.Cache[string, string] // the sentences of short keys as they are looked for, in every language
	reached atomic.Int64                 // when /hello was last asked for by another machine, in microseconds

	// Authority is the shop's own, which devices are led through trusting; nil where it has none.
	Authority *secure.Authority
}

// Frame returns what is around a page that another room of the server answers with.
func (s *Site) Frame(c *fiber.Ctx) views.Frame { return s.frame(c, s.Desk.Store.Floor()) }

// Send sends such a page.
func (s *Site) Send(c *fiber.Ctx, p views.Page) error { return s.send(c, p) }

// RememberPerson has a device remember who works at it.
func (s *Site) RememberPerson(c *fiber.Ctx, name string) { s.rememberPerson(c, name) }

// OwnAddress returns an address of this site to go on to; anything else becomes the home page.
func (s *Site) OwnAddress(address string) string { return ownAddress(address) }

// mostSaid is how many of those are kept: all the names of states and stations, and what a ledger of another program adds.
const mostSaid = 1000

// New returns the pages of a shop, each parsed for every language.
func New(e *edge.Edge) (*Site, error) {
	pages, err := newPages()
	if err != nil {
		return nil, err
	}
	return &Site{Edge: e, pages: pages, said: cache.New[string, string](mostSaid), alike: cache.New[*workup.Workup, [][]int](mostPasts),
		pasts: &pasts{ledger: e.Desk.Store, kept: cache.New[string, *pastOfOrder](mostPasts)}}, nil
}
