package page

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
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
