package books

import (
	"context"
	"strings"
)

// Linked tells the library by which names orders go. A name that an order has leads to its customer for ever: the customer's
// names are the link, and a merge moves it with them.
func (l *Library) Linked(names func() []string) { l.linked = names }

func (l *Library) linkedNames() map[string]bool {
	keys := map[string]bool{}
	if l.linked != nil {
		for _, name := range l.linked() {
			keys[nameKey(name)] = true
		}
	}
	return keys
}

// Meet makes a customer of each name that has none.
func (l *Library) Meet(ctx context.Context, by By, names ...string) error {
	l.writing.Lock()
	defer l.writing.Unlock()
	s, d := l.shelves[Customers], Customers.Data()
	var changes []change
	ids, met := map[string]bool{}, map[string]bool{}
	for _, name := range names {
		name = strings.TrimSpace(name)
		key := nameKey(name)
		if key == "" || s.names[key] != "" || met[key] {
			continue
		}
		met[key] = true
		id := s.freeID(name, ids)
		ids[id] = true
		changes = append(changes, change{entry: made(Entry{Book: Customers, ID: id, Version: 1, Fields: Fields{d.Named: name}}), deed: Added})
	}
	if len(changes) == 0 {
		return nil
	}
	return l.keep(ctx, By{Actor: by.Actor}, changes, noAnswer)
}

// Customer returns the customer whom an order's name leads to, nil where there is none.
func (l *Library) Customer(name string) *Entry { return l.Named(Customers, name) }

// CustomerCalled returns the customer of an id or a name.
func (l *Library) CustomerCalled(text string) *Entry {
	if e := l.Entry(Customers, text); e != nil {
		return e
	}
	return l.Customer(text)
}

// SameCustomer reports whether two names of orders lead to the same customer.
func (l *Library) SameCustomer(a, b string) bool {
	if a == b {
		return true
	}
	one, other := l.Customer(a), l.Customer(b)
	return one != nil && one == other
}
