package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// TestShippedMeasuring: of a pair only the first panel is measured for what the hand sets up once; everything else is always
// asked.
func TestShippedMeasuring(t *testing.T) {
	var got []string
	for _, a := range Layout(nil).With(nil) {
		got = append(got, fmt.Sprintf("%s %s %s %s", a.Route, a.Station, a.Name, a.When))
	}
	want := []string{
		"cartridge-tape fold fold_depth first_of_pair", "cartridge-tape tape drop first_of_pair", "cartridge-tape tape dots first_of_pair",
		"cartridge-tape pull_up pleats first_of_pair", "cartridge-tape inserts inserts first_of_pair",
		"pinch-tape fold fold_depth first_of_pair", "pinch-tape tape drop first_of_pair", "pinch-tape tape dots first_of_pair",
		"pinch-tape pull_up pleats first_of_pair",
		"pinch heading fold_depth first_of_pair", "pinch pleating pleats first_of_pair", "pinch tacking pleats first_of_pair",
		"cartridge-hand heading fold_depth first_of_pair", "cartridge-hand pleating pleats first_of_pair", "cartridge-hand inserts inserts first_of_pair",
		"goblet heading fold_depth first_of_pair", "goblet pleating pleats first_of_pair", "goblet tacking pleats first_of_pair", "goblet inserts inserts first_of_pair",
		"box heading fold_depth first_of_pair", "box pleating pleats never", "box tacking pleats first_of_pair",
		"pencil-tape fold fold_depth first_of_pair", "pencil-tape tape drop first_of_pair", "rod-pocket rod_pocket stand first_of_pair",
		"eyelet heading fold_depth first_of_pair", "eyelet eyelets eyelets first_of_pair", "eyelet eyelets eyelet_drop first_of_pair",
		"tab tabs tabs first_of_pair", "tab tabs tab_loop first_of_pair", "ring heading fold_depth first_of_pair", "ring packing rings first_of_pair",
		"wave-tape fold fold_depth first_of_pair", "wave-tape tape drop first_of_pair", "wave-tape tape hooks first_of_pair",
	}
	if !slices.Equal(got, want) {
		t.Errorf("shipped\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestAskings: each entry and check of each route stands there once, a shop's own choice beside what is shipped.
func TestAskings(t *testing.T) {
	rows := Layout(nil).Askings(Layout(nil).With([]Asking{{"pinch", Heading, "fold_depth", Never}, {"pinch", Joining, "flat_width", FirstOfOrder}}))
	seen := map[string]bool{}
	for _, r := range rows {
		key := r.Route + " " + string(r.Station) + " " + r.Name
		if seen[key] {
			t.Errorf("%s stands there twice", key)
		}
		seen[key] = true
		want := r.Shipped
		switch key {
		case "pinch heading fold_depth":
			want = Never
		case "pinch joining flat_width":
			want = FirstOfOrder
		}
		if r.When != want || !slices.Contains(r.Choices, r.When) || r.Safety != (len(r.Choices) == 1) {
			t.Errorf("%+v, want %s", r, want)
		}
	}
	for _, s := range Stations() {
		list := ChecklistOf(s)
		for _, name := range append(list.Entries, list.Checks...) {
			if !slices.ContainsFunc(rows, func(r AskingRow) bool { return r.Station == s && r.Name == name }) {
				t.Errorf("%s of %s can't be set", name, s)
			}
		}
	}
}

// TestWhatCannotBeSet: everything that is wrong is told at once, each with its row.
func TestWhatCannotBeSet(t *testing.T) {
	problems := Layout(nil).CheckAsked([]Asking{
		{"cartridge-tape", PullUp, "cord_end", Never},
		{"cartridge-tape", PullUp, "end_made_safe", FirstOfPair},
		{"cartridge-tape", Packing, "cord_end_pulled", FirstOfOrder},
		{"pinch", Packing, "needles_out", Never},
		{"pinch", Packing, "needles_out", Always},
		{"pinch", Tape, "drop", Always},
		{"cartridge-tape", Tape, "drop", "sometimes"},
		{"cutting", Cutting, "usable_width", FirstOfPair},
		{"cartridge-tape", Tape, "dots", Never},
	})
	var got []string
	for _, p := range problems {
		got = append(got, p.Where+" "+p.Code)
	}
	want := []string{"rows[0].when always_asked", "rows[1].when always_asked", "rows[2].when always_asked", "rows[3].when always_asked",
		"rows[4].name duplicate", "rows[5].name bad_value", "rows[6].when bad_value", "rows[7].when bad_value"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestRoutesCannotAsk: rows of the routes that a shop couldn't set either are refused.
func TestRoutesCannotAsk(t *testing.T) {
	whole := string(routesFile)
	for name, c := range map[string]struct{ old, new, want string }{
		"an occasion":    {"target: top_drop, asked: first_of_pair", "target: top_drop, asked: now and then", `entry "drop" can't be asked "now and then"`},
		"a check's":      {"{name: hooks_in, when: hooked, act: packed}", "{name: hooks_in, when: hooked, act: packed, asked: monthly}", `check "hooks_in" can't be asked "monthly"`},
		"safety":         {"act: needles_out, safety: true", "act: needles_out, safety: true, asked: never", `check "needles_out" can't be asked "never"`},
		"a choice of it": {"kind: choice, target: cord_end", "kind: choice, asked: first_of_pair, target: cord_end", `entry "cord_end" can't be asked "first_of_pair"`},
		"one name":       {"{name: every_pleat_filled, when: filled, act: filled}", "{name: inserts, act: filled}", `an entry and a check are both called "inserts"`},
	} {
		if !strings.Contains(whole, c.old) {
			t.Fatalf("%s: the routes have no %s", name, c.old)
		}
		_, err := readRoutes([]byte(strings.Replace(whole, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}
