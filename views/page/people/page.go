// Package people is the page of the shop's people, that of one of them, and what a badge leads to.
package people

import (
	"embed"

	"tablehand/views"
	"tablehand/views/i18n"
)

// Page lists people, and adds one.
type Page struct {
	views.Frame
	People []Person
	Form   Form
	Answer *views.Answer
}

// Person is one of them.
type Person struct {
	ID, Name, Initials, Floor, SignIn string
	Badge                             string // as it is typed
	HasPIN, HasPassphrase, SetAside   bool
}

// Form is a person as typed.
type Form struct {
	Name, Initials, Language, Floor, SignIn string
	Wrong                                   string // the sentence that says why what was typed doesn't do
}

// Floors are what a person can be on the floor.
func (f Form) Floors() []string { return []string{"hand", "lead", "none"} }

// SignIns are what a person can sign in as.
func (f Form) SignIns() []string { return []string{"none", "office", "accounts"} }

// Languages are those that a person can read.
func (f Form) Languages() []string { return i18n.Choices() }

// OwnName is a language as it calls itself.
func (f Form) OwnName(tag string) string { return i18n.For(tag).T("language.own_name") }

// PersonPage changes one person.
type PersonPage struct {
	views.Frame
	Person  Person
	Form    Form
	SignIns []SignIn
	Answer  *views.Answer
}

// SignIn is a browser in which a person is signed in.
type SignIn struct {
	ID           string
	Since, Until views.Moment
}

// BadgePage says whose badge was scanned, and has them work at this device.
type BadgePage struct {
	views.Frame
	Name, Initials string
}

//go:embed *.html
var html embed.FS

var (
	page   = views.Template{Name: "people", HTML: html, Files: []string{"page.html", "form.html"}}
	person = views.Template{Name: "person", HTML: html, Files: []string{"person.html", "form.html"}}
	badge  = views.Template{Name: "badge", HTML: html, Files: []string{"badge.html"}}
)

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }

// Template is how the page is written.
func (PersonPage) Template() *views.Template { return &person }

// Template is how the page is written.
func (BadgePage) Template() *views.Template { return &badge }
