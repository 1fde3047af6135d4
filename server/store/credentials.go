package store

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"gorm.io/gorm"

	"tablehand/stations"
)

// An actor's device says by what it was let in: one of these and an id.
const (
	deviceDevice  = "device:"
	tokenDevice   = "token:"
	sessionDevice = "session:"
)

// Actor is who the bearer of a token is on the floor.
func (t Token) Actor() stations.Actor {
	return stations.Actor{Role: t.Role, Name: t.Name, Device: tokenDevice + t.ID}
}

// Actor is who a signed-in browser is on the floor.
func (s Session) Actor() stations.Actor {
	return stations.Actor{Role: s.Role, Name: s.Name, Device: sessionDevice + s.ID}
}

// credentials are all that lets somebody in, as of one version of the tables that keep it. Nobody changes them.
type credentials struct {
	version  int64
	tokens   map[[sha256.Size]byte]Token  // by hash
	sessions map[string]Session           // by id
	entered  map[[sha256.Size]byte]Device // by hash
	devices  map[string]credential        // by the device that an actor has
}

// credential is what an actor's device is good for.
type credential struct {
	role    stations.Role
	expires time.Time // zero: never
}

// admit reports whether an actor may still do something as what it was when it was let in. One that no credential let
// in is the program itself.
func (c *credentials) admit(a stations.Actor, now time.Time) bool {
	if !slices.ContainsFunc([]string{deviceDevice, tokenDevice, sessionDevice}, func(by string) bool { return strings.HasPrefix(a.Device, by) }) {
		return true
	}
	has, ok := c.devices[a.Device]
	return ok && has.role == a.Role && (has.expires.IsZero() || has.expires.After(now))
}

// readCredentials reads all of them, the version first: what is changed in between is read again.
func readCredentials(db *gorm.DB) (*credentials, error) {
	c := &credentials{tokens: map[[sha256.Size]byte]Token{}, sessions: map[string]Session{}, entered: map[[sha256.Size]byte]Device{}, devices: map[string]credential{}}
	var tokens []tokenRow
	var sessions []sessionRow
	var entered []deviceRow
	var err error
	if c.version, err = accessVersion(db); err == nil {
		err = db.Find(&tokens).Error
	}
	if err == nil {
		err = db.Find(&sessions).Error
	}
	if err == nil {
		err = db.Where("hash IS NOT NULL").Find(&entered).Error
	}
	if err != nil {
		return nil, fmt.Errorf("store: who may come in: %w", err)
	}
	for _, r := range entered {
		d, err := r.device()
		if err != nil {
			return nil, err
		}
		c.entered[[sha256.Size]byte(r.Hash)] = d
		c.devices[d.Actor().Device] = credential{role: d.Role()}
	}
	for _, r := range tokens {
		t := r.token()
		c.tokens[[sha256.Size]byte(t.Hash)] = t
		c.devices[t.Actor().Device] = credential{role: t.Role}
	}
	for _, r := range sessions {
		s := r.session()
		c.sessions[s.ID] = s
		c.devices[s.Actor().Device] = credential{s.Role, s.Expires}
	}
	return c, nil
}

const selectAccessVersion = "SELECT version FROM access_version"

func accessVersion(db *gorm.DB) (version int64, err error) {
	return version, readRow(db.Raw(selectAccessVersion), &version)
}

// credentialsFor is how long credentials are used unseen by who reads; what another process has revoked counts so much
// later. The writer sees for each batch.
const credentialsFor = time.Second

// credentialCache has the credentials in memory.
type credentialCache struct {
	read   *gorm.DB
	unseen time.Duration // as credentialsFor

	last atomic.Pointer[look]
	mu   sync.Mutex // of those who look
}

// look is what somebody saw, and when.
type look struct {
	*credentials
	at time.Time
}

// recent returns credentials that were the database's a moment ago.
func (c *credentialCache) recent(ctx context.Context) (*credentials, error) {
	if l := c.last.Load(); l != nil && time.Since(l.at) < c.unseen {
		return l.credentials, nil
	}
	return c.present(ctx)
}

// present returns the database's credentials, read again only where they have changed.
func (c *credentialCache) present(ctx context.Context) (*credentials, error) {
	asked := time.Now()
	c.mu.Lock()
	defer c.mu.Unlock()
	last := c.last.Load()
	if last != nil && last.at.After(asked) { // another has looked meanwhile
		return last.credentials, nil
	}
	now := time.Now()
	db := c.read.WithContext(ctx)
	version, err := accessVersion(db)
	if err != nil {
		return nil, fmt.Errorf("store: who may come in: %w", err)
	}
	if last != nil && last.version == version {
		c.last.Store(&look{last.credentials, now})
		return last.credentials, nil
	}
	read, err := readCredentials(db)
	if err != nil {
		return nil, err
	}
	c.last.Store(&look{read, now})
	return read, nil
}

// lookUp finds something in the credentials. The database is asked before it is said not to be there.
func lookUp[T any](ctx context.Context, c *credentialCache, find func(*credentials) (T, bool)) (found T, err error) {
	for _, ask := range []func(context.Context) (*credentials, error){c.recent, c.present} {
		known, err := ask(ctx)
		if err != nil {
			return found, err
		}
		if found, ok := find(known); ok {
			return found, nil
		}
	}
	return found, ErrNotFound
}

// in returns the credentials as they are in the writer's transaction.
func (c *credentialCache) in(t *transaction) (*credentials, error) {
	version, err := t.accessVersion()
	if err != nil {
		return nil, err
	}
	if last := c.last.Load(); last != nil && last.version == version {
		return last.credentials, nil
	}
	now := time.Now()
	read, err := readCredentials(t.db)
	if err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if last := c.last.Load(); last == nil || last.version < read.version {
		c.last.Store(&look{read, now})
	}
	return read, nil
}

// changed has the next who asks look again: it comes behind each change that this process makes.
func (c *credentialCache) changed() {
	c.mu.Lock()
	defer c.mu.Unlock()
	if last := c.last.Load(); last != nil {
		c.last.Store(&look{credentials: last.credentials})
	}
}
