package server

import (
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestOrdersList: the list is searched by order, customer and sidemark, filtered by state, lateness and customer, sorted, and
// shown by parts that links lead through, with a form that works by itself.
func TestOrdersList(t *testing.T) {
	s := openShop(t)
	take := func(id, customer, sidemark, due string) {
		t.Helper()
		file := strings.NewReplacer("customer: Saltmarsh Inn", "customer: "+customer, "sidemark: Floor 1, room 14", "sidemark: "+sidemark, "due: 2026-12-18", "due: "+due).Replace(orderFile(t, id))
		s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 201})
	}
	take("AAA-1", "Saltmarsh Inn", "Attic", "2026-12-20")
	take("BBB-2", "Lantern House", "Hall", "2026-12-10")
	take("CCC-3", "Café Kite", "Attic", "2026-01-05")
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/BBB-2/cancel", send: fields{"reason": "House sold"}, status: 200})
	listed := regexp.MustCompile(`<th scope="row"><a href="/orders/([^"]+)">`)
	look := func(path string) (page string, ids []string) {
		t.Helper()
		page = string(s.ask(t, scene{as: stations.Office, do: "GET " + path, status: 200}).body)
		for _, m := range listed.FindAllStringSubmatch(page, -1) {
			ids = append(ids, m[1])
		}
		return page, ids
	}
	for path, want := range map[string][]string{
		"/orders": {"CCC-3", "BBB-2", "AAA-1"}, "/orders?sort=order": {"AAA-1", "BBB-2", "CCC-3"}, "/orders?sort=customer": {"CCC-3", "BBB-2", "AAA-1"},
		"/orders?sort=state": {"AAA-1", "CCC-3", "BBB-2"}, "/orders?find=attic&sort=order": {"AAA-1", "CCC-3"}, "/orders?find=cafe": {"CCC-3"}, "/orders?find=bbb+hall": {"BBB-2"},
		"/orders?state=cancelled": {"BBB-2"}, "/orders?state=late": {"CCC-3"}, "/orders?customer=Saltmarsh+Inn": {"AAA-1"}, "/orders?find=nowhere": nil,
		"/orders?state=baked&sort=colour&page=x": {"CCC-3", "BBB-2", "AAA-1"},
	} {
		page, ids := look(path)
		if !slices.Equal(ids, want) {
			t.Errorf("%s lists %v, want %v", path, ids, want)
		}
		if asks := strings.Contains(path, "find=") || strings.Contains(path, "customer=") || strings.Contains(path, "=late") || strings.Contains(path, "=cancelled"); strings.Contains(page, "of 3 orders") != asks {
			t.Errorf("%s doesn't say how many there are", path)
		}
	}
	if page, _ := look("/orders"); strings.Contains(page, "Attic") {
		t.Error("a sidemark is shown that the shop keeps to itself")
	}
	for i := range 60 {
		take(fmt.Sprintf("N-%02d", i), "Lantern House", "Hall", "2026-12-30")
	}
	seen := map[string]bool{}
	next := "/orders?customer=Lantern+House&sort=order"
	after := regexp.MustCompile(`class="button" href="(/orders\?[^"]*)">\s*Next`)
	for parts := 0; next != "" && parts < 5; parts++ {
		page, ids := look(next)
		if len(ids) > 50 {
			t.Errorf("%d orders on one page", len(ids))
		}
		for _, id := range ids {
			seen[id] = true
		}
		next = ""
		if m := after.FindStringSubmatch(page); m != nil {
			next = html.UnescapeString(m[1])
		}
	}
	if len(seen) != 61 || seen["AAA-1"] {
		t.Errorf("%d orders of a customer's 61 are reached", len(seen))
	}
}
