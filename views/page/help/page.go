// Package help is the page of help, and its index.
package help

import (
	"embed"
	"html/template"
	"slices"
	"strings"

	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
)

// Page is one page of help, or with no name the index of all.
type Page struct {
	views.Frame
	Name    string
	Title   string // catalogue
	Body    []Block
	Station plan.Station // whose page it is, "" of none
	Asks    plan.Checklist
	Hurts   []string // catalogue: caution.<name>
	Groups  []views.HelpGroup
}

// Block is a paragraph, a heading, a list or a caution of a page of help.
type Block struct {
	Kind  string // p, h2, ul, ol, caution
	Items []template.HTML
}

// signIn is the page of help that strangers may read.
const signIn = "sign-in"

// New returns the page of help of that name in a shop, the index of all for none; ok is false where there is no such page for whoever
// asks.
func New(say *i18n.Printer, frame views.Frame, shop plan.Layout, name string) (p Page, ok bool) {
	all := shop.Stations()
	if name == "" {
		all = shop.Open()
	}
	p = Page{Frame: frame, Name: name, Title: "help.title", Groups: views.HelpGroups(all)}
	if !frame.Books() && name != signIn {
		p.Groups = slices.DeleteFunc(p.Groups, func(g views.HelpGroup) bool { return !g.ForFloor() })
	}
	if name == "" {
		return p, true
	}
	entry, ok := views.HelpNamed(p.Groups, name)
	if !ok {
		return Page{}, false
	}
	p.Title, p.Station, p.Body = entry.Title(), entry.Station(), blocksOf(say, say.T(entry.Text()))
	if p.Station != "" {
		p.Asks, p.Hurts = shop.ChecklistOf(p.Station), plan.Cautions(p.Station)
	}
	return p, true
}

// blocksOf sets a text of help. It is written as people write plain text: a blank line ends a paragraph, "## " begins
// a heading, "- " a point, "1. " a step and "! " a caution. That is all that help needs, so it is set here in one pass
// that can write nothing but what it escapes, rather than by a whole Markdown library with its HTML and images.
func blocksOf(say *i18n.Printer, text string) []Block {
	var blocks []Block
	open := false // whether the next line goes on with the last block's last item
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		kind, rest := kindOf(line)
		last := len(blocks) - 1
		switch {
		case line == "":
			open = false
		case kind == "p" && open:
			items := blocks[last].Items
			items[len(items)-1] += " " + lineOf(say, line)
		case (kind == "ul" || kind == "ol") && last >= 0 && blocks[last].Kind == kind:
			blocks[last].Items, open = append(blocks[last].Items, lineOf(say, rest)), true
		default:
			blocks, open = append(blocks, Block{kind, []template.HTML{lineOf(say, rest)}}), kind != "h2"
		}
	}
	return blocks
}

// kindOf tells the kind of block that a line begins, and the line without its mark.
func kindOf(line string) (kind, rest string) {
	for _, mark := range []struct{ text, kind string }{{"## ", "h2"}, {"- ", "ul"}, {"1. ", "ol"}, {"! ", "caution"}} {
		if rest, ok := strings.CutPrefix(line, mark.text); ok {
			return mark.kind, rest
		}
	}
	return "p", line
}

// lineOf sets a line: {key} is another sentence of the catalogue, such as the words on a button, which so never say
// otherwise here than there; {help.title.name} leads to that page of help.
func lineOf(say *i18n.Printer, line string) template.HTML {
	var b strings.Builder
	i18n.Braced(line, func(plain string) { b.WriteString(template.HTMLEscapeString(plain)) }, func(key string) {
		words := template.HTMLEscapeString(say.T(key))
		if name, ok := strings.CutPrefix(key, "help.title."); ok {
			b.WriteString(`<a href="/help/` + template.HTMLEscapeString(name) + `">` + words + `</a>`)
		} else {
			b.WriteString(`<b class="word">` + words + `</b>`)
		}
	})
	return template.HTML(b.String())
}

// DoAt returns the key of the sentence that says what a station does with a number, "" where none does.
func (p Page) DoAt(name string) string {
	if key := "do." + string(p.Station) + "." + name; i18n.Has(key) {
		return key
	}
	return ""
}

// DoEntry is DoAt for what a station measures.
func (p Page) DoEntry(name string) string {
	if key := "do.entry." + name; i18n.Has(key) {
		return key
	}
	return ""
}

//go:embed *.html
var html embed.FS

var help = views.Template{Name: "help", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &help }
