package server

import (
	"cmp"
	"context"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"tablehand/server/store"
	"tablehand/views/i18n"
)

// settings are what a shop has set of itself, as pages and paper go by it. A value is never changed: what is saved
// takes the place of the one before.
type settings struct {
	Name          string
	Address       string // base URL in QR codes
	Language      string // BCP 47
	Units         string // of new orders: in, cm, mm
	Zone          *time.Location
	ZoneName      string // IANA, "" the machine's own
	PrintSidemark bool
	PostalAddress string // in lines
	PaymentTerms  string // in lines
	named         bool   // the shop has been given a name
}

// yes is the value of a setting that is on.
const yes = "yes"

// Most characters that a setting may have, our own choice: an address must leave a QR small enough for a label.
const (
	maxShopName   = 60
	maxAddress    = 80
	maxShopLines  = 600
	minPassphrase = 15 // NIST SP 800-63B-4 for a password that stands alone; from memory
	maxPassphrase = 200
)

// shop returns what the shop has set as of now.
func (s *Server) shop() *settings { return s.set.Load() }

// Address is the base URL that the shop's QR codes hold as of now.
func (s *Server) Address() string { return s.shop().Address }

// given returns the address that is given for this run, "" for none: it stands above the shop's setting.
func (s *Server) given() string { return s.Config.Address }

// unset reports whether nobody has set this shop up and nothing has happened in it yet.
func (s *Server) unset() bool { return !s.shop().named && s.Store.Floor().Seq() == 0 }

// readSettings takes over what the store has.
func (s *Server) readSettings() error {
	ctx, cancel := waiting()
	defer cancel()
	kept := map[store.Setting]string{store.ShopName: "", store.Address: "", store.Language: "", store.Units: "", store.Zone: "",
		store.PrintSidemark: "", store.PostalAddress: "", store.PaymentTerms: ""}
	for name := range kept {
		value, err := s.Store.Setting(ctx, name)
		if err != nil {
			return err
		}
		kept[name] = value
	}
	n := &settings{Name: cmp.Or(kept[store.ShopName], s.ShopName, "tablehand"), Address: cmp.Or(s.given(), kept[store.Address], s.firstReach()),
		Language: cmp.Or(kept[store.Language], s.Language), Units: cmp.Or(kept[store.Units], "in"), Zone: s.Zone, ZoneName: kept[store.Zone],
		PrintSidemark: kept[store.PrintSidemark] == yes, PostalAddress: kept[store.PostalAddress], PaymentTerms: kept[store.PaymentTerms],
		named: cmp.Or(kept[store.ShopName], s.ShopName) != ""}
	if n.ZoneName != "" {
		zone, err := time.LoadLocation(n.ZoneName)
		if err != nil { // another machine's; work goes on by this one's
			s.Log.Error("the shop's time zone is not known here", "zone", n.ZoneName, "error", err)
		} else {
			n.Zone = zone
		}
	}
	s.set.Store(n)
	return nil
}

// reaches returns the base URLs by which this machine can be reached now.
func (s *Server) reaches() []string {
	if s.Reach == nil {
		return nil
	}
	return s.Reach()
}

func (s *Server) firstReach() string {
	if all := s.reaches(); len(all) > 0 {
		return all[0]
	}
	return ""
}

// keepSettings keeps what was checked and has the shop go by it.
func (s *Server) keepSettings(ctx context.Context, values map[store.Setting]string) error {
	s.saving.Lock()
	defer s.saving.Unlock()
	if err := s.Store.SetAll(ctx, values); err != nil {
		return err
	}
	return s.readSettings()
}

// checkSettings tells, by setting, what doesn't do, as the end of a key of the catalogue.
func (s *Server) checkSettings(values map[store.Setting]string) map[store.Setting]string {
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
		if w := s.checkAddress(address); w != "" {
			wrong[store.Address] = w
		}
	}
	if !slices.Contains([]string{"in", "cm", "mm"}, values[store.Units]) {
		wrong[store.Units] = "units"
	}
	if !slices.Contains(i18n.Languages(), values[store.Language]) {
		wrong[store.Language] = "language"
	}
	if zone := values[store.Zone]; zone != "" {
		if _, err := time.LoadLocation(zone); err != nil || zone == "Local" || len(zone) > maxShopName {
			wrong[store.Zone] = "zone"
		}
	}
	tooLong(store.PostalAddress, maxShopLines)
	tooLong(store.PaymentTerms, maxShopLines)
	return wrong
}

// checkAddress tells why phones can't reach an address, "" when nothing speaks against it.
func (s *Server) checkAddress(address string) string {
	u, err := url.Parse(address)
	switch {
	case err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Hostname() == "" || u.User != nil ||
		u.RawQuery != "" || u.Fragment != "" || strings.Trim(u.Path, "/") != "" || strings.ContainsAny(address, " \t\r\n"):
		return "address"
	case s.onlyHere(u.Hostname()) && slices.ContainsFunc(s.reaches(), func(other string) bool { return !s.onlyHere(hostOf(other)) }):
		return "loopback"
	}
	return ""
}

// onlyHere reports whether a host is the machine itself to whoever asks for it.
func (s *Server) onlyHere(host string) bool {
	if ip, err := netip.ParseAddr(host); err == nil {
		return ip.IsLoopback() || ip.IsUnspecified()
	}
	return strings.EqualFold(host, "localhost")
}

// hostOf returns the host of a URL, "" where it has none.
func hostOf(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return ""
	}
	return u.Hostname()
}
