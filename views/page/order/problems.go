package order

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/views"
)

// chipsAtOnce is how many windows a page names of one problem.
const chipsAtOnce = 12

// Matter is a problem of one window or, in the same words, of several.
type Matter struct {
	Severity engine.Severity
	Text     string
	Windows  []string // "" in Text then; none where the problem is of no window
	More     int      // windows that aren't named
}

// nameless stands in a sentence where a window's name would, to be taken out again.
const nameless = "\ufffc"

// mattersOf puts problems that say the same of several windows together, in the order of the first of each: those that
// are urgent, or the others.
func mattersOf(v *views.Views, problems []engine.Problem, urgent bool) []Matter {
	var list []Matter
	at := map[string]int{}
	for _, p := range problems {
		if len(workup.Noteworthy([]engine.Problem{p})) == 0 || urgent != (p.Severity != engine.Note) {
			continue
		}
		text, window := sentenceOf(v, p)
		i, known := at[text]
		if !known || window == "" {
			i = len(list)
			at[text], list = i, append(list, Matter{Severity: p.Severity, Text: text})
		}
		m := &list[i]
		switch {
		case window == "" || slices.Contains(m.Windows, window):
		case len(m.Windows) == chipsAtOnce:
			m.More++
		default:
			m.Windows = append(m.Windows, window)
		}
	}
	return list
}

// sentenceOf is what a problem says and the window that it is of. A sentence that doesn't begin with its window is told
// as it is, without one.
func sentenceOf(v *views.Views, p engine.Problem) (text, window string) {
	window, _ = p.Args["Window"].(string)
	if window == "" {
		return v.Say.Problem(p), ""
	}
	bare := p
	bare.Args = maps.Clone(p.Args)
	bare.Args["Window"] = nameless
	rest, begins := strings.CutPrefix(v.Say.Problem(bare), nameless+":")
	if rest = strings.TrimSpace(rest); !begins || strings.Contains(rest, nameless) {
		return v.Say.Problem(p), ""
	}
	first, size := utf8.DecodeRuneInString(rest)
	return fmt.Sprintf("%c%s", unicode.ToUpper(first), rest[size:]), window
}
