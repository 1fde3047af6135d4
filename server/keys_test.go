package server

import (
	"strings"
	"testing"

	"tablehand/stations"
)

// TestKeysOfTheOffice: what the office asks with a key and asks again, because no answer came, is done once and
// answered as the first time; another wish with that key is refused.
func TestKeysOfTheOffice(t *testing.T) {
	s := openShop(t)
	file := orderFile(t, "SMI-1")
	revised := strings.Replace(file, "due: 2026-12-18", "due: 2026-12-21", 1)
	if revised == file {
		t.Fatal("the example's due date has changed: this test needs another file to revise by")
	}
	prices := map[string]any{"currency": "USD", "rows": []any{map[string]any{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}
	twice := func(do string, send map[string]any, status int, other map[string]any) answer {
		t.Helper()
		send["key"], other["key"] = do, do
		first := s.ask(t, scene{as: stations.Office, do: do, send: send, status: status})
		seq := s.Desk.Store.Floor().Seq()
		again := s.ask(t, scene{as: stations.Office, do: do, send: send, status: status})
		if string(again.body) != string(first.body) || s.Desk.Store.Floor().Seq() != seq {
			t.Errorf("%s again: %s, first %s", do, again.body, first.body)
		}
		s.ask(t, scene{as: stations.Office, do: do, send: other, status: 409, code: "key_reused"})
		return first
	}
	fileTwice := func(do, file, other string, status int) {
		t.Helper()
		first := s.ask(t, scene{as: stations.Office, do: do, send: file, status: status})
		if again := s.ask(t, scene{as: stations.Office, do: do, send: file, status: status}); string(again.body) != string(first.body) {
			t.Errorf("%s again: %s, first %s", do, again.body, first.body)
		}
		s.ask(t, scene{as: stations.Office, do: do, send: other, status: 409, code: "key_reused"})
	}
	fileTwice("POST /api/orders?key=take", file, revised, 201)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: file, status: 409, code: "order_exists"})
	fileTwice("PUT /api/orders/SMI-1?from=1&key=revise", revised, file, 200)
	s.ask(t, scene{as: stations.Office, do: "PUT /api/orders/SMI-1?from=1", send: revised, status: 409, code: "revised_meanwhile"})
	twice("POST /api/orders/SMI-1/release", map[string]any{}, 200, map[string]any{"override": true, "reason": "cloth is on its way"})

	s.ask(t, scene{as: stations.Office, do: "PUT /api/prices?key=prices", send: prices, status: 200})
	s.ask(t, scene{as: stations.Office, do: "PUT /api/prices?key=prices", send: prices, status: 200})
	s.ask(t, scene{as: stations.Office, do: "PUT /api/prices?key=prices", send: map[string]any{"currency": "EUR", "rows": []any{}}, status: 409, code: "key_reused"})

	s.workThrough(t, s.release(t, "DONE-1"))
	ready := s.ask(t, scene{as: stations.Office, do: "GET /api/ready", status: 200})
	panel, customer := ready.at("customers.0.panels.0.ticket"), ready.at("customers.0.customer")
	draft := twice("POST /api/invoices", map[string]any{"customer": customer, "panels": []string{panel}}, 201,
		map[string]any{"customer": customer, "panels": []string{ready.at("customers.0.panels.1.ticket")}}).at("draft")
	issue := "POST /api/invoices/" + draft + "/issue"
	first := s.ask(t, scene{as: stations.Office, do: issue, send: map[string]any{"key": "i"}, status: 200})
	if again := s.ask(t, scene{as: stations.Office, do: issue, send: map[string]any{"key": "i"}, status: 200}); string(again.body) != string(first.body) {
		t.Errorf("issued again: %s, first %s", again.body, first.body)
	}
	twice("POST /api/invoices/"+first.at("number")+"/credit", map[string]any{"whole": true, "frees": true, "reason": "wrong customer"}, 201,
		map[string]any{"whole": true, "frees": false, "reason": "wrong customer"})

	s.release(t, "CLOSED-1")
	twice("POST /api/orders/CLOSED-1/cancel", map[string]any{"reason": "the inn is sold"}, 200, map[string]any{"reason": "the inn isn't sold"})
	codes := s.release(t, "CLOSED-2")
	s.workThrough(t, codes[:2])
	twice("POST /api/orders/CLOSED-2/close", map[string]any{"reason": "the inn is sold"}, 200, map[string]any{"reason": "the inn isn't sold"})

	long := strings.Repeat("k", 65)
	for do, send := range map[string]any{
		"POST /api/orders?key=" + long: file, "PUT /api/orders/SMI-1?key=" + long: file, "PUT /api/prices?key=" + long: prices,
		"POST /api/orders/SMI-1/release": map[string]any{"key": long}, "POST /api/orders/SMI-1/close": map[string]any{"key": long, "reason": "x"},
		"POST /api/invoices": map[string]any{"key": long, "customer": "x", "panels": []string{panel}}, issue: map[string]any{"key": long},
		"POST /api/invoices/" + draft + "/credit": map[string]any{"key": long, "whole": true, "frees": true, "reason": "x"},
	} {
		s.ask(t, scene{as: stations.Office, do: do, send: send, status: 422, code: "bad_value", has: map[string]string{"field": "key"}})
	}
}
