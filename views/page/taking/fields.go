package taking

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/orderfile"
	"tablehand/views/i18n"
)

// ask is a row of the table of what the form asks.
type ask struct {
	key   string // in the order file
	kind  string
	size  string
	words []string // of a choice; the first is what is taken where none is given, "" where other things decide it
	list  string   // of a choice among the form's own fabrics or tapes
	use   string
	when  string
	need  bool
	more  bool // asked seldom: folded away
	pass  bool // mostly right as it stands, so that Enter goes past it
}

// flags are the words of what is so or isn't.
var flags = []string{"false", "true"}

// asked is what the form asks, in the order in which it is typed. when names the script's rules: those of traitsOf by the heading,
// "pleated", "corded", "pinch", "pencil" and "wave" by the tape's kind, "track" by the rod's, "face" and "own" by the width that the draw goes by, "straight", "floor" and of headings on a rod "below" by how the
// length is given, "pattern" and "motifs" where the cloth has a repeat along or across, "front" of a face, "mirrored" of such motifs, "sized", "cushion" and "valance" by the kind of piece.
var asked = map[string][]ask{
	"order": {
		{key: "order", kind: "text", need: true},
		{key: "customer", kind: "text", size: "wide"},
		{key: "sidemark", kind: "text", size: "wide"},
		{key: "due", kind: "date"},
		{key: "units", kind: "choice", words: []string{"in", "cm", "mm"}, size: "short", need: true, pass: true},
		{key: "print_sidemark", kind: "choice", words: flags, more: true},
		{key: "notes", kind: "notes", size: "wide", more: true},
	},
	"fabrics": {
		{key: "id", kind: "text", need: true},
		{key: "use", kind: "choice", words: []string{"face", "lining", "interlining"}, need: true, pass: true},
		{key: "usable_width", kind: "length", need: true},
		{key: "vertical_repeat", kind: "length"},
		{key: "match", kind: "choice", words: []string{"straight", "half_drop"}, when: "pattern"},
		{key: "match_width", kind: "length", more: true},
		{key: "horizontal_repeat", kind: "length", more: true},
		{key: "motif_offset", kind: "length", when: "motifs", more: true},
		{key: "bolt_length", kind: "length", more: true},
		{key: "one_way", kind: "choice", words: flags, more: true},
		{key: "pile", kind: "choice", words: []string{"", "up", "down"}, more: true},
		{key: "sheer", kind: "choice", words: flags, when: "front", more: true},
		{key: "railroads", kind: "choice", words: flags, when: "front", more: true},
		{key: "shrink", kind: "number", size: "short", more: true},
		{key: "shrink_width", kind: "number", size: "short", more: true},
		{key: "relax", kind: "number", size: "short", more: true},
		{key: "mass", kind: "number", size: "short", more: true},
		{key: "thickness", kind: "length", more: true},
	},
	"bolts": {
		{key: "id", kind: "text", need: true},
		{key: "length", kind: "length", need: true},
		{key: "lot", kind: "text", size: "short"},
		{key: "from", kind: "length"},
		{key: "first_repeat", kind: "length"},
	},
	"flaws": {
		{key: "from", kind: "length", need: true},
		{key: "to", kind: "length", need: true},
	},
	"tapes": {
		{key: "id", kind: "text", need: true},
		{key: "kind", kind: "choice", words: []string{"cartridge", "pinch", "pencil", "wave"}, size: "wide", pass: true},
		{key: "period", kind: "length", need: true, when: "pleated"},
		{key: "space", kind: "length", need: true, when: "pleated"},
		{key: "height", kind: "length", need: true},
		{key: "cords", kind: "count", size: "short", need: true, when: "corded"},
		{key: "pocket_pitch", kind: "length", need: true, when: "wave"},
		{key: "pockets", kind: "count", size: "short", need: true, when: "wave"},
		{key: "tightest", kind: "number", size: "short", when: "pencil", more: true},
		{key: "ends", kind: "choice", words: []string{"mid_space", "flat"}, when: "pinch", more: true},
		{key: "fingers", kind: "count", size: "short", when: "pinch", more: true},
		{key: "top_drop", kind: "length", more: true},
		{key: "end_margin.nominal", kind: "length", when: "pleated", more: true},
		{key: "end_margin.min", kind: "length", when: "pleated", more: true},
		{key: "end_margin.max", kind: "length", when: "pleated", more: true},
		{key: "trim_beyond", kind: "length", more: true},
		{key: "insert_length", kind: "length", when: "pleated", more: true},
		{key: "pleat_base", kind: "length", when: "pleated", more: true},
		{key: "heading_fold", kind: "length", more: true},
		{key: "ease_per_pleat", kind: "length", when: "pleated", more: true},
	},
	"rods": {
		{key: "id", kind: "text", need: true},
		{key: "kind", kind: "choice", words: []string{"pole", "track", "flat"}, pass: true},
		{key: "diameter", kind: "length", when: "pole"},
		{key: "circumference", kind: "length", when: "flat"},
		{key: "carrier_pitch", kind: "length", when: "track"},
		{key: "projection", kind: "length", more: true},
		{key: "ring_inner", kind: "length", when: "pole", more: true},
		{key: "ring_drop", kind: "length", when: "pole", more: true},
		{key: "span", kind: "length", more: true},
		{key: "supports", kind: "count", size: "short", more: true},
		{key: "limit", kind: "text", size: "short", more: true},
	},
	"treatments": {
		{key: "window", kind: "text", size: "wide", need: true},
		{key: "room", kind: "text", size: "short"},
		{key: "quantity", kind: "count", size: "short"},
		{key: "draw", kind: "choice", words: []string{"pair", "one_way_left", "one_way_right", "stationary_pair", "stationary"}, size: "wide"},
		{key: "face_width", kind: "length", need: true, when: "face"},
		{key: "finished_width", kind: "length", when: "own"},
		{key: LengthBy, kind: "choice", words: []string{"finished_length", "hang"}, need: true},
		{key: "finished_length", kind: "length", need: true, when: "straight"},
		{key: "hang.bearing_to_floor", kind: "length", when: "floor"},
		{key: "hang.heading_above_bearing", kind: "length", when: "floor"},
		{key: "hang.heading_below_bearing", kind: "length", when: "below"},
		{key: "hang.clearance", kind: "length", when: "floor"},
		{key: "heading", kind: "choice", size: "wide", need: true},
		{key: "tape", kind: "choice", list: "tapes", when: "tape"},
		{key: "rod", kind: "choice", list: "rods", when: "rod"},
		{key: "fullness", kind: "number", size: "short", when: "full"},
		{key: "face", kind: "choice", list: "fabrics", use: "face", need: true},
		{key: "lining", kind: "choice", list: "fabrics", use: "lining"},
		{key: "return", kind: "length", size: "short"},
		{key: "overlap", kind: "length", size: "short"},
		{key: "interlining", kind: "choice", list: "fabrics", use: "interlining", more: true},
		{key: "widths", kind: "number", size: "short", more: true},
		{key: "surplus", kind: "choice", words: []string{"", "trim", "keep"}, more: true},
		{key: "pleats", kind: "count", size: "short", when: "pleats", more: true},
		{key: "points.count", kind: "count", size: "short", when: "points", more: true},
		{key: "points.end", kind: "length", when: "points", more: true},
		{key: "eyelet.inner", kind: "length", when: "eyelet", more: true},
		{key: "eyelet.outer", kind: "length", when: "eyelet", more: true},
		{key: "eyelet.drop", kind: "length", when: "eyelet", more: true},
		{key: "tab.width", kind: "length", when: "tab", more: true},
		{key: "tab.gap", kind: "length", when: "tab", more: true},
		{key: "tab.loop", kind: "length", when: "tab", more: true},
		{key: "tab.facing", kind: "length", when: "tab", more: true},
		{key: "pocket.depth", kind: "length", when: "pocket", more: true},
		{key: "pocket.stand", kind: "length", when: "pocket", more: true},
		{key: "pocket.turn", kind: "length", when: "pocket", more: true},
		{key: "lead_flat", kind: "length", when: "hand", more: true},
		{key: "inserts", kind: "choice", words: []string{"rolled", "none"}, when: "filled", more: true},
		{key: "return_other", kind: "length", more: true},
		{key: "glass_width", kind: "length", more: true},
		{key: "puddle", kind: "length", more: true},
		{key: "heading_fold", kind: "length", when: "fold", more: true},
		{key: "bottom_hem", kind: "length", more: true},
		{key: "side_hem", kind: "length", more: true},
		{key: "motif", kind: "choice", words: []string{"marching", "mirrored", "centred_on", "centred_between"}, size: "wide", more: true},
		{key: "motif_lead", kind: "length", when: "mirrored", more: true},
		{key: "motif_height", kind: "length", more: true},
		{key: "hem_height", kind: "length", more: true},
		{key: "railroad", kind: "choice", words: flags, more: true},
		{key: "railroad_lining", kind: "choice", words: flags, more: true},
		{key: "hook_drop", kind: "length", when: "hooks", more: true},
		{key: "under", kind: "text", size: "wide", more: true},
		{key: "cord_end", kind: "choice", words: []string{"wound", "tucked", "cut"}, size: "wide", when: "cord", more: true},
		{key: "notes", kind: "notes", size: "wide", more: true},
	},
	"bands": {
		{key: "edge", kind: "choice", size: "wide", words: []string{"leading", "return", "bottom"}, need: true},
		{key: "width", kind: "length", need: true},
		{key: "fabric", kind: "choice", list: "fabrics", use: "face", need: true},
		{key: "method", kind: "choice", words: []string{"joined", "applied"}},
		{key: "offset", kind: "length"},
	},
	"pieces": {
		{key: "piece", kind: "choice", words: kindsOfPiece(), need: true},
		{key: "text", kind: "text", size: "wide", need: true},
		{key: "quantity", kind: "count", size: "short"},
		{key: "sizes.width", kind: "length", need: true, when: "sized"},
		{key: "sizes.depth", kind: "length", need: true, when: "cushion"},
		{key: "sizes.thickness", kind: "length", when: "cushion"},
		{key: "sizes.welt", kind: "length", when: "cushion"},
		{key: "sizes.drop", kind: "length", need: true, when: "valance"},
		{key: "sizes.fullness", kind: "number", size: "short", when: "valance"},
		{key: "outside.who", kind: "text", more: true},
		{key: "outside.back", kind: "date", more: true},
		{key: "notes", kind: "notes", size: "wide", more: true},
	},
	pieceFabrics: {
		{key: "fabric", kind: "choice", list: "fabrics"},
		{key: "cuts", kind: "count", size: "short"},
		{key: "cut_length", kind: "length"},
	},
	"route": {{key: "station", kind: "choice"}}, // among the shop's
}

// pieceFabrics are the cloths of a piece, which the file calls as the order calls all of its own.
const pieceFabrics = "piece_fabrics"

// ListIn returns the list of fields of a file's list that lies in an element of another, "" for the order itself.
func ListIn(outer, list string) string {
	if outer == "pieces" && list == "fabrics" {
		return pieceFabrics
	}
	return list
}

// Lists are all lists of fields that a form can have more of, outer ones first.
func Lists() []string {
	return []string{"fabrics", "bolts", "flaws", "tapes", "rods", "treatments", "bands", "pieces", pieceFabrics, "route"}
}

func kindsOfPiece() []string {
	var words []string
	for _, k := range orderfile.PieceKinds() {
		words = append(words, string(k))
	}
	return words
}

// Column is one of the table of windows: what is typed of each, by the keys of the fields that stand in it.
type Column struct {
	Key  string // of the field that it is for
	Or   string // the key of the field that stands there instead, "" for none
	Wide bool
}

// columns of the table of windows, in the order in which a spreadsheet without a head row is read.
var columns = []Column{
	{Key: "window", Wide: true}, {Key: "room"}, {Key: "quantity"}, {Key: "draw"}, {Key: "face_width", Or: "finished_width"}, {Key: "finished_length"},
	{Key: "heading", Wide: true}, {Key: "tape", Or: "fullness"}, {Key: "face"}, {Key: "lining"}, {Key: "return"}, {Key: "overlap"},
}

// Columns are those of the table of windows.
func (p *Part) Columns() []Column { return columns }

// FieldAt returns the key of the field of a list's form that a key of the file is typed into: its own, or the first
// of a mapping's; "" where the form has none.
func FieldAt(list, key string) string {
	if list == "order" && conventionAt(key) != nil {
		return key
	}
	for _, a := range asked[list] {
		if a.key == key || strings.HasPrefix(a.key, key+".") {
			return a.key
		}
	}
	return ""
}

// FirstField returns the key of the field that a list's parts begin with.
func FirstField(list string) string { return asked[list][0].key }

// IsNumber reports whether a field of the form, by its name there ("treatments.4.face_width", "units"), takes a length
// or a number, whose decimals may be typed as the page's language writes them.
func IsNumber(name string) bool {
	list, key := "order", name
	for part := range strings.SplitSeq(name, ".") {
		if _, err := strconv.Atoi(part); err != nil {
			continue
		}
		before, after, _ := strings.Cut(key, "."+part+".")
		list, key = ListIn(list, before), after
	}
	if c := conventionAt(name); c != nil {
		return c.Words() == nil
	}
	for _, a := range asked[list] {
		if a.key == key {
			return a.kind == "length" || a.kind == "number"
		}
	}
	return false
}

// ofConventions is what the names of the fields of an order's own conventions begin with.
const ofConventions = "conventions."

// conventionAt returns the row of the convention that a field of the order is for, nil for another field's name.
func conventionAt(name string) *orderfile.Convention {
	key, ok := strings.CutPrefix(name, ofConventions)
	if !ok {
		return nil
	}
	rows := orderfile.AllConventions()
	if i := slices.IndexFunc(rows, func(c orderfile.Convention) bool { return c.Key == key }); i >= 0 {
		return &rows[i]
	}
	return nil
}

// LabelKey is the catalogue's key of what a field of a list is called.
func LabelKey(list, key string) string {
	if c := conventionAt(key); c != nil && list == "order" {
		return "convention." + c.Key
	}
	if own := "taking.field." + list + "." + key; i18n.Has(own) {
		return own
	}
	return "book." + key // as the shop's book of them calls it
}

// InWords returns what is told of a field with the words that the form shows in place of the file's: its label for the key, and of a
// choice what it is called.
func InWords(say *i18n.Printer, list, key string, args map[string]any) map[string]any {
	told := maps.Clone(args)
	if _, named := told["Key"]; named {
		told["Key"] = say.T(LabelKey(list, key))
	}
	if i := slices.IndexFunc(asked[list], func(a ask) bool { return a.key == key && a.kind == "choice" && a.list == "" }); i >= 0 {
		if known, ok := told["Known"].([]string); ok {
			words := make([]string, len(known))
			for i, word := range known {
				words[i] = called(say, word, key)
			}
			told["Known"] = words
		}
		if like, ok := told["Like"].(string); ok {
			told["Like"] = called(say, like, key)
		}
	}
	for name, fields := range map[string][]string{"Heading": {"heading"}, "Draw": {"draw"}, "Motif": {"motif"}, "Use": {"use", "kind"}, "Wanted": {"use", "kind"}, "Kind": {"kind"}} {
		if word, ok := told[name].(string); ok {
			told[name] = called(say, word, fields...)
		}
	}
	if takes, ok := told["Takes"].(string); ok {
		told["Takes"] = say.T(LabelKey(list, takes))
	}
	return told
}

// called is what a choice of one of the fields is called, the word itself where none has it.
func called(say *i18n.Printer, word string, fields ...string) string {
	for _, field := range fields {
		switch key := wordKey(field, word); {
		case field == "heading": // a shop may have its own
			return say.Named(field, word)
		case i18n.Has(key):
			return say.T(key)
		}
	}
	return word
}
