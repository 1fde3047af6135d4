package workup_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	s, err := jsonschema.NewCompiler().Compile("workup.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// fits holds a document against the schema.
func fits(s *jsonschema.Schema, raw []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		return err
	}
	return s.Validate(v)
}

func contractFile(t *testing.T, name string) []byte {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "contract", name))
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// TestExamplesFitTheSchema: what the examples have is as the schema says. They may lack what later versions add.
func TestExamplesFitTheSchema(t *testing.T) {
	raw, err := os.ReadFile("workup.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	lenient, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	panel := lenient.(map[string]any)["$defs"].(map[string]any)["panel"].(map[string]any)
	delete(panel, "required")
	delete(panel, "oneOf")
	c := jsonschema.NewCompiler()
	if err := c.AddResource("lenient.json", lenient); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("lenient.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"workup.json", "workup-explained.json", "workup-refused.json"} {
		if err := fits(s, contractFile(t, name)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A file that can't be used gives its problems alone.
func TestRefusedDocument(t *testing.T) {
	raw, err := json.Marshal(workup.RefusedDocument([]engine.Problem{{Severity: engine.Error, Code: "syntax", Line: 3, Column: 1}}, sayCode))
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"problems":[{"severity":"error","code":"syntax","where":"","message":"syntax","line":3,"column":1}]}`; string(raw) != want {
		t.Errorf("%s, want %s", raw, want)
	}
	if err := fits(schema(t), raw); err != nil {
		t.Error(err)
	}
}

func TestSchemaRefuses(t *testing.T) {
	s := schema(t)
	whole := string(contractFile(t, "workup.json"))
	for _, c := range [][2]string{
		{`"finished_width": "48.5in"`, `"finished_width": "48.5"`},
		{`"finished_width": "48.5in"`, `"finished_width": "48.50in"`},
		{`"pleats": 19`, `"pleats": "19"`},
		{`"stack_back"`, `"stackback"`},
		{`"to_order": "17.25yd"`, `"to_order": "621in"`},
		{`"totals"`, `"total"`},
	} {
		changed := strings.Replace(whole, c[0], c[1], 1)
		if changed == whole {
			t.Fatalf("%s is not in the example", c[0])
		}
		if fits(s, []byte(changed)) == nil {
			t.Errorf("%s passes", c[1])
		}
	}
}

// What the examples say the example order still gives, key by key in their order, beside what later versions add: the
// keys are promises. The sentences are the catalogue's and stand for themselves.
func TestDocumentIsTheExample(t *testing.T) {
	o, problems := orderfile.Parse(contractFile(t, "order.yaml"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	w := workup.Compute(o)
	for name, explain := range map[string]bool{"workup.json": false, "workup-explained.json": true} {
		var example any
		var sentences struct{ Problems []workup.ProblemDocument }
		if err := errors.Join(json.Unmarshal(contractFile(t, name), &example), json.Unmarshal(contractFile(t, name), &sentences)); err != nil {
			t.Fatal(err)
		}
		next := -1
		say := func(engine.Problem) string {
			next++
			return sentences.Problems[min(next, len(sentences.Problems)-1)].Message
		}
		raw, err := json.Marshal(w.Document(explain, say, func(key string) string { return key }))
		if err != nil {
			t.Fatal(err)
		}
		var doc any
		if err := json.Unmarshal(raw, &doc); err != nil {
			t.Fatal(err)
		}
		wordless(example)
		wordless(doc)
		if diff := cmp.Diff(example, asFarAs(example, doc)); diff != "" {
			t.Errorf("%s (−file +now):\n%s", name, diff)
		}
	}
	indented, err := json.MarshalIndent(w.Document(false, sayCode, nil), "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	want := keys(contractFile(t, "workup.json"))
	if got := slices.DeleteFunc(keys(indented), func(key string) bool { return !slices.Contains(want, key) }); !slices.Equal(got, want) {
		t.Errorf("keys in the order\n%s\nwant\n%s", got, want)
	}
}

// asFarAs leaves of a document the keys that an example has.
func asFarAs(example, doc any) any {
	switch doc := doc.(type) {
	case map[string]any:
		of, _ := example.(map[string]any)
		known := map[string]any{}
		for key, v := range doc {
			if sub, ok := of[key]; ok {
				known[key] = asFarAs(sub, v)
			}
		}
		return known
	case []any:
		of, _ := example.([]any)
		for i := range min(len(doc), len(of)) {
			doc[i] = asFarAs(of[i], doc[i])
		}
	}
	return doc
}

// wordless leaves of the steps in a document what isn't the catalogue's.
func wordless(v any) {
	switch v := v.(type) {
	case map[string]any:
		if v["formula"] != nil && v["inputs"] != nil {
			v["formula"] = "…"
			if v["source"] != nil {
				v["source"] = "…"
			}
		}
		for _, sub := range v {
			wordless(sub)
		}
	case []any:
		for _, sub := range v {
			wordless(sub)
		}
	}
}

// keys lists a document's keys in the order written.
func keys(raw []byte) (list []string) {
	for line := range strings.Lines(string(raw)) {
		if key, _, ok := strings.Cut(strings.TrimSpace(line), `": `); ok {
			list = append(list, strings.TrimPrefix(key, `"`))
		}
	}
	return list
}

func TestEveryDocumentFitsTheSchema(t *testing.T) {
	s := schema(t)
	rapid.Check(t, func(t *rapid.T) {
		w := workup.Compute(randomOrder(t))
		raw, err := json.Marshal(w.Document(rapid.Bool().Draw(t, "explain"), sayCode, func(key string) string { return key }))
		if err != nil {
			t.Fatal(err)
		}
		if err := fits(s, raw); err != nil {
			t.Fatalf("%v\n%s", err, raw)
		}
	})
}

// What doesn't apply is absent, what is empty is an empty list, and only a left-out treatment makes totals incomplete.
func TestAbsentAndEmpty(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].VerticalRepeat = 0
	stationary(o, inches("9"))
	o.Treatments[0].Lining = ""
	o.Fabrics[0].Bolts = bolts("40")
	text := func() string {
		raw, err := json.Marshal(workup.Compute(o).Document(false, sayCode, nil))
		if err != nil {
			t.Fatal(err)
		}
		return string(raw)
	}
	got := text()
	for _, absent := range []string{"repeats_per_cut", "alternative", "trail", "incomplete", "null"} {
		if strings.Contains(got, absent) {
			t.Errorf("%s in %s", absent, got)
		}
	}
	if !strings.Contains(got, `"seams":[]`) {
		t.Errorf("no empty seams in %s", got)
	}
	stationary(o, inches("3"))
	got = text()
	if !strings.Contains(got, `"treatments":[{"window":"Bay, left","heading":"cartridge-tape","quantity":1}],"totals":{"fabrics":[],"tape":[],"buckram":[],"thread":[],"hooks":[],"incomplete":true}`) {
		t.Errorf("left out: %s", got)
	}
	o.Treatments[0].CordEnd = orderfile.Cut
	stationary(o, inches("9"))
	o.Conventions.HeadingFold = inches("5")
	if got := text(); !strings.Contains(got, `"problems":[]`) {
		t.Errorf("no problems: %s", got)
	}
}

// TestTrailsSayWhatTheyComeFrom: every input of a step is a number of the panel, with its value, or a given.
func TestTrailsSayWhatTheyComeFrom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := randomOrder(t)
		for _, treatment := range workup.Compute(o).Treatments {
			for i := range treatment.Panels {
				p := &treatment.Panels[i]
				for _, step := range p.Trail {
					for _, in := range step.Inputs {
						n := workup.NumberOf(in.Name)
						if !workup.Known(in.Name) {
							t.Errorf("%s is worked out from %s, which is neither a number (engine/workup/numbers.go) nor one of the givens (trail.go)", step.Name, in.Name)
						} else if n != nil && n.Explained() && in.Value != n.Of(p, o.Units) {
							t.Errorf("%s is worked out from %s = %s, the panel has %s", step.Name, in.Name, in.Value, n.Of(p, o.Units))
						}
					}
				}
			}
		}
	})
}
