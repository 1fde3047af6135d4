package bench

import (
	"strconv"

	"tablehand/engine/measure"
	"tablehand/views/i18n"
)

// KeypadKey is one key of the keypad for measures.
type KeypadKey struct {
	Key, Face string
	Name      string // as it is read aloud; "" as its face
	Class     string
}

// keypad returns the keys of a step in the unit it measures in: digits, and eighths with a key for one sixteenth more,
// or a decimal mark.
func keypad(say *i18n.Printer, units string) []KeypadKey {
	faces := []string{"", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"}
	eighth := func(n int) KeypadKey {
		return KeypadKey{Key: "e" + strconv.Itoa(n), Face: faces[n], Name: say.T("steps.key.eighths", "Count", n), Class: "part"}
	}
	digits := func(keys ...string) []KeypadKey {
		var row []KeypadKey
		for _, k := range keys {
			row = append(row, KeypadKey{Key: k, Face: k})
		}
		return row
	}
	back := KeypadKey{Key: "back", Face: "⌫", Name: say.T("steps.key.back")}
	next := KeypadKey{Key: "next", Face: say.T("steps.key.next"), Class: "next"}
	if measure.Unit(units).Metric() {
		mark := KeypadKey{Key: "mark", Face: say.Mark(), Name: say.Mark() + " " + say.T("steps.key.mark")}
		return joinKeys(digits("7", "8", "9"), []KeypadKey{back}, digits("4", "5", "6"), []KeypadKey{next}, digits("1", "2", "3"), []KeypadKey{mark}, digits("0"))
	}
	sixteenth := KeypadKey{Key: "s", Face: "+¹⁄₁₆", Name: "+¹⁄₁₆ " + say.T("steps.key.sixteenth"), Class: "part"}
	return joinKeys(digits("7", "8", "9"), []KeypadKey{eighth(1), eighth(2)}, digits("4", "5", "6"), []KeypadKey{eighth(3), eighth(4)},
		digits("1", "2", "3"), []KeypadKey{eighth(5), eighth(6)}, []KeypadKey{back}, digits("0"), []KeypadKey{next, eighth(7), sixteenth})
}

func joinKeys(rows ...[]KeypadKey) []KeypadKey {
	var keys []KeypadKey
	for _, row := range rows {
		keys = append(keys, row...)
	}
	return keys
}
