package views

// SecondPlace is the folder beside the shop's own that its daily copies go to, and how that goes.
type SecondPlace struct {
	Folder      string
	Never       bool   // no copy is there yet
	Hours, Days int    // how old the last one is; Days from the second on
	Why         string // the last try failed, by the end of a key under setup.wrong.copy; "" it didn't
	Old         bool   // the last copy is older than it should be
	SameDisk    bool   // as the shop
}

// Bad reports whether somebody has to look after it.
func (p SecondPlace) Bad() bool { return p.Why != "" || p.Old }
