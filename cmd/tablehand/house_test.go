package main

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// pkg is what go list tells of a package of ours.
type pkg struct {
	ImportPath  string
	Dir         string
	Imports     []string
	GoFiles     []string
	TestGoFiles []string
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
	"codeberg.org/go-pdf/fpdf":      "tablehand/views/paper",
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
		for _, imp := range p.Imports {
			if l := layerOf(imp); l > layer {
				t.Errorf("%s imports %s, a layer above it", p.ImportPath, imp)
			}
			for dep, home := range onlyIn {
				inHome := p.ImportPath == home || strings.HasPrefix(p.ImportPath, home+"/")
				if (imp == dep || strings.HasPrefix(imp, strings.TrimSuffix(dep, "/")+"/")) && !inHome {
					t.Errorf("%s imports %s, which belongs in %s", p.ImportPath, imp, home)
				}
			}
		}
		if fiberAt := "github.com/gofiber/fiber/v2"; slices.Contains(p.Imports, fiberAt) && p.ImportPath != "tablehand/server" {
			t.Errorf("%s imports fiber, which only the package server knows", p.ImportPath)
		}
	}
}

// forTests are packages that only tests import, and each other.
var forTests = []string{"tablehand/cmd/tablehand/shoptest", "tablehand/cmd/tablehand/browser"}

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

// TestHouseTopLevel holds the top of the tree to the owner's list.
func TestHouseTopLevel(t *testing.T) {
	allowed := []string{"cmd", "server", "stations", "engine", "views", "testdata", "README.md", "DEVELOPERS.md", "go.mod", "go.sum", "LICENSE"}
	root := moduleRoot(t)
	out, err := exec.Command("git", "-C", root, "ls-files").Output()
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("CI works on a git checkout: ", err)
	}
	if err != nil {
		t.Skip("not a git checkout: ", err)
	}
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		top := strings.Split(strings.TrimSpace(line), "/")[0]
		if !seen[top] && !strings.HasPrefix(top, ".") && !slices.Contains(allowed, top) {
			t.Errorf("%s is not of the fixed top level", top)
		}
		seen[top] = true
	}
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
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,Imports,GoFiles,TestGoFiles", "./...")
	cmd.Dir = moduleRoot(t)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal("go list: ", err)
	}
	var all []pkg
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p pkg
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func moduleRoot(t *testing.T) string {
	t.Helper()
	out, err := exec.Command("go", "env", "GOMOD").Output()
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Dir(strings.TrimSpace(string(out)))
}
