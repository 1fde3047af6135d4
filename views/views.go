// Package views is what the pages share: the frame around each, the parts and words that several have, the styles and
// scripts, and help. A page is a package of views/page: a typed struct, and the template that it is written by. Every sentence
// comes from the catalogue. The package reads no clock and no store: the server hands it what a page shows.
package views

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"
	"sync"

	"tablehand/views/i18n"
)

// parts are the layout, and what several pages have.
//
//go:embed parts
var parts embed.FS

// Views renders the pages in one language. It may be used by many goroutines.
type Views struct {
	Assets *Assets
	Say    *i18n.Printer

	parts *template.Template // with the layout; pages are parsed into copies of it
	mu    sync.RWMutex
	pages map[*Template]*template.Template // those that were asked for
}

// Page is what stands on a page.
type Page interface {
	Template() *Template
}

// Template is how a page is written. Its files define "title" and "main", and may define the layout's other blocks: "body",
// the class of the page, "scripts", "header" and "footer".
type Template struct {
	Name      string
	HTML      embed.FS
	Files     []string
	Functions func(*Views) template.FuncMap // that only these files call; nil for none
}

// New returns the views in the printer's language. A page is parsed when it is first asked for.
func New(say *i18n.Printer) (*Views, error) {
	assets, err := loadAssets()
	if err != nil {
		return nil, err
	}
	v := &Views{Assets: assets, Say: say, pages: map[*Template]*template.Template{}}
	v.parts, err = template.New("layout.html").Funcs(v.functions()).Option("missingkey=error").ParseFS(parts, "parts/*.html")
	if err != nil {
		return nil, fmt.Errorf("views: %w", err)
	}
	return v, nil
}

// Render writes a page whole or not at all.
func (v *Views) Render(w io.Writer, p Page) error {
	t, err := v.parsed(p.Template())
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, p); err != nil {
		return fmt.Errorf("views: page %s: %w", p.Template().Name, err)
	}
	_, err = b.WriteTo(w)
	return err
}

// RenderPart writes a part that a page's template defines, without the layout.
func (v *Views) RenderPart(w io.Writer, of *Template, part string, data any) error {
	t, err := v.parsed(of)
	if err != nil {
		return err
	}
	if err := t.ExecuteTemplate(w, part, data); err != nil {
		return fmt.Errorf("views: %s of page %s: %w", part, of.Name, err)
	}
	return nil
}

// parsed returns the template with its layout and parts, parsed once.
func (v *Views) parsed(of *Template) (*template.Template, error) {
	v.mu.RLock()
	t := v.pages[of]
	v.mu.RUnlock()
	if t != nil {
		return t, nil
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if t := v.pages[of]; t != nil {
		return t, nil
	}
	t, err := v.parts.Clone()
	if err == nil && of.Functions != nil {
		t.Funcs(of.Functions(v))
	}
	if err == nil {
		t, err = t.ParseFS(of.HTML, of.Files...)
	}
	if err != nil {
		return nil, fmt.Errorf("views: page %s: %w", of.Name, err)
	}
	v.pages[of] = t
	return t, nil
}
