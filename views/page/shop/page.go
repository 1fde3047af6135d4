// Package shop is what a shop says of itself: asked once when it is set up, and changed in its settings.
package shop

import (
	"embed"

	"tablehand/views"
	"tablehand/views/i18n"
)

// Form is what a shop sets of itself, as it is or as it was typed.
type Form struct {
	Name, Units, Address, Language string
	Zone                           string // IANA, "" the machine's own
	PrintSidemark                  bool
	PostalAddress, PaymentTerms    string // in lines
	OrderForm                      string // how orders are numbered
	Paper                          string // of invoices: letter, a4
	CopyFolder                     string // a second place for copies, "" none

	Wrong map[string]string // by setting: the sentence that says why what was typed doesn't do

	Addresses    []string // base URLs of this machine, the likeliest first
	AddressFixed bool     // given on the command line for this run
	Languages    []string
	ZoneHere     string // the short name of the machine's own zone
}

// AllUnits are the units that new orders may have.
func (f Form) AllUnits() []string { return []string{"in", "cm", "mm"} }

// Papers are the sheets that invoices are printed on.
func (f Form) Papers() []string { return []string{"letter", "a4"} }

// OwnName is a language as it calls itself.
func (f Form) OwnName(tag string) string { return i18n.For(tag).T("language.own_name") }

// Reaches reports whether the form's address is one of the machine's.
func (f Form) Reaches() bool {
	for _, a := range f.Addresses {
		if a == f.Address {
			return true
		}
	}
	return false
}

// SetupPage asks a new shop what it has to know before the first order.
type SetupPage struct {
	views.Frame
	Form            Form
	PassphraseFixed bool // the environment sets it
}

// SettingsPage changes what was set.
type SettingsPage struct {
	views.Frame
	Form       Form
	Passphrase PassphraseForm
	Answer     *views.Answer
}

// PassphraseForm is the form that changes the shop's passphrase.
type PassphraseForm struct {
	Fixed     bool   // the environment sets it
	WrongNow  string // the sentence that says why the present one doesn't do
	WrongNext string
}

//go:embed *.html
var html embed.FS

var setup = views.Template{Name: "setup", HTML: html, Files: []string{"setup.html", "form.html"}}

var settings = views.Template{Name: "settings", HTML: html, Files: []string{"settings.html", "form.html"}}

// Template is how the page is written.
func (SetupPage) Template() *views.Template { return &setup }

// Template is how the page is written.
func (SettingsPage) Template() *views.Template { return &settings }
