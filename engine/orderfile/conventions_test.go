package orderfile

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"tablehand/engine/measure"
)

var update = flag.Bool("update", false, "write what is made from the rows of the conventions and the headings")

// TestConventionsAreDocumented holds the tables of conventions and tolerances in server/interface.md, and their part of
// order.schema.json, to the rows. With -update both are written anew.
func TestConventionsAreDocumented(t *testing.T) {
	documentedAs(t, "the conventions", []section{
		{"../../server/interface.md", "| convention | inch | metric | |\n|---|---|---|---|\n", "\n\n", conventionTable()},
		{"../../server/interface.md", "| the shelf's | inch | metric | |\n|---|---|---|---|\n", "\n\n", strings.Join(tableOf(shelfRows), "\n")},
		{"../../server/interface.md", "| heading | fullness | usual | in inches | metric |\n|---|---|---|---|---|\n", "\n\n", headingTable()},
		{"../../server/interface.md", "| tolerance | minus, plus in inches | minus, plus metric |\n|---|---|---|\n", "\n\n", toleranceTable()},
		{"order.schema.json", "    \"conventions\": {\n", "    },\n    \"ownHeading\": {", conventionSchema()},
		{"order.schema.json", "    \"ownHeading\": {\n", "    },\n    \"tolerance\": {", ownHeadingSchema()},
	})
}

// section is a part of a file that is made from rows.
type section struct{ file, from, to, want string }

// documentedAs holds sections to what the rows make of them. With -update they are written anew.
func documentedAs(t *testing.T, rows string, sections []section) {
	t.Helper()
	for _, d := range sections {
		raw, err := os.ReadFile(d.file)
		if err != nil {
			t.Fatal(err)
		}
		before, rest, ok := strings.Cut(string(raw), d.from)
		have, after, ends := strings.Cut(rest, d.to)
		if !ok || !ends {
			t.Fatalf("%s has nothing from %q to %q", d.file, d.from, d.to)
		}
		if have == d.want {
			continue
		}
		if !*update {
			t.Errorf("%s isn't as the rows of %s have it: go test ./engine/orderfile -run Documented -update\n%s", d.file, rows, firstOther(have, d.want))
			continue
		}
		if err := os.WriteFile(d.file, []byte(before+d.from+d.want+d.to+after), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// firstOther gives the first line that two texts don't share.
func firstOther(have, want string) string {
	a, b := strings.Split(have, "\n"), strings.Split(want, "\n")
	for i := range max(len(a), len(b)) {
		if i >= len(a) || i >= len(b) || a[i] != b[i] {
			return "it has  " + strings.Join(a[min(i, len(a)):min(i+1, len(a))], "") + "\nit wants " + strings.Join(b[min(i, len(b)):min(i+1, len(b))], "")
		}
	}
	return ""
}

func conventionTable() string {
	lines := tableOf(conventions)
	lines = append(lines, row("`headings`", "", "", "what one heading goes by otherwise; see below"))
	return strings.Join(append(lines, row("`tolerances`", "", "", "of each entry by its name, or by station and name: a length for both sides, or `minus` and `plus`")), "\n")
}

func tableOf(rows []Convention) (lines []string) {
	for _, r := range rows {
		inch, metric := documentedDefault(r, measure.In), documentedDefault(r, measure.MM)
		if words := r.Words(); words != nil {
			inch, metric = "`"+words[0]+"`", ""
		}
		lines = append(lines, row("`"+r.Key+"`", inch, metric, documentedNote(r)))
	}
	return lines
}

func toleranceTable() string {
	var lines []string
	for _, r := range tolerances {
		both := func(t Tolerance, units measure.Unit) string {
			return lengthInWords(t.Minus, units) + ", " + lengthInWords(t.Plus, units)
		}
		lines = append(lines, row("`"+r.Key+"`", both(r.Inch, measure.In), both(r.Metric, measure.MM)))
	}
	return strings.Join(lines, "\n")
}

func row(cells ...string) string {
	line := "|"
	for _, cell := range cells {
		line += strings.TrimRight(" "+cell, " ") + " |"
	}
	return line
}

// documentedNote says which other words the convention may be, and what it is.
func documentedNote(r Convention) string {
	others := ""
	if words := r.Words(); words != nil {
		others = "or `" + strings.Join(words[1:], "`, `") + "`"
	}
	if others != "" && r.Note != "" {
		others += ": "
	}
	return others + r.Note
}

func documentedDefault(r Convention, units measure.Unit) string {
	c := DefaultConventions(units)
	k, ok := r.kind.(length)
	switch {
	case ok && r.Bought && units == measure.In:
		return lengthInWords(*k.of(&c), measure.Yd)
	case ok:
		return lengthInWords(*k.of(&c), units)
	case r.text(&c, units) == "":
		return "–"
	}
	return r.text(&c, units)
}

// lengthInWords writes a length as a page does: a fraction where a rule has its mark.
func lengthInWords(l measure.Length, units measure.Unit) string {
	m := l.Mixed(units, 16)
	switch {
	case l == 0:
		return "0"
	case units.Metric() || !m.Exact || m.Num == 0:
		return l.Number(units, 3) + " " + string(units)
	case m.Whole == 0:
		return fmt.Sprintf("%d/%d %s", m.Num, m.Den, units)
	}
	return fmt.Sprintf("%d %d/%d %s", m.Whole, m.Num, m.Den, units)
}

func conventionSchema() string {
	lines := []string{
		`      "description": "The shop's ways of working that this order overrides. Values that are known but not done yet are refused by the program.",`,
		`      "type": ["object", "null"],`, `      "additionalProperties": false,`, `      "properties": {`,
	}
	for _, r := range conventions {
		lines = append(lines, fmt.Sprintf(`        %q: {%s},`, r.Key, schemaOf(r)))
	}
	lines = append(lines, headingsSchema()...)
	lines = append(lines, `        "tolerances": {`, `          "type": ["object", "null"],`, `          "additionalProperties": false,`, `          "properties": {`)
	for _, r := range tolerances {
		lines = append(lines, fmt.Sprintf(`            %q: {"$ref": "#/$defs/tolerance"},`, r.Key))
	}
	last := len(lines) - 1
	lines[last] = strings.TrimSuffix(lines[last], ",")
	return strings.Join(append(lines, `          }`, `        }`, `      }`), "\n") + "\n"
}

// headingsSchema is what the schema says of what a shop sets for one heading.
func headingsSchema() []string {
	var tapes []string
	for _, d := range done {
		if d.Family == SetByTape {
			tapes = append(tapes, string(d.Heading))
		}
	}
	lines := []string{`        "headings": {`, `          "type": ["object", "null"],`,
		`          "propertyNames": {"pattern": "` + ownHeadingKey.String() + `", "not": {"enum": ["` + strings.Join(tapes, `", "`) + `"]}},`,
		`          "additionalProperties": {"$ref": "#/$defs/ownHeading"},`, `          "properties": {`}
	for _, d := range done {
		var fields []string
		for _, r := range headingRows {
			if r.Heading == d.Heading {
				fields = append(fields, fmt.Sprintf(`%q: {%s}`, r.Field, schemaOf(r)))
			}
		}
		if fields != nil {
			lines = append(lines, fmt.Sprintf(`            %q: {`, d.Heading), `              "type": ["object", "null"],`, `              "additionalProperties": false,`,
				`              "properties": {`, "                "+strings.Join(fields, ",\n                "), `              }`, `            },`)
		}
	}
	lines[len(lines)-1] = `            }`
	return append(lines, `          }`, `        },`)
}

// ownHeadingSchema is what the schema says of a heading that an order or a shop makes: all that one may have, whatever it is like.
func ownHeadingSchema() string {
	fields, seen := []string{}, map[string]bool{}
	for _, r := range headingRows {
		says := schemaOf(r)
		if r.Field == "ends" { // as many words as any has
			says = schemaOf(Convention{kind: oneOf[PointEnds](nil, HalfPitch, FixedEnd, InsetEnd, TabEnd)})
		}
		if r.Field == "parity" {
			says = schemaOf(Convention{kind: oneOf[Parity](nil, EvenCount, AnyCount)})
		}
		if !seen[r.Field] {
			fields = append(fields, fmt.Sprintf(`        %q: {%s}`, r.Field, says))
		}
		seen[r.Field] = true
	}
	var all []string
	for _, h := range AllHeadings() {
		all = append(all, string(h))
	}
	return strings.Join(append([]string{
		`      "description": "A heading of the shop's own: made as the one that it is like, with a name and figures of its own. An order may change some of one that its shop has made.",`,
		`      "type": ["object", "null"],`, `      "minProperties": 1,`, `      "additionalProperties": false,`, `      "properties": {`,
		`        "like": {"enum": [`, wrapped("          ", all), `        ]},`,
		fmt.Sprintf(`        "name": {"type": "string", "pattern": "\\S", "maxLength": %d},`, mostHeadingName),
	}, strings.Join(fields, ",\n"), `      }`), "\n") + "\n"
}

// headingTable has what is shipped of each heading's own.
func headingTable() string {
	var lines []string
	for i, d := range done {
		if d.Family != SetByHand {
			continue
		}
		spans := func(units measure.Unit) string {
			s := DefaultConventions(units).Headings[i].Spacing
			say := func(l measure.Length) string { return lengthInWords(l, units) }
			return fmt.Sprintf("%s to %s, %s; %s to %s", say(s.Space.Min), say(s.Space.Max), say(s.PreferredSpace), say(s.TakeUp.Min), say(s.TakeUp.Max))
		}
		usual := "–"
		if d.FullnessMax.Num > 0 {
			usual = d.FullnessMin.String() + " to " + d.FullnessMax.String()
		}
		lines = append(lines, row("`"+string(d.Heading)+"`", d.Fullness.String(), usual, spans(measure.In), spans(measure.MM)))
	}
	return strings.Join(lines, "\n")
}

// schemaOf is what the schema says of a convention.
func schemaOf(r Convention) string {
	says := ""
	switch k := r.kind.(type) {
	case chooser:
		says = `"enum": ["` + strings.Join(k.words(), `", "`) + `"]`
	case length:
		says = `"$ref": "#/$defs/length"`
		if k.positive {
			says = `"$ref": "#/$defs/lengthAbove0"`
		}
	case optionalLength:
		says = `"$ref": "#/$defs/length"`
	case fullness:
		says = `"$ref": "#/$defs/number"`
	case optionalCount:
		says = fmt.Sprintf(`"anyOf": [{"type": "integer", "minimum": %d, "maximum": %d}, {"type": "string", "pattern": "^[0-9]+$"}]`, k.least, k.most)
	case count:
		says = fmt.Sprintf(`"anyOf": [{"type": "integer", "minimum": %d, "maximum": %d}, {"type": "string", "pattern": "^[0-9]+$"}]`, k.least, k.most)
	case share:
		says = fmt.Sprintf(`"anyOf": [{"type": "number", "minimum": 0, "maximum": %d}, {"type": "string", "pattern": "^[0-9]+(\\.[0-9]{1,2})? ?%%?$"}]`, k.most)
	case number:
		says = `"$ref": "#/$defs/number"`
	default:
		panic(fmt.Sprintf("the schema knows no %T", r.kind))
	}
	if r.Note != "" {
		text, _ := json.Marshal(strings.ReplaceAll(documentedNote(r), "`", ""))
		says += `, "description": ` + string(text)
	}
	return says
}

// TestConventionRowsAreWhole: each row has its sources, and one that the first release hadn't says what was done before. What that
// release had stands in a file, and never changes.
func TestConventionRowsAreWhole(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/orderfile/first-release.json")
	if err != nil {
		t.Fatal(err)
	}
	var first map[measure.Unit]map[string]string
	if err := json.Unmarshal(raw, &first); err != nil {
		t.Fatal(err)
	}
	for units, had := range first {
		c := FirstReleaseConventions(units)
		for _, r := range conventions {
			then, known := had[r.Key]
			if now := r.text(&c, units); known && now != then {
				t.Errorf("%s was %q in the first release, orders of that time now go by %q: say so in its row (before)", r.Key, then, now)
			}
			if !known && r.before == nil && units == "in" {
				t.Errorf("%s is new: say in its row of conventionrows.go (before) what was done until now, mostly nothing: 0", r.Key)
			}
			if r.Sources.In(units) == "" {
				t.Errorf("the row of %s has no source for orders in %s", r.Key, units)
			}
		}
	}
	for _, r := range tolerances {
		if r.Sources.Inch == "" || r.Sources.Metric == "" {
			t.Errorf("the row of tolerance %s has no source", r.Key)
		}
	}
}

// TestConventionsAreBounded: of each row the most and the least are taken, what is beyond is refused by its code.
func TestConventionsAreBounded(t *testing.T) {
	const file = "{order: M, units: in, conventions: {%s: %s}, fabrics: [{id: f, use: face, usable_width: 54 in}], " +
		"treatments: [{window: W, heading: pinch-3, face: f, face_width: 96 in, finished_length: 90 in}]}"
	codeOf := func(r Convention, text string) string {
		_, problems := Parse(fmt.Appendf(nil, file, r.Key, text))
		for _, p := range problems {
			if p.Where == "conventions."+r.Key {
				return p.Code
			}
		}
		return ""
	}
	for _, r := range conventions {
		wants := map[string]string{"nonsense": "bad_value", "[1]": "bad_value"}
		lengthWants := func(l limits) {
			most := l.most
			if most == 0 {
				most = longest
			}
			wants["nonsense"] = "bad_length"
			wants[most.In(measure.MM)], wants[(most+mm).In(measure.MM)] = "", "absurd"
			wants["-1"], wants["0"] = "negative", map[bool]string{true: "bad_value"}[l.positive]
			if l.least > 0 {
				wants[l.least.In(measure.MM)], wants[(l.least-1).In(measure.MM)] = "", "absurd"
			}
		}
		switch k := r.kind.(type) {
		case chooser:
			for _, w := range k.words() {
				wants[w] = ""
			}
		case length:
			lengthWants(k.limits)
		case optionalLength:
			lengthWants(k.limits)
		case count:
			wants[fmt.Sprint(k.most)], wants[fmt.Sprint(k.most+1)], wants["-1"] = "", "absurd", "negative"
			if wants[fmt.Sprint(k.least)] = ""; k.least > 0 {
				wants[fmt.Sprint(k.least-1)] = "bad_value"
			}
		case share:
			wants["0"], wants[fmt.Sprintf("%d %%", k.most)], wants[fmt.Sprintf("%d.01", k.most)], wants["-1"] = "", "", "absurd", "negative"
		case number:
			wants["0"], wants[fmt.Sprint(k.most)], wants[fmt.Sprint(k.most+1)] = "bad_value", "", "absurd"
		}
		for text, want := range wants {
			if got := codeOf(r, text); got != want {
				t.Errorf("%s: %s gives %q, want %q", r.Key, text, got, want)
			}
		}
	}
}
