package pages

import (
	"regexp"
	"slices"
	"strings"
)

// typed are the words that the tests' people have typed, the longer first. They are the same in every language.
var typed = []string{"Tulip pleat", "Reed loop", "The shade is off at the outer end", "Reed, oat", "Salt House Lodge", "Bench seat", "Kitchen valance", "Torn hem", "Zip at the back", "canvas", "tear", "conventions: shrink", "Flaw in the middle of the second width", "The fold is a quarter short", "Billed to the hotel, not to its owner", "Rod is up, measured twice", "Breakfast room, east wall",
	"Scorched at the iron", "Saltmarsh Workroom", "Floor 1, room 14", "Saltmarsh Inn", "House sold", "Bay, left", "sateen", "cart-4", "reed", "Bench 1", "Bench 2", "Wall by the door", "Wall", "Joining tablet", "Long table", "Bookkeeping", "Ada Brook", "Ben Tide", "Office",
	"face_widht", "nowhere", "Moon/Tycho", "tablehand", "USD"}

// alike are words that languages share.
var alike = []string{"total", "english", "español"}

var (
	// codes are names of orders, tickets, tapes and keys of files, and addresses.
	codes = regexp.MustCompile(`\b(SMI-\d+|[0-9A-Z]{9}|([0-9A-Z]{3} ){2}[0-9A-Z]{3}|[RS]\d|https?://\S+|\S+_\S+|\S+\.(yaml|pdf))`)
	word  = regexp.MustCompile(`\p{L}{3,}`)
)

// untranslated returns what a page says in a language's name without being in it: marks of missing sentences, and
// words that the English page has too.
func untranslated(language string, said, english []string) []string {
	var faults []string
	for _, text := range said {
		switch {
		case strings.Contains(text, "⟨"):
			faults = append(faults, "no sentence: "+text)
		case language != "en" && slices.Contains(english, text) && !same(text):
			faults = append(faults, "English: "+text)
		}
	}
	return faults
}

// same reports whether a text may be the same in every language.
func same(text string) bool {
	for _, theirs := range typed {
		text = strings.ReplaceAll(text, theirs, "")
	}
	text = codes.ReplaceAllString(text, "")
	for _, w := range word.FindAllString(text, -1) {
		if !slices.Contains(alike, strings.ToLower(w)) {
			return false
		}
	}
	return true
}
