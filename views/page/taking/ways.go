package taking

import (
	"net/url"
	"slices"

	"tablehand/engine/billing"
	"tablehand/engine/workup"
	"tablehand/views"
)

// Ways are those to make one window, beside each other.
type Ways struct {
	Window string // its group's name in the form
	Each   []Way  // the one that is asked first
}

// Way is one of them.
type Way struct {
	Changes []Change // none of the one that is asked
	Why     string
	Drawing views.Drawing
	Numbers []views.NumberRow
	Cloth   []views.ClothRow
	Price   *billing.Money
}

// Change is a field of the window's form that a way sets, with what it shows then.
type Change struct{ Key, Label, Value, Shown string }

// Query is what the button that takes the way sends.
func (w Way) Query() string {
	set := url.Values{}
	for _, c := range w.Changes {
		set.Set(c.Key, c.Value)
	}
	return set.Encode()
}

// wayNumbers are those by which ways are told apart.
var wayNumbers = []string{"fullness", "pleats", "space", "widths"}

// WayOf shows a way to make a window by its numbers, and the fields that it sets.
func WayOf(v *views.Views, t workup.Treatment, set map[string]string) Way {
	w := Way{}
	for _, row := range views.NumbersOf(t) {
		if slices.Contains(wayNumbers, row.Name) {
			w.Numbers = append(w.Numbers, row)
		}
	}
	for _, a := range asked["treatments"] {
		value, ok := set[a.key]
		if !ok {
			continue
		}
		c := Change{Key: a.key, Label: v.Say.T("taking.field.treatments." + a.key), Value: value, Shown: v.Say.Decimal(value)}
		switch {
		case a.key == "heading":
			c.Shown = v.Say.Heading(value, t.HeadingName)
		case a.kind == "choice":
			c.Shown = v.Say.T(wordKey(a.key, value))
		}
		w.Changes = append(w.Changes, c)
	}
	return w
}
