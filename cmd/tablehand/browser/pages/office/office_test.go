package office

import (
	"testing"

	"tablehand/cmd/tablehand/browser/pages"
	"tablehand/cmd/tablehand/shoptest"
)

func TestMain(m *testing.M) { shoptest.Main(m) }

// TestBrowserPages walks through the pages of orders, money, books and settings.
func TestBrowserPages(t *testing.T) { pages.Walk(t, pages.Office) }
