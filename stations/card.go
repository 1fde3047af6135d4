package stations

import (
	"slices"
	"strings"
)

// Card is a command on a card: a scanner at a bench reads it like a ticket, and it acts on the ticket that lies open
// there.
type Card struct {
	Action Action
	// Reason names why a ticket is held, "" for another action: a card has no room for typing. Its sentence is the
	// catalogue's "card.reason.<name>".
	Reason string
}

// cards are all there are, in the order in which a bench uses them.
var cards = []Card{
	{Action: Start}, {Action: Finish}, {Action: Undo}, {Action: Resume},
	{Action: Hold, Reason: "cloth"}, {Action: Hold, Reason: "size"}, {Action: Hold, Reason: "pattern"}, {Action: Hold, Reason: "lacking"},
	{Action: Hold, Reason: "machine"}, {Action: Hold, Reason: "question"},
}

// cardLead begins what a card says. No card has nine letters, as a ticket's code has nine symbols.
const cardLead = "DO"

// Cards returns the commands that there are cards of.
func Cards() []Card { return slices.Clone(cards) }

// String returns what a card says, upper case, in the letters of a QR's alphanumeric mode, short enough to type:
// "DO HOLD CLOTH". It means the same in every language.
func (c Card) String() string {
	return strings.TrimSpace(cardLead + " " + strings.ToUpper(string(c.Action)+" "+c.Reason))
}

// ParseCard reads a card as people type it and scanners send it: case, spaces and hyphens don't count. ok is false
// where the text is none, as every ticket's code is.
func ParseCard(text string) (c Card, ok bool) {
	typed := letters(text)
	for _, c := range cards {
		if letters(c.String()) == typed {
			return c, true
		}
	}
	return Card{}, false
}

func letters(text string) string {
	return strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(strings.TrimSpace(text)))
}
