package server

import (
	"maps"
	"net/url"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/stations"
)

// TestCustomers: entries are added, found, changed, set aside and merged, each name once.
func TestCustomers(t *testing.T) {
	s := openShop(t)
	office, accounts := stations.Office, stations.Accounts
	inn := fields{"name": " Saltmarsh Inn ", "kind": "trade", "billing": "1 Quay Street\nReedham", "contacts": []string{"Ann Reed, 555 0100"}, "mail": "ann@saltmarsh.test",
		"terms": "30 days", "certificate": fields{"number": "R-17", "until": "2027-06-30"}, "heading": "pinch-3", "fullness": "2.5", "hems": fields{"bottom": "4 1/2", "side": "38mm"},
		"conventions": fields{"widths_rounding": "up_to_whole"}, "order_form": "SMI-{n:3}", "floor_note": "Deliver to the back door", "office_note": "Pays late", "key": "k1"}
	first := s.ask(t, scene{as: office, do: "POST /api/customers", send: inn, status: 201, has: map[string]string{"id": "saltmarsh-inn", "name": "Saltmarsh Inn",
		"hems.bottom": "4.5in", "hems.side": "38mm", "certificate.until": "2027-06-30", "conventions.widths_rounding": "up_to_whole", "contacts.0": "Ann Reed, 555 0100", "version": "1"}})
	if again := s.ask(t, scene{as: office, do: "POST /api/customers", send: inn, status: 201}); string(again.body) != string(first.body) {
		t.Errorf("sent again: %s\nfirst: %s", again.body, first.body)
	}
	s.play(t, []scene{
		{name: "the key for something else", as: office, do: "POST /api/customers", send: fields{"name": "Reed House", "key": "k1"}, status: 409, code: "key_reused"},
		{name: "the name but for case, accent, space", as: accounts, do: "POST /api/customers", send: fields{"name": "SÁLT MARSH inn"}, status: 409, code: "name_taken",
			has: map[string]string{"field": "name", "where.key": "saltmarsh-inn"}},
		{name: "everything wrong at once", as: office, do: "POST /api/customers", status: 422,
			send: fields{"name": " ", "kind": "king", "mail": "ann", "hems": fields{"side": "4 cubits"}, "fullness": "lots", "certificate": fields{"until": "soon"}, "order_form": "SMI",
				"conventions": fields{"widths_rounding": "sideways"}, "tax_status": "none"},
			has: map[string]string{"problems.#": "9", "problems.0.code": "missing_key", "problems.0.where": "name"}},
		{name: "what there is no field for", as: office, do: "POST /api/customers", send: fields{"name": "x", "shoe": "42", "hems": fields{"top": "1 in"}}, status: 422,
			has: map[string]string{"problems.#": "2", "problems.0.code": "unknown_key", "problems.0.where": "hems.top"}},
		{name: "no document", as: office, do: "POST /api/customers", send: "name: x", status: 422},
		{name: "another", as: accounts, do: "POST /api/customers", send: fields{"name": "Salt House Lodge", "phone": "555 0199", "names": []string{"The Lodge"}}, status: 201},
		{name: "found by the beginnings of words", as: stations.Program, do: "GET /api/customers?find=LÓ+sal", status: 200, has: map[string]string{"total": "1", "customers.0.id": "salt-house-lodge"}},
		{name: "found by another name", as: office, do: "GET /api/customers?find=the", status: 200, has: map[string]string{"customers.#": "1"}},
		{name: "not by the middle of one", as: office, do: "GET /api/customers?find=marsh", status: 200, has: map[string]string{"customers.#": "0"}},
		{name: "one of two", as: office, do: "GET /api/customers?find=salt&limit=1&from=1", status: 200, has: map[string]string{"customers.#": "1", "total": "2", "customers.0.id": "saltmarsh-inn"}},
		{name: "a limit of nothing", as: office, do: "GET /api/customers?limit=0", status: 422, code: "bad_value"},
		{name: "changed", as: office, do: "PUT /api/customers/salt-house-lodge", send: fields{"name": "Salt House Lodge", "phone": "555 0200", "version": 1}, status: 200,
			has: map[string]string{"phone": "555 0200", "version": "2", "names.#": "0"}},
		{name: "changed meanwhile", as: office, do: "PUT /api/customers/salt-house-lodge", send: fields{"name": "Salt Lodge", "version": 1}, status: 409, code: "changed_meanwhile"},
		{name: "nobody", as: office, do: "PUT /api/customers/nobody", send: fields{"name": "x"}, status: 404},
		{name: "set aside", as: office, do: "POST /api/customers/salt-house-lodge/set_aside", status: 200, has: map[string]string{"set_aside": "true"}},
		{name: "not proposed", as: office, do: "GET /api/customers?find=lodge", status: 200, has: map[string]string{"customers.#": "0"}},
		{name: "but there", as: office, do: "GET /api/customers?find=lodge&aside=true", status: 200, has: map[string]string{"customers.#": "1"}},
		{name: "back", as: office, do: "POST /api/customers/salt-house-lodge/set_aside", send: fields{"back": true}, status: 200, has: map[string]string{"set_aside": ""}},
		{name: "into nobody", as: office, do: "POST /api/customers/salt-house-lodge/merge", send: fields{"into": "nobody"}, status: 422, code: "bad_value"},
		{name: "into itself", as: office, do: "POST /api/customers/salt-house-lodge/merge", send: fields{"into": "salt-house-lodge"}, status: 422, code: "bad_value"},
		{name: "merged", as: office, do: "POST /api/customers/salt-house-lodge/merge", send: fields{"into": "saltmarsh-inn"}, status: 200,
			has: map[string]string{"id": "saltmarsh-inn", "names.0": "Salt House Lodge", "phone": "555 0200", "terms": "30 days"}},
		{name: "the old id means the other", as: office, do: "GET /api/customers/salt-house-lodge", status: 200, has: map[string]string{"id": "saltmarsh-inn"}},
		{name: "both histories", as: accounts, do: "GET /api/customers/saltmarsh-inn/history", status: 200,
			has: map[string]string{"history.#": "7", "history.0.what": "merged", "history.1.what": "took_over", "history.1.changes.0.field": "names", "history.6.what": "added"}},
		{name: "for whom it isn't", as: stations.Bench, do: "GET /api/customers", status: 403, code: "forbidden"},
		{name: "nor for the wall", as: stations.Screen, do: "GET /api/customers/saltmarsh-inn", status: 403, code: "forbidden"},
	})
}

// TestCustomersOfOrders: an order's name leads to its customer, who is made where there is none, and goes on doing so when that
// one is renamed or merged. The order keeps the name that it was taken with.
func TestCustomersOfOrders(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.play(t, []scene{
		{as: office, do: "POST /api/customers", send: fields{"name": "Reed House", "order_form": "RH-{n:2}"}, status: 201},
		{name: "made", as: office, do: "POST /api/orders", send: orderFile(t, "SMI-1"), status: 201},
		{as: office, do: "GET /api/customers", status: 200, has: map[string]string{"customers.#": "2", "customers.1.name": "Saltmarsh Inn"}},
		{name: "there is one", as: office, do: "POST /api/orders", send: orderFile(t, "SMI-2", "customer: Saltmarsh Inn", "customer: SALT MARSH INN"), status: 201},
		{as: office, do: "GET /api/customers", status: 200, has: map[string]string{"customers.#": "2"}},
		{name: "a revision's", as: office, do: "PUT /api/orders/SMI-2", send: orderFile(t, "SMI-2", "customer: Saltmarsh Inn", "customer: Tern Cottage"), status: 200},
		{as: office, do: "GET /api/customers?find=tern", status: 200, has: map[string]string{"customers.#": "1"}},
		{name: "renamed", as: office, do: "PUT /api/customers/saltmarsh-inn", send: fields{"name": "The Saltmarsh Hotel"}, status: 200,
			has: map[string]string{"names.0": "Saltmarsh Inn"}},
		{name: "merged", as: office, do: "POST /api/customers/saltmarsh-inn/merge", send: fields{"into": "reed-house"}, status: 200},
		{name: "the order's own", as: office, do: "GET /api/orders/SMI-1", status: 200, has: map[string]string{"customer": "Saltmarsh Inn"}},
		{name: "as the customer's orders are named", as: office, do: "GET /api/orders/next?customer=reed-house", status: 200, has: map[string]string{"order": "RH-01"}},
		{name: "by an order's name", as: office, do: "GET /api/orders/next?customer=saltmarsh+inn", status: 200, has: map[string]string{"order": "RH-01"}},
		{name: "without a form of theirs", as: office, do: "GET /api/orders/next?customer=tern-cottage", status: 200, has: map[string]string{"order": "001"}},
	})
	if got := s.ask(t, scene{as: stations.Bench, do: "GET /api/board", status: 200}); strings.Contains(string(got.body), "RH-") {
		t.Error("the board tells of the book")
	}
}

// TestBooksOfGoods: cloths, tapes and rods are kept by the shop's own ids, with lengths in their units; what a supplier asks is
// shown to the office and accounts alone, and whoever isn't shown it can't change it.
func TestBooksOfGoods(t *testing.T) {
	s := openShop(t)
	office, program := stations.Office, stations.Program
	oat := fields{"name": "Reed oat", "supplier": "Tidewater Mills", "use": "face", "usable_width": "54", "match_width": "53 1/4", "vertical_repeat": "13 1/2 in", "mass": "320 g/m2",
		"price": "18.50 USD", "sold_by": "yd", "measured": fields{"usable_width": "137 cm"}, "one_way": true, "key": "c1"}
	first := s.ask(t, scene{as: office, do: "PUT /api/cloths/reed-oat", send: oat, status: 201, has: map[string]string{"cloth": "reed-oat", "usable_width": "54in",
		"match_width": "53.25in", "measured.usable_width": "137cm", "price.amount": "18.50", "price.currency": "USD", "one_way": "true", "mass": "320 g/m2"}})
	if again := s.ask(t, scene{as: office, do: "PUT /api/cloths/reed-oat", send: oat, status: 201}); string(again.body) != string(first.body) {
		t.Errorf("sent again: %s\nfirst: %s", again.body, first.body)
	}
	s.play(t, []scene{
		{name: "no price for a program", as: program, do: "GET /api/cloths/reed-oat", status: 200, has: map[string]string{"price": "", "sold_by": "yd"}},
		{name: "nor in the history", as: program, do: "GET /api/cloths/reed-oat/history", status: 200, has: map[string]string{"history.0.changes.#": "10"}},
		{name: "nor to be set", as: program, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed oat", "price": "1.00 USD"}, status: 422,
			has: map[string]string{"problems.0.where": "price"}},
		{name: "a program leaves it", as: program, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed oat", "supplier": "Tidewater Mills", "usable_width": "137.16cm"}, status: 200,
			has: map[string]string{"usable_width": "137.16cm"}},
		{name: "it is there", as: stations.Accounts, do: "GET /api/cloths/reed-oat", status: 200, has: map[string]string{"price.amount": "18.50"}},
		{name: "read by accounts, not kept", as: stations.Accounts, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed oat"}, status: 403, code: "forbidden"},
		{name: "found by its supplier", as: office, do: "GET /api/cloths?find=tide", status: 200, has: map[string]string{"cloths.#": "1"}},
		{name: "what doesn't go together", as: office, do: "POST /api/cloths", status: 422, send: fields{"name": "Print", "usable_width": "54", "match_width": "60", "match": "half_drop", "pile": "up", "one_way": false},
			has: map[string]string{"problems.#": "3", "problems.0.where": "match_width", "problems.1.where": "match", "problems.2.where": "one_way"}},
		{name: "nor repeats and a lining that is sheer", as: office, do: "POST /api/cloths", status: 422, send: fields{"name": "Print", "use": "lining", "usable_width": "54", "match_width": "53", "horizontal_repeat": "13", "sheer": true},
			has: map[string]string{"problems.#": "2", "problems.0.where": "match_width", "problems.1.where": "sheer"}},
		{name: "a repeat past the cloth", as: office, do: "POST /api/cloths", status: 422, send: fields{"name": "Print", "usable_width": "54", "horizontal_repeat": "55"}, has: map[string]string{"problems.#": "1", "problems.0.where": "horizontal_repeat"}},
		{name: "no id", as: office, do: "PUT /api/cloths/Reed_Oat", send: fields{}, status: 422, has: map[string]string{"problems.0.where": "cloth"}},

		{name: "a tape", as: office, do: "PUT /api/tapes/cart-4", status: 201, send: fields{"kind": "cartridge", "period": "6 1/2", "space": "2 1/2", "height": "4", "cords": 3, "over_ten": "65 1/4", "roll": "55 yd",
			"end_margin": fields{"nominal": "3/4", "min": "1/2", "max": "1"}}, has: map[string]string{"id": "cart-4", "name": "cart-4", "period": "6.5in", "cords": "3", "roll": "55yd", "end_margin.min": "0.5in"}},
		{name: "that can't be", as: office, do: "POST /api/tapes", status: 422, send: fields{"name": "x", "kind": "cartridge", "period": "2", "space": "2 1/2", "over_ten": "65", "pockets": 8, "cone": "5000 m"},
			has: map[string]string{"problems.#": "4"}},
		{name: "thread", as: office, do: "POST /api/tapes", status: 201, send: fields{"name": "Poly 60", "kind": "thread", "cone": "5000 m"}, has: map[string]string{"cone": "5000m"}},
		{name: "a rod", as: office, do: "PUT /api/rods/pole", status: 201, send: fields{"kind": "pole", "diameter": "1 3/8", "limit": "30 kg", "return": "4", "overlap": "5", "supports": "3"},
			has: map[string]string{"diameter": "1.375in", "limit": "30 kg", "return": "4in", "supports": "3"}},
		{name: "rounder than it is", as: office, do: "PUT /api/rods/pole", status: 422, send: fields{"name": "pole", "diameter": "1 3/8", "circumference": "5"}, has: map[string]string{"problems.0.where": "circumference"}},
		{name: "a line of text", as: office, do: "POST /api/phrases", status: 201, send: fields{"text": "Waiting for the client's lining", "kind": "hold"}, has: map[string]string{"id": "waiting-for-the-client-s-lin"}},
		{name: "a charge without an amount", as: office, do: "POST /api/phrases", status: 422, send: fields{"text": "Stairs", "kind": "hold", "amount": "5 USD"}},
		{name: "not for accounts", as: stations.Accounts, do: "GET /api/rods", status: 403, code: "forbidden"},
	})
}

// TestBooksByTable: a table is taken in whole or not at all, each problem at its cell; what its columns are is remembered; what is
// written is taken in again and changes nothing.
func TestBooksByTable(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	table := func(name, do, csv string, has map[string]string) scene {
		return scene{name: name, as: office, do: do, send: csv, header: map[string]string{"Content-Type": "text/csv"}, status: 200, has: has}
	}
	const list = "Client;Tel.;Mail;Usual\nSaltmarsh Inn;555 0100;ann@saltmarsh.test;pinch-3\n\"Reed\nHouse\";;nobody;pinch-9\nSALTMARSH INN;;;\n"
	mapped := "/api/import/customers?map=" + url.QueryEscape(`{"Client":"name","Tel.":"phone","Mail":"mail","Usual":"heading"}`)
	good := strings.Replace(strings.Replace(list, "nobody;pinch-9", "reed@house.test;goblet", 1), "SALTMARSH INN;;;\n", "", 1)
	good = strings.Replace(good, "\"Reed\nHouse\"", "Reed House", 1)
	s.play(t, []scene{
		table("a column that nobody knows", "POST /api/import/customers", list, map[string]string{"new": "0", "problems.#": "3", "problems.0.code": "unknown_column", "problems.0.line": "1", "problems.0.column": "1"}),
		table("what is wrong, at its cell", "POST "+mapped, list, map[string]string{"new": "0", "changed": "0", "problems.#": "4",
			"problems.0.where": "name", "problems.0.line": "3", "problems.0.column": "1", "problems.1.where": "mail", "problems.1.line": "3", "problems.1.column": "3",
			"problems.2.where": "heading", "problems.2.column": "4", "problems.3.code": "duplicate", "problems.3.line": "5"}),
		{name: "nothing of it", as: office, do: "GET /api/customers", status: 200, has: map[string]string{"total": "0"}},
		table("tried", "POST "+mapped+"&try=true", good, map[string]string{"new": "2", "problems.#": "0"}),
		{name: "still nothing", as: office, do: "GET /api/customers", status: 200, has: map[string]string{"total": "0"}},
		table("taken", "POST "+mapped+"&key=i1", good, map[string]string{"new": "2", "changed": "0"}),
		table("sent again", "POST "+mapped+"&key=i1", good, map[string]string{"new": "2", "changed": "0"}),
		table("as the last time", "POST /api/import/customers", strings.Replace(good, "555 0100", "555 0111", 1), map[string]string{"new": "0", "changed": "1"}),
		table("by key and label", "POST /api/import/customers", "id,Also called,Phone\nsaltmarsh-inn,The Inn; Inn,+1 555 0111\n", map[string]string{"changed": "1"}),
		{name: "an empty cell leaves what there is", as: office, do: "GET /api/customers/saltmarsh-inn", status: 200,
			has: map[string]string{"mail": "ann@saltmarsh.test", "heading": "pinch-3", "phone": "+1 555 0111", "names.1": "Inn"}},
		table("not closed", "POST /api/import/customers", "name\n\"Reed", map[string]string{"problems.0.code": "bad_csv"}),
		table("nothing", "POST /api/import/customers", "\n", map[string]string{"problems.0.code": "bad_csv"}),
		table("without a name", "POST /api/import/customers", "phone\n555\n", map[string]string{"problems.0.code": "bad_csv"}),
		{name: "no table", as: office, do: "POST /api/import/customers", send: fields{}, status: 422, code: "bad_value"},
		{name: "cloths are none of accounts'", as: stations.Accounts, do: "POST /api/import/cloths", send: "name\n", header: map[string]string{"Content-Type": "text/csv"}, status: 403},
	})
	written := s.ask(t, scene{as: stations.Accounts, do: "GET /api/export/customers.csv", status: 200})
	if !strings.Contains(string(written.body), "The Inn; Inn") || !strings.Contains(string(written.body), ",'+1 555 0111,") {
		t.Errorf("the table:\n%s", written.body)
	}
	s.play(t, []scene{table("what was written", "POST /api/import/customers", string(written.body), map[string]string{"new": "0", "changed": "0", "problems.#": "0"})})
}

// TestBookPages: a person adds, mends, sets aside and merges entries, and brings a table in, by forms alone; accounts read the
// cloths and don't change them.
func TestBookPages(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	s.visit(t, office, "/books", 200, "/books/customers", "/books/phrases", "0 entries")
	s.visit(t, office, "/books/customers", 200, "Nothing here yet")
	s.visit(t, office, "/books/customers/new", 200, `name="certificate.until" value="" type="date"`)
	send := func(path string, form url.Values, status int, has ...string) answer {
		t.Helper()
		got := s.ask(t, scene{as: office, do: "POST " + path, send: form.Encode(), status: status,
			header: map[string]string{"Content-Type": "application/x-www-form-urlencoded", "Accept": "text/html"}})
		for _, part := range has {
			if !strings.Contains(string(got.body)+got.header.Get("Location"), part) {
				t.Errorf("%s: no %q in\n%s", path, part, got.body)
			}
		}
		return got
	}
	send("/books/customers/new", url.Values{"name": {"Saltmarsh Inn"}, "mail": {"ann"}, "hems.bottom": {"4 1/2"}}, 422, "isn&#39;t a mail address", `aria-invalid="true"`, `value="4 1/2"`)
	send("/books/customers/new", url.Values{"name": {"Saltmarsh Inn"}, "mail": {"ann@saltmarsh.test"}, "hems.bottom": {"4 1/2"}}, 303, "/books/customers/saltmarsh-inn?did=added")
	send("/books/customers/new", url.Values{"name": {"SALTMARSH INN"}}, 409, "has that name already")
	send("/books/customers/new", url.Values{"name": {"New"}}, 303, "/books/customers/entry?did=added")
	s.visit(t, office, "/books/customers/saltmarsh-inn?did=added", 200, "is in the book", "4 1/2 in", "added")
	send("/books/customers/saltmarsh-inn", url.Values{"name": {"Saltmarsh Inn"}, "phone": {"555 0100"}, "version": {"1"}}, 303, "did=changed")
	send("/books/customers/saltmarsh-inn", url.Values{"name": {"Saltmarsh Inn"}, "version": {"1"}}, 409, "since you opened it")
	s.visit(t, office, "/books/customers/entry?into=salt", 200, "Merge into Saltmarsh Inn")
	send("/books/customers/entry/merge", url.Values{"into": {"saltmarsh-inn"}}, 303, "/books/customers/saltmarsh-inn?did=merged")
	send("/books/customers/saltmarsh-inn/set-aside", url.Values{}, 303, "did=set_aside")
	s.visit(t, office, "/books/customers?find=salt", 200, "Nothing matches")
	s.visit(t, office, "/books/customers?find=salt&aside=true", 200, "Saltmarsh Inn")
	send("/books/customers/saltmarsh-inn/back", url.Values{}, 303, "did=back")

	send("/books/customers/import", url.Values{"source": {"Client,Mail\nReed House,nobody\n"}, "do": {"look"}}, 200, "Which field is &#34;Client&#34;?", "Mend these first")
	table := url.Values{"source": {"Client,Mail\nReed House,reed@house.test\n"}, "column": {"Client", "Mail"}, "field": {"name", "mail"}, "do": {"look"}}
	send("/books/customers/import", table, 200, "1 new", "Take it in")
	s.visit(t, office, "/books/customers", 200, "Saltmarsh Inn")
	table.Set("do", "take")
	send("/books/customers/import", table, 303, "/books/customers?did=imported&count=1")
	s.visit(t, office, "/books/customers?did=imported&count=1", 200, "1 entry taken in", "Reed House")
	send("/books/customers/import", url.Values{"source": {"name\n\"Reed"}, "do": {"look"}}, 422, "Line 2")

	s.ask(t, scene{as: office, do: "PUT /api/cloths/reed-oat", send: fields{"name": "Reed oat", "price": "18.50 USD"}, status: 201})
	s.visit(t, stations.Accounts, "/books", 200, "/books/cloths")
	if got := s.visit(t, stations.Accounts, "/books/cloths/reed-oat", 200, "18.50 USD"); strings.Contains(got, "<form method=\"post\" action=\"/books") {
		t.Error("accounts may change a cloth")
	}
	s.visit(t, stations.Accounts, "/books/rods", 403)
	s.visit(t, stations.Accounts, "/books/cloths/new", 403)
	s.visit(t, office, "/books/nothing", 404)
}

// TestBilledByCustomer: what two spellings of a customer, or two that were merged, have finished is billed together; another's
// isn't.
func TestBilledByCustomer(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	one := s.workThrough(t, s.release(t, "SMI-1"))
	two := s.workThrough(t, s.release(t, "SMI-2", "customer: Saltmarsh Inn", "customer: SALT MARSH INN", "id: R1", "id: R2"))
	three := s.workThrough(t, s.release(t, "SMI-3", "customer: Saltmarsh Inn", "customer: Tern Cottage", "id: R1", "id: R3"))
	s.play(t, []scene{
		{name: "two spellings", as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "2", "customers.0.customer": "Saltmarsh Inn",
			"customers.0.panels.#": "4", "customers.1.customer": "Tern Cottage"}},
		{name: "not another's", as: office, do: "POST /api/invoices", send: fields{"customer": "Saltmarsh Inn", "panels": append(slices.Clone(two), three...)}, status: 409, code: "other_customer"},
		{name: "merged", as: office, do: "POST /api/customers/tern-cottage/merge", send: fields{"into": "saltmarsh-inn"}, status: 200},
		{name: "one of three", as: office, do: "GET /api/ready", status: 200, has: map[string]string{"customers.#": "1", "customers.0.panels.#": "6"}},
		{name: "on one invoice, by the book's id", as: office, do: "POST /api/invoices", send: fields{"customer": "saltmarsh-inn", "panels": slices.Concat(one, two, three)}, status: 201,
			has: map[string]string{"customer": "Saltmarsh Inn", "lines.#": "6"}},
		{name: "the orders keep their names", as: office, do: "GET /api/orders/SMI-3", status: 200, has: map[string]string{"customer": "Tern Cottage"}},
	})
}

// TestListsGoByCustomer: the lists of orders and invoices, and what is looked for, go by the customer to whom a name leads: those of one
// who was renamed or merged are found by each name that an order or an invoice has, and listed under the one of today.
func TestListsGoByCustomer(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	bill := func(customer string, panels []string) string {
		return s.ask(t, scene{as: office, do: "POST /api/invoices", send: fields{"customer": customer, "panels": panels}, status: 201}).at("draft")
	}
	first := bill("Saltmarsh Inn", s.workThrough(t, s.release(t, "SMI-1")))
	tern := s.workThrough(t, s.release(t, "SMI-2", "customer: Saltmarsh Inn", "customer: Tern Cottage", "id: R1", "id: R2"))
	kite := s.workThrough(t, s.release(t, "SMI-3", "customer: Saltmarsh Inn", "customer: Café Kite", "id: R1", "id: R3"))
	// Tern Cottage is billed under a name that no order has, and renamed again.
	s.ask(t, scene{as: office, do: "PUT /api/customers/tern-cottage", send: fields{"name": "Heron Cottage"}, status: 200})
	second, third := bill("tern-cottage", tern), bill("Café Kite", kite)
	s.play(t, []scene{
		{as: office, do: "PUT /api/customers/tern-cottage", send: fields{"name": "Egret Cottage"}, status: 200},
		{as: office, do: "POST /api/customers/tern-cottage/merge", send: fields{"into": "saltmarsh-inn"}, status: 200},
		{as: office, do: "PUT /api/customers/saltmarsh-inn", send: fields{"name": "The Saltmarsh Hotel"}, status: 200},
	})
	lists := func(path string, links ...string) {
		t.Helper()
		page := s.visit(t, office, path, 200)
		for _, link := range []string{"/orders/SMI-1", "/orders/SMI-2", "/orders/SMI-3", "/invoices/" + first, "/invoices/" + second, "/invoices/" + third} {
			if got := strings.Contains(page, `href="`+link+`"`); got != slices.Contains(links, link) {
				t.Errorf("%s lists %s: %v", path, link, got)
			}
		}
	}
	for _, name := range []string{"The Saltmarsh Hotel", "Saltmarsh Inn", "Tern Cottage", "HERON cottage"} {
		lists("/orders?customer="+url.QueryEscape(name), "/orders/SMI-1", "/orders/SMI-2")
		lists("/ready?customer="+url.QueryEscape(name), "/invoices/"+first, "/invoices/"+second)
		lists("/orders?find="+url.QueryEscape(name), "/orders/SMI-1", "/orders/SMI-2")
		lists("/search?q="+url.QueryEscape(name), "/orders/SMI-1", "/orders/SMI-2", "/invoices/"+first, "/invoices/"+second)
	}
	lists("/orders?customer=cafe+kite", "/orders/SMI-3")
	lists("/ready?customer=cafe+kite", "/invoices/"+third)
	lists("/ready?customer=Nobody")
	lists("/ready", "/invoices/"+first, "/invoices/"+second, "/invoices/"+third)
	s.visit(t, office, "/orders", 200, "<option>The Saltmarsh Hotel</option>", "<option>Café Kite</option>", "Tern Cottage")
	s.visit(t, office, "/ready?customer=Tern+Cottage", 200, "<option selected>The Saltmarsh Hotel</option>", "Heron Cottage")
	s.visit(t, office, "/books/customers/saltmarsh-inn", 200, "/orders?customer=The%20Saltmarsh%20Hotel", "/ready?customer=The%20Saltmarsh%20Hotel#invoices")
	s.anew(t)
	lists("/ready?customer=Heron+Cottage", "/invoices/"+first, "/invoices/"+second)
}

// TestBooksChangeNoOrder: whatever is added to the books, changed, set aside and merged there, a taken order and a released one
// stay byte for byte: their files, work-ups, tickets and the board.
func TestBooksChangeNoOrder(t *testing.T) {
	s := openShop(t)
	office := stations.Office
	codes := s.release(t, "SMI-1")
	s.ask(t, scene{as: office, do: "POST /api/orders", send: orderFile(t, "SMI-2", "customer: Saltmarsh Inn", "customer: Tern Cottage", "id: R1", "id: R2"), status: 201})
	looked := append([]string{"/api/orders", "/api/orders/SMI-1", "/api/orders/SMI-2", "/api/orders/SMI-1/workup?explain=true", "/api/orders/SMI-2/workup", "/api/board"}, codes...)
	look := func() (all []string) {
		for _, at := range looked {
			if !strings.HasPrefix(at, "/") {
				at = "/api/tickets/" + at
			}
			all = append(all, string(s.ask(t, scene{as: office, do: "GET " + at, status: 200}).body))
		}
		return all
	}
	before := look()
	ids := map[string][]string{"customers": {"saltmarsh-inn", "tern-cottage"}, "cloths": {"reed", "sateen"}, "tapes": {"cart-4"}, "rods": {"pole"}}
	entries := map[string]fields{"customers": {"order_form": "X-{n}", "fullness": "3", "conventions": fields{"widths_rounding": "up_to_whole"}, "floor_note": "Ring twice"},
		"cloths": {"usable_width": "60", "vertical_repeat": "20"}, "tapes": {"kind": "cartridge", "period": "7", "space": "2"}, "rods": {"return": "5", "overlap": "9"}}
	rapid.Check(t, func(rt *rapid.T) {
		book := rapid.SampledFrom([]string{"customers", "cloths", "tapes", "rods"}).Draw(rt, "book")
		at := "/api/" + book + "/" + rapid.SampledFrom(ids[book]).Draw(rt, "entry")
		switch rapid.IntRange(0, 3).Draw(rt, "deed") {
		case 0:
			s.try(t, scene{as: office, do: "POST " + at + "/set_aside", send: fields{"back": rapid.Bool().Draw(rt, "back")}})
		case 1:
			s.try(t, scene{as: office, do: "POST " + at + "/merge", send: fields{"into": rapid.SampledFrom(ids[book]).Draw(rt, "into")}})
		default:
			entry := maps.Clone(entries[book])
			entry["name"] = rapid.StringMatching(`[A-Z][a-z]{2,8}`).Draw(rt, "name")
			s.try(t, scene{as: office, do: "PUT " + at, send: entry})
		}
	})
	for i, is := range look() {
		if is != before[i] {
			t.Errorf("%s\nwas %s\nis  %s", looked[i], before[i], is)
		}
	}
}
