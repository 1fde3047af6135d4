package server

import (
	"cmp"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/store"
	"tablehand/views"
	"tablehand/views/i18n"
)

// setupPage: GET /setup, what a new shop is asked once.
func (s *Server) setupPage(c *fiber.Ctx) error {
	return s.showSetup(c, s.shopForm(c))
}

func (s *Server) showSetup(c *fiber.Ctx, form views.ShopForm) error {
	p := views.SetupPage{Frame: s.frame(c, s.Store.Floor()), Form: form, PassphraseFixed: s.Auth.Pass != ""}
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Setup(w, p) })
}

// setUpByForm: POST /setup. A passphrase may be set along, without the one before: the person has just typed it.
func (s *Server) setUpByForm(c *fiber.Ctx) error {
	values := s.formValues(c)
	wrong := s.checkSettings(values)
	passphrase := c.FormValue("passphrase")
	if passphrase != "" && !goodPassphrase(passphrase) {
		wrong[store.Passphrase] = "passphrase"
	}
	if len(wrong) > 0 {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showSetup(c, s.typedForm(c, values, wrong))
	}
	ctx, cancel := waiting()
	defer cancel()
	if err := s.keepSettings(ctx, values); err != nil {
		return err
	}
	if passphrase != "" && s.Auth.Pass == "" {
		if err := s.Auth.SetPassphrase(ctx, passphrase); err != nil {
			return err
		}
	}
	return goOn(c, "/check?did=set_up")
}

func goodPassphrase(p string) bool {
	n := utf8.RuneCountInString(p)
	return n >= minPassphrase && n <= maxPassphrase && strings.TrimSpace(p) == p
}

// settingsPage: GET /settings.
func (s *Server) settingsPage(c *fiber.Ctx) error {
	return s.showSettings(c, s.shopForm(c), views.PassphraseForm{}, s.saidAfter(c))
}

func (s *Server) showSettings(c *fiber.Ctx, form views.ShopForm, passphrase views.PassphraseForm, said *views.Said) error {
	passphrase.Fixed = s.Auth.Pass != ""
	p := views.SettingsPage{Frame: s.frame(c, s.Store.Floor()), Form: form, Passphrase: passphrase, Said: said}
	p.Conventions, p.Tolerances = conventionRows(s.shop().Units)
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Settings(w, p) })
}

// setByForm: POST /settings.
func (s *Server) setByForm(c *fiber.Ctx) error {
	values := s.formValues(c)
	values[store.PostalAddress] = lines(c.FormValue("postal_address"))
	values[store.PaymentTerms] = lines(c.FormValue("payment_terms"))
	if wrong := s.checkSettings(values); len(wrong) > 0 {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showSettings(c, s.typedForm(c, values, wrong), views.PassphraseForm{}, nil)
	}
	ctx, cancel := waiting()
	defer cancel()
	if err := s.keepSettings(ctx, values); err != nil {
		return err
	}
	return goOn(c, "/settings?did=settings")
}

// lines is a text of several lines as it is kept: without blanks at its ends, its lines ended by "\n".
func lines(typed string) string {
	return strings.TrimSpace(strings.ReplaceAll(typed, "\r\n", "\n"))
}

// setPassphraseByForm: POST /settings/passphrase. The old one lets nobody in any more; who is signed in stays so, or
// where the form says so everybody has to sign in again.
func (s *Server) setPassphraseByForm(c *fiber.Ctx) error {
	refused := func(status int, form views.PassphraseForm) error {
		c.Status(status)
		return s.showSettings(c, s.shopForm(c), form, nil)
	}
	say, now, next := s.printer(c), c.FormValue("now"), c.FormValue("next")
	if s.Auth.Pass != "" {
		return refuse("forbidden", "passphrase")
	}
	if !goodPassphrase(next) {
		return refused(fiber.StatusUnprocessableEntity, views.PassphraseForm{WrongNext: say.T("setup.wrong.passphrase", "Least", minPassphrase)})
	}
	right, wait, err := s.knows(c, now)
	switch {
	case err != nil:
		return err
	case wait > 0:
		return refuse("too_many", "", "Seconds", wait)
	case !right:
		return refused(fiber.StatusForbidden, views.PassphraseForm{WrongNow: say.T("page.signin.wrong")})
	}
	ctx, cancel := waiting()
	defer cancel()
	if err := s.Auth.SetPassphrase(ctx, next); err != nil {
		return err
	}
	if c.FormValue("sign_out") == yes {
		if err := s.Store.RemoveSessions(ctx); err != nil {
			return err
		}
	}
	return goOn(c, "/settings?did=settings")
}

// knows reports whether somebody knows the shop's passphrase, and how many seconds to wait after one guess too many.
func (s *Server) knows(c *fiber.Ctx, passphrase string) (right bool, wait int, err error) {
	s.signingIn.Lock()
	defer s.signingIn.Unlock()
	guesser := "passphrase " + s.client(c).String()
	if wait = s.guesses.wait(guesser); wait > 0 {
		return false, wait, nil
	}
	ctx, cancel := waiting()
	defer cancel()
	if right, err = s.Auth.IsPassphrase(ctx, passphrase); err == nil && !right {
		s.guesses.fail(guesser)
	}
	return right, 0, err
}

// formValues are the settings that a form has sent. The address isn't one of them where it is given for this run.
func (s *Server) formValues(c *fiber.Ctx) map[store.Setting]string {
	text := func(name string) string { return strings.TrimSpace(c.FormValue(name)) }
	values := map[store.Setting]string{store.ShopName: text("shop_name"), store.Units: text("units"), store.Language: text("language"),
		store.Zone: text("zone"), store.PrintSidemark: text("print_sidemark")}
	if s.given() == "" {
		address := text("address")
		if address == otherAddress {
			address = text("address_other")
		}
		values[store.Address] = strings.TrimRight(address, "/")
	}
	return values
}

// otherAddress is the choice of an address that isn't one of the machine's.
const otherAddress = "other"

// shopForm is the form of the settings as they are.
func (s *Server) shopForm(c *fiber.Ctx) views.ShopForm {
	n := s.shop()
	form := s.emptyForm()
	form.Name, form.Address, form.Language, form.Units, form.Zone = n.Name, n.Address, cmp.Or(n.Language, s.printer(c).Language()), n.Units, n.ZoneName
	if !n.named {
		form.Name = ""
	}
	form.PrintSidemark, form.PostalAddress, form.PaymentTerms = n.PrintSidemark, n.PostalAddress, n.PaymentTerms
	return form
}

func (s *Server) emptyForm() views.ShopForm {
	return views.ShopForm{Addresses: s.reaches(), AddressFixed: s.given() != "", Languages: i18n.Languages(),
		ZoneHere: s.Clock().In(s.Zone).Format("MST")}
}

// typedForm is the form as it was typed, with what is wrong in it.
func (s *Server) typedForm(c *fiber.Ctx, values map[store.Setting]string, wrong map[store.Setting]string) views.ShopForm {
	form := s.emptyForm()
	form.Name, form.Units, form.Language, form.Zone = values[store.ShopName], values[store.Units], values[store.Language], values[store.Zone]
	form.Address = cmp.Or(s.given(), values[store.Address])
	form.PrintSidemark = values[store.PrintSidemark] == yes
	form.PostalAddress, form.PaymentTerms = values[store.PostalAddress], values[store.PaymentTerms]
	form.Wrong = map[string]string{}
	for name, what := range wrong {
		form.Wrong[string(name)] = s.printer(c).T("setup.wrong."+what, "Least", minPassphrase)
	}
	return form
}
