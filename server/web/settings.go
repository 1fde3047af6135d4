package web

import (
	"cmp"
	"context"
	"path/filepath"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/measuring"
	"tablehand/views/page/shop"
)

// setupPage: GET /setup, what a new shop is asked once.
func (s *Site) setupPage(c *fiber.Ctx) error {
	return s.showSetup(c, s.shopForm(c))
}

func (s *Site) showSetup(c *fiber.Ctx, form shop.Form) error {
	p := shop.SetupPage{Frame: s.frame(c, s.Desk.Store.Floor()), Form: form, PassphraseFixed: s.Auth.Pass != "" || !s.Desk.Unset()}
	return s.send(c, p)
}

// setUpByForm: POST /setup. A passphrase may be set along, without the one before, as long as nobody has set the shop up:
// the person has just come in by it. Afterwards that is a matter of the settings, which ask for it.
func (s *Site) setUpByForm(c *fiber.Ctx) error {
	values := s.formValues(c)
	wrong := s.Desk.CheckSettings(values)
	passphrase := c.FormValue("passphrase")
	if passphrase != "" && !s.Desk.Unset() {
		return desk.Refuse("forbidden", "passphrase")
	}
	if passphrase != "" && !edge.GoodPassphrase(passphrase) {
		wrong[store.Passphrase] = "passphrase"
	}
	if len(wrong) > 0 {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showSetup(c, s.typedForm(c, values, wrong))
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := s.Desk.KeepSettings(ctx, values); err != nil {
		return err
	}
	if passphrase != "" && s.Auth.Pass == "" {
		if err := s.Auth.SetPassphrase(ctx, passphrase); err != nil {
			return err
		}
	}
	return GoOn(c, "/check?did=set_up")
}

// settingsPage: GET /settings.
func (s *Site) settingsPage(c *fiber.Ctx) error {
	return s.showSettings(c, s.shopForm(c), shop.PassphraseForm{}, s.answerAfter(c))
}

func (s *Site) showSettings(c *fiber.Ctx, form shop.Form, passphrase shop.PassphraseForm, answer *views.Answer) error {
	passphrase.Fixed = s.Auth.Pass != ""
	p := shop.SettingsPage{Frame: s.frame(c, s.Desk.Store.Floor()), Form: form, Passphrase: passphrase, Answer: answer}
	return s.send(c, p)
}

// setByForm: POST /settings.
func (s *Site) setByForm(c *fiber.Ctx) error {
	values := s.formValues(c)
	values[store.Paper] = c.FormValue("paper")
	values[store.PostalAddress] = lines(c.FormValue("postal_address"))
	values[store.PaymentTerms] = lines(c.FormValue("payment_terms"))
	values[store.OrderForm] = strings.TrimSpace(c.FormValue("order_form"))
	if values[store.CopyFolder] = strings.TrimSpace(c.FormValue("copy_folder")); values[store.CopyFolder] != "" {
		values[store.CopyFolder] = filepath.Clean(values[store.CopyFolder])
	}
	if wrong := s.Desk.CheckSettings(values); len(wrong) > 0 {
		c.Status(fiber.StatusUnprocessableEntity)
		return s.showSettings(c, s.typedForm(c, values, wrong), shop.PassphraseForm{}, nil)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	changed, err := s.changedOf(ctx, values)
	if err == nil {
		err = s.Desk.KeepSettings(ctx, values)
	}
	if err != nil {
		return err
	}
	if len(changed) > 0 {
		s.Note(c, store.SettingChanged, strings.Join(changed, ", "))
	}
	return GoOn(c, "/settings?did=settings")
}

// changedOf names the settings that are otherwise than they were.
func (s *Site) changedOf(ctx context.Context, values map[store.Setting]string) (names []string, err error) {
	for name, value := range values {
		was, err := s.Desk.Store.Setting(ctx, name)
		if err != nil {
			return nil, err
		}
		if was != value {
			names = append(names, string(name))
		}
	}
	slices.Sort(names)
	return names, nil
}

// lines is a text of several lines as it is kept: without blanks at its ends, its lines ended by "\n".
func lines(typed string) string {
	return strings.TrimSpace(strings.ReplaceAll(typed, "\r\n", "\n"))
}

// setPassphraseByForm: POST /settings/passphrase. The old one lets nobody in any more; who is signed in stays so, or
// where the form says so everybody has to sign in again.
func (s *Site) setPassphraseByForm(c *fiber.Ctx) error {
	refused := func(status int, form shop.PassphraseForm) error {
		c.Status(status)
		return s.showSettings(c, s.shopForm(c), form, nil)
	}
	say, now, next := s.Printer(c), c.FormValue("now"), c.FormValue("next")
	if s.Auth.Pass != "" {
		return desk.Refuse("forbidden", "passphrase")
	}
	if !edge.GoodPassphrase(next) {
		return refused(fiber.StatusUnprocessableEntity, shop.PassphraseForm{WrongNext: say.T("setup.wrong.passphrase", "Least", desk.MinPassphrase)})
	}
	right, wait, err := s.Guess(c, now)
	switch {
	case err != nil:
		return err
	case wait > 0:
		return desk.Refuse("too_many", "", "Seconds", wait)
	case !right:
		return refused(fiber.StatusForbidden, shop.PassphraseForm{WrongNow: say.T("page.signin.wrong")})
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := s.Auth.SetPassphrase(ctx, next); err != nil {
		return err
	}
	if c.FormValue("sign_out") == desk.Yes {
		err = s.Desk.Store.RemoveSessions(ctx)
	} else { // who knew only the old one is out
		err = s.Desk.Store.EndSessions(ctx, "", edge.SignInOf(c).ID)
	}
	if err != nil {
		return err
	}
	s.Note(c, store.SettingChanged, string(store.Passphrase))
	return GoOn(c, "/settings?did=settings")
}

// formValues are the settings that a form has sent. The address isn't one of them where it is given for this run.
func (s *Site) formValues(c *fiber.Ctx) map[store.Setting]string {
	text := func(name string) string { return strings.TrimSpace(c.FormValue(name)) }
	values := map[store.Setting]string{store.ShopName: text("shop_name"), store.Units: text("units"), store.Language: text("language"),
		store.Zone: text("zone"), store.PrintSidemark: text("print_sidemark")}
	if s.Desk.Given() == "" {
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
func (s *Site) shopForm(c *fiber.Ctx) shop.Form {
	n := s.Desk.Shop()
	form := s.emptyForm()
	form.Name, form.Address, form.Language, form.Units, form.Zone = n.Name, n.Address, cmp.Or(n.Language, s.Printer(c).Language()), n.Units, n.ZoneName
	if !n.Named {
		form.Name = ""
	}
	form.OrderForm = n.OrderForm
	form.Paper = string(n.Paper)
	form.PrintSidemark, form.PostalAddress, form.PaymentTerms, form.CopyFolder = n.PrintSidemark, n.PostalAddress, n.PaymentTerms, n.CopyFolder
	return form
}

func (s *Site) emptyForm() shop.Form {
	return shop.Form{Addresses: s.Desk.Reaches(), AddressFixed: s.Desk.Given() != "", Languages: i18n.Choices(),
		ZoneHere: s.Desk.Clock().In(s.Desk.Zone).Format("MST")}
}

// typedForm is the form as it was typed, with what is wrong in it.
func (s *Site) typedForm(c *fiber.Ctx, values map[store.Setting]string, wrong map[store.Setting]string) shop.Form {
	form := s.emptyForm()
	form.Name, form.Units, form.Language, form.Zone = values[store.ShopName], values[store.Units], values[store.Language], values[store.Zone]
	form.Address = cmp.Or(s.Desk.Given(), values[store.Address])
	form.PrintSidemark = values[store.PrintSidemark] == desk.Yes
	form.OrderForm = values[store.OrderForm]
	form.Paper = values[store.Paper]
	form.PostalAddress, form.PaymentTerms, form.CopyFolder = values[store.PostalAddress], values[store.PaymentTerms], values[store.CopyFolder]
	form.Wrong = map[string]string{}
	for name, what := range wrong {
		form.Wrong[string(name)] = s.Printer(c).T("setup.wrong."+what, "Least", desk.MinPassphrase)
	}
	return form
}

// measuringPage: GET /settings/measuring.
func (s *Site) measuringPage(c *fiber.Ctx) error {
	shop := s.Desk.Shop()
	layout := shop.Fittings.Layout
	p := measuring.Page{Frame: s.frame(c, s.Desk.Store.Floor()), Answer: s.answerAfter(c), Stations: measuring.StationsOf(layout.Open(), layout.Askings(shop.Measuring))}
	return s.send(c, p)
}

// setMeasuringByForm: POST /settings/measuring, all of it, or as shipped.
func (s *Site) setMeasuringByForm(c *fiber.Ctx) error {
	var set []plan.Asking
	if c.FormValue("as_shipped") != desk.Yes {
		for _, r := range s.Desk.Shop().Fittings.Layout.Askings(s.Desk.Shop().Measuring) {
			if when := c.FormValue(r.Key()); when != "" {
				r.When = plan.Occasion(when)
			}
			set = append(set, r.Asking)
		}
	}
	if err := s.SetMeasuring(c, set); err != nil {
		return err
	}
	return GoOn(c, "/settings/measuring?did=settings")
}
