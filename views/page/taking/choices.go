package taking

import (
	"slices"
	"strings"

	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// choices offers words. The first stands for none given; what the form has is always among them.
func (s sheetMaker) choices(list string, a ask, value string) []Option {
	var options []Option
	known := value == ""
	words := a.words
	if a.key == "station" {
		words = []string{""}
		for _, station := range s.told.Stations {
			words = append(words, string(station))
		}
	}
	for i, word := range words {
		o := Option{Value: word}
		switch {
		case a.key == "station" && word != "":
			o.Label = s.v.Say.Station(plan.Station(word))
		case word != "":
			o.Label = s.v.Say.T(wordKey(a.key, word))
		}
		switch {
		case word == "":
			o.Label = s.v.Say.T("taking.none." + a.key)
		case i == 0 && !a.need && value == "":
			o.Value = ""
		}
		known = known || word == value
		options = append(options, o)
	}
	if !known {
		options = append(options, Option{Value: value, Label: value})
	}
	return options
}

// wordKey is the catalogue's key of a choice: that of the floor's own words, or of the books', where they have them.
func wordKey(field, word string) string {
	for _, key := range []string{field + "." + word, "book." + field + "." + word} {
		if i18n.Has(key) {
			return key
		}
	}
	if own := "taking.choice." + field + "." + word; !slices.Contains(flags, word) || i18n.Has(own) {
		return own
	}
	return "taking.choice.flag." + word
}

func (s sheetMaker) headings(value string) []Option {
	var options []Option
	known := value == ""
	if known {
		options = append(options, Option{Label: s.v.Say.T("taking.choose")})
	}
	for _, h := range s.told.Headings {
		options = append(options, Option{string(h.Heading), s.v.Say.Heading(string(h.Heading), h.Name), traitsOf(h)})
		known = known || string(h.Heading) == value
	}
	if !known {
		options = append(options, Option{Value: value, Label: value})
	}
	return options
}

// traitsOf are the rules by which the form asks what a heading takes.
func traitsOf(d orderfile.HeadingData) string {
	var traits []string
	for _, trait := range []struct {
		name string
		has  bool
	}{
		{"tape", d.Tape != ""}, {"cord", d.Tape != "" && d.Tape != orderfile.WaveKind}, {"hand", d.Family == orderfile.SetByHand},
		{"full", d.Fullness.Num > 0}, {"pleats", d.Family != orderfile.Continuous}, {"filled", len(d.Fillings) > 1},
		{"rod", d.Pole != "" || d.Holds == orderfile.OnCarriers}, {"points", d.Holds == orderfile.OnPoints},
		{"eyelet", d.Pole == orderfile.InEyelets}, {"tab", d.Pole == orderfile.ByTabs}, {"pocket", d.Pole == orderfile.InPocket},
		{"fold", d.Top == orderfile.DoubleTop || d.Top == orderfile.SingleTop}, {"hooks", d.Pole != orderfile.InPocket}, // of tabs and eyelets at a return
	} {
		if trait.has {
			traits = append(traits, trait.name)
		}
	}
	return strings.Join(traits, " ")
}

// references offers the fabrics or tapes that the form has.
func (s sheetMaker) references(a ask, value string) []Option {
	options := []Option{{Label: s.v.Say.T("taking.none." + a.key)}}
	known := value == ""
	for _, f := range s.order.Lists[a.list] {
		id := f.Text["id"]
		if id == "" || a.use != "" && f.Text["use"] != a.use {
			continue
		}
		options = append(options, Option{Value: id, Label: id})
		known = known || id == value
	}
	if !known {
		options = append(options, Option{Value: value, Label: value})
	}
	return options
}
