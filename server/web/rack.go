package web

import (
	"fmt"
	"hash/fnv"
	"html/template"
	"math"
	"strconv"
	"strings"
	"sync"

	"tablehand/stations"
)

// seenHeader is what a page that asks for the board again says that it shows already: see seenNow.
const seenHeader = "X-Seen"

// rack keeps what the board has made of each order for as long as that doesn't change: a floor's orders are values, so
// an order that is the same pointer is the same order. It holds no more than the orders of the last board.
type rack struct {
	mu   sync.Mutex
	rods map[string]*keptRod
}

// mostLooks is how many renderings of a rod are kept: a few languages and roles of one day.
const mostLooks = 8

type keptRod struct {
	order *stations.Order
	since int64                    // the sequence of a floor on which the order was as it is
	looks map[string]template.HTML // the rod as it was rendered, by all that it depends on beside its order
	day   string                   // of the words
	words *orderWords
}

// of returns what is kept of an order, with nothing in it where the order is another than it was. Call with mu held.
func (k *rack) of(o *stations.Order, seq int64) *keptRod {
	kept := k.rods[o.ID]
	if kept == nil || kept.order != o {
		kept = &keptRod{order: o, since: seq, looks: map[string]template.HTML{}}
		if k.rods == nil {
			k.rods = map[string]*keptRod{}
		}
		k.rods[o.ID] = kept
	}
	return kept
}

// unchanged returns the sequence of a floor since which an order has been as it is on the floor of seq.
func (k *rack) unchanged(o *stations.Order, seq int64) int64 {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.of(o, seq).since
}

// rod returns an order's rod, as it is kept or as render makes it. The order was asked for by unchanged before.
func (k *rack) rod(o *stations.Order, look string, render func() (template.HTML, error)) (template.HTML, error) {
	k.mu.Lock()
	if kept := k.rods[o.ID]; kept != nil && kept.order == o {
		if html, ok := kept.looks[look]; ok {
			k.mu.Unlock()
			return html, nil
		}
	}
	k.mu.Unlock()
	html, err := render()
	if err != nil {
		return "", err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if kept := k.rods[o.ID]; kept != nil && kept.order == o {
		if len(kept.looks) >= mostLooks {
			clear(kept.looks)
		}
		kept.looks[look] = html
	}
	return html, nil
}

// keepOnly forgets the orders that are not among those given.
func (k *rack) keepOnly(orders []*stations.Order) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if len(k.rods) <= len(orders) {
		return
	}
	among := make(map[string]bool, len(orders))
	for _, o := range orders {
		among[o.ID] = true
	}
	for id := range k.rods {
		if !among[id] {
			delete(k.rods, id)
		}
	}
}

// seenNow is what a page says that it shows: a view of the floor of seq. A view is everything that the page depends on
// beside the floor, so that a page of another day, language or filter is made anew.
func seenNow(view string, seq int64) string {
	h := fnv.New64a()
	_, _ = h.Write([]byte(view)) // never fails
	return fmt.Sprintf("%x-%d", h.Sum64(), seq)
}

// seenBefore returns the sequence of the floor of which a page shows this view, one before all where it shows another or
// a floor that isn't any more.
func seenBefore(seen, view string, now int64) int64 {
	_, number, _ := strings.Cut(seen, "-")
	seq, err := strconv.ParseInt(number, 10, 64)
	if err != nil || seq > now || seen != seenNow(view, seq) {
		return math.MinInt64
	}
	return seq
}
