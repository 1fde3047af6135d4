package views

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"strings"
	"sync"
)

//go:embed assets
var assetFiles embed.FS

// Asset is a stylesheet, script or picture of the pages, ready to send.
type Asset struct {
	Type string // of its content
	Body []byte
	Gzip []byte // nil where compressing saves nothing
}

// Assets are the pages' files by their address. An address carries a hash of all their contents, so what it once gave
// may be kept for ever, and a script finds the modules that it imports beside itself.
type Assets struct {
	byPath map[string]Asset  // "/assets/1f3a9c02/tablehand.css"
	paths  map[string]string // "tablehand.css" → its address
}

// assetTypes are the kinds of files there may be.
var assetTypes = map[string]string{
	".css": "text/css; charset=utf-8",
	".js":  "text/javascript; charset=utf-8",
	".mjs": "text/javascript; charset=utf-8", // a module of functions that scripts import, and that node tests
	".svg": "image/svg+xml",
}

// loadAssets readies the files once, for all languages and shops of a process: compressing them takes longer than all else that a
// shop does when it opens.
var loadAssets = sync.OnceValues(func() (*Assets, error) {
	a := &Assets{byPath: map[string]Asset{}, paths: map[string]string{}}
	entries, err := fs.ReadDir(assetFiles, "assets")
	if err != nil {
		return nil, err
	}
	sum := sha256.New()
	for _, e := range entries {
		body, err := assetFiles.ReadFile("assets/" + e.Name())
		if err != nil {
			return nil, err
		}
		sum.Write(body)
	}
	hash := hex.EncodeToString(sum.Sum(nil)[:6])
	for _, e := range entries {
		body, err := assetFiles.ReadFile("assets/" + e.Name())
		if err != nil {
			return nil, err
		}
		kind, ok := assetTypes[path.Ext(e.Name())]
		if !ok {
			return nil, fmt.Errorf("views: asset %s is of no known type", e.Name())
		}
		body = lean(path.Ext(e.Name()), body)
		zipped, err := compress(body)
		if err != nil {
			return nil, err
		}
		address := "/assets/" + hash + "/" + e.Name()
		a.byPath[address] = Asset{Type: kind, Body: body, Gzip: zipped}
		a.paths[e.Name()] = address
	}
	return a, nil
})

var (
	cssComment = regexp.MustCompile(`(?s)/\*.*?\*/`)
	cssBlank   = regexp.MustCompile(`\s*([{};,>])\s*`)
	cssLast    = regexp.MustCompile(`;}`)
	cssColon   = regexp.MustCompile(`([a-z-]): `) // of a declaration: no selector has a blank behind its colon
	jsComment  = regexp.MustCompile(`(?m)^[ \t]*//.*\n`)
	jsAside    = regexp.MustCompile(`(?m)([;{,)}\]]) // .*$`) // behind a statement; TestScriptsAreLean holds that none stands in a text
	jsOpen     = regexp.MustCompile(`([;{,(\[])\n+`)          // a line that goes on, or is told to end; no text of a script has several lines
	indent     = regexp.MustCompile(`(?m)^[ \t]+`)
)

// lean leaves out comments and most blanks, which are for those who read the files: a page on a phone is a fifth lighter.
func lean(kind string, body []byte) []byte {
	switch kind {
	case ".css":
		body = cssLast.ReplaceAll(cssBlank.ReplaceAll(cssComment.ReplaceAll(body, nil), []byte("$1")), []byte("}"))
		return cssColon.ReplaceAll(body, []byte("$1:"))
	case ".js", ".mjs":
		body = indent.ReplaceAll(jsAside.ReplaceAll(jsComment.ReplaceAll(body, nil), []byte("$1")), nil)
		return jsOpen.ReplaceAll(body, []byte("$1"))
	}
	return body
}

func compress(body []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(body); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	if b.Len() >= len(body) {
		return nil, nil
	}
	return b.Bytes(), nil
}

// Find returns the asset at an address; ok is false where there is none, also for an address with an old hash.
func (a *Assets) Find(address string) (Asset, bool) {
	asset, ok := a.byPath[address]
	return asset, ok
}

// Path returns the address of a file by its name.
func (a *Assets) Path(name string) (string, error) {
	if p, ok := a.paths[name]; ok {
		return p, nil
	}
	return "", fmt.Errorf("views: there is no asset %q", strings.TrimSpace(name))
}
