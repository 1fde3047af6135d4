package server

import (
	"bytes"
	"mime/multipart"
	"net/url"
	"os"
	"testing"

	"tablehand/stations"
)

// TestPricesAsAFile: by a program and on the page a list goes in and out as a file, and one with faults is told at
// their lines and changes nothing.
func TestPricesAsAFile(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	raw, err := os.ReadFile("../testdata/contract/prices.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file, wrong := string(raw), "currency: USD\nrows:\n  - {heading: pinch-2, panel: 36.00, width: x}\n  - {heading: pinch-9, panel: 1, width: 1}\n"
	yaml := map[string]string{"Content-Type": "application/yaml; charset=utf-8"}
	s.play(t, []scene{
		{name: "none yet", as: office, do: "GET /api/prices.yaml", status: 404, code: "not_found"},
		{name: "faults", as: office, do: "PUT /api/prices", send: wrong, header: yaml, status: 422, has: map[string]string{"problems.#": "2",
			"problems.0.code": "bad_value", "problems.0.where": "rows[0].width", "problems.0.line": "3", "problems.0.column": "45",
			"problems.1.where": "rows[1].heading", "problems.1.line": "4", "problems.1.column": "15"}},
		{name: "nothing", as: office, do: "PUT /api/prices", send: "", header: yaml, status: 422, has: map[string]string{"problems.0.code": "syntax"}},
		{name: "still none", as: office, do: "GET /api/prices", status: 200, has: map[string]string{"currency": ""}},
		{name: "taken", as: office, do: "PUT /api/prices", send: file, header: yaml, status: 200,
			has: map[string]string{"currency": "USD", "rows.#": "3", "rows.1.heading": "pinch-2", "rows.1.width": "16.50"}},
	})
	sent := s.ask(t, scene{as: office, do: "GET /api/prices.yaml", status: 200})
	if kind := sent.header.Get("Content-Type"); kind != "application/yaml" {
		t.Errorf("the file is sent as %s", kind)
	}
	s.visit(t, office, "/prices", 200, `href="/prices.yaml"`, `value="16.50"`)

	other := "currency: EUR\nrows:\n  - {heading: cartridge-tape, panel: \"50.00\", width: \"20.00\"}\n"
	if got := s.upload(t, "/prices/file", wrong); got.status != 422 {
		t.Errorf("a file with faults: %d", got.status)
	} else {
		holds(t, "a file with faults", got, 422, []string{"2 errors keep", `id="L3" class="wrong"`, "The prices haven&#39;t changed", `value="16.50"`, "pinch-9"})
	}
	if again := s.visit(t, office, "/prices.yaml", 200); again != string(sent.body) {
		t.Errorf("a file with faults has changed the prices:\n%s", again)
	}
	if got := s.upload(t, "/prices/file", other); got.status != 303 {
		t.Errorf("a good file: %d %s", got.status, got.body)
	}
	if got := s.visit(t, office, "/prices.yaml", 200); got != other {
		t.Errorf("%s\ncomes back as\n%s", other, got)
	}
	if got := s.post(t, office, "/prices/file", url.Values{"source": {string(sent.body)}}, false); got.status != 303 {
		t.Errorf("a mended text: %d %s", got.status, got.body)
	}
	if again := s.visit(t, office, "/prices.yaml", 200); again != string(sent.body) {
		t.Errorf("the text is kept as\n%s", again)
	}
	s.visit(t, office, "/prices", 200, "pinch", `value="pinch-3"`)
}

// upload sends a file by a page's form.
func (s *shop) upload(t testing.TB, path, file string) answer {
	t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	part, err := form.CreateFormFile("file", "prices.yaml")
	if err == nil {
		_, err = part.Write([]byte(file))
	}
	if err == nil {
		err = form.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return s.try(t, scene{as: stations.Office, do: "POST " + path, send: body.String(),
		header: map[string]string{"Content-Type": form.FormDataContentType(), "Accept": "text/html"}})
}
