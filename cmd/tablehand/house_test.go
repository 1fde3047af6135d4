package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
)

// pkg is what go list tells of a package of ours.
type pkg struct {
	ImportPath   string
	Dir          string
	Imports      []string
	TestImports  []string
	XTestImports []string
	GoFiles      []string
	TestGoFiles  []string
}

// allImports are a package's imports and those of its tests.
func (p pkg) allImports() []string {
	return slices.Concat(p.Imports, p.TestImports, p.XTestImports)
}

// layers, lowest first: a package imports its own layer and those below.
var layers = []string{"engine", "stations", "views", "server", "cmd"}

// onlyIn says in which package (and below it) a dependency may be imported.
var onlyIn = map[string]string{
	"github.com/gofiber/fiber/v2":   "tablehand/server",
	"github.com/valyala/fasthttp":   "tablehand/server",
	"gorm.io/":                      "tablehand/server/store",
	"github.com/mattn/go-sqlite3":   "tablehand/server/store",
	"github.com/pressly/goose":      "tablehand/server/store",
	"database/sql":                  "tablehand/server/store",
	"github.com/skip2/go-qrcode":    "tablehand/views/paper",
	"github.com/go-fonts/":          "tablehand/views/paper",
	"github.com/makiuchi-d/gozxing": "tablehand/server/picture",
	"github.com/alecthomas/kong":    "tablehand/cmd/tablehand/cli",
	"github.com/chromedp/chromedp":  "tablehand/cmd/tablehand/browser",
}

func TestHouseImports(t *testing.T) {
	for _, p := range packages(t) {
		layer := layerOf(p.ImportPath)
		if layer < 0 {
			t.Errorf("%s lies outside the layers %v", p.ImportPath, layers)
			continue
		}
		for _, imp := range p.allImports() {
			if l := layerOf(imp); l > layer {
				t.Errorf("%s or its tests import %s, a layer above it", p.ImportPath, imp)
			}
		}
		for _, imp := range p.Imports {
			for dep, home := range onlyIn {
				inHome := p.ImportPath == home || strings.HasPrefix(p.ImportPath, home+"/")
				if (imp == dep || strings.HasPrefix(imp, strings.TrimSuffix(dep, "/")+"/")) && !inHome {
					t.Errorf("%s imports %s, which belongs in %s", p.ImportPath, imp, home)
				}
			}
		}
		if slices.Contains(p.Imports, "github.com/gofiber/fiber/v2") && !slices.Contains(ofHTTP, p.ImportPath) {
			t.Errorf("%s imports fiber, which only %v know", p.ImportPath, ofHTTP)
		}
	}
}

// ofHTTP are the packages that know of requests and answers.
var ofHTTP = []string{"tablehand/server", "tablehand/server/access", "tablehand/server/api", "tablehand/server/bookroom", "tablehand/server/edge", "tablehand/server/shelfroom", "tablehand/server/taking", "tablehand/server/ways", "tablehand/server/web"}

// storeys of the server, lowest first: within it too, imports run downwards. The API and the pages don't know each other.
var storeys = [][]string{{"auth", "cache", "calendar", "copies", "live", "picture", "secure", "store", "turns"}, {"books"}, {"desk"}, {"stock"}, {"edge"}, {"api", "web"}, {"access", "bookroom", "shelfroom", "taking", "ways"}, {""}}

func TestHouseServerStoreys(t *testing.T) {
	storeyOf := func(importPath string) int {
		room, ours := strings.CutPrefix(importPath, "tablehand/server")
		if !ours {
			return -1
		}
		return slices.IndexFunc(storeys, func(f []string) bool { return slices.Contains(f, strings.TrimPrefix(room, "/")) })
	}
	for _, p := range packages(t) {
		at := storeyOf(p.ImportPath)
		if strings.HasPrefix(p.ImportPath, "tablehand/server") && at < 0 {
			t.Errorf("%s is on none of the server's storeys %v", p.ImportPath, storeys)
		}
		for _, imp := range p.Imports {
			if to := storeyOf(imp); at >= 0 && (to > at || to == at && at > 0) {
				t.Errorf("%s imports %s, which isn't below it", p.ImportPath, imp)
			}
		}
	}
}

// mostFiles is how many files a package may have: more than one finds one's way in. Our own choice.
const mostFiles = 24

// TestHouseRoomsAreSmall: a package that grows has a room with a door in it, or files that belong in one.
func TestHouseRoomsAreSmall(t *testing.T) {
	for _, p := range packages(t) {
		if len(p.GoFiles) > mostFiles {
			t.Errorf("%s has %d files, %d are what a package may have: give a part of it a package of its own that hides something, or put together what belongs together", p.ImportPath, len(p.GoFiles), mostFiles)
		}
	}
}

// pages is the folder of the pages.
const pages = "views/page"

// TestHousePages: a page knows what the pages share and no other page, and what they share knows none.
func TestHousePages(t *testing.T) {
	for _, p := range packages(t) {
		name := strings.TrimPrefix(p.ImportPath, "tablehand/")
		if name != "views" && !strings.HasPrefix(name, pages+"/") {
			continue
		}
		for _, imp := range p.Imports {
			if strings.HasPrefix(imp, "tablehand/"+pages) || strings.HasPrefix(imp, "tablehand/views/paper") {
				t.Errorf("%s imports %s: what two pages use goes into views", name, imp)
			}
		}
	}
}

// forTests are packages that only tests import, and each other.
var forTests = []string{"tablehand/cmd/tablehand/shoptest", "tablehand/cmd/tablehand/browser", "tablehand/cmd/tablehand/browser/pages"}

func TestHouseKeepsTestsOutOfTheProgram(t *testing.T) {
	for _, p := range packages(t) {
		for _, imp := range p.Imports {
			if slices.Contains(forTests, imp) && !slices.Contains(forTests, p.ImportPath) {
				t.Errorf("%s imports %s, which is for tests", p.ImportPath, imp)
			}
			if imp == "testing" && !slices.Contains(forTests, p.ImportPath) {
				t.Errorf("%s imports testing into the program", p.ImportPath)
			}
		}
	}
}

// fromOutside says what the tests that drive the whole program may import of it, by package and those below it. They know it
// by its command line and HTTP; those of the pages also compare what stands on a page with the catalogues, and the styles.
var fromOutside = map[string][]string{
	"cmd/tablehand/shoptest":             {"cmd/tablehand/cli"},
	"cmd/tablehand/browser":              {"cmd/tablehand/shoptest"},
	"cmd/tablehand/browser/flows":        {"cmd/tablehand/shoptest", "cmd/tablehand/browser"},
	"cmd/tablehand/browser/hands":        {"cmd/tablehand/shoptest", "cmd/tablehand/browser"},
	"cmd/tablehand/browser/typing":       {"cmd/tablehand/shoptest", "cmd/tablehand/browser"},
	"cmd/tablehand/browser/pages":        {"cmd/tablehand/shoptest", "cmd/tablehand/browser", "views", "views/i18n"},
	"cmd/tablehand/browser/pages/floor":  {"cmd/tablehand/shoptest", "cmd/tablehand/browser/pages"},
	"cmd/tablehand/browser/pages/office": {"cmd/tablehand/shoptest", "cmd/tablehand/browser/pages"},
	"cmd/tablehand/browser/wall":         {"cmd/tablehand/shoptest", "cmd/tablehand/browser", "views/i18n"},
	"cmd/tablehand/contract":             {"cmd/tablehand/shoptest"},
	"cmd/tablehand/fire":                 {"cmd/tablehand/shoptest", "cmd/tablehand/browser"},
	"cmd/tablehand/mutants":              {},
}

func TestHouseTestsFromOutside(t *testing.T) {
	for _, p := range packages(t) {
		name, _ := strings.CutPrefix(p.ImportPath, "tablehand/")
		may, ok := fromOutside[name]
		if !ok {
			if strings.HasPrefix(name, "cmd/tablehand/") && name != "cmd/tablehand/cli" {
				t.Errorf("%s: say in fromOutside what of the program it may know", name)
			}
			continue
		}
		for _, imp := range p.allImports() {
			if ours, is := strings.CutPrefix(imp, "tablehand/"); is && !slices.Contains(may, ours) {
				t.Errorf("%s imports %s: it drives the program from outside", name, ours)
			}
		}
	}
}

// TestHouseGuide holds the table of packages in the contributors' guide to the packages there are.
func TestHouseGuide(t *testing.T) {
	guide, err := os.ReadFile(filepath.Join(moduleRoot(t), "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	house, _, _ := strings.Cut(string(guide), "\n\nWhat programs rely on")
	var listed []string
	for _, row := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\|").FindAllStringSubmatch(house, -1) {
		listed = append(listed, row[1])
	}
	var there []string
	for _, p := range packages(t) {
		name := strings.TrimPrefix(p.ImportPath, "tablehand/")
		if strings.HasPrefix(name, pages+"/") {
			name = pages + "/<name>" // one row for all
		}
		if !slices.Contains(there, name) {
			there = append(there, name)
		}
	}
	for _, name := range there {
		if !slices.Contains(listed, name) {
			t.Errorf("the guide's table doesn't say what %s hides", name)
		}
	}
	for i, name := range listed {
		if !slices.Contains(there, name) {
			t.Errorf("the guide's table has %s, which is no package", name)
		}
		if slices.Contains(listed[:i], name) {
			t.Errorf("the guide's table has %s twice", name)
		}
	}
}

// TestHouseRecomputesApart holds the second program to sharing nothing with the first: one of its files hands an order to the
// engine, the others don't know it.
func TestHouseRecomputesApart(t *testing.T) {
	for _, p := range packages(t) {
		if p.ImportPath != "tablehand/engine/workup/recompute" {
			continue
		}
		if len(p.TestGoFiles) == 0 {
			t.Fatal("nothing is recomputed")
		}
		for _, name := range p.TestGoFiles {
			file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, parser.ImportsOnly)
			if err != nil {
				t.Fatal(err)
			}
			for _, imp := range file.Imports {
				if name != "recompute_test.go" && strings.Contains(imp.Path.Value, "tablehand/") {
					t.Errorf("%s imports %s", name, imp.Path.Value)
				}
			}
		}
	}
}

// TestHouseIsPure holds engine, stations and views to having no clock and no randomness of their own, and the
// engine to doing no I/O.
func TestHouseIsPure(t *testing.T) {
	forbiddenImports := map[string][]string{
		"engine":   {"os", "net", "net/http", "io/fs", "math/rand", "math/rand/v2", "crypto/rand", "log", "log/slog", "database/sql"},
		"stations": {"os", "net", "net/http", "math/rand", "math/rand/v2", "crypto/rand", "log", "log/slog"},
		"views":    {"net", "math/rand", "math/rand/v2", "crypto/rand"},
	}
	for _, p := range packages(t) {
		top := strings.Split(strings.TrimPrefix(p.ImportPath, "tablehand/"), "/")[0]
		for _, imp := range p.Imports {
			if slices.Contains(forbiddenImports[top], imp) {
				t.Errorf("%s imports %s", p.ImportPath, imp)
			}
		}
		if _, pure := forbiddenImports[top]; !pure {
			continue
		}
		for _, f := range p.GoFiles {
			for _, call := range clockCalls(t, filepath.Join(p.Dir, f)) {
				t.Errorf("%s reads the clock: %s", p.ImportPath, call)
			}
		}
	}
}

// clockCalls returns the places of a file that call time.Now, Since, Until, After, Tick or Sleep.
func clockCalls(t *testing.T, path string) []string {
	t.Helper()
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var places []string
	ast.Inspect(file, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		from, ok := sel.X.(*ast.Ident)
		if ok && from.Name == "time" && slices.Contains([]string{"Now", "Since", "Until", "After", "Tick", "Sleep"}, sel.Sel.Name) {
			places = append(places, fset.Position(sel.Pos()).String())
		}
		return true
	})
	return places
}

func layerOf(importPath string) int {
	rest, ours := strings.CutPrefix(importPath, "tablehand/")
	if !ours {
		return -1
	}
	return slices.Index(layers, strings.Split(rest, "/")[0])
}

func packages(t *testing.T) []pkg {
	t.Helper()
	all, err := goList()
	if err != nil {
		t.Fatal("go list: ", err)
	}
	return all
}

// goList asks once for all tests: it takes a second.
var goList = sync.OnceValues(func() ([]pkg, error) {
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,Imports,TestImports,XTestImports,GoFiles,TestGoFiles", "./...")
	cmd.Dir = filepath.Join("..", "..")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, err
	}
	var all []pkg
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p pkg
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
})

func moduleRoot(t *testing.T) string {
	t.Helper()
	out, err := exec.Command("go", "env", "GOMOD").Output()
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Dir(strings.TrimSpace(string(out)))
}
