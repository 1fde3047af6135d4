package stations

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/stations/plan"
)

func TestCardsAreReadAsTheyAreWritten(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range slices.Concat(Cards(), Presses()) {
		said := c.String()
		for _, typed := range []string{said, strings.ToLower(said), strings.ReplaceAll(said, " ", ""), strings.ReplaceAll(said, " ", "-"), "  " + said + " "} {
			if got, ok := ParseCard(typed); !ok || got != c {
				t.Errorf("%q is read as %v, %v, want %v", typed, got, ok, c)
			}
		}
		if seen[letters(said)] {
			t.Errorf("two cards say %q", said)
		}
		seen[letters(said)] = true
		// ISO/IEC 18004, 7.3.4: the letters of the alphanumeric mode, which keeps the symbol small.
		if bad := strings.Trim(said, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"); bad != "" {
			t.Errorf("%q has %q, which is not alphanumeric", said, bad)
		}
		if len(letters(said)) == len(plan.NewCode(0)) {
			t.Errorf("%q is as long as a ticket's code", said)
		}
		var refused *Refusal
		if _, err := ParseCode(said); !errors.As(err, &refused) || refused.Code != "bad_code" {
			t.Errorf("%q is read as a ticket's code: %v", said, err)
		}
		if (c.Action == Hold) != (c.Reason != "") {
			t.Errorf("%q: a hold has a reason, and nothing else", said)
		}
		if (c.Action == "") != (c.Press != "") {
			t.Errorf("%q is a command or a key of the page, not both", said)
		}
	}
}

func TestNoCodeIsACard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		code := plan.NewCode(rapid.Uint64().Draw(t, "number"))
		for _, text := range []string{string(code), "HTTP://192.168.1.20:8080/T/" + string(code)} {
			if c, ok := ParseCard(text); ok {
				t.Fatalf("%s is read as the card %s", text, c)
			}
		}
	})
	for _, text := range []string{"", "DO", "DO HOLD", "HOLD CLOTH", "DO HOLD CLOTH CLOTH", "DO ACCEPT", "DO SPOIL"} {
		if c, ok := ParseCard(text); ok {
			t.Errorf("%q is read as the card %s", text, c)
		}
	}
}

// A text that is no code is refused with what is wrong with it, a code is read however it was typed.
func TestParseCode(t *testing.T) {
	code := plan.NewCode(7)
	if got, err := ParseCode(" " + strings.ToLower(string(code[:4])) + "-" + string(code[4:])); got != code || err != nil {
		t.Errorf("%q, %v", got, err)
	}
	_, err := ParseCode("7K3M")
	var r *Refusal
	if !errors.As(err, &r) || r.Code != "bad_code" || r.Field != "ticket" || r.Args["Text"] != "7K3M" || r.Args["Reason"] != "length" {
		t.Errorf("%+v", err)
	}
}
