package stations

import (
	"slices"
	"strconv"
	"strings"
)

// Card is a command on a card: a scanner at a bench reads it like a ticket, and it acts on the ticket that lies open
// there.
type Card struct {
	Action Action
	// Reason names why a ticket is held, "" for another action: a card has no room for typing. Its sentence is the
	// catalogue's "card.reason.<name>".
	Reason string
	// Press is a key of the open page, for a bench whose hands never reach the glass: a digit of a measure, what goes on
	// to the next number, a check. The page acts on it by itself; no ticket changes. "" for a command.
	Press string
	// Eighths of an inch are what a key of a measure enters, 0 for another.
	Eighths int
}

// cards are all there are, in the order in which a bench uses them.
var cards = []Card{
	{Action: Start}, {Action: Finish}, {Action: Undo}, {Action: Resume}, {Action: Cut}, {Action: Flaw}, {Action: Rest},
	{Action: Hold, Reason: "cloth"}, {Action: Hold, Reason: "size"}, {Action: Hold, Reason: "pattern"}, {Action: Hold, Reason: "lacking"},
	{Action: Hold, Reason: "machine"}, {Action: Hold, Reason: "question"},
}

// presses are the keys that there are cards of: those of a measure as on the page's keypad, then those that go on.
var presses = func() (all []Card) {
	for n := range 10 {
		all = append(all, Card{Press: "key " + strconv.Itoa(n)})
	}
	for n := 1; n < 8; n++ {
		all = append(all, Card{Press: "eighths " + strconv.Itoa(n), Eighths: n})
	}
	for _, name := range []string{"sixteenth", "mark", "rub out", "next", "check", "number", "all"} {
		all = append(all, Card{Press: name})
	}
	return all
}()

// Presses returns the keys of the open page that there are cards of.
func Presses() []Card { return slices.Clone(presses) }

// cardLead begins what a card says. No card has nine symbols, as a ticket's code has.
const cardLead = "DO"

// Cards returns the commands that there are cards of.
func Cards() []Card { return slices.Clone(cards) }

// String returns what a card says, upper case, in the letters of a QR's alphanumeric mode, short enough to type:
// "DO HOLD CLOTH". It means the same in every language.
func (c Card) String() string {
	said := []string{cardLead}
	for _, word := range []string{string(c.Action), c.Reason, c.Press} {
		if word != "" {
			said = append(said, strings.ToUpper(word))
		}
	}
	return strings.Join(said, " ")
}

// ParseCard reads a card as people type it and scanners send it: case, spaces and hyphens don't count. ok is false
// where the text is none, as every ticket's code is.
func ParseCard(text string) (c Card, ok bool) {
	typed := letters(text)
	for _, c := range slices.Concat(cards, presses) {
		if letters(c.String()) == typed {
			return c, true
		}
	}
	return Card{}, false
}

func letters(text string) string {
	return strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(strings.TrimSpace(text)))
}
