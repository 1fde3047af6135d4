package pages

import (
	"slices"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// TestPagesAreAllWalked names each page of the shop that neither list opens.
func TestPagesAreAllWalked(t *testing.T) {
	b := fillShop(t, shoptest.OpenSecure(t), shoptest.Open(t))
	opened := map[string]bool{}
	for _, pg := range slices.Concat(Office(t, b), Floor(t, b)) {
		opened[routeOf(pageRoutes(), pg.path)] = true
	}
	for _, route := range pageRoutes() {
		if !opened[route] {
			t.Errorf("%s is opened by no row: add its states to office.go or floor.go", route)
		}
	}
}
