package edge

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
)

// Access says whom a route lets in.
type Access []stations.Role

// The permissions of server/interface.md. What the office may, a program may too, but for people and settings.
var (
	Open       Access // everyone, also strangers
	OnlyOffice = Access{stations.Office}
	TheOffice  = Access{stations.Office, stations.Program}
	TheBooks   = Access{stations.Office, stations.Program, stations.Accounts} // money and customers, and orders to read
	AtTheBench = Access{stations.Office, stations.Program, stations.Bench}
	ToRead     = Access{stations.Office, stations.Program, stations.Accounts, stations.Bench} // tickets as they are
	EveryRole  = Access{stations.Office, stations.Program, stations.Accounts, stations.Bench, stations.Screen}
)

// Route is one address and who may come there. An address with a suffix (.pdf) has to stand before the one that would
// take it for an id.
type Route struct {
	Method, Path string
	Who          Access
	Handle       fiber.Handler
	Endless      bool          // its answer has no end, so that nobody may ask for its head alone
	take         fiber.Handler // of a page: what its form sends
}

// Room answers at some of the shop's addresses.
type Room interface{ Routes() []Route }

// Form is a page whose form is sent to its own address.
func Form(path string, who Access, show, take fiber.Handler) Route {
	r := Get(path, who, show)
	r.take = take
	return r
}

// Of are all routes of rooms, in their order.
func Of(rooms ...Room) (all []Route) {
	for _, room := range rooms {
		for _, r := range room.Routes() {
			all = append(all, r)
			if r.take != nil {
				all = append(all, Post(r.Path, r.Who, r.take))
			}
		}
	}
	return all
}

// Get is a route that changes nothing.
func Get(path string, who Access, handle fiber.Handler) Route {
	return Route{Method: fiber.MethodGet, Path: path, Who: who, Handle: handle}
}

// Post is a route that does something.
func Post(path string, who Access, handle fiber.Handler) Route {
	return Route{Method: fiber.MethodPost, Path: path, Who: who, Handle: handle}
}

// Put is a route that replaces a thing.
func Put(path string, who Access, handle fiber.Handler) Route {
	return Route{Method: fiber.MethodPut, Path: path, Who: who, Handle: handle}
}

// Delete is a route that does away with a thing.
func Delete(path string, who Access, handle fiber.Handler) Route {
	return Route{Method: fiber.MethodDelete, Path: path, Who: who, Handle: handle}
}
