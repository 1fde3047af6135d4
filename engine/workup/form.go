package workup

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

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
	aCordEnd     = oneOf(orderfile.Wound, orderfile.Tucked, orderfile.Cut)
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
	if len(p.Trail) > 0 {
		trail, err := json.Marshal(p.Trail)
		if err != nil {
			return nil, err
		}
		b = append(appendKey(b, false, "trail"), trail...)
	}
	return append(b, '}'), nil
}
