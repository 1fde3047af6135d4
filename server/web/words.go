package web

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/i18n"
)

// fold returns the words of a text as they are compared: without accents and case, each with a space before it. A
// number with zeros before it is there without them too, so that 14 finds SMI-014.
func fold(text string) string {
	var b strings.Builder
	begun := -1 // where in b the present word begins
	end := func() {
		if begun < 0 {
			return
		}
		word := b.String()[begun:]
		if bare := strings.TrimLeft(word, "0"); bare != word && bare != "" && strings.Trim(bare, "0123456789") == "" {
			b.WriteString(" " + bare)
		}
		begun = -1
	}
	for _, r := range norm.NFKD.String(text) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if begun < 0 {
				b.WriteByte(' ')
				begun = b.Len()
			}
			b.WriteRune(unicode.ToLower(r))
		default:
			end()
		}
	}
	end()
	return b.String()
}

// wordsOf returns the words of a text that somebody looks for.
func wordsOf(text string) []string { return strings.Fields(fold(text)) }

// lookalikes are the letters that a code has none of, as the digits that they are taken for (see stations.ParseCode).
var lookalikes = strings.NewReplacer("o", "0", "i", "1", "l", "1")

// has reports whether a word begins one of those folded.
func has(folded, word string) bool { return strings.Contains(folded, " "+word) }

// orderWords are the words that an order and its tickets are found by, folded.
type orderWords struct {
	public  string // for everyone: its name, and its state in every language
	private string // for those who see the books: whose it is
	tickets []ticketWords
}

type ticketWords struct{ words, code string }

// of returns the words with the names of the order's customer, which change without the order.
func (w *orderWords) of(customer string) *orderWords {
	return &orderWords{w.public, w.private + fold(customer), w.tickets}
}

// order reports whether the words are all the order's own.
func (w *orderWords) order(words []string, books bool) bool {
	for _, word := range words {
		if !w.own(word, books) {
			return false
		}
	}
	return true
}

func (w *orderWords) own(word string, books bool) bool {
	return has(w.public, word) || books && has(w.private, word)
}

// ticket reports whether each of the words is a ticket's or its order's.
func (w *orderWords) ticket(i int, words []string, books bool) bool {
	t := w.tickets[i]
	for _, word := range words {
		if !w.own(word, books) && !has(t.words, word) && !has(t.code, lookalikes.Replace(word)) {
			return false
		}
	}
	return true
}

// wordsOfOrder returns an order's words. The error is of reading its file.
func (s *Site) wordsOfOrder(o *stations.Order, today string) (*orderWords, error) {
	k, day := &s.pages.rack, today+s.Desk.Shop().Words.Digest()
	k.mu.Lock()
	kept := k.rods[o.ID]
	if kept != nil && kept.order == o && kept.day == day {
		defer k.mu.Unlock()
		return kept.words, nil
	}
	k.mu.Unlock()
	mark, err := s.Desk.SidemarkOf(o)
	if err != nil {
		return nil, err
	}
	w := &orderWords{
		public:  fold(o.ID) + s.called("page.order_state."+string(o.State)) + s.late(o.Late(today), o.AtRisk(today)),
		private: fold(o.Customer + " " + mark.Name),
	}
	for _, t := range o.Tickets {
		w.tickets = append(w.tickets, s.wordsOfTicket(t, today))
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if kept := k.rods[o.ID]; kept != nil && kept.order == o { // only what the board shows is kept
		kept.day, kept.words = day, w
	}
	return w, nil
}

func (s *Site) wordsOfTicket(t *stations.Ticket, today string) ticketWords {
	p := views.PieceOf(t, today)
	text := []string{p.Window, p.Room, p.Fabric, p.Person}
	text = append(text, t.Spec.Fabrics...)
	words := fold(strings.Join(text, " ")) + s.called("station."+string(p.Station)) + fold(s.Desk.Shop().Words.Station(p.Station)) + s.called("state."+string(p.State)) + s.side(p) + s.late(p.Late, p.AtRisk)
	if p.ForOffice {
		words += s.called(p.Flag())
	} else {
		words += fold(p.Reason)
	}
	if p.SentBack != nil {
		words += s.called("page.flag.back")
	}
	if len(p.Kept) > 0 {
		words += s.called("changes.flag")
	}
	return ticketWords{words, " " + lookalikes.Replace(strings.ToLower(string(p.Code)))}
}

// side is the side of a panel as each language names it, "" of cloth to cut.
func (s *Site) side(p views.Piece) string {
	if p.Panel == "" {
		return ""
	}
	return s.called("page.panel." + p.Panel)
}

func (s *Site) late(late, risk bool) string {
	switch {
	case late:
		return s.called("page.flag.late")
	case risk:
		return s.called("board.flag.risk")
	}
	return ""
}

// called returns the words of a key in every language: people look for a state by the word that they have for it.
func (s *Site) called(key string) string {
	words, _ := s.said.Get(key, func() (string, error) {
		words := ""
		for _, tag := range i18n.Languages() {
			words += fold(i18n.For(tag).T(key))
		}
		return words, nil
	})
	return words
}
