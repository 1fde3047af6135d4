// Package desk is what the office and the floor do: take, release, revise, scan, print, work out, bill. It knows nothing
// of HTTP; the API, the pages and the commands all call it. What it refuses is a *stations.Refusal.
package desk

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/server/books"
	"tablehand/server/cache"
	"tablehand/server/store"
	"tablehand/server/turns"
	"tablehand/stations"
)

// Config is what a desk works with.
type Config struct {
	Store *store.Store
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
}

// Desk is where the work with a shop's orders is done.
type Desk struct {
	Config
	Books *books.Library // customers, cloths, and what else is typed once

	set       atomic.Pointer[Settings] // what the shop has set
	saving    sync.Mutex               // of settings
	worked    *cache.Cache[string, *workup.Workup]
	outdated  *cache.Cache[string, outdated]
	sidemarks *cache.Cache[string, Sidemark] // by an order file's digest
	photos    *turns.Turns
	papers    *turns.Turns
	files     *turns.Turns            // large order files
	lastTry   atomic.Pointer[copyTry] // of a copy to the second place
}

// New returns the desk of a shop, with what that has set.
func New(c Config) (*Desk, error) {
	if c.Clock == nil {
		c.Clock = time.Now
	}
	if c.Zone == nil {
		c.Zone = time.Local
	}
	if c.Log == nil {
		c.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	d := &Desk{Config: c, worked: cache.New[string, *workup.Workup](mostWorked), sidemarks: cache.New[string, Sidemark](mostSidemarks)}
	d.outdated = cache.New[string, outdated](mostWorked)
	d.photos = turns.New(photosAtOnce, photosWait, photoWait)
	d.papers = turns.New(papersAtOnce, papersWait, paperWait)
	d.files = turns.New(filesAtOnce, filesWait, fileWait)
	if err := d.readSettings(); err != nil {
		return nil, err
	}
	return d, d.openBooks()
}

// storeTimeout is how long a request waits for the store.
const storeTimeout = 20 * time.Second

// Today returns the shop's civil date.
func (d *Desk) Today() string { return d.Clock().In(d.Shop().Zone).Format(time.DateOnly) }

// Waiting returns a context for one call of the store: a request's own never ends before the server does.
func Waiting() (context.Context, context.CancelFunc) {
	return context.WithTimeout(context.Background(), storeTimeout)
}

// Refuse makes a refusal of the server's own; args are by turns a name and its value for the sentence.
func Refuse(code, field string, args ...any) *stations.Refusal {
	return stations.NewRefusal(code, field, args...)
}

// IsRefusal reports whether err is a refusal with that code.
func IsRefusal(err error, code string) bool {
	var r *stations.Refusal
	return errors.As(err, &r) && r.Code == code
}

// RefuseProblems refuses an input for its problems; the answer has them in place of one code.
func RefuseProblems(problems []engine.Problem) *stations.Refusal {
	return &stations.Refusal{Code: "problems", Problems: problems}
}
