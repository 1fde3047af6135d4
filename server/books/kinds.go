package books

import (
	"errors"
	"math/big"
	"net/mail"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/numbering"
)

// Form is what a field looks like where it is typed, and in documents.
type Form string

const (
	Line   Form = "line"   // one line of text
	Lines  Form = "lines"  // several
	List   Form = "list"   // texts, one a line where they are typed
	Pairs  Form = "pairs"  // texts by name, "name: text" a line
	Choice Form = "choice" // one of some words
	Flag   Form = "flag"   // true or false
	Date   Form = "date"   // YYYY-MM-DD
	Whole  Form = "count"  // a whole number
	Amount Form = "money"  // with its currency
)

// Kind says how a field is read and checked.
type Kind struct {
	Form  Form
	Words []string // of a choice
	// read returns a text as it is kept, or what is wrong with it. The text isn't empty, nor are there blanks around it.
	read func(text string, in Units) (string, *fault)
	// plain returns what is kept as programs read it; nil: as it is kept.
	plain func(kept string) string
}

// Units are what goes without saying where a length or an amount of money is typed: the shop's.
type Units struct {
	Length   measure.Unit
	Currency string // ISO 4217, "" where the shop has no prices yet
}

// fault is what is wrong with a value: a problem's code, the end of its sentence's key, and its arguments.
type fault struct {
	code, sentence string
	args           map[string]any
}

func wrong(code, sentence string, args ...any) *fault {
	f := &fault{code, sentence, map[string]any{}}
	for i := 0; i+1 < len(args); i += 2 {
		f.args[args[i].(string)] = args[i+1]
	}
	return f
}

// text is one line of at most so many letters.
func text(most int) Kind { return Kind{Form: Line, read: texts(most, false)} }

// lines are several.
func lines(most int) Kind { return Kind{Form: Lines, read: texts(most, true)} }

func texts(most int, several bool) func(string, Units) (string, *fault) {
	return func(s string, _ Units) (string, *fault) {
		s = strings.ReplaceAll(s, "\r\n", "\n")
		switch {
		case utf8.RuneCountInString(s) > most:
			return "", wrong("absurd", "text", "Most", most)
		case !utf8.ValidString(s) || strings.ContainsFunc(s, func(r rune) bool { return unicode.IsControl(r) && !(several && r == '\n') }):
			return "", wrong("bad_value", "control")
		}
		return s, nil
	}
}

// list is at most so many texts of a kind, kept one a line.
func list(count int, each Kind) Kind {
	return Kind{Form: List, read: func(s string, in Units) (string, *fault) {
		var all []string
		for one := range strings.Lines(s) {
			if one = strings.TrimSpace(one); one == "" {
				continue
			}
			kept, f := each.read(one, in)
			if f != nil {
				return "", f
			}
			if !slices.Contains(all, kept) {
				all = append(all, kept)
			}
		}
		if len(all) > count {
			return "", wrong("absurd", "list", "Most", count)
		}
		return strings.Join(all, "\n"), nil
	}}
}

// choice is one of some words.
func choice(words ...string) Kind {
	return Kind{Form: Choice, Words: words, read: func(s string, _ Units) (string, *fault) {
		word := strings.ToLower(s)
		if !slices.Contains(words, word) {
			return "", wrong("bad_value", "choice", "Known", words)
		}
		return word, nil
	}}
}

// flag is true or false.
func flag() Kind {
	return Kind{Form: Flag, read: func(s string, _ Units) (string, *fault) {
		if s = strings.ToLower(s); s != "true" && s != "false" {
			return "", wrong("bad_value", "flag")
		}
		return s, nil
	}}
}

// date is a civil date.
func date() Kind {
	return Kind{Form: Date, read: func(s string, _ Units) (string, *fault) {
		if _, err := time.Parse(time.DateOnly, s); err != nil {
			return "", wrong("bad_value", "date")
		}
		return s, nil
	}}
}

// count is a whole number, both bounds included.
func count(least, most int) Kind {
	return Kind{Form: Whole, read: func(s string, _ Units) (string, *fault) {
		n, err := strconv.Atoi(s)
		switch {
		case err != nil:
			return "", wrong("bad_value", "count")
		case n < least:
			return "", wrong("bad_value", "few", "Least", least)
		case n > most:
			return "", wrong("absurd", "count", "Most", most)
		}
		return strconv.Itoa(n), nil
	}}
}

// plainNumber is a decimal with at most three places, "2.5" or "2.5%".
var plainNumber = regexp.MustCompile(`^-?[0-9]{1,9}(\.[0-9]{1,3})?$`)

// number is a decimal, both bounds included, that a unit may follow: one of units, the first where none does.
func number(least, most int64, units ...string) Kind {
	return Kind{Form: Line, read: func(s string, _ Units) (string, *fault) {
		unit := ""
		for i, u := range units {
			if rest, found := strings.CutSuffix(strings.ToLower(s), u); found {
				s, unit = strings.TrimSpace(rest), u
				break
			} else if i == 0 {
				unit = u
			}
		}
		if !plainNumber.MatchString(s) {
			return "", wrong("bad_value", "number")
		}
		n, _ := new(big.Rat).SetString(s)
		switch {
		case n.Sign() < 0:
			return "", wrong("negative", "")
		case n.Cmp(new(big.Rat).SetInt64(least)) < 0:
			return "", wrong("bad_value", "few", "Least", int(least))
		case n.Cmp(new(big.Rat).SetInt64(most)) > 0:
			return "", wrong("absurd", "count", "Most", int(most))
		}
		if unit == "" || unit == "%" {
			return s + unit, nil
		}
		return s + " " + unit, nil
	}}
}

// length is a length, both bounds included, kept as it was typed with its unit.
func length(least, most measure.Length) Kind {
	return Kind{Form: Line,
		read: func(s string, in Units) (string, *fault) {
			n, err := measure.Parse(s, in.Length)
			var unread *measure.ParseError
			switch {
			case errors.As(err, &unread) && unread.Reason == measure.TooLong:
				return "", wrong("absurd", "over", "Most", most)
			case errors.As(err, &unread):
				return "", wrong("bad_length", string(unread.Reason), "Part", unread.Part)
			case n < 0:
				return "", wrong("negative", "")
			case n < least:
				return "", wrong("absurd", "short", "Least", least)
			case n > most:
				return "", wrong("absurd", "over", "Most", most)
			}
			if _, err := measure.Parse(s, ""); err != nil { // a bare number
				s += " " + string(in.Length)
			}
			return s, nil
		},
		plain: func(kept string) string { return lengthOf(kept).In(measure.UnitOf(kept, measure.In)) },
	}
}

// lengthOf reads a length as it is kept.
func lengthOf(kept string) measure.Length {
	n, _ := measure.Parse(kept, measure.In)
	return n
}

// money is an amount of money, kept with its currency: "12.50 USD".
func money() Kind {
	return Kind{Form: Amount, read: func(s string, in Units) (string, *fault) {
		amount, currency, _ := strings.Cut(s, " ")
		if currency = strings.ToUpper(strings.TrimSpace(currency)); currency == "" {
			currency = in.Currency
		}
		if !currencyCode.MatchString(currency) {
			return "", wrong("bad_value", "currency")
		}
		m, err := billing.ParseAmount(amount, currency)
		if err != nil {
			return "", wrong("bad_value", "money")
		}
		return m.Amount() + " " + currency, nil
	}}
}

var currencyCode = regexp.MustCompile(`^[A-Z]{3}$`)

// address is a mail address.
func address() Kind {
	return Kind{Form: Line, read: func(s string, in Units) (string, *fault) {
		if a, err := mail.ParseAddress(s); err != nil || a.Address != s || len(s) > 254 {
			return "", wrong("bad_value", "mail")
		}
		return s, nil
	}}
}

// orderForm is how orders are named: HAL-{n:3}.
func orderForm() Kind {
	return Kind{Form: Line, read: func(s string, _ Units) (string, *fault) {
		if _, ok := numbering.Read(s); !ok {
			return "", wrong("bad_value", "numbering")
		}
		return s, nil
	}}
}

// conventions are ways of working that differ from the shop's, "name: value" a line, as an order file has them.
func conventions() Kind {
	return Kind{Form: Pairs, read: readConventions}
}
