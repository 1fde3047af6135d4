package i18n

import (
	"fmt"
	"strings"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
)

// Figure is a length taken apart for a page that sets real fractions: 96, 1, 2 and "in" of 96 1/2 in.
type Figure struct {
	About    bool // the length lies between two marks of the rule, and the nearest is told
	Negative bool
	Whole    string // "96"; "" before a bare fraction
	Num, Den int64  // 0, 0 where there is no fraction
	Unit     string
}

// Length takes a length apart as a rule in unit u shows it: inches and yards as fractions (exact to 1/64, else to
// the nearest 1/16), metric units as decimals (a tenth of a millimetre).
func Length(l measure.Length, u measure.Unit) Figure {
	if u.Metric() {
		return decimalFigure(l, u)
	}
	for _, den := range []int64{16, 64} {
		if m := l.Mixed(u, den); m.Exact {
			return fraction(m, u, false)
		}
	}
	return fraction(l.Mixed(u, 16), u, true)
}

func fraction(m measure.Mixed, u measure.Unit, about bool) Figure {
	f := Figure{About: about, Negative: m.Negative, Unit: string(u)}
	if m.Num != 0 {
		f.Num, f.Den = m.Num, m.Den
	}
	if m.Whole != 0 || m.Num == 0 {
		f.Whole = fmt.Sprint(m.Whole)
	}
	return f
}

// metricPlaces is how many decimals of a unit make a tenth of a millimetre.
var metricPlaces = map[measure.Unit]int{measure.MM: 1, measure.CM: 2, measure.M: 3}

func decimalFigure(l measure.Length, u measure.Unit) Figure {
	tenth := measure.Millimetre / 10
	return Figure{
		About: l%tenth != 0, Negative: l < 0, Unit: string(u),
		Whole: l.Abs().RoundTo(tenth).Number(u, metricPlaces[u]),
	}
}

// Lead writes what stands before the fraction and the unit: "≈ −96".
func (f Figure) Lead() string {
	lead := f.Whole
	if f.Negative {
		lead = "−" + lead
	}
	if f.About {
		lead = "≈ " + lead
	}
	return lead
}

// String writes the figure on one line: "96 1/2 in", "≈ 1 1/4 in", "2451.1 mm".
func (f Figure) String() string {
	parts := []string{f.Lead()}
	if f.Den != 0 {
		fraction := fmt.Sprintf("%d/%d", f.Num, f.Den)
		if f.Whole == "" { // nothing, or a sign alone
			parts[0] += fraction
		} else {
			parts = append(parts, fraction)
		}
	}
	return strings.Join(append(parts, f.Unit), " ")
}

// Figure takes a length apart as Length does, its decimals as the language writes them.
func (p *Printer) Figure(l measure.Length, u measure.Unit) Figure {
	f := Length(l, u)
	f.Whole = p.Decimal(f.Whole)
	return f
}

// Length writes a length for people: "96 1/2 in".
func (p *Printer) Length(l measure.Length, u measure.Unit) string { return p.Figure(l, u).String() }

// Quantity writes a number of the work-up or of a step for people: a length as Length does, a cord end, or which way a pile
// runs, by its name, any other word as it is.
func (p *Printer) Quantity(q measure.Quantity) string {
	switch parts := q.Parts(); {
	case q.Foreign() || q.Kind() == measure.Number || q.Kind() == measure.Percent:
		return p.Decimal(q.String())
	case q.IsLength():
		return p.Length(q.Length(), q.Unit())
	case q.Kind() == measure.Weight:
		_, shown := q.Mass()
		return p.Decimal(shown)
	case q.Kind() == measure.List:
		return p.joined(parts, ", ")
	case q.Kind() == measure.Sum:
		return p.joined(parts, " + ")
	case q.Kind() == measure.Size:
		return p.joined(parts, " × ")
	case q.Kind() == measure.Alternative:
		return p.Quantity(parts[0]) + " × " + p.joined(parts[1:], ", ")
	}
	for _, of := range []string{"cord_end.", "pile.", "railroaded."} {
		if key := of + q.String(); Has(key) {
			return p.T(key)
		}
	}
	return q.String()
}

func (p *Printer) joined(parts []measure.Quantity, between string) string {
	texts := make([]string, len(parts))
	for i, part := range parts {
		texts[i] = p.Quantity(part)
	}
	return strings.Join(texts, between)
}

// Date writes a civil date YYYY-MM-DD for people: "Fri 18 Dec 2026"; anything else as it is.
func (p *Printer) Date(civil string) string {
	t, err := time.Parse(time.DateOnly, civil)
	if err != nil {
		return civil
	}
	return p.T("date.form", "Weekday", p.weekday(t), "Day", t.Day(), "Month", p.month(t), "Year", t.Year())
}

// ShortDate is Date without the year, for a board.
func (p *Printer) ShortDate(civil string) string {
	t, err := time.Parse(time.DateOnly, civil)
	if err != nil {
		return civil
	}
	return p.T("date.short", "Weekday", p.weekday(t), "Day", t.Day(), "Month", p.month(t))
}

// Due writes a due date as people who look at today ask for it: "Thu, 2 days late", "today", "tomorrow", "Thu, in 3 days"
// and, where a weekday alone could be another week's, "14 Dec, in 15 days". Both are civil dates, YYYY-MM-DD.
func (p *Printer) Due(civil, today string) string {
	due, err := time.Parse(time.DateOnly, civil)
	now, wrong := time.Parse(time.DateOnly, today)
	if err != nil || wrong != nil {
		return civil
	}
	days := int(due.Sub(now).Hours() / 24) // both are midnights of UTC, where every day has 24 hours
	date := p.weekday(due)
	if days < -6 || days > 6 {
		date = p.T("date.day", "Day", due.Day(), "Month", p.month(due))
	}
	switch {
	case days < 0:
		return p.N("due.late", -days, "Date", date)
	case days == 0:
		return p.T("due.today")
	case days == 1:
		return p.T("due.tomorrow")
	}
	return p.N("due.in", days, "Date", date)
}

// Clock writes the time of day of an instant in its own zone: "14:05".
func (p *Printer) Clock(t time.Time) string { return t.Format("15:04") }

func (p *Printer) weekday(t time.Time) string {
	return p.T("date.weekday." + strings.ToLower(t.Weekday().String()[:3]))
}

// MonthOf writes the month of an instant in its own zone: "Nov 2026".
func (p *Printer) MonthOf(t time.Time) string { return p.month(t) + " " + t.Format("2006") }

func (p *Printer) month(t time.Time) string {
	return p.T("date.month." + strings.ToLower(t.Month().String()[:3]))
}

// Money writes an amount for people: "58.00 USD".
func (p *Printer) Money(m billing.Money) string { return p.Amount(m) + " " + m.Currency }

// Amount writes an amount without its currency: "58.00".
func (p *Printer) Amount(m billing.Money) string { return p.Decimal(m.Amount()) }
