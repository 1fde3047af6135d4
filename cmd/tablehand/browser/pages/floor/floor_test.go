package floor

import (
	"testing"

	"tablehand/cmd/tablehand/browser/pages"
	"tablehand/cmd/tablehand/shoptest"
)

func TestMain(m *testing.M) { shoptest.Main(m) }

// TestBrowserPages walks through the pages of stations, tickets, screens and help.
func TestBrowserPages(t *testing.T) { pages.Walk(t, pages.Floor) }
