package server

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/server/edge"
	"tablehand/stations"
)

var update = flag.Bool("update", false, "write the table of who may go where anew")

// accessTable is the table of every address and role, as the shop answers.
const accessTable = "access.md"

const accessHead = `# Who may go where

Every address of the shop, and what it answers to whom. It is written by ` + "`go test ./server -run TestEveryRouteAndRole -update`" + ` from what the
shop really answers; a new address without a row fails the test. What a cell says:

- yes: let in, whatever comes of it
- no: 403 ` + "`forbidden`" + `
- sign in: 401 ` + "`unauthorized`" + `
- not there: 404, as an address that the shop hasn't

`

// rolesAsked are the columns: "" is a stranger.
var rolesAsked = append([]stations.Role{""}, edge.EveryRole...)

// TestEveryRouteAndRole asks every address as everybody, and holds the answers to the routes and to the table.
func TestEveryRouteAndRole(t *testing.T) {
	s := openShop(t)
	codes := s.release(t, "SMI-1")
	draft := s.ask(t, scene{as: stations.Office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": s.workThrough(t, codes)[:1]}, status: 201}).at("draft")
	asset := regexp.MustCompile(`/assets/[^"]+/tablehand\.css`).FindString(s.visit(t, "", "/sign-in", 200))
	there := strings.NewReplacer(":order", "SMI-1", ":code", codes[2], ":station", "cutting", ":invoice", draft, ":page", "prices", "/assets/:hash/:name", asset)
	nowhere := regexp.MustCompile(`:[a-z]+`) // what changes something is asked of what isn't there
	cells := func(r edge.Route) []string {
		path := there.Replace(r.Path)
		if r.Method != "GET" {
			path = nowhere.ReplaceAllString(r.Path, "NOWHERE")
		}
		var row []string
		for _, role := range rolesAsked {
			if r.Endless && slices.Contains(r.Who, role) { // the streams have tests of their own
				row = append(row, "yes")
				continue
			}
			req := scene{as: role, do: r.Method + " " + path}
			if r.Method != "GET" {
				req.send = fields{"zz": 1}
			}
			row = append(row, cellOf(s.try(t, req), r.Who == nil))
		}
		if row[1] == "not there" { // to the office too: only the sample isn't
			for i := range row {
				row[i] = strings.Replace(row[i], "not there", "yes", 1)
			}
		}
		return row
	}
	kept, err := os.ReadFile(accessTable)
	if err != nil && !*update {
		t.Fatal(err)
	}
	table := accessHead + "| address | stranger |" + head() + "\n|---|" + strings.Repeat("---|", len(rolesAsked)) + "\n"
	for _, r := range s.routes() {
		row := cells(r)
		for i, role := range rolesAsked {
			let := r.Who == nil || slices.Contains(r.Who, role)
			if want := row[i] == "yes" || row[i] == "not there"; want != let {
				t.Errorf("%s %s as %q: %s, and the route lets in %v", r.Method, r.Path, role, row[i], r.Who)
			}
		}
		line := fmt.Sprintf("| `%s %s` | %s |\n", r.Method, r.Path, strings.Join(row, " | "))
		if table += line; !*update && !strings.Contains(string(kept), line) {
			t.Errorf("%s hasn't this row:\n%s", accessTable, line)
		}
	}
	switch {
	case *update:
		if err := os.WriteFile(accessTable, []byte(table), 0o644); err != nil {
			t.Fatal(err)
		}
	case table != string(kept):
		t.Errorf("%s has rows of addresses that aren't there, or in another order: run this test with -update and look at what changed", accessTable)
	}
}

func head() string {
	text := ""
	for _, role := range edge.EveryRole {
		text += " " + string(role) + " |"
	}
	return text
}

// cellOf says in the table's words what an answer is. An open address may refuse what was sent for its own reasons, and
// another what is wrong in one field.
func cellOf(got answer, open bool) string {
	switch {
	case open:
		return "yes"
	case got.status == 401:
		return "sign in"
	case got.status == 403 && got.at("field") == "":
		return "no"
	case got.status == 404:
		return "not there"
	}
	return "yes"
}
