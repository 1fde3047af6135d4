package workup

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

var update = flag.Bool("update", false, "write what is made from the rows of the numbers")

// TestNumberRowsAreWhole: each row has what all that goes by it asks for.
func TestNumberRowsAreWhole(t *testing.T) {
	groups, seen := map[Group]bool{}, map[string]bool{}
	for _, g := range Groups() {
		groups[g] = true
	}
	for _, n := range Numbers() {
		lacks := func(format string, args ...any) {
			t.Helper()
			t.Errorf("the row of %s (engine/workup/numbers.go) %s", n.Key, fmt.Sprintf(format, args...))
		}
		if !regexp.MustCompile(`^[a-z]+(_[a-z]+)*$`).MatchString(n.Key) || seen[n.Key] {
			lacks("needs a key of its own, small letters and _")
		}
		seen[n.Key] = true
		switch {
		case n.of == nil || n.form.append == nil:
			lacks("doesn't say what it is on a panel: worth, as length(…)")
		case n.Explained() && !groups[n.Group]:
			lacks("stands in no group of the window's page: Group")
		case !n.Explained() && n.Group != "":
			lacks("stands on the window's page and isn't explained: how, by(formula, source, inputs…)")
		case !n.Explained() && n.Note != "":
			lacks("has a note for the schema, and isn't in the JSON without how")
		}
		for _, in := range n.how.always.inputs {
			if !Known(in) {
				lacks("is worked out from %s, which is neither a number nor one of the givens (engine/workup/trail.go)", in)
			}
		}
	}
	for _, g := range givens {
		if n := NumberOf(g.name); n != nil && n.Explained() {
			t.Errorf("%s is a given and a number that is worked out: a step couldn't say which it means", g.name)
		}
	}
}

// TestNumbersAreDocumented holds the panel of workup.schema.json to the rows. With -update it is written anew.
func TestNumbersAreDocumented(t *testing.T) {
	const file = "workup.schema.json"
	const from = "      \"description\": \"Positions run along the flat panel from the return edge.\",\n      \"type\": \"object\",\n      \"additionalProperties\": false,\n"
	const to = "    },\n    \"totals\": {"
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(raw), from)
	have, after, ends := strings.Cut(rest, to)
	if !ok || !ends {
		t.Fatalf("%s has nothing from %q to %q", file, from, to)
	}
	want := panelSchema()
	switch {
	case have == want:
	case *update:
		if err := os.WriteFile(file, []byte(before+from+want+to+after), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Errorf("%s isn't as the rows of the numbers (engine/workup/numbers.go) have it: go test ./engine/workup -run Documented -update", file)
	}
}

// leastOf are panels of each family that have as little as one of it can.
var leastOf = []struct {
	family orderfile.Family
	note   string
	panels []Panel
}{
	{orderfile.SetByTape, "Of a tape that sets its own pleats.", []Panel{{TapeID: "t", Cords: 1, TapePitch: 1}, {TapeID: "t", Cords: 1, TapePitch: 1, CornerEnds: true}}},
	{orderfile.SetByHand, "Of pleats set by hand.", []Panel{{BuckramLength: 1, FullnessAsked: measure.Ratio{Num: 2, Den: 1}}}},
	{orderfile.Continuous, "Of a heading without pleats.", []Panel{{Holds: orderfile.Gathered}}},
}

func panelSchema() string {
	always, ofFamily := []string{"panel"}, make([][]string, len(leastOf))
	properties := []string{`"panel": {"description": "L and R as seen from the room, S a single.", "enum": ["L", "R", "S"]}`}
	for _, n := range Numbers() {
		if !n.Explained() {
			continue
		}
		says := n.form.schema
		if n.Note != "" {
			says = fmt.Sprintf(`"description": %q, %s`, n.Note, says)
		}
		properties = append(properties, fmt.Sprintf(`%q: {%s}`, n.Key, says))
		if n.Family == "" && n.only == nil {
			always = append(always, n.Key)
			continue
		}
		for i, least := range leastOf {
			has := true
			for _, p := range least.panels {
				p.Family, p.HookPlaces = least.family, []measure.Length{1}
				has = has && n.has(&p) && (n.Key != "hooks" && n.Key != "hook_places" && n.Key != "hook_drop" || p.Pleated())
			}
			if has {
				ofFamily[i] = append(ofFamily[i], n.Key)
			}
		}
	}
	var ways []string
	for i, least := range leastOf {
		ways = append(ways, one(least.note, ofFamily[i]))
	}
	properties = append(properties, `"trail": {"$ref": "#/$defs/trail"}`)
	return "      \"required\": " + listed("      ", always) + ",\n      \"oneOf\": [\n" +
		strings.Join(ways, ",\n") +
		"\n      ],\n      \"properties\": {\n        " + strings.Join(properties, ",\n        ") + "\n      }\n"
}

// one is what panels of one family have to have.
func one(note string, keys []string) string {
	return "        {\n          \"description\": \"" + note + "\",\n          \"required\": " + listed("          ", keys) + "\n        }"
}

// listed is a list of keys on one line, or on several where it is too long for one.
func listed(indent string, keys []string) string {
	const most = 138
	lines, line := []string{}, indent+" "
	for i, key := range keys {
		item := ` "` + key + `"`
		if i < len(keys)-1 {
			item += ","
		}
		if len(line)+len(item) > most {
			lines, line = append(lines, line), indent+" "
		}
		line += item
	}
	if len(lines) == 0 {
		return "[" + strings.TrimSpace(line) + "]"
	}
	return "[\n" + strings.Join(append(lines, line), "\n") + "\n" + indent + "]"
}
