package orderfile_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"tablehand/engine/orderfile"
)

// badFiles can't be read as one YAML mapping: that is told alone.
var badFiles = []struct{ name, file, told string }{
	{"empty", "", "syntax.empty 1:1"},
	{"blank", " \n\n", "syntax.empty 1:1"},
	{"comments alone", "# nothing yet\n", "syntax.empty 1:1"},
	{"null", "~\n", "bad_value.mapping 1:1"},
	{"text", "hello\n", "bad_value.mapping 1:1"},
	{"number", "42", "bad_value.mapping 1:1"},
	{"list", "# x\n- order: T-1\n", "bad_value.mapping 2:1"},
	{"anchor", "&a {order: T-1}\n", "not_supported.yaml 1:1"},
	{"two documents", "order: T-1\n---\nunits: in\n", "syntax.documents 3:1"},
	{"many documents", strings.Repeat("---\na: 1\n", 9), "syntax.documents 9:1"},
	{"open list", "order: [T-1\nunits: in\n", "syntax 2:1"},
	{"open quote", "order: 'T-1\nunits: in\n", "syntax 1:8"},
	{"tab for indent", "order: T-1\ntreatments:\n\t- window: a\n", "syntax 3:1"},
	{"wrong indent", "order: T-1\n units: in\n", "syntax 1:8"},
	{"two colons", "order: T-1: x\n", "syntax 1:8"},
	{"reserved", "order: @T\n", "syntax 1:8"},
	{"NUL", "order: T\x00\n", "syntax.control 1:9"},
	{"bell", "order: T-1\nunits: é\x07\n", "syntax.control 2:9"},
	{"not UTF-8", "order: T-1\nunits: é\xff\n", "syntax.encoding 2:9"},
	{"UTF-16", "\xff\xfeo\x00r\x00", "syntax.encoding 1:1"},
	{"binary", "\x00\x01\x02\xff", "syntax.control 1:1"},
	{"deep brackets", strings.Repeat("[", 65), "syntax.nesting 1:65"},
	{"very deep brackets", strings.Repeat("[", 1<<18), "syntax.nesting 1:65"},
	{"deep dashes", strings.Repeat("- ", 1<<18), "syntax.nesting 1:129"},
	{"endless brackets", strings.Repeat("[", 4<<20), "syntax.long 1:400001"},
	{"endless lines", "order: X\n" + strings.Repeat("a\n", 400_000), "syntax.long 400001:1"},
	{"endless values", "x: [" + strings.Repeat("a,", 1<<20), "syntax.long 1:800002"},
	{"deep tags", strings.Repeat("!!a ", 1<<16), "syntax.nesting 1:193"},
	{"deep questions", strings.Repeat("? ", 1<<18), "syntax.nesting 1:129"},
	{"many keys", strings.Repeat("a: 1\n", 501), "syntax.keys 501:2"},
	{"very many keys", strings.Repeat("&a k: 1\n", 1<<16), "syntax.keys 501:5"},
}

func TestBadFiles(t *testing.T) {
	for _, c := range badFiles {
		t.Run(c.name, func(t *testing.T) {
			order, problems := orderfile.Parse([]byte(c.file))
			if order != nil || len(problems) != 1 {
				t.Fatalf("got %+v", problems)
			}
			p := problems[0]
			if got := fmt.Sprintf("%s %d:%d", strings.TrimPrefix(p.MessageKey(), "problem."), p.Line, p.Column); got != c.told {
				t.Errorf("told %q, want %q", got, c.told)
			}
			checkSentence(t, p)
		})
	}
}

// TestOtherForms are files that YAML lets be written otherwise than one would: they count.
func TestOtherForms(t *testing.T) {
	forms := map[string]string{
		"BOM":                "\ufeff" + base,
		"CRLF":               strings.ReplaceAll(base, "\n", "\r\n"),
		"CR":                 strings.ReplaceAll(base, "\n", "\r"),
		"document marks":     "---\n" + base + "...\n",
		"directive":          "%YAML 1.2\n---\n" + base,
		"no newline at end":  strings.TrimSuffix(base, "\n"),
		"tab before a value": strings.Replace(base, "draw: pair", "draw:\tpair", 1),
		"explicit key":       strings.Replace(base, "draw: pair", "? draw\n    : pair", 1),
		"the list at left":   strings.Replace(base, "  - {id: cart-4", "- {id: cart-4", 1),
	}
	for name, file := range forms {
		t.Run(name, func(t *testing.T) {
			order, problems := orderfile.Parse([]byte(file))
			if order == nil || order.Treatments[0].Draw != orderfile.Pair || order.ID != "T-1" {
				t.Errorf("%+v", problems)
			}
		})
	}
}

// TestTabCounts holds the column behind a tab, which the parser counts for nothing.
func TestTabCounts(t *testing.T) {
	bad{changes: []string{"draw: pair", "draw:\t\tsideways"}, told: []string{"bad_value treatments[0].draw @sideways"}}.check(t)
}

// TestScalarsCountByTheirText: YAML would read 010 as eight and 1_000 as a thousand.
func TestScalarsCountByTheirText(t *testing.T) {
	file := changed(t, []string{"quantity: 1", "quantity: 010\n    room: 014", "face_width: 84", "face_width: 084", "order: T-1", "order: 0x1F"})
	order, problems := orderfile.Parse([]byte(file))
	if order == nil {
		t.Fatalf("%+v", problems)
	}
	if w := order.Treatments[0]; w.Quantity != 10 || w.Room != "014" || w.FaceWidth.In("in") != "84in" || order.ID != "0x1F" {
		t.Errorf("read %+v of order %q", w, order.ID)
	}
}

// TestProblemsAreBounded: a file of nothing but faults is told of a thousand, and soon.
func TestProblemsAreBounded(t *testing.T) {
	file := strings.Replace(base, "treatments:\n", "treatments:\n"+strings.Repeat("  - {colour: red, shape: round}\n", 5000), 1)
	_, problems := orderfile.Parse([]byte(file))
	if len(problems) != 1000 {
		t.Errorf("%d problems", len(problems))
	}
	file = strings.Replace(base, "treatments:\n", "treatments:\n"+strings.Repeat("  - {colour: red}\n", 10_000), 1)
	if _, problems := orderfile.Parse([]byte(file)); len(problems) != 1 || problems[0].Code != "absurd" || problems[0].Where != "treatments" {
		t.Errorf("10,001 windows: %d problems, first %+v", len(problems), problems[0])
	}
}

func BenchmarkParseThousandWindows(b *testing.B) {
	window := base[strings.Index(base, "  - window"):]
	src := []byte(base + strings.Repeat(window, 999))
	b.SetBytes(int64(len(src)))
	start := time.Now()
	for b.Loop() {
		if order, problems := orderfile.Parse(src); order == nil {
			b.Fatalf("%+v", problems)
		}
	}
	b.ReportMetric(float64(b.N)*1000/time.Since(start).Seconds(), "windows/s")
}
