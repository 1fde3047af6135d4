package orderfile_test

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"tablehand/engine/orderfile"
)

// exampleFiles are whole order files: the example and the one with every key.
func exampleFiles(t testing.TB) []string {
	var names []string
	for _, pattern := range []string{"contract/order*.yaml", "orderfile/*.yaml"} {
		found, err := filepath.Glob(filepath.Join("..", "..", "testdata", pattern))
		if err != nil || len(found) == 0 {
			t.Fatalf("no example %s: %v", pattern, err)
		}
		names = append(names, found...)
	}
	return names
}

func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	s, err := c.Compile("order.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// asJSON turns YAML into what the schema is held against.
func asJSON(t *testing.T, src []byte) any {
	t.Helper()
	raw, err := yaml.YAMLToJSON(src)
	if err != nil {
		t.Fatal(err)
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestExamplesFitTheSchema(t *testing.T) {
	s := schema(t)
	for _, name := range exampleFiles(t) {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(asJSON(t, src)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if _, problems := orderfile.Parse(src); len(problems) > 0 {
			t.Errorf("%s: %+v", name, problems)
		}
	}
}

// TestSchemaRefuses holds the schema against the faults that it can see: unknown and missing keys, words that are
// none, and forms that are wrong.
func TestSchemaRefuses(t *testing.T) {
	s := schema(t)
	for _, c := range badValues {
		code, _, _ := strings.Cut(c.told[0], " ")
		file := changed(t, c.changes)
		if !slices.Contains([]string{"unknown_key", "negative"}, code) && c.name != "unknown draw" && c.name != "stationary without its width" &&
			c.name != "hang and finished length" && c.name != "no face" || strings.Contains(file, "<<") {
			continue
		}
		if s.Validate(asJSON(t, []byte(file))) == nil {
			t.Errorf("%s: the schema takes it", c.name)
		}
	}
}

// TestSchemaAndReaderKnowTheSameKeys: the full example, which the reader takes, has every key of the schema but for conventions,
// whose part of the schema is written from their rows.
func TestSchemaAndReaderKnowTheSameKeys(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "orderfile", "full.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	written := map[string]bool{}
	gather(asJSON(t, src), written)
	raw, err := os.ReadFile("order.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	properties(asJSON(t, raw), known)
	for _, r := range orderfile.AllConventions() {
		delete(known, r.Key)
	}
	for _, r := range orderfile.HeadingConventions() {
		delete(known, string(r.Heading))
		delete(known, r.Field)
	}
	for _, key := range []string{"headings", "like", "name"} { // of conventions too
		delete(known, key)
	}
	for key := range known {
		if !written[key] {
			t.Errorf("the full example lacks %s", key)
		}
	}
}

// gather notes the keys of a document.
func gather(v any, keys map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		for k, sub := range v {
			keys[k] = true
			gather(sub, keys)
		}
	case []any:
		for _, sub := range v {
			gather(sub, keys)
		}
	}
}

// properties notes the keys that a schema names.
func properties(v any, keys map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		for k, sub := range v {
			if props, ok := sub.(map[string]any); ok && k == "properties" {
				for name := range props {
					keys[name] = true
				}
			}
			properties(sub, keys)
		}
	case []any:
		for _, sub := range v {
			properties(sub, keys)
		}
	}
}
