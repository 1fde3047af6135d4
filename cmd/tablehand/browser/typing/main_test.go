package typing

import (
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

func TestMain(m *testing.M) { shoptest.Main(m) }
