// Package web answers people: the pages, and what their forms send. Each works by full pages without script.
package web

import (
	"sync/atomic"

	"tablehand/server/edge"
)

// Site is the shop for people.
type Site struct {
	*edge.Edge
	pages   *pages
	reached atomic.Int64 // when /hello was last asked for by another machine, in microseconds
}

// New returns the pages of a shop, each parsed for every language.
func New(e *edge.Edge) (*Site, error) {
	pages, err := newPages()
	if err != nil {
		return nil, err
	}
	return &Site{Edge: e, pages: pages}, nil
}
