package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestHouseReferences holds what comments and pages refer to against what a stranger to the project has: the files of this
// repository. The worked cases are called by a letter and a figure; whoever does names the file that has them.
func TestHouseReferences(t *testing.T) {
	root, files := moduleRoot(t), tracked(t)
	there := func(named string) bool {
		return slices.ContainsFunc(files, func(f string) bool { return f == named || strings.HasSuffix(f, "/"+named) })
	}
	elsewhere := regexp.MustCompile(`\b[Tt]he (cont` + `ract|des` + `ign)\b`)
	workedCase, workedIn := regexp.MustCompile(`\bG[1-9]\b`), "golden_test.go"
	file := regexp.MustCompile(`[A-Za-z0-9_][A-Za-z0-9_/-]*\.(md|go)\b`)
	for _, name := range files {
		kind := filepath.Ext(name)
		if !slices.Contains([]string{".go", ".md", ".yaml", ".sql", ".css", ".js", ".html"}, kind) || strings.HasPrefix(name, "testdata/published/") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(root, name))
		if errors.Is(err, os.ErrNotExist) { // deleted, and not committed yet
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if at := elsewhere.FindString(string(text)); at != "" {
			t.Errorf("%s says %q: say the thing, or name a file of the project", name, at)
		}
		said := string(text)
		if kind == ".go" {
			said = strings.Join(regexp.MustCompile(`//.*`).FindAllString(said, -1), "\n")
		}
		if at := workedCase.FindString(said); kind == ".go" && at != "" && filepath.Base(name) != workedIn && !strings.Contains(said, workedIn) {
			t.Errorf("%s says %s and not that it stands in %s", name, at, workedIn)
		}
		if kind != ".go" && kind != ".md" {
			continue
		}
		for _, at := range file.FindAllString(said, -1) {
			if !there(at) {
				t.Errorf("%s names %s, which is not here", name, at)
			}
		}
	}
}

// TestHouseThreats: each test that the page of threats names is there.
func TestHouseThreats(t *testing.T) {
	root, files := moduleRoot(t), tracked(t)
	var tests strings.Builder
	for _, name := range files {
		if !strings.HasSuffix(name, "_test.go") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(root, name))
		if err != nil && !errors.Is(err, os.ErrNotExist) { // deleted, and not committed yet
			t.Fatal(err)
		}
		tests.Write(text)
	}
	page, err := os.ReadFile(filepath.Join(root, "server", "threats.md"))
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile("`((?:Test|Fuzz)\\w+)`").FindAllSubmatch(page, -1)
	if len(named) < 30 {
		t.Errorf("the page names %d tests", len(named))
	}
	for _, name := range named {
		if !strings.Contains(tests.String(), "\nfunc "+string(name[1])+"(") {
			t.Errorf("server/threats.md names %s, which is no test", name[1])
		}
	}
}

// TestHouseTopLevel holds the top of the tree to the owner's list.
func TestHouseTopLevel(t *testing.T) {
	allowed := []string{"cmd", "server", "stations", "engine", "views", "testdata", "README.md", "DEVELOPERS.md", "go.mod", "go.sum", "LICENSE"}
	seen := map[string]bool{}
	for _, name := range tracked(t) {
		top := strings.Split(name, "/")[0]
		if !seen[top] && !strings.HasPrefix(top, ".") && !slices.Contains(allowed, top) {
			t.Errorf("%s is not of the fixed top level", top)
		}
		seen[top] = true
	}
}

// TestReadmeLeadsSomewhere: each file that the README shows or leads to is there.
func TestReadmeLeadsSomewhere(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(moduleRoot(t), "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	links := regexp.MustCompile(`\]\(([^)]+)\)`).FindAllStringSubmatch(string(readme), -1)
	if len(links) < 3 {
		t.Errorf("%d links: did the README lose its pictures?", len(links))
	}
	for _, link := range links {
		if !slices.Contains(tracked(t), link[1]) {
			t.Errorf("README.md leads to %s, which isn't there", link[1])
		}
	}
}

// tracked are the files that git keeps, from the root.
func tracked(t *testing.T) []string {
	t.Helper()
	out, err := exec.Command("git", "-C", moduleRoot(t), "ls-files").Output()
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("CI works on a git checkout: ", err)
	}
	if err != nil {
		t.Skip("not a git checkout: ", err)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}
