package paper

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// forty is a name as long as the label must bear.
const forty = "Conservatory, garden side, second from l"

// ticketOrder is an order whose names fill the label.
func ticketOrder(t testing.TB, window string) *workup.Workup {
	t.Helper()
	source := `order: SMI-014.with_a_long_number-01234
customer: Saltmarsh Inn
sidemark: Floor 1, room 14
due: 2026-12-18
units: in
notes: ` + strings.Repeat("Deliver to the back door before noon. ", 4) + `
fabrics:
  - {id: reed, use: face, usable_width: 54, match_width: 53, vertical_repeat: 13 1/2, match: half_drop, bolts: [{id: R1, length: 40 yd, lot: A, flaws: [{from: 7 yd, to: 7 yd 3 in}]}, {id: R2, length: 60 yd, lot: A}]}
  - {id: sateen, use: lining, usable_width: 54}
tapes:
  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 1/2, max: 1}, insert_length: 12}
treatments:
  - {window: "` + window + `", room: "` + window + `", heading: cartridge-tape, face_width: 150 5/16, finished_length: 95 1/2, face: reed, lining: sateen, quantity: 3, notes: "` + strings.Repeat("Rod is up, measured twice. ", 5) + `"}
`
	order, problems := orderfile.Parse([]byte(source))
	if order == nil {
		t.Fatal(problems)
	}
	return workup.Compute(order)
}

func ticketsDoc(t testing.TB, w *workup.Workup) TicketsDoc {
	t.Helper()
	n := uint64(0)
	planned := plan.Tickets(w, nil, func() plan.Code { n++; return plan.NewCode(n) })
	// Codes by the tickets' order, whatever the order in which they are drawn.
	codes := map[plan.Code]plan.Code{}
	for i := range planned {
		codes[planned[i].Code] = plan.NewCode(uint64(i+1) * 977 * 7919)
		planned[i].Code = codes[planned[i].Code]
	}
	for i := range planned {
		for _, c := range planned[i].Cuts {
			for k := range c.For {
				c.For[k].Ticket = codes[c.For[k].Ticket]
			}
		}
	}
	doc := TicketsDoc{
		Say: i18n.For("en"), Address: "http://192.168.100.200:8080", Order: w.Order.ID, Due: w.Order.Due,
		Sidemark: w.Order.Sidemark, Made: time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC), Fabrics: w.Order.Fabrics,
	}
	doc.Panel = func(t *plan.Ticket) *Panel { return PanelOf(w, t.Treatment, t.Panel) }
	for i := range planned {
		planned[i].Revision = 2
		doc.Tickets = append(doc.Tickets, &planned[i])
	}
	return doc
}

// render writes the tickets of the fullest order and returns the file and what was written on it.
func render(t testing.TB, doc TicketsDoc) (string, *label) {
	t.Helper()
	var b bytes.Buffer
	l, err := writeTickets(&b, doc)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "tickets.pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file, l
}

// stressed is every kind of order that fills a label, or could burst it.
func stressed(t testing.TB) map[string]*workup.Workup {
	t.Helper()
	all := map[string]*workup.Workup{"short": ticketOrder(t, "Bay"), "forty": ticketOrder(t, forty),
		"unbroken": ticketOrder(t, strings.Repeat("W", 40)), "beyond the fonts": ticketOrder(t, "窓 🪟\u202e שלום ventana ñ")}
	for name, source := range map[string]string{
		"contract": readContract(t),
		"poles":    readFile(t, "../../testdata/orderfile/poles.yaml"),
		// 20 seams, and no length on a whole millimetre.
		"wide": `order: W-1
units: mm
notes: "` + strings.Repeat("Mind the step at the back door. ", 20) + `"
fabrics: [{id: "` + strings.Repeat("lace ", 8) + `", use: face, usable_width: 1373.3, bolts: [{id: B, length: 60 m, lot: "` + forty + `"}]}]
tapes: [{id: t, period: 163.7, space: 63.9, height: 101.6, cords: 12}]
treatments: [{window: "` + forty + `", room: "` + forty + `", heading: cartridge-tape, draw: one_way_left, face_width: 11111.1, finished_length: 2777.7, face: "` + strings.Repeat("lace ", 8) + `", quantity: 2, cord_end: tucked}]
`,
	} {
		order, problems := orderfile.Parse([]byte(source))
		if order == nil {
			t.Fatal(name, problems)
		}
		all[name] = workup.Compute(order)
	}
	return all
}

func readContract(t testing.TB) string {
	t.Helper()
	return readFile(t, "../../testdata/contract/order.yaml")
}

func readFile(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestLabelsKeepTheirEdges(t *testing.T) {
	for name, w := range stressed(t) {
		if len(w.Treatments[0].Panels) == 0 {
			t.Fatalf("%s: no panel: %v", name, w.Problems)
		}
		_, l := render(t, ticketsDoc(t, w))
		for i, p := range l.log {
			if strings.Contains(p.text, "⟨") {
				t.Errorf("%s, page %d: no words for %s", name, p.page, p.text)
			}
			if p.size < smallest {
				t.Errorf("%s, page %d: %q is %.1f pt high", name, p.page, p.text, p.size)
			}
			if p.x < labelMargin-0.1 || p.x+p.width > labelWidth-labelMargin+0.1 || p.top < labelMargin-3 || p.y > labelHeight-labelMargin+3 {
				t.Errorf("%s, page %d: %q stands at %.1f–%.1f × %.1f–%.1f, outside the label", name, p.page, p.text, p.x, p.x+p.width, p.top, p.y)
			}
			for _, q := range l.log[:i] {
				if q.page == p.page && q.x < p.x+p.width-0.5 && p.x < q.x+q.width-0.5 && q.y-q.size*0.7 < p.y && p.y-p.size*0.7 < q.y {
					t.Errorf("%s, page %d: %q is written over %q", name, p.page, p.text, q.text)
				}
			}
		}
	}
}

// wordBox is a word as pdftotext finds it.
var wordBox = regexp.MustCompile(`<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">`)

// A reader that we did not write finds every word inside its label too.
func TestAnotherReaderFindsNoWordOutside(t *testing.T) {
	toText := tool(t, "pdftotext")
	for name, w := range stressed(t) {
		file, _ := render(t, ticketsDoc(t, w))
		out, err := exec.Command(toText, "-bbox", file, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		words := wordBox.FindAllStringSubmatch(string(out), -1)
		if len(words) < 100 {
			t.Errorf("%s: only %d words found", name, len(words))
		}
		for _, word := range words {
			var box [4]float64
			for i := range box {
				box[i], _ = strconv.ParseFloat(word[i+1], 64)
			}
			// The box of a line is a little higher than its letters.
			if box[0] < 0 || box[1] < 0 || box[2] > labelWidth || box[3] > labelHeight {
				t.Errorf("%s: %s lies outside the label", name, word[0])
			}
		}
	}
}

// A panel's ticket is one label; only very many seams may need a second.
func TestOneLabelAPanel(t *testing.T) {
	for name, w := range stressed(t) {
		doc := ticketsDoc(t, w)
		for _, ticket := range doc.Tickets {
			if ticket.Kind != plan.PanelTicket {
				continue
			}
			one := doc
			one.Tickets = []*plan.Ticket{ticket}
			if _, l := render(t, one); l.page != 1 && name != "wide" {
				t.Errorf("%s: %d labels for panel %s", name, l.page, ticket.Panel)
			}
		}
	}
}

// tool finds a program that the tests look through; on CI it must be there.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is missing, and CI must have it", name)
	}
	t.Skipf("%s is not installed", name)
	return ""
}

func TestEveryQRIsReadByAnotherReader(t *testing.T) {
	toPPM, zbar := tool(t, "pdftoppm"), tool(t, "zbarimg")
	doc := ticketsDoc(t, ticketOrder(t, forty))
	file, l := render(t, doc)
	prefix := filepath.Join(t.TempDir(), "page")
	// A thermal printer's resolution.
	if out, err := exec.Command(toPPM, "-r", "203", "-png", "-gray", file, prefix).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	pages, err := filepath.Glob(prefix + "*.png")
	if err != nil || len(pages) != l.page {
		t.Fatalf("%d pages drawn of %d: %v", len(pages), l.page, err)
	}
	read := map[string]bool{}
	for _, p := range pages {
		out, err := exec.Command(zbar, "-q", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable", p).Output()
		if err != nil {
			t.Errorf("%s: zbar reads nothing: %v", filepath.Base(p), err)
		}
		read[strings.TrimSpace(string(out))] = true
	}
	for _, ticket := range doc.Tickets {
		if url := "HTTP://192.168.100.200:8080/T/" + string(ticket.Code); !read[url] {
			t.Errorf("no label reads as %s", url)
		}
	}
	if len(read) != len(doc.Tickets) {
		t.Errorf("%d different codes read for %d tickets", len(read), len(doc.Tickets))
	}
	size(t, pages[0])
}

// size holds a label to 4 × 6 in at 203 dpi.
func size(t *testing.T, page string) {
	t.Helper()
	f, err := os.Open(page)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := png.DecodeConfig(f)
	if err != nil || c.Width != 812 || c.Height != 1218 {
		t.Errorf("a label of %d × %d dots at 203 dpi, want 4 × 6 in: %v", c.Width, c.Height, err)
	}
}

func TestPrintedNumbersAreTheWorkups(t *testing.T) {
	toText := tool(t, "pdftotext")
	w := ticketOrder(t, "Bay")
	doc := ticketsDoc(t, w)
	file, _ := render(t, doc)
	out, err := exec.Command(toText, "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	pages := strings.Split(string(out), "\f")
	var last string // the last panel's label
	for _, p := range pages {
		if strings.TrimSpace(p) != "" {
			last = p
		}
	}
	panel := w.Treatments[0].Panels[1]
	for name, length := range map[string]measure.Length{
		"flat width": panel.FlatWidth, "finished width": panel.FinishedWidth, "finished length": panel.FinishedLength,
		"tape piece": panel.TapePiece, "cut": panel.CutLength, "lining cut": panel.LiningCutLength, "start before dot": panel.TapeStart,
	} {
		if want := name + " " + doc.Say.Length(length, measure.In); !strings.Contains(squeeze(last), want) {
			t.Errorf("the label does not say %q:\n%s", want, last)
		}
	}
	for _, want := range []string{"pleats " + strconv.Itoa(panel.Pleats), "inserts " + strconv.Itoa(panel.Inserts), "SMI-014", "Bay", "Right panel",
		"widths 4 1/2", "long × high 12 × 4 in", "can be let out",
		"window 3 of 3", "revision 2", "strangle", "Heading fold", "Check & pack", grouped(doc.Tickets[len(doc.Tickets)-1].Code)} {
		if !strings.Contains(squeeze(last), want) {
			t.Errorf("the label does not say %q:\n%s", want, last)
		}
	}
	if strings.Contains(string(out), "⟨") || strings.Contains(string(out), "no value") {
		t.Error("a sentence is missing on the labels")
	}
}

func squeeze(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestEveryCutIsOnItsTicket(t *testing.T) {
	w := ticketOrder(t, forty)
	doc := ticketsDoc(t, w)
	_, l := render(t, doc)
	numbers := map[string]bool{}
	for _, p := range l.log {
		if (p.size == 11 || p.size == 9) && p.x == labelMargin { // those of a run are smaller
			numbers[fmt.Sprint(p.text)] = true
		}
	}
	for i := range doc.Tickets[0].Cuts {
		if !numbers[strconv.Itoa(i+1)] {
			t.Errorf("cut %d of %d is on no label", i+1, len(doc.Tickets[0].Cuts))
		}
	}
}

func TestSameTicketsSameBytes(t *testing.T) {
	doc := ticketsDoc(t, ticketOrder(t, "Bay"))
	var a, b bytes.Buffer
	if err := errors.Join(Tickets(&a, doc), Tickets(&b, doc)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same tickets give different bytes")
	}
}

func TestTwoLabelsASheet(t *testing.T) {
	toPPM, zbar := tool(t, "pdftoppm"), tool(t, "zbarimg")
	for _, sheet := range []Sheet{Letter, A4} {
		doc := ticketsDoc(t, ticketOrder(t, "Bay"))
		doc.Sheet = sheet
		file, l := render(t, doc)
		prefix := filepath.Join(t.TempDir(), "page")
		if out, err := exec.Command(toPPM, "-r", "203", "-png", "-gray", file, prefix).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		pages, _ := filepath.Glob(prefix + "*.png")
		if want := (l.page + 1) / 2; len(pages) != want {
			t.Errorf("%s: %d sheets for %d labels, want %d", sheet, len(pages), l.page, want)
		}
		out, _ := exec.Command(zbar, append([]string{"-q", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable"}, pages...)...).Output()
		if n := len(strings.Fields(string(out))); n != l.page {
			t.Errorf("%s: %d codes read on %d labels", sheet, n, l.page)
		}
	}
}

func TestSidemarkOnlyWhereAllowed(t *testing.T) {
	doc := ticketsDoc(t, ticketOrder(t, "Bay"))
	says := func() bool {
		_, l := render(t, doc)
		for _, p := range l.log {
			if strings.Contains(p.text, "Floor 1") {
				return true
			}
		}
		return false
	}
	if !says() {
		t.Error("the sidemark is allowed and not printed")
	}
	if doc.Sidemark = ""; says() {
		t.Error("the sidemark is printed though nobody allows it")
	}
}

func TestSVGHasTheWorkupsPositions(t *testing.T) {
	w := ticketOrder(t, "Bay")
	var b bytes.Buffer
	if err := WorkupSVG(&b, w, i18n.For("en")); err != nil {
		t.Fatal(err)
	}
	p := w.Treatments[0].Panels[0]
	var pleats, seams []string
	for d := xml.NewDecoder(bytes.NewReader(b.Bytes())); ; {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		el, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		at := map[string]string{}
		for _, a := range el.Attr {
			at[a.Name.Local] = a.Value
			if a.Name.Local == "style" {
				t.Error("an inline style, which a page's policy refuses")
			}
		}
		switch at["class"] {
		case "pleat":
			pleats = append(pleats, at["x"]+" "+at["width"])
		case "seam":
			seams = append(seams, at["x1"])
		}
	}
	var wantPleats, wantSeams []string
	for range w.Treatments[0].Panels {
		for _, c := range p.PleatPositions {
			wantPleats = append(wantPleats, (c-p.TakeUp/2).Number(measure.In, 8)+" "+p.TakeUp.Number(measure.In, 8))
		}
		for _, s := range p.Seams {
			wantSeams = append(wantSeams, s.Number(measure.In, 8))
		}
	}
	if got, want := strings.Join(pleats, "|"), strings.Join(wantPleats, "|"); got != want {
		t.Errorf("pleats %s, want %s", got, want)
	}
	if got, want := strings.Join(seams, "|"), strings.Join(wantSeams, "|"); got != want || got == "" {
		t.Errorf("seams %s, want %s", got, want)
	}
}

func TestQR(t *testing.T) {
	const text = "HTTP://192.168.1.20:8080/T/7K3M9Q2X4"
	bitmap, err := modules(text)
	if err != nil {
		t.Fatal(err)
	}
	// ISO/IEC 18004: version 3 (29 modules) holds 47 alphanumeric characters at level Q; with 4 quiet modules around.
	if len(bitmap) != 29+8 {
		t.Errorf("%d modules, want 37", len(bitmap))
	}
	for i := range bitmap {
		if bitmap[3][i] || bitmap[i][3] || bitmap[len(bitmap)-4][i] {
			t.Fatal("the quiet zone is not quiet")
		}
	}
	for _, paper := range []string{text, "DO HOLD CLOTH"} {
		// Version 4 (33 modules) holds 50 such characters at level H.
		if bitmap, err := sturdy(paper); err != nil || len(bitmap) != 33+8 {
			t.Errorf("%s on paper: %d modules, want 41: %v", paper, len(bitmap), err)
		}
	}
	var terminal bytes.Buffer
	if err := QRTerminal(&terminal, text); err != nil {
		t.Fatal(err)
	}
	if lines := strings.Count(terminal.String(), "\n"); lines != 19 {
		t.Errorf("%d lines in the terminal, want half of 37", lines)
	}
	if err := QRTerminal(io.Discard, strings.Repeat("x", 5000)); err == nil {
		t.Error("a text that no symbol holds gives no error")
	}
}
