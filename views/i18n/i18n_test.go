package i18n

import (
	"strings"
	"sync"
	"testing"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
)

func TestFigure(t *testing.T) {
	const in = measure.Inch
	tests := []struct {
		l    measure.Length
		u    measure.Unit
		want string
	}{
		{193 * in / 2, measure.In, "96 1/2 in"},
		{96 * in, measure.In, "96 in"},
		{in / 2, measure.In, "1/2 in"},
		{0, measure.In, "0 in"},
		{-in / 4, measure.In, "−1/4 in"},
		{in * 3 / 64, measure.In, "3/64 in"},
		{in * 2, measure.In, "2 in"},
		// 4/π in = 1.2732 in lies between two marks: the nearest sixteenth, said to be about.
		{(4 * in).OverPi(), measure.In, "≈ 1 1/4 in"},
		{(36 * in * 69).Div(4), measure.Yd, "17 1/4 yd"},
		{2451_100_000, measure.MM, "2451.1 mm"},
		{2451_140_000, measure.MM, "≈ 2451.1 mm"},
		{2438 * measure.Millimetre, measure.CM, "243.8 cm"},
		{9_600 * measure.Millimetre, measure.M, "9.6 m"},
	}
	for _, tt := range tests {
		if got := Length(tt.l, tt.u).String(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.l.In(tt.u), got, tt.want)
		}
	}
}

func TestQuantity(t *testing.T) {
	p := For("en")
	for value, want := range map[string]string{
		"126.5in": "126 1/2 in", "2451.1mm": "2451.1 mm", "17.25yd": "17 1/4 yd", "9.6m": "9.6 m", "19": "19", "2.567": "2.567",
		"room in": "room in", "": "",
	} {
		if got := p.Quantity(measure.Read(value)); got != want {
			t.Errorf("%q is written %q, want %q", value, got, want)
		}
	}
}

func TestDates(t *testing.T) {
	p := For("en")
	// 18 December 2026 is a Friday (ISO 8601 week 51, day 5).
	if got := p.Date("2026-12-18"); got != "Fri 18 Dec 2026" {
		t.Errorf("Date: %q", got)
	}
	if got := p.ShortDate("2026-12-18"); got != "Fri 18 Dec" {
		t.Errorf("ShortDate: %q", got)
	}
	spanish := For("es")
	if date, short := spanish.Date("2026-12-18"), spanish.ShortDate("2026-09-02"); date != "vie 18 dic 2026" || short != "mié 2 sep" {
		t.Errorf("in Spanish: %q, %q", date, short)
	}
	if got := p.Date("soon"); got != "soon" {
		t.Errorf("a date that is none: %q", got)
	}
}

// TestDue: a due date says how far off it is, by its weekday where that can be no other week's.
func TestDue(t *testing.T) {
	for due, want := range map[string][2]string{
		"2026-11-29": {"today", "hoy"},
		"2026-11-30": {"tomorrow", "mañana"},
		"2026-12-01": {"Tue, in 2 days", "mar, en 2 días"},
		"2026-12-05": {"Sat, in 6 days", "sáb, en 6 días"},
		"2026-12-06": {"6 Dec, in 7 days", "6 dic, en 7 días"},
		"2027-03-01": {"1 Mar, in 92 days", "1 mar, en 92 días"},
		"2026-11-28": {"Sat, 1 day late", "sáb, 1 día de atraso"},
		"2026-11-26": {"Thu, 3 days late", "jue, 3 días de atraso"},
		"2026-11-23": {"Mon, 6 days late", "lun, 6 días de atraso"},
		"2026-11-22": {"22 Nov, 7 days late", "22 nov, 7 días de atraso"},
		"soon":       {"soon", "soon"},
	} {
		for i, language := range []string{"en", "es"} {
			if got := For(language).Due(due, "2026-11-29"); got != want[i] {
				t.Errorf("%s in %s: %q, want %q", due, language, got, want[i])
			}
		}
	}
}

func TestForFallsBackToEnglish(t *testing.T) {
	for _, asked := range []string{"", "xx", "not a tag;;", "en-US,de;q=0.5", "zh"} {
		if got := For(asked).Language(); got != "en" {
			t.Errorf("For(%q) speaks %s", asked, got)
		}
	}
}

// TestListsAreWritten: what is a list is written with commas, as a sentence has it, not as Go has it.
func TestListsAreWritten(t *testing.T) {
	if said := For("en").T("table.pass_over", "Orders", []string{"SMI-1", "SMI-2"}); said != "Cut it before SMI-1, SMI-2" {
		t.Error(said)
	}
}

func TestMissingKeyShows(t *testing.T) {
	if got := For("en").T("no.such.key"); got != "⟨no.such.key⟩" {
		t.Errorf("missing key: %q", got)
	}
}

func TestProblemWritesLengthsInItsUnit(t *testing.T) {
	p := engine.Problem{Code: "x", Key: "date.short", Units: measure.In, Args: map[string]any{
		"Weekday": 3 * measure.Inch / 2, "Day": 4, "Month": []string{"a", "b"}}}
	if got := For("en").Problem(p); got != "1 1/2 in 4 a, b" {
		t.Errorf("%q", got)
	}
}

func TestPrinterIsSharedSafely(t *testing.T) {
	p := For("en")
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 200 {
				if p.Date("2026-12-18") != "Fri 18 Dec 2026" {
					t.Error("another's words")
				}
			}
		})
	}
	wg.Wait()
}

// TestDecimalsAreWrittenAsInTheRegion: by CLDR Spanish has a comma in Spain, a point in Mexico and the United States.
func TestDecimalsAreWrittenAsInTheRegion(t *testing.T) {
	for _, c := range []struct{ languages, tag, want string }{
		{"en", "en", "2451.1 mm"}, {"en-GB", "en-GB", "2451.1 mm"}, {"es", "es", "2451,1 mm"}, {"es-ES,es;q=0.9", "es", "2451,1 mm"},
		{"es-MX", "es", "2451.1 mm"}, {"es-US", "es", "2451.1 mm"}, {"es_MX.UTF-8", "es", "2451.1 mm"}, {"es_ES.UTF-8", "es", "2451,1 mm"},
		{"es|en-US,en;q=0.9", "es", "2451.1 mm"}, {"es|de-DE", "es", "2451,1 mm"}, {"es|en-US,es-ES;q=0.5", "es", "2451,1 mm"}, {"C", "en", "2451.1 mm"}, {"", "en", "2451.1 mm"},
	} {
		p := For(strings.Split(c.languages, "|")...)
		if got := p.Length(measure.Millimetre/10*24511, measure.MM); p.Language() != c.tag || got != c.want {
			t.Errorf("%q: %s in %s, want %s in %s", c.languages, got, p.Language(), c.want, c.tag)
		}
	}
	spain := For("es-ES")
	if got := spain.Money(billing.Money{Minor: 5850, Currency: "EUR"}); got != "58,50 EUR" {
		t.Errorf("an amount is written %q", got)
	}
	for value, want := range map[string]string{"12.75": "12,75", "0.031 in": "0,031 in", "12.75in": "12 3/4 in", "2451.1mm": "2451,1 mm"} {
		if got := spain.Quantity(measure.Read(value)); got != want {
			t.Errorf("%s is written %q, want %q", value, got, want)
		}
	}
}

// TestTyped: a comma before decimals is read as one, but never one that parts thousands.
func TestTyped(t *testing.T) {
	for _, c := range []struct{ region, typed, want string }{
		{"es-ES", "95,5", "95.5"}, {"es-ES", " 95,5 cm", " 95.5 cm"}, {"es-ES", ",5", ".5"}, {"es-ES", "1,234", "1.234"},
		{"en-US", "95,5", "95.5"}, {"en-US", "1,234", "1,234"}, {"en-US", "95.5", "95.5"}, {"es-ES", "95 1/2", "95 1/2"},
		{"es-ES", "1,2,3", "1,2,3"}, {"es-ES", "L,R", "L,R"}, {"es-ES", "5, 6", "5, 6"}, {"en-US", "", ""},
	} {
		if got := For(c.region).Typed(c.typed); got != c.want {
			t.Errorf("%s: %q is read as %q, want %q", c.region, c.typed, got, c.want)
		}
	}
}
