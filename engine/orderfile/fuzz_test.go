package orderfile_test

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/goccy/go-yaml"

	"tablehand/engine"
	"tablehand/engine/orderfile"
)

// sentences are the catalogue's English problems.
var sentences = sync.OnceValues(func() (map[string]any, error) {
	raw, err := os.ReadFile(filepath.Join("..", "..", "views", "i18n", "locales", "en.yaml"))
	if err != nil {
		return nil, err
	}
	var said map[string]any
	return said, yaml.Unmarshal(raw, &said)
})

// checkSentence holds a problem against what every problem of a file must have, and its sentence in the catalogue
// against the arguments that it has.
func checkSentence(t *testing.T, p engine.Problem) {
	t.Helper()
	said, err := sentences()
	if err != nil {
		t.Fatal(err)
	}
	sentence, ok := said[p.MessageKey()].(string)
	if !ok || p.Code == "" || p.Severity == "" || p.Line < 1 || p.Column < 1 {
		t.Errorf("no sentence, code, severity or place: %+v", p)
	}
	for _, part := range strings.Split(sentence, "{{")[1:] {
		action, _, _ := strings.Cut(part, "}}")
		name := action[strings.LastIndex(action, ".")+1:]
		if _, given := p.Args[strings.TrimSpace(name)]; !given {
			t.Errorf("the sentence %q wants %q, which %+v lacks", p.MessageKey(), name, p)
		}
	}
}

// FuzzParse holds any bytes against the promises of Parse: no panic, an order or an error, and every problem with a
// place inside the file and a sentence.
func FuzzParse(f *testing.F) {
	f.Add([]byte(base))
	for _, c := range badFiles {
		if len(c.file) < 1000 { // mutating the giants takes all of the time
			f.Add([]byte(c.file))
		}
	}
	for _, name := range exampleFiles(f) {
		raw, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		order, problems := orderfile.Parse(src)
		if (order == nil) != engine.AnyError(problems) {
			t.Errorf("order %v with %+v", order, problems)
		}
		lines := strings.Count(string(src), "\n") + strings.Count(string(src), "\r") + 1
		for _, p := range problems {
			checkSentence(t, p)
			if p.Line > lines || p.Column > len(src)+1 {
				t.Errorf("%d:%d is outside the file", p.Line, p.Column)
			}
		}
	})
}
