package views

import (
	"html/template"
	"io"

	"tablehand/stations"
	"tablehand/views/i18n"
)

// ShopForm is what a shop sets of itself, as it is or as it was typed.
type ShopForm struct {
	Name, Units, Address, Language string
	Zone                           string // IANA, "" the machine's own
	PrintSidemark                  bool
	PostalAddress, PaymentTerms    string // in lines

	Wrong map[string]string // by setting: the sentence that says why what was typed doesn't do

	Addresses    []string // base URLs of this machine, the likeliest first
	AddressFixed bool     // given on the command line for this run
	Languages    []string
	ZoneHere     string // the short name of the machine's own zone
}

// AllUnits are the units that new orders may have.
func (f ShopForm) AllUnits() []string { return []string{"in", "cm", "mm"} }

// OwnName is a language as it calls itself.
func (f ShopForm) OwnName(tag string) string { return i18n.For(tag).T("language.own_name") }

// Found reports whether the form's address is one of the machine's.
func (f ShopForm) Found() bool {
	for _, a := range f.Addresses {
		if a == f.Address {
			return true
		}
	}
	return false
}

// SetupPage asks a new shop what it has to know before the first order.
type SetupPage struct {
	Frame
	Form            ShopForm
	PassphraseFixed bool // the environment sets it
}

// Setup renders the page that sets a shop up.
func (v *Views) Setup(w io.Writer, p SetupPage) error { return v.render(w, "setup", p) }

// SettingsPage changes what was set, and shows the conventions.
type SettingsPage struct {
	Frame
	Form        ShopForm
	Passphrase  PassphraseForm
	Conventions []Convention
	Tolerances  []Tolerance
	Said        *Said
}

// PassphraseForm is the form that changes the shop's passphrase.
type PassphraseForm struct {
	Fixed     bool   // the environment sets it
	WrongNow  string // the sentence that says why the present one doesn't do
	WrongNext string
}

// Convention is one of the shop's ways of working and where its default comes from.
type Convention struct {
	Name, Value string // a value of the JSON's form; "" none
	Word        bool   // the value is a word of the order file
	Source      string // the end of a key under setup.source
}

// Tolerance is how far a measured value may lie off.
type Tolerance struct {
	Name, Entry string           // as the order file writes it; what is entered
	Station     stations.Station // "" where the entry is measured at one station only
	Minus, Plus string           // under and over the target
	Source      string           // as a Convention's
}

// Settings renders the settings page.
func (v *Views) Settings(w io.Writer, p SettingsPage) error { return v.render(w, "settings", p) }

// CheckPage is what a shop looks over now and then: how it is reached, printed, copied and kept.
type CheckPage struct {
	Frame
	Address  string
	Moved    bool          // the address is none of this machine's
	OnlyHere bool          // only this machine reaches it
	Square   template.HTML // the QR of the address's hello page
	Reached  *Moment       // when another device last asked for that
	Backup   *BackupDone   // nil: none yet
	Space    SpaceLeft
	Now      Moment // the shop's clock
	Millis   int64  // the same in milliseconds since 1970
	Looked   *Looked
	Said     *Said
}

// Moment is an instant in the shop's zone.
type Moment struct {
	Date string // YYYY-MM-DD
	Time string // 15:04:05
	Zone string
}

// BackupDone is the last backup that was whole.
type BackupDone struct {
	When Moment
	File string
	Old  bool // longer ago than a shop should be without one
	Here bool // it lies in the data folder and can be sent
}

// SpaceLeft is the disk under the shop, written out: "3.4 MB".
type SpaceLeft struct {
	Database, Free, Disk string // Free and Disk "" where the system doesn't tell
	Low                  bool
}

// Looked is what a look at everything found.
type Looked struct {
	Answers     bool   // the address, asked from this machine
	Why         string // it doesn't, in the system's words
	Differences int    // between the books and their ledger
	First       string
}

// Check renders the self-check page.
func (v *Views) Check(w io.Writer, p CheckPage) error { return v.render(w, "check", p) }

// HelloPage tells a phone that it reaches the shop.
type HelloPage struct{ Frame }

// Hello renders the page that a phone finds at the end of the test code.
func (v *Views) Hello(w io.Writer, p HelloPage) error { return v.render(w, "hello", p) }
