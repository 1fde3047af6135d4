package books

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// readConventions has the order file's own reader look at conventions, so that a customer's are checked as an order's are.
func readConventions(s string, in Units) (string, *fault) {
	pairs, ok := pairsOf(s)
	if !ok {
		return "", wrong("bad_value", "mapping")
	}
	units := in.Length
	if units != measure.CM && units != measure.MM {
		units = measure.In
	}
	file, err := json.Marshal(map[string]any{"order": "1", "units": units, "conventions": pairs}) // YAML reads JSON
	if err != nil {
		return "", wrong("bad_value", "mapping")
	}
	_, problems := orderfile.Parse(file)
	for _, p := range problems {
		if strings.HasPrefix(p.Where, "conventions") {
			return "", &fault{p.Code, strings.TrimPrefix(strings.TrimPrefix(p.MessageKey(), "problem."+p.Code), "."), p.Args}
		}
	}
	return pairsText(pairs), nil
}

// pairsOf reads "name: text" a line; ok is false where a line is none, or a name comes twice.
func pairsOf(s string) (pairs map[string]string, ok bool) {
	pairs = map[string]string{}
	for line := range strings.Lines(s) {
		if strings.TrimSpace(line) == "" {
			continue
		}
		name, value, found := strings.Cut(line, ":")
		name = strings.TrimSpace(name)
		if _, twice := pairs[name]; !found || name == "" || twice {
			return nil, false
		}
		pairs[name] = strings.TrimSpace(value)
	}
	return pairs, true
}

func pairsText(pairs map[string]string) string {
	var all []string
	for _, name := range slices.Sorted(maps.Keys(pairs)) {
		all = append(all, name+": "+pairs[name])
	}
	return strings.Join(all, "\n")
}
