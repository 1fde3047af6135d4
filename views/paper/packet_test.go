package paper

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// apart checks that every text of a document stands inside its page, at least the smallest size high, over no other.
func apart(t *testing.T, name string, p *pen, width, height, margin float64) {
	t.Helper()
	for i, a := range p.log {
		if a.size < smallest {
			t.Errorf("%s, page %d: %q is %.1f pt high", name, a.page, a.text, a.size)
		}
		if a.x < margin-0.1 || a.x+a.width > width-margin+0.1 || a.top < margin-6 || a.y > height-margin+3 {
			t.Errorf("%s, page %d: %q stands at %.1f–%.1f × %.1f–%.1f, outside the sheet", name, a.page, a.text, a.x, a.x+a.width, a.top, a.y)
		}
		for _, b := range p.log[:i] {
			if b.page == a.page && b.x < a.x+a.width-0.5 && a.x < b.x+b.width-0.5 && b.y-b.size*0.7 < a.y && a.y-a.size*0.7 < b.y &&
				len([]rune(a.text)) > 1 && len([]rune(b.text)) > 1 { // a panel's letter lies under its seams' lines
				t.Errorf("%s, page %d: %q is written over %q", name, a.page, a.text, b.text)
			}
		}
	}
}

func TestEveryPaperKeepsItsEdges(t *testing.T) {
	orders := stressed(t)
	orders["by hand"] = worked(t, pinched)
	for name, w := range orders {
		doc := ticketsDoc(t, w)
		for _, sheet := range []Sheet{Labels, Letter, A4, TagStock} {
			doc.Sheet = sheet
			size := sheets[sheet]
			tags, err := writeTags(io.Discard, doc)
			if err != nil {
				t.Fatal(err)
			}
			apart(t, name+" tags on "+string(sheet), tags, size.Wd, size.Ht, 4)
			if sheet == TagStock {
				if Tickets(io.Discard, doc) == nil || Packet(io.Discard, PacketDoc{TicketsDoc: doc, Workup: w}) == nil {
					t.Error("a ticket or a packet is printed on tags")
				}
				continue
			}
			shop := ShopDoc{Say: doc.Say, Sheet: sheet, Address: "http://workroom.of-the-saltmarsh-inn.example.org:8080", Made: doc.Made}
			if name == "short" {
				cards, err := writeCards(io.Discard, shop)
				if err != nil {
					t.Fatal(err)
				}
				apart(t, "cards on "+string(sheet), cards, size.Wd, size.Ht, 4)
			}
			if sheet == Labels {
				if Packet(io.Discard, PacketDoc{TicketsDoc: doc, Workup: w}) == nil || Placards(io.Discard, shop) == nil {
					t.Error("a packet or a placard is printed on labels")
				}
				continue
			}
			packet, err := writePacket(io.Discard, PacketDoc{TicketsDoc: doc, Revision: 2, Workup: w})
			if err != nil {
				t.Fatal(err)
			}
			apart(t, name+" packet on "+string(sheet), packet, size.Wd, size.Ht, 4)
			placards, err := writePlacards(io.Discard, shop)
			if err != nil {
				t.Fatal(err)
			}
			apart(t, "placards on "+string(sheet), placards, size.Wd, size.Ht, 24)
		}
	}
}

// readText is what pdftotext finds.
func readText(t *testing.T, write func(w io.Writer) error) string {
	t.Helper()
	cmd := exec.Command(tool(t, "pdftotext"), "-layout", "-", "-")
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	cmd.Stdin = &b
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	return squeeze(string(out))
}

func firstWords(text string) string {
	words := strings.Fields(text)
	return strings.Join(words[:min(3, len(words))], " ")
}

// TestAPacketRunsTheOrder: every number, target, check and cut of the order is in it, and a square of every ticket.
func TestAPacketRunsTheOrder(t *testing.T) {
	w := worked(t, readContract(t))
	doc := PacketDoc{TicketsDoc: ticketsDoc(t, w), Revision: 2, Workup: w}
	text := readText(t, func(out io.Writer) error { return Packet(out, doc) })
	has := func(what string, parts ...string) {
		t.Helper()
		if say := strings.Join(parts, " "); !strings.Contains(text, squeeze(say)) {
			t.Errorf("the packet does not say %s %q", what, say)
		}
	}
	for _, ticket := range doc.Tickets {
		has("the code", grouped(ticket.Code))
		for _, s := range ticket.Steps {
			for _, v := range s.Values {
				if v.Name == "seams" || v.Name == "weight_places" || v.Name == "tight_width" || strings.HasSuffix(v.Value.String(), ".5") {
					continue // a list, what the finished width says, and widths in halves
				}
				if ticket.Kind == plan.PanelTicket {
					has(v.Name, doc.Say.Quantity(v.Value))
				}
			}
			for _, e := range s.Enter {
				if e.Tolerance != nil && e.Tolerance.Minus == e.Tolerance.Plus {
					has(e.Name, doc.Say.Quantity(e.Target), "±", doc.Say.Quantity(e.Tolerance.Plus))
				}
				has(e.Name, doc.Say.T("entry."+e.Name))
			}
			for _, c := range s.Checks {
				has("the check", firstWords(doc.Say.T("check."+c)))
			}
			for _, c := range s.Cautions {
				has("the caution", firstWords(doc.Say.T("caution."+c)))
			}
		}
		for _, c := range ticket.Cuts {
			has("the cut", doc.Say.Quantity(c.Length))
		}
	}
	for _, want := range []string{"due Fri 18 Dec 2026", "revision 2", "607 1/2 in", "17 1/4 yd", "1440 in · lot A", "720 in · lot K", "− 0 in, + 1/2 in", "Held, and why", "date, time"} {
		has("", want)
	}
	if strings.Contains(text, "Saltmarsh") || strings.Contains(text, "USD") || strings.Contains(text, "⟨") {
		t.Error("the packet has a customer that nobody allowed, a price, or no words for something")
	}
	doc.Customer = "Saltmarsh Inn"
	if text = readText(t, func(out io.Writer) error { return Packet(out, doc) }); !strings.Contains(text, "Saltmarsh Inn") {
		t.Error("the customer is allowed and not printed")
	}
}

// TestAPacketSaysOfWhomItIsAsked: what is asked of the first of a pair or an order says so, and what is never asked isn't there.
func TestAPacketSaysOfWhomItIsAsked(t *testing.T) {
	w := worked(t, readContract(t))
	doc := PacketDoc{TicketsDoc: ticketsDoc(t, w), Revision: 1, Workup: w}
	var tickets []plan.Ticket
	for _, ticket := range doc.Tickets {
		tickets = append(tickets, *ticket)
	}
	plan.Layout(nil).With([]plan.Asking{
		{Route: "cartridge-tape", Station: plan.Fold, Name: "length_middle", When: plan.Never},
		{Route: "cartridge-tape", Station: plan.Packing, Name: "hooks_in", When: plan.Never},
		{Route: "cartridge-tape", Station: plan.Packing, Name: "label_on", When: plan.FirstOfOrder},
		{Route: "cutting", Station: plan.Cutting, Name: "first_cut_measured_twice", When: plan.Never},
	}).Set(tickets)
	for i := range tickets {
		doc.Tickets[i] = &tickets[i]
	}
	for name, write := range map[string]func(io.Writer) error{
		"packet": func(out io.Writer) error { return Packet(out, doc) }, "tickets": func(out io.Writer) error { return Tickets(out, doc.TicketsDoc) },
	} {
		text := readText(t, write)
		for _, gone := range []string{"entry.length_middle", "check.hooks_in", "check.first_cut_measured_twice"} {
			if strings.Contains(text, squeeze(doc.Say.T(gone))) {
				t.Errorf("the %s asks %q", name, doc.Say.T(gone))
			}
		}
		if name == "packet" && (strings.Count(text, "first of the pair only") != 10 || !strings.Contains(text, squeeze("first of the order only"))) {
			t.Errorf("%d measures of the first of a pair, want 5 a panel", strings.Count(text, "first of the pair only"))
		}
	}
	for i := range tickets {
		if tickets[i].Panel != "" {
			tickets[i].Panel = "S"
		}
	}
	if text := readText(t, func(out io.Writer) error { return Packet(out, doc) }); strings.Contains(text, "first of the pair only") {
		t.Error("a panel that hangs alone is of no pair")
	}
}

// TestAPanelsWayIsOneSheet: what goes with a panel from station to station is one sheet, printed on both sides.
func TestAPanelsWayIsOneSheet(t *testing.T) {
	for name, source := range map[string]string{"tape": readContract(t), "hand": pinched} {
		w := worked(t, source)
		doc := PacketDoc{TicketsDoc: ticketsDoc(t, w), Revision: 1, Workup: w}
		for _, doc.Sheet = range []Sheet{Letter, A4} {
			pages := func(tickets []*plan.Ticket) int {
				doc := doc
				doc.Tickets = tickets
				p, err := writePacket(io.Discard, doc)
				if err != nil {
					t.Fatal(err)
				}
				return p.pdf.Pages()
			}
			panels := 0
			none := slices.DeleteFunc(slices.Clone(doc.Tickets), func(t *plan.Ticket) bool {
				if t.Kind == plan.PanelTicket {
					panels++
				}
				return t.Kind == plan.PanelTicket
			})
			if got := pages(doc.Tickets) - pages(none); panels == 0 || got > 2*panels {
				t.Errorf("%s on %s: %d panels take %d sides", name, doc.Sheet, panels, got)
			}
		}
	}
}

// TestEveryPieceHasItsTag: as many as the cuts have parts, each with its panel's code, its place, and its half.
func TestEveryPieceHasItsTag(t *testing.T) {
	for name, w := range map[string]*workup.Workup{"contract": worked(t, readContract(t)), "three windows alike": ticketOrder(t, "Bay"), "by hand": worked(t, pinched)} {
		doc := ticketsDoc(t, w)
		tags := tagsOf(doc.Tickets)
		pieces := map[string][]int{}
		for _, tag := range tags {
			if tag.panel == nil || tag.panel.Window != tag.Window || tag.panel.Panel != tag.Panel || tag.panel.Copy != tag.Copy {
				t.Fatalf("%s: the tag of %s has the ticket of %v", name, tag.CutPart, tag.panel)
			}
			key := string(tag.panel.Code) + tag.fabric
			pieces[key] = append(pieces[key], tag.Place)
		}
		want := 0
		for i := range w.Treatments {
			tr := &w.Treatments[i]
			for k := range tr.Panels {
				p := &tr.Panels[k]
				want += tr.Quantity * (len(p.Pieces) + (int(p.LiningWidths)+1)/2)
			}
		}
		if len(tags) != want {
			t.Errorf("%s: %d tags for %d pieces", name, len(tags), want)
		}
		for key, places := range pieces {
			slices.Sort(places)
			for i, place := range places {
				if place != i+1 {
					t.Errorf("%s: %s has the places %v", name, key, places)
				}
			}
		}
		for _, tag := range tags {
			if n := len(pieces[string(tag.panel.Code)+tag.fabric]); tag.of != n {
				t.Errorf("%s: a tag of %d pieces, the panel has %d", name, tag.of, n)
			}
		}
	}
	text := readText(t, func(out io.Writer) error { return Tags(out, ticketsDoc(t, worked(t, readContract(t)))) })
	for _, want := range []string{"right half", "left half", "of 3", "lot A", "from the return edge", "arrow to the top", "SMI-014", "Left panel", "000P-4AJX-9"} {
		if !strings.Contains(text, want) {
			t.Errorf("no tag says %q", want)
		}
	}
}

// TestOwnTagsSayWhoseTheyAre: what a tag is for, which of several it is, when it came in, its code and what to heed.
func TestOwnTagsSayWhoseTheyAre(t *testing.T) {
	doc := ownTags(ticketsDoc(t, worked(t, readContract(t))))
	text := readText(t, func(out io.Writer) error { return OwnTags(out, doc) })
	symbols := string(doc.Tags[1].Ticket)
	code := symbols[:4] + "-" + symbols[4:8] + "-" + symbols[8:]
	for _, want := range []string{"Saltmarsh Inn", "Torn hem", "Repair", "2 of 3", "SMI-40", "came in", "10 Dec", "cut the fringe", code} {
		if !strings.Contains(text, want) {
			t.Errorf("no tag says %q", want)
		}
	}
	if strings.Contains(text, "1 of 1") {
		t.Error("a single piece is counted")
	}
}

// TestTwoWindowsOfOneName: a piece of an order that was released before cuts kept their panel's code leads to no
// panel rather than to the wrong one.
func TestTwoWindowsOfOneName(t *testing.T) {
	a, b := &plan.Ticket{Kind: plan.PanelTicket, Code: "A", Window: "Bay", Panel: "L", Copy: 1, Fabrics: []string{"reed"}}, plan.Ticket{}
	b = *a
	b.Code = "B"
	part := plan.CutPart{Window: "Bay", Panel: "L", Copy: 1, Place: 1}
	if got := panelOf([]*plan.Ticket{a}, "reed", part); got != a {
		t.Errorf("by its name: %v", got)
	}
	if got := panelOf([]*plan.Ticket{a, &b}, "reed", part); got != nil {
		t.Errorf("one of two of a name: %v", got)
	}
	if part.Ticket = "B"; panelOf([]*plan.Ticket{a, &b}, "reed", part) != &b {
		t.Error("by its code: another")
	}
}

// TestMoreBoltsThanAPictureHolds: those that are left out are counted.
func TestMoreBoltsThanAPictureHolds(t *testing.T) {
	var bolts []string
	for i := range 30 {
		bolts = append(bolts, "{id: B"+strconv.Itoa(i)+", length: 4 yd, lot: A}")
	}
	source := strings.Replace(pinched, "{id: R1, length: 40 yd, lot: A}", strings.Join(bolts, ", "), 1)
	source = strings.Replace(source, "face_width: 84,", "face_width: 84, quantity: 5,", 1)
	w := worked(t, source)
	_, l := render(t, ticketsDoc(t, w))
	cut := map[string]bool{}
	for _, c := range ticketsDoc(t, w).Tickets[0].Cuts {
		cut[c.Bolt] = true
	}
	shown, more := 0, 0
	for _, p := range l.log {
		if strings.Contains(p.text, "lot A · 144 in") {
			shown++
		}
		if n, ok := strings.CutSuffix(p.text, " more bolts, in the list below"); ok {
			more, _ = strconv.Atoi(strings.TrimPrefix(n, "and "))
		}
	}
	if shown == 0 || more == 0 || shown+more != len(cut) {
		t.Errorf("%d bolts drawn, %d more told, %d are cut", shown, more, len(cut))
	}
}

// drawFlat draws a panel as the drawing of an order has it, in inches.
func drawFlat(b *bytes.Buffer, p *Panel, say *i18n.Printer) error {
	d := &svg{units: measure.In}
	d.add(d.flat(p, say), "flat")
	return d.write(b, "flat", "")
}

// TestADrawingOfPleatsSetByHand: each take-up as wide as it is, the letter of the panel, every size as a fraction.
func TestADrawingOfPleatsSetByHand(t *testing.T) {
	w := worked(t, pinched)
	p := firstPanel(w)
	if len(p.TakeUps) != p.Pleats || p.TakeUps[0] == p.TakeUps[len(p.TakeUps)-1] {
		t.Fatalf("take-ups that all agree show nothing: %v", p.TakeUps)
	}
	var b bytes.Buffer
	if err := drawFlat(&b, p, i18n.For("en")); err != nil {
		t.Fatal(err)
	}
	var pleats []string
	letter, view := "", ""
	smallestText := 1e9
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
		}
		switch {
		case el.Name.Local == "svg":
			view = strings.Fields(at["viewBox"])[2]
		case at["class"] == "pleat":
			pleats = append(pleats, at["x"]+" "+at["width"])
		case at["class"] == "dot":
			t.Error("buckram has no dots")
		case at["class"] == "panel-letter":
			inner, _ := d.Token()
			letter = string(inner.(xml.CharData))
		case el.Name.Local == "text":
			size, _ := strconv.ParseFloat(at["font-size"], 64)
			smallestText = min(smallestText, size)
		}
	}
	var want []string
	for k, c := range p.PleatPositions {
		want = append(want, (c-p.TakeUps[k]/2).Number(measure.In, 8)+" "+p.TakeUps[k].Number(measure.In, 8))
	}
	if !slices.Equal(pleats, want) {
		t.Errorf("pleats %v, want %v", pleats, want)
	}
	if letter != "L" {
		t.Errorf("the drawing's letter is %q", letter)
	}
	// On a phone of 360 px the drawing has 328, and letters under 12 px are hard to read.
	if width, _ := strconv.ParseFloat(view, 64); smallestText*328/width < 12 {
		t.Errorf("lettering of %.1f px on a phone", smallestText*328/width)
	}
	for _, length := range []measure.Length{p.Seams[0], p.EdgeToPleat} {
		text := i18n.For("en").Length(length, measure.In)
		if set := strings.TrimSuffix(withFractions(text), "</tspan>"); !strings.Contains(b.String(), ">"+set) || !strings.Contains(set, "⁄") {
			t.Errorf("%s is not in the drawing as a fraction", text)
		}
	}
}

// TestRevisionOnPaper: told from the second on, of the ticket's own numbers.
func TestRevisionOnPaper(t *testing.T) {
	doc := ticketsDoc(t, worked(t, pinched))
	doc.Tickets = doc.Tickets[1:3]
	doc.Tickets[0].Revision, doc.Tickets[1].Revision = 1, 3
	text := readText(t, func(out io.Writer) error { return Tickets(out, doc) })
	if strings.Contains(text, "revision 1") || strings.Count(text, "revision 3") != 1 {
		t.Errorf("revisions are told otherwise:\n%s", text)
	}
}

// TestEveryPanelOfAPacketIsDrawn: whatever sets its pleats, a panel lies drawn to scale at the head of its first sheet.
func TestEveryPanelOfAPacketIsDrawn(t *testing.T) {
	toText := tool(t, "pdftotext")
	for name, source := range map[string]string{"tape": readContract(t), "hand": pinched} {
		for _, sheet := range []Sheet{Letter, A4} {
			w := worked(t, source)
			doc := ticketsDoc(t, w)
			doc.Sheet = sheet
			var b bytes.Buffer
			if err := Packet(&b, PacketDoc{TicketsDoc: doc, Revision: 1, Workup: w}); err != nil {
				t.Fatal(err)
			}
			read := exec.Command(toText, "-raw", "-", "-")
			read.Stdin = &b
			text, err := read.Output()
			if err != nil {
				t.Fatal(err)
			}
			panels := 0
			for _, one := range doc.Tickets {
				if one.Panel != "" {
					panels++
				}
			}
			if drawn := strings.Count(squeeze(string(text)), "in flat, "); drawn != panels {
				t.Errorf("%s, %v: %d of %d panels are drawn", name, sheet, drawn, panels)
			}
		}
	}
}
