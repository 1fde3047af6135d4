package server

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
)

// access says whom a route lets in.
type access []stations.Role

// The permissions of server/interface.md. What the office may, a program may too, but for people and settings.
var (
	open       access // everyone, also strangers
	onlyOffice = access{stations.Office}
	theOffice  = access{stations.Office, stations.Program}
	atTheBench = access{stations.Office, stations.Program, stations.Bench}
	everyRole  = access{stations.Office, stations.Program, stations.Bench, stations.Screen}
)

// eventsPath is the address of the one answer that has no end.
const eventsPath = "/api/events"

// route is one address and who may come there.
type route struct {
	method, path string
	who          access
	handle       fiber.Handler
}

// routes is the server's whole surface. An address with a suffix (.pdf) stands before the one that would take it
// for an id.
func (s *Server) routes() []route {
	return []route{
		{"GET", "/healthz", open, s.health},
		{"GET", "/metrics", open, s.showMetrics}, // for a token or the machine itself

		{"GET", "/api/openapi.json", everyRole, s.describe},
		{"POST", "/api/session", open, s.signIn},
		{"DELETE", "/api/session", open, s.signOut},

		// Orders
		{"POST", "/api/orders", theOffice, s.takeOrder},
		{"GET", "/api/orders", theOffice, s.listOrders},
		{"GET", "/api/orders/:order", theOffice, s.showOrder},
		{"PUT", "/api/orders/:order", theOffice, s.reviseOrder},
		{"GET", "/api/orders/:order/workup", theOffice, s.showWorkup},
		{"GET", "/api/orders/:order/tickets.pdf", theOffice, s.printTickets},
		{"GET", "/api/orders/:order/tags.pdf", theOffice, s.printTags},
		{"GET", "/api/orders/:order/packet.pdf", theOffice, s.printPacket},
		{"POST", "/api/orders/:order/release", theOffice, s.releaseOrder},
		{"POST", "/api/orders/:order/cancel", theOffice, s.cancelOrder},
		{"POST", "/api/orders/:order/close", theOffice, s.closeOrder},

		// The floor
		{"GET", "/api/tickets/:code/ticket.pdf", atTheBench, s.printTicket},
		{"GET", "/api/tickets/:code", atTheBench, s.showTicket},
		{"POST", "/api/scans", atTheBench, s.scan},
		{"POST", "/api/pictures", atTheBench, s.addPicture},
		{"POST", "/api/pictures/read", atTheBench, s.readPicture},
		{"GET", "/api/pictures/:picture", atTheBench, s.showPicture},
		{"GET", "/api/board", everyRole, s.showBoard},
		{"GET", eventsPath, everyRole, s.streamEvents},

		// Money
		{"GET", "/api/ready", theOffice, s.showReady},
		{"GET", "/api/prices.yaml", theOffice, s.sendPrices},
		{"GET", "/api/prices", theOffice, s.showPrices},
		{"PUT", "/api/prices", theOffice, s.setPrices},
		{"POST", "/api/invoices", theOffice, s.draftInvoice},
		{"GET", "/api/invoices/:invoice.pdf", theOffice, s.printInvoice},
		{"GET", "/api/invoices/:invoice", theOffice, s.showInvoice},
		{"DELETE", "/api/invoices/:invoice", theOffice, s.dropInvoice},
		{"POST", "/api/invoices/:invoice/issue", theOffice, s.issueInvoice},
		{"POST", "/api/invoices/:invoice/credit", theOffice, s.creditInvoice},

		// Pages
		{"GET", "/assets/:hash/:name", open, s.sendAsset},
		{"GET", "/sign-in", open, s.signInPage},
		{"POST", "/sign-in", open, s.signInByForm},
		{"POST", "/sign-out", open, s.signOutByForm},
		{"POST", "/language", open, s.chooseLanguage},
		{"GET", "/hello", open, s.helloPage}, // that a phone reaches the shop
		{"GET", "/help/sign-in", open, s.signInHelpPage},
		{"GET", "/help", everyRole, s.helpIndexPage},
		{"GET", "/help/:page", everyRole, s.helpPage},
		{"GET", "/", everyRole, s.homePage},
		{"GET", "/board", everyRole, s.boardPage},
		{"GET", "/screen", everyRole, s.screenPage},
		{"GET", "/search", atTheBench, s.searchPage},
		{"GET", "/t", atTheBench, s.findTicket},
		{"POST", "/t", atTheBench, s.findByPhoto},
		{"GET", "/t/:code/ticket.pdf", atTheBench, s.printTicket},
		{"GET", "/t/:code", atTheBench, s.ticketPage},
		{"GET", "/station/:station", atTheBench, s.stationPage},
		{"POST", "/station/:station/scan", atTheBench, s.scanByForm},
		{"POST", "/station/:station/photo", atTheBench, s.openByPhoto},
		{"GET", "/orders", theOffice, s.ordersPage},
		{"POST", "/orders", theOffice, s.takeByForm},
		{"GET", "/taking", theOffice, s.newOrderPage},
		{"POST", "/taking", theOffice, s.takeTyped},
		{"POST", "/taking/draft", theOffice, s.workOutDraft},
		{"GET", "/orders/:order/edit", theOffice, s.editOrderPage},
		{"POST", "/orders/:order/edit", theOffice, s.takeTyped},
		{"POST", "/orders/:order/revise", theOffice, s.reviseByForm},
		{"GET", "/orders/:order", theOffice, s.orderPage},
		{"GET", "/orders/:order/rules", theOffice, s.rulesPage},
		{"GET", "/orders/:order/tickets.pdf", theOffice, s.printTickets},
		{"GET", "/orders/:order/tags.pdf", theOffice, s.printTags},
		{"GET", "/orders/:order/packet.pdf", theOffice, s.printPacket},
		{"GET", "/placards.pdf", theOffice, s.printPlacards},
		{"GET", "/cards.pdf", theOffice, s.printCards},
		{"POST", "/orders/:order/release", theOffice, s.releaseByForm},
		{"POST", "/orders/:order/cancel", theOffice, s.cancelByForm},
		{"POST", "/orders/:order/close", theOffice, s.closeByForm},
		{"GET", "/ready", theOffice, s.readyPage},
		{"POST", "/ready", theOffice, s.draftByForm},
		{"GET", "/invoices/:invoice.pdf", theOffice, s.printInvoice},
		{"GET", "/invoices/:invoice", theOffice, s.invoicePage},
		{"POST", "/invoices/:invoice/issue", theOffice, s.issueByForm},
		{"POST", "/invoices/:invoice/drop", theOffice, s.dropByForm},
		{"POST", "/invoices/:invoice/credit", theOffice, s.creditByForm},
		{"GET", "/prices", theOffice, s.pricesPage},
		{"POST", "/prices", theOffice, s.setPricesByForm},
		{"GET", "/prices.yaml", theOffice, s.sendPrices},
		{"POST", "/prices/file", theOffice, s.setPricesByFile},

		// The shop itself
		{"GET", "/setup", onlyOffice, s.setupPage},
		{"POST", "/setup", onlyOffice, s.setUpByForm},
		{"GET", "/settings", onlyOffice, s.settingsPage},
		{"POST", "/settings", onlyOffice, s.setByForm},
		{"POST", "/settings/passphrase", onlyOffice, s.setPassphraseByForm},
		{"GET", "/check", onlyOffice, s.checkPage},
		{"GET", "/check/sheet.pdf", onlyOffice, s.printTestSheet},
		{"POST", "/check/backup", onlyOffice, s.backUpByForm},
		{"GET", "/check/backup", onlyOffice, s.sendBackup},
	}
}
