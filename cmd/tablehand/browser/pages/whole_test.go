package pages

import (
	"os"
	"path"
	"regexp"
	"strings"
	"testing"
)

// notPages are addresses without an extension that no browser shows as a page.
var notPages = map[string]bool{"/healthz": true, "/metrics": true, "/orders/:order/print": true}

// everyRoute names each page of the shop that the list doesn't open.
func everyRoute(t *testing.T, pages []page) {
	t.Helper()
	routes := pageRoutes(t)
	opened := map[string]bool{}
	for _, pg := range pages {
		opened[routeOf(routes, pg.path)] = true
	}
	for _, route := range routes {
		if !opened[route] {
			t.Errorf("%s is opened by no row of everyPage: add its states to pages_test.go", route)
		}
	}
}

// pageRoutes are the addresses of pages, in the order in which they are served, by the table that the server writes of itself.
func pageRoutes(t *testing.T) (routes []string) {
	t.Helper()
	table, err := os.ReadFile("../../../../server/access.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range regexp.MustCompile("(?m)^\\| `GET (/[^`]*)`").FindAllStringSubmatch(string(table), -1) {
		route := row[1]
		if path.Ext(route) == "" && !notPages[route] && !strings.HasPrefix(route, "/api/") && !strings.HasPrefix(route, "/assets/") {
			routes = append(routes, route)
		}
	}
	return routes
}

// routeOf returns the route that serves an address, "" where none does.
func routeOf(routes []string, address string) string {
	address, _, _ = strings.Cut(address, "?")
	asked := strings.Split(address, "/")
	for _, route := range routes {
		if serves(strings.Split(route, "/"), asked) {
			return route
		}
	}
	return ""
}

func serves(route, asked []string) bool {
	if len(route) != len(asked) {
		return false
	}
	for i, part := range route {
		if part != asked[i] && !strings.HasPrefix(part, ":") {
			return false
		}
	}
	return true
}
