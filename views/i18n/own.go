package i18n

import (
	"fmt"
	"hash/fnv"
	"maps"
	"slices"
	"strings"
	"sync"

	"tablehand/stations/plan"
)

// Own are a shop's own words, by keys of the catalogue: what it calls its stations, and what its own stations check. They stand before
// those of every language.
type Own struct {
	words    map[string]string
	digest   string
	printers sync.Map // by the printer without them
}

// NewOwn returns words that stay as they are; nobody changes the map any more.
func NewOwn(words map[string]string) *Own {
	h := fnv.New64a()
	for _, key := range slices.Sorted(maps.Keys(words)) {
		fmt.Fprintf(h, "%q %q ", key, words[key])
	}
	return &Own{words: words, digest: fmt.Sprintf("%x", h.Sum64())}
}

// Digest tells these words from others: what is written with them, and kept, is no more use once they are others.
func (o *Own) Digest() string { return o.digest }

// Speak returns a printer that has the shop's words too: the same one each time.
func (o *Own) Speak(p *Printer) *Printer {
	if o == nil || len(o.words) == 0 || p.own != nil {
		return p
	}
	if with, known := o.printers.Load(p); known {
		return with.(*Printer)
	}
	with, _ := o.printers.LoadOrStore(p, &Printer{localizer: p.localizer, tag: p.tag, mark: p.mark, own: o.words})
	return with.(*Printer)
}

// Station returns what the shop calls a station, "" where it says nothing.
func (o *Own) Station(s plan.Station) string {
	if o == nil {
		return ""
	}
	return o.words["station."+string(s)]
}

// ownWord returns a shop's own word for a key; what its own stations measure is called as the number that it is held against.
func (p *Printer) ownWord(key string) (word string, ok bool) {
	if word, ok = p.own[key]; ok {
		return word, true
	}
	if entry, is := strings.CutPrefix(key, "entry."); is {
		if target := plan.OwnTarget(entry); target != "" {
			return p.T("value." + target), true
		}
	}
	return "", false
}
