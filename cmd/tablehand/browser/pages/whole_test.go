package pages

import (
	"net/http"
	"path"
	"strings"
	"testing"

	"tablehand/server/edge"
	"tablehand/server/web"
)

// everyRoute names each page of the shop that the list doesn't open.
func everyRoute(t *testing.T, pages []page) {
	routes := pageRoutes()
	opened := map[string]bool{}
	for _, pg := range pages {
		opened[routeOf(routes, pg.path)] = true
	}
	for _, r := range routes {
		if !opened[r.Path] {
			t.Errorf("%s is opened by no row of everyPage: add its states to pages_test.go", r.Path)
		}
	}
}

// pageRoutes are the addresses that a browser shows as a page, in the order in which they are served.
func pageRoutes() (pages []edge.Route) {
	for _, r := range new(web.Site).Routes() {
		if r.Method == http.MethodGet && path.Ext(r.Path) == "" && !strings.HasPrefix(r.Path, "/assets/") {
			pages = append(pages, r)
		}
	}
	return pages
}

// routeOf returns the route that serves an address, "" where none does.
func routeOf(routes []edge.Route, address string) string {
	address, _, _ = strings.Cut(address, "?")
	asked := strings.Split(address, "/")
	for _, r := range routes {
		if serves(strings.Split(r.Path, "/"), asked) {
			return r.Path
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
