package order

import (
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/workup"
	"tablehand/stations"
)

// What a page shows at once of an order of hundreds of windows, for a phone: our own choice.
const (
	fewWindows     = 4  // that are all shown, with how each number came about
	kindsAtOnce    = 3  // windows that are made otherwise
	namesAtOnce    = 40 // windows of one kind
	ticketsAtOnce  = 24
	problemsAtOnce = 20
)

// Alike puts windows that are made alike together: those whose lines in the file say the same but for name, room and notes.
// Each group has its places in w.Treatments, in the file's order; windows without numbers are in none.
func Alike(w *workup.Workup) [][]int {
	var groups [][]int
	at := map[string]int{}
	for i := range w.Treatments {
		if len(w.Treatments[i].Panels) == 0 {
			continue
		}
		line := w.Order.Treatments[w.Treatments[i].Index]
		line.Window, line.Room, line.Notes = "", "", ""
		says, err := json.Marshal(line)
		key := string(says)
		if err != nil { // alike with none
			key = strconv.Itoa(i)
		}
		g, known := at[key]
		if !known {
			g = len(groups)
			at[key], groups = g, append(groups, nil)
		}
		groups[g] = append(groups[g], i)
	}
	return groups
}

// Look is what of an order is looked at: its address's query.
type Look struct {
	Path    string
	Window  int    // of the file, from 0; -1 none by itself
	Find    string // a window or room that is looked for
	Kinds   int    // the part of the kinds of windows, from 1; 0 the one with the window
	Tickets int    // likewise of the tickets
	All     bool   // of the problems
}

// LookOf reads what is asked for: ?window=3, ?find=room, ?page=2, ?tickets=2, ?problems=all. What is no number asks for
// nothing.
func LookOf(path string, query func(key string) string) Look {
	number := func(key string, none int) int {
		if n, err := strconv.Atoi(query(key)); err == nil && n >= 0 {
			return n
		}
		return none
	}
	return Look{Path: path, Window: number("window", -1), Find: strings.TrimSpace(query("find")), Kinds: number("page", 0), Tickets: number("tickets", 0),
		All: query("problems") == "all"}
}

// Finding looks for the window by name or room: the first of just that name, else the first that has the text in it. It
// reports whether there is one.
func (l *Look) Finding(w *workup.Workup) (known bool) {
	asked := strings.ToLower(l.Find)
	for _, alike := range []func(name string) bool{
		func(name string) bool { return name == asked },
		func(name string) bool { return strings.Contains(name, asked) },
	} {
		for i := range w.Treatments {
			if t := &w.Treatments[i]; alike(strings.ToLower(t.Window)) || alike(strings.ToLower(t.Room)) {
				l.Window = t.Index
				return true
			}
		}
	}
	return false
}

// ToWindow is the address of the window that is looked at.
func (l Look) ToWindow() string { return toWindow(l.Path, l.Window) }

func toWindow(path string, index int) string {
	return fmt.Sprintf("%s?window=%d#window-%d", path, index, index)
}

// address is that of another part of the page; the rest of it stays.
func (l Look) address(key string, part int, anchor string) string {
	query := url.Values{}
	for name, n := range map[string]int{"page": l.Kinds, "tickets": l.Tickets} {
		if n > 0 {
			query.Set(name, strconv.Itoa(n))
		}
	}
	query.Set(key, strconv.Itoa(part))
	return l.Path + "?" + query.Encode() + "#" + anchor
}

// Part is what a page shows of a long list: from First to Last of Total, counted from 1.
type Part struct {
	First, Last, Total int
	Before, After      string // addresses of the parts beside it, "" for none
}

// Whole reports whether it is all of the list.
func (p Part) Whole() bool { return p.Before == "" && p.After == "" }

// part gives the part of a list of so many, so many at once.
func part(number, most, total int, address func(part int) string) Part {
	last := max(1, (total+most-1)/most)
	number = min(max(number, 1), last)
	p := Part{First: (number-1)*most + 1, Last: min(number*most, total), Total: total}
	if number > 1 {
		p.Before = address(number - 1)
	}
	if number < last {
		p.After = address(number + 1)
	}
	return p
}

// kinds are those kinds of windows that are looked at, of all.
func (l Look) kinds(w *workup.Workup, groups [][]int) Part {
	if few(groups) {
		return Part{First: 1, Last: len(groups), Total: len(groups)}
	}
	number := max(l.Kinds, 1)
	if at := groupOf(w, groups, l.Window); at >= 0 {
		number = at/kindsAtOnce + 1
	}
	return part(number, kindsAtOnce, len(groups), func(n int) string { return l.address("page", n, "windows") })
}

// few reports whether an order has so few windows that all are shown, and told.
func few(groups [][]int) bool {
	windows := 0
	for _, g := range groups {
		windows += len(g)
	}
	return windows <= fewWindows
}

// groupOf is the group that has a window of the file, -1 where none has.
func groupOf(w *workup.Workup, groups [][]int, window int) int {
	return slices.IndexFunc(groups, func(g []int) bool {
		return slices.ContainsFunc(g, func(i int) bool { return w.Treatments[i].Index == window })
	})
}

// Pieces are those tickets that are looked at, of all: with a window its first. A short list is shown whole.
func (l Look) Pieces(tickets []*stations.Ticket) ([]*stations.Ticket, Part) {
	if len(tickets) <= 2*ticketsAtOnce {
		return tickets, Part{First: 1, Last: len(tickets), Total: len(tickets)}
	}
	number := l.Tickets
	if number == 0 && l.Window >= 0 {
		number = slices.IndexFunc(tickets, func(t *stations.Ticket) bool { return t.Spec.Panel != "" && t.Spec.Treatment == l.Window })/ticketsAtOnce + 1
	}
	p := part(number, ticketsAtOnce, len(tickets), func(n int) string { return l.address("tickets", n, "tickets") })
	return tickets[p.First-1 : p.Last], p
}

// Windows are the kinds of windows that are looked at, without drawings, and which part of all they are. All are told with
// how their numbers came about where they are few, else the one that is asked for.
func (l Look) Windows(w *workup.Workup, groups [][]int) ([]Window, Part) {
	p := l.kinds(w, groups)
	var windows []Window
	for _, g := range groups[p.First-1 : p.Last] {
		windows = append(windows, l.window(w, g, few(groups)))
	}
	return windows, p
}

// window is a kind of window: the one that is asked for, or the first, with the names of the others.
func (l Look) window(w *workup.Workup, group []int, trails bool) Window {
	at := max(0, slices.IndexFunc(group, func(i int) bool { return w.Treatments[i].Index == l.Window }))
	shown := WindowOf(w.Treatments[group[at]], w.Order.Units)
	shown.Weigh(w)
	shown.Path, shown.Open = l.Path, shown.Index == l.Window
	shown.Trails = trails || shown.Open
	if len(group) == 1 {
		return shown
	}
	of := func(n int) string {
		return toWindow(l.Path, w.Treatments[group[(n-1)*namesAtOnce]].Index)
	}
	shown.Names = part(at/namesAtOnce+1, namesAtOnce, len(group), of)
	for _, i := range group[shown.Names.First-1 : shown.Names.Last] {
		t := &w.Treatments[i]
		shown.Alike = append(shown.Alike, Name{t.Index, t.Window, t.Room})
	}
	return shown
}
