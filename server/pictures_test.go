package server

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/textproto"
	"strings"
	"testing"

	"tablehand/server/desk"
	"tablehand/server/picture"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/paper"
)

// photoOfCode is a photograph of what the paper prints for a ticket, read off the half blocks that a terminal shows.
func photoOfCode(t testing.TB, code string) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := paper.QRTerminal(&b, paper.TicketURL("http://shop.test:8080", plan.Code(code))); err != nil {
		t.Fatal(err)
	}
	const module = 6 // pixels
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	img := image.NewGray(image.Rect(0, 0, 600, 500))
	for i := range img.Pix {
		img.Pix[i] = 230
	}
	for row, line := range lines {
		column := 0
		for _, r := range line[strings.Index(line, "m")+1 : strings.LastIndex(line, "\x1b")] {
			for half, dark := range []bool{r == '█' || r == '▀', r == '█' || r == '▄'} {
				for i := range module * module {
					if x, y := 90+column*module+i%module, 70+(2*row+half)*module+i/module; dark {
						img.SetGray(x, y, color.Gray{30})
					}
				}
			}
			column++
		}
	}
	return jpegOf(t, img)
}

// photoOfCloth is a photograph without a code.
func photoOfCloth(t testing.TB) []byte {
	img := image.NewRGBA(image.Rect(0, 0, 320, 240))
	for y := range 240 {
		for x := range 320 {
			img.SetRGBA(x, y, color.RGBA{uint8(120 + x%7*8), uint8(90 + y%5*9), 70, 255})
		}
	}
	return jpegOf(t, img)
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// photoForm is a form with a photograph and other fields, and its content type.
func photoForm(t testing.TB, photo []byte, fields map[string]string) (string, string) {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for name, value := range fields {
		if err := w.WriteField(name, value); err != nil {
			t.Fatal(err)
		}
	}
	part, err := w.CreatePart(textproto.MIMEHeader{"Content-Disposition": {`form-data; name="photo"; filename="IMG_1.jpg"`}, "Content-Type": {"image/jpeg"}})
	if err != nil {
		t.Fatal(err)
	}
	part.Write(photo)
	w.Close()
	return b.String(), w.FormDataContentType()
}

var asJPEG = map[string]string{"Content-Type": "image/jpeg"}

// TestTicketInAPhoto: a photograph leads to its ticket, from a program, from any phone and at a station, and what
// leads nowhere says so and how to go on.
func TestTicketInAPhoto(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	photo, cloth := string(photoOfCode(t, codes[2])), string(photoOfCloth(t))
	stranger := string(photoOfCode(t, string(plan.NewCode(7))))
	read := "POST /api/pictures/read"
	s.play(t, []scene{
		{name: "found", as: stations.Bench, do: read, send: photo, header: asJPEG, status: 200, has: map[string]string{"ticket": codes[2]}},
		{name: "no code", as: stations.Bench, do: read, send: cloth, header: asJPEG, status: 422, code: "code_not_found"},
		{name: "no picture", as: stations.Bench, do: read, send: "order: SMI-1", header: asJPEG, status: 422, code: "picture_kind"},
		{name: "cut off", as: stations.Bench, do: read, send: photo[:len(photo)/2], header: asJPEG, status: 422, code: "picture_damaged"},
		{name: "nothing", as: stations.Bench, do: read, status: 422, code: "missing_key"},
		{name: "too large", as: stations.Bench, do: read, send: strings.Repeat("x", desk.MaxPhoto+1), header: asJPEG, status: 413, code: "too_large"},
		{name: "of another shop", as: stations.Bench, do: read, send: stranger, header: asJPEG, status: 404, code: "unknown_ticket"},
		{name: "a screen", as: stations.Screen, do: read, send: photo, header: asJPEG, status: 403, code: "forbidden"},
		{name: "a stranger", do: read, send: photo, header: asJPEG, status: 401, code: "unauthorized"},
	})
	form, kind := photoForm(t, []byte(photo), nil)
	s.ask(t, scene{as: stations.Bench, do: read, send: form, header: map[string]string{"Content-Type": kind}, status: 200, has: map[string]string{"ticket": codes[2]}})

	for path, want := range map[string]string{"/t": "/t/" + codes[2], "/station/tape/photo": "/station/tape?ticket=" + codes[2]} {
		header := map[string]string{"Content-Type": kind, "Accept": "text/html"}
		got := s.try(t, scene{as: stations.Bench, do: "POST " + path, send: form, header: header})
		if got.status != 303 || got.header.Get("Location") != want {
			t.Errorf("POST %s: %d to %q", path, got.status, got.header.Get("Location"))
		}
		bad, kind := photoForm(t, []byte(cloth), nil)
		header["Content-Type"] = kind
		got = s.try(t, scene{as: stations.Bench, do: "POST " + path, send: bad, header: header})
		holds(t, "POST "+path, got, 422, []string{"No ticket&#39;s code can be read", "type the nine letters and digits", `type="file"`})
	}
	s.visit(t, stations.Bench, "/t", 200, `name="code"`, `type="file"`, `capture="environment"`)
	s.visit(t, stations.Bench, "/station/tape", 200, `action="/station/tape/photo"`)
}

// TestAHoldShowsItsPhoto: kept first and named by a program, or both in one form of a station's page; then shown
// wherever the hold stands, to those who may see tickets.
func TestAHoldShowsItsPhoto(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	cloth := string(photoOfCloth(t))
	id := s.ask(t, scene{as: stations.Bench, do: "POST /api/pictures", send: cloth, header: asJPEG, status: 201}).at("picture")
	post := func(body fields, status int, code string) {
		t.Helper()
		s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: body, status: status, code: code})
	}
	post(scanOf(codes[0], "hold", "", "reason", "a flaw", "picture", strings.Repeat("0", 64)), 422, "unknown_picture")
	post(scanOf(codes[0], "hold", "", "reason", "a flaw", "picture", strings.Repeat("0", 65)), 422, "bad_value")
	post(scanOf(codes[0], "start", "cutting", "picture", id), 422, "bad_value")
	hold := scanOf(codes[0], "hold", "", "reason", "a flaw", "picture", id)
	post(hold, 200, "")
	post(hold, 200, "")

	form, kind := photoForm(t, []byte(cloth), map[string]string{"code": codes[1], "action": "hold", "reason": "a flaw too", "key": "p1"})
	got := s.try(t, scene{as: stations.Bench, do: "POST /station/cutting/scan", send: form, header: map[string]string{"Content-Type": kind, "Accept": "text/html"}})
	if now := s.Store.Floor().Ticket(plan.Code(codes[1])).Current(); got.status != 303 || now.Picture != id || now.Reason != "a flaw too" {
		t.Errorf("held by form: %d, %+v", got.status, now)
	}
	s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + codes[0], status: 200, has: map[string]string{"step.picture": id, "step.reason": "a flaw"}})
	shown := `src="/api/pictures/` + id
	for path, as := range map[string]stations.Role{"/t/" + codes[0]: stations.Bench, "/station/cutting": stations.Bench,
		"/station/cutting?ticket=" + codes[1]: stations.Bench, "/orders/SMI-1": stations.Office} {
		s.visit(t, as, path, 200, shown)
	}
	for _, path := range []string{"/board", "/screen"} {
		if page := s.visit(t, stations.Screen, path, 200); strings.Contains(page, id) {
			t.Errorf("%s names the picture", path)
		}
	}
	kept := s.ask(t, scene{as: stations.Office, do: "GET /api/pictures/" + id, status: 200})
	if _, err := jpeg.Decode(bytes.NewReader(kept.body)); err != nil || len(kept.body) > picture.MostKept || kept.header.Get("Content-Type") != "image/jpeg" ||
		!strings.Contains(kept.header.Get("Cache-Control"), "private") {
		t.Errorf("the picture: %v, %d bytes, %v", err, len(kept.body), kept.header)
	}
	s.play(t, []scene{
		{name: "to a screen", as: stations.Screen, do: "GET /api/pictures/" + id, status: 403, code: "forbidden"},
		{name: "to a stranger", do: "GET /api/pictures/" + id, status: 401, code: "unauthorized"},
		{name: "that isn't there", as: stations.Bench, do: "GET /api/pictures/" + strings.Repeat("0", 64), status: 404, code: "not_found"},
		{name: "of no id", as: stations.Bench, do: "GET /api/pictures/..", status: 404, code: "not_found"},
		{name: "no picture to keep", as: stations.Bench, do: "POST /api/pictures", send: "RIFF....WEBP", header: asJPEG, status: 422, code: "picture_kind"},
	})
	post(scanOf(codes[0], "resume", ""), 200, "")
	if page := s.visit(t, stations.Bench, "/t/"+codes[0], 200, `href="/api/pictures/`+id); strings.Contains(page, shown) {
		t.Error("after the hold its picture is still shown, not only led to by the history")
	}
}

// A hold whose photograph can't be taken isn't made, and says why.
func TestAHoldWithABadPhoto(t *testing.T) {
	s := openShop(t)
	code := s.release(t, "SMI-1")[0]
	form, kind := photoForm(t, []byte("RIFF....WEBP"), map[string]string{"code": code, "action": "hold", "reason": "a flaw", "key": "p1"})
	got := s.try(t, scene{as: stations.Bench, do: "POST /station/cutting/scan", send: form, header: map[string]string{"Content-Type": kind, "Accept": "text/html"}})
	holds(t, "hold", got, 422, []string{"neither a JPEG nor a PNG"})
	if now := s.Store.Floor().Ticket(plan.Code(code)).Current(); now.State == stations.Held {
		t.Error("it is held")
	}
}
