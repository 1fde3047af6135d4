// Package views renders the pages: a typed struct for each, a template that is parsed with exactly its layout and
// partials when the program starts, and the styles and scripts that go with them. Every sentence comes from the
// catalogue. The package reads no clock and no store: the server hands it what a page shows.
package views

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"

	"tablehand/stations"
	"tablehand/views/i18n"
)

//go:embed templates
var templateFiles embed.FS

// Views renders the pages in one language. It may be used by many goroutines.
type Views struct {
	Assets *Assets
	say    *i18n.Printer
	pages  map[string]*template.Template
}

// pageParts names each page's own partials, beside the layout and those that every page has.
var pageParts = map[string][]string{
	"signin":  nil,
	"home":    {"matters", "changes"},
	"find":    nil,
	"orders":  {"problems"},
	"order":   {"problems", "hangsum", "changes"},
	"revise":  {"problems", "changes"},
	"rules":   nil,
	"taking":  {"hangsum"},
	"station": {"openticket", "queue", "changes"},
	"ticket":  {"openticket", "changes"},
	"board":   {"rod"},
	"search":  nil,
	"screen":  nil,
	"ready":   nil,
	"invoice": nil,
	"prices":  {"problems"},
	"error":   nil,
	"help":    nil,

	"setup":    {"shopform"},
	"settings": {"shopform"},
	"check":    nil,
	"hello":    nil,
}

// commonParts are in every page.
var commonParts = []string{"layout", "cloth"}

// New parses every page for the printer's language.
func New(say *i18n.Printer) (*Views, error) {
	assets, err := loadAssets()
	if err != nil {
		return nil, err
	}
	v := &Views{Assets: assets, say: say, pages: map[string]*template.Template{}}
	for page, parts := range pageParts {
		var files []string
		for _, name := range append(append(append([]string{}, commonParts...), parts...), page) {
			files = append(files, "templates/"+name+".html")
		}
		t, err := template.New("layout.html").Funcs(v.functions()).Option("missingkey=error").ParseFS(templateFiles, files...)
		if err != nil {
			return nil, fmt.Errorf("views: page %s: %w", page, err)
		}
		v.pages[page] = t
	}
	return v, nil
}

// render writes a page whole or not at all.
func (v *Views) render(w io.Writer, page string, data any) error {
	var b bytes.Buffer
	if err := v.pages[page].Execute(&b, data); err != nil {
		return fmt.Errorf("views: page %s: %w", page, err)
	}
	html := b.Bytes()
	if framed, ok := data.(interface{ formToken() string }); ok {
		html = withToken(html, framed.formToken())
	}
	_, err := w.Write(html)
	return err
}

// Frame is what every page has around it.
type Frame struct {
	Shop   string
	Role   stations.Role // "" for a stranger
	Person string        // who works at this device, as it remembers
	Seq    int64         // of the floor that the page shows; the event stream goes on from here
	Today  string        // YYYY-MM-DD in the shop's zone
	Path   string        // the page's own address
	Token  string        // that its forms send back; "" where no cookie lets them in

	Address string   // the whole of the page's address, to come back to
	Tongues []Tongue // the languages there are
}

// Tongue is a language that a page can be read in.
type Tongue struct {
	Tag, Name string // BCP 47; as the language calls itself
	Chosen    bool
}

// Office reports whether the page is for someone who plans and bills.
func (f Frame) Office() bool { return f.Role == stations.Office || f.Role == stations.Program }

// Sets reports whether the page is for someone who may change the shop's settings.
func (f Frame) Sets() bool { return f.Role == stations.Office }

// Works reports whether the page's device may scan.
func (f Frame) Works() bool { return f.Office() || f.Role == stations.Bench }

// Known reports whether anybody is signed in.
func (f Frame) Known() bool { return f.Role != "" }

// Said is the answer to what was just sent, shown at the top of the page.
type Said struct {
	Refused bool
	Text    string
}
