package orderfile_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"tablehand/engine"
	"tablehand/engine/orderfile"
)

// base is a small order to which each case below does one thing wrong.
const base = `order: T-1
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - id: reed
    use: face
    usable_width: 54
    vertical_repeat: 13 1/2
    bolts:
      - {id: R1, length: 40 yd, first_repeat: 0, flaws: [{from: 7 yd, to: 8 yd}]}
  - {id: sateen, use: lining, usable_width: 48}
tapes:
  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}
treatments:
  - window: Bay, øst
    heading: cartridge-tape
    draw: pair
    face_width: 84
    finished_length: 95
    face: reed
    lining: sateen
    quantity: 1
`

// stationary are the changes that make the window a stationary one.
var stationary = []string{"draw: pair", "draw: stationary", "face_width: 84", "finished_width: 40"}

// bad is a change of the base order and what must be said of it: each "code where @text", text standing once in the file where
// the problem is told, or having a mark ▸ there.
type bad struct {
	name    string
	changes []string // old and new by turns
	told    []string
}

var badValues = []bad{
	// keys
	{"unknown key", []string{"draw: pair", "colour: red"}, []string{"unknown_key treatments[0].colour @red"}},
	{"unknown key in flow", []string{"cords: 3", "cords: 3, ply: 2"}, []string{"unknown_key tapes[0].ply @ply: ▸2}"}},
	{"unknown key with no value", []string{"draw: pair", "colour:"}, []string{"unknown_key treatments[0].colour @colour:"}},
	{"unknown key of the order", []string{"customer:", "custom:"}, []string{"unknown_key custom @Saltmarsh"}},
	{"key that belongs elsewhere", []string{"quantity: 1", "usable_width: 1"}, []string{"unknown_key treatments[0].usable_width @    usable_width: ▸1\n"}},
	{"key with capitals", []string{"draw: pair", "Draw: pair"}, []string{"unknown_key treatments[0].Draw @Draw: ▸pair"}},
	{"key twice", []string{"quantity: 1", "quantity: 1\n    quantity: 2"}, []string{"duplicate treatments[0].quantity @quantity: ▸2"}},
	{"key twice in flow", []string{"cords: 3", "cords: 3, cords: 2"}, []string{"duplicate tapes[0].cords @cords: ▸2}"}},
	{"top key twice", []string{"due: 2026-12-18", "due: 2026-12-18\nunits: cm"}, []string{"duplicate units @units: ▸in"}},
	{"no order", []string{"order: T-1\n", ""}, []string{"missing_key order @customer:"}},
	{"no units", []string{"units: in\n", ""}, []string{"missing_key units @order:"}},
	{"no windows", []string{"treatments:", "treatments: []\nnotes: |"}, []string{"missing_key treatments @[]"}},
	{"windows left empty", []string{"treatments:", "treatments:\nnotes: |"}, []string{"missing_key treatments @treatments:"}},
	{"no window's name", []string{"window: Bay, øst", "room: 1"}, []string{"missing_key treatments[0].window @room:"}},
	{"no heading", []string{"    heading: cartridge-tape\n", ""}, []string{"missing_key treatments[0].heading @window:"}},
	{"no face", []string{"    face: reed\n", ""}, []string{"missing_key treatments[0].face @window:"}},
	{"no finished length", []string{"    finished_length: 95\n", ""}, []string{"missing_key treatments[0].finished_length @window:"}},
	{"no face width", []string{"    face_width: 84\n", ""}, []string{"missing_key treatments[0].face_width @window:"}},
	{"null for a needed value", []string{"face: reed", "face: ~"}, []string{"missing_key treatments[0].face @face: ▸~"}},
	{"nothing behind a needed key", []string{"face: reed", "face:"}, []string{"missing_key treatments[0].face @face:"}},
	{"no fabric id", []string{"- id: reed\n    use: face", "- use: face"},
		[]string{"missing_key fabrics[0].id @use: face", "unknown_reference treatments[0].face @face: ▸reed"}},
	{"no use", []string{"use: lining, ", ""}, []string{"missing_key fabrics[1].use @{id: sateen"}},
	{"no usable width", []string{"    usable_width: 54\n", ""}, []string{"missing_key fabrics[0].usable_width @id: reed"}},
	{"no bolt length", []string{"length: 40 yd, ", ""}, []string{"missing_key fabrics[0].bolts[0].length @{id: R1"}},
	{"no end of a flaw", []string{", to: 8 yd", ""}, []string{"missing_key fabrics[0].bolts[0].flaws[0].to @{from"}},
	{"tape with no period", []string{"period: 6 1/2, ", ""}, []string{"missing_key tapes[0].period @{id: cart-4"}},
	{"tape with no cords", []string{", cords: 3", ""}, []string{"missing_key tapes[0].cords @{id: cart-4"}},
	{"two tapes and none named", []string{"treatments:", "  - {id: b, period: 5, space: 2, height: 3, cords: 2}\ntreatments:"},
		[]string{"missing_key treatments[0].tape @window:"}},
	{"no tape at all", []string{"tapes:\n  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}\n", ""},
		[]string{"missing_key treatments[0].tape @window:"}},

	// order
	{"order id with a blank", []string{"T-1", "T 1"}, []string{"bad_value order @order: ▸T 1"}},
	{"order id too long", []string{"T-1", strings.Repeat("T", 33)}, []string{"bad_value order @order: ▸TTT"}},
	{"order id starts with a dot", []string{"T-1", ".T"}, []string{"bad_value order @order: ▸.T"}},
	{"order named as the next is asked for", []string{"T-1", "Next"}, []string{"bad_value order @order: ▸Next"}},
	{"unknown unit of the order", []string{"units: in", "units: furlong"}, []string{"bad_value units @furlong"}},
	{"feet as the order's unit", []string{"units: in", "units: ft"}, []string{"bad_value units @units: ▸ft"}},
	{"due no date", []string{"2026-12-18", "next week"}, []string{"bad_value due @next"}},
	{"due a day that isn't", []string{"2026-12-18", "2026-02-29"}, []string{"bad_value due @due: ▸2026"}},
	{"due the other way round", []string{"2026-12-18", "18.12.2026"}, []string{"bad_value due @due: ▸18"}},
	{"customer a list", []string{"Saltmarsh Inn", "[a]"}, []string{"bad_value customer @[a]"}},
	{"print_sidemark maybe", []string{"due:", "print_sidemark: maybe\ndue:"}, []string{"bad_value print_sidemark @maybe"}},
	{"customer of two lines", []string{"Saltmarsh Inn", `"Saltmarsh\nInn"`}, []string{"bad_value customer @\"Saltmarsh"}},
	{"customer endless", []string{"Saltmarsh Inn", strings.Repeat("S", 201)}, []string{"absurd customer @customer: ▸SSS"}},

	// lengths
	{"unknown unit", []string{"face_width: 84", "face_width: 84 stone"}, []string{"bad_length treatments[0].face_width @84 stone"}},
	{"word for a length", []string{"period: 6 1/2", "period: six"}, []string{"bad_length tapes[0].period @period: ▸six"}},
	{"fraction over nought", []string{"face_width: 84", "face_width: 84 1/0"}, []string{"bad_length treatments[0].face_width @84 1/0"}},
	{"improper fraction", []string{"face_width: 84", "face_width: 84 17/16"}, []string{"bad_length treatments[0].face_width @84 17/16"}},
	{"comma for a point", []string{"face_width: 84", "face_width: 84,5"}, []string{"bad_length treatments[0].face_width @84,5"}},
	{"small unit before large", []string{"face_width: 84", "face_width: 3 in 7 ft"}, []string{"bad_length treatments[0].face_width @3 in"}},
	{"blank length", []string{"face_width: 84", `face_width: ""`}, []string{`bad_length treatments[0].face_width @""`}},
	{"exponent", []string{"face_width: 84", "face_width: 8e1"}, []string{"bad_length treatments[0].face_width @8e1"}},
	{"infinite", []string{"face_width: 84", "face_width: .inf"}, []string{"bad_length treatments[0].face_width @.inf"}},
	{"yes for a length", []string{"face_width: 84", "face_width: true"}, []string{"bad_length treatments[0].face_width @true"}},
	{"list for a length", []string{"face_width: 84", "face_width: [84]"}, []string{"bad_value treatments[0].face_width @[84]"}},
	{"keys for a length", []string{"face_width: 84", "face_width: {in: 84}"}, []string{"bad_value treatments[0].face_width @{in"}},
	{"negative", []string{"face_width: 84", "face_width: -84"}, []string{"negative treatments[0].face_width @face_width: ▸-84"}},
	{"negative overlap", []string{"draw: pair", "overlap: -1/2"}, []string{"negative treatments[0].overlap @-1/2"}},
	{"negative and endless", []string{"face_width: 84", "face_width: -" + strings.Repeat("9", 25)}, []string{"negative treatments[0].face_width @face_width: ▸-9"}},
	{"window of no width", []string{"face_width: 84", "face_width: 0"}, []string{"bad_value treatments[0].face_width @face_width: ▸0"}},
	{"window of no length", []string{"finished_length: 95", "finished_length: 0 in"}, []string{"bad_value treatments[0].finished_length @0 in"}},
	{"over 30 m", []string{"face_width: 84", "face_width: 30.001 m"}, []string{"absurd treatments[0].face_width @30.001 m"}},
	{"endless", []string{"face_width: 84", "face_width: " + strings.Repeat("9", 300)}, []string{"absurd treatments[0].face_width @face_width: ▸999"}},
	{"bolt over 1000 m", []string{"length: 40 yd", "length: 1000.1 m"}, []string{"absurd fabrics[0].bolts[0].length @1000.1 m"}},
	{"cloth under 10 in", []string{"usable_width: 54", "usable_width: 9 15/16"}, []string{"absurd fabrics[0].usable_width @9 15/16"}},
	{"cloth of no width", []string{"usable_width: 54", "usable_width: 0"}, []string{"absurd fabrics[0].usable_width @usable_width: ▸0"}},

	// counts
	{"quantity over 999", []string{"quantity: 1", "quantity: 1000"}, []string{"absurd treatments[0].quantity @quantity: ▸1000"}},
	{"quantity endless", []string{"quantity: 1", "quantity: " + strings.Repeat("9", 40)}, []string{"absurd treatments[0].quantity @quantity: ▸999"}},
	{"quantity nought", []string{"quantity: 1", "quantity: 0"}, []string{"bad_value treatments[0].quantity @quantity: ▸0"}},
	{"quantity negative", []string{"quantity: 1", "quantity: -1"}, []string{"negative treatments[0].quantity @quantity: ▸-1"}},
	{"quantity of a half", []string{"quantity: 1", "quantity: 1.5"}, []string{"bad_value treatments[0].quantity @1.5"}},
	{"quantity in base 16", []string{"quantity: 1", "quantity: 0x10"}, []string{"bad_value treatments[0].quantity @0x10"}},
	{"cords over 12", []string{"cords: 3", "cords: 13"}, []string{"absurd tapes[0].cords @cords: ▸13"}},
	{"no cord", []string{"cords: 3", "cords: 0"}, []string{"bad_value tapes[0].cords @cords: ▸0"}},
	{"no pleats", []string{"draw: pair", "pleats: 0"}, []string{"bad_value treatments[0].pleats @pleats: ▸0"}},
	{"no widths", []string{"draw: pair", "widths: 0"}, []string{"bad_value treatments[0].widths @widths: ▸0"}},
	{"widths of a third", []string{"draw: pair", "widths: 2 1/3"}, []string{"bad_value treatments[0].widths @widths: ▸2 1/3"}},
	{"widths as a length", []string{"draw: pair", "widths: 2 in"}, []string{"bad_value treatments[0].widths @widths: ▸2 in"}},
	{"widths below none", []string{"draw: pair", "widths: -2"}, []string{"negative treatments[0].widths @widths: ▸-2"}},
	{"widths without end", []string{"draw: pair", "widths: 60 1/2"}, []string{"absurd treatments[0].widths @widths: ▸60 1/2"}},
	{"a surplus by the heading", []string{"draw: pair", "surplus: by_heading"}, []string{"bad_value treatments[0].surplus @surplus: ▸by_heading"}},

	// fabrics and bolts
	{"the same fabric twice", []string{"id: sateen", "id: reed"}, []string{"duplicate fabrics[1].id @reed, use", "unknown_reference treatments[0].lining @lining: ▸sateen"}},
	{"the same tape twice", []string{"treatments:", "  - {id: cart-4, period: 5, space: 2, height: 3, cords: 2}\ntreatments:"},
		[]string{"duplicate tapes[1].id @cart-4, period: 5", "missing_key treatments[0].tape @window:"}},
	{"the same bolt twice", []string{"  - {id: sateen", "      - {id: R1, length: 1 yd}\n  - {id: sateen"}, []string{"duplicate fabrics[0].bolts[1].id @R1, length: 1 yd"}},
	{"unknown use", []string{"use: lining", "use: linning"}, []string{"bad_value fabrics[1].use @linning"}},
	{"one_way yes", []string{"use: face", "use: face\n    one_way: yes"}, []string{"bad_value fabrics[0].one_way @yes"}},
	{"match wider than the cloth", []string{"use: face", "use: face\n    match_width: 55"}, []string{"bad_value fabrics[0].match_width @match_width: ▸55"}},
	{"match within half the cloth", []string{"use: face", "use: face\n    match_width: 27"}, []string{"absurd fabrics[0].match_width @match_width: ▸27"}},
	{"half-drop without repeat", []string{"vertical_repeat: 13 1/2", "match: half_drop"}, []string{"bad_value fabrics[0].match @half_drop"}},
	{"half-drop with repeat 0", []string{"vertical_repeat: 13 1/2", "vertical_repeat: 0 mm\n    match: half_drop"}, []string{"bad_value fabrics[0].match @half_drop"}},
	{"half-drop with a bad repeat", []string{"vertical_repeat: 13 1/2", "vertical_repeat: x\n    match: half_drop"}, []string{"bad_length fabrics[0].vertical_repeat @vertical_repeat: ▸x"}},
	{"bolt of no length", []string{"length: 40 yd", "length: 0"}, []string{"bad_value fabrics[0].bolts[0].length @length: ▸0,"}},
	{"pattern starts past the bolt", []string{"first_repeat: 0", "first_repeat: 41 yd"}, []string{"bad_value fabrics[0].bolts[0].first_repeat @41 yd"}},
	{"flaw outside its bolt", []string{"to: 8 yd", "to: 40 yd 1 in"}, []string{"bad_value fabrics[0].bolts[0].flaws[0].to @40 yd 1 in"}},
	{"flaw of no length", []string{"to: 8 yd", "to: 7 yd"}, []string{"bad_value fabrics[0].bolts[0].flaws[0].to @to: ▸7 yd}"}},
	{"flaw back to front", []string{"to: 8 yd", "to: 6 yd"}, []string{"bad_value fabrics[0].bolts[0].flaws[0].to @6 yd"}},
	{"fabrics no list", []string{"fabrics:\n  - id: reed", "fabrics:\n    id: reed", "  - {id: sateen, use: lining, usable_width: 48}\n", ""},
		[]string{"bad_value fabrics @id: reed", "unknown_reference treatments[0].face @face: ▸reed", "unknown_reference treatments[0].lining @lining: ▸sateen"}},
	{"a fabric no mapping", []string{"{id: sateen, use: lining, usable_width: 48}", "sateen"}, []string{"bad_value fabrics[1] @- ▸sateen", "unknown_reference treatments[0].lining @lining: ▸sateen"}},

	// tapes
	{"period no more than the space", []string{"period: 6 1/2", "period: 2.5"}, []string{"bad_value tapes[0].period @period: ▸2.5"}},
	{"no space", []string{"space: 2 1/2", "space: 0"}, []string{"bad_value tapes[0].space @space: ▸0"}},
	{"nominal under min", []string{"cords: 3", "cords: 3, end_margin: {nominal: 1/4, min: 1/2, max: 1}"}, []string{"bad_value tapes[0].end_margin @{nominal"}},
	{"nominal over max", []string{"cords: 3", "cords: 3, end_margin: {nominal: 2, min: 1/2, max: 1}"}, []string{"bad_value tapes[0].end_margin @{nominal"}},
	{"min over max", []string{"cords: 3", "cords: 3, end_margin: {min: 1, max: 1/2}"}, []string{"bad_value tapes[0].end_margin @{min"}},
	{"end margin a length", []string{"cords: 3", "cords: 3, end_margin: 1/2"}, []string{"bad_value tapes[0].end_margin @end_margin: ▸1/2}"}},
	{"pleat base as large as the pleat", []string{"cords: 3", "cords: 3, pleat_base: 4"}, []string{"bad_value tapes[0].pleat_base @pleat_base: ▸4}"}},

	// windows
	{"unknown fabric", []string{"face: reed", "face: velvet"}, []string{"unknown_reference treatments[0].face @velvet"}},
	{"unknown tape", []string{"draw: pair", "tape: cart-9"}, []string{"unknown_reference treatments[0].tape @cart-9"}},
	{"face cloth as lining", []string{"lining: sateen", "lining: reed"}, []string{"wrong_use treatments[0].lining @lining: ▸reed"}},
	{"lining as face", []string{"face: reed", "face: sateen"}, []string{"wrong_use treatments[0].face @face: ▸sateen"}},
	{"lining as interlining", []string{"draw: pair", "interlining: sateen"}, []string{"wrong_use treatments[0].interlining @interlining: ▸sateen"}},
	{"unknown draw", []string{"draw: pair", "draw: sideways"}, []string{"bad_value treatments[0].draw @sideways"}},
	{"unknown cord end", []string{"draw: pair", "cord_end: loose"}, []string{"bad_value treatments[0].cord_end @loose"}},
	{"unknown heading", []string{"cartridge-tape", "smocked"}, []string{"bad_value treatments[0].heading @smocked"}},
	{"stationary without its width", []string{"draw: pair", "draw: stationary"},
		[]string{"missing_key treatments[0].finished_width @window:", "bad_value treatments[0].face_width @face_width: ▸84"}},
	{"stationary with a face width too", append([]string{"quantity: 1", "face_width: 60"}, stationary...), []string{"bad_value treatments[0].face_width @face_width: ▸60"}},
	{"pair with a finished width", []string{"quantity: 1", "finished_width: 40"}, []string{"bad_value treatments[0].finished_width @finished_width: ▸40"}},
	{"hang and finished length", []string{"draw: pair", "hang: {bearing_to_floor: 96, heading_above_bearing: 0, clearance: 1}"},
		[]string{"bad_value treatments[0].hang @{bearing"}},
	{"hang without clearance", []string{"finished_length: 95", "hang: {bearing_to_floor: 96, heading_above_bearing: 0}"},
		[]string{"missing_key treatments[0].hang.clearance @{bearing"}},
	{"hang of nothing", []string{"finished_length: 95", "hang: {bearing_to_floor: 1, heading_above_bearing: 0, clearance: 1}"},
		[]string{"bad_value treatments[0].hang @{bearing"}},
	{"hang too long", []string{"finished_length: 95", "hang: {bearing_to_floor: 30 m, heading_above_bearing: 1, clearance: 0}"},
		[]string{"absurd treatments[0].hang @{bearing"}},
	{"hang a length", []string{"finished_length: 95", "hang: 95"}, []string{"bad_value treatments[0].hang @hang: ▸95"}},

	// known, not done
	{"wave without a rod", []string{"cartridge-tape", "wave-tape"}, []string{"wrong_use treatments[0].tape @window", "missing_key treatments[0].rod @window"}},
	{"fullness of a wave", []string{"cartridge-tape", "wave-tape", "draw: pair", "fullness: 2"}, []string{"wrong_use treatments[0].tape @window",
		"missing_key treatments[0].rod @window", "not_supported treatments[0].fullness @fullness: ▸2"}},
	{"tab without a rod", []string{"cartridge-tape", "tab"}, []string{"missing_key treatments[0].rod @window"}},
	{"pocket without a rod", []string{"cartridge-tape", "rod-pocket"}, []string{"missing_key treatments[0].rod @window"}},
	{"pocket as long as the panel", []string{"cartridge-tape", "rod-pocket", "draw: pair", "pocket: {depth: 10}", "finished_length: 95", "finished_length: 9"},
		[]string{"bad_value treatments[0].pocket.depth @depth: ▸10"}},
	{"eyelet without a rim", []string{"cartridge-tape", "eyelet", "draw: pair", "eyelet: {inner: 2, outer: 2}"}, []string{"bad_value treatments[0].eyelet.outer @outer: ▸2"}},
	{"odd eyelets", []string{"cartridge-tape", "eyelet", "draw: pair", "points: {count: 7}"}, []string{"bad_value treatments[0].points.count @count: ▸7"}},
	{"a pitch turned round", []string{"cartridge-tape", "eyelet", "draw: pair", "points: {pitch: {min: 8, max: 6}}"}, []string{"bad_value treatments[0].points.pitch @points: {pitch: ▸{"}},
	{"a preferred pitch outside", []string{"cartridge-tape", "eyelet", "draw: pair", "points: {pitch: {preferred: 9}}"}, []string{"bad_value treatments[0].points.pitch @points: {pitch: ▸{"}},
	{"tabs laid flat", []string{"cartridge-tape", "eyelet", "draw: pair", "fullness: 1"}, []string{"bad_value treatments[0].fullness @fullness: ▸1"}},
	{"unknown rod", []string{"cartridge-tape", "eyelet", "draw: pair", "rod: pole"}, []string{"unknown_reference treatments[0].rod @rod: ▸pole"}},
	{"above and below", []string{"finished_length: 95", "hang: {bearing_to_floor: 90, heading_above_bearing: 1, heading_below_bearing: 1, clearance: 0}"},
		[]string{"bad_value treatments[0].hang.heading_below_bearing @heading_below_bearing: ▸1"}},
	{"two rods alike", []string{"treatments:", "rods: [{id: r}, {id: r}]\ntreatments:"}, []string{"duplicate rods[1].id @{id: r}, {id: ▸r"}},
	{"a rod around itself", []string{"treatments:", "rods: [{id: r, diameter: 2, circumference: 7}]\ntreatments:"}, []string{"bad_value rods[0].circumference @circumference: ▸7"}},
	{"a rod like a log", []string{"treatments:", "rods: [{id: r, diameter: 7}]\ntreatments:"}, []string{"absurd rods[0].diameter @diameter: ▸7"}},
	{"a limit in stone", []string{"treatments:", "rods: [{id: r, limit: 5 st}]\ntreatments:"}, []string{"bad_value rods[0].limit @limit: ▸5"}},
	{"a limit of nothing", []string{"treatments:", "rods: [{id: r, limit: 0 kg}]\ntreatments:"}, []string{"bad_value rods[0].limit @limit: ▸0"}},
	{"a limit over a ton", []string{"treatments:", "rods: [{id: r, limit: 2201 lb}]\ntreatments:"}, []string{"absurd rods[0].limit @limit: ▸2201"}},
	{"a pencil tape's period", []string{"{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}", "{id: cart-4, kind: pencil, period: 6, height: 4, cords: 3}"},
		[]string{"not_supported tapes[0].period @period: ▸6", "wrong_use treatments[0].tape @window"}},
	{"a wave tape's cords", []string{"{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}", "{id: cart-4, kind: wave, pocket_pitch: 3/4, height: 4, cords: 3}"},
		[]string{"missing_key tapes[0].pockets @{id: cart-4", "not_supported tapes[0].cords @cords: ▸3", "wrong_use treatments[0].tape @window"}},
	{"a tape tighter than none", []string{"{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}", "{id: cart-4, kind: pencil, tightest: 0.5, height: 4, cords: 3}"},
		[]string{"bad_value tapes[0].tightest @tightest: ▸0.5", "wrong_use treatments[0].tape @window"}},
	{"fullness of a tape", []string{"draw: pair", "fullness: 2.5"}, []string{"not_supported treatments[0].fullness @fullness: ▸2.5"}},
	{"lead flat of a tape", []string{"draw: pair", "lead_flat: 3"}, []string{"not_supported treatments[0].lead_flat @lead_flat: ▸3"}},
	{"fullness of nothing", []string{"cartridge-tape", "pinch-3", "draw: pair", "fullness: 1"}, []string{"bad_value treatments[0].fullness @fullness: ▸1"}},
	{"fullness of too much", []string{"cartridge-tape", "pinch-3", "draw: pair", "fullness: 11"}, []string{"absurd treatments[0].fullness @fullness: ▸11"}},
	{"unknown tape by hand", []string{"cartridge-tape", "pinch-3", "draw: pair", "tape: none"}, []string{"unknown_reference treatments[0].tape @tape: ▸none"}},
	{"repeats that don't fit the match", []string{"use: face", "use: face\n    horizontal_repeat: 13\n    match_width: 53"}, []string{"bad_value fabrics[0].match_width @match_width: ▸53"}},
	{"a repeat wider than the cloth", []string{"use: face", "use: face\n    horizontal_repeat: 55"}, []string{"bad_value fabrics[0].horizontal_repeat @horizontal_repeat: ▸55"}},
	{"a repeat that nobody sees", []string{"use: face", "use: face\n    horizontal_repeat: 1/16"}, []string{"absurd fabrics[0].horizontal_repeat @horizontal_repeat: ▸1/16"}},
	{"a repeat of no length", []string{"use: face", "use: face\n    horizontal_repeat: x\n    motif_offset: 4", "lining: sateen", "motif: centred_on"}, []string{"bad_length fabrics[0].horizontal_repeat @horizontal_repeat: ▸x"}},
	{"a repeat by an alias", []string{"use: face", "use: face\n    horizontal_repeat: *a\n    motif_offset: 4"}, []string{"not_supported fabrics[0].horizontal_repeat @horizontal_repeat: ▸*a"}},
	{"a motif of repeat 0", []string{"use: face", "use: face\n    horizontal_repeat: 0\n    motif_offset: 4"}, []string{"bad_value fabrics[0].motif_offset @motif_offset: ▸4"}},
	{"motifs of repeat 0", []string{"use: face", "use: face\n    horizontal_repeat: 0", "lining: sateen", "motif: centred_on"}, []string{"bad_value treatments[0].motif @motif: ▸centred_on"}},
	{"a motif of no repeat", []string{"use: face", "use: face\n    motif_offset: 4"}, []string{"bad_value fabrics[0].motif_offset @motif_offset: ▸4"}},
	{"a motif past its repeat", []string{"use: face", "use: face\n    horizontal_repeat: 13\n    motif_offset: 13 1/16"}, []string{"bad_value fabrics[0].motif_offset @motif_offset: ▸13 1/16"}},
	{"a pile both ways", []string{"use: face", "use: face\n    one_way: false\n    pile: up"}, []string{"bad_value fabrics[0].one_way @one_way: ▸false"}},
	{"a pile to the side", []string{"use: face", "use: face\n    pile: left"}, []string{"bad_value fabrics[0].pile @pile: ▸left"}},
	{"a sheer lining", []string{"use: lining", "use: lining, sheer: true"}, []string{"bad_value fabrics[1].sheer @sheer: ▸true"}},
	{"a lining that railroads", []string{"use: lining", "use: lining, railroads: true"}, []string{"bad_value fabrics[1].railroads @railroads: ▸true"}},
	{"a cloth that shrinks to half", []string{"use: face", "use: face\n    shrink: 50.01 %"}, []string{"absurd fabrics[0].shrink @shrink: ▸50.01"}},
	{"a cloth that shrinks to half across", []string{"use: face", "use: face\n    shrink_width: 51"}, []string{"absurd fabrics[0].shrink_width @shrink_width: ▸51"}},
	{"a cloth that hangs up", []string{"use: face", "use: face\n    relax: -1"}, []string{"negative fabrics[0].relax @relax: ▸-1"}},
	{"a weight in momme", []string{"use: face", "use: face\n    mass: 20 mm"}, []string{"bad_value fabrics[0].mass @mass: ▸20 mm"}},
	{"a weight of all of it", []string{"use: face", "use: face\n    mass: 3 kg"}, []string{"bad_value fabrics[0].mass @mass: ▸3 kg"}},
	{"a weight of nothing", []string{"use: face", "use: face\n    mass: 0 g/m2"}, []string{"bad_value fabrics[0].mass @mass: ▸0 g/m2"}},
	{"a weight below nothing", []string{"use: face", "use: face\n    mass: -3 oz/yd2"}, []string{"negative fabrics[0].mass @mass: ▸-3"}},
	{"cloth of stone", []string{"use: face", "use: face\n    mass: 5000.1"}, []string{"absurd fabrics[0].mass @mass: ▸5000.1"}},
	{"cloth of stone by the yard", []string{"use: face", "use: face\n    mass: 147.5 oz/yd2"}, []string{"absurd fabrics[0].mass @mass: ▸147.5"}}, // 147.467 is 5000 g/m2
	{"motifs of a cloth without", []string{"draw: pair", "motif: centred_on"}, []string{"bad_value treatments[0].motif @motif: ▸centred_on"}},
	{"motifs mirrored in nothing", []string{"use: face", "use: face\n    horizontal_repeat: 13", stationary[0], stationary[1], stationary[2], stationary[3], "quantity: 1", "motif: mirrored"},
		[]string{"bad_value treatments[0].motif @motif: ▸mirrored"}},
	{"motifs of cloth that is kept", []string{"use: face", "use: face\n    horizontal_repeat: 13", "draw: pair", "motif: mirrored\n    surplus: keep"}, []string{"bad_value treatments[0].surplus @surplus: ▸keep"}},
	{"motifs askew", []string{"draw: pair", "motif: askew"}, []string{"bad_value treatments[0].motif @motif: ▸askew"}},
	{"a motif below the hem", []string{"draw: pair", "motif_height: -1"}, []string{"negative treatments[0].motif_height @motif_height: ▸-1"}},
	{"a motif before the lead", []string{"draw: pair", "motif_lead: -1"}, []string{"negative treatments[0].motif_lead @motif_lead: ▸-1"}},
	{"a hem below the lowest", []string{"draw: pair", "hem_height: -1"}, []string{"negative treatments[0].hem_height @hem_height: ▸-1"}},
	{"railroaded maybe", []string{"draw: pair", "railroad: maybe"}, []string{"bad_value treatments[0].railroad @maybe"}},
	{"a lining railroaded maybe", []string{"draw: pair", "railroad_lining: maybe"}, []string{"bad_value treatments[0].railroad_lining @maybe"}},
	{"two bands on an edge", []string{"draw: pair", "bands: [{edge: leading, width: 2, fabric: reed}, {edge: leading, width: 3, fabric: reed}]"}, []string{"duplicate treatments[0].bands[1].edge @{edge: ▸leading, width: 3"}},
	{"a band of lining", []string{"draw: pair", "bands: [{edge: leading, width: 2, fabric: sateen}]"}, []string{"wrong_use treatments[0].bands[0].fabric @fabric: ▸sateen"}},
	{"a band of unknown cloth", []string{"draw: pair", "bands: [{edge: leading, width: 2, fabric: velvet}]"}, []string{"unknown_reference treatments[0].bands[0].fabric @velvet"}},
	{"a band of nothing", []string{"draw: pair", "bands: [{}]"}, []string{"missing_key treatments[0].bands[0].edge @{}", "missing_key treatments[0].bands[0].width @{}", "missing_key treatments[0].bands[0].fabric @{}"}},
	{"a band of no width", []string{"draw: pair", "bands: [{edge: leading, width: 0, fabric: reed}]"}, []string{"bad_value treatments[0].bands[0].width @width: ▸0"}},
	{"a band at the top", []string{"draw: pair", "bands: [{edge: top, width: 1, fabric: reed}]"}, []string{"bad_value treatments[0].bands[0].edge @edge: ▸top"}},
	{"a band glued", []string{"draw: pair", "bands: [{edge: leading, width: 1, fabric: reed, method: glued}]"}, []string{"bad_value treatments[0].bands[0].method @glued"}},
	{"a band off its edge", []string{"draw: pair", "bands: [{edge: leading, width: 1, fabric: reed, offset: 1}]"}, []string{"bad_value treatments[0].bands[0].offset @offset: ▸1"}},
	{"a band as deep as the panel", []string{"draw: pair", "bands: [{edge: bottom, width: 95, fabric: reed}]"}, []string{"bad_value treatments[0].bands[0].width @width: ▸95"}},
	{"a band of a colour", []string{"draw: pair", "bands: [{edge: leading, width: 1, fabric: reed, colour: red}]"}, []string{"unknown_key treatments[0].bands[0].colour @red"}},
	{"a band alone", []string{"draw: pair", "bands: {edge: leading, width: 1, fabric: reed}"}, []string{"bad_value treatments[0].bands @{edge"}},
	{"alias", []string{"face: reed", "face: *a"}, []string{"not_supported treatments[0].face @*a"}},
	{"anchor", []string{"- window", "- &w\n    window"}, []string{"not_supported treatments[0] @&w"}},
	{"tag", []string{"quantity: 1", "quantity: !!int 1"}, []string{"not_supported treatments[0].quantity @!!int"}},
	{"merge key", []string{"draw: pair", "<<: {draw: pair}"}, []string{"not_supported treatments[0].<< @{draw"}},
}

// badConventions are values of the conventions key, each with what must be said of it.
var badConventions = []struct{ key, value, code string }{
	{"overlap_basis", "lap", "bad_value"},
	{"fullness_basis", "rod", "bad_value"}, {"widths_rounding", "down", "bad_value"}, {"pair_split", "half", "bad_value"},
	{"surplus", "drop", "bad_value"}, {"repeat_rule", "add_two", "bad_value"}, {"half_drop", "never", "bad_value"},
	{"pleat_count", "guess", "bad_value"}, {"pleats_per_width", "0", "bad_value"}, {"pleats_per_width", "100", "absurd"}, {"pleat_ends", "none", "bad_value"},
	{"fullness_slack", "20.01 %", "absurd"}, {"fullness_slack", "-1", "negative"}, {"fullness_slack", "some", "bad_value"}, {"single_lead", "-1", "negative"},
	{"width_allowance", "-1", "negative"}, {"lining_rule", "none", "bad_value"}, {"lining_puddle", "none", "bad_value"}, {"lining_allowance", "-1", "negative"},

	{"room_phase", "alone", "bad_value"}, {"motif_from", "middle", "bad_value"}, {"band_turn", "6 1/16", "absurd"}, {"band_turn", "-1", "negative"},
	{"weights", "heavy", "bad_value"}, {"lining_inset", "7", "absurd"}, {"hook_inset", "-1", "negative"}, {"hook_spacing", "0", "bad_value"},
	{"cone_length", "60000 yd", "absurd"},

	{"order_repeats", "-1", "negative"}, {"order_repeats", "100", "absurd"}, {"order_repeats", "1.5", "bad_value"},
	{"order_step", "0", "bad_value"}, {"order_rounding", "down", "bad_value"},

	{"seam", "3", "absurd"}, {"side_hem", "-1", "negative"}, {"bottom_hem", "31 m", "absurd"}, {"heading_fold", "deep", "bad_length"},
	{"seam", "2 1/16", "absurd"}, {"side_hem", "12 1/16", "absurd"}, {"bottom_hem", "12 1/16", "absurd"}, {"heading_fold", "12 1/16", "absurd"},
	{"lining_hem", "12 1/16", "absurd"}, {"lining_lift", "12 1/16", "absurd"}, {"lining_top", "12 1/16", "absurd"}, {"lining_trim", "6 1/16", "absurd"},
	{"lining_allowance", "40 1/16", "absurd"}, {"length_allowance", "40 1/16", "absurd"}, {"width_allowance", "40 1/16", "absurd"},
	{"squaring", "12 1/16", "absurd"}, {"ease_per_pleat", "2 1/16", "absurd"}, {"edge_clear", "40 1/16", "absurd"}, {"step", "12 1/16", "absurd"},
	{"shrink", "51 %", "absurd"}, {"shrink", "-1 %", "negative"}, {"shrink", "2.005", "bad_value"}, {"shrink", "little", "bad_value"},

	{"step", "0", "bad_value"}, {"step", "0.05 mm", "absurd"},
	{"stitch_density", "0", "bad_value"}, {"stitch_density", "61", "absurd"}, {"stitch_density", "many", "bad_value"},
	{"tolerances", "1/4", "bad_value"}, {"tolerances", "{flat_width: -1}", "negative"}, {"tolerances", "{flat_width: {under: 1}}", "unknown_key"},
	{"tolerances", "{flat: 1}", "unknown_key"}, {"tolerances", "{flat_width: [1]}", "bad_value"},
	{"overlap", "6", "unknown_key"},
}

// badPieces are pieces in flow, each with what must be said of them.
var badPieces = []struct{ piece, told string }{
	{"piece: pelmet, text: A", "bad_value pieces[0].piece @pelmet"},
	{"piece: repair", "missing_key pieces[0].text @{piece"},
	{"text: A", "missing_key pieces[0].piece @{text: A"},
	{"piece: repair, text: A, quantity: 1000", "absurd pieces[0].quantity @1000"},
	{"piece: repair, text: A, colour: red", "unknown_key pieces[0].colour @red"},
	{"piece: cushion, text: A", "missing_key pieces[0].sizes @{piece"},
	{"piece: cushion, text: A, sizes: {width: 0, depth: 2}", "bad_value pieces[0].sizes.width @width: ▸0"},
	{"piece: cushion, text: A, sizes: {width: 20}", "missing_key pieces[0].sizes.depth @{width: 20"},
	{"piece: cushion, text: A, sizes: {width: 20, depth: 20, thicknes: 3}", "unknown_key pieces[0].sizes.thicknes @thicknes: ▸3"},
	{"piece: repair, text: A, sizes: {tear: -1}", "negative pieces[0].sizes.tear @tear: ▸-1"},
	{"piece: valance, text: A, sizes: {width: 20, drop: 12, fullness: 0.5}", "bad_value pieces[0].sizes.fullness @0.5"},
	{"piece: repair, text: A, fabrics: [{fabric: reed, cut_length: 9}]", "missing_key pieces[0].fabrics[0].cuts @{fabric"},
	{"piece: repair, text: A, fabrics: [{fabric: velvet, cuts: 1, cut_length: 9}]", "unknown_reference pieces[0].fabrics[0].fabric @velvet"},
	{"piece: cushion, text: A, sizes: {width: 9, depth: 9}, fabrics: [{fabric: sateen}]", "wrong_use pieces[0].fabrics[0].fabric @fabric: ▸sateen"},
	{"piece: cushion, text: A, sizes: {width: 9, depth: 9}, fabrics: [{fabric: reed}, {fabric: reed }]", "bad_value pieces[0].fabrics[1] @{fabric: reed }"},
	{"piece: repair, text: A, route: [cutting, packing]", "bad_value pieces[0].route[0] @route: [▸cutting"},
	{"piece: repair, text: A, route: [sewin]", "bad_value pieces[0].route[0] @sewin"},
	{"piece: repair, text: A, route: [packing, sewing, packing]", "duplicate pieces[0].route[2] @sewing, ▸packing"},
	{"piece: repair, text: A, route: []", "bad_value pieces[0].route @route: ▸[]"},
	{"piece: cushion, text: A, sizes: {width: 9, depth: 9}, route: [sewing]", "bad_value pieces[0].route @route: ▸[sewing"},
	{"piece: cushion, text: A, sizes: {width: 9, depth: 9}, route: [cutting]", "bad_value pieces[0].route @route: ▸[cutting"},
	{"piece: repair, text: A, outside: {back: 2026-12-01}", "missing_key pieces[0].outside.who @{back"},
	{"piece: repair, text: A, outside: {who: Marsh, back: soon}", "bad_value pieces[0].outside.back @soon"},
}

// TestBadPieces: what is wrong with a piece is told at its place, and a file with nothing but pieces is an order.
func TestBadPieces(t *testing.T) {
	for _, c := range badPieces {
		t.Run(c.piece, func(t *testing.T) {
			bad{changes: []string{"treatments:", "pieces:\n  - {" + c.piece + "}\ntreatments:"}, told: []string{c.told}}.check(t)
		})
	}
	alone := base[:strings.Index(base, "treatments:")] + "pieces: [{piece: cushion, text: Seat, sizes: {width: 22, depth: 20}}]\n"
	o, problems := orderfile.Parse([]byte(alone))
	if o == nil || len(problems) > 0 {
		t.Fatal(problems)
	}
	if p := o.Pieces[0]; len(p.Fabrics) != 1 || p.Fabrics[0].Fabric != "reed" || !slices.Equal(p.Route, []string{"cutting", "sewing", "packing"}) || p.Quantity != 1 {
		t.Errorf("%+v", p)
	}
	if _, problems := orderfile.Parse([]byte(strings.Replace(alone, "pieces: [{piece: cushion, text: Seat, sizes: {width: 22, depth: 20}}]", "pieces: []", 1))); len(problems) != 1 || problems[0].Code != "missing_key" {
		t.Errorf("neither windows nor pieces: %+v", problems)
	}
}

func TestBadValues(t *testing.T) {
	for _, c := range badValues {
		t.Run(c.name, func(t *testing.T) { c.check(t) })
	}
}

func TestBadConventions(t *testing.T) {
	for _, c := range badConventions {
		t.Run(c.key+" "+c.value, func(t *testing.T) {
			file := base + "conventions:\n  " + c.key + ": " + c.value + "\n"
			order, problems := orderfile.Parse([]byte(file))
			if order != nil || len(problems) != 1 || problems[0].Code != c.code || !strings.HasPrefix(problems[0].Where, "conventions."+c.key) {
				t.Errorf("got %+v, want one %s of %s", problems, c.code, c.key)
			}
		})
	}
}

// TestEverythingAtOnce puts many faults into one file: all are told, in the order of the file.
func TestEverythingAtOnce(t *testing.T) {
	bad{changes: []string{"due: 2026-12-18", "due: soon", "use: lining", "use: backing", "period: 6 1/2", "period: six", "draw: pair", "retrun: 3",
		"face_width: 84", "face_width: -84", "    finished_length: 95\n", "", "face: reed", "face: velvet", "quantity: 1", "quantity: 1000\n    quantity: 2"},
		told: []string{"bad_value due @soon", "bad_value fabrics[1].use @backing", "bad_length tapes[0].period @period: ▸six", "missing_key treatments[0].finished_length @window:",
			"unknown_key treatments[0].retrun @retrun: ▸3", "negative treatments[0].face_width @face_width: ▸-84", "unknown_reference treatments[0].face @velvet",
			"absurd treatments[0].quantity @quantity: ▸1000", "duplicate treatments[0].quantity @quantity: ▸2"}}.check(t)
}

// check changes the base order and compares what is told with what must be: no less, no more, in order.
func (c bad) check(t *testing.T) {
	t.Helper()
	file := changed(t, c.changes)
	order, problems := orderfile.Parse([]byte(file))
	var got, want []string
	for _, p := range problems {
		got = append(got, fmt.Sprintf("%s %s %d:%d", p.Code, p.Where, p.Line, p.Column))
		checkSentence(t, p)
	}
	for _, told := range c.told {
		what, text, _ := strings.Cut(told, " @")
		line, column := standsAt(t, file, text)
		want = append(want, fmt.Sprintf("%s %d:%d", what, line, column))
	}
	if !slices.Equal(got, want) || order != nil {
		t.Errorf("told  %q\nwant  %q\nof\n%s", got, want, file)
	}
}

func changed(t *testing.T, changes []string) string {
	t.Helper()
	file := base
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(file, changes[i]) {
			t.Fatalf("nothing to change: %q", changes[i])
		}
		file = strings.Replace(file, changes[i], changes[i+1], 1)
	}
	return file
}

// standsAt returns line and column, in runes from 1, of a text that the file has once; of the mark in it where it
// has one.
func standsAt(t *testing.T, file, text string) (line, column int) {
	t.Helper()
	before, after, _ := strings.Cut(text, "▸")
	if after == "" {
		before, after = "", before
	}
	if n := strings.Count(file, before+after); n != 1 {
		t.Fatalf("the file has %q %d times", before+after, n)
	}
	start := file[:strings.Index(file, before+after)+len(before)]
	return strings.Count(start, "\n") + 1, utf8.RuneCountInString(start[strings.LastIndex(start, "\n")+1:]) + 1
}

func TestSuggestions(t *testing.T) {
	for written, meant := range map[string]string{
		"draw: pair\n    retrun: 3":           "return",
		"draw: pair\n    finished_lenght: 96": "finished_length",
		"draw: piar":                          "pair",
		"draw: oneway_left":                   "one_way_left",
		"tape: cart4":                         "cart-4",
		"draw: pair\n    zebra: 1":            "",
		"draw: diagonal":                      "",
	} {
		_, problems := orderfile.Parse([]byte(strings.Replace(base, "draw: pair", written, 1)))
		if len(problems) != 1 {
			t.Fatalf("%q: %+v", written, problems)
		}
		if like, _ := problems[0].Args["Like"].(string); like != meant {
			t.Errorf("%q: did you mean %q? want %q", written, like, meant)
		}
	}
}

// Letters that changed places are one slip: a key of three letters may have no more.
func TestSwappedLettersAreOneSlip(t *testing.T) {
	for written, meant := range map[string]string{"lto": "lot", "olt": "lot", "tol": ""} {
		_, problems := orderfile.Parse([]byte(strings.Replace(base, "first_repeat: 0", "first_repeat: 0, "+written+": A", 1)))
		if len(problems) != 1 {
			t.Fatalf("%s: %+v", written, problems)
		}
		if like, _ := problems[0].Args["Like"].(string); like != meant {
			t.Errorf("%s: did you mean %q? want %q", written, like, meant)
		}
	}
}

// The most that a convention may be is taken; a figure in the wrong unit isn't.
func TestMostOfConventions(t *testing.T) {
	const file = "{order: M, units: %s, conventions: {%s: %s}, fabrics: [{id: f, use: face, usable_width: 54 in}], " +
		"treatments: [{window: W, heading: pinch-3, face: f, face_width: 96 in, finished_length: 90 in}]}"
	for _, c := range []struct {
		units, key, value string
		taken             bool
	}{
		{"in", "seam", "2", true}, {"in", "bottom_hem", "12", true}, {"in", "lining_lift", "12", true}, {"in", "lining_trim", "6", true},
		{"in", "lining_allowance", "40", true}, {"in", "shrink", "50 %", true},
		{"cm", "seam", "15", false}, {"cm", "bottom_hem", "100", false}, {"cm", "lining_trim", "25", false}, {"cm", "lining_allowance", "250", false},
		{"in", "lining_lift", "25", false}, {"mm", "lining_lift", "25", true},
	} {
		_, problems := orderfile.Parse(fmt.Appendf(nil, file, c.units, c.key, c.value))
		absurd := slices.ContainsFunc(problems, func(p engine.Problem) bool { return p.Code == "absurd" && p.Where == "conventions."+c.key })
		if absurd == c.taken || c.taken && len(problems) > 0 {
			t.Errorf("%s %s in %s: %+v", c.key, c.value, c.units, problems)
		}
	}
}
