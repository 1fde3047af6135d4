package views_test

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// A panel's side is a letter of the language on every page: L and R are izquierdo and derecho in Spanish, I and D.
func TestTemplatesNameSides(t *testing.T) {
	letter := regexp.MustCompile(`\{\{\.Panel\}\}|"Panel" \.Panel`)
	files, err := filepath.Glob("templates/*.html")
	if err != nil || len(files) == 0 {
		t.Fatal("no templates: ", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if found := letter.Find(text); found != nil {
			t.Errorf("%s shows the letter of the JSON: %s", file, found)
		}
	}
}
