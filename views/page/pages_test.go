package page

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/bench"
)

func newViews(t *testing.T) *views.Views {
	t.Helper()
	v, err := views.New(i18n.For("en"))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func rendered(t *testing.T, v *views.Views, p views.Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := v.Render(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var (
	inlineScript = regexp.MustCompile(`(?i)<script(?:\s[^>]*)?>[^<]+</script>|\son[a-z]+\s*=|javascript:`)
	inlineStyle  = regexp.MustCompile(`(?i)\sstyle\s*=|<style`)
	anID         = regexp.MustCompile(`\sid="([^"]+)"`)
	aReference   = regexp.MustCompile(`\s(?:for|form|aria-labelledby|aria-describedby)="([^"]+)"`)
	assetAddress = regexp.MustCompile(`(?:href|src)="(/assets/[^"]+)"`)
)

// TestPages holds what is true of every page: whole HTML, nothing inline (the content policy would drop it), every
// sentence in the catalogue, ids that are there once, and every asset that it names.
func TestPages(t *testing.T) {
	v := newViews(t)
	preview := os.Getenv("TABLEHAND_PREVIEW") // a folder to write the pages to, to look at them
	for name, p := range samples(v) {
		t.Run(name, func(t *testing.T) {
			page := rendered(t, v, p)
			if preview != "" {
				writePreview(t, v, preview, name, page)
			}
			if err := wellFormed(page); err != nil {
				t.Errorf("not well-formed: %v", err)
			}
			if found := inlineScript.FindString(page); found != "" {
				t.Errorf("inline script: %q", found)
			}
			if found := inlineStyle.FindString(page); found != "" {
				t.Errorf("inline style: %q", found)
			}
			for _, bad := range []string{"⟨", "<no value>", "%!", "ZgotmplZ"} {
				if i := strings.Index(page, bad); i >= 0 {
					t.Errorf("%q near %q", bad, page[max(0, i-60):min(len(page), i+60)])
				}
			}
			if forms, tokens := strings.Count(page, `method="post"`), strings.Count(page, `name="form_token" value="token-of-this-sign-in"`); forms != tokens {
				t.Errorf("%d forms change something, %d carry the token", forms, tokens)
			}
			ids := map[string]bool{}
			for _, m := range anID.FindAllStringSubmatch(page, -1) {
				if ids[m[1]] {
					t.Errorf("id %q is there twice", m[1])
				}
				ids[m[1]] = true
			}
			for _, m := range aReference.FindAllStringSubmatch(page, -1) {
				for _, id := range strings.Fields(m[1]) {
					if !ids[id] {
						t.Errorf("%q refers to an id that isn't there", id)
					}
				}
			}
			for _, m := range assetAddress.FindAllStringSubmatch(page, -1) {
				if _, ok := v.Assets.Find(m[1]); !ok {
					t.Errorf("asset %s isn't there", m[1])
				}
			}
		})
	}
}

// wellFormed reports an element that isn't closed, or closed where it was not opened.
func wellFormed(page string) error {
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		_, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

func writePreview(t *testing.T, v *views.Views, folder, name, page string) {
	t.Helper()
	for _, m := range assetAddress.FindAllStringSubmatch(page, -1) {
		asset, _ := v.Assets.Find(m[1])
		page = strings.ReplaceAll(page, m[1], filepath.Base(m[1]))
		if err := os.WriteFile(filepath.Join(folder, filepath.Base(m[1])), asset.Body, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(folder, name+".html"), []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestEntriesStartEmpty holds the rule of the bench: nothing is filled in or ticked for whoever measures.
func TestEntriesStartEmpty(t *testing.T) {
	v := newViews(t)
	page := rendered(t, v, samples(v)["station-work"])
	entries := regexp.MustCompile(`<input id="entry-[^>]*>`).FindAllString(page, -1)
	if len(entries) != 4 {
		t.Fatalf("%d entries, want 4", len(entries))
	}
	for _, e := range entries {
		if !strings.Contains(e, ` value=""`) {
			t.Errorf("entry is filled in: %s", e)
		}
	}
	if strings.Contains(page, `" checked>`) {
		t.Error("a check is ticked or a choice made")
	}
	for _, target := range []string{`<span class="num"><span class="fraction"><sup>1</sup>⁄<sub>4</sub></span> <small>in</small></span>`, `<span class="num">20</span>`} {
		if !strings.Contains(page, target) {
			t.Errorf("the target %s is not shown", target)
		}
	}
	kept := rendered(t, v, samples(v)["station-tried"])
	if !strings.Contains(kept, `name="measured.drop" value="1/4"`) || !strings.Contains(kept, `value="tape_steamed" checked`) {
		t.Error("what was typed is lost by a refused finish")
	}
}

// TestMainAction holds that a station page has one action that moves the work on, and which.
func TestMainAction(t *testing.T) {
	v := newViews(t)
	for name, want := range map[string]string{
		"station": "start", "station-work": "finish", "station-accept": "accept",
		"station-held": "", "station-uncut": "", "station-finished": "", "ticket": "",
	} {
		var got []string
		for _, m := range regexp.MustCompile(`<button class="main-action" form="work" name="action" value="([a-z_]+)"`).FindAllStringSubmatch(rendered(t, v, samples(v)[name]), -1) {
			got = append(got, m[1])
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: main actions %q, want %q", name, got, want)
		}
	}
}

// TestConcurrentRenders has many requests render at once, each its own page whole; run it with -race.
func TestConcurrentRenders(t *testing.T) {
	v := newViews(t)
	want := rendered(t, v, samples(v)["board"])
	var wg sync.WaitGroup
	for range 20 {
		wg.Go(func() {
			var b bytes.Buffer
			if err := v.Render(&b, samples(v)["board"]); err != nil || b.String() != want {
				t.Errorf("a render differs (error %v)", err)
			}
		})
	}
	wg.Wait()
}

// TestNothingIsMarkup holds that an order's own texts stay text.
func TestNothingIsMarkup(t *testing.T) {
	v := newViews(t)
	o := openTicket(stations.Ready, stations.Bench)
	o.Window = `<script>alert(1)</script>`
	o.Notes = []string{`"><img src=x onerror=alert(1)>`}
	page := rendered(t, v, bench.TicketPage{Frame: frame("/t/7K3M9Q2T5", stations.Bench), Open: *o})
	if strings.Contains(page, "<script>alert") || strings.Contains(page, "<img") {
		t.Error("a window's name or a note became markup")
	}
}

// A window's number is told where the order has several alike, on whatever list its panel stands alone.
func TestAWindowHasOneNameEverywhere(t *testing.T) {
	v, err := views.New(i18n.For("en"))
	if err != nil {
		t.Fatal(err)
	}
	for copies, want := range map[int]string{1: "Bay, left\u00a0·\u00a0R", 3: "Bay, left 1\u00a0·\u00a0R"} {
		spec := &plan.Ticket{Kind: plan.PanelTicket, Window: "Bay, left", Panel: "R", Copy: 1, Copies: copies,
			Steps: []plan.Step{{Station: plan.Tape}}}
		ticket := &stations.Ticket{Spec: spec, Steps: []stations.StepNow{{Spec: &spec.Steps[0], State: stations.Ready}}}
		if got := v.PieceName(views.PiecesOf([]*stations.Ticket{ticket}, "2026-11-25")[0]); got != want {
			t.Errorf("one of %d windows alike is %q, want %q", copies, got, want)
		}
	}
}
