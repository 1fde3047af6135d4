package shoptest

import (
	"os"
	"testing"

	"tablehand/cmd/tablehand/cli"
)

// beMain in the environment makes a test binary behave as tablehand itself, so that a test can start a real process and
// kill it.
const beMain = "TABLEHAND_BE_MAIN"

// AsProgram in the environment of a test binary makes it tablehand.
const AsProgram = beMain + "=1"

// Main is the TestMain of a package that runs tablehand.
func Main(m *testing.M) {
	if os.Getenv(beMain) == "1" {
		cli.Main()
	}
	// What the person running the tests has set for their own shop must not reach the shops of the tests.
	for _, theirs := range []string{"TABLEHAND_DATA", "TABLEHAND_PASSPHRASE", "LC_ALL", "LC_MESSAGES", "LANG"} {
		os.Unsetenv(theirs)
	}
	os.Exit(m.Run())
}
