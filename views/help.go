package views

import (
	"slices"
	"strings"

	"tablehand/stations/plan"
)

// HelpGroups are all the pages of help of a shop with those stations, in the order of the index, each with the addresses of the pages that
// it is about; ":" stands for any one part of an address. The text of a page is the sentence help.<name> of the catalogue.
func HelpGroups(shop []plan.Station) []HelpGroup {
	return []HelpGroup{
		{"floor", []HelpEntry{
			{"home", []string{"/", "/search"}},
			{"station", []string{"/station/:"}},
			{"ticket", []string{"/t", "/t/:", "/p/:"}},
			{"board", []string{"/board"}},
			{"count", []string{"/count", "/count/:"}},
			{"shelf", []string{"/shelf", "/shelf/:", "/shelf/receive", "/b/:", "/b/:/inspect", "/orders/:/cloth"}},
			{"shelf-count", []string{"/shelf/count", "/shelf/count/:", "/shelf/count/:/settle"}},
			{"screen", []string{"/screen"}},
			{"offline", nil},
			{"trouble", nil},
		}},
		{"stations", stationHelp(shop)},
		{"office", []HelpEntry{
			{"orders", []string{"/orders"}},
			{"taking", []string{"/taking"}},
			{"order", []string{"/orders/:", "/orders/:/print", "/orders/:/like", "/orders/:/release", "/orders/:/cancel", "/orders/:/close"}},
			{"revision", []string{"/orders/:/edit", "/orders/:/revise", "/orders/:/bring-up"}},
			{"rules", []string{"/orders/:/rules"}},
			{"room", []string{"/orders/:/room"}},
			{"paper", nil},
			{"purchases", []string{"/purchases", "/purchases/:"}},
			{"invoices", []string{"/ready", "/invoices/:"}},
			{"prices", []string{"/prices"}},
			{"books", []string{"/books", "/books/:", "/books/:/:", "/books/:/:/set-aside", "/books/:/:/back", "/books/:/:/merge"}},
		}},
		{"shop", []HelpEntry{
			{"sign-in", []string{"/sign-in", "/hello", "/trust", "/enter", "/enter/:"}},
			{"devices", []string{"/settings/devices", "/settings/devices/:"}},
			{"calendar", []string{"/settings/calendar"}},
			{"people", []string{"/settings/people", "/settings/people/:", "/settings/record"}},
			{"setup", []string{"/setup"}},
			{"settings", []string{"/settings", "/settings/measuring", "/settings/closed-days"}},
			{"conventions", []string{"/settings/conventions", "/settings/tolerances"}},
			{"stations", []string{"/settings/stations"}},
			{"check", []string{"/check", "/check/backup"}},
		}},
	}
}

// stationHelp are the stations' own pages, each for the station's address.
func stationHelp(shop []plan.Station) []HelpEntry {
	var pages []HelpEntry
	for _, s := range shop {
		pages = append(pages, HelpEntry{string(s), []string{"/station/" + string(s)}})
	}
	return pages
}

// HelpGroup is a part of the index of help.
type HelpGroup struct {
	Name  string // catalogue: help.group.<name>
	Pages []HelpEntry
}

// ForFloor reports whether the part is for benches and walls too: how to price and to set up a shop is none of theirs.
func (g HelpGroup) ForFloor() bool { return g.Name == "floor" || g.Name == "stations" }

// HelpEntry is a page of help.
type HelpEntry struct {
	Name  string
	about []string
}

// Title is the key of the page's name.
func (p HelpEntry) Title() string {
	if p.Station() != "" {
		return "station." + p.Name
	}
	return "help.title." + p.Name
}

// Station returns the station whose page it is, "" where it is of none.
func (p HelpEntry) Station() plan.Station {
	if s := plan.Station(p.Name); slices.Contains(plan.Stations(), s) || plan.IsOwn(s) {
		return s
	}
	return ""
}

// Text is the key of the page's text.
func (p HelpEntry) Text() string {
	switch {
	case plan.IsOwn(p.Station()):
		return "help.at.own" // what is done there the shop alone knows
	case p.Station() != "":
		return "help.at." + p.Name
	}
	return "help." + p.Name
}

// HelpPages returns the names of all pages of help of a shop as shipped: /help/<name>.
func HelpPages() []string {
	var names []string
	for _, g := range HelpGroups(plan.Stations()) {
		for _, p := range g.Pages {
			names = append(names, p.Name)
		}
	}
	return names
}

// HelpFor returns the address of the help of the page at a path, "" where there is none: a page about that very
// address stands before one about any such.
func HelpFor(path string) string {
	asked := strings.Split(strings.TrimSuffix(path, "/"), "/")
	best, parts := "", -1
	for _, g := range HelpGroups(slices.Concat(plan.Stations(), plan.OwnStations())) {
		for _, p := range g.Pages {
			for _, about := range p.about {
				if exact, ok := matches(strings.Split(strings.TrimSuffix(about, "/"), "/"), asked); ok && exact > parts {
					best, parts = "/help/"+p.Name, exact
				}
			}
		}
	}
	return best
}

// Help returns the address of the page's own help: of a page that there is not, what to do when something goes wrong;
// "" of help itself.
func (f Frame) Help() string {
	switch own := HelpFor(f.Path); {
	case own != "":
		return own
	case f.Known() && !strings.HasPrefix(f.Path, "/help"):
		return "/help/trouble"
	}
	return ""
}

// matches reports whether an address is of a pattern, and how many of its parts the pattern says.
func matches(pattern, address []string) (exact int, ok bool) {
	if len(pattern) != len(address) {
		return 0, false
	}
	for i, part := range pattern {
		switch part {
		case address[i]:
			exact++
		case ":":
		default:
			return 0, false
		}
	}
	return exact, true
}

// HelpNamed returns the page of help of a name; ok is false where those groups have none.
func HelpNamed(groups []HelpGroup, name string) (entry HelpEntry, ok bool) {
	for _, g := range groups {
		for _, p := range g.Pages {
			if p.Name == name {
				return p, true
			}
		}
	}
	return HelpEntry{}, false
}
