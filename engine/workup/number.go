package workup

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Number is the row of one number of a panel: what is true of it on every panel that has it. The work-up's JSON and its schema, the
// trail, tickets, revisions, the order's page and the drawings go by it.
type Number struct {
	Key    string           // in the JSON, in stations/plan/routes.yaml and in the catalogues
	Note   string           // what workup.schema.json says of it
	Family orderfile.Family // whose panels have it, "" all
	Group  Group            // on the window's page, "" of a number that tickets alone have
	Axes   Axis             // along which it hangs together with others; none of a number that no station shows
	Place  Place            // where on the cloth it is drawn
	Origin string           // of one that isn't worked out: catalogue, trail.origin.<origin>
	listed bool             // the JSON has it in a list, see PanelDocument.Bands

	worth
	only  func(*Panel) bool // which of the family's panels have it, nil all
	shown func(*Panel) bool // on which of those a station shows it, nil all
	how   how               // how it is worked out; none of what tickets alone have
}

// Group is what of a panel a number belongs to: a window's page has those of a group together (catalogue: page.order.group.<group>).
type Group string

const (
	GroupFinished Group = "finished"
	GroupHeading  Group = "heading"
	GroupCloth    Group = "cloth"
	GroupTape     Group = "tape"
	GroupInserts  Group = "inserts"
	GroupLining   Group = "lining"
	GroupFittings Group = "fittings"
	GroupMore     Group = "more"
)

// Groups lists the groups in the order in which a person reads them.
func Groups() []Group {
	return []Group{GroupFinished, GroupHeading, GroupCloth, GroupTape, GroupInserts, GroupLining, GroupFittings, GroupMore}
}

// Axis is one way along which a panel's numbers hang together, or several: when one of them is cut or sewn as it was, the
// others of its axis have to stay with it (from memory of how the work hangs together).
type Axis uint8

const (
	Across  Axis = 1 << iota // the width: flat, pleated, pulled up
	Down                     // the length: cut, folded, hemmed
	Headed                   // the heading's own height
	CordEnd                  // how the cord's end is made safe

	AllAxes = Across | Down | Headed | CordEnd
)

// Place is where on a panel a number lies, for a drawing of it.
type Place uint8

const (
	Nowhere        Place = iota
	OnPanel              // on the whole panel lying flat
	AcrossPanel          // from its edge to its edge
	DownPanel            // from its top to its hem
	AtSeams              // where widths are joined
	AtMotifs             // where the motifs of its cloth stand
	OnCut                // on a width as it is cut
	DownCut              // the length of that
	AlongCut             // the width of one that is railroaded, along the bolt
	InSideHem            // the depth of the side hem
	TurnedAtReturn       // beyond the side hem, as surplus that is kept
	TurnedAtLead         // likewise at the leading edge
	OffReturn            // trimmed off at the return edge
	OffLead              // trimmed off at the leading edge
	InHem                // the depth of the bottom hem
	InLiningHem          // the depth of the lining's
	InFold               // the depth of the heading fold
	DownFromTop          // from the top edge down to the band
	DownBand             // the height of the tape, or of the buckram
	DownToStitches       // from the top edge down to the lower line of stitches
	OnStitches           // along both of them
	FromReturn           // along the heading from the return edge
	FromLead             // along the heading from the leading edge
	OnHeading            // on the whole heading lying flat
	AcrossHeading        // along the whole of it
	OnMarks              // where each pleat starts and ends
	OnPleat              // what one pleat takes up
	OnLastPleat          // the pleat at the leading edge
	BetweenPleats        // the flat between two of them
	BetweenPoints        // from one point to the next
	DownPocket           // the depth of the rod's tunnel
	OnTab                // on one tab
	AlongTape            // the tape as it is cut, all of it
	AtTapeStart          // the tape as it is cut, its beginning
	OnDrawnUp            // on the panel with its pleats made
	AcrossDrawnUp        // that panel's width
	AcrossFace           // one of its pleats, pressed flat
	OnCords              // the cords at the return edge
	AlongCords           // so much of them drawn out
	AcrossInsert         // a pleat's buckram, along it
	DownInsert           // a pleat's buckram, its height
	OnTube               // the buckram rolled
	AcrossTube           // through the roll
)

// worth is what a number is on a panel, and how it is written.
type worth struct {
	form form
	of   func(*Panel, measure.Unit) measure.Quantity
}

func length(of func(*Panel) measure.Length) worth { return worth{aLength, ofLength(of)} }

// signed is a length that can be below zero.
func signed(of func(*Panel) measure.Length) worth { return worth{signedLength, ofLength(of)} }

func ofLength(of func(*Panel) measure.Length) func(*Panel, measure.Unit) measure.Quantity {
	return func(p *Panel, u measure.Unit) measure.Quantity { return measure.OfLength(of(p), u) }
}

// lengths are places or pleats one by one, at least so many.
func lengths(least int, of func(*Panel) []measure.Length) worth {
	return worth{listOf(least), ofLengths(of)}
}

// signedLengths are places that can lie beyond an edge.
func signedLengths(least int, of func(*Panel) []measure.Length) worth {
	return worth{signedListOf(least), ofLengths(of)}
}

func ofLengths(of func(*Panel) []measure.Length) func(*Panel, measure.Unit) measure.Quantity {
	return func(p *Panel, u measure.Unit) measure.Quantity { return measure.OfLengths(of(p), u) }
}

func count(of func(*Panel) int) worth { return worth{aCount, ofCount(of)} }

// some is a count that is 1 at least.
func some(of func(*Panel) int) worth { return worth{atLeastOne, ofCount(of)} }

func ofCount(of func(*Panel) int) func(*Panel, measure.Unit) measure.Quantity {
	return func(p *Panel, _ measure.Unit) measure.Quantity { return measure.OfCount(of(p)) }
}

func ratio(of func(*Panel) measure.Ratio) worth {
	return worth{aRatio, func(p *Panel, _ measure.Unit) measure.Quantity { return measure.OfRatio(of(p)) }}
}

// widths are counted by halves.
func widths(of func(*Panel) measure.Halves) worth {
	return worth{inHalves, func(p *Panel, _ measure.Unit) measure.Quantity { return measure.OfRatio(of(p).Ratio()) }}
}

// size is a piece's length by its height.
func size(of func(*Panel) (length, height measure.Length)) worth {
	return worth{aSize, func(p *Panel, u measure.Unit) measure.Quantity {
		length, height := of(p)
		return measure.OfSize(length, height, u)
	}}
}

// measured is a piece's length by its width.
func measured(of func(*Panel) (length, width measure.Length)) worth {
	return worth{anArea, func(p *Panel, u measure.Unit) measure.Quantity {
		length, width := of(p)
		return measure.OfSize(length, width, u)
	}}
}

func word(f form, of func(*Panel) string) worth {
	return worth{f, func(p *Panel, _ measure.Unit) measure.Quantity { return measure.OfWord(of(p)) }}
}

// band is how the strip along an edge is cut.
func band(edge orderfile.BandEdge) worth {
	return measured(func(p *Panel) (length, width measure.Length) { b := p.Band(edge); return b.Length, b.Cut })
}

// banded reports of a panel whether it has a band along an edge.
func banded(edge orderfile.BandEdge) func(*Panel) bool {
	return func(p *Panel) bool { return p.Band(edge) != nil }
}

// Numbers returns the rows, in the order of the JSON; those of tickets alone stand at the end.
func Numbers() []*Number {
	list := make([]*Number, len(numbers))
	for i := range numbers {
		list[i] = &numbers[i]
	}
	return list
}

// NumberOf returns the row of a key, nil where no number of a panel is called so.
func NumberOf(key string) *Number {
	i, ok := byKey[key]
	if !ok {
		return nil
	}
	return &numbers[i]
}

// byKey are the places of the rows in their table.
var byKey = func() map[string]int {
	places := make(map[string]int, len(numbers))
	for i := range numbers {
		places[numbers[i].Key] = i
	}
	return places
}()

// Kind returns what kind of quantity the number is. A list of one length is one length, of none Nothing.
func (n *Number) Kind() measure.Kind { return n.form.kind }

// Explained reports whether the number is worked out, so that the JSON has it and a trail explains it.
func (n *Number) Explained() bool { return n.how.worked() }

// Words returns the catalogue keys of the number's formula and of its source, as far as they are alike on every panel.
func (n *Number) Words() []string {
	return slices.DeleteFunc([]string{n.how.always.formula, n.how.always.source}, func(key string) bool { return key == "" })
}

// has reports whether a panel has the number.
func (n *Number) has(p *Panel) bool {
	ofFamily := n.Family == "" || n.Family == p.Family
	return ofFamily && (n.only == nil || n.only(p))
}

// Of returns the number of a panel in an order's unit, Nothing where the panel hasn't it.
func (n *Number) Of(p *Panel, u measure.Unit) measure.Quantity {
	if !n.has(p) {
		return measure.Quantity{}
	}
	return n.of(p, u)
}

// Shown returns the number as a station shows it: as Of, and Nothing where it says nothing that a hand needs.
func (n *Number) Shown(p *Panel, u measure.Unit) measure.Quantity {
	if n.shown != nil && !n.shown(p) {
		return measure.Quantity{}
	}
	return n.Of(p, u)
}

// form is how a number is written in the JSON, and what the schema says of that.
type form struct {
	kind   measure.Kind
	append func(b []byte, q measure.Quantity) []byte
	schema string // its members
}

var (
	aLength      = defined(measure.OneLength, "length")
	signedLength = defined(measure.OneLength, "signedLength")
	aRatio       = defined(measure.Number, "ratio")
	inHalves     = defined(measure.Number, "widths")
	aWord        = form{measure.Word, appendText, `"type": "string"`}
	yes          = form{measure.Word, appendWritten, `"const": true`}
	aCordEnd     = oneOf(orderfile.Wound, orderfile.Tucked, orderfile.Cut)
	aMass        = defined(measure.Weight, "mass")
	aCount       = form{measure.Number, appendCount, `"$ref": "#/$defs/count"`}
	atLeastOne   = form{measure.Number, appendCount, `"type": "integer", "minimum": 1`}
	aSize        = object(measure.Size, member{"length", aLength}, member{"height", aLength})
	anArea       = object(measure.Size, member{"length", aLength}, member{"width", aLength})
	another      = object(measure.Alternative, member{"pleats", atLeastOne}, member{"end_margin", aLength}, member{"finished_width", aLength})
)

func defined(kind measure.Kind, name string) form {
	return form{kind, appendText, `"$ref": "#/$defs/` + name + `"`}
}

func oneOf[W ~string](words ...W) form {
	list, _ := json.Marshal(words)
	return form{measure.Word, appendText, `"enum": ` + strings.ReplaceAll(string(list), ",", ", ")}
}

func listOf(least int) form {
	return form{measure.List, appendList, fmt.Sprintf(`"$ref": "#/$defs/lengths", "minItems": %d`, least)}
}

func signedListOf(least int) form {
	schema := `"type": "array", "items": {"$ref": "#/$defs/signedLength"}`
	if least > 0 {
		schema += fmt.Sprintf(`, "minItems": %d`, least)
	}
	return form{measure.List, appendList, schema}
}

// member is one of the parts that a quantity of several kinds has, by its key.
type member struct {
	key string
	form
}

// object is a quantity whose parts are the members.
func object(kind measure.Kind, members ...member) form {
	var keys, properties []string
	for _, m := range members {
		keys = append(keys, `"`+m.key+`"`)
		properties = append(properties, `"`+m.key+`": {`+m.schema+`}`)
	}
	appendParts := func(b []byte, q measure.Quantity) []byte {
		for i, part := range q.Parts() {
			b = members[i].append(appendKey(b, i == 0, members[i].key), part)
		}
		return append(b, '}')
	}
	return form{kind, appendParts, `"type": "object", "additionalProperties": false, "required": [` + strings.Join(keys, ", ") +
		`], "properties": {` + strings.Join(properties, ", ") + `}`}
}

// appendKey begins a member of an object, and the object with the first.
func appendKey(b []byte, first bool, key string) []byte {
	if first {
		return append(append(append(b, `{"`...), key...), `":`...)
	}
	return append(append(append(b, `,"`...), key...), `":`...)
}

func appendCount(b []byte, q measure.Quantity) []byte {
	return strconv.AppendInt(b, int64(q.Count()), 10)
}

// appendWritten is for a word that is JSON by itself.
func appendWritten(b []byte, q measure.Quantity) []byte { return append(b, q.String()...) }

func appendText(b []byte, q measure.Quantity) []byte {
	if q.Kind() == measure.Word {
		text, _ := json.Marshal(q) // a text is always one
		return append(b, text...)
	}
	return append(append(append(b, '"'), q.String()...), '"')
}

func appendList(b []byte, q measure.Quantity) []byte {
	b = append(b, '[')
	for i, part := range q.Parts() {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendText(b, part)
	}
	return append(b, ']')
}

// PanelDocument is one panel's: its numbers by their rows, in the order of the rows, a count as a number, lists as lists and the
// others as text.
type PanelDocument struct {
	Panel   PanelID
	Numbers []NumberDocument
	Bands   []BandDocument
	Trail   map[string]StepDocument
}

// NumberDocument is a panel's number.
type NumberDocument struct {
	Number *Number
	Value  measure.Quantity
}

// MarshalJSON writes the keys of the rows.
func (p PanelDocument) MarshalJSON() ([]byte, error) {
	const room = 2048
	b := append(appendKey(make([]byte, 0, room), true, "panel"), '"')
	b = append(append(b, p.Panel...), '"')
	for _, n := range p.Numbers {
		b = n.Number.form.append(appendKey(b, false, n.Number.Key), n.Value)
	}
	if len(p.Bands) > 0 {
		bands, err := json.Marshal(p.Bands)
		if err != nil {
			return nil, err
		}
		b = append(appendKey(b, false, "bands"), bands...)
	}
	if len(p.Trail) > 0 {
		trail, err := json.Marshal(p.Trail)
		if err != nil {
			return nil, err
		}
		b = append(appendKey(b, false, "trail"), trail...)
	}
	return append(b, '}'), nil
}
