package order

import "slices"

// PaperGroup is a kind of paper that an order prints, on what it is printed.
type PaperGroup struct {
	Word   string // catalogue: tickets, tags, packet
	Papers []Paper
}

// Paper is one choice of the menu.
type Paper struct {
	Key  string // "tickets-label": what a browser remembers
	On   string // catalogue
	File string // below the order's address
}

func papersOf(what string, on ...string) PaperGroup {
	g := PaperGroup{Word: "print." + what}
	for _, paper := range on {
		g.Papers = append(g.Papers, Paper{what + "-" + paper, "print.on." + paper, what + ".pdf?paper=" + paper})
	}
	return g
}

// Papers are all that an order's page prints; before its release there is nothing for the floor yet.
func Papers(released bool) []PaperGroup {
	rooms := papersOf("rooms", "letter", "a4")
	if !released {
		return []PaperGroup{rooms}
	}
	return []PaperGroup{
		papersOf("tickets", "label", "letter", "a4"),
		papersOf("tags", "label", "tag", "letter", "a4"),
		papersOf("packet", "letter", "a4"),
		rooms,
	}
}

// Room is a room of the order, with the page on which its windows hang.
type Room struct{ Name, Path string }

// roomsAtOnce is how many rooms an order's page names: our own choice.
const roomsAtOnce = 6

// ShowRooms names the rooms of the order, each with its address.
func (p *Page) ShowRooms(names []string, path func(name string) string) {
	for i, name := range names {
		if i == roomsAtOnce {
			p.MoreRooms = path(name)
			return
		}
		p.Rooms = append(p.Rooms, Room{name, path(name)})
	}
}

// PaperOf returns the choice of a key; none where there is no such paper.
func PaperOf(key string) (paper Paper, known bool) {
	for _, g := range Papers(true) {
		if i := slices.IndexFunc(g.Papers, func(p Paper) bool { return p.Key == key }); i >= 0 {
			return g.Papers[i], true
		}
	}
	return Paper{}, false
}
