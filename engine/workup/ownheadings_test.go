package workup_test

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// underOwnNames is the order with each heading made anew under a key of its own, like it in all figures.
func underOwnNames(o *orderfile.Order) *orderfile.Order {
	own := *o
	own.Conventions.Own, own.Treatments = nil, nil
	for i, d := range orderfile.Headings() {
		own.Conventions.Own = append(own.Conventions.Own, orderfile.OwnHeading{
			Heading: "own-" + d.Heading, Like: d.Heading, Name: "Ours", Figures: o.Conventions.Headings[i],
		})
	}
	for _, t := range o.Treatments {
		t.Heading = "own-" + t.Heading
		own.Treatments = append(own.Treatments, t)
	}
	return &own
}

// TestOwnHeadingIsMadeAsWhatItIsLike: a heading that is like another in all but its name has every number, problem and step of a trail that
// the other has: no rule asks for a key.
func TestOwnHeadingIsMadeAsWhatItIsLike(t *testing.T) {
	written := func(o *orderfile.Order) string {
		text, err := json.Marshal(workup.Compute(o).Document(true, func(p engine.Problem) string { return p.MessageKey() }, func(key string) string { return key }))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	rapid.Check(t, func(t *rapid.T) {
		o := randomOrder(t)
		own := written(underOwnNames(o))
		if n := strings.Count(own, `"heading_name":"Ours"`); n != len(o.Treatments) {
			t.Fatalf("%d of %d windows have the heading's name", n, len(o.Treatments))
		}
		for _, d := range orderfile.Headings() {
			key := string(d.Heading)
			own = strings.ReplaceAll(own, `"heading":"own-`+key+`","heading_like":"`+key+`","heading_name":"Ours"`, `"heading":"`+key+`"`)
		}
		if as := written(o); own != as {
			t.Fatalf("under its own name\n%s\nas what it is like\n%s", own, as)
		}
	})
}
