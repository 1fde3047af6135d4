package page

import (
	"strings"
	"time"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/relief"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/backup"
	"tablehand/views/page/bench"
	"tablehand/views/page/board"
	"tablehand/views/page/book"
	"tablehand/views/page/calendar"
	"tablehand/views/page/check"
	"tablehand/views/page/counting"
	"tablehand/views/page/devices"
	"tablehand/views/page/elevation"
	"tablehand/views/page/enter"
	"tablehand/views/page/failure"
	"tablehand/views/page/find"
	"tablehand/views/page/hello"
	"tablehand/views/page/help"
	"tablehand/views/page/home"
	invoicepage "tablehand/views/page/invoice"
	"tablehand/views/page/measuring"
	"tablehand/views/page/order"
	"tablehand/views/page/orders"
	"tablehand/views/page/people"
	"tablehand/views/page/prices"
	"tablehand/views/page/purchases"
	"tablehand/views/page/ready"
	"tablehand/views/page/record"
	"tablehand/views/page/revision"
	"tablehand/views/page/rules"
	"tablehand/views/page/screen"
	"tablehand/views/page/search"
	shelfpage "tablehand/views/page/shelf"
	"tablehand/views/page/shop"
	"tablehand/views/page/signin"
	"tablehand/views/page/taking"
	"tablehand/views/page/trust"
	"tablehand/views/page/ways"
)

// The sample is an invented workroom's: the Saltmarsh Inn, the Lantern House, and Reed & Daughter.
const today = "2026-12-16"

func frame(path string, role stations.Role) views.Frame {
	return views.Frame{Shop: "Marsh Lane Workroom", Role: role, Person: "Ada", Seq: 41, Today: today, Path: path, Token: "token-of-this-sign-in"}
}

// samples are every page, each in the states that look different.
func samples(v *views.Views) map[string]views.Page {
	then := views.Moment{Date: today, At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC)}
	late, held, back, work := pieces()[0], pieces()[1], pieces()[2], pieces()[3]
	station := func(open *bench.OpenTicket, role stations.Role) views.Page {
		return bench.StationPage{Frame: frame("/station/tape", role), Stations: []plan.Station{plan.Tape}, AtWork: []views.Piece{work},
			Queue: []views.Piece{late, back}, Held: []views.Piece{held}, Coming: 7, Open: open}
	}
	tried := openTicket(stations.AtWork, stations.Bench)
	tried.Typed["drop"], tried.Ticked["tape_steamed"] = "1/4", true
	tried.Missing["dots"], tried.Missing["pockets_up"] = true, true
	elsewhere := openTicket(stations.Ready, stations.Bench)
	elsewhere.Here, elsewhere.CanUndo, elsewhere.Elsewise = false, true, plan.PullUp
	uncut := openTicket(stations.Waiting, stations.Bench)
	uncut.Step.Station, uncut.CutAt = plan.Cutting, []plan.Code{"8C4D2E6F9"}
	finished := openTicket(stations.Finished, stations.Bench)
	finished.Step, finished.Here = nil, false
	tickets := orderPage()
	tickets.Tickets, tickets.State = pieces(), stations.OrderReleased
	short := orderPage()
	short.Problems[0].Code = "fabric_short"
	counts := func() (all []home.StationCount) {
		for i, s := range plan.Stations() {
			all = append(all, home.StationCount{Station: s, Ready: i * 3 % 7, AtWork: i % 2, Held: i % 3 / 2})
		}
		return all
	}()
	return map[string]views.Page{
		"enter":       enter.Page{Frame: frame("/enter", ""), Typed: "7K3M9", Wrong: "That is no code."},
		"enter-bench": enter.Page{Frame: frame("/enter/7K3M9Q2T5", stations.Office), Code: "7K3M9Q2T5", Name: "Joining tablet", Kind: "bench", Stations: []plan.Station{plan.Joining, plan.Fold}},
		"devices": devices.Page{Frame: frame("/settings/devices", stations.Office), Form: devices.Form{Kind: "bench", Language: "en", Wrong: map[string]string{"name": "Give it a name."}},
			Devices: []devices.Row{{ID: "D1", Name: "Joining tablet", Kind: "bench", Stations: []plan.Station{plan.Joining}, Entered: true,
				Seen: views.Moment{Date: today, At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC)}, Address: "192.168.1.31"},
				{ID: "D2", Name: "Wall", Kind: "wall", Waits: true}, {ID: "D3", Name: "Front desk", Kind: "office"}},
			Tokens: []devices.Token{{ID: "T1", Name: "Label printer", Role: "program", Created: views.Moment{Date: today}}}},
		"people": people.Page{Frame: frame("/settings/people", stations.Office), Form: people.Form{Floor: "hand", SignIn: "none", Wrong: "Give a name."},
			People: []people.Person{{ID: "P1", Name: "Ada Brook", Initials: "AB", Floor: "lead", SignIn: "office", Badge: "P 7K3 M9Q 2T5"}, {ID: "P2", Name: "Ben Tide", Initials: "BT", Floor: "hand", SignIn: "none", SetAside: true}}},
		"person": people.PersonPage{Frame: frame("/settings/people/P1", stations.Office), Form: people.Form{Name: "Ada Brook", Initials: "AB", Floor: "lead", SignIn: "office"},
			Person:  people.Person{ID: "P1", Name: "Ada Brook", Initials: "AB", Floor: "lead", SignIn: "office", Badge: "P 7K3 M9Q 2T5", HasPIN: true},
			SignIns: []people.SignIn{{ID: "S1", Since: views.Moment{Date: today, At: time.Date(2026, 12, 16, 8, 0, 0, 0, time.UTC)}, Until: views.Moment{Date: today, At: time.Date(2026, 12, 16, 20, 0, 0, 0, time.UTC)}}}},
		"person-aside": people.PersonPage{Frame: frame("/settings/people/P2", stations.Office), Form: people.Form{Name: "Ben Tide", Floor: "hand", SignIn: "none"},
			Person: people.Person{ID: "P2", Name: "Ben Tide", Initials: "BT", Floor: "hand", SignIn: "none", SetAside: true}},
		"books": book.IndexPage{Frame: frame("/books", stations.Accounts), Shelves: []book.Shelf{{Book: "customers", Count: 12}, {Book: "cloths", Count: 1}, {Book: "tapes"}, {Book: "rods"}, {Book: "phrases"}}},
		"book": book.ListPage{Frame: frame("/books/customers", stations.Office), Book: "customers", Find: "salt", Keeps: true, Columns: []string{"kind", "phone"}, First: 51, Last: 52, Total: 120,
			Before: "/books/customers?page=1", After: "/books/customers?page=3", Rows: []book.Row{{ID: "saltmarsh-inn", Name: "Saltmarsh Inn", Cells: []book.Field{{Key: "kind", Form: "choice", Value: "trade"}, {Key: "phone", Form: "line", Value: "555 0100"}}},
				{ID: "salt-house", Name: "Salt House", SetAside: true, Cells: []book.Field{{Key: "kind", Form: "choice"}, {Key: "phone", Form: "line"}}}}},
		"book-empty": book.ListPage{Frame: frame("/books/rods", stations.Office), Book: "rods", Columns: []string{"kind"}},
		"book-none":  book.ListPage{Frame: frame("/books/rods", stations.Office), Book: "rods", Find: "x", Columns: []string{"kind"}},
		"entry":      entryPage(),
		"entry-new":  book.EntryPage{Frame: frame("/books/tapes/new", stations.Office), Book: "tapes", Keyed: true, Keeps: true, Groups: entryPage().Groups, Told: []engine.Problem{{Severity: engine.Error, Code: "missing_key", Where: "id", Args: map[string]any{"Key": "id"}}}},
		"entry-read": book.EntryPage{Frame: frame("/books/cloths/reed-oat", stations.Accounts), Book: "cloths", ID: "reed-oat", Name: "Reed oat", SetAside: true, Groups: entryPage().Groups},
		"import":     book.ImportPage{Frame: frame("/books/customers/import", stations.Office), Book: "customers", Refused: "Line 3: a quotation mark isn't closed."},
		"import-wrong": book.ImportPage{Frame: frame("/books/customers/import", stations.Office), Book: "customers", Source: "Client,Mail\nSaltmarsh Inn,ann", Tried: true, Keys: []string{"id", "name", "mail", "hems.side"}, More: 7,
			Columns:  []book.Column{{Name: "Client", Sample: "Saltmarsh Inn", Key: "name"}, {Name: "Mail", Sample: "ann", Key: "mail"}, {Name: "Shoe", Key: "?"}},
			Problems: []book.Cell{{Line: 2, Column: "Mail", Problem: engine.Problem{Severity: engine.Error, Code: "bad_value", Key: "problem.bad_value.mail", Args: map[string]any{"Key": "Mail", "Text": "ann"}}}}},
		"import-ready": book.ImportPage{Frame: frame("/books/customers/import", stations.Office), Book: "customers", Source: "Client\nSaltmarsh Inn", Tried: true, New: 1, Keys: []string{"id", "name"},
			Columns: []book.Column{{Name: "Client", Sample: "Saltmarsh Inn", Key: "name"}, {Name: "Shoe"}}},
		"badge":       people.BadgePage{Frame: frame("/p/7K3M9Q2T5", stations.Bench), Name: "Ben Tide", Initials: "BT"},
		"measuring":   measuring.Page{Frame: frame("/settings/measuring", stations.Office), Stations: measuring.StationsOf(plan.Stations(), plan.Layout(nil).Askings(plan.Layout(nil).With(nil)))},
		"conventions": waysPage(),
		"tolerances":  tolerancesPage(),
		"stations":    stationsPage(),
		"closed-days": ways.ClosedDays{Frame: frame("/settings/closed-days", stations.Office), Weekdays: []ways.Weekday{{Day: "fri"}, {Day: "sat", Closed: true}}, Shipped: []string{"sat", "sun"},
			Wrong: "The shop would be closed all week", TooMany: "Too many dates", By: "Ada Brook", At: views.Moment{Date: today, At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC)},
			Dates: []ways.ClosedDates{{Number: 1, From: ways.DateField{Typed: "2026-12-24"}, To: ways.DateField{Typed: "2026-12-01", Wrong: "Before the first"}, Name: ways.DateField{Typed: "Christmas"}}, {Number: 2}}},
		"purchases": purchases.Page{Frame: frame("/purchases", stations.Office), From: "2026-12-01", To: "2026-12-14", States: []string{"open", "ordered", "come"},
			Suppliers: []purchases.Supplier{{Name: "Marsh Mill", Lines: []purchases.Line{{ID: "L1", What: "cloth", Name: "reed", Number: "4711", Need: measure.Read("17.125yd"), OnHand: measure.Read("2yd"),
				ToOrder: measure.Read("15.25yd"), Orders: []string{"SMI-1", "SMI-2"}, State: "ordered"}}},
				{Lines: []purchases.Line{{ID: "L2", What: "buckram", Size: measure.Read("4in"), Need: measure.Read("12.667yd"), ToOrder: measure.Read("12.667yd"), Packs: 2, Orders: []string{"SMI-1"}, State: "open"}}}}},
		"purchases-none": purchases.Page{Frame: frame("/purchases", stations.Office), From: "2026-12-01", To: "2026-12-14"},
		"calendar":       calendar.Page{Frame: frame("/settings/calendar", stations.Office), There: true, New: "https://shop.test/calendar/abc.ics"},
		"calendar-none":  calendar.Page{Frame: frame("/settings/calendar", stations.Office)},
		"shelf": shelfpage.IndexPage{Frame: frame("/shelf", stations.Office), Cloths: []shelfpage.Cloth{
			{Key: "reed-oat", Name: "Reed, oat", Bolts: 3, Remnants: 2, Rest: measure.Read("118.5yd"), Free: measure.Read("61.25yd"), Held: 1, Missing: 1}, {Key: "marsh-grey", Name: "Marsh, grey", Bolts: 1, Rest: measure.Read("30m"), Free: measure.Read("30m")}}},
		"shelf-counts":      shelfpage.CountsPage{Frame: frame("/shelf/count", stations.Office), Places: []string{"3B", "R1"}, Past: []shelfpage.CountRow{{ID: "c1", Place: "3B", Begun: then, Open: 2}}},
		"shelf-counts-open": shelfpage.CountsPage{Frame: frame("/shelf/count", stations.Bench), Open: &shelfpage.CountRow{ID: "c2"}},
		"shelf-counts-none": shelfpage.CountsPage{Frame: frame("/shelf/count", stations.Bench)},
		"shelf-count":       shelfCount(),
		"shelf-count-bench": shelfpage.CountPage{Frame: frame("/shelf/count/c2", stations.Bench), CountRow: shelfpage.CountRow{ID: "c2", Place: "3B"}, Answer: &views.Answer{Refused: true, Text: "We have no bolt 000000000."}},
		"shelf-count-ended": shelfCountEnded(),
		"shelf-count-right": shelfpage.CountPage{Frame: frame("/shelf/count/c2", stations.Office), CountRow: shelfpage.CountRow{ID: "c2"}, Ended: true},
		"shelf-counting":    shelfpage.IndexPage{Frame: frame("/shelf", stations.Office), Counting: &shelfpage.CountRow{ID: "c2", Place: "3B"}},
		"shelf-none":        shelfpage.IndexPage{Frame: frame("/shelf", stations.Bench)},
		"shelf-found":       shelfpage.IndexPage{Frame: frame("/shelf", stations.Bench), Find: "L7", Found: shelfBolts()},
		"shelf-nothing":     shelfpage.IndexPage{Frame: frame("/shelf", stations.Bench), Find: "kelp"},
		"shelf-cloth": shelfpage.ClothPage{Frame: frame("/shelf/reed-oat", stations.Office), Key: "reed-oat", Name: "Reed, oat", Bolts: shelfBolts(), Labels: "/shelf/labels.pdf?bolts=7K3M9Q2T5",
			JoinKey: "j", Waiting: []shelfpage.Waiting{{Ticket: "4T7QK2M90", Order: "SMI-014", Due: "2026-11-20", Cuts: 5, With: []string{"SMI-015"}, Ticked: true}, {Ticket: "9Z2XC4V6B", Order: "SMI-015", Cuts: 1}}, Answer: &views.Answer{Text: "2 bolts are in."}},
		"shelf-order": shelfpage.OrderPage{Frame: frame("/orders/SMI-014/cloth", stations.Office), Order: "SMI-014", Cloths: []shelfpage.Option{{Key: "reed-oat", Name: "Reed, oat"}}, Typed: "reed",
			Answer: &views.Answer{Refused: true, Text: "reed isn’t sized as the book has reed-oat. Say why it is that cloth."}, Fabrics: []shelfpage.Fabric{
				{ID: "reed", Use: orderfile.Face, Cloth: "reed-oat", Name: "Reed, oat", ByOffice: true, Own: []shelfpage.FileBolt{{ID: "R1", Lot: "A", Length: measure.Read("40yd")}},
					Problems: []engine.Problem{{Severity: engine.Warning, Code: "bolt_narrow", Units: measure.In, Args: map[string]any{"Fabric": "reed", "Code": "7K3M9Q2T5", "Width": 52 * measure.Inch, "Usable": 54 * measure.Inch}}}},
				{ID: "sateen", Use: orderfile.Lining}, {ID: "toile", Use: orderfile.Face, Cloth: "toile", Cut: true}}},
		"shelf-order-short": shortOrderPage(),
		"shelf-order-none":  shelfpage.OrderPage{Frame: frame("/orders/SMI-014/cloth", stations.Office), Order: "SMI-014", Fabrics: []shelfpage.Fabric{{ID: "sateen", Use: orderfile.Lining}}},
		"shelf-gone":        shelfpage.ClothPage{Frame: frame("/shelf/reed-oat", stations.Bench), Key: "reed-oat", Name: "Reed, oat", Gone: true},
		"receive":           receivePage("", nil),
		"receive-again":     receivePage("supplier_piece", &views.Answer{Refused: true, Text: "Piece P1 has come in before."}),
		"receive-none":      shelfpage.ReceivePage{Frame: frame("/shelf/receive", stations.Office)},
		"bolt":              boltPage(),
		"bolt-held":         heldBolt(),
		"bolt-gone":         goneBolt(),
		"inspect": shelfpage.InspectPage{Frame: frame("/b/7K3M9Q2T5/inspect", stations.Bench), Bolt: shelfBolts()[0], Holes: orderfile.HolesBySize, Typed: typedShelf(), Rows: []shelfpage.FlawRow{
			{From: "100 in", To: "104 in", Points: "2", Kind: shelf.Weave}, {From: "200", Edge: true}, {}}},
		"inspect-metric": shelfpage.InspectPage{Frame: frame("/b/7K3M9Q2T5/inspect", stations.Bench), Bolt: shelfBolts()[1], Begin: measure.Read("1200mm"), Metric: true, Holes: orderfile.HolesAll4, Typed: typedShelf(),
			Answer: &views.Answer{Refused: true, Text: "“long” is not a length."}},
		"counting-start": counting.StartPage{Frame: frame("/count", stations.Bench), Stations: plan.Stations()[:2], Open: []counting.Open{{ID: "c1", Station: plan.Fold, Who: "Ada Brook"}}},
		"counting":       counting.Page{Frame: frame("/count/c1", stations.Bench), ID: "c1", Station: plan.Fold, Expected: 3, There: 1, Seen: []counting.Seen{{Piece: work, Here: true}, {Piece: back}}},
		"counting-ended": counting.Page{Frame: frame("/count/c1", stations.Bench), ID: "c1", Station: plan.Fold, Ended: true, Expected: 3, There: 1, Missing: []views.Piece{work}, Astray: []views.Piece{back}},
		"counting-right": counting.Page{Frame: frame("/count/c1", stations.Bench), ID: "c1", Station: plan.Fold, Ended: true},
		"record": record.Page{Frame: frame("/settings/record", stations.Office), Before: 7, Entries: []record.Entry{
			{At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC), Who: "Ada Brook", What: "signed_in", Address: "192.168.1.31"}, {What: "sign_in_failed"}}},
		"device-code":   devices.CodePage{Frame: frame("/settings/devices/D2", stations.Office), ID: "D2", Name: "Wall", Kind: "wall", Square: "<svg></svg>", EnterAt: "http://shop.test/enter", Code: "7K3 M9Q 2T5"},
		"device-lapsed": devices.CodePage{Frame: frame("/settings/devices/D3", stations.Office), ID: "D3", Name: "Front desk", Kind: "office"},
		"device-in":     devices.CodePage{Frame: frame("/settings/devices/D1", stations.Office), ID: "D1", Name: "Joining tablet", Kind: "bench", Entered: true},
		"signin":        signin.Page{Frame: frame("/sign-in", ""), Next: "/board"},
		"signin-wrong":  signin.Page{Frame: frame("/sign-in", ""), Wrong: true},
		"signin-busy":   signin.Page{Frame: frame("/sign-in", ""), Busy: true},
		"backup":        backup.Page{Frame: frame("/check/backup", stations.Office), File: "tablehand-20261201T080000.000000.db"},
		"backup-wrong":  backup.Page{Frame: frame("/check/backup", stations.Office), File: "tablehand-20261201T080000.000000.db", Wrong: true},
		"home":          home.Page{Frame: frame("/", stations.Office), Stations: counts, Orders: 12, Late: 1, Held: 3, Billable: 14, Copy: &views.SecondPlace{Folder: "/media/copies", Hours: 9}},
		"home-copy":     home.Page{Frame: frame("/", stations.Office), Stations: counts, Copy: &views.SecondPlace{Folder: "/media/copies", Days: 3, Why: "missing", Old: true}},
		"home-bench":    home.Page{Frame: frame("/", stations.Bench), Stations: counts},
		"home-empty":    home.Page{Frame: frame("/", stations.Office), Stations: []home.StationCount{{Station: plan.Tape}}},
		"today":         todayPage(counts),
		"search": search.Page{Frame: frame("/search", stations.Office), Asked: "bay", Panels: pieces(), MorePanels: 3,
			Orders:   []views.OrderRow{{ID: "SMI-015", Customer: "Saltmarsh Inn", Due: "2026-12-14", State: stations.OrderReleased, Late: true, Panels: 8, Held: 1}},
			Invoices: []views.InvoiceRow{{ID: "1", Issued: true, Customer: "Lantern House", Panels: 3, Total: usd(25500)}, {ID: "D-1", Panels: 1}}},
		"search-nothing": search.Page{Frame: frame("/search", stations.Bench), Asked: "kelp"},
		"orders": orders.Page{Frame: frame("/orders", stations.Office), All: 64, First: 1, Last: 2, Total: 60, After: "/orders?page=2", Customers: []string{"Saltmarsh Inn"}, Filter: orders.Filter{Find: "a"}, Orders: []views.OrderRow{
			{ID: "SMI-015", Customer: "Saltmarsh Inn", Due: "2026-12-14", State: stations.OrderReleased, Late: true, Panels: 8, Finished: 1, Held: 1},
			{ID: "REE-108", Customer: "Reed & Daughter, Upholsterers and Drapers", State: stations.OrderTaken}}},
		"orders-empty":   orders.Page{Frame: frame("/orders", stations.Office)},
		"orders-wrong":   orders.Page{Frame: frame("/orders", stations.Office), Uploaded: uploaded()},
		"rules":          rulesPage(),
		"room":           roomPage(),
		"order":          orderPage(),
		"order-short":    short,
		"order-released": tickets,
		"order-long":     longOrder(),
		"station":        station(openTicket(stations.Ready, stations.Bench), stations.Bench),
		"station-work":   station(openTicket(stations.AtWork, stations.Bench), stations.Bench),
		"station-tried": bench.StationPage{Frame: frame("/station/tape", stations.Bench), Stations: []plan.Station{plan.Tape}, Open: tried,
			Answer: &views.Answer{Refused: true, Text: "Two things are still to do."}},
		"station-held":     station(outOfTolerance(stations.Bench), stations.Bench),
		"station-accept":   station(outOfTolerance(stations.Office), stations.Office),
		"station-cutting":  station(cuttingTicket(stations.Bench), stations.Bench),
		"station-none":     station(nil, stations.Bench),
		"station-uncut":    station(uncut, stations.Bench),
		"station-finished": station(finished, stations.Bench),
		"station-empty":    bench.StationPage{Frame: frame("/station/tape", stations.Bench), Stations: []plan.Station{plan.Tape}},
		"ticket":           bench.TicketPage{Frame: frame("/t/7K3M9Q2T5", stations.Bench), Open: *elsewhere},
		"board": board.Page{Frame: frame("/board", stations.Office), Columns: columns(), Rods: rods(v), Orders: 9, Late: 1, AtRisk: 2, Held: 2,
			Finished: []views.OrderRow{{ID: "TID-007", Customer: "Tidemill Theatre", Due: "2026-12-10", State: stations.OrderFinished, Panels: 8, Finished: 8}},
			Filter:   board.Filter{Find: "inn", Station: plan.Tape, State: "late"}},
		"board-empty":  board.Page{Frame: frame("/board", stations.Office)},
		"screen":       screen.Page{Frame: frame("/screen", stations.Screen), Lanes: lanes(), Late: 1, Held: 1},
		"screen-empty": screen.Page{Frame: frame("/screen", stations.Screen)},
		"ready": ready.Page{Frame: frame("/ready", stations.Office), NoPrices: true,
			Customers: []ready.Customer{{Customer: "Saltmarsh Inn", Panels: []ready.Panel{{Piece: work, Price: usd(8500)}, {Piece: back}}}},
			Invoices:  []views.InvoiceRow{{ID: "1", Issued: true, Customer: "Lantern House", Panels: 3, Total: usd(25500)}, {ID: "D-1", Customer: "Lantern House", Panels: 1}}},
		"ready-empty":    ready.Page{Frame: frame("/ready", stations.Office)},
		"invoice-draft":  invoicepage.Page{Frame: frame("/invoices/D-1", stations.Office), Invoice: billed("")},
		"invoice-issued": invoicepage.Page{Frame: frame("/invoices/1", stations.Office), Invoice: billed("1"), Total: usd(8500)},
		"prices": prices.Page{Frame: frame("/prices", stations.Office), Prices: billing.PriceList{Currency: "USD",
			Rows: []billing.PriceRow{{Heading: "cartridge-tape", Panel: "40.00", Width: "18.00"}}}, Answer: &views.Answer{Text: "The prices are saved."}},
		"find":           find.Page{Frame: frame("/t", stations.Bench), Answer: &views.Answer{Refused: true, Text: "No ticket's code can be read in that photo."}},
		"error-code":     failure.Page{Frame: frame("/t/7K3M9Q2T6", stations.Bench), Status: 404, Code: "unknown_ticket", Text: "No ticket is 7K3M9Q2T6."},
		"error":          failure.Page{Frame: frame("/x", ""), Status: 500, Code: "internal", Text: "Something went wrong here."},
		"taking":         takingPage(v, ""),
		"taking-edit":    takingPage(v, "SMI-014"),
		"taking-no-form": taking.Page{Frame: frame("/taking", stations.Office), Action: "/taking", Source: "order: [", Refused: "No order."},
		"revision": revision.Page{Frame: frame("/orders/SMI-014/revise", stations.Office), ID: "SMI-014", From: 1, Revision: 2, Source: "order: SMI-014\n",
			Changes: []views.TicketChange{{Piece: work, Protected: true, Why: "worked", Untold: true,
				Numbers: []views.NumberChange{{Name: "cut_length", Was: measure.Read("121.5in"), Wants: measure.Read("108in"), Stays: true}, {Name: "pleats", Wants: measure.Read("19")}}}},
			Added: []views.Piece{late}, Dropped: []views.Piece{back}, Short: []string{"reed"}, Mixed: []string{"sateen"}, Shared: []string{"LAN-003"}},
		"revision-nothing": revision.Page{Frame: frame("/orders/SMI-014/revise", stations.Office), ID: "SMI-014", From: 1, Revision: 2},
		"help":             helpOf(v, ""),
		"help-tape":        helpOf(v, "tape"),
		"setup":            shop.SetupPage{Frame: frame("/setup", stations.Office), Form: shopForm()},
		"settings":         shop.SettingsPage{Frame: frame("/settings", stations.Office), Form: shopForm(), Passphrase: shop.PassphraseForm{WrongNow: "That isn't it."}},
		"check": check.Page{Frame: frame("/check", stations.Office), ShopAt: "http://shop.test", OnlyHere: true, Now: check.Moment{Date: today, Time: "10:00:00", Zone: "UTC"},
			Backup: &check.Backup{When: check.Moment{Date: today, Time: "09:00:00"}, File: "shop.db", Old: true, Here: true},
			Copy:   &views.SecondPlace{Folder: "/media/copies", Never: true, Why: "full", SameDisk: true},
			Space:  check.SpaceLeft{Database: "3 MB", Free: "1 GB", Disk: "9 GB", Low: true}, Findings: &check.Findings{Differences: 2, First: "tickets"}},
		"trust": trust.Page{Frame: frame("/trust", ""), Here: "https://192.168.1.20:8080/hello", Names: []string{"localhost", "shop.local"}, Encrypted: true,
			Fingerprint: strings.TrimSuffix(strings.Repeat("A7:", 32), ":"), Devices: trust.Devices(i18n.For("en"), "Mozilla/5.0 (Linux; Android 16)")},
		"hello": hello.Page{Frame: frame("/hello", "")},
	}
}

func usd(minor int64) *billing.Money { return &billing.Money{Minor: minor, Currency: "USD"} }

func orderPage() order.Page {
	step := func(name, value string) workup.Step {
		return workup.Step{Name: name, Value: measure.Read(value), Formula: "page.order.as_given", Inputs: []workup.Input{{Name: "pleats", Value: measure.OfCount(19)}}}
	}
	row := func(name string, values ...string) views.NumberRow {
		r := views.NumberRow{Name: name, Same: len(values) == 1}
		for i, v := range values {
			s := step(name, v)
			r.Values = append(r.Values, views.PanelValue{Panel: []string{"L", "R"}[i], Value: measure.Read(v), Trail: &s})
		}
		return r
	}
	window := order.Window{Trails: true, Name: "Bay, left", Room: "14", Heading: "cartridge-tape", Quantity: 2, Panels: []string{"L", "R"},
		Groups: []order.Group{
			{Name: "finished", Rows: []views.NumberRow{row("finished_width", "48.5in"), row("deviation", "0in")}},
			{Name: "heading", Rows: []views.NumberRow{row("pleats", "19"), row("flat_width", "124.5in"), row("pleat_positions", "3.75in 10.25in 16.75in 23.25in 29.75in 36.25in 42.75in")}},
			{Name: "cloth", Rows: []views.NumberRow{row("widths", "2.5"), row("seams", "21.375in 74.375in", "50.125in 103.125in")}},
		},
		Drawings: []views.Drawing{openTicket(stations.Ready, stations.Office).Drawing}}
	return order.Page{
		Frame: frame("/orders/SMI-014", stations.Office), ID: "SMI-014", Customer: "Saltmarsh Inn", Sidemark: "Floor 1, room 14",
		Due: "2026-12-18", State: stations.OrderTaken, Revision: 1, Windows: []order.Window{window},
		Cloth: []views.ClothRow{{Name: "reed", Use: "use.face", Count: 5, Length: measure.Read("607.5in"), ToOrder: measure.Read("17.25yd"), OnBolts: measure.Read("1440in")},
			{Name: "cart-4", Use: "page.order.tape", Count: 2, Length: measure.Read("256.5in"), ToOrder: measure.Read("263in")}},
		Problems: []engine.Problem{{Severity: engine.Warning, Code: "fabric_short", Key: "page.order.incomplete"}},
		Short:    []views.Shortage{lacksCloth},
	}
}

// longOrder is the second part of an order of many windows, where one was looked for that isn't there.
func longOrder() order.Page {
	p := orderPage()
	p.State, p.Tickets, p.Find, p.AllWindows = stations.OrderReleased, pieces(), "attic", 300
	p.Kinds = order.Part{First: 4, Last: 6, Total: 9, Before: "/orders/SMI-014?page=1#windows", After: "/orders/SMI-014?page=3#windows"}
	p.Pieces = order.Part{First: 1, Last: 24, Total: 602, After: "/orders/SMI-014?tickets=2#tickets"}
	p.Windows[0].Alike = []order.Name{{Index: 0, Name: "Bay, left", Room: "14"}, {Index: 7, Name: "Bay, left"}}
	p.Windows[0].Names = order.Part{First: 1, Last: 2, Total: 45, After: "/orders/SMI-014?window=8#window-8"}
	for range 25 {
		p.Problems = append(p.Problems, p.Problems[0])
	}
	return p
}

func uploaded() *views.Uploaded {
	return &views.Uploaded{Source: "order: SMI-014\nunits: inn\n", Errors: 1, Lines: []views.SourceLine{
		{Number: 1, Text: "order: SMI-014"},
		{Number: 2, Text: "units: inn", Problems: []engine.Problem{{Severity: engine.Error, Code: "test", Key: "page.order.incomplete", Line: 2}}},
	}}
}

func billed(number string) *invoice.Document {
	return &invoice.Document{Draft: "D-1", Number: number, Customer: "Saltmarsh Inn", Currency: "USD", Drafted: time.Date(2026, 12, 16, 9, 0, 0, 0, time.UTC),
		Lines: []invoice.Line{{Ticket: "7K3M9Q2T5", Order: "SMI-014", Window: "Bay, left", Room: "14", Panel: "L", Heading: "cartridge-tape", Widths: 5, Amount: usd(8500)}}}
}

func roomPage() elevation.Page {
	return elevation.Page{Frame: frame("/orders/SMI-014/room", stations.Office), ID: "SMI-014", Room: "14", Drawing: views.Drawing{SVG: "<svg></svg>"}, Others: []string{"15", ""},
		Part: elevation.PartOf(2, 55), Said: []elevation.Said{{Names: []string{"Bay, left", "Bay, right"}, Words: []string{"cartridge pleat tape, pair"}}}}
}

func rulesPage() rules.Page {
	return rules.Page{Frame: frame("/orders/SMI-014/rules", stations.Office), ID: "SMI-014", Fabrics: []string{"reed", "sateen"},
		Conventions: []rules.Convention{{Name: "convention.repeat_rule", Rules: []rules.Row{
			{Name: "convention.repeat_rule.whole_repeats", InForce: true, ToOrder: []rules.Ordered{{Length: measure.Read("17.25yd")}, {Length: measure.Read("13.875yd")}}},
			{Name: "convention.repeat_rule.add_one", ToOrder: []rules.Ordered{{Length: measure.Read("17.75yd")}, {}}, Incomplete: true},
		}}}}
}

// takingPage is the form of a new order, or of one that is on the books, with something wrong in it.
func takingPage(v *views.Views, id string) taking.Page {
	form := orderfile.Form{Text: map[string]string{"order": "SMI-014", "units": "in"}, Lists: map[string][]orderfile.Form{}}
	p := taking.Page{Frame: frame("/taking", stations.Office), ID: id, Action: "/taking", Source: "order: SMI-014\n", Tried: true, Blanks: map[string]*taking.Part{}}
	for _, list := range []string{"fabrics", "bolts", "tapes", "treatments"} {
		p.Blanks[list] = taking.Blank(v, list, form, taking.Told{Stations: plan.Stations()})
		if list != "bolts" {
			form.Lists[list] = []orderfile.Form{{From: orderfile.NotInFile, Text: taking.BlankText(list)}}
		}
	}
	p.Sheet = taking.Sheet(v, form, taking.Told{
		Problems: map[string][]taking.FieldProblem{"order": {{Field: "order", Severity: engine.Error, Text: "Is there already."}}},
		Defaults: map[string]string{"treatments.0.pleats": "19"}, Short: map[string]*views.Shortage{"fabrics.0.bolts.0": &lacksCloth},
	})
	row := views.NumberRow{Name: "pleats", Same: true, Values: []views.PanelValue{{Panel: "L", Value: measure.Read("19")}}}
	p.Draft = taking.Draft{Order: "SMI-014", Windows: []taking.DraftWindow{{Field: "treatments.0", Name: "Bay", Numbers: []views.NumberRow{row},
		Drawing: &views.Drawing{SVG: "<svg></svg>"}, Panel: "L"}, {Field: "treatments.1"}},
		Cloth: []views.ClothRow{{Name: "reed", Use: "use.face", Length: measure.Read("607.5in"), ToOrder: measure.Read("17.25yd")}}, Incomplete: true, Unwritable: true,
		General: []engine.Problem{{Severity: engine.Warning, Code: "test", Key: "page.order.incomplete", Line: 3}}}
	return p
}

func helpOf(v *views.Views, name string) help.Page {
	p, _ := help.New(v.Say, frame("/help/"+name, stations.Office), nil, name)
	return p
}

func shopForm() shop.Form {
	return shop.Form{Name: "Marsh Lane Workroom", Units: "in", Address: "http://shop.test", Addresses: []string{"http://192.168.1.20:8080"},
		Language: "en", Languages: []string{"en", "es"}, ZoneHere: "UTC", Wrong: map[string]string{"zone": "No zone is called that."}}
}

// waysPage has a convention of each kind, one that doesn't do, and what others would move.
func waysPage() ways.Conventions {
	word := func(text string) ways.Value { return ways.Value{Kind: "convention.surplus", Text: text, Word: true} }
	length := func(text string) ways.Value { return ways.Value{Kind: "convention.seam", Text: text} }
	return ways.Conventions{Frame: frame("/settings/conventions", stations.Office), Groups: []ways.Group{
		{Name: orderfile.InWidths, Rows: []ways.Row{{Name: "surplus", Label: "surplus", Typed: "keep", Words: []string{"trim", "keep"}, InForce: word("trim"), Shipped: word("trim"), Source: "practice"}}},
		{Name: orderfile.InHems, Rows: []ways.Row{
			{Name: "seam", Label: "seam", Typed: "9", Unit: "in", InForce: length("0.625in"), Shipped: length("0.5in"), Source: "practice", Own: true, Least: "0in", Most: "2in",
				By: "Ada Brook", At: views.Moment{Date: today, At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC)}, From: length("0.5in"), AsShipped: true, Wrong: "Over 2 in."},
			{Name: "length_allowance", Label: "length_allowance", Unit: "in", InForce: ways.Value{}, Shipped: ways.Value{}, Source: "memory", Optional: true, Least: "0in", Most: "40in", Above: true}}},
		{Name: orderfile.InHeadings, Heading: "box", Rows: []ways.Row{{Name: "headings.box.space_min", Label: "headings.space_min", Typed: "5", Unit: "in", InForce: length("5in"), Shipped: length("4in"),
			Source: "stage", Own: true, Least: "0in", Most: "40in", Above: true}}},
		{Name: orderfile.InHeadings, Heading: "tulip", Like: "goblet", Off: true, Rows: []ways.Row{
			{Name: "headings.tulip.name", Label: "headings.name", Typed: "Tulip pleat", InForce: ways.Value{Text: "Tulip pleat", Own: true}, Plain: true, Like: "goblet"},
			{Name: "headings.tulip.space_min", Label: "headings.space_min", Typed: "4", Unit: "in", InForce: length("4in"), Shipped: length("4.5in"), Own: true, Like: "goblet", Least: "0in", Most: "40in", Above: true}}},
	}, New: ways.NewHeading{Key: "Lily", Name: "Lily", Like: "box", Likes: []string{"goblet", "box"}, Wrong: map[string]string{"key": "The key won't do."}}, Tried: &ways.Tried{Changes: []ways.TriedChange{{Label: "seam", Sampled: true, From: length("0.5in"), To: length("0.625in"), Moves: true}, {Label: "surplus", Sampled: true, From: word("trim"), To: word("keep")},
		{Heading: "box", Label: "headings.space_min", From: length("4in"), To: length("5in")}},
		Windows: []ways.Window{{Name: "tape", Changes: []ways.Number{{Of: "panel", Name: "widths", Before: measure.Read("2.5"), After: measure.Read("3")}, {Of: "lining", Name: "to_order", After: measure.Read("13.875yd")}},
			More: []ways.Number{{Of: "panel", Name: "seams", Before: measure.Read("21.375in 74.375in"), After: measure.Read("22in")}}}, {Name: "single"}}}}
}

// stationsPage has one that is off, one of the shop's own with something wrong, and work at one that is to go.
func stationsPage() ways.Stations {
	own := ways.Station{Key: "own_a", Station: "own_a", Own: true, Name: "Steaming", Bench: "Iron", Lies: 2, By: "Ada Brook", At: views.Moment{Date: today, At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC)},
		After:    []ways.After{{Route: "piece", Stations: []plan.Station{plan.Cutting, plan.Sewing, plan.Packing}, Chosen: plan.Sewing}},
		Checks:   []ways.Check{{Field: "own_a_check_1", Name: "own_a_check_1", Label: "Hung straight"}, {Field: "own_a-check-1"}},
		Measures: []ways.Measure{{Measure: plan.Measure{Target: "finished_width", Kind: plan.LengthEntry}, On: true, Minus: "1/8", Unit: "in"}, {Measure: plan.Measure{Target: "pleats", Kind: plan.CountEntry}}},
		Wrong:    map[string]string{"name": "Give the station a name"}}
	added := own
	added.Key, added.Station, added.At, added.Wrong, added.Checks = "own", "", views.Moment{}, nil, []ways.Check{{Field: "own-check-1"}}
	return ways.Stations{Frame: frame("/settings/stations", stations.Office), Tried: true, Leave: true, New: &added, Rows: []ways.Station{
		{Key: "cutting", Station: plan.Cutting, Fixed: true}, {Key: "pull_up", Station: plan.PullUp, Off: true, Next: true, Safety: []string{"end_made_safe"}}, own},
		Routes: []ways.Route{{Name: "pinch", Stations: []ways.Passed{{Station: plan.Cutting, Name: "Cutting"}, {Station: "own_a", Name: "Steaming"}}, Unasked: []ways.Unasked{{Station: plan.PullUp,
			Checklist: plan.Checklist{Entries: []string{"pleats"}, Checks: []string{"pull_test"}}, Moved: []string{"end_made_safe"}}}}}}
}

// tolerancesPage has a measure with two sides, of which one doesn't do, and one with none.
func tolerancesPage() ways.Tolerances {
	half, quarter := measure.Read("0.5in"), measure.Read("0.25in")
	return ways.Tolerances{Frame: frame("/settings/tolerances", stations.Office), Stations: []ways.Measured{
		{Stations: []plan.Station{plan.Pleating, plan.Packing}, Rows: []ways.Tolerance{{Name: "finished_width", Entry: "finished_width", InForce: ways.Sides{Minus: quarter, Plus: half},
			Shipped: ways.Sides{Minus: quarter, Plus: quarter}, Source: "ufgs", Own: true, By: "Ada Brook", From: "±0.25in", To: "−0.25in +0.5in",
			At: views.Moment{Date: today, At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC)}, Fields: []ways.Side{
				{Name: "finished_width-minus", About: "finished_width-about", Side: "minus", Typed: "1/4", Unit: "in"},
				{Name: "finished_width-plus", About: "finished_width-about", Side: "plus", Typed: "x", Unit: "in", Wrong: "x is no length."}}}}},
		{Stations: []plan.Station{plan.Packing}, Rows: []ways.Tolerance{{Name: "packing.pair_width", Entry: "pair_width", InForce: ways.Sides{Minus: quarter, Plus: quarter},
			Shipped: ways.Sides{Minus: quarter, Plus: quarter}, Source: "practice", Fields: []ways.Side{
				{Name: "packing.pair_width-both", About: "packing.pair_width-about", Side: "both", Typed: "1/8", Unit: "in"}}}}},
	}}
}

// entryPage is an entry of a book with a field of each form, something wrong, and a past.
func entryPage() book.EntryPage {
	at := views.Moment{Date: today, At: time.Date(2026, 12, 16, 8, 0, 0, 0, time.UTC)}
	mail := engine.Problem{Severity: engine.Error, Code: "bad_value", Key: "problem.bad_value.mail", Args: map[string]any{"Key": "Mail", "Text": "ann"}}
	return book.EntryPage{Frame: frame("/books/customers/saltmarsh-inn", stations.Office), Book: "customers", ID: "saltmarsh-inn", Name: "Saltmarsh Inn", Version: 3, Keeps: true,
		Groups: []book.Group{
			{Name: "who", Fields: []book.Field{{Key: "name", Form: "line", Value: "Saltmarsh Inn", Required: true}, {Key: "kind", Form: "choice", Value: "trade", Words: []string{"trade", "private"}},
				{Key: "names", Form: "list", Value: "The Inn\nSaltmarsh Hotel", Helped: true}}},
			{Name: "reach", Fields: []book.Field{{Key: "mail", Form: "line", Value: "ann", Wrong: &mail}, {Key: "phone", Form: "line", Value: "555 0100"}}},
			{Name: "usual", Fields: []book.Field{{Key: "heading", Form: "choice", Value: "goblet", Words: []string{"pinch-3", "goblet"}}, {Key: "certificate.until", Form: "date", Value: "2027-06-30"},
				{Key: "cords", Form: "count", Value: "3"}, {Key: "one_way", Form: "flag", Value: "true"}}}},
		History: []book.Past{{At: at, Who: "Ada Brook", What: "changed", Changes: []book.Change{{Before: book.Field{Key: "phone", Form: "line", Value: "555 0199"}, After: book.Field{Key: "phone", Form: "line", Value: "555 0100"}},
			{Before: book.Field{Key: "kind", Form: "choice", Value: "trade"}, After: book.Field{Key: "kind", Form: "choice"}}}}, {At: at, What: "took_over", About: "salt-house"}, {At: at, What: "added"}},
		Into: "salt", Others: []book.Row{{ID: "salt-house", Name: "Salt House"}}}
}

// shortOrderPage has fabrics that don't do, with all that may help, and some whose plans are proven or not.
func shortOrderPage() shelfpage.OrderPage {
	in := func(text string) measure.Quantity { return measure.Read(text) }
	p := shelfpage.OrderPage{Frame: frame("/orders/SMI-014/cloth", stations.Office), Order: "SMI-014", Fabrics: []shelfpage.Fabric{
		{ID: "reed", Use: orderfile.Face, Cloth: "reed-oat", Name: "Reed, oat", Short: in("121.5in"), Least: in("121.5in"), Free: in("16yd"), Held: in("0yd"),
			Promised: []workup.PromisedDocument{{Order: "SMI-015", Due: "2026-12-20", Length: in("12.5yd")}, {Order: "SMI-016", Length: in("3yd")}}},
		{ID: "oat", Use: orderfile.Face, Short: in("60in"), Least: in("20in"), Free: in("4yd")},
		{ID: "rush", Use: orderfile.Face, Short: in("60in"), Free: in("4yd")},
		{ID: "one", Use: orderfile.Face, Proof: shelfpage.Proof{Key: "proven", Count: 1}}, {ID: "none", Use: orderfile.Face, Proof: shelfpage.Proof{Key: "none_opened"}},
		{ID: "best", Use: orderfile.Lining, Proof: shelfpage.Proof{Key: "best_found", Count: 2}}}}
	for _, kind := range relief.Kinds() {
		w := shelfpage.Way{Way: relief.Way{Kind: kind, Lot: "A", Order: "SMI-015", Due: "2026-12-20"}, Length: in("3.75yd"), Name: "Bay, left"}
		if kind != relief.Promised {
			w.Due = ""
		}
		if kind == relief.MixedLots {
			w.Short = in("20in")
		}
		p.Fabrics[0].Ways = append(p.Fabrics[0].Ways, w)
	}
	return p
}
