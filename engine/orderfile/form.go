package orderfile

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// Form is a mapping of an order file as an order form shows it: the order itself, or a fabric, bolt, tape, window or piece
// in a list of it. Texts are as they are written, "" for what is left out; they may be wrong, which Parse tells.
type Form struct {
	From  int               // the element of the file's list that it is, or was copied from; NotInFile for a new one
	Text  map[string]string // by key; a key of a group has both names: "hang.clearance"
	Lists map[string][]Form // "fabrics", "tapes", "rods", "treatments", "pieces"; in a fabric "bolts", in a bolt "flaws", in a treatment "bands", in a piece "fabrics" and "route"
	// Rest are the keys that a form doesn't show, such as the tolerances of its conventions. They stay as the file has them.
	Rest []Unshown
}

// NotInFile is the From of an element that the file doesn't have yet.
const NotInFile = -1

// Unshown is a key that the form has no field for, with its value in short.
type Unshown struct{ Key, Text string }

// shape says which keys of a mapping the form shows, in the order in which they are written.
type shape struct {
	keys   []string
	groups map[string][]string // keys whose values are mappings of some more fields
	lists  map[string]*shape
	flow   bool // a new one is written on one line
	text   bool // no mapping: a text of its own, which the form has under its one key
}

var orderShape = &shape{
	keys:   []string{"order", "customer", "sidemark", "print_sidemark", "due", "units", "notes", "conventions", "fabrics", "tapes", "rods", "treatments", "pieces"},
	groups: map[string][]string{"conventions": conventionKeys()},
	lists:  map[string]*shape{"fabrics": fabricShape, "tapes": tapeShape, "rods": rodShape, "treatments": treatmentShape, "pieces": pieceShape},
}

// conventionKeys are those that are one text each, in the order of their rows.
func conventionKeys() (keys []string) {
	for _, c := range conventions {
		keys = append(keys, c.Key)
	}
	return keys
}

var fabricShape = &shape{
	keys: []string{"id", "cloth", "use", "one_way", "thickness", "usable_width", "match_width", "vertical_repeat", "match", "horizontal_repeat", "motif_offset",
		"pile", "sheer", "railroads", "shrink", "shrink_width", "relax", "mass", "bolt_length", "bolts"},
	lists: map[string]*shape{"bolts": boltShape},
}

var boltShape = &shape{
	keys:  []string{"id", "shelf", "length", "from", "lot", "first_repeat", "flaws"},
	lists: map[string]*shape{"flaws": {keys: []string{"from", "to"}, flow: true}}, flow: true,
}

var tapeShape = &shape{
	keys: []string{"id", "kind", "ends", "fingers", "tightest", "pocket_pitch", "pockets", "period", "space", "height", "cords", "top_drop", "end_margin", "trim_beyond", "insert_length",
		"pleat_base", "heading_fold", "ease_per_pleat"},
	groups: map[string][]string{"end_margin": {"nominal", "min", "max"}},
}

var rodShape = &shape{
	keys: []string{"id", "kind", "diameter", "circumference", "carrier_pitch", "projection", "ring_inner", "ring_drop", "span", "supports", "limit"},
}

var treatmentShape = &shape{
	keys: []string{"window", "room", "quantity", "heading", "tape", "rod", "points", "eyelet", "tab", "pocket", "fullness", "widths", "surplus", "pleats", "lead_flat", "inserts", "draw", "face_width",
		"finished_width", "return", "return_other", "overlap", "glass_width", "finished_length", "hang", "puddle", "face", "lining", "interlining",
		"heading_fold", "bottom_hem", "side_hem", "motif", "motif_lead", "motif_height", "hem_height", "railroad", "railroad_lining", "bands", "cord_end", "hook_drop", "under", "notes"},
	groups: map[string][]string{
		"hang":   {"bearing_to_floor", "heading_above_bearing", "heading_below_bearing", "clearance"},
		"points": {"count", "end"},
		"eyelet": {"inner", "outer", "drop"},
		"tab":    {"width", "gap", "loop", "facing"},
		"pocket": {"depth", "stand", "turn"},
	},
	lists: map[string]*shape{"bands": {keys: []string{"edge", "width", "fabric", "method", "offset"}, flow: true}},
}

var pieceShape = &shape{
	keys:   []string{"piece", "text", "quantity", "sizes", "fabrics", "route", "outside", "notes"},
	groups: map[string][]string{"sizes": {"width", "depth", "thickness", "welt", "drop", "fullness"}, "outside": {"who", "back"}},
	lists: map[string]*shape{
		"fabrics": {keys: []string{"fabric", "cuts", "cut_length"}, flow: true},
		"route":   {keys: []string{"station"}, text: true},
	},
}

// field reports whether the form shows the key as one text.
func (s *shape) field(key string) bool {
	return slices.Contains(s.keys, key) && s.groups[key] == nil && s.lists[key] == nil
}

// fields are the names of the texts of a mapping of that shape, those of groups in full.
func (s *shape) fields() []string {
	var names []string
	for _, key := range s.keys {
		if s.field(key) {
			names = append(names, key)
		}
		for _, sub := range s.groups[key] {
			names = append(names, key+"."+sub)
		}
	}
	return names
}

// FormOf returns the file as a form shows it; an empty file is an empty form. ok is false for a file that is no YAML
// or isn't built as an order is: it can be mended in its text only, and Parse tells where.
func FormOf(src []byte) (form Form, ok bool) {
	s, ok := open(src)
	if !ok {
		return Form{}, false
	}
	return s.form, true
}

// readForm reads a mapping of a shape; false where a form can't show it.
func readForm(node ast.Node, sh *shape, from int) (Form, bool) {
	f := Form{From: from, Text: map[string]string{}, Lists: map[string][]Form{}}
	if sh.text {
		text, ok := formText(node)
		f.Text[sh.keys[0]] = text
		return f, ok && !foreign(node)
	}
	m, ok := node.(*ast.MappingNode)
	if !ok {
		return f, false
	}
	seen := map[string]bool{}
	for _, e := range m.Values {
		key, ok := scalar(e.Key)
		if !ok || seen[key] || foreign(e.Value) {
			return f, false
		}
		seen[key] = true
		switch {
		case sh.lists[key] != nil:
			ok = f.readList(key, e.Value, sh.lists[key])
		case sh.groups[key] != nil:
			ok = f.readGroup(key, e.Value, sh.groups[key])
		case sh.field(key):
			f.Text[key], ok = formText(e.Value)
		default:
			f.Rest = append(f.Rest, Unshown{key, short(e.Value)})
		}
		if !ok {
			return f, false
		}
	}
	return f, true
}

func (f *Form) readList(key string, node ast.Node, sh *shape) bool {
	if empty(node) {
		return true
	}
	list, ok := node.(*ast.SequenceNode)
	if !ok {
		return false
	}
	for i, n := range list.Values {
		item, ok := readForm(n, sh, i)
		if !ok {
			return false
		}
		f.Lists[key] = append(f.Lists[key], item)
	}
	return true
}

func (f *Form) readGroup(key string, node ast.Node, keys []string) bool {
	if empty(node) {
		return true
	}
	group, ok := readForm(node, &shape{keys: keys}, NotInFile)
	for sub, text := range group.Text {
		f.Text[key+"."+sub] = text
	}
	for _, u := range group.Rest {
		f.Rest = append(f.Rest, Unshown{key + "." + u.Key, u.Text})
	}
	return ok
}

func formText(n ast.Node) (string, bool) {
	if empty(n) {
		return "", true
	}
	text, ok := scalar(n)
	return tidy(text), ok
}

// tidy takes away the blanks around a text and at the ends of its lines, which nobody sees.
func tidy(text string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		lines[i] = strings.TrimRight(line, " \t")
	}
	return strings.TrimSpace(strings.Join(lines, "\n"))
}

// short writes a value on one line, to show that it is there and to tell whether it has changed.
func short(n ast.Node) string {
	switch n := n.(type) {
	case *ast.MappingNode:
		var parts []string
		for _, e := range n.Values {
			parts = append(parts, short(e.Key)+": "+short(e.Value))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case *ast.SequenceNode:
		var parts []string
		for _, item := range n.Values {
			parts = append(parts, short(item))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	if text, ok := scalar(n); ok {
		return text
	}
	return fmt.Sprint(n)
}
