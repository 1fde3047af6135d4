// Package pages is the list of all pages of a shop in each of their states, and the walk through them. Its folders walk, each
// through a part, so that two packages of go test share the time.
package pages

import (
	"os"
	"slices"
	"strings"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// Page is a page of the shop in one of its states: its address, and what is done there before it is looked at.
type Page struct {
	name  string // also of its pictures
	path  string
	by    string // who looks: "" the office, else "stranger", "long table" a bench of several stations, or the token of a device
	do    func(*browser.Tab)
	shop  *shoptest.Shop // another than the busy one; nil: that
	fails bool           // it is a page that says what went wrong
}

// openAll unfolds what is folded away.
func openAll(p *browser.Tab) {
	p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("details").forEach((d) => { d.open = true; })`))
}

// unfolds opens what folds a part of a page away.
func unfolds(p *browser.Tab, part string) {
	p.Do(chromedp.Evaluate[chromedp.Void]("document.querySelector(`" + part + "`).closest('details').open = true"))
}

// worked waits until the order form has its numbers.
func worked(p *browser.Tab) {
	p.Wait(`document.querySelector("#results .numbers dl") && "errors" in document.getElementById("taking").dataset`)
}

// changesLength asks for another length and comes to the page that shows what that changes; nothing is changed yet.
func changesLength(p *browser.Tab) {
	worked(p)
	p.Do(chromedp.Evaluate[chromedp.Void](`(() => { const e = document.querySelector('[name="treatments.0.finished_length"]'); e.value = "93"; e.dispatchEvent(new Event("input", {bubbles: true})); })()`))
	p.Do(chromedp.Click(chromedp.CSS("#taking .bar .main-action")))
	p.Wait(`document.querySelector('input[value="confirm"]')`)
}

// fillsIn fills in what a station asks for, and confirms its acts but for the last, which would finish the step.
func fillsIn(p *browser.Tab) {
	p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("#work [data-entry]").forEach((e, i) => {
		const choice = e.querySelector("input[type=radio]");
		if (choice) { choice.click(); return; }
		e.querySelector("input").value = e.querySelector(".target strong").textContent.replace("⁄", "/").replace(/[^0-9/., ].*/, "").trim();
		e.querySelector("input").dispatchEvent(new Event("input", { bubbles: true }));
	}); [...document.querySelectorAll("#work [data-all]")].slice(0, -1).forEach((c) => { if (!c.checked) c.click(); })`))
}

// goesBeyond fills in a step with a width that is too wide by far: it is asked about before the panel is held.
func goesBeyond(p *browser.Tab) {
	fillsIn(p)
	p.Do(chromedp.Evaluate[chromedp.Void](`{ const f = document.getElementById("entry-finished_width"); f.value = "50"; f.dispatchEvent(new Event("input", { bubbles: true })); }
		[...document.querySelectorAll("#work [data-all]")].at(-1).click()`))
	p.Wait(`document.querySelector(".bar .beyond:not([hidden])")`)
}

// wanted are the pages whose names hold one of the words of TABLEHAND_PAGES ("board,screen"), all where it is empty.
func wanted(pages []Page) []Page {
	words := strings.Split(os.Getenv("TABLEHAND_PAGES"), ",")
	return slices.DeleteFunc(pages, func(pg Page) bool {
		return !slices.ContainsFunc(words, func(word string) bool { return strings.Contains(pg.name, word) })
	})
}
