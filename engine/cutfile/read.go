// Package cutfile reads problems of cutting as programs write them, and writes plans: JSON, lengths as text with their unit.
package cutfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// File is a problem with the names that its bolts and cuts have in the file. In the problem each single bolt and cut has an id of its
// own.
type File struct {
	Problem cutting.Problem
	Units   measure.Unit
	Costed  bool // some bolt says what it costs
	// Gone are stretches of bolts, flaws to the problem, that are none: they are cut already, or others are to be cut from them.
	Gone   map[string][]cutting.Span
	bolts  []named
	cuts   []named
	boltOf map[string]named // by the problem's id
	cutOf  map[string]string
}

// named is an entry of the file, or one of those that it counts.
type named struct {
	id    string
	index int // from 1; of an entry how many
}

// most bounds what one file may count.
const most = 100_000

type problemDocument struct {
	Units          string          `json:"units"`
	Kerf           string          `json:"kerf"`
	EndAllowance   string          `json:"end_allowance"`
	VerticalRepeat string          `json:"vertical_repeat"`
	Match          string          `json:"match"`
	MinRemnant     string          `json:"min_remnant"`
	Objective      string          `json:"objective"`
	Bolts          []boltDocument  `json:"bolts"`
	Cuts           []cutDocument   `json:"cuts"`
	Groups         []groupDocument `json:"groups"`
}

type boltDocument struct {
	ID             string         `json:"id"`
	Length         string         `json:"length"`
	Count          *int           `json:"count"`
	Lot            string         `json:"lot"`
	FirstRepeat    string         `json:"first_repeat"`
	VerticalRepeat string         `json:"vertical_repeat"`
	Remnant        bool           `json:"remnant"`
	Opened         bool           `json:"opened"`
	Cost           *int64         `json:"cost"`
	Flaws          []flawDocument `json:"flaws"`
}

type flawDocument struct {
	From string `json:"from"`
	To   string `json:"to"`
}

type cutDocument struct {
	ID     string `json:"id"`
	Length string `json:"length"`
	Count  *int   `json:"count"`
	Group  string `json:"group"`
	Class  string `json:"class"`
}

type groupDocument struct {
	Group string   `json:"group"`
	Lots  []string `json:"lots"`
}

// Read reads a problem. It returns every problem of the file; one that is an error leaves no File.
func Read(data []byte) (*File, []engine.Problem) {
	var d problemDocument
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&d); err != nil {
		return nil, []engine.Problem{unreadable(data, err, dec.InputOffset())}
	}
	r := &reader{file: &File{boltOf: map[string]named{}, cutOf: map[string]string{}}}
	r.read(&d)
	if len(r.problems) > 0 {
		return nil, r.problems
	}
	return r.file, nil
}

// unreadable is what keeps JSON from being read, and where.
func unreadable(data []byte, err error, offset int64) engine.Problem {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	where := ""
	switch {
	case errors.As(err, &syntax):
		offset = syntax.Offset
	case errors.As(err, &kind):
		offset, where = kind.Offset, kind.Field
	}
	before := string(data[:min(int(offset), len(data))])
	line := 1 + strings.Count(before, "\n")
	column := len([]rune(before[strings.LastIndex(before, "\n")+1:]))
	return engine.Problem{Severity: engine.Error, Code: "syntax", Key: "problem.syntax.json", Where: where, Line: line, Column: max(1, column),
		Args: map[string]any{"Reason": strings.TrimPrefix(err.Error(), "json: ")}}
}

// Of is a problem that no file has, with its own names.
func Of(p cutting.Problem, units measure.Unit) *File {
	f := &File{Problem: p, Units: units, Gone: map[string][]cutting.Span{}, boltOf: map[string]named{}, cutOf: map[string]string{}}
	for i := range p.Bolts {
		f.bolts = append(f.bolts, named{p.Bolts[i].ID, 1})
	}
	for i := range p.Cuts {
		f.cuts = append(f.cuts, named{p.Cuts[i].ID, 1})
	}
	return f
}

type reader struct {
	file     *File
	problems []engine.Problem
}

func (r *reader) wrong(where, code, kind string, args ...any) {
	key := "problem." + code
	if kind != "" {
		key += "." + kind
	}
	p := engine.Problem{Severity: engine.Error, Code: code, Key: key, Where: where, Units: r.file.Units, Args: map[string]any{"Key": where}}
	for i := 0; i < len(args); i += 2 {
		p.Args[args[i].(string)] = args[i+1]
	}
	r.problems = append(r.problems, p)
}

func (r *reader) read(d *problemDocument) {
	f := r.file
	f.Units = measure.Unit(r.oneOf("units", d.Units, "mm", "mm", "cm", "m", "in", "ft", "yd"))
	p := &f.Problem
	p.Kerf = r.length("kerf", d.Kerf, true)
	p.EndAllowance = r.length("end_allowance", d.EndAllowance, true)
	p.VerticalRepeat = r.length("vertical_repeat", d.VerticalRepeat, true)
	p.MinRemnant = r.length("min_remnant", d.MinRemnant, true)
	half := r.oneOf("match", d.Match, "straight", "straight", "half_drop") == "half_drop"
	p.Aim = cutting.Aim(r.oneOf("objective", d.Objective, "bolts", "bolts", "length", "cost"))
	f.Costed = slices.ContainsFunc(d.Bolts, func(b boltDocument) bool { return b.Cost != nil })
	for i := range d.Bolts {
		r.bolt(fmt.Sprintf("bolts[%d]", i), &d.Bolts[i])
	}
	for i := range d.Cuts {
		r.cut(fmt.Sprintf("cuts[%d]", i), &d.Cuts[i], half)
	}
	p.Bound = map[string][]string{}
	for _, g := range d.Groups {
		if g.Group != "" && len(g.Lots) > 0 {
			p.Bound[g.Group] = append(p.Bound[g.Group], g.Lots...)
		}
	}
}

func (r *reader) oneOf(where, text, usual string, words ...string) string {
	if text == "" {
		return usual
	}
	if !slices.Contains(words, text) {
		r.wrong(where, "bad_value", "none_of", "Text", text, "Known", words)
		return usual
	}
	return text
}

// length reads a length; one that may be left out is 0 then, any other is more.
func (r *reader) length(where, text string, optional bool) measure.Length {
	if text == "" && optional {
		return 0
	}
	l, err := measure.Parse(text, r.file.Units)
	var bad *measure.ParseError
	switch {
	case errors.As(err, &bad):
		r.wrong(where, "bad_length", string(bad.Reason), "Text", text, "Part", bad.Part)
	case l < 0:
		r.wrong(where, "negative", "", "Text", text)
	case l == 0 && !optional:
		r.wrong(where, "bad_value", "zero")
	case l > 10_000*measure.Metre:
		r.wrong(where, "absurd", "over", "Text", l, "Most", 10_000*measure.Metre)
	}
	return l
}

// count reads how many; absent is one.
func (r *reader) count(where string, n *int) int {
	switch {
	case n == nil:
		return 1
	case *n < 0:
		r.wrong(where, "bad_value", "few", "Text", strconv.Itoa(*n), "Least", 0)
		return 0
	case *n > most || len(r.file.Problem.Bolts)+*n > most || len(r.file.Problem.Cuts)+*n > most:
		r.wrong(where, "absurd", "count", "Text", strconv.Itoa(*n), "Most", most)
		return 0
	}
	return *n
}

// name holds an id to those before it.
func (r *reader) name(where, id string, before []named) {
	if id == "" {
		r.wrong(where, "bad_value", "blank")
	}
	if slices.ContainsFunc(before, func(n named) bool { return n.id == id }) {
		r.wrong(where, "duplicate", "name", "Text", id)
	}
}

func (r *reader) bolt(where string, d *boltDocument) {
	f := r.file
	r.name(where+".id", d.ID, f.bolts)
	b := cutting.Bolt{Length: r.length(where+".length", d.Length, false), Lot: d.Lot, Remnant: d.Remnant, Opened: d.Opened,
		FirstRepeat: r.length(where+".first_repeat", d.FirstRepeat, true), VerticalRepeat: r.length(where+".vertical_repeat", d.VerticalRepeat, true)}
	b.Cost = int64(b.Length)
	if d.Cost != nil {
		if b.Cost = *d.Cost; b.Cost < 0 || b.Cost > 1<<40 {
			r.wrong(where+".cost", "bad_value", "few", "Text", strconv.FormatInt(b.Cost, 10), "Least", 0)
		}
	}
	for i, flaw := range d.Flaws {
		at := fmt.Sprintf("%s.flaws[%d]", where, i)
		span := cutting.Span{From: r.length(at+".from", flaw.From, true), To: r.length(at+".to", flaw.To, true)}
		if span.From > span.To {
			r.wrong(at+".to", "bad_value", "flaw_ends", "Text", flaw.To, "From", span.From)
		}
		b.Flaws = append(b.Flaws, span)
	}
	n := r.count(where+".count", d.Count)
	f.bolts = append(f.bolts, named{d.ID, n})
	for i := range n {
		b.ID = single(d.ID, i+1, n)
		f.boltOf[b.ID] = named{d.ID, i + 1}
		f.Problem.Bolts = append(f.Problem.Bolts, b)
	}
}

// single names one of those that an entry counts.
func single(id string, index, of int) string {
	if of == 1 {
		return id
	}
	return id + "\x1f" + strconv.Itoa(index)
}

func (r *reader) cut(where string, d *cutDocument, half bool) {
	f := r.file
	r.name(where+".id", d.ID, f.cuts)
	c := cutting.Cut{Length: r.length(where+".length", d.Length, false), Group: d.Group}
	if class := r.oneOf(where+".class", d.Class, "A", "A", "B"); half && class == "B" {
		c.Start = f.Problem.VerticalRepeat.Div(2)
	}
	n := r.count(where+".count", d.Count)
	f.cuts = append(f.cuts, named{d.ID, n})
	for i := range n {
		c.ID = single(d.ID, i+1, n)
		f.cutOf[c.ID] = d.ID
		f.Problem.Cuts = append(f.Problem.Cuts, c)
	}
}

// BoltName is a bolt as the file names it, and which of those that it counts under that name, from 1.
func (f *File) BoltName(id string) (name string, index int) {
	n, known := f.boltOf[id]
	if !known {
		return id, 1
	}
	return n.id, n.index
}

// CutName is a cut as the file names it.
func (f *File) CutName(id string) string {
	if name, known := f.cutOf[id]; known {
		return name
	}
	return id
}
