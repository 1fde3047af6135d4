package main

import (
	"os"
	"testing"
)

// beMain in the environment makes the test binary behave as tablehand itself, so that a test can start a real process
// and kill it.
const beMain = "TABLEHAND_BE_MAIN"

func TestMain(m *testing.M) {
	if os.Getenv(beMain) == "1" {
		main()
		os.Exit(0) // main exits by itself when something failed
	}
	// What the person running the tests has set for their own shop must not reach the shops of the tests.
	for _, theirs := range []string{"TABLEHAND_DATA", "TABLEHAND_PASSPHRASE", "LC_ALL", "LC_MESSAGES", "LANG"} {
		os.Unsetenv(theirs)
	}
	os.Exit(m.Run())
}
