package web

import "tablehand/server/edge"

// Routes are the pages' addresses, and what their forms send.
func (s *Site) Routes() []edge.Route {
	return []edge.Route{
		// Pages
		edge.Get("/assets/:hash/:name", edge.Open, s.sendAsset),
		edge.Get("/sign-in", edge.Open, s.signInPage),
		edge.Post("/sign-in", edge.Open, s.signInByForm),
		edge.Post("/sign-out", edge.Open, s.signOutByForm),
		edge.Post("/language", edge.Open, s.chooseLanguage),
		edge.Get("/hello", edge.Open, s.helloPage), // that a phone reaches the shop
		edge.Get("/trust/authority.crt", edge.Open, s.sendAuthority),
		edge.Get("/trust", edge.Open, s.trustPage), // how a device comes to trust the shop
		edge.Get("/help/sign-in", edge.Open, s.signInHelpPage),
		edge.Get("/help", edge.EveryRole, s.helpIndexPage),
		edge.Get("/help/:page", edge.EveryRole, s.helpPage),
		edge.Get("/", edge.EveryRole, s.homePage),
		edge.Get("/board", edge.EveryRole, s.boardPage),
		edge.Get("/screen", edge.EveryRole, s.screenPage),
		edge.Get("/search", edge.ToRead, s.searchPage),
		edge.Get("/t", edge.ToRead, s.findTicket),
		edge.Post("/t", edge.ToRead, s.findByPhoto),
		edge.Get("/t/:code", edge.ToRead, s.ticketPage),
		edge.Get("/station/:station", edge.AtTheBench, s.stationPage),
		edge.Post("/station/:station/scan", edge.AtTheBench, s.scanByForm),
		edge.Post("/station/:station/photo", edge.AtTheBench, s.openByPhoto),
		edge.Get("/count", edge.AtTheBench, s.countsPage),
		edge.Post("/count", edge.AtTheBench, s.countByForm),
		edge.Get("/count/:count", edge.AtTheBench, s.countPage),
		edge.Post("/count/:count/seen", edge.AtTheBench, s.countSeenByForm),
		edge.Post("/count/:count/end", edge.AtTheBench, s.endCountByForm),
		edge.Get("/orders", edge.TheBooks, s.ordersPage),
		edge.Post("/orders", edge.TheOffice, s.takeByForm),
		edge.Get("/orders/:order", edge.TheBooks, s.orderPage),
		edge.Get("/orders/:order/print", edge.TheOffice, s.printOrder),
		edge.Get("/orders/:order/rules", edge.TheBooks, s.rulesPage),
		edge.Get("/orders/:order/room", edge.TheBooks, s.roomPage), // as it will hang, for the client
		edge.Get("/placards.pdf", edge.TheOffice, s.printPlacards),
		edge.Get("/cards.pdf", edge.TheOffice, s.printCards),
		edge.Post("/orders/:order/received", edge.TheOffice, s.receiveByForm),
		edge.Post("/orders/:order/received/back", edge.TheOffice, s.unreceiveByForm),
		edge.Post("/orders/:order/release", edge.TheOffice, s.releaseByForm),
		edge.Post("/orders/:order/like", edge.TheOffice, s.takeLikeByForm),
		edge.Post("/orders/:order/cancel", edge.TheOffice, s.cancelByForm),
		edge.Post("/orders/:order/close", edge.TheOffice, s.closeByForm),
		edge.Get("/purchases", edge.TheOffice, s.purchasesPage),
		edge.Post("/purchases/:line", edge.TheOffice, s.setPurchaseByForm),
		edge.Post("/today/left", edge.TheOffice, s.leftByForm),
		edge.Get("/ready", edge.TheBooks, s.readyPage),
		edge.Post("/ready", edge.TheBooks, s.draftByForm),
		edge.Get("/invoices/:invoice", edge.TheBooks, s.invoicePage),
		edge.Post("/invoices/:invoice/amounts", edge.TheBooks, s.amountsByForm),
		edge.Post("/invoices/:invoice/issue", edge.TheBooks, s.issueByForm),
		edge.Post("/invoices/:invoice/drop", edge.TheBooks, s.dropByForm),
		edge.Post("/invoices/:invoice/credit", edge.TheBooks, s.creditByForm),
		edge.Get("/prices", edge.TheBooks, s.pricesPage),
		edge.Post("/prices", edge.TheBooks, s.setPricesByForm),
		edge.Post("/prices/file", edge.TheBooks, s.setPricesByFile),

		// The shop itself
		edge.Get("/setup", edge.OnlyOffice, s.setupPage),
		edge.Post("/setup", edge.OnlyOffice, s.setUpByForm),
		edge.Get("/settings", edge.OnlyOffice, s.settingsPage),
		edge.Post("/settings", edge.OnlyOffice, s.setByForm),
		edge.Get("/settings/measuring", edge.OnlyOffice, s.measuringPage),
		edge.Post("/settings/measuring", edge.OnlyOffice, s.setMeasuringByForm),
		edge.Post("/settings/passphrase", edge.OnlyOffice, s.setPassphraseByForm),
		edge.Get("/check", edge.OnlyOffice, s.checkPage),
		edge.Get("/check/sheet.pdf", edge.OnlyOffice, s.printTestSheet),
		edge.Post("/check/backup", edge.OnlyOffice, s.backUpByForm),
		edge.Get("/check/backup", edge.OnlyOffice, s.backupPage),
	}
}
