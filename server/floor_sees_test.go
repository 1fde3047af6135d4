package server

import (
	"html"
	"io"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/views"
)

// What the books of TestFloorSeesNoBooks hold, and nothing that a bench or a wall is sent may: in a customer's name stand an
// address and a phone, as people write them.
var ofTheBooks = []string{"Marram House", "17 Dune Lane", "555 0142", "41.37", "41,37", "18.29", "18,29", "87.10", "87,10", "174.20", "USD"}

// officeActs are what only the office decides.
var officeActs = regexp.MustCompile(`(?:name="action"\s+value|value)="(?:accept|remake|scrap)"`)

// TestFloorSeesNoBooks walks through every address as a bench and as a wall, in a shop with something of everything: no
// answer has a figure of the books, and no page a link or a button to where its reader may not go.
func TestFloorSeesNoBooks(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	named := []string{"customer: Saltmarsh Inn", "customer: Marram House, 17 Dune Lane, +1 555 0142"}
	done := s.workThrough(t, s.release(t, "SMI-1", named...))
	open := s.release(t, "SMI-2", named...)
	s.ask(t, scene{as: office, do: "POST /api/orders", send: orderFile(t, "TAKEN", named...), status: 201})
	s.ask(t, scene{as: office, do: "PUT /api/prices", send: fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "41.37", "width": "18.29"}}}, status: 200})
	issued := s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": named[1][len("customer: "):], "panels": done}, status: 201})
	if issued.at("total.amount") != "174.20" {
		t.Fatalf("the invoice is over %s: the test looks for another sum", issued.at("total.amount"))
	}
	number := s.ask(t, scene{as: office, do: "POST /api/invoices/" + issued.at("draft") + "/issue", send: fields{}, status: 200}).at("number")
	s.cutAll(t, "SMI-2")
	s.workOn(t, open[2], "fold")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(open[2], "hold", "", "reason", "stain"), status: 200})
	held := s.ask(t, scene{as: stations.Bench, do: "GET /api/tickets/" + open[3], status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: scanOf(open[3], "start", "joining"), status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: finishOf(held, open[3], "flat_width", "130in"), status: 200})

	words := append(slices.Clone(ofTheBooks), issued.at("draft"))
	look := func(role stations.Role, what, said string) {
		t.Helper()
		for _, word := range words {
			if strings.Contains(said, word) {
				t.Errorf("%s as %s has %q", what, role, word)
			}
		}
	}
	toText, _ := exec.LookPath("pdftotext")
	if toText == "" && os.Getenv("CI") != "" {
		t.Fatal("pdftotext is missing, and CI must have it")
	}
	var paths []string
	for _, r := range s.routes() {
		if r.Method != "GET" || r.Endless {
			continue
		}
		for _, ticket := range []string{done[0], open[0], open[2], open[3]} {
			path := strings.NewReplacer(":order", "SMI-2", ":code", ticket, ":station", "joining", ":invoice", number, ":page", "station").Replace(r.Path)
			paths = append(paths, path)
		}
	}
	for _, page := range views.HelpPages() {
		paths = append(paths, "/help/"+page)
	}
	for _, ticket := range []string{open[0], open[2], open[3]} {
		paths = append(paths, "/station/cutting?ticket="+ticket, "/station/joining?ticket="+ticket)
	}
	paths = append(paths, "/search?q=marram", "/search?q=smi", "/search?q="+number, "/search?q=dune", "/board?find=marram", "/board?find=smi", "/api/board")
	slices.Sort(paths)
	paths = slices.Compact(paths)
	for _, role := range []stations.Role{stations.Bench, stations.Screen} {
		for _, path := range paths {
			got := s.try(t, scene{as: role, do: "GET " + path, header: map[string]string{"Accept": "text/html,application/json"}})
			said := string(got.body)
			if strings.HasPrefix(said, "%PDF-") && toText != "" {
				said = textOfPDF(t, toText, got.body)
			}
			if strings.Contains(path, "marram") || strings.Contains(path, "dune") { // what was asked comes back in its field
				said = regexp.MustCompile(`(?i)marram|dune`).ReplaceAllString(said, "")
			}
			look(role, "GET "+path, said)
			if strings.HasPrefix(got.header.Get("Content-Type"), "text/html") && got.status == 200 {
				s.leadsWhereItMay(t, role, path, said)
			}
		}
		look(role, "the stream", s.streamed(t, role))
	}
	// The test can see what it looks for.
	if said := s.visit(t, office, "/ready", 200) + s.visit(t, office, "/prices", 200) + s.visit(t, office, "/invoices/"+number, 200); !strings.Contains(said, "Marram House") ||
		!strings.Contains(said, "41.37") || !strings.Contains(said, "87.10") || !strings.Contains(said, "174.20") {
		t.Error("the office's own pages lack the figures that the floor must not see")
	}
	if !officeActs.MatchString(s.visit(t, office, "/t/"+open[3], 200)) {
		t.Error("the office's own page lacks the buttons that the floor must not see")
	}
}

// leadsWhereItMay holds what a page leads to, and what its forms send to, to who may go there.
func (s *shop) leadsWhereItMay(t *testing.T, role stations.Role, path, page string) {
	t.Helper()
	byLead := regexp.MustCompile(`(?s)<form[^>]*data-lead.*?</form>`) // which asks for badge and PIN
	if found := officeActs.FindString(byLead.ReplaceAllString(page, "")); found != "" {
		t.Errorf("%s as %s has a button of the office: %s", path, role, found)
	}
	for _, tag := range regexp.MustCompile(`(?s)<(?:a|form|button|img|link|script)\b[^>]*>`).FindAllString(page, -1) {
		method := "GET"
		if strings.Contains(tag, `method="post"`) {
			method = "POST"
		}
		for _, to := range regexp.MustCompile(`\b(?:href|action|formaction|src)="([^"]*)"`).FindAllStringSubmatch(tag, -1) {
			address, _, _ := strings.Cut(html.UnescapeString(to[1]), "#")
			address, _, _ = strings.Cut(address, "?")
			if address == "" {
				continue
			}
			if r := s.routeTo(method, address); r == nil || r.Who != nil && !slices.Contains(r.Who, role) {
				t.Errorf("%s as %s leads to %s %s", path, role, method, address)
			}
		}
	}
}

// routeTo returns the route that an address is answered by, nil for none.
func (s *shop) routeTo(method, address string) *edge.Route {
	for _, r := range s.routes() {
		pattern := regexp.MustCompile(`:[a-z]+`).ReplaceAllString(strings.ReplaceAll(r.Path, ".", `\.`), `[^/]+`)
		if r.Method == method && regexp.MustCompile("(?i)^"+pattern+"$").MatchString(address) {
			return &r
		}
	}
	return nil
}

// streamed returns all that a stream says of the past.
func (s *shop) streamed(t *testing.T, role stations.Role) string {
	t.Helper()
	req, err := http.NewRequest("GET", s.listen(t)+"/api/events?after=0", nil)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+s.tokens[role])
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(time.Second, func() { res.Body.Close() })
	said, _ := io.ReadAll(res.Body)
	if !strings.Contains(string(said), `"action":"issue"`) {
		t.Errorf("the stream has nothing of the invoice:\n%s", said)
	}
	return string(said)
}

// textOfPDF returns what stands on a sheet.
func textOfPDF(t *testing.T, toText string, pdf []byte) string {
	t.Helper()
	cmd := exec.Command(toText, "-layout", "-", "-")
	cmd.Stdin = strings.NewReader(string(pdf))
	text, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
