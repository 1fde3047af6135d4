package edge

import (
	"context"
	"errors"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/paper"
)

// BadgeOf returns the code of a badge as it is scanned, .../P/CODE, or typed, P and the code; ok is false for anything else.
func BadgeOf(text string) (badge plan.Code, ok bool) {
	text = strings.ToUpper(strings.TrimSpace(text))
	rest, typed := strings.CutPrefix(text, paper.BadgeMark)
	if i := strings.LastIndex(text, "/"+paper.BadgeMark+"/"); i >= 0 {
		rest, typed = text[i+3:], true
	}
	if !typed || strings.ContainsAny(rest, "/:") {
		return "", false
	}
	badge, err := plan.ParseCode(rest)
	return badge, err == nil
}

// PersonOfBadge returns who has a badge. The error is unknown_badge, or too_many for one guess too many.
func (e *Edge) PersonOfBadge(c *fiber.Ctx, badge plan.Code) (store.Person, error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	p, err := e.Auth.PersonOfBadge(ctx, badge)
	if !errors.Is(err, store.ErrNotFound) {
		return p, err
	}
	actor, _ := ActorOf(c)
	if seconds := e.Guesses.Fail("badge " + actor.Device); seconds > 0 {
		return p, desk.Refuse("too_many", "", "Seconds", seconds)
	}
	return p, desk.Refuse("unknown_badge", "person")
}

// LeadActs are what a lead decides at a bench.
var LeadActs = []stations.Action{stations.Accept, stations.SendBack, stations.Resume}

// Persons finds out who works: a badge becomes its person's name. A lead's badge with the PIN, at a bench, lets the scan decide
// what else the office does; the PIN goes no further than here. Errors: unknown_badge, lead_only, too_many, sign_in_busy.
func (e *Edge) Persons(c *fiber.Ctx, b *ScanBody) error {
	badge, scanned := BadgeOf(b.Person)
	actor, _ := ActorOf(c)
	pin := b.PIN
	b.PIN = ""
	switch {
	case pin != "" && !slices.Contains(LeadActs, b.Action):
		return desk.Refuse("bad_value", "pin")
	case pin != "" && actor.Role == stations.Bench:
		if !scanned {
			return desk.Refuse("lead_only", "person")
		}
		p, err := e.lead(c, badge, pin)
		if err != nil {
			return err
		}
		b.Person, b.Lead = p.Name, true
		return nil
	case !scanned:
		return nil
	}
	p, err := e.PersonOfBadge(c, badge)
	b.Person = p.Name
	return err
}

// lead returns the lead of a badge and a PIN. Wrong ones are counted by the badge and by the bench.
func (e *Edge) lead(c *fiber.Ctx, badge plan.Code, pin string) (p store.Person, err error) {
	guesser := "pin " + string(badge)
	if seconds := e.Guesses.Wait(guesser); seconds > 0 {
		return p, desk.Refuse("too_many", "", "Seconds", seconds)
	}
	right, wait, err := e.inTurn(c, func(ctx context.Context) (err error) {
		p, err = e.Auth.LeadOf(ctx, badge, pin)
		return err
	})
	switch {
	case err != nil:
		return p, err
	case wait > 0:
		return p, desk.Refuse("too_many", "", "Seconds", wait)
	case !right:
		e.Guesses.Fail(guesser)
		e.Note(c, store.SignInFailed, paper.BadgeMark+string(badge))
		return p, desk.Refuse("lead_only", "pin")
	}
	return p, nil
}

// Bounds of a PIN, in digits.
const (
	minPIN = 4
	maxPIN = 8
)

// PersonAsked checks a person as it was typed. The error is missing_key or bad_value, with the field.
func PersonAsked(p store.Person) (store.Person, error) {
	p.Name, p.Initials = strings.TrimSpace(p.Name), strings.TrimSpace(p.Initials)
	if p.Initials == "" {
		p.Initials = initialsOf(p.Name)
	}
	if err := CheckTexts(Text("name", p.Name, true, MaxName), Text("initials", p.Initials, false, 4)); err != nil {
		return p, err
	}
	switch {
	case p.Language != "" && !ThereIs(p.Language):
		return p, desk.Refuse("bad_value", "language", "Name", "language", "Value", p.Language)
	case !slices.Contains([]store.FloorRole{store.Hand, store.Lead, store.NoFloor}, p.Floor):
		return p, desk.Refuse("bad_value", "floor", "Name", "floor", "Value", string(p.Floor))
	case !slices.Contains([]stations.Role{"", stations.Office, stations.Accounts}, p.SignsInAs):
		return p, desk.Refuse("bad_value", "sign_in", "Name", "sign_in", "Value", string(p.SignsInAs))
	}
	return p, nil
}

// initialsOf are the first letters of a name's first words.
func initialsOf(name string) string {
	var initials []rune
	for _, word := range strings.Fields(name) {
		if len(initials) < 3 {
			initials = append(initials, []rune(strings.ToUpper(word))[0])
		}
	}
	return string(initials)
}

// CheckPIN refuses what is no PIN; "" takes it away.
func CheckPIN(pin string) error {
	if pin == "" || len(pin) >= minPIN && len(pin) <= maxPIN && strings.Trim(pin, "0123456789") == "" {
		return nil
	}
	return desk.Refuse("bad_pin", "pin", "Least", minPIN, "Most", maxPIN)
}

// PeopleRefusal tells a name that another has.
func PeopleRefusal(err error) error {
	var taken *store.NameTakenError
	if errors.As(err, &taken) {
		r := desk.Refuse("name_taken", "name", "Other", "")
		r.Where = &stations.Place{Key: taken.ID}
		return r
	}
	return err
}

// ThePerson returns the person that the address names.
func (e *Edge) ThePerson(c *fiber.Ctx) (store.Person, error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	return e.Auth.Person(ctx, Param(c, "person"))
}

// GivePassphrase gives a person a passphrase. The error is bad_passphrase.
func (e *Edge) GivePassphrase(c *fiber.Ctx, p store.Person, passphrase string) error {
	if !GoodPassphrase(passphrase) {
		return desk.Refuse("bad_passphrase", "passphrase", "Least", desk.MinPassphrase)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if !e.turns.take(true) {
		return desk.Refuse("sign_in_busy", "", "Seconds", comeBack)
	}
	defer e.turns.give()
	return e.Auth.SetPassphraseOf(ctx, p.ID, passphrase, SignInOf(c).ID, e.Deed(c, store.PersonChanged, p.Name))
}

// GivePIN gives a person a PIN, "" for none. The error is bad_pin.
func (e *Edge) GivePIN(c *fiber.Ctx, p store.Person, pin string) error {
	if err := CheckPIN(pin); err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	return e.Auth.SetPIN(ctx, p.ID, pin, e.Deed(c, store.PersonChanged, p.Name))
}

// GoodPassphrase reports whether a passphrase is long enough to be one.
func GoodPassphrase(p string) bool {
	n := utf8.RuneCountInString(p)
	return n >= desk.MinPassphrase && n <= desk.MaxPassphrase && strings.TrimSpace(p) == p
}
