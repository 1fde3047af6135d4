package books

import (
	"slices"

	"tablehand/engine/measure"
)

// misfit is what is wrong with a field beside others.
type misfit struct {
	key   string
	fault *fault
}

// ofKind tells of fields that the kind of the entry hasn't.
func (d *Data) ofKind(fields Fields) (list []misfit) {
	kind := fields["kind"]
	for _, f := range d.Fields {
		if fields[f.Key] != "" && kind != "" && f.Of != nil && !slices.Contains(f.Of, kind) {
			list = append(list, misfit{f.Key, wrong("bad_value", "of_kind", "Known", f.Of, "Kind", kind)})
		}
	}
	return list
}

// clothFits, tapeFits and rodFits tell what an order file would refuse of such a cloth, tape and rod.
func clothFits(fields Fields) (list []misfit) {
	usable, match := lengthOf(fields["usable_width"]), lengthOf(fields["match_width"])
	switch {
	case usable > 0 && match > usable:
		list = append(list, misfit{"match_width", wrong("bad_value", "match_wide", "Usable", usable)})
	case usable > 0 && match > 0 && 2*match <= usable:
		list = append(list, misfit{"match_width", wrong("absurd", "match_narrow", "Usable", usable)})
	}
	if fields["match"] == "half_drop" && lengthOf(fields["vertical_repeat"]) == 0 {
		list = append(list, misfit{"match", wrong("bad_value", "half_drop")})
	}
	if fields["pile"] != "" && fields["one_way"] == "false" {
		list = append(list, misfit{"one_way", wrong("bad_value", "pile")})
	}
	repeat := lengthOf(fields["horizontal_repeat"])
	switch {
	case usable > 0 && repeat > usable:
		list = append(list, misfit{"horizontal_repeat", wrong("bad_value", "repeat_wide", "Usable", usable)})
	case repeat > 0 && match%repeat != 0:
		list = append(list, misfit{"match_width", wrong("bad_value", "match_repeat", "Repeat", repeat)})
	}
	for _, key := range []string{"sheer", "railroads"} {
		if use := fields["use"]; fields[key] == "true" && use != "" && use != "face" {
			list = append(list, misfit{key, wrong("bad_value", "of_face", "Use", use)})
		}
	}
	return list
}

func tapeFits(fields Fields) (list []misfit) {
	period, space := lengthOf(fields["period"]), lengthOf(fields["space"])
	if period > 0 && space > 0 {
		if period <= space {
			list = append(list, misfit{"period", wrong("bad_value", "period", "Space", space)})
		} else if lengthOf(fields["pleat_base"]) >= period-space {
			list = append(list, misfit{"pleat_base", wrong("bad_value", "pleat_base", "TakeUp", period-space)})
		}
	}
	if ten := lengthOf(fields["over_ten"]); ten > 0 && period > 0 && (ten-10*period).Abs() > period { // further off is a slip; our own choice
		list = append(list, misfit{"over_ten", wrong("bad_value", "over_ten", "Ten", 10*period)})
	}
	least, nominal, most := fields["end_margin.min"], fields["end_margin.nominal"], fields["end_margin.max"]
	if least != "" && nominal != "" && lengthOf(least) > lengthOf(nominal) || nominal != "" && most != "" && lengthOf(nominal) > lengthOf(most) {
		list = append(list, misfit{"end_margin.nominal", wrong("bad_value", "end_margin", "Min", lengthOf(least), "Nominal", lengthOf(nominal), "Max", lengthOf(most))})
	}
	return list
}

func rodFits(fields Fields) (list []misfit) {
	around, across := lengthOf(fields["circumference"]), lengthOf(fields["diameter"])
	const pi = 3_141_592_654 // billionths
	if round := across.MulDiv(pi, 1_000_000_000); around > 0 && across > 0 && (round-around).Abs() > measure.Inch/8 {
		list = append(list, misfit{"circumference", wrong("bad_value", "circumference", "Round", round)})
	}
	return list
}
