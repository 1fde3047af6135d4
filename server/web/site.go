package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"net/url"
	"strings"
	"sync"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/failure"
	"tablehand/views/page/help"
	"tablehand/views/page/signin"
)

// pages is what the pages need beside the server's own.
type pages struct {
	mu    sync.Mutex
	views map[string]*views.Views // by language and decimal mark, with the shop's words of today
	rack  rack
}

// newPages parses every page for every language that has a catalogue.
func newPages() (*pages, error) {
	p := &pages{views: map[string]*views.Views{}}
	for _, tag := range i18n.Choices() {
		if _, err := p.of(i18n.For(tag)); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// of returns the pages as a printer writes them. There are two for each language at most, and each is parsed once.
func (p *pages) of(say *i18n.Printer) (*views.Views, error) {
	key := say.Language() + say.Mark()
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.views[key] == nil || p.views[key].Say != say {
		v, err := views.New(say)
		if err != nil {
			return nil, err
		}
		p.views[key] = v
	}
	return p.views[key], nil
}

// Views returns the pages in the language that the request asks for.
func (s *Site) Views(c *fiber.Ctx) *views.Views {
	v, err := s.pages.of(s.Printer(c))
	if err != nil {
		panic(err) // the same templates were parsed when the server started
	}
	return v
}

// frame returns what is around the page that a request asks for, on the floor as it is now.
func (s *Site) frame(c *fiber.Ctx, floor *stations.Floor) views.Frame {
	actor, _ := edge.ActorOf(c)
	device := ""
	if d := edge.DeviceOf(c); d != nil {
		device = d.Name
	}
	return views.Frame{Device: device,
		Shop: s.Desk.Shop().Name, Role: actor.Role, Person: edge.PersonOf(c), Seq: floor.Seq(), Epoch: s.Desk.Store.Epoch(), Today: s.Desk.Today(), Path: c.Path(),
		Token: edge.TokenOf(c), Address: withoutLanguage(ownAddress(c.OriginalURL())), Tongues: s.tongues(c),
	}
}

// send sends a page in the language that the request asks for, whole or not at all.
func (s *Site) send(c *fiber.Ctx, p views.Page) error {
	var b bytes.Buffer
	if err := s.Views(c).Render(&b, p); err != nil {
		return err
	}
	return sendHTML(c, b.Bytes())
}

// sendHTML sends a page that is written.
func sendHTML(c *fiber.Ctx, page []byte) error {
	return sendText(c, fiber.MIMETextHTMLCharsetUTF8, page)
}

// SendJSON answers a page's script, which is sent parts of its page anew.
func (s *Site) SendJSON(c *fiber.Ctx, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return sendText(c, fiber.MIMEApplicationJSON, text)
}

// sendText sends a text of a type, compressed where the browser takes that.
func sendText(c *fiber.Ctx, kind string, page []byte) error {
	c.Set(fiber.HeaderContentType, kind)
	c.Vary(fiber.HeaderAcceptEncoding)
	if !strings.Contains(c.Get(fiber.HeaderAcceptEncoding), "gzip") {
		return c.Send(page)
	}
	c.Set(fiber.HeaderContentEncoding, "gzip")
	return zipped(c.Response().BodyWriter(), page)
}

// largePage is from where on a page is compressed quickly rather than well, our own choice: a form of an order has 77 kB, which well takes a
// millisecond or two, a board of a large shop some hundred.
const largePage = 128 << 10

// zippers write pages compressed. A page is made anew each time, so that a large one is written quickly: a seventh to a twelfth is left.
// Others are a fifth lighter.
var zippers, quickZippers = zippersOf(gzip.DefaultCompression), zippersOf(gzip.BestSpeed)

func zippersOf(level int) *sync.Pool {
	return &sync.Pool{New: func() any {
		z, err := gzip.NewWriterLevel(nil, level)
		if err != nil {
			panic(err) // never: the level is one of gzip's own
		}
		return z
	}}
}

func zipped(w io.Writer, page []byte) error {
	pool := zippers
	if len(page) > largePage {
		pool = quickZippers
	}
	z := pool.Get().(*gzip.Writer)
	defer pool.Put(z)
	z.Reset(w)
	if _, err := z.Write(page); err != nil {
		return err
	}
	return z.Close()
}

// did are the messages that a page shows after it was sent on to: a form's answer is a redirect, so that a reload
// doesn't send it again.
var did = map[string]bool{"taken": true, "revised": true, "released": true, "cancelled": true, "closed": true, "prices": true, "dropped": true,
	"received": true, "unreceived": true, "set_up": true, "settings": true, "backed_up": true}

func (s *Site) answerAfter(c *fiber.Ctx) *views.Answer {
	if what := c.Query("did"); did[what] {
		return &views.Answer{Text: s.Printer(c).T("page.did." + what)}
	}
	return nil
}

// GoOn answers a form that was done: the browser goes on to another page.
func GoOn(c *fiber.Ctx, address string) error { return c.Redirect(address, fiber.StatusSeeOther) }

// RefusalPage tells a person what was refused; the status is set already. Strangers are asked to sign in, where they
// are: the address and its fragment stay.
func (s *Site) RefusalPage(c *fiber.Ctx, r *stations.Refusal) error {
	frame := s.frame(c, s.Desk.Store.Floor())
	if r.Code == "unauthorized" {
		next := "/"
		if c.Method() == fiber.MethodGet {
			next = c.OriginalURL()
		}
		return s.send(c, signin.Page{Frame: frame, Next: next})
	}
	return s.send(c, failure.Page{Frame: frame, Status: edge.StatusOf(r.Code), Code: r.Code, Text: s.Printer(c).Refusal(r)})
}

// sendAsset: GET /assets/{hash}/{name}. The address has the content's hash, so it never has to be asked for again.
func (s *Site) sendAsset(c *fiber.Ctx) error {
	asset, ok := s.Views(c).Assets.Find(c.Path())
	if !ok {
		return desk.Refuse("not_found", "")
	}
	c.Set(fiber.HeaderContentType, asset.Type)
	c.Set(fiber.HeaderCacheControl, "public, max-age=31536000, immutable")
	c.Vary(fiber.HeaderAcceptEncoding)
	if asset.Gzip != nil && strings.Contains(c.Get(fiber.HeaderAcceptEncoding), "gzip") {
		c.Set(fiber.HeaderContentEncoding, "gzip")
		return c.Send(asset.Gzip)
	}
	return c.Send(asset.Body)
}

// signInPage: GET /sign-in.
func (s *Site) signInPage(c *fiber.Ctx) error {
	return s.send(c, signin.Page{Frame: s.frame(c, s.Desk.Store.Floor()), Next: ownAddress(c.Query("next"))})
}

// signInByForm: POST /sign-in.
func (s *Site) signInByForm(c *fiber.Ctx) error {
	next := ownAddress(c.FormValue("next"))
	with := edge.SignIn{Person: strings.TrimSpace(c.FormValue("person")), Passphrase: c.FormValue("passphrase"), Keep: c.FormValue("keep") != ""}
	if err := edge.CheckTexts(edge.Text("person", with.Person, false, edge.MaxName)); err != nil {
		return err
	}
	err := s.OpenSession(c, with)
	if err == nil {
		return GoOn(c, next)
	}
	r, ok := edge.RefusalOf(err)
	p := signin.Page{Frame: s.frame(c, s.Desk.Store.Floor()), Next: next, Name: with.Person}
	switch {
	case ok && r.Code == "unauthorized":
		p.Wrong = true
	case ok && r.Code == "too_many":
		p.Wait, _ = r.Args["Seconds"].(int)
	case ok && r.Code == "sign_in_busy":
		p.Busy = true
		c.Set(fiber.HeaderRetryAfter, fmt.Sprint(r.Args["Seconds"]))
	default:
		return err
	}
	c.Status(edge.StatusOf(r.Code))
	return s.send(c, p)
}

// signOutByForm: POST /sign-out.
func (s *Site) signOutByForm(c *fiber.Ctx) error {
	if err := edge.CheckToken(c); err != nil {
		return err
	}
	if err := s.CloseSession(c); err != nil {
		return err
	}
	return GoOn(c, "/sign-in")
}

// ownAddress returns an address of this site to go on to; anything else, such as another site's, becomes the home
// page.
func ownAddress(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "" || u.Host != "" || !strings.HasPrefix(u.Path, "/") || strings.ContainsAny(address, "\\\r\n") ||
		strings.HasPrefix(address, "//") || strings.HasPrefix(u.Path, "/sign-") {
		return "/"
	}
	return u.RequestURI()
}

// chooseLanguage: POST /language, by the device and, where somebody works at it, for that person.
func (s *Site) chooseLanguage(c *fiber.Ctx) error {
	if err := edge.CheckToken(c); err != nil {
		return err
	}
	tag := c.FormValue(edge.LanguageQuery)
	if !edge.ThereIs(tag) {
		return desk.Refuse("bad_value", edge.LanguageQuery, "Name", edge.LanguageQuery, "Value", tag)
	}
	edge.RememberLanguage(c, tag, s.Desk.Clock())
	if _, known := edge.ActorOf(c); known {
		if err := s.SpeakTo(edge.PersonOf(c), tag); err != nil {
			return err
		}
	}
	return GoOn(c, withoutLanguage(ownAddress(c.FormValue("next"))))
}

// withoutLanguage returns an address that asks for no language of its own.
func withoutLanguage(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "/"
	}
	q := u.Query()
	q.Del(edge.LanguageQuery)
	u.RawQuery = q.Encode()
	return u.String()
}

// tongues are the languages that a page offers, its own marked.
func (s *Site) tongues(c *fiber.Ctx) []views.Tongue {
	own := s.Printer(c).Language()
	var all []views.Tongue
	for _, tag := range i18n.Choices() {
		all = append(all, views.Tongue{Tag: tag, Name: i18n.For(tag).T("language.own_name"), Chosen: tag == own})
	}
	return all
}

// helpIndexPage: GET /help, the pages of help that there are.
func (s *Site) helpIndexPage(c *fiber.Ctx) error { return s.sendHelp(c, "") }

// helpPage: GET /help/{page}. The page about signing in is for strangers too.
func (s *Site) helpPage(c *fiber.Ctx) error { return s.sendHelp(c, edge.Param(c, "page")) }

// signInHelpPage: GET /help/sign-in.
func (s *Site) signInHelpPage(c *fiber.Ctx) error { return s.sendHelp(c, "sign-in") }

func (s *Site) sendHelp(c *fiber.Ctx, name string) error {
	page, ok := help.New(s.Printer(c), s.frame(c, s.Desk.Store.Floor()), s.Desk.Shop().Fittings.Layout, name)
	if !ok {
		return desk.Refuse("not_found", "")
	}
	return s.send(c, page)
}
