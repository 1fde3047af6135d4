package server

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"tablehand/server/books"
)

// TestBooksDocumented holds the description of the books' addresses and entries to the tables of their fields; with -update it
// writes them.
func TestBooksDocumented(t *testing.T) {
	const file = "openapi.yaml"
	text := string(openapiYAML)
	for _, part := range []struct{ name, want string }{{"addresses", bookPaths()}, {"entries", bookSchemas()}} {
		begin, end := "  # books' "+part.name+", written by TestBooksDocumented -update\n", "  # end of the books' "+part.name+"\n"
		before, rest, ok := strings.Cut(text, begin)
		kept, after, ok2 := strings.Cut(rest, end)
		if !ok || !ok2 {
			t.Fatalf("%s has no place for the books' %s", file, part.name)
		}
		if kept != part.want && !*update {
			t.Errorf("%s: the books' %s are not what their fields are: run this test with -update", file, part.name)
		}
		text = before + begin + part.want + end + after
	}
	if *update {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// bookPaths are the addresses of all books.
func bookPaths() string {
	var b strings.Builder
	for _, d := range books.All() {
		one := strings.TrimSuffix(string(d.Book), "s")
		kind := strings.ToUpper(one[:1]) + one[1:]
		entry := fmt.Sprintf("{$ref: \"#/components/schemas/%s\"}", kind)
		answers := func(status, said string) string {
			return fmt.Sprintf("        %q: {description: %s., content: {application/json: {schema: %s}}}\n        default: {$ref: \"#/components/responses/Refused\"}\n", status, said, entry)
		}
		operation := func(method, id, summary string) {
			fmt.Fprintf(&b, "    %s:\n      tags: [books]\n      operationId: %s\n      summary: %q\n", method, id, summary)
		}
		sent := fmt.Sprintf("      requestBody: {required: true, content: {application/json: {schema: %s}}}\n", entry)
		short := func(properties, required string) string {
			return fmt.Sprintf("      requestBody: {required: %s, content: {application/json: {schema: {type: object, additionalProperties: false, properties: {%s}}}}}\n", required, properties)
		}
		fmt.Fprintf(&b, "  /api/%s:\n", d.Book)
		operation("get", "list"+kind+"s", "Entries by name, those first whose name begins as asked.")
		b.WriteString("      parameters:\n" +
			"        - {name: find, in: query, description: The beginnings of words., schema: {type: string, maxLength: 100}}\n" +
			"        - {name: limit, in: query, description: How many at most., schema: {type: integer, minimum: 1, default: 100}}\n" +
			"        - {name: from, in: query, description: How many to pass over., schema: {type: integer, minimum: 0, default: 0}}\n" +
			"        - {name: aside, in: query, description: Those set aside too., schema: {type: boolean, default: false}}\n      responses:\n")
		fmt.Fprintf(&b, "        \"200\":\n          description: The entries.\n          content:\n            application/json:\n              schema:\n                type: object\n"+
			"                additionalProperties: false\n                required: [%s, total]\n                properties: {%s: {type: array, items: %s}, total: {type: integer}}\n", d.Book, d.Book, entry)
		b.WriteString("        default: {$ref: \"#/components/responses/Refused\"}\n")
		operation("post", "add"+kind, "Add an entry. A name that another has, but for case, accents and spaces, is refused as name_taken, where has its id.")
		b.WriteString(sent + "      responses:\n" + answers("201", "Added"))
		fmt.Fprintf(&b, "  /api/%s/{%s}:\n    parameters: [{name: %s, in: path, required: true, schema: {type: string}}]\n", d.Book, d.IDKey, d.IDKey)
		operation("get", "show"+kind, "An entry, or that into which it was merged.")
		b.WriteString("      responses:\n" + answers("200", "The entry"))
		operation("put", "change"+kind, "Replace an entry, but for what who asks isn't shown. With a version that is not the newest: changed_meanwhile.")
		b.WriteString(sent + "      responses:\n")
		if d.Keyed {
			fmt.Fprintf(&b, "        \"201\": {description: There was none; added., content: {application/json: {schema: %s}}}\n", entry)
		}
		b.WriteString(answers("200", "Changed"))
		more := func(name, method string) {
			fmt.Fprintf(&b, "  /api/%s/{%s}/%s:\n    parameters: [{name: %s, in: path, required: true, schema: {type: string}}]\n", d.Book, d.IDKey, name, d.IDKey)
		}
		more("set_aside", "post")
		operation("post", "setAside"+kind, "Propose an entry no longer, or with back again. What it was used for stays.")
		b.WriteString(short(`back: {type: boolean}, key: {$ref: "#/components/schemas/Key"}`, "false") + "      responses:\n" + answers("200", "The entry"))
		more("merge", "post")
		moves, reason := "Names, history", ""
		if d.Book == books.Cloths {
			moves, reason = "Names, history, bolts", "reason: {type: string}, "
		}
		operation("post", "merge"+kind, "Have another entry go on in its place. "+moves+" and links move, and what only this one says.")
		b.WriteString(short(`into: {type: string}, `+reason+`key: {$ref: "#/components/schemas/Key"}`, "true") + "      responses:\n" + answers("200", "The other entry"))
		more("history", "get")
		operation("get", "history"+kind, "What was done to the entry and to those merged into it, the newest first.")
		b.WriteString("      responses:\n        \"200\": {description: The history., content: {application/json: {schema: {$ref: \"#/components/schemas/History\"}}}}\n" +
			"        default: {$ref: \"#/components/responses/Refused\"}\n")
		fmt.Fprintf(&b, "  /api/import/%s:\n", d.Book)
		operation("post", "import"+kind+"s", "Take a CSV file in, all of it or nothing: what has the id or the name of an entry changes that one.")
		b.WriteString("      parameters:\n        - {name: map, in: query, description: \"Which column is which field, a JSON object by the column's name; an empty text leaves it out. What isn't said is as it was the last time, else by key and label.\", schema: {type: string}}\n" +
			"        - {name: try, in: query, description: Takes nothing., schema: {type: boolean, default: false}}\n        - {$ref: \"#/components/parameters/Key\"}\n" +
			"      requestBody: {required: true, content: {text/csv: {schema: {type: string}}}}\n" +
			"      responses:\n        \"200\": {description: \"What it brought: nothing where there is a problem.\", content: {application/json: {schema: {$ref: \"#/components/schemas/Imported\"}}}}\n" +
			"        default: {$ref: \"#/components/responses/Refused\"}\n")
		fmt.Fprintf(&b, "  /api/export/%s.csv:\n", d.Book)
		operation("get", "export"+kind+"s", "The table that takes the book in again; those set aside too.")
		b.WriteString("      responses:\n        \"200\": {description: The table., content: {text/csv: {schema: {type: string}}}}\n        default: {$ref: \"#/components/responses/Refused\"}\n")
	}
	return b.String()
}

// bookSchemas are the shapes of all books' entries, as they are sent and answered.
func bookSchemas() string {
	var b strings.Builder
	for _, d := range books.All() {
		one := strings.TrimSuffix(string(d.Book), "s")
		properties := map[string]any{d.IDKey: map[string]any{"type": "string"}, "version": map[string]any{"type": "integer"},
			"set_aside": map[string]any{"type": "boolean"}, "key": map[string]any{"$ref": "#/components/schemas/Key"}}
		for _, key := range d.Counted {
			properties[key] = map[string]any{"type": "string"} // as they are answered; sent back they say nothing
			if key == "bolts" || key == "remnants" {
				properties[key] = map[string]any{"type": "integer"}
			}
		}
		for _, f := range d.Fields {
			into, key := properties, f.Key
			if outer, inner, nested := strings.Cut(f.Key, "."); nested {
				if properties[outer] == nil {
					properties[outer] = map[string]any{"type": "object", "additionalProperties": false, "properties": map[string]any{}}
				}
				into, key = properties[outer].(map[string]any)["properties"].(map[string]any), inner
			}
			into[key] = schemaOf(f.Kind)
		}
		schema, err := json.Marshal(map[string]any{"type": "object", "additionalProperties": false, "properties": properties})
		if err != nil {
			panic(err)
		}
		fmt.Fprintf(&b, "    %s%s: %s\n", strings.ToUpper(one[:1]), one[1:], schema)
	}
	return b.String()
}

// schemaOf is the shape of a field's value. Numbers may be sent as texts, and an empty text takes a value away.
func schemaOf(k books.Kind) map[string]any {
	text := map[string]any{"type": "string"}
	or := func(other map[string]any) map[string]any { return map[string]any{"anyOf": []any{other, text}} }
	switch k.Form {
	case books.List:
		return map[string]any{"type": "array", "items": text}
	case books.Pairs:
		return map[string]any{"type": "object", "additionalProperties": text}
	case books.Choice:
		return map[string]any{"type": "string", "enum": append([]string{""}, k.Words...)}
	case books.Flag:
		return or(map[string]any{"type": "boolean"})
	case books.Whole:
		return or(map[string]any{"type": "integer"})
	case books.Amount:
		return or(map[string]any{"$ref": "#/components/schemas/Money"})
	}
	return text
}
