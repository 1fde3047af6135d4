package web

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"net/netip"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/views"
	"tablehand/views/page/backup"
	"tablehand/views/page/check"
	"tablehand/views/page/hello"
	"tablehand/views/page/trust"
	"tablehand/views/paper"
)

const (
	backupDue    = 48 * time.Hour // our own choice: a shop that has copied nothing for longer is told so
	lowSpace     = 1 << 30        // bytes free below which the disk is called low: our own choice
	probeTimeout = 4 * time.Second
	helloPath    = "/HELLO" // in capitals a QR is smaller; addresses read the same in any case
)

// checkPage: GET /check; with ?now=1 everything is findings at that takes a moment.
func (s *Site) checkPage(c *fiber.Ctx) error {
	p := check.Page{Frame: s.frame(c, s.Desk.Store.Floor()), ShopAt: s.Desk.Shop().Address, Now: s.moment(s.Desk.Clock()),
		Millis: s.Desk.Clock().UnixMilli(), Answer: s.answerAfter(c)}
	host := desk.HostOf(p.ShopAt)
	p.OnlyHere = s.Desk.OnlyHere(host)
	if _, err := netip.ParseAddr(host); err == nil { // a name may lead here by ways that we don't see
		p.Moved = !slices.ContainsFunc(s.Desk.Reaches(), func(here string) bool { return desk.HostOf(here) == host })
	}
	if err := s.checkKept(c, &p); err != nil {
		return err
	}
	square, err := paper.QRSVG(strings.ToUpper(p.ShopAt)+helloPath, s.Printer(c).T("setup.check.square"))
	if err != nil {
		return err
	}
	p.Trust = s.Authority != nil
	p.Square = template.HTML(square) // ours, made of numbers
	if at := s.reached.Load(); at > 0 {
		m := s.moment(time.UnixMicro(at))
		p.Reached = &m
	}
	if c.Query("now") != "" {
		if p.Findings, err = s.lookAround(p.ShopAt); err != nil {
			return err
		}
	}
	return s.send(c, p)
}

// checkKept says of the last backup, and of the disk.
func (s *Site) checkKept(c *fiber.Ctx, p *check.Page) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	at, file, err := s.Desk.Store.LastBackup(ctx)
	if err != nil {
		return err
	}
	if !at.IsZero() {
		p.Backup = &check.Backup{When: s.moment(at), File: file, Old: s.Desk.Clock().Sub(at) > backupDue, Here: s.Desk.Store.MadeHere(file)}
	}
	if p.Copy, err = s.secondPlace(ctx); err != nil {
		return err
	}
	space, err := s.Desk.Store.Space()
	if err != nil {
		return err
	}
	p.Space = check.SpaceLeft{Database: s.bytesOf(c, space.Database)}
	if space.Disk > 0 {
		p.Space.Free, p.Space.Disk, p.Space.Low = s.bytesOf(c, space.Free), s.bytesOf(c, space.Disk), space.Free < lowSpace
	}
	return nil
}

// secondPlace lays out where the daily copies go and how old the last one is, nil where no place is named.
func (s *Site) secondPlace(ctx context.Context) (*views.SecondPlace, error) {
	p, err := s.Desk.SecondPlace(ctx)
	if err != nil || p.Folder == "" {
		return nil, err
	}
	shown := &views.SecondPlace{Folder: p.Folder, Never: p.File == "", Why: string(p.Why), Old: p.Old, SameDisk: p.SameDisk}
	if age := s.Desk.Clock().Sub(p.Last); !shown.Never && age > 0 {
		shown.Hours = int(age / time.Hour)
		if shown.Hours >= 48 {
			shown.Days = shown.Hours / 24
		}
	}
	return shown, nil
}

// lookAround asks the address from this machine and audits the books.
func (s *Site) lookAround(address string) (*check.Findings, error) {
	var findings check.Findings
	ctx, cancel := context.WithTimeout(context.Background(), probeTimeout)
	defer cancel()
	if err := s.answers(ctx, address); err != nil {
		findings.Why = err.Error()
	} else {
		findings.Answers = true
	}
	auditing, cancel := desk.Waiting()
	defer cancel()
	differences, err := s.Desk.Store.Audit(auditing)
	if err != nil {
		return nil, err
	}
	if findings.Differences = len(differences); findings.Differences > 0 {
		findings.First = differences[0].String()
	}
	return &findings, nil
}

// answers asks the shop at an address whether it is there: straight, by no proxy, and trusting its own authority too.
func (s *Site) answers(ctx context.Context, address string) error {
	straight := &http.Transport{DisableKeepAlives: true}
	if s.Authority != nil {
		straight.TLSClientConfig = &tls.Config{RootCAs: s.Authority.Pool()}
	}
	probe := &http.Client{Transport: straight}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, address+"/healthz", nil)
	if err != nil {
		return err
	}
	res, err := probe.Do(req)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusOK {
		return errors.New(res.Status)
	}
	return nil
}

// moment writes an instant in the shop's zone.
func (s *Site) moment(at time.Time) check.Moment {
	at = at.In(s.Desk.Shop().Zone)
	return check.Moment{Date: at.Format(time.DateOnly), Time: at.Format(time.TimeOnly), Zone: at.Format("MST")}
}

// bytesOf writes a size in decimal units, as disks are sold.
func (s *Site) bytesOf(c *fiber.Ctx, n int64) string {
	size, unit := float64(n), "B"
	for _, larger := range []string{"kB", "MB", "GB", "TB"} {
		if size < 1000 {
			break
		}
		size, unit = size/1000, larger
	}
	if size >= 100 || unit == "B" {
		return fmt.Sprintf("%.0f %s", size, unit)
	}
	return s.Printer(c).Decimal(fmt.Sprintf("%.1f %s", size, unit))
}

// helloPage: GET /hello, for whoever scans the test code.
func (s *Site) helloPage(c *fiber.Ctx) error {
	if ip, err := netip.ParseAddr(c.IP()); err == nil && !ip.IsLoopback() {
		s.reached.Store(s.Desk.Clock().UnixMicro())
	}
	return s.send(c, hello.Page{Frame: s.frame(c, s.Desk.Store.Floor())})
}

// printTestSheet: GET /check/sheet.pdf, on labels or on sheets.
func (s *Site) printTestSheet(c *fiber.Ctx) error {
	how, err := s.Printing(c, paper.Labels, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	doc := paper.TestSheetDoc{Say: how.Say, Sheet: how.Sheet, Address: how.Address, Shop: s.Desk.Shop().Name, Made: s.Desk.Clock()}
	return s.SendPaper(c, "test-sheet", func(_ context.Context, w io.Writer) error { return paper.TestSheet(w, doc) })
}

// backUpByForm: POST /check/backup makes a copy in the data folder, and proves it; with the passphrase it sends the
// newest one that was made here, to be kept on another disk.
func (s *Site) backUpByForm(c *fiber.Ctx) error {
	if passphrase := c.FormValue("passphrase"); passphrase != "" {
		return s.sendBackup(c, passphrase)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := s.Desk.MakeCopy(ctx); err != nil {
		return err
	}
	return GoOn(c, "/check?did=backed_up")
}

// backupPage: GET /check/backup asks for the passphrase again before the whole shop is sent.
func (s *Site) backupPage(c *fiber.Ctx) error { return s.askForBackup(c, backup.Page{}) }

func (s *Site) askForBackup(c *fiber.Ctx, p backup.Page) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	_, file, err := s.Desk.Store.LastBackup(ctx)
	if err != nil {
		return err
	}
	if !s.Desk.Store.MadeHere(file) {
		return desk.Refuse("not_found", "")
	}
	p.Frame, p.File = s.frame(c, s.Desk.Store.Floor()), filepath.Base(file)
	return s.send(c, p)
}

// sendBackup sends the newest copy to somebody who knows the passphrase.
func (s *Site) sendBackup(c *fiber.Ctx, passphrase string) error {
	right, wait, err := s.Guess(c, passphrase)
	switch {
	case err != nil:
		return err
	case wait > 0:
		c.Status(fiber.StatusTooManyRequests)
		return s.askForBackup(c, backup.Page{Wait: wait})
	case !right:
		c.Status(fiber.StatusForbidden)
		return s.askForBackup(c, backup.Page{Wrong: true})
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	f, err := s.Desk.Store.OpenBackup(ctx)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err != nil {
		return errors.Join(err, f.Close())
	}
	s.Note(c, store.ShopCopied, filepath.Base(f.Name()))
	c.Set(fiber.HeaderContentType, "application/vnd.sqlite3")
	c.Set(fiber.HeaderContentDisposition, fmt.Sprintf("attachment; filename=%q", filepath.Base(f.Name())))
	return c.SendStream(f, int(info.Size())) // closes it
}

// trustPage: GET /trust leads a device through trusting the shop's own authority. It is open, and answers plain HTTP too: who
// comes here trusts nothing yet.
func (s *Site) trustPage(c *fiber.Ctx) error {
	if s.Authority == nil {
		return desk.Refuse("not_found", "")
	}
	host := string(c.Request().Host())
	square, err := paper.QRSVG(strings.ToUpper("http://"+host+"/trust"), s.Printer(c).T("trust.square"))
	if err != nil {
		return err
	}
	p := trust.Page{Frame: s.frame(c, s.Desk.Store.Floor()), Square: template.HTML(square), // ours, made of numbers
		Encrypted: edge.Encrypted(c), Here: "https://" + host + "/hello", Names: s.Authority.Names(), Fingerprint: s.Authority.Fingerprint(),
		Devices: trust.Devices(s.Printer(c), c.Get(fiber.HeaderUserAgent))}
	return s.send(c, p)
}

// sendAuthority: GET /trust/authority.crt, in the form that phones and computers take a certificate to trust in.
func (s *Site) sendAuthority(c *fiber.Ctx) error {
	if s.Authority == nil {
		return desk.Refuse("not_found", "")
	}
	c.Set(fiber.HeaderContentType, "application/x-x509-ca-cert")
	c.Set(fiber.HeaderContentDisposition, `inline; filename="workroom.crt"`)
	return c.Send(s.Authority.Certificate())
}
