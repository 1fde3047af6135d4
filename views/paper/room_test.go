package paper

import (
	"bytes"
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
	"tablehand/views/paper/room"
)

// roomsDoc is the rooms of an order that has a window of every kind, polesDoc of one with every heading without pleats.
func roomsDoc(t *testing.T, language string, sheet Sheet) RoomsDoc {
	t.Helper()
	return roomsOf(t, "room", language, sheet)
}

func polesDoc(t *testing.T, language string, sheet Sheet) RoomsDoc {
	t.Helper()
	return roomsOf(t, "poles", language, sheet)
}

func roomsOf(t *testing.T, file, language string, sheet Sheet) RoomsDoc {
	t.Helper()
	w := worked(t, readFile(t, "../../testdata/orderfile/"+file+".yaml"))
	return RoomsDoc{Say: i18n.For(language), Sheet: sheet, Shop: "Saltmarsh Workroom", Workup: w, Rooms: room.Names(w)}
}

// TestRoomsSayEverySize has another reader find each panel's finished length and width, each rod and each of its heights on the
// sheets, whole, in each language; and nothing of prices, people and the floor.
func TestRoomsSayEverySize(t *testing.T) {
	for _, language := range i18n.Languages() {
		for _, sheet := range []Sheet{Letter, A4} {
			doc := roomsDoc(t, language, sheet)
			var written *pen
			text := readText(t, func(w io.Writer) (err error) {
				written, err = writeRooms(w, doc)
				return err
			})
			drawn := map[string]int{} // the measures of the drawings, each a text of its own
			for _, l := range written.log {
				if l.size == roomLetters {
					drawn[l.text]++
				}
				if strings.Contains(l.text, "…") {
					t.Errorf("%s on %s: %q is shortened", language, sheet, l.text)
				}
			}
			has := func(what string, length measure.Length, key string) {
				t.Helper()
				measure := doc.Say.Length(length, measure.In)
				full := measure
				if key != "" {
					full = doc.Say.T(key, "Length", measure)
				}
				if drawn[full] == 0 || !strings.Contains(text, squeeze(measure)) {
					t.Errorf("%s on %s: no %s of %s: %v", language, sheet, what, full, drawn)
				}
			}
			for i := range doc.Workup.Treatments {
				line := &doc.Workup.Order.Treatments[i]
				for _, p := range doc.Workup.Treatments[i].Panels {
					has("length", p.FinishedLength, "")
					if p.ID == workup.Single {
						has("width", p.FinishedWidth, "")
					} else if side := doc.Say.T("page.panel."+string(p.ID)) + " " + doc.Say.Length(p.FinishedWidth, measure.In); drawn[side] == 0 || !strings.Contains(text, squeeze(side)) {
						t.Errorf("%s on %s: no width %s: %v", language, sheet, side, drawn)
					}
				}
				if line.FaceWidth > 0 {
					has("rod", line.FaceWidth, "room.rod")
				}
				if line.Hang != nil {
					has("rod's height", line.Hang.BearingToFloor, "")
				}
			}
			for _, not := range []string{"Saltmarsh Inn", "Dr Brook", "Paid in advance", "radiator", "USD", "⟨"} {
				if strings.Contains(text, not) {
					t.Errorf("%s on %s: a client's drawing says %q", language, sheet, not)
				}
			}
			size := sheets[sheet]
			apart(t, language+" rooms on "+string(sheet), written, size.Wd, size.Ht, 24)
		}
	}
	for _, sheet := range []Sheet{Labels, TagStock} {
		if Rooms(io.Discard, roomsDoc(t, "en", sheet)) == nil {
			t.Errorf("a room is drawn on %s", sheet)
		}
	}
}

// TestManyWindowsTakeSheets: a room of very many windows goes on from sheet to sheet, at a scale that can still be seen.
func TestManyWindowsTakeSheets(t *testing.T) {
	w := worked(t, strings.Replace(pinched, "treatments:\n", "treatments:\n"+strings.Repeat("  - {window: Parlour, heading: pinch-3, face_width: 84, finished_length: 95 1/2, face: reed}\n", 30), 1))
	var b bytes.Buffer
	written, err := writeRooms(&b, RoomsDoc{Say: i18n.For("en"), Workup: w, Rooms: []string{""}})
	if err != nil {
		t.Fatal(err)
	}
	apart(t, "many windows", written, sheets[Letter].Wd, sheets[Letter].Ht, 24)
	rods := 0
	for _, l := range written.log {
		if l.text == "rod 84 in" {
			rods++
		}
	}
	if rods != 31 || written.page < 3 {
		t.Errorf("%d rods on %d sheets", rods, written.page)
	}
}

// TestRoomOnAPage: its drawing is good XML with a title, and is laid out for each width with letters that no width makes smaller
// than 16 px.
func TestRoomOnAPage(t *testing.T) {
	doc := roomsDoc(t, "es", Letter)
	var b bytes.Buffer
	if err := RoomHTML(&b, room.Of(doc.Workup, "14"), doc.Say); err != nil {
		t.Fatal(err)
	}
	drawings := 0
	decoder := xml.NewDecoder(strings.NewReader("<all>" + b.String() + "</all>"))
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == "svg" {
			drawings++
		}
	}
	if title := "<title>" + doc.Say.T("room.title", "Room", "14") + "</title>"; drawings != 3 || strings.Count(b.String(), title) != 3 {
		t.Errorf("%d drawings, without %s", drawings, title)
	}
	if n := strings.Count(b.String(), "98 <tspan"); letterPixels < 16 || n != 2*drawings {
		t.Errorf("letters of %d px; the rod's height and the length stand %d times", letterPixels, n)
	}
}
