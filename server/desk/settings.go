package desk

import (
	"cmp"
	"context"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/numbering"
	"tablehand/server/copies"
	"tablehand/server/store"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/paper"
)

// Settings are what a shop has set of itself, as pages and paper go by it. A value is never changed: what is saved
// takes the place of the one before.
type Settings struct {
	Name          string
	Address       string // base URL in QR codes
	Language      string // BCP 47
	Units         string // of new orders: in, cm, mm
	OrderForm     string // how new orders are named, with {n} for the number
	Zone          *time.Location
	ZoneName      string // IANA, "" the machine's own
	PrintSidemark bool
	PostalAddress string      // in lines
	PaymentTerms  string      // in lines
	Paper         paper.Sheet // of invoices: letter or a4, where nobody has said by the shop's units
	CopyFolder    string      // a second place for copies, "" none
	Named         bool        // the shop has been given a name

	Measuring   plan.Measuring // what orders that are released ask otherwise than always
	Conventions Ways           // the shop's own, for orders that are taken
	Tolerances  Ways           // likewise
	Fittings    Fittings       // what it says of its stations, for orders that are released
	Closed      ClosedDays     // when it is closed
	Words       *i18n.Own      // what it calls them, now
}

// Yes is the value of a setting that is on.
const Yes = "yes"

// Most characters that a setting may have, our own choice: an address must leave a QR small enough for a label.
const (
	maxShopName   = 60
	maxAddress    = 80
	maxShopLines  = 600
	maxFolder     = 300
	MinPassphrase = 15 // NIST SP 800-63B-4 for a password that stands alone; from memory
	MaxPassphrase = 200
)

// Shop returns what the shop has set as of now.
func (d *Desk) Shop() *Settings { return d.set.Load() }

// Given returns the address that is given for this run, "" for none: it stands above the shop's setting.
func (d *Desk) Given() string { return d.Config.Address }

// Unset reports whether nobody has set this shop up and nothing has happened in it yet.
func (d *Desk) Unset() bool { return !d.Shop().Named && d.Store.Floor().Seq() == 0 }

// readSettings takes over what the store has.
func (d *Desk) readSettings() error {
	ctx, cancel := Waiting()
	defer cancel()
	kept := map[store.Setting]string{store.ShopName: "", store.Address: "", store.Language: "", store.Units: "", store.Zone: "",
		store.PrintSidemark: "", store.PostalAddress: "", store.PaymentTerms: "", store.Paper: "", store.CopyFolder: "", store.Measuring: "", store.Conventions: "", store.Tolerances: "", store.Stations: "", store.ClosedDays: "", store.OrderForm: ""}
	for name := range kept {
		value, err := d.Store.Setting(ctx, name)
		if err != nil {
			return err
		}
		kept[name] = value
	}
	n := &Settings{Name: cmp.Or(kept[store.ShopName], d.ShopName, "tablehand"), Address: cmp.Or(d.Given(), d.asServed(kept[store.Address]), d.firstReach()),
		Language: cmp.Or(kept[store.Language], d.Language), Units: cmp.Or(kept[store.Units], "in"), OrderForm: cmp.Or(kept[store.OrderForm], shippedNumbering),
		Zone: d.Zone, ZoneName: kept[store.Zone],
		PrintSidemark: kept[store.PrintSidemark] == Yes, PostalAddress: kept[store.PostalAddress], PaymentTerms: kept[store.PaymentTerms], CopyFolder: kept[store.CopyFolder],
		Named: cmp.Or(kept[store.ShopName], d.ShopName) != ""}
	n.Paper = cmp.Or(paper.Sheet(kept[store.Paper]), sheetOf(n.Units))
	if n.ZoneName != "" {
		zone, err := time.LoadLocation(n.ZoneName)
		if err != nil { // another machine's; work goes on by this one's
			d.Log.Error("the shop's time zone is not known here", "zone", n.ZoneName, "error", err)
		} else {
			n.Zone = zone
		}
	}
	var err error
	if n.Conventions, err = waysOf(kept[store.Conventions], aConvention); err != nil {
		d.Log.Error("the shop's own conventions can't all be read; what can't is as shipped", "error", err)
	}
	if n.Tolerances, err = waysOf(kept[store.Tolerances], aTolerance); err != nil {
		d.Log.Error("the shop's own tolerances can't all be read; what can't is as shipped", "error", err)
	}
	if n.Fittings, err = fittingsOf(kept[store.Stations]); err != nil {
		d.Log.Error("what the shop says of its stations can't be read; they are as shipped", "error", err)
	}
	if n.Measuring, err = measuringOf(kept[store.Measuring], n.Fittings.Layout); err != nil {
		d.Log.Error("what is measured when can't be read; it is as shipped", "error", err)
	}
	if n.Closed, err = closedDaysOf(kept[store.ClosedDays]); err != nil {
		d.Log.Error("when the shop is closed can't be read; it is as shipped", "error", err)
	}
	words, practice := n.Fittings.words(), n.Practice(measure.In)
	for _, h := range practice.Own {
		words["heading."+string(h.Heading)] = h.Name
	}
	n.Words = i18n.NewOwn(words)
	d.set.Store(n)
	return nil
}

// sheetOf is the sheet that goes with a shop's units: who measures in inches prints on letter (common practice, no source).
func sheetOf(units string) paper.Sheet {
	if units == "in" {
		return paper.Letter
	}
	return paper.A4
}

// Reaches returns the base URLs by which this machine can be reached now.
func (d *Desk) Reaches() []string {
	if d.Reach == nil {
		return nil
	}
	return d.Reach()
}

// asServed returns an address that was set by HTTP or HTTPS as what the shop speaks there now: both are on one port, and
// codes are to lead where browsers get most. An address that isn't one of this machine's stays as it is.
func (d *Desk) asServed(address string) string {
	_, set, _ := strings.Cut(address, "://")
	for _, now := range d.Reaches() {
		if _, here, _ := strings.Cut(now, "://"); here == set {
			return now
		}
	}
	return address
}

func (d *Desk) firstReach() string {
	if all := d.Reaches(); len(all) > 0 {
		return all[0]
	}
	return ""
}

// KeepSettings keeps what was checked and has the shop go by it.
func (d *Desk) KeepSettings(ctx context.Context, values map[store.Setting]string) error {
	d.saving.Lock()
	defer d.saving.Unlock()
	if err := d.Store.SetAll(ctx, values); err != nil {
		return err
	}
	return d.readSettings()
}

// CheckSettings tells, by setting, what doesn't do, as the end of a key of the catalogue.
func (d *Desk) CheckSettings(values map[store.Setting]string) map[store.Setting]string {
	wrong := map[store.Setting]string{}
	tooLong := func(name store.Setting, most int) bool {
		long := utf8.RuneCountInString(values[name]) > most
		if long {
			wrong[name] = "long"
		}
		return long
	}
	if !tooLong(store.ShopName, maxShopName) && values[store.ShopName] == "" {
		wrong[store.ShopName] = "name"
	}
	if address, given := values[store.Address]; given && !tooLong(store.Address, maxAddress) {
		if w := d.checkAddress(address); w != "" {
			wrong[store.Address] = w
		}
	}
	if !slices.Contains([]string{"in", "cm", "mm"}, values[store.Units]) {
		wrong[store.Units] = "units"
	}
	if sheet := values[store.Paper]; sheet != "" && sheet != string(paper.Letter) && sheet != string(paper.A4) {
		wrong[store.Paper] = "paper"
	}
	if !slices.Contains(i18n.Choices(), values[store.Language]) {
		wrong[store.Language] = "language"
	}
	if zone := values[store.Zone]; zone != "" {
		if _, err := time.LoadLocation(zone); err != nil || zone == "Local" || len(zone) > maxShopName {
			wrong[store.Zone] = "zone"
		}
	}
	if form := values[store.OrderForm]; form != "" {
		if _, ok := numbering.Read(form); !ok {
			wrong[store.OrderForm] = "order_form"
		}
	}
	tooLong(store.PostalAddress, maxShopLines)
	tooLong(store.PaymentTerms, maxShopLines)
	if folder := values[store.CopyFolder]; folder != "" && !tooLong(store.CopyFolder, maxFolder) {
		if why := d.checkCopyFolder(folder); why != copies.Good {
			wrong[store.CopyFolder] = "copy." + string(why)
		}
	}
	return wrong
}

// checkAddress tells why phones can't reach an address, "" when nothing speaks against it.
func (d *Desk) checkAddress(address string) string {
	u, err := url.Parse(address)
	switch {
	case err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Hostname() == "" || u.User != nil ||
		u.RawQuery != "" || u.Fragment != "" || strings.Trim(u.Path, "/") != "" || strings.ContainsAny(address, " \t\r\n"):
		return "address"
	case d.OnlyHere(u.Hostname()) && slices.ContainsFunc(d.Reaches(), func(other string) bool { return !d.OnlyHere(HostOf(other)) }):
		return "loopback"
	}
	return ""
}

// OnlyHere reports whether a host is the machine itself to whoever asks for it.
func (d *Desk) OnlyHere(host string) bool {
	if ip, err := netip.ParseAddr(host); err == nil {
		return ip.IsLoopback() || ip.IsUnspecified()
	}
	return strings.EqualFold(host, "localhost")
}

// HostOf returns the host of a URL, "" where it has none.
func HostOf(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return ""
	}
	return u.Hostname()
}
