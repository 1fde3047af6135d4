// Package server serves the shop over HTTP: it puts the desk, the API and the pages together, and holds their routes.
package server

import (
	"context"
	"crypto/tls"
	_ "embed"
	"log/slog"
	"net"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/access"
	"tablehand/server/api"
	"tablehand/server/auth"
	"tablehand/server/bookroom"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/secure"
	"tablehand/server/shelfroom"
	"tablehand/server/store"
	"tablehand/server/taking"
	"tablehand/server/ways"
	"tablehand/server/web"
)

//go:embed openapi.yaml
var openapiYAML []byte

const (
	readTimeout  = 30 * time.Second
	writeTimeout = 30 * time.Second // streams push theirs out before each write
	idleTimeout  = 2 * time.Minute
)

// Config is what a server works with; see desk.Config for what is the desk's.
type Config struct {
	Store    *store.Store
	Auth     *auth.Keeper
	Clock    func() time.Time
	Log      *slog.Logger
	Address  string
	Reach    func() []string
	ShopName string
	Zone     *time.Location
	Language string
	Proxies  []netip.Prefix // whose X-Forwarded-For is believed, beside the machine itself
	// Connections is how many may be open at once, 0 for what the machine allows.
	Connections int
	// Certificate gives the shop's own HTTPS its certificates; nil: it speaks plain HTTP alone. Authority is where they come
	// from, nil where that is one that browsers trust by themselves.
	Certificate func(*tls.ClientHelloInfo) (*tls.Certificate, error)
	Authority   *secure.Authority
}

// Server answers the shop's requests.
type Server struct {
	desk  *desk.Desk
	edge  *edge.Edge
	api   *api.API
	rooms []edge.Room
	app   *fiber.App

	tls     *tls.Config // nil: plain HTTP alone
	most    int         // connections at once, 0 for what the machine allows
	serving atomic.Pointer[edge.Connections]
}

// New returns a server of a store. It takes over the store's OnCommit, so no command may have been sent yet.
func New(c Config) (*Server, error) {
	d, err := desk.New(desk.Config{Store: c.Store, Clock: c.Clock, Log: c.Log, Address: strings.TrimRight(c.Address, "/"), Reach: c.Reach,
		ShopName: c.ShopName, Zone: c.Zone, Language: c.Language})
	if err != nil {
		return nil, err
	}
	e, err := edge.New(d, c.Auth, c.Proxies)
	if err != nil {
		return nil, err
	}
	programs := api.New(e, openapiYAML)
	people, err := web.New(e)
	if err != nil {
		return nil, err
	}
	s := assemble(d, e, programs, people)
	s.most = c.Connections
	if c.Certificate != nil {
		s.tls = secure.Config(c.Certificate)
		e.HTTPS = edge.HTTPS{Spoken: true, Public: c.Authority == nil}
		people.Authority = c.Authority
	}
	return s, nil
}

// running runs a work until it is told to end; the function that is returned does that, and waits for it.
func running(work func(context.Context)) (end func()) {
	ctx, cancel := context.WithCancel(context.Background())
	var done sync.WaitGroup
	done.Go(func() { work(ctx) })
	return func() { cancel(); done.Wait() }
}

// roomsOf are those that answer. The API's files stand before pages of a like address.
func roomsOf(programs *api.API, people *web.Site) []edge.Room {
	return []edge.Room{programs, &access.Gate{Site: people}, &taking.Counter{Site: people}, &ways.Ways{Site: people}, &bookroom.Room{Site: people},
		&shelfroom.Room{Site: people}, people}
}

// assemble puts the parts behind their routes.
func assemble(d *desk.Desk, e *edge.Edge, programs *api.API, people *web.Site) *Server {
	s := &Server{desk: d, edge: e, api: programs, rooms: roomsOf(programs, people)}
	s.app = fiber.New(fiber.Config{
		AppName:               "tablehand",
		BodyLimit:             edge.MaxBody,
		DisableStartupMessage: true,
		ErrorHandler:          e.AnswerError,
		IdleTimeout:           idleTimeout,
		// With the default, what a handler keeps of a request turns into the next request's values.
		Immutable:    true,
		ReadTimeout:  readTimeout,
		WriteTimeout: writeTimeout,
	})
	s.app.Server().HeaderReceived = e.ReadAtMost
	routes := s.routes()
	e.ShowRefusal = people.RefusalPage
	e.OpenTo = func(path string) bool {
		return slices.ContainsFunc(routes, func(r edge.Route) bool { return r.Who == nil && strings.EqualFold(r.Path, path) })
	}
	s.app.Use(e.Trace, e.Identify)
	for _, r := range routes {
		s.app.Add(r.Method, r.Path, e.Admit(r.Who), r.Handle)
		if r.Method == fiber.MethodGet && !r.Endless {
			s.app.Add(fiber.MethodHead, r.Path, e.Admit(r.Who), r.Handle) // fasthttp leaves the body out
		}
	}
	return s
}

// Address is the base URL that the shop's QR codes hold as of now.
func (s *Server) Address() string { return s.desk.Shop().Address }

// routes is the server's whole surface.
func (s *Server) routes() []edge.Route { return edge.Of(s.rooms...) }

// Serve answers requests on a listener, and makes the daily copies, until Shutdown; then it returns nil.
func (s *Server) Serve(ln net.Listener) error {
	defer running(s.desk.CopyDaily)()
	if s.tls != nil {
		ln = secure.Listen(ln, s.tls)
	}
	guarded := edge.Listen(ln, s.most, s.edge.ThroughProxy)
	s.serving.Store(guarded)
	return s.app.Listener(guarded)
}

// strangersLast is how long a closing shop waits for strangers: for a sign-in, not for a request that never ends.
const strangersLast = time.Second

// Shutdown ends the streams, then waits for the requests under way and for the streams' last words, as long as ctx
// lasts. The store stays open.
func (s *Server) Shutdown(ctx context.Context) error {
	s.api.CloseStreams()
	if serving := s.serving.Load(); serving != nil {
		defer time.AfterFunc(strangersLast, serving.DropStrangers).Stop()
	}
	if err := s.app.ShutdownWithContext(ctx); err != nil {
		return err
	}
	return s.api.Wait(ctx)
}
