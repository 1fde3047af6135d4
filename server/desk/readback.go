package desk

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/server/books"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// ReadBackFault is why an export can't be read back.
type ReadBackFault string

const (
	NoExport    ReadBackFault = "no_export"    // it is none, or breaks off
	OlderExport ReadBackFault = "older_export" // an older version wrote it, without all that is needed
	NewerExport ReadBackFault = "newer_export"
	PartMissing ReadBackFault = "part_missing"
	BadPart     ReadBackFault = "bad_part" // a part of it isn't as an export has it
	Unsound     ReadBackFault = "unsound"  // its parts don't go together: the audit says so
)

// ReadBackError is an export that can't be read back. Nothing of it was taken.
type ReadBackError struct {
	Fault ReadBackFault
	Where string // "people[3]", "" the whole
	Err   error  // nil: there is no more to say
}

func (e *ReadBackError) Error() string {
	return fmt.Sprintf("read back: %s %s: %v", e.Fault, e.Where, e.Err)
}
func (e *ReadBackError) Unwrap() error { return e.Err }

// ReadBack is what an export has brought, or would bring.
type ReadBack struct {
	Name                                      string // of the shop
	Orders, People, Entries, Events, Pictures int    // entries: of all books
}

// ReadExport fills a folder in which nothing has happened yet with the shop of an export, as Export writes it: all of it, audited, or
// nothing. A try only says what it would bring. People get new badges; who may come in isn't part of an export. The error is a *ReadBackError, or
// as store.Fill's.
func ReadExport(ctx context.Context, dir string, from io.Reader, clock func() time.Time, try bool) (done ReadBack, err error) {
	err = store.Fill(ctx, store.Options{Dir: dir, Clock: clock}, try, func(f *store.Filling) error {
		r := &readingBack{into: f, in: json.NewDecoder(from), seen: map[string]bool{}, badge: NewCodes(stations.NewFloor())}
		r.in.DisallowUnknownFields()
		if err := r.whole(); err != nil {
			return err
		}
		done = r.done
		return nil
	})
	var unsound *store.AuditError
	if errors.As(err, &unsound) {
		err = &ReadBackError{Unsound, "", errors.New(unsound.Differences[0].String())}
	}
	return done, err
}

// readingBack is an export that is being read.
type readingBack struct {
	into  *store.Filling
	in    *json.Decoder
	seen  map[string]bool
	badge func() plan.Code
	done  ReadBack
}

// whole reads the object, part by part as they come; the format is the first.
func (r *readingBack) whole() error {
	if err := r.delimiter('{'); err != nil {
		return err
	}
	for r.in.More() {
		token, err := r.in.Token()
		name, isName := token.(string)
		if err != nil || !isName {
			return &ReadBackError{NoExport, "", err}
		}
		if name != "format" && !r.seen["format"] {
			return &ReadBackError{OlderExport, "", nil}
		}
		if r.seen[name] {
			return &ReadBackError{BadPart, name, errors.New("it is there twice")}
		}
		r.seen[name] = true
		if err := r.part(name); err != nil {
			return err
		}
	}
	if err := r.delimiter('}'); err != nil {
		return err
	}
	for _, name := range []string{"format", "shop", "people", "books", "orders", "events", "book_changes", "purchases", "counts", "pictures"} {
		if !r.seen[name] {
			return &ReadBackError{PartMissing, name, nil}
		}
	}
	return nil
}

func (r *readingBack) delimiter(want json.Delim) error {
	token, err := r.in.Token()
	if err == nil && token != want {
		err = fmt.Errorf("%v where %v belongs", token, want)
	}
	if err != nil {
		return &ReadBackError{NoExport, "", err}
	}
	return nil
}

func (r *readingBack) part(name string) error {
	switch name {
	case "format":
		return one(r, name, func(format int) error {
			if format > exportFormat {
				return &ReadBackError{NewerExport, "", nil}
			}
			return nil
		})
	case "made":
		return one(r, name, func(time.Time) error { return nil })
	case "shop":
		return one(r, name, r.shop)
	case "people":
		return each(r, name, r.person)
	case "books":
		return one(r, name, r.books)
	case "orders":
		return each(r, name, r.order)
	case "events":
		return each(r, name, func(e stations.Event) error {
			r.done.Events++
			return r.into.Event(e)
		})
	case "book_changes":
		return each(r, name, func(c exportedChange) error {
			return r.into.BookChange(store.BookChange{Book: c.Book, Entry: c.Entry, At: c.At, Who: c.Who, What: c.What, About: c.About, Changes: c.Changes})
		})
	case "purchases":
		return each(r, name, func(l exportedPurchase) error {
			return r.into.Purchase(store.PurchaseLine{Line: l.Line, State: l.State, OnHand: l.OnHand, Who: l.Who, Changed: l.Changed})
		})
	case "counts":
		return each(r, name, r.count)
	case "pictures":
		return each(r, name, func(p exportedPicture) error {
			r.done.Pictures++
			return r.into.Picture(store.KeptPicture{ID: p.Picture, Data: p.JPEG, Added: p.Added})
		})
	}
	return &ReadBackError{BadPart, name, errors.New("an export has no such part")}
}

// one reads a part that is one value.
func one[T any](r *readingBack, where string, take func(T) error) error {
	var what T
	err := r.in.Decode(&what)
	if err == nil {
		err = take(what)
	}
	return badPart(where, err)
}

// each reads a part that is a list, an element at a time.
func each[T any](r *readingBack, where string, take func(T) error) error {
	if err := r.delimiter('['); err != nil {
		return err
	}
	for i := 0; r.in.More(); i++ {
		if err := one(r, fmt.Sprintf("%s[%d]", where, i), take); err != nil {
			return err
		}
	}
	return r.delimiter(']')
}

// badPart says where an error is; one of a file that breaks off is the whole's.
func badPart(where string, err error) error {
	var told *ReadBackError
	var syntax *json.SyntaxError
	switch {
	case err == nil, errors.As(err, &told), store.FaultOf(err) != store.NoFault:
		return err
	case errors.As(err, &syntax), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return &ReadBackError{NoExport, where, err}
	}
	return &ReadBackError{BadPart, where, err}
}

// shop takes over the settings, each as the page of settings would.
func (r *readingBack) shop(s exportedShop) error {
	r.done.Name = s.Name
	values := map[store.Setting]string{store.ShopName: s.Name, store.Address: s.Address, store.Language: s.Language, store.Units: s.Units, store.Zone: s.Zone,
		store.OrderForm: s.OrderForm, store.PostalAddress: s.PostalAddress, store.PaymentTerms: s.PaymentTerms, store.Paper: string(s.Paper)}
	if s.Zone == time.Local.String() {
		values[store.Zone] = ""
	}
	maps.DeleteFunc(values, func(_ store.Setting, value string) bool { return value == "" })
	checked := maps.Clone(values)
	checked[store.Language] = cmp.Or(s.Language, i18n.Choices()[0])
	for _, name := range slices.Sorted(maps.Keys(new(Desk).CheckSettings(checked))) {
		return &ReadBackError{BadPart, "shop." + strings.TrimPrefix(string(name), "shop_"), fmt.Errorf("%q", checked[name])}
	}
	if s.PrintSidemark {
		values[store.PrintSidemark] = Yes
	}
	for _, own := range []struct {
		setting store.Setting
		value   any
		unset   bool
		read    func(kept string) error
	}{
		{store.Conventions, s.Conventions, len(s.Conventions) == 0, func(kept string) error { _, err := waysOf(kept, aConvention); return err }},
		{store.Tolerances, s.Tolerances, len(s.Tolerances) == 0, func(kept string) error { _, err := waysOf(kept, aTolerance); return err }},
		{store.Measuring, s.Measuring, len(s.Measuring) == 0, func(string) error { return firstOf(s.Stations.Layout.CheckAsked(s.Measuring)) }},
		{store.Stations, s.Stations, len(s.Stations.Changed) == 0, func(kept string) error { _, err := fittingsOf(kept); return err }},
		{store.ClosedDays, s.ClosedDays, s.ClosedDays.Changed == nil, func(kept string) error { _, err := closedDaysOf(kept); return err }},
	} {
		if own.unset {
			continue
		}
		text, err := json.Marshal(own.value)
		if err == nil {
			err = own.read(string(text))
		}
		if err != nil {
			return &ReadBackError{BadPart, "shop." + string(own.setting), err}
		}
		values[own.setting] = string(text)
	}
	return r.into.Settings(values)
}

// firstOf is the first of problems as an error, nil where there is none.
func firstOf(problems []engine.Problem) error {
	if len(problems) == 0 {
		return nil
	}
	return fmt.Errorf("%s: %s", problems[0].Where, problems[0].Code)
}

func (r *readingBack) person(p exportedPerson) error {
	r.done.People++
	person := store.Person{ID: p.Person, Name: p.Name, Initials: p.Initials, Language: p.Language, Floor: store.FloorRole(p.Floor),
		SignsInAs: stations.Role(p.SignIn), SetAside: p.SetAside, Badge: r.badge()}
	if person.ID == "" || strings.TrimSpace(person.Name) == "" {
		return errors.New("it has no person or no name")
	}
	return r.into.Person(person)
}

// books takes the entries, whose fields have to be those of their book.
func (r *readingBack) books(all map[string][]exportedBook) error {
	for _, name := range slices.Sorted(maps.Keys(all)) {
		d := books.Book(name).Data()
		for i, e := range all[name] {
			where := fmt.Sprintf("books.%s[%d]", name, i)
			var fields books.Fields
			if err := json.Unmarshal(e.Fields, &fields); err != nil {
				return &ReadBackError{BadPart, where, err}
			}
			for _, key := range slices.Sorted(maps.Keys(fields)) {
				if d == nil || d.Field(key) == nil {
					return &ReadBackError{BadPart, where + "." + key, errors.New("the book has no such field")}
				}
			}
			r.done.Entries++
			kept := store.BookEntry{Book: name, ID: e.ID, Version: e.Version, Fields: bytes.Clone(e.Fields), SetAside: e.SetAside, MergedInto: e.MergedInto}
			if err := r.into.BookEntry(kept); err != nil {
				return badPart(where, err)
			}
		}
	}
	return nil
}

func (r *readingBack) order(o exportedOrder) error {
	r.done.Orders++
	for _, f := range o.Files {
		if err := r.into.OrderFile(o.Order, f.Revision, []byte(f.Text)); err != nil {
			return err
		}
	}
	return nil
}

func (r *readingBack) count(c exportedCount) error {
	kept := store.FloorCount{ID: c.Count, Station: c.Station, Device: c.Device, Who: c.Who, Began: c.Began}
	if c.Ended != nil {
		kept.Ended = *c.Ended
	}
	tickets := make([]store.Counted, len(c.Tickets))
	for i, t := range c.Tickets {
		tickets[i] = store.Counted{Ticket: t.Ticket, Expected: t.Expected, Outcome: t.Outcome}
		if t.Seen != nil {
			tickets[i].Seen = *t.Seen
		}
	}
	return r.into.Count(kept, tickets)
}
