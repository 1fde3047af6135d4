package workup

// Known reports whether a step may be worked out from a name: a given, or a number of the panel.
func Known(name string) bool {
	_, isGiven := byName[name]
	return isGiven || NumberOf(name) != nil
}
