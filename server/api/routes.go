package api

import "tablehand/server/edge"

// Routes are the addresses for programs, and those of files that pages lead to.
func (a *API) Routes() []edge.Route {
	return []edge.Route{
		edge.Get("/healthz", edge.Open, a.health),
		edge.Get("/metrics", edge.Open, a.showMetrics), // for a token or the machine itself

		edge.Get("/api/openapi.json", edge.EveryRole, a.describe),
		edge.Post("/api/session", edge.Open, a.signIn),
		edge.Delete("/api/session", edge.Open, a.signOut),

		// Orders
		edge.Post("/api/orders", edge.TheOffice, a.takeOrder),
		edge.Get("/api/orders", edge.TheOffice, a.listOrders),
		edge.Get("/api/orders/:order", edge.TheOffice, a.showOrder),
		edge.Put("/api/orders/:order", edge.TheOffice, a.reviseOrder),
		edge.Get("/api/orders/:order/workup", edge.TheOffice, a.showWorkup),
		edge.Get("/api/orders/:order/tickets.pdf", edge.TheOffice, a.printTickets),
		edge.Get("/api/orders/:order/tags.pdf", edge.TheOffice, a.printTags),
		edge.Get("/api/orders/:order/packet.pdf", edge.TheOffice, a.printPacket),
		edge.Post("/api/orders/:order/release", edge.TheOffice, a.releaseOrder),
		edge.Post("/api/orders/:order/cancel", edge.TheOffice, a.cancelOrder),
		edge.Post("/api/orders/:order/close", edge.TheOffice, a.closeOrder),

		// The floor
		edge.Get("/api/tickets/:code/ticket.pdf", edge.AtTheBench, a.printTicket),
		edge.Get("/api/tickets/:code", edge.AtTheBench, a.showTicket),
		edge.Post("/api/scans", edge.AtTheBench, a.scan),
		edge.Post("/api/pictures", edge.AtTheBench, a.addPicture),
		edge.Post("/api/pictures/read", edge.AtTheBench, a.readPicture),
		edge.Get("/api/pictures/:picture", edge.AtTheBench, a.showPicture),
		edge.Get("/api/board", edge.EveryRole, a.showBoard),
		{Method: "GET", Path: "/api/events", Who: edge.EveryRole, Handle: a.streamEvents, Endless: true},

		// Money
		edge.Get("/api/ready", edge.TheOffice, a.showReady),
		edge.Get("/api/prices.yaml", edge.TheOffice, a.sendPrices),
		edge.Get("/api/prices", edge.TheOffice, a.showPrices),
		edge.Put("/api/prices", edge.TheOffice, a.setPrices),
		edge.Post("/api/invoices", edge.TheOffice, a.draftInvoice),
		edge.Get("/api/invoices/:invoice.pdf", edge.TheOffice, a.printInvoice),
		edge.Get("/api/invoices/:invoice", edge.TheOffice, a.showInvoice),
		edge.Delete("/api/invoices/:invoice", edge.TheOffice, a.dropInvoice),
		edge.Post("/api/invoices/:invoice/issue", edge.TheOffice, a.issueInvoice),
		edge.Post("/api/invoices/:invoice/credit", edge.TheOffice, a.creditInvoice),

		edge.Get("/t/:code/ticket.pdf", edge.AtTheBench, a.printTicket),
		edge.Get("/orders/:order/tickets.pdf", edge.TheOffice, a.printTickets),
		edge.Get("/orders/:order/tags.pdf", edge.TheOffice, a.printTags),
		edge.Get("/orders/:order/packet.pdf", edge.TheOffice, a.printPacket),
		edge.Get("/invoices/:invoice.pdf", edge.TheOffice, a.printInvoice),
		edge.Get("/prices.yaml", edge.TheOffice, a.sendPrices),
	}
}
