package shelf

import (
	"cmp"
	"maps"
	"slices"

	"tablehand/stations/layers"
	"tablehand/stations/plan"
)

// Shelf is every bolt that ever came, and the counts: an immutable value that many may read. The zero value is empty. New ones come
// from an Overlay and share what it didn't change.
type Shelf struct {
	bolts  layers.Map[plan.Code, *Bolt]
	counts layers.Map[string, *Count]
	called map[Origin]plan.Code // bolts of orders' files that were put on the shelf; never changed, only replaced
	joined map[string]string    // by the key of a cloth that was merged into another: the one that stays; never changed, only replaced
	open   string               // the count that goes on, "" for none
}

// Bolt returns a bolt, nil where there is none.
func (s *Shelf) Bolt(code plan.Code) *Bolt { return s.bolts.Get(code) }

// Bolts returns all bolts, also those that are gone, by cloth, lot and code.
func (s *Shelf) Bolts() []*Bolt { return sorted(s.bolts.All()) }

// IsEmpty reports whether no bolt ever came.
func (s *Shelf) IsEmpty() bool { return s.bolts.IsEmpty() }

// Called are the bolts of orders' files that were put on the shelf, by what they were called there; read only.
func (s *Shelf) Called() map[Origin]plan.Code { return s.called }

// Joined is the key under which a cloth goes on: its own, or that of the one it was merged into.
func (s *Shelf) Joined(cloth string) string { return cmp.Or(s.joined[cloth], cloth) }

// Count returns a count of the shelf, nil where there is none.
func (s *Shelf) Count(id string) *Count { return s.counts.Get(id) }

// Open is the count that goes on, nil for none.
func (s *Shelf) Open() *Count { return s.counts.Get(s.open) }

// Counts returns all counts, newest first.
func (s *Shelf) Counts() []*Count {
	return slices.SortedFunc(slices.Values(s.counts.All()), func(a, b *Count) int {
		return cmp.Or(b.Begun.Compare(a.Begun), cmp.Compare(a.ID, b.ID))
	})
}

func sorted(bolts []*Bolt) []*Bolt {
	slices.SortFunc(bolts, func(a, b *Bolt) int {
		return cmp.Or(cmp.Compare(a.Cloth, b.Cloth), cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Code, b.Code))
	})
	return bolts
}

// Overlay is a shelf being changed. It is for one goroutine.
type Overlay struct {
	base   *Shelf
	bolts  map[plan.Code]*Bolt // its own copies, changed in place
	counts map[string]*Count
	called map[Origin]plan.Code // replaced, not changed
	joined map[string]string    // likewise
	open   string
}

// Overlay begins a change of the shelf.
func (s *Shelf) Overlay() *Overlay {
	return &Overlay{base: s, bolts: map[plan.Code]*Bolt{}, counts: map[string]*Count{}, called: s.called, joined: s.joined, open: s.open}
}

// Fork is the shelf as it is now, to change apart from it.
func (o *Overlay) Fork() *Overlay {
	return &Overlay{base: o.base, bolts: maps.Clone(o.bolts), counts: maps.Clone(o.counts), called: o.called, joined: o.joined, open: o.open}
}

// Shelf returns the shelf with the changes; the overlay must not be used afterwards.
func (o *Overlay) Shelf() Shelf {
	return Shelf{bolts: o.base.bolts.With(o.bolts), counts: o.base.counts.With(o.counts), called: o.called, joined: o.joined, open: o.open}
}

// Bolt returns a bolt as it is now, nil where there is none.
func (o *Overlay) Bolt(code plan.Code) *Bolt {
	if own := o.bolts[code]; own != nil {
		return own
	}
	return o.base.bolts.Get(code)
}

// Called is the bolt that an order's file called so before it was put on the shelf, "" for none.
func (o *Overlay) Called(origin Origin) plan.Code { return o.called[origin] }

// Joined is the key under which a cloth goes on.
func (o *Overlay) Joined(cloth string) string { return cmp.Or(o.joined[cloth], cloth) }

// Merge has a cloth's bolts, also those that are gone, be of another one, which is the same, and so all that goes by its key from now on.
func (o *Overlay) Merge(cloth, into string) Event {
	e := Event{Action: MergeCloth, Cloth: cloth, Into: into}
	for _, b := range o.Those(func(b *Bolt) bool { return b.Cloth == cloth }) {
		e.Bolts = append(e.Bolts, b.Code)
	}
	return e
}

// merged moves the bolts of a cloth to the one that stays.
func (o *Overlay) merged(e Event, seq int64) {
	for _, code := range e.Bolts {
		o.own(code, seq).Cloth = e.Into
	}
	joined := map[string]string{e.Cloth: e.Into}
	for from, to := range o.joined {
		if joined[from] = to; to == e.Cloth {
			joined[from] = e.Into
		}
	}
	o.joined = joined
}

// Bolts returns all bolts as they are now.
func (o *Overlay) Bolts() []*Bolt { return o.Those(func(*Bolt) bool { return true }) }

// Those returns some of the bolts as they are now, by cloth, lot and code.
func (o *Overlay) Those(are func(*Bolt) bool) (list []*Bolt) {
	for _, b := range o.all() {
		if are(b) {
			list = append(list, b)
		}
	}
	return sorted(list)
}

func (o *Overlay) all() map[plan.Code]*Bolt {
	all := o.base.bolts.Merged()
	maps.Copy(all, o.bolts)
	return all
}

func (o *Overlay) count(id string) *Count {
	if own := o.counts[id]; own != nil {
		return own
	}
	return o.base.counts.Get(id)
}

// own returns a bolt to change, which has one more change behind it and nothing that can be taken back.
func (o *Overlay) own(code plan.Code, seq int64) *Bolt {
	b := o.Bolt(code).copy()
	b.noted(seq)
	b.changes++
	b.last = nil
	o.bolts[code] = b
	return b
}

// noted is one more event of the bolt.
func (b *Bolt) noted(seq int64) { b.Events = append(slices.Clip(b.Events), seq) }

func (o *Overlay) ownCount(id string) *Count {
	c := o.count(id).copy()
	o.counts[id] = c
	return c
}
