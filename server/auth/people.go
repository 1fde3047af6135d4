package auth

import (
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// How long a sign-in lasts unused: one that is kept on its device, and one that isn't. Our own choice.
const (
	keptLife = 30 * 24 * time.Hour
	dayLife  = 12 * time.Hour

	renewEvery = time.Hour // how often it is kept that one is used
)

// lifeOf is how long a sign-in lasts unused.
func lifeOf(kept bool) time.Duration {
	if kept {
		return keptLife
	}
	return dayLife
}

// Person returns the person of an id, store.ErrNotFound where there is none.
func (k *Keeper) Person(ctx context.Context, id string) (store.Person, error) {
	return k.personWho(ctx, func(p store.Person) bool { return p.ID == id })
}

// PersonOfBadge returns who has a badge, store.ErrNotFound where nobody has it who is still here.
func (k *Keeper) PersonOfBadge(ctx context.Context, badge plan.Code) (store.Person, error) {
	return k.personWho(ctx, func(p store.Person) bool { return p.Badge == badge && !p.SetAside })
}

func (k *Keeper) personWho(ctx context.Context, is func(store.Person) bool) (store.Person, error) {
	people, err := k.access.People(ctx)
	if err != nil {
		return store.Person{}, err
	}
	i := slices.IndexFunc(people, is)
	if i < 0 {
		return store.Person{}, store.ErrNotFound
	}
	return people[i], nil
}

// AddPerson makes somebody one of the shop's, with a badge of their own.
func (k *Keeper) AddPerson(ctx context.Context, p store.Person, e store.Entry) (store.Person, error) {
	var drawn [8]byte
	_, _ = rand.Read(drawn[:]) // never fails
	p.ID, p.Badge = rand.Text(), plan.NewCode(binary.BigEndian.Uint64(drawn[:])>>24)
	return p, k.access.AddPerson(ctx, p, e)
}

// SetPIN gives a person a PIN, "" for none any more.
func (k *Keeper) SetPIN(ctx context.Context, id, pin string, e store.Entry) error {
	p, err := k.Person(ctx, id)
	if err != nil {
		return err
	}
	if p.PIN = ""; pin != "" {
		p.PIN = hashPassphrase(pin)
	}
	return k.access.ChangePerson(ctx, p, e)
}

// SetPassphraseOf gives a person a passphrase, and ends their sign-ins but one ("" none).
func (k *Keeper) SetPassphraseOf(ctx context.Context, id, passphrase, but string, e store.Entry) error {
	p, err := k.Person(ctx, id)
	if err != nil {
		return err
	}
	p.Passphrase = hashPassphrase(passphrase)
	if err := k.access.ChangePerson(ctx, p, e); err != nil {
		return err
	}
	return k.access.EndSessions(ctx, p.ID, but)
}

// LeadOf returns the lead whose badge and PIN these are, ErrUnknown for anybody else. It costs what SignIn costs.
func (k *Keeper) LeadOf(ctx context.Context, badge plan.Code, pin string) (store.Person, error) {
	p, err := k.PersonOfBadge(ctx, badge)
	if errors.Is(err, store.ErrNotFound) || err == nil && (p.Floor != store.Lead || p.PIN == "") {
		return store.Person{}, ErrUnknown
	}
	if err != nil {
		return store.Person{}, err
	}
	right, err := matches(pin, p.PIN)
	if err == nil && !right {
		err = ErrUnknown
	}
	return p, err
}

// nobodys is a hash that nothing has: who isn't there takes as long to refuse as who is.
var nobodys = hashPassphrase(rand.Text())

// SignInAs is SignIn for a person of that name, "" the owner; kept says whether it lasts on its device.
func (k *Keeper) SignInAs(ctx context.Context, name, passphrase string, kept bool) (cookie string, expires time.Time, err error) {
	s := store.Session{ID: rand.Text(), Role: stations.Office, Kept: kept, Expires: k.now().Add(lifeOf(kept))}
	if name == "" {
		right, err := k.IsPassphrase(ctx, passphrase)
		if err == nil && !right {
			err = ErrUnknown
		}
		if err != nil {
			return "", time.Time{}, err
		}
	} else {
		p, err := k.signingIn(ctx, name, passphrase)
		if err != nil {
			return "", time.Time{}, err
		}
		s.Role, s.Name, s.Person = p.SignsInAs, p.Name, p.ID
	}
	secret := rand.Text()
	s.Hash = hashSecret(secret)
	if err := k.access.AddSession(ctx, s); err != nil {
		return "", time.Time{}, fmt.Errorf("auth: sign in: %w", err)
	}
	return s.ID + "." + secret, s.Expires, nil
}

// signingIn returns the person who may sign in under a name with a passphrase, ErrUnknown for nobody.
func (k *Keeper) signingIn(ctx context.Context, name, passphrase string) (store.Person, error) {
	p, err := k.personWho(ctx, func(p store.Person) bool { return strings.EqualFold(p.Name, strings.TrimSpace(name)) })
	may := err == nil && p.SignsInAs != "" && p.Passphrase != "" && !p.SetAside
	if err != nil && !errors.Is(err, store.ErrNotFound) {
		return p, err
	}
	kept := nobodys
	if may {
		kept = p.Passphrase
	}
	right, err := matches(passphrase, kept)
	if err == nil && !(right && may) {
		err = ErrUnknown
	}
	return p, err
}

// Renew has a sign-in that is used last as long again, and returns until when; the zero time where it needn't be kept yet.
func (k *Keeper) Renew(ctx context.Context, s store.Session) (time.Time, error) {
	life := lifeOf(s.Kept)
	if s.Expires.Sub(k.now()) > life-renewEvery {
		return time.Time{}, nil
	}
	until := k.now().Add(life)
	return until, k.access.ExtendSession(ctx, s.ID, until)
}
