package page

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"tablehand/views"
	"testing"
	"unicode/utf8"
)

// A panel's side is a letter of the language on every page: L and R are izquierdo and derecho in Spanish, I and D.
func TestTemplatesNameSides(t *testing.T) {
	letter := regexp.MustCompile(`\{\{\.Panel\}\}|"Panel" \.Panel`)
	for file, text := range templates(t) {
		if found := letter.FindString(text); found != "" {
			t.Errorf("%s shows the letter of the JSON: %s", file, found)
		}
	}
}

// TestFormsCarryTheToken walks all templates: a form that changes something has the token behind its tag.
func TestFormsCarryTheToken(t *testing.T) {
	method := regexp.MustCompile(`(?i)\b(?:form)?method\s*=\s*["']?\w*["']?`)
	carries := regexp.MustCompile(`^[^>]*(?:\{\{[^}]*\}\}[^>]*)*>\{\{token \$(?:\.Frame)?\.Token\}\}`)
	forms := 0
	for file, text := range templates(t) {
		for _, at := range method.FindAllStringIndex(text, -1) {
			where := fmt.Sprintf("%s:%d", file, 1+strings.Count(text[:at[0]], "\n"))
			switch text[at[0]:at[1]] {
			case `method="get"`:
			case `method="post"`:
				if forms++; !carries.MatchString(text[at[1]:]) {
					t.Errorf("%s: a form that changes something: write {{token $.Token}} right behind its tag", where)
				}
			default:
				t.Errorf(`%s: a form with %s: write method="post" or method="get"`, where, text[at[0]:at[1]])
			}
		}
	}
	if forms < 40 {
		t.Errorf("only %d forms", forms)
	}
}

// TestLinesOfTemplates: a template can be read and reviewed line by line.
func TestLinesOfTemplates(t *testing.T) {
	for file, text := range templates(t) {
		for i, line := range strings.Split(text, "\n") {
			if n := utf8.RuneCountInString(line); n > 160 {
				t.Errorf("%s:%d has %d letters: a line has 160 at most", file, i+1, n)
			}
		}
	}
}

// TestEveryPageHasASample: what holds for every page is held for it.
func TestEveryPageHasASample(t *testing.T) {
	used := map[string]bool{}
	for _, p := range samples(newViews(t)) {
		for _, file := range p.Template().Files {
			used["views/page/"+path.Base(reflect.TypeOf(p).PkgPath())+"/"+file] = true
		}
	}
	for file := range templates(t) {
		if strings.HasPrefix(file, "views/page/") && !used[file] {
			t.Errorf("%s: no sample shows it: add its page, in each state that looks different, to samples in views/page/sample_test.go", file)
		}
	}
}

// TestNoPageHidesItsFrame: what the layout says of the frame, a field of the page by the same name would say instead.
func TestNoPageHidesItsFrame(t *testing.T) {
	frame, layout := reflect.TypeOf(views.Frame{}), templates(t)["views/parts/layout.html"]
	for name, p := range samples(newViews(t)) {
		page := reflect.TypeOf(p)
		for i := range page.NumField() {
			if own := page.Field(i); !own.Anonymous {
				if _, hidden := frame.FieldByName(own.Name); hidden && regexp.MustCompile(`\.`+own.Name+`\b`).MatchString(layout) {
					t.Errorf("%s: its field %s hides the frame's", name, own.Name)
				}
			}
		}
	}
}

// templates are all templates, by their file in views.
func templates(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, pattern := range []string{"../parts/*.html", "*/*.html"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatal("no templates: ", err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			all[filepath.ToSlash(filepath.Join("views/page", file))] = string(text)
		}
	}
	return all
}
