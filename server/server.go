// Package server serves the shop over HTTP: the API of interface.md, its event stream, and the pages. Handlers are
// small: they read the request, call the domain, and write a document or a page. Only this package knows fiber.
package server

import (
	"context"
	"io"
	"log/slog"
	"net"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/auth"
	"tablehand/server/live"
	"tablehand/server/store"
	"tablehand/stations"
)

// maxOrder is how large an order file may be, in bytes.
const maxOrder = 8 << 20

// storeTimeout is how long a request waits for the store.
const storeTimeout = 20 * time.Second

const (
	maxBody = 15 << 20 // of any request, in bytes

	readTimeout  = 30 * time.Second
	writeTimeout = 30 * time.Second // streams push theirs out before each write
	idleTimeout  = 2 * time.Minute
)

// Config is what a server works with.
type Config struct {
	Store *store.Store
	Auth  *auth.Keeper
	Clock func() time.Time // nil: time.Now
	Log   *slog.Logger     // nil: nothing is logged

	// Address is the public base URL that QR codes hold where it is given for this run: "http://192.168.1.20:8080".
	// Otherwise it is the shop's setting, or the first of Reach.
	Address string
	// Reach gives the base URLs by which this machine can be reached, the likeliest first; nil: none is known.
	Reach func() []string
	// What a shop has that has set nothing:
	ShopName string
	Zone     *time.Location // nil: the machine's
	Language string         // for those who ask for none that there is; "" English
	// Proxies are those whose X-Forwarded-For is believed, beside the machine itself.
	Proxies []netip.Prefix
}

// Server answers the shop's requests.
type Server struct {
	Config
	app       *fiber.App
	hub       *live.Hub
	metrics   *metrics
	guesses   *limiter // of the passphrase and of ticket codes
	pages     *pages
	photos    *darkroom
	worked    workups
	sidemarks sync.Map       // by an order file's digest
	streams   sync.WaitGroup // of events, whose connections are their own

	// What the rest of the server tells the edge: a page for a refusal, and whether an address needs no sign-in.
	showRefusal func(c *fiber.Ctx, r *stations.Refusal) error
	openTo      func(path string) bool

	saving    sync.Mutex // of settings
	signingIn sync.Mutex
	set       atomic.Pointer[settings]          // what the shop has set
	spoken    atomic.Pointer[map[string]string] // the language that people read, by name
	reached   atomic.Int64                      // when /hello was last asked for by another machine, in microseconds
}

// New returns a server of a store. It takes over the store's OnCommit, so no command may have been sent yet.
func New(c Config) (*Server, error) {
	if c.Clock == nil {
		c.Clock = time.Now
	}
	if c.Zone == nil {
		c.Zone = time.Local
	}
	if c.Log == nil {
		c.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	c.Address = strings.TrimRight(c.Address, "/")
	s := &Server{Config: c, metrics: newMetrics(), guesses: newLimiter(c.Clock), photos: newDarkroom()}
	if err := s.readSettings(); err != nil {
		return nil, err
	}
	if err := s.readSpoken(); err != nil {
		return nil, err
	}
	s.hub = live.New(c.Store, eventText)
	c.Store.OnCommit(s.hub.Publish)
	var err error
	if s.pages, err = newPages(); err != nil {
		return nil, err
	}
	s.app = fiber.New(fiber.Config{
		AppName:               "tablehand",
		BodyLimit:             maxBody,
		DisableStartupMessage: true,
		ErrorHandler:          s.answerError,
		IdleTimeout:           idleTimeout,
		// With the default, what a handler keeps of a request turns into the next request's values.
		Immutable:    true,
		ReadTimeout:  readTimeout,
		WriteTimeout: writeTimeout,
	})
	s.app.Use(s.trace, s.identify)
	s.showRefusal = s.refusalPage
	routes := s.routes()
	s.openTo = func(path string) bool {
		return slices.ContainsFunc(routes, func(r route) bool { return r.who == nil && strings.EqualFold(r.path, path) })
	}
	for _, r := range routes {
		s.app.Add(r.method, r.path, s.admit(r.who), r.handle)
		if r.method == fiber.MethodGet && r.path != eventsPath {
			s.app.Add(fiber.MethodHead, r.path, s.admit(r.who), r.handle) // fasthttp leaves the body out
		}
	}
	return s, nil
}

// Serve answers requests on a listener until Shutdown, and then returns nil.
func (s *Server) Serve(ln net.Listener) error {
	return s.app.Listener(lingering{ln})
}

// Shutdown ends the streams, then waits for the requests under way and for the streams' last words, as long as ctx
// lasts. The store stays open.
func (s *Server) Shutdown(ctx context.Context) error {
	s.hub.Close()
	if err := s.app.ShutdownWithContext(ctx); err != nil {
		return err
	}
	ended := make(chan struct{})
	go func() {
		s.streams.Wait()
		close(ended)
	}()
	select {
	case <-ended:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// today returns the shop's civil date.
func (s *Server) today() string { return s.Clock().In(s.shop().Zone).Format(time.DateOnly) }

// waiting returns a context for one call of the store: a request's own never ends before the server does.
func waiting() (context.Context, context.CancelFunc) {
	return context.WithTimeout(context.Background(), storeTimeout)
}
