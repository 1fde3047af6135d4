package cli

import (
	"cmp"
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	"tablehand/server/store"
)

// version says, a line each, which release this program is, from which commit and by what it was built, and which SQLite
// it has. What the build doesn't know is left out: one by go run knows no commit.
func version() string {
	build, _ := debug.ReadBuildInfo()
	if build == nil {
		build = &debug.BuildInfo{}
	}
	settings := map[string]string{}
	for _, s := range build.Settings {
		settings[s.Key] = s.Value
	}
	lines := []string{"tablehand " + cmp.Or(build.Main.Version, "(devel)")}
	if commit := settings["vcs.revision"]; commit != "" {
		if settings["vcs.modified"] == "true" {
			commit += ", changed since"
		}
		lines = append(lines, fmt.Sprintf("commit: %s, %s", settings["vcs.time"], commit))
	}
	lines = append(lines, fmt.Sprintf("go: %s, %s/%s", runtime.Version(), runtime.GOOS, runtime.GOARCH), "sqlite: "+store.Engine())
	return strings.Join(lines, "\n")
}
