package pages

import (
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"sync"

	"tablehand/cmd/tablehand/shoptest"
)

// notPages are addresses without an extension that no browser shows as a page.
var notPages = map[string]bool{"/healthz": true, "/metrics": true, "/orders/:order/print": true}

// kind is what a page has in common with its other states: the route that serves it, and who looks. A route's pages differ in what
// an order or a ticket says; those of stations have words of their own.
func (pg Page) kind() string {
	address, _, _ := strings.Cut(pg.path, "?")
	if route := routeOf(pageRoutes(), address); route != "" && !strings.HasPrefix(route, "/station/") {
		address = route
	}
	return pg.by + address
}

// pageRoutes are the addresses of pages, in the order in which they are served, by the table that the server writes of itself.
var pageRoutes = sync.OnceValue(func() (routes []string) {
	table, err := os.ReadFile(filepath.Join(filepath.Dir(shoptest.ExampleFile), "../../server/access.md"))
	if err != nil {
		panic(err) // it is a file of the repository
	}
	for _, row := range regexp.MustCompile("(?m)^\\| `GET (/[^`]*)`").FindAllStringSubmatch(string(table), -1) {
		route := row[1]
		if path.Ext(route) == "" && !notPages[route] && !strings.HasPrefix(route, "/api/") && !strings.HasPrefix(route, "/assets/") {
			routes = append(routes, route)
		}
	}
	return routes
})

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
