package page

import (
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/help"
)

func TestHelpFor(t *testing.T) {
	for path, want := range map[string]string{
		"/": "/help/home", "/board": "/help/board", "/orders": "/help/orders", "/orders/SMI-014": "/help/order",
		"/orders/SMI-014/edit": "/help/revision", "/orders/SMI-014/rules": "/help/rules", "/station/tape": "/help/tape",
		"/station/nowhere": "/help/station", "/t": "/help/ticket", "/t/7K3M9Q2T5": "/help/ticket", "/invoices/1042": "/help/invoices",
		"/board/": "/help/board", "/help": "", "/help/board": "", "/nowhere": "", "": "/help/home",
	} {
		if got := views.HelpFor(path); got != want {
			t.Errorf("%s: %q, want %q", path, got, want)
		}
	}
}

// helpPage renders a page of help, the index for no name.
func helpPage(t *testing.T, v *views.Views, name string, role stations.Role) string {
	t.Helper()
	p, ok := help.New(v.Say, frame("/help/"+name, role), nil, name)
	if !ok {
		t.Fatalf("there is no help of %q", name)
	}
	return rendered(t, v, p)
}

// words are what a page says, without its marks.
func words(page string) []string {
	return strings.Fields(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, " "))
}

// TestHelpPages: every page of help says something in every language, a page long, nothing is lacking in it, and what it
// leads to is there.
func TestHelpPages(t *testing.T) {
	known := views.HelpPages()
	link := regexp.MustCompile(`href="/help/([^"]+)"`)
	for _, tag := range i18n.Languages() {
		v, err := views.New(i18n.For(tag))
		if err != nil {
			t.Fatal(err)
		}
		led := map[string]bool{}
		for _, name := range append([]string{""}, known...) {
			page := helpPage(t, v, name, stations.Office)
			if strings.Contains(page, "⟨") || strings.Contains(page, "{") {
				t.Errorf("%s %s: a sentence is lacking:\n%s", tag, name, page)
			}
			most := 600
			if slices.Contains(plan.Stations(), plan.Station(name)) {
				most = 800 // it lists what the station shows and asks, by its row
			}
			if n := len(words(page)); name != "" && (n < 150 || n > most) {
				t.Errorf("%s %s has %d words; a page has 150 to %d with its frame: write help.at.%s in that language's catalogue so", tag, name, n, most, name)
			}
			for _, m := range link.FindAllStringSubmatch(page, -1) {
				if !slices.Contains(known, m[1]) {
					t.Errorf("%s %s leads to help that isn't there: %s", tag, name, m[1])
				}
				led[m[1]] = led[m[1]] || name == ""
			}
		}
		for _, name := range known {
			if !led[name] {
				t.Errorf("%s: the index doesn't lead to %s", tag, name)
			}
		}
	}
}

// TestHelpOfAStation: a station's page has all that the station's list asks, and its cautions.
func TestHelpOfAStation(t *testing.T) {
	v := newViews(t)
	say, hurting := i18n.For("en"), 0
	for _, s := range plan.Stations() {
		page := helpPage(t, v, string(s), stations.Bench)
		hurting += len(plan.Cautions(s))
		for _, c := range plan.Cautions(s) {
			if !strings.Contains(page, html.EscapeString(say.T("caution."+c))) {
				t.Errorf("%s doesn't tell %s", s, c)
			}
		}
		for _, c := range plan.ChecklistOf(s).Checks {
			if !strings.Contains(page, html.EscapeString(say.T("check."+c))) {
				t.Errorf("%s doesn't tell %s", s, c)
			}
		}
	}
	if hurting < 8 {
		t.Errorf("only %d cautions at all stations", hurting)
	}
}

func TestHelpUnknown(t *testing.T) {
	if _, ok := help.New(i18n.For("en"), views.Frame{}, nil, "nothing"); ok {
		t.Error("help that isn't there")
	}
}

func TestHelpOfAFrame(t *testing.T) {
	for _, tt := range []struct {
		path string
		role stations.Role
		want string
	}{
		{"/board", stations.Office, "/help/board"}, {"/nowhere", stations.Bench, "/help/trouble"}, {"/help/board", stations.Office, ""},
		{"/sign-in", "", "/help/sign-in"}, {"/nowhere", "", ""},
	} {
		if got := frame(tt.path, tt.role).Help(); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.path, got, tt.want)
		}
	}
}

// helped are what a person can do or write that takes a word of help, by the page of help that has it.
var helped = map[string][]string{
	"home":     {"pair.accept"},
	"taking":   {"taking.field.bolts.from", "taking.field.treatments.return_other", "taking.field.treatments.widths", "taking.field.treatments.pleats", "taking.field.treatments.under"},
	"order":    {"ending.panel", "page.order.close", "taking.field.bolts.from", "page.order.release"},
	"station":  {"table.flaw", "table.spoil", "table.rest"},
	"cutting":  {"table.flaw", "table.spoil", "table.rest"},
	"invoices": {"page.credit.credit", "page.credit.issue"},
}

// TestHelpNamesWhatCanBeDone: the words on the button or the field stand in the help, so that it can be looked up.
func TestHelpNamesWhatCanBeDone(t *testing.T) {
	for _, tag := range i18n.Languages() {
		say := i18n.For(tag)
		v, err := views.New(say)
		if err != nil {
			t.Fatal(err)
		}
		for name, keys := range helped {
			page := helpPage(t, v, name, stations.Office)
			for _, key := range keys {
				if !strings.Contains(page, `<b class="word">`+html.EscapeString(say.T(key))+`</b>`) {
					t.Errorf("%s: the help of %s doesn't say %q", tag, name, say.T(key))
				}
			}
		}
	}
}
