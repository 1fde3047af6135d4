// Package trust is the page that leads a device through trusting the shop's own certificates.
package trust

import (
	"embed"
	"html/template"
	"strings"

	"tablehand/views"
	"tablehand/views/i18n"
)

// Page says, kind of device by kind, how it comes to trust the shop.
type Page struct {
	views.Frame
	Square      template.HTML // the QR of this page
	Encrypted   bool          // it was asked for by HTTPS
	Here        string        // the address to try at the end
	Names       []string      // that the authority may vouch for
	Fingerprint string        // of its certificate
	Devices     []Device
}

// Device is a kind of device and its steps.
type Device struct {
	Kind  string // the end of keys of the catalogue
	Steps []string
	This  bool // it is what asks
}

// Devices are the kinds that there are steps for; the one that asks is marked, by how its browser calls itself.
func Devices(say *i18n.Printer, userAgent string) (all []Device) {
	this := kindOf(userAgent)
	for _, kind := range []string{"iphone", "android", "windows", "mac", "firefox"} {
		steps := strings.Split(strings.TrimSpace(say.T("trust.steps."+kind)), "\n")
		all = append(all, Device{kind, steps, kind == this})
	}
	return all
}

// marks are what browsers call the systems that they run on, the more special ones first. Firefox has its own list of whom to
// trust on computers alone.
var marks = [][2]string{{"iphone", "iphone"}, {"ipad", "iphone"}, {"android", "android"}, {"firefox/", "firefox"}, {"windows", "windows"},
	{"macintosh", "mac"}, {"linux", "firefox"}}

// kindOf tells what asks, "" where its browser says nothing of that.
func kindOf(userAgent string) string {
	said := strings.ToLower(userAgent)
	for _, m := range marks {
		if strings.Contains(said, m[0]) {
			return m[1]
		}
	}
	return ""
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "trust", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
