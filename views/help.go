package views

import (
	"html/template"
	"io"
	"slices"
	"strings"

	"tablehand/stations"
	"tablehand/views/i18n"
)

// helpGroups are the pages of help in the order of the index, each with the addresses of the pages that it is about;
// ":" stands for any one part of an address. The text of a page is the sentence help.<name> of the catalogue.
var helpGroups = []HelpGroup{
	{"floor", []helpPage{
		{"home", []string{"/", "/search"}},
		{"station", []string{"/station/:"}},
		{"ticket", []string{"/t", "/t/:"}},
		{"screen", []string{"/screen"}},
		{"offline", nil},
	}},
	{"stations", stationHelp()},
	{"office", []helpPage{
		{"board", []string{"/board"}},
		{"orders", []string{"/orders"}},
		{"taking", []string{"/taking"}},
		{"order", []string{"/orders/:"}},
		{"revision", []string{"/orders/:/edit", "/orders/:/revise"}},
		{"rules", []string{"/orders/:/rules"}},
		{"paper", nil},
		{"invoices", []string{"/ready", "/invoices/:"}},
		{"prices", []string{"/prices"}},
	}},
	{"shop", []helpPage{
		{"sign-in", []string{"/sign-in", "/hello"}},
		{"setup", []string{"/setup"}},
		{"settings", []string{"/settings"}},
		{"check", []string{"/check"}},
		{"trouble", nil},
	}},
}

// stationHelp are the stations' own pages, each for the station's address.
func stationHelp() []helpPage {
	var pages []helpPage
	for _, s := range stations.Stations() {
		pages = append(pages, helpPage{string(s), []string{"/station/" + string(s)}})
	}
	return pages
}

// HelpGroup is a part of the index of help.
type HelpGroup struct {
	Name  string // catalogue: help.group.<name>
	Pages []helpPage
}

type helpPage struct {
	Name  string
	about []string
}

// Title is the key of the page's name.
func (p helpPage) Title() string {
	if p.Station() != "" {
		return "station." + p.Name
	}
	return "help.title." + p.Name
}

// Station returns the station whose page it is, "" where it is of none.
func (p helpPage) Station() stations.Station {
	if s := stations.Station(p.Name); slices.Contains(stations.Stations(), s) {
		return s
	}
	return ""
}

// text is the key of the page's text.
func (p helpPage) text() string {
	if p.Station() != "" {
		return "help.at." + p.Name
	}
	return "help." + p.Name
}

// HelpPages returns the names of all pages of help: /help/<name>.
func HelpPages() []string {
	var names []string
	for _, g := range helpGroups {
		for _, p := range g.Pages {
			names = append(names, p.Name)
		}
	}
	return names
}

// HelpFor returns the address of the help of the page at a path, "" where there is none: a page about that very
// address stands before one about any such.
func HelpFor(path string) string {
	asked := strings.Split(strings.TrimSuffix(path, "/"), "/")
	best, parts := "", -1
	for _, g := range helpGroups {
		for _, p := range g.Pages {
			for _, about := range p.about {
				if said, ok := matches(strings.Split(strings.TrimSuffix(about, "/"), "/"), asked); ok && said > parts {
					best, parts = "/help/"+p.Name, said
				}
			}
		}
	}
	return best
}

// Help returns the address of the page's own help: of a page that there is not, what to do when something goes wrong;
// "" of help itself.
func (f Frame) Help() string {
	switch own := HelpFor(f.Path); {
	case own != "":
		return own
	case f.Known() && !strings.HasPrefix(f.Path, "/help"):
		return "/help/trouble"
	}
	return ""
}

// matches reports whether an address is of a pattern, and how many of its parts the pattern says.
func matches(pattern, address []string) (said int, ok bool) {
	if len(pattern) != len(address) {
		return 0, false
	}
	for i, part := range pattern {
		switch part {
		case address[i]:
			said++
		case ":":
		default:
			return 0, false
		}
	}
	return said, true
}

// HelpPage is one page of help, or with no name the index of all.
type HelpPage struct {
	Frame
	Name string
}

// helpView is a page of help as its template has it.
type helpView struct {
	HelpPage
	Title   string // catalogue
	Body    []HelpBlock
	Station stations.Station // whose page it is, "" of none
	Asks    stations.Asked
	Hurts   []string // catalogue: caution.<name>
	Groups  []HelpGroup
}

// HelpBlock is a paragraph, a heading, a list or a caution of a page of help.
type HelpBlock struct {
	Kind  string // p, h2, ul, ol, caution
	Items []template.HTML
}

// Help renders a page of help; known is false where there is none of its name.
func (v *Views) Help(w io.Writer, p HelpPage) (known bool, err error) {
	view := helpView{HelpPage: p, Title: "help.title", Groups: helpGroups}
	if p.Name != "" {
		page, ok := helpNamed(p.Name)
		if !ok {
			return false, nil
		}
		view.Title, view.Station, view.Body = page.Title(), page.Station(), v.helpBlocks(v.say.T(page.text()))
		if view.Station != "" {
			view.Asks, view.Hurts = stations.AskedAt(view.Station), stations.Cautions(view.Station)
		}
	}
	return true, v.render(w, "help", view)
}

func helpNamed(name string) (helpPage, bool) {
	for _, g := range helpGroups {
		for _, p := range g.Pages {
			if p.Name == name {
				return p, true
			}
		}
	}
	return helpPage{}, false
}

// helpBlocks sets a text of help. It is written as people write plain text: a blank line ends a paragraph, "## " begins
// a heading, "- " a point, "1. " a step and "! " a caution. That is all that help needs, so it is set here in one pass
// that can write nothing but what it escapes, rather than by a whole Markdown library with its HTML and images.
func (v *Views) helpBlocks(text string) []HelpBlock {
	var blocks []HelpBlock
	open := false // whether the next line goes on with the last block's last item
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		kind, rest := helpKind(line)
		last := len(blocks) - 1
		switch {
		case line == "":
			open = false
		case kind == "p" && open:
			items := blocks[last].Items
			items[len(items)-1] += " " + v.helpLine(line)
		case (kind == "ul" || kind == "ol") && last >= 0 && blocks[last].Kind == kind:
			blocks[last].Items, open = append(blocks[last].Items, v.helpLine(rest)), true
		default:
			blocks, open = append(blocks, HelpBlock{kind, []template.HTML{v.helpLine(rest)}}), kind != "h2"
		}
	}
	return blocks
}

// helpKind tells the kind of block that a line begins, and the line without its mark.
func helpKind(line string) (kind, rest string) {
	for _, mark := range []struct{ text, kind string }{{"## ", "h2"}, {"- ", "ul"}, {"1. ", "ol"}, {"! ", "caution"}} {
		if rest, ok := strings.CutPrefix(line, mark.text); ok {
			return mark.kind, rest
		}
	}
	return "p", line
}

// helpLine sets a line: {key} is another sentence of the catalogue, such as the words on a button, which so never say
// otherwise here than there; {help.title.name} leads to that page of help.
func (v *Views) helpLine(line string) template.HTML {
	var b strings.Builder
	braced(line, func(plain string) { b.WriteString(template.HTMLEscapeString(plain)) }, func(key string) {
		words := template.HTMLEscapeString(v.say.T(key))
		if name, ok := strings.CutPrefix(key, "help.title."); ok {
			b.WriteString(`<a href="/help/` + template.HTMLEscapeString(name) + `">` + words + `</a>`)
		} else {
			b.WriteString(`<b class="word">` + words + `</b>`)
		}
	})
	return template.HTML(b.String())
}

// braced goes through a text of the catalogue: plain is given what stands outside of braces, key what stands in them.
func braced(text string, plain, key func(string)) {
	for closed := true; closed; {
		var before, after, name string
		before, after, _ = strings.Cut(text, "{")
		plain(before)
		if name, text, closed = strings.Cut(after, "}"); closed {
			key(name)
		}
	}
}

// DoAt returns the key of the sentence that says what a station does with a number, "" where none does.
func (h helpView) DoAt(name string) string {
	if key := "do." + string(h.Station) + "." + name; i18n.Has(key) {
		return key
	}
	return ""
}

// DoEntry is DoAt for what a station measures.
func (h helpView) DoEntry(name string) string {
	if key := "do.entry." + name; i18n.Has(key) {
		return key
	}
	return ""
}
