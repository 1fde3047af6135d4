package orderfile

import (
	"fmt"

	"strings"
	"testing"

	"tablehand/engine/measure"
)

// TestHeadingRowsAreWhole: a row has its family and route, and where pleats are set by hand every figure with its source, in ranges
// that hold together. No trail has to borrow another heading's.
func TestHeadingRowsAreWhole(t *testing.T) {
	for _, d := range done {
		lacks := func(format string, args ...any) {
			t.Helper()
			t.Errorf("the row of %s (engine/orderfile/headings.go) %s", d.Heading, fmt.Sprintf(format, args...))
		}
		if d.Family != SetByTape && d.Family != SetByHand && d.Family != Continuous {
			lacks("has no family: %q", d.Family)
		}
		if d.Route == "" {
			lacks("has no route: name one of stations/plan/routes.yaml")
		}
		if d.Family == Continuous {
			d.continuousLacks(lacks)
			continue
		}
		if d.Seams != HiddenInFold && d.Seams != HiddenAtBack {
			lacks("doesn't say where its pleats hide a seam: Seams")
		}
		if d.Body == "" || d.Family == SetByHand && (d.Body == Pinched) != (d.Fingers > 0) {
			lacks("doesn't say what becomes of its pleats: Body, and Fingers of pinched ones")
		}
		if (d.Family == SetByTape) != (d.Tape != "") {
			lacks("doesn't say which kind of tape it takes, or names one that it doesn't: Tape")
		}
		if len(d.Fillings) > 0 && d.Body != Tube {
			lacks("fills pleats that are no tubes")
		}
		if d.Top != DoubleTop {
			lacks("is turned %d times at the top: the words of plain_length.hems and of the stations say two", d.Top.Turns())
		}
		if d.Family == SetByTape {
			continue
		}
		for figure, source := range map[string]string{"Fullness": d.Sources.Fullness, "Count": d.Sources.Count, "TakeUp": d.Sources.TakeUp,
			"Space": d.Sources.Space, "Lead": d.Sources.Lead} {
			if source == "" {
				lacks("has no source for %s: a key of the catalogue under source, FromPractice where there is none", figure)
			}
		}
		if d.FullnessMax.Num > 0 && (d.FullnessMin.Cmp(measure.Ratio{Num: 1, Den: 1}) < 0 || d.Fullness.Cmp(d.FullnessMin) < 0 || d.Fullness.Cmp(d.FullnessMax) > 0) {
			lacks("has a fullness of %s outside %s to %s", d.Fullness, d.FullnessMin, d.FullnessMax)
		}
		for _, units := range []measure.Unit{measure.In, measure.CM} {
			row := d.In(units)
			if row.Space.Min <= 0 || row.PreferredSpace < row.Space.Min || row.PreferredSpace > row.Space.Max {
				lacks("has a preferred space outside its range, in %s", units)
			}
			if row.TakeUp.Min <= 0 || row.TakeUp.Max < row.TakeUp.Min {
				lacks("has no range of take-ups, in %s", units)
			}
		}
	}
}

// TestHeadingsAreDocumented holds the headings of the schemas, and the usual fullness of those set by hand in server/interface.md, to
// the rows. With -update they are written anew.
func TestHeadingsAreDocumented(t *testing.T) {
	var all, priced, full []string
	for _, h := range AllHeadings() {
		all = append(all, string(h))
	}
	for _, d := range done {
		priced = append(priced, string(d.Heading))
		if d.Family == SetByHand {
			full = append(full, fmt.Sprintf("`%s` %s", d.Heading, d.Fullness))
		}
	}
	const onOneLine = "\"heading\": {\"anyOf\": [{\"pattern\": \"^[a-z][a-z0-9-]{0,31}$\"}, {\"enum\": ["
	documentedAs(t, "the headings", []section{
		{"order.schema.json", "        \"heading\": {\n          \"anyOf\": [{\"pattern\": \"^[a-z][a-z0-9-]{0,31}$\"}, {\"enum\": [\n", "\n          ]}]\n", wrapped("            ", all)},
		{"../workup/workup.schema.json", onOneLine, "]}", `"` + strings.Join(all, `", "`) + `"`},
		{"../billing/prices.schema.json", onOneLine, "]}", `"` + strings.Join(priced, `", "`) + `"`},
		{"../../server/interface.md", "| `fullness` | the heading's | of headings that no tape sets; ", " |\n", strings.Join(full, ", ")},
	})
}

// wrapped is a list of keys over as many lines as it needs.
func wrapped(indent string, keys []string) string {
	const most = 132
	var lines []string
	line := indent
	for i, key := range keys {
		item := `"` + key + `"`
		if i < len(keys)-1 {
			item += ","
		}
		switch {
		case line == indent:
			line += item
		case len(line)+1+len(item) > most:
			lines, line = append(lines, line), indent+item
		default:
			line += " " + item
		}
	}
	return strings.Join(append(lines, line), "\n")
}

// continuousLacks says what a heading without pleats has not.
func (d *HeadingData) continuousLacks(lacks func(string, ...any)) {
	if d.Holds != Gathered && d.Holds != OnPoints && d.Holds != OnCarriers {
		lacks("doesn't say what holds it: Holds")
	}
	if d.Body != "" || d.Seams != "" || d.PerWidth || len(d.Fillings) > 0 {
		lacks("has pleats")
	}
	if d.Top == "" || d.FullnessMin.Num == 0 || d.FullnessMax.Cmp(d.FullnessMin) <= 0 {
		lacks("doesn't say what is cut for its top, or from what fullness to what: Top, FullnessMin, FullnessMax")
	}
	if d.Sources.Fullness == "" || d.Holds != Gathered && (d.Sources.Count == "" || d.Sources.Pitch == "") {
		lacks("has no source for its fullness, for its points or for their pitch")
	}
	if d.Holds == OnCarriers { // its tape and its track settle both
		return
	}
	if d.Fullness.Cmp(d.FullnessMin) < 0 || d.Fullness.Cmp(d.FullnessMax) > 0 {
		lacks("has a fullness of %s outside %s to %s", d.Fullness, d.FullnessMin, d.FullnessMax)
	}
	for _, units := range []measure.Unit{measure.In, measure.CM} {
		p := d.In(units).Pitching
		if d.Holds == OnPoints && (p.Pitch.Min <= 0 || p.PreferredPitch < p.Pitch.Min || p.PreferredPitch > p.Pitch.Max || p.Ends == "" || p.Parity == "") {
			lacks("has a preferred pitch outside its range, or no ends or parity, in %s", units)
		}
	}
}
