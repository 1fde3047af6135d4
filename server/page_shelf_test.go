package server

import (
	"net/url"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestShelfByForms receives a bolt, inspects it, holds and frees it, all without script.
func TestShelfByForms(t *testing.T) {
	s := withCloths(t)
	s.visit(t, stations.Office, "/shelf", 200, "No cloth has come in yet")
	s.visit(t, stations.Office, "/shelf/receive", 200, "Reed, oat")
	come := url.Values{"cloth": {"reed-oat"}, "lot": {"L7"}, "supplier_piece": {"P1"}, "invoiced": {"50 yd"}, "place": {"3B"}}
	page := s.post(t, stations.Office, "/shelf/receive", come, false).header.Get("Location")
	s.visit(t, stations.Office, page, 200, "1 bolt is in", "labels.pdf")
	_, code, _ := strings.Cut(page, "new=")
	if got := s.post(t, stations.Office, "/shelf/receive", come, false); got.status != 409 || !strings.Contains(string(got.body), `name="again"`) {
		t.Errorf("the same piece again: %d", got.status)
	}
	come.Set("again", "yes")
	if got := s.post(t, stations.Office, "/shelf/receive", come, false); got.status != 303 {
		t.Errorf("another of that number: %d", got.status)
	}
	if got := s.post(t, stations.Office, "/shelf/receive", url.Values{"cloth": {"reed-oat"}, "invoiced": {"long"}}, false); got.status != 422 || !strings.Contains(string(got.body), `value="long"`) {
		t.Errorf("no length: %d", got.status)
	}
	at := "/b/" + code
	s.visit(t, stations.Bench, at, 200, "Reed, oat", "1800", "not inspected")
	s.visit(t, stations.Bench, "/t/"+code, 303)
	flaws := url.Values{"length": {"49.5 yd"}, "width_1": {"54in"}, "from": {"100in", "", "200in"}, "to": {"104in", "", ""}, "kind": {"weave", "", "hole"}, "points": {"", "", "edge"}}
	more := url.Values{"more": {"yes"}}
	for key, values := range flaws {
		more[key] = values
	}
	if got := s.post(t, stations.Bench, at+"/inspect", more, false); strings.Count(string(got.body), `name="from"`) != 2+5 || !strings.Contains(string(got.body), `value="104in"`) {
		t.Errorf("more rows are %d", strings.Count(string(got.body), `name="from"`))
	}
	if got := s.post(t, stations.Bench, at+"/inspect", flaws, false); got.status != 200 || !strings.Contains(string(got.body), "Less came than was invoiced") {
		t.Errorf("inspected: %d\n%s", got.status, got.body)
	}
	s.visit(t, stations.Bench, at, 200, "weaving fault", "2 points", "at the edge")
	if got := s.post(t, stations.Bench, at+"/inspect", url.Values{"from": {"9000in"}, "to": {""}, "kind": {""}, "points": {""}}, false); got.status != 422 || !strings.Contains(string(got.body), "9000in") {
		t.Errorf("off the bolt: %d", got.status)
	}
	do := func(status int, kv ...string) string {
		t.Helper()
		form := url.Values{}
		for i := 0; i+1 < len(kv); i += 2 {
			form.Set(kv[i], kv[i+1])
		}
		got := s.post(t, stations.Office, at, form, false)
		if got.status != status {
			t.Errorf("%v: %d, want %d", kv, got.status, status)
		}
		return string(got.body)
	}
	do(303, "action", "hold_bolt", "reason", "shade", "lot", "yes")
	s.visit(t, stations.Office, "/shelf", 200, "2 held")
	if body := do(422, "action", "free_bolt"); !strings.Contains(body, "Say why") {
		t.Errorf("freed without a reason:\n%s", body)
	}
	do(303, "action", "free_bolt", "reason", "matched")
	do(303, "action", "place", "place", "4A")
	s.visit(t, stations.Office, at+"?did=place", 200, "Put in place", `value="undo"`)
	do(303, "action", "undo")
	s.visit(t, stations.Office, "/shelf?find=3b", 200, code)
	do(303, "action", "keep", "customer", "Saltmarsh Inn")
	s.visit(t, stations.Office, at, 200, "kept for Saltmarsh Inn")
	do(303, "action", "unkeep")
	do(303, "action", "lose")
	s.visit(t, stations.Office, at, 200, "missing", `value="find"`)
	do(303, "action", "find")
	do(303, "action", "give_back", "reason", "wrong lot")
	s.visit(t, stations.Office, "/shelf/reed-oat?gone=true", 200, code)
	do(422, "action", "embroider")
	s.visit(t, stations.Office, "/shelf/kelp", 404)
	s.audited(t)
}
