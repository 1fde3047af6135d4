// Package auth decides who a request comes from: a signed-in browser (the shop's passphrase, then a cookie) or a
// token of a program, a bench or a screen. Only hashes of secrets are kept.
package auth

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"tablehand/server/store"
	"tablehand/stations"
)

// CookieName is the cookie of a signed-in browser. Its value is "id.secret".
const CookieName = "tablehand"

// ErrUnknown is a passphrase, cookie or token that lets nobody in.
var ErrUnknown = errors.New("auth: unknown passphrase, cookie or token")

// Keeper lets people and devices in.
type Keeper struct {
	// Pass is the shop's passphrase where the environment sets it; "" that of the settings, by its hash.
	Pass string
	// Clock is when sessions begin; nil: time.Now.
	Clock  func() time.Time
	access *store.Access

	showing sync.Mutex
	codes   map[string]Code // of devices that haven't entered yet
}

// New returns the keeper of a shop's access.
func New(access *store.Access) *Keeper { return &Keeper{access: access} }

func (k *Keeper) now() time.Time {
	if k.Clock != nil {
		return k.Clock()
	}
	return time.Now()
}

// MakePassphrase gives a shop that has no passphrase one, and returns it; "" where it has one already.
func (k *Keeper) MakePassphrase(ctx context.Context) (string, error) {
	kept, err := k.access.Setting(ctx, store.Passphrase)
	if err != nil || kept != "" || k.Pass != "" {
		return "", err
	}
	made := spoken(rand.Text())
	return made, k.SetPassphrase(ctx, made)
}

// ResetOwner makes the owner another passphrase, ends the sign-ins by the one before, and returns it.
func (k *Keeper) ResetOwner(ctx context.Context) (string, error) {
	made := spoken(rand.Text())
	if err := k.SetPassphrase(ctx, made); err != nil {
		return "", err
	}
	if err := k.access.EndSessions(ctx, "", ""); err != nil {
		return "", err
	}
	return made, k.access.Note(ctx, store.Entry{What: store.SettingChanged, About: string(store.Passphrase)})
}

// spoken cuts a secret into groups that can be read out and typed: 100 bits of it.
func spoken(secret string) string {
	s := strings.ToLower(secret[:20])
	return s[:5] + "-" + s[5:10] + "-" + s[10:15] + "-" + s[15:]
}

// SetPassphrase makes a passphrase the shop's. Browsers that are signed in stay so.
func (k *Keeper) SetPassphrase(ctx context.Context, passphrase string) error {
	return k.access.Set(ctx, store.Passphrase, hashPassphrase(passphrase))
}

// SignIn returns the cookie's value for the owner's right passphrase and when it ends, ErrUnknown for a wrong one. It takes
// tens of milliseconds and 19 MiB by design: the caller lets in one at a time and bounds the guesses.
func (k *Keeper) SignIn(ctx context.Context, passphrase string) (cookie string, expires time.Time, err error) {
	return k.SignInAs(ctx, "", passphrase, true)
}

// IsPassphrase reports whether a passphrase is the shop's. It costs what SignIn costs.
func (k *Keeper) IsPassphrase(ctx context.Context, passphrase string) (bool, error) {
	if k.Pass != "" {
		a, b := sha256.Sum256([]byte(k.Pass)), sha256.Sum256([]byte(passphrase))
		return subtle.ConstantTimeCompare(a[:], b[:]) == 1, nil
	}
	kept, err := k.access.Setting(ctx, store.Passphrase)
	if err != nil || kept == "" {
		return false, err
	}
	return matches(passphrase, kept)
}

// Session returns who a cookie's value belongs to, ErrUnknown when nobody.
func (k *Keeper) Session(ctx context.Context, cookie string) (stations.Actor, error) {
	s, err := k.SignedIn(ctx, cookie)
	if err != nil {
		return stations.Actor{}, err
	}
	return s.Actor(), nil
}

// SignedIn returns the sign-in that a cookie's value is of, ErrUnknown where it is of none.
func (k *Keeper) SignedIn(ctx context.Context, cookie string) (store.Session, error) {
	id, secret, ok := strings.Cut(cookie, ".")
	if !ok {
		return store.Session{}, ErrUnknown
	}
	s, err := k.access.Session(ctx, id)
	if errors.Is(err, store.ErrNotFound) {
		return store.Session{}, ErrUnknown
	}
	if err != nil {
		return store.Session{}, err
	}
	if subtle.ConstantTimeCompare(s.Hash, hashSecret(secret)) != 1 {
		return store.Session{}, ErrUnknown
	}
	return s, nil
}

// SignOut ends a browser's session; one that isn't known is none.
func (k *Keeper) SignOut(ctx context.Context, cookie string) error {
	if _, err := k.Session(ctx, cookie); err != nil {
		if errors.Is(err, ErrUnknown) {
			return nil
		}
		return err
	}
	id, _, _ := strings.Cut(cookie, ".")
	if err := k.access.RemoveSession(ctx, id); !errors.Is(err, store.ErrNotFound) {
		return err
	}
	return nil
}

// NewToken makes a token and returns its secret, which is kept nowhere.
func (k *Keeper) NewToken(ctx context.Context, name string, role stations.Role) (string, error) {
	secret := rand.Text()
	err := k.access.AddToken(ctx, store.Token{ID: rand.Text(), Name: name, Role: role, Hash: hashSecret(secret)})
	if err != nil {
		return "", fmt.Errorf("auth: new token: %w", err)
	}
	return secret, nil
}

// Token returns who a token belongs to, ErrUnknown when nobody. One made a moment ago by another process counts.
func (k *Keeper) Token(ctx context.Context, secret string) (stations.Actor, error) {
	t, err := k.access.TokenByHash(ctx, hashSecret(secret))
	if errors.Is(err, store.ErrNotFound) {
		return stations.Actor{}, ErrUnknown
	}
	if err != nil {
		return stations.Actor{}, err
	}
	return t.Actor(), nil
}

// NewCalendar makes the secret by which a calendar reads the due dates, and ends the one before.
func (k *Keeper) NewCalendar(ctx context.Context) (secret string, err error) {
	secret = strings.ToLower(rand.Text())
	return secret, k.access.Set(ctx, store.Calendar, hex.EncodeToString(hashSecret(secret)))
}

// IsCalendar reports whether a secret is the one by which calendars read now.
func (k *Keeper) IsCalendar(ctx context.Context, secret string) (bool, error) {
	kept, err := k.access.Setting(ctx, store.Calendar)
	return kept != "" && subtle.ConstantTimeCompare([]byte(kept), []byte(hex.EncodeToString(hashSecret(secret)))) == 1, err
}

// HasCalendar reports whether there is a secret by which calendars read.
func (k *Keeper) HasCalendar(ctx context.Context) (bool, error) {
	kept, err := k.access.Setting(ctx, store.Calendar)
	return kept != "", err
}

// hashSecret hashes a secret of ours, which is random and long: no salt or slow hash is needed.
func hashSecret(secret string) []byte {
	h := sha256.Sum256([]byte(secret))
	return h[:]
}
