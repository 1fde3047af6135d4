package server

import (
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/views"
)

// notRead are addresses of pages that answer with a file or by going elsewhere, and help itself.
var notRead = []string{"/api/", "/assets/", "/healthz", "/metrics", "/help", "/calendar/", "/purchases.csv"}

// TestEveryPageHasHelp: every page's address leads to a page of help that opens, in every language, for whom the page
// is for; strangers read how to sign in and no more.
func TestEveryPageHasHelp(t *testing.T) {
	s := openShop(t)
	pages := 0
	for _, r := range s.routes() {
		if r.Method != "GET" || isFile(r.Path) {
			continue
		}
		pages++
		help := views.HelpFor(strings.NewReplacer(":order", "SMI-1", ":code", "7K3M9Q2T5", ":station", "tape", ":invoice", "1").Replace(r.Path))
		if help == "" {
			t.Errorf("%s has no help: add its address to a row of HelpGroups in views/help.go, with help.title.<name> and help.<name> in each catalogue", r.Path)
			continue
		}
		role := stations.Role("")
		if len(r.Who) > 0 {
			role = r.Who[len(r.Who)-1]
		}
		s.ask(t, scene{as: role, do: "GET " + help, status: 200})
	}
	if pages < 15 {
		t.Errorf("only %d pages found", pages)
	}
	for _, name := range views.HelpPages() {
		s.ask(t, scene{as: stations.Accounts, do: "GET /help/" + name + "?language=es", status: 200})
	}
	for _, group := range views.HelpGroups(nil) { // a wall and a bench read what the floor does, and no more
		for _, page := range group.Pages {
			status := map[bool]int{true: 200, false: 404}[group.ForFloor() || page.Name == "sign-in"]
			s.ask(t, scene{as: stations.Screen, do: "GET /help/" + page.Name, status: status})
			s.ask(t, scene{as: stations.Bench, do: "GET /help/" + page.Name, status: status})
		}
	}
	if page := s.visit(t, stations.Screen, "/help", 200, "/help/board"); strings.Contains(page, "/help/prices") {
		t.Error("a wall is led to the help about prices")
	}
	s.ask(t, scene{as: stations.Office, do: "GET /help/nothing", status: 404})
	if got := s.try(t, scene{do: "GET /help/board"}); got.status == 200 {
		t.Error("a stranger reads the board's help")
	}
}

func isFile(path string) bool {
	for _, prefix := range notRead {
		if strings.HasPrefix(path, prefix) {
			return true
		}
	}
	return strings.HasSuffix(path, ".pdf") || strings.HasSuffix(path, ".yaml") || strings.HasSuffix(path, ".crt")
}
