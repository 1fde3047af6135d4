package measure_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

const (
	in = measure.In
	mm = measure.MM
)

// TestQuantities: what each kind is written as, and that it reads back as itself.
func TestQuantities(t *testing.T) {
	inch := measure.Inch
	for _, c := range []struct {
		q    measure.Quantity
		kind measure.Kind
		text string
	}{
		{measure.Quantity{}, measure.Nothing, ""},
		{measure.OfLength(97*inch/2, in), measure.OneLength, "48.5in"},
		{measure.OfLength(0, mm), measure.OneLength, "0mm"},
		{measure.OfLength(-inch, in), measure.OneLength, "-1in"},
		{measure.OfLength(1, in), measure.OneLength, "0.00000004in"},
		{measure.OfLength(12*measure.Yard, measure.Yd), measure.OneLength, "12yd"},
		{measure.OfLength(25*measure.Metre/10, measure.M), measure.OneLength, "2.5m"},
		{measure.OfCount(19), measure.Number, "19"},
		{measure.OfCount(0), measure.Number, "0"},
		{measure.OfRatio(measure.Ratio{Num: 77, Den: 30}), measure.Number, "2.567"},
		{measure.OfRatio(measure.Ratio{Num: 5, Den: 2}), measure.Number, "2.5"},
		{measure.OfRatio(measure.Ratio{}), measure.Number, "0"},
		{measure.OfRatio(measure.Ratio{Num: 1 << 62, Den: 1}), measure.Word, "4611686018427387904"},
		{measure.OfPercent(measure.Ratio{Num: 3, Den: 1}), measure.Percent, "3%"},
		{measure.OfPercent(measure.Ratio{Num: 1 << 62, Den: 1}), measure.Word, "4611686018427387904%"},
		{measure.OfMass(4009, mm), measure.Weight, "4009g"},
		{measure.OfMass(0, mm), measure.Weight, "0g"},
		{measure.OfWord("4009.5g"), measure.Word, "4009.5g"},
		{measure.OfWord("wound"), measure.Word, "wound"},
		{measure.OfWord(""), measure.Nothing, ""},
		{measure.OfLengths(nil, in), measure.Nothing, ""},
		{measure.OfLengths([]measure.Length{inch}, in), measure.OneLength, "1in"},
		{measure.OfLengths([]measure.Length{4 * inch, 12 * inch, 25 * inch / 2}, in), measure.List, "4in 12in 12.5in"},
		{measure.OfSum([]measure.Quantity{measure.OfRatio(measure.Halves(5).Ratio()), measure.OfCount(3)}), measure.Sum, "2.5 + 3"},
		{measure.OfSum([]measure.Quantity{measure.OfLength(inch, in), measure.OfLength(2*inch, in)}), measure.Sum, "1in + 2in"},
		{measure.OfSum([]measure.Quantity{measure.OfCount(3)}), measure.Number, "3"},
		{measure.OfSum(nil), measure.Nothing, ""},
		{measure.OfSize(96*inch, 4*inch, in), measure.Size, "96in × 4in"},
		{measure.OfAlternative(19, 3*inch/2, 48*inch, in), measure.Alternative, "19 × 1.5in, 48in"},
	} {
		if c.q.Kind() != c.kind || c.q.String() != c.text {
			t.Errorf("kind %d, %q, want kind %d, %q", c.q.Kind(), c.q, c.kind, c.text)
		}
		if back := measure.Read(c.text); back != c.q {
			t.Errorf("%q reads as %#v, want %#v", c.text, back, c.q)
		}
		if c.q.IsZero() != (c.text == "") {
			t.Errorf("%q: IsZero is %t", c.text, c.q.IsZero())
		}
	}
}

// TestQuantityReads: what only resembles a number is a word, and what is written otherwise stays as it is written.
func TestQuantityReads(t *testing.T) {
	for text, want := range map[string]struct {
		kind   measure.Kind
		length measure.Length
	}{
		"96.50in":          {measure.OneLength, 193 * measure.Inch / 2},
		"96 1/2in":         {measure.OneLength, 193 * measure.Inch / 2},
		"7 yd 3 in":        {measure.OneLength, 7*measure.Yard + 3*measure.Inch},
		"-0in":             {measure.OneLength, 0},
		"reed":             {measure.Word, 0},
		"2.5670":           {measure.Word, 0},
		"007":              {measure.Word, 0},
		"1.in":             {measure.Word, 0},
		"-":                {measure.Word, 0},
		"1e5":              {measure.Word, 0},
		"4in 12mm":         {measure.OneLength, 4*measure.Inch + 12*measure.Millimetre},
		"4in  12in":        {measure.Word, 0},
		"4 12":             {measure.Word, 0},
		"1in + 2":          {measure.Word, 0},
		"19 × 4in":         {measure.Word, 0},
		"4in × 19":         {measure.Word, 0},
		"4in × 1in, 2in":   {measure.Word, 0},
		"3% + 4%":          {measure.Word, 0},
		"99999999999999in": {measure.Word, 0},
	} {
		q := measure.Read(text)
		if q.Kind() != want.kind || q.Length() != want.length || q.String() != text {
			t.Errorf("%q: kind %d, %d nm, written %q; want kind %d, %d nm", text, q.Kind(), q.Length(), q, want.kind, want.length)
		}
		if q.Foreign() != (want.kind == measure.OneLength) {
			t.Errorf("%q: Foreign is %t", text, q.Foreign())
		}
	}
}

// TestQuantityNumbers: what is asked of a quantity that isn't it is nothing.
func TestQuantityNumbers(t *testing.T) {
	length, count, half := measure.Read("12.5in"), measure.Read("19"), measure.Read("2.5")
	if length.Length() != 25*measure.Inch/2 || length.Unit() != in || !length.IsLength() || length.Count() != 0 {
		t.Errorf("%q: %d nm in %q, count %d", length, length.Length(), length.Unit(), length.Count())
	}
	if count.Count() != 19 || count.Length() != 0 || count.IsLength() || half.Count() != 2 {
		t.Errorf("%q counts %d, %q counts %d", count, count.Count(), half, half.Count())
	}
	if h, ok := half.Halves(); h != 5 || !ok {
		t.Errorf("%q is %d halves, %t", half, h, ok)
	}
	for _, no := range []string{"2.567", "2.5in", "2.5%"} {
		if _, ok := measure.Read(no).Halves(); ok {
			t.Errorf("%q is no whole number of halves", no)
		}
	}
	for text, nought := range map[string]bool{"": true, "0": true, "0in": true, "0%": true, "0.001": false, "wound": false, "0in 0in": false} {
		if measure.Read(text).Nought() != nought {
			t.Errorf("%q: Nought is %t", text, !nought)
		}
	}
	for text, want := range map[string]string{
		"": "", "wound": "wound", "4in 12in": "4in|12in", "2.5 + 3": "2.5|3", "96in × 4in": "96in|4in", "19 × 1.5in, 48in": "19|1.5in|48in", "3%": "3%",
	} {
		var parts []string
		for _, p := range measure.Read(text).Parts() {
			parts = append(parts, p.String())
		}
		if got := strings.Join(parts, "|"); got != want {
			t.Errorf("the parts of %q are %q, want %q", text, got, want)
		}
	}
}

// TestQuantityRoundTrip: whatever a quantity is made of, JSON has it as it is written and gives it back as it was.
func TestQuantityRoundTrip(t *testing.T) {
	length := rapid.Map(rapid.Int64Range(-1e14, 1e14), func(n int64) measure.Length { return measure.Length(n) })
	unit := rapid.SampledFrom([]measure.Unit{measure.In, measure.Ft, measure.Yd, measure.MM, measure.CM, measure.M})
	rapid.Check(t, func(t *rapid.T) {
		u, list := unit.Draw(t, "unit"), rapid.SliceOfN(length, 2, 5).Draw(t, "lengths")
		ratio := measure.Ratio{Num: rapid.Int64().Draw(t, "num"), Den: rapid.Int64().Draw(t, "den")}
		for _, q := range []measure.Quantity{
			measure.OfLength(list[0], u), measure.OfLengths(list, u), measure.OfRatio(ratio), measure.OfPercent(ratio),
			measure.OfSize(list[0], list[1], u), measure.OfAlternative(rapid.IntRange(0, 999).Draw(t, "pleats"), list[0], list[1], u),
			measure.OfSum(measure.OfLengths(list, u).Parts()),
			measure.OfSum([]measure.Quantity{measure.OfCount(rapid.IntRange(-9, 1e9).Draw(t, "count")), measure.OfCount(2)}),
		} {
			same(t, q)
		}
		if got, want := measure.OfRatio(ratio).String(), ratio.String(); got != want {
			t.Fatalf("the ratio %v is written %q, want %q", ratio, got, want)
		}
		if got, want := measure.OfLength(list[0], u).String(), list[0].In(u); got != want {
			t.Fatalf("a length is written %q, want %q", got, want)
		}
	})
}

func same(t interface{ Fatalf(string, ...any) }, q measure.Quantity) {
	text := q.String()
	asText, _ := json.Marshal(text)
	if asQuantity, err := json.Marshal(q); err != nil || string(asQuantity) != string(asText) {
		t.Fatalf("%q is %s in JSON (%v), want %s", text, asQuantity, err, asText)
	}
	var back measure.Quantity
	if err := json.Unmarshal(asText, &back); err != nil || back != q {
		t.Fatalf("%s reads as %#v (%v), want %#v", asText, back, err, q)
	}
}

// TestQuantityKeepsText: a string of any document is what it was after it was read.
func TestQuantityKeepsText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.StringMatching(`-?[0-9.]{0,12}(in|mm|%|)?( (\+|×)? ?[0-9.]{0,6}(in|mm|,)?){0,3}`)).Draw(t, "text")
		if got := measure.Read(text).String(); got != text {
			t.Fatalf("%q is read as %q", text, got)
		}
	})
}

func FuzzQuantity(f *testing.F) {
	for _, text := range []string{"", "48.5in", "4in 12in", "2.5 + 3", "96in × 4in", "19 × 1.5in, 48in", "3%", "wound", "-0in", "7 yd 3 in"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q := measure.Read(text)
		if q.String() != text {
			t.Fatalf("%q is read as %q", text, q)
		}
		for _, p := range q.Parts() {
			if back := measure.Read(p.String()); back != p {
				t.Fatalf("%q has the part %q, which reads as another", text, p)
			}
		}
	})
}

// TestQuantityKeepsDocuments: every string of the golden documents, read as a quantity, is written as it was.
func TestQuantityKeepsDocuments(t *testing.T) {
	quoted := regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)
	strings := 0
	err := filepath.WalkDir("../../testdata", func(path string, d os.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".json" {
			return err
		}
		data, err := os.ReadFile(path)
		for _, token := range quoted.FindAll(data, -1) {
			var text string
			var q measure.Quantity
			if json.Unmarshal(token, &text) != nil {
				continue
			}
			strings++
			if err := json.Unmarshal(token, &q); err != nil || q.String() != text {
				t.Errorf("%s: %s is read as %q (%v)", path, token, q, err)
			}
		}
		return err
	})
	if err != nil || strings == 0 {
		t.Errorf("%d strings read: %v", strings, err)
	}
}

// TestLengthInFull: what is written to the thousandth is that length, not the one before rounding.
func TestLengthInFull(t *testing.T) {
	for text, l := range map[string]measure.Length{"0.031 in": measure.Inch * 314 / 10_000, "0.032 in": measure.Inch * 315 / 10_000, "12.5 in": 25 * measure.Inch / 2, "0 in": 0} {
		q := measure.OfLengthInFull(l, measure.In)
		want, err := measure.Parse(text, measure.In)
		if err != nil || q.String() != text || q.Length() != want {
			t.Errorf("%d nm is written %q and is %d nm, want %q, %d (%v)", l, q, q.Length(), text, want, err)
		}
	}
}
