package api

import (
	"slices"

	"tablehand/server/edge"
)

// Routes are the addresses for programs, and those of files that pages lead to.
func (a *API) Routes() []edge.Route {
	return append([]edge.Route{
		edge.Get("/healthz", edge.Open, a.health),
		edge.Get("/metrics", edge.Open, a.showMetrics), // for a token or the machine itself

		edge.Get("/api/openapi.json", edge.EveryRole, a.describe),
		edge.Post("/api/session", edge.Open, a.signIn),
		edge.Delete("/api/session", edge.Open, a.signOut),

		// Who may come in
		edge.Post("/api/devices", edge.OnlyOffice, a.letIn),
		edge.Get("/api/devices", edge.OnlyOffice, a.listDevices),
		edge.Post("/api/devices/enter", edge.Open, a.enter),
		edge.Delete("/api/devices/:device", edge.OnlyOffice, a.shutOut),
		edge.Get("/api/tokens", edge.OnlyOffice, a.listTokens),
		edge.Delete("/api/tokens/:token", edge.OnlyOffice, a.revokeToken),
		edge.Get("/api/people", edge.OnlyOffice, a.listPeople),
		edge.Post("/api/people", edge.OnlyOffice, a.addPerson),
		edge.Put("/api/people/:person", edge.OnlyOffice, a.changePerson),
		edge.Post("/api/people/:person/set_aside", edge.OnlyOffice, a.setAside),
		edge.Post("/api/people/:person/pin", edge.OnlyOffice, a.setPIN),
		edge.Post("/api/people/:person/passphrase", edge.OnlyOffice, a.setPassphrase),
		edge.Get("/api/people/:person/badge.pdf", edge.OnlyOffice, a.printBadge),
		edge.Get("/api/record", edge.OnlyOffice, a.showRecord),

		// Orders
		edge.Post("/api/orders", edge.TheOffice, a.takeOrder),
		edge.Get("/api/orders", edge.TheBooks, a.listOrders),
		edge.Get("/api/orders/next", edge.TheOffice, a.nextOrder),
		edge.Post("/api/orders/:order/like", edge.TheOffice, a.takeLike),
		edge.Post("/api/choices", edge.TheOffice, a.showChoices),
		edge.Get("/api/orders/:order", edge.TheBooks, a.showOrder),
		edge.Put("/api/orders/:order", edge.TheOffice, a.reviseOrder),
		edge.Get("/api/orders/:order/workup", edge.TheBooks, a.showWorkup),
		edge.Get("/api/orders/:order/tickets.pdf", edge.TheOffice, a.printTickets),
		edge.Get("/api/orders/:order/tags.pdf", edge.TheOffice, a.printTags),
		edge.Get("/api/orders/:order/own.pdf", edge.TheOffice, a.printOwnTags),
		edge.Get("/api/orders/:order/own", edge.TheOffice, a.listOwnPieces),
		edge.Post("/api/orders/:order/own", edge.TheOffice, a.receivePiece),
		edge.Post("/api/orders/:order/own/take_back", edge.TheOffice, a.unreceivePiece),
		edge.Get("/api/orders/:order/packet.pdf", edge.TheOffice, a.printPacket),
		edge.Get("/api/orders/:order/rooms.pdf", edge.TheBooks, a.printRooms),
		edge.Post("/api/orders/:order/release", edge.TheOffice, a.releaseOrder),
		edge.Get("/api/orders/:order/cutplan", edge.AtTheBench, a.showCutPlan),
		edge.Post("/api/orders/:order/cutplan", edge.AtTheBench, a.tryCutPlan),
		edge.Get("/api/orders/:order/cutplan.svg", edge.AtTheBench, a.drawCutPlan),
		edge.Post("/api/orders/:order/cloth", edge.TheOffice, a.linkCloth),
		edge.Delete("/api/orders/:order/cloth/:fabric", edge.TheOffice, a.unlinkCloth),
		edge.Post("/api/orders/:order/bring_up", edge.TheOffice, a.bringUpOrder),
		edge.Post("/api/orders/:order/cancel", edge.TheOffice, a.cancelOrder),
		edge.Post("/api/orders/:order/close", edge.TheOffice, a.closeOrder),

		// The floor
		edge.Get("/api/tickets/:code/ticket.pdf", edge.AtTheBench, a.printTicket),
		edge.Get("/api/tickets/:code", edge.ToRead, a.showTicket),
		edge.Post("/api/scans", edge.AtTheBench, a.scan),
		edge.Post("/api/cutplan/join", edge.TheOffice, a.joinCuts),
		edge.Post("/api/pictures", edge.AtTheBench, a.addPicture),
		edge.Post("/api/pictures/read", edge.AtTheBench, a.readPicture),
		edge.Get("/api/pictures/:picture", edge.ToRead, a.showPicture),
		edge.Post("/api/floor_counts", edge.AtTheBench, a.beginCount),
		edge.Get("/api/floor_counts/:count", edge.AtTheBench, a.showCount),
		edge.Post("/api/floor_counts/:count/seen", edge.AtTheBench, a.countSeen),
		edge.Post("/api/floor_counts/:count/end", edge.AtTheBench, a.endCount),
		edge.Get("/api/board", edge.EveryRole, a.showBoard),
		{Method: "GET", Path: "/api/events", Who: edge.EveryRole, Handle: a.streamEvents, Endless: true},

		// The shop's own ways
		edge.Get("/api/conventions", edge.TheOffice, a.showConventions),
		edge.Put("/api/conventions", edge.OnlyOffice, a.setConventions),
		edge.Get("/api/tolerances", edge.TheOffice, a.showTolerances),
		edge.Put("/api/tolerances", edge.OnlyOffice, a.setTolerances),
		edge.Get("/api/measuring", edge.OnlyOffice, a.showMeasuring),
		edge.Put("/api/measuring", edge.OnlyOffice, a.setMeasuring),
		edge.Get("/api/stations", edge.TheOffice, a.showStations),
		edge.Put("/api/stations", edge.OnlyOffice, a.setStations),
		edge.Get("/api/closed_days", edge.TheOffice, a.showClosedDays),
		edge.Put("/api/closed_days", edge.OnlyOffice, a.setClosedDays),

		edge.Post("/api/calendar", edge.OnlyOffice, a.makeCalendar),
		edge.Get("/calendar/:secret.ics", edge.Open, a.sendCalendar), // its address is the key

		edge.Get("/api/export.json", edge.OnlyOffice, a.exportShop),
		edge.Get("/api/purchases.csv", edge.TheOffice, a.sendPurchases),
		edge.Get("/api/purchases.pdf", edge.TheOffice, a.printPurchases),
		edge.Get("/api/purchases", edge.TheOffice, a.showPurchases),
		edge.Post("/api/purchases/:line", edge.TheOffice, a.setPurchase),

		// Money
		edge.Get("/api/ready", edge.TheBooks, a.showReady),
		edge.Get("/api/prices.yaml", edge.TheBooks, a.sendPrices),
		edge.Get("/api/prices", edge.TheBooks, a.showPrices),
		edge.Put("/api/prices", edge.TheBooks, a.setPrices),
		edge.Post("/api/invoices", edge.TheBooks, a.draftInvoice),
		edge.Get("/api/invoices/:invoice.pdf", edge.TheBooks, a.printInvoice),
		edge.Get("/api/invoices/:invoice", edge.TheBooks, a.showInvoice),
		edge.Delete("/api/invoices/:invoice", edge.TheBooks, a.dropInvoice),
		edge.Post("/api/invoices/:invoice/amounts", edge.TheBooks, a.setAmounts),
		edge.Post("/api/invoices/:invoice/issue", edge.TheBooks, a.issueInvoice),
		edge.Post("/api/invoices/:invoice/credit", edge.TheBooks, a.creditInvoice),

		edge.Get("/t/:code/ticket.pdf", edge.AtTheBench, a.printTicket),
		edge.Get("/orders/:order/tickets.pdf", edge.TheOffice, a.printTickets),
		edge.Get("/orders/:order/tags.pdf", edge.TheOffice, a.printTags),
		edge.Get("/orders/:order/own.pdf", edge.TheOffice, a.printOwnTags),
		edge.Get("/orders/:order/packet.pdf", edge.TheOffice, a.printPacket),
		edge.Get("/orders/:order/rooms.pdf", edge.TheBooks, a.printRooms),
		edge.Get("/invoices/:invoice.pdf", edge.TheBooks, a.printInvoice),
		edge.Get("/prices.yaml", edge.TheBooks, a.sendPrices),
		edge.Get("/purchases.csv", edge.TheOffice, a.sendPurchases),
		edge.Get("/purchases.pdf", edge.TheOffice, a.printPurchases),
	}, slices.Concat(a.bookRoutes(), a.boltRoutes())...)
}
