package views

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestEveryFormIsSeen walks all templates: each form that changes something is written so that it gets the token.
func TestEveryFormIsSeen(t *testing.T) {
	methods := regexp.MustCompile(`(?i)\b(?:form)?method\s*=\s*["']?\w*["']?`)
	forms := 0
	shared, _ := filepath.Glob("parts/*.html")
	own, _ := filepath.Glob("page/*/*.html")
	for _, path := range slices.Concat(shared, own) {
		source, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		posts := 0
		for _, m := range methods.FindAllString(string(source), -1) {
			switch m {
			case `method="post"`:
				posts++
			case `method="get"`:
			default:
				t.Errorf(`%s: a form with %s: write method="post" or method="get"`, path, m)
			}
		}
		if seen := len(postForm.FindAll(source, -1)); seen != posts {
			t.Errorf("%s: %d of %d forms get the token", path, seen, posts)
		}
		forms += posts
	}
	if forms < 10 {
		t.Errorf("only %d forms", forms)
	}
}

func TestWithToken(t *testing.T) {
	page := []byte(`<form method="get"><p></p></form><form class="a&gt;b" method="post" action="/x"><button>Go</button></form>`)
	got := string(withToken(page, `a"b`))
	want := `<form method="get"><p></p></form><form class="a&gt;b" method="post" action="/x"><input type="hidden" name="form_token" value="a&#34;b"><button>Go</button></form>`
	if got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if !bytes.Equal(withToken(page, ""), page) {
		t.Error("a page without a token is changed")
	}
	if strings.Contains(string(withToken(page, "$0")), `value="<form`) {
		t.Error("a token is read as a pattern")
	}
}
