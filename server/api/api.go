// Package api answers programs and scanners: the addresses of server/interface.md and server/openapi.yaml, its event
// stream, and the files that pages lead to. Handlers read a request, have the desk do it, and write a document.
package api

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"

	"github.com/goccy/go-yaml"

	"tablehand/server/edge"
	"tablehand/server/live"
)

// API is the shop for programs.
type API struct {
	*edge.Edge
	hub         *live.Hub
	streams     sync.WaitGroup         // of events, whose connections are their own
	description func() ([]byte, error) // of itself, as JSON, made when it is first asked for
}

// New returns the API with its description, in YAML. It takes over the store's OnCommit, so no command may have been sent
// yet.
func New(e *edge.Edge, openapi []byte) *API {
	description := sync.OnceValues(func() ([]byte, error) { return inJSON(openapi) })
	s := &API{Edge: e, hub: live.New(e.Desk.Store, eventText(e.Desk.Store.Epoch())), description: description}
	e.Desk.Store.OnCommit(s.hub.Publish)
	return s
}

func inJSON(openapi []byte) ([]byte, error) {
	var doc any
	if err := yaml.Unmarshal(openapi, &doc); err != nil {
		return nil, fmt.Errorf("api: its description: %w", err)
	}
	return json.Marshal(doc)
}

// CloseStreams ends the event streams; their connections may still be open.
func (a *API) CloseStreams() { a.hub.Close() }

// Wait waits until the streams have said their last words, as long as ctx lasts.
func (a *API) Wait(ctx context.Context) error {
	ended := make(chan struct{})
	go func() {
		a.streams.Wait()
		close(ended)
	}()
	select {
	case <-ended:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
