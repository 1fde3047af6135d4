package workup

import (
	"slices"

	"tablehand/engine"
)

// standing are notes that come with the heading itself, as good as always. The ticket says them at the station where
// they matter; among what a person should look at before the cloth is cut they would only hide the rest.
var standing = []string{"cord_hazard", "pleat_in_lap"}

// Noteworthy returns the problems that a person should look at. Standing notes are left out, and what several windows
// have from one tape and fold is told once, of the first, with how many more there are as More.
func Noteworthy(problems []engine.Problem) []engine.Problem {
	var list []engine.Problem
	for _, p := range problems {
		if slices.Contains(standing, p.Code) {
			continue
		}
		at := slices.IndexFunc(list, func(q engine.Problem) bool { return sameStitches(p, q) })
		if at < 0 {
			list = append(list, p)
			continue
		}
		args := map[string]any{}
		for name, v := range list[at].Args {
			args[name] = v
		}
		more, _ := args["More"].(int)
		args["More"] = more + 1
		list[at].Args = args
	}
	return list
}

// sameStitches reports whether both are of stitches that lie alike below alike folds.
func sameStitches(p, q engine.Problem) bool {
	const code = "stitch_below_fold"
	return p.Code == code && q.Code == code && p.Args["Line"] == q.Args["Line"] && p.Args["Fold"] == q.Args["Fold"]
}
