package typing

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// counter presses keys and counts them, as a person who types would: a character is a key, a key held down beside another one more.
type counter struct {
	*browser.Tab
	pressed int
}

func (k *counter) press(text string, with ...chromedp.Modifier) {
	k.T.Helper()
	k.pressed += utf8.RuneCountInString(text) + len(with)
	k.Keys(text, with...)
}

// in types into the field that has the focus, which must be that one, and goes on by Enter.
func (k *counter) in(field, text string) {
	k.T.Helper()
	if at := k.Focus(); !strings.HasSuffix(at, field) {
		k.T.Fatalf("the focus is at %q, want %s", at, field)
	}
	k.press(text + "\r")
}

// chooses types the beginning of a name that a book knows into the field that has the focus, and takes the first that is proposed.
func (k *counter) chooses(begin, field string) {
	k.T.Helper()
	if at := k.Focus(); at != field {
		k.T.Fatalf("the focus is at %q, want %s", at, field)
	}
	k.press(begin)
	k.Wait(`document.querySelector(".proposals [role=option]")`)
	k.press(kb.ArrowDown + "\r")
	k.Wait(`document.activeElement.name !== "` + field + `"`)
}

// paste has the browser paste a text that was copied elsewhere, by the two keys that do so.
func (k *counter) paste(text string) {
	k.T.Helper()
	k.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`(() => {
		const from = document.activeElement, box = document.body.appendChild(document.createElement("textarea"));
		box.value = %q; box.select(); document.execCommand("copy"); box.remove(); from.focus(); from.select?.();
	})()`, text)))
	k.pressed += 2
	k.Do(browser.KeyEvent(input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeRawKeyDown, Key: "v", Code: "KeyV", WindowsVirtualKeyCode: 86, Modifiers: 2, Commands: []string{"paste"}}),
		browser.KeyEvent(input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeKeyUp, Key: "v", Code: "KeyV", WindowsVirtualKeyCode: 86, Modifiers: 2}))
}

// save saves by its keys, once nothing is wrong.
func (k *counter) save(order string) {
	k.T.Helper()
	k.Wait(`document.getElementById("taking").dataset.errors === "0"`)
	k.press("\r", chromedp.ModifierCtrl)
	k.Wait(fmt.Sprintf(`location.pathname === "/orders/%s"`, order))
}

// most holds what was pressed to a bound, and tells it.
func (k *counter) most(what string, bound int) {
	k.T.Helper()
	k.T.Logf("%s: %d keys", what, k.pressed)
	if k.pressed > bound {
		k.T.Errorf("%s takes %d keys, at most %d are wanted", what, k.pressed, bound)
	}
}

// TestBrowserCountsKeys takes orders by keys alone and counts them.
func TestBrowserCountsKeys(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	at := func(t *testing.T, path string) *counter { return &counter{Tab: b.Tab(t, 1280, 900, path)} }

	t.Run("a first order of two lined windows", func(t *testing.T) {
		k := at(t, "/taking")
		k.Wait(`document.activeElement.name === "customer"`)
		for _, f := range [][2]string{{"customer", "Saltmarsh Inn"}, {"sidemark", ""}, {"due", "12182026"},
			{"fabrics.0.id", "reed"}, {"usable_width", "54"}, {"vertical_repeat", ""}, {"bolts.0.id", ""},
			{"fabrics.1.id", "sateen"}, {"usable_width", "54"}, {"vertical_repeat", ""}, {"bolts.0.id", ""},
			{"tapes.0.id", "cart-4"}, {".period", "6 1/2"}, {".space", "2 1/2"}, {".height", "4"}, {".cords", "3"},
			{"treatments.0.window", "Bay, left"}, {".room", "14"}, {".quantity", ""}, {".draw", ""}, {".face_width", "84"}, {".length_by", ""}, {".finished_length", "95 1/2"}} {
			k.in(f[0], f[1])
		}
		k.press(kb.F2)
		k.in(".window", "Bay, right")
		k.save("001")
		k.most("a first order of two lined windows", 120)
		var w struct {
			Treatments []struct{ Panels []shoptest.Fields }
		}
		s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/001/workup", Status: 200}).Into(t, &w)
		if len(w.Treatments) != 2 || w.Treatments[0].Panels[0]["lining_width"] == nil || w.Treatments[1].Panels[1]["lining_width"] == nil {
			t.Errorf("not two lined windows: %v", w)
		}
	})

	t.Run("the second for the same customer and cloth", func(t *testing.T) {
		first := at(t, "/orders/001/edit")
		first.Wait(`document.getElementById("taking").dataset.errors === "0"`) // what is told beside the cloths has come: it moves what is pressed
		for _, cloth := range []string{"0", "1"} {                             // one press keeps what was typed
			first.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#said").replaceChildren()`))
			first.Hit(`[data-group="fabrics.` + cloth + `"] [data-keep-entry]`)
			first.Wait(`document.querySelector("#said .done")`)
		}
		var got struct{ Customers []shoptest.Fields }
		s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/customers?find=salt", Status: 200}).Into(t, &got)
		usual := got.Customers[0]
		usual["heading"], usual["lining"], usual["order_form"] = "pinch-3", "sateen", "SMI-{n:3}"
		s.Ask(t, shoptest.Request{As: s.Office, Do: "PUT /api/customers/" + usual["id"].(string), Send: usual, Status: 200})

		k := at(t, "/taking")
		k.Wait(`document.activeElement.name === "customer"`)
		k.chooses("sa", "customer")
		k.in("sidemark", "")
		k.in("due", "12232026")
		k.chooses("re", "fabrics.0.id")
		k.in("tapes.0.id", "")
		for _, f := range [][2]string{{"treatments.0.window", "Den"}, {".room", ""}, {".quantity", ""}, {".draw", ""}, {".face_width", "84"}, {".length_by", ""}} {
			k.in(f[0], f[1])
		}
		k.press("95 1/2" + kb.F2 + "Hall")
		k.save("SMI-001")
		k.most("the second for the same customer and cloth", 45)
		var w struct {
			Treatments []struct {
				Window, Heading string
				Panels          []shoptest.Fields
				Fabrics         []shoptest.Fields
			}
		}
		s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/SMI-001/workup", Status: 200}).Into(t, &w)
		if len(w.Treatments) != 2 || w.Treatments[0].Heading != "pinch-3" || w.Treatments[1].Window != "Hall" || len(w.Treatments[1].Fabrics) != 2 {
			t.Errorf("it isn't as the customer has it: %+v", w)
		}
	})

	t.Run("an order like this one", func(t *testing.T) {
		k := at(t, "/orders/001")
		k.press(kb.F2)
		k.Wait(`document.activeElement.name === "due"`)
		k.press("01082027\r")
		k.Wait(`location.pathname === "/orders/002"`)
		k.most("an order like this one with a new due date", 15)
		if due := s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/002", Status: 200}).At("due"); due != "2027-01-08" {
			t.Errorf("it is due %s", due)
		}
	})

	t.Run("twelve windows from a spreadsheet", func(t *testing.T) {
		k := at(t, "/taking")
		k.Wait(`document.activeElement.name === "customer"`)
		for _, f := range [][2]string{{"customer", "Saltmarsh Inn"}, {"sidemark", ""}, {"due", "01152027"},
			{"fabrics.0.id", "reed"}, {"usable_width", "54"}, {"vertical_repeat", ""}, {"bolts.0.id", ""}, {"fabrics.1.id", ""}, {"tapes.0.id", ""}} {
			k.in(f[0], f[1])
		}
		var copied strings.Builder
		copied.WriteString("Window\tRoom\tWidth\tLength\tHeading\n")
		for i := range 12 {
			fmt.Fprintf(&copied, "Window %d\t%d\t%d\t95 1/2\tpinch-3\n", i+1, 20+i/2, 60+2*i)
		}
		k.paste(copied.String())
		k.Wait(`document.querySelectorAll("#results .numbers dl").length === 12`)
		k.save("003")
		k.most("twelve windows pasted", 60)
		var w struct {
			Treatments []struct{ Window, Heading string }
		}
		s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/003/workup", Status: 200}).Into(t, &w)
		if len(w.Treatments) != 12 || w.Treatments[11].Window != "Window 12" || w.Treatments[11].Heading != "pinch-3" {
			t.Errorf("pasted: %+v", w)
		}
	})
}

// TestBrowserTableOfWindows: rows go by arrows and Enter, a cell fills those under it, what is pasted goes in whole with each problem
// at its cell or not at all, and each can be taken back.
func TestBrowserTableOfWindows(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	k := &counter{Tab: c.SignIn(t, s).Tab(t, 1280, 900, "/taking")}
	k.Wait(`document.activeElement.name === "customer"`)
	names := func() string {
		return browser.Read[string](k.Tab, `[...document.querySelectorAll('[name$=".window"]')].map((f) => f.value).join("|")`)
	}
	k.in("customer", "Saltmarsh Inn")
	k.Do(chromedp.Focus(chromedp.CSS(`[name="treatments.0.window"]`)))
	k.paste("Den\t14\t1\tpair\t8x\nHall\t15\t2\tstationary\t60")
	k.Wait(`document.querySelector('[id="f-treatments.0.face_width-told"]')?.textContent.includes("8x")`)
	if at, is := names(), k.Focus(); at != "Den|Hall" || is != "treatments.0.window" {
		t.Errorf("pasted %q, the focus is at %s", at, is)
	}
	if own := browser.Read[string](k.Tab, `document.querySelector('[name="treatments.1000.finished_width"]').value`); own != "60" {
		t.Errorf("a stationary panel's own width is %q", own)
	}
	k.press(kb.ArrowDown)
	k.in("treatments.1000.window", "Hall, left")
	if is := k.Focus(); is != "treatments.1000.window" { // there is no row under it, so Enter goes on in it
		if is != "treatments.1000.room" {
			t.Errorf("Enter in the last row goes to %s", is)
		}
	}
	k.press(kb.ArrowUp + kb.ArrowRight + kb.ArrowRight)
	if is := k.Focus(); is != "treatments.0.draw" && is != "treatments.0.quantity" {
		t.Errorf("the arrows go to %s", is)
	}
	k.Do(chromedp.Focus(chromedp.CSS(`[name="treatments.0.room"]`)))
	k.press("21")
	k.press("d", chromedp.ModifierCtrl)
	if rooms := browser.Read[string](k.Tab, `[...document.querySelectorAll('[name$=".room"]')].map((f) => f.value).join("|")`); !strings.HasSuffix(rooms, "21") || strings.Count(rooms, "21") != 2 {
		t.Errorf("filled down: %s", rooms)
	}
	k.Do(chromedp.Focus(chromedp.CSS(`[name="treatments.0.window"]`)))
	k.paste("Window\tColour\nStudy\tred")
	k.Wait(`document.querySelector("#said .refused")?.textContent.includes("Colour")`)
	if at := names(); at != "Den|Hall, left" {
		t.Errorf("half of what was refused is taken: %q", at)
	}
	k.paste("Study\nPorch\nLoft")
	k.Wait(`document.querySelector("#said button")`)
	if at := names(); at != "Study|Porch|Loft" {
		t.Errorf("pasted over: %q", at)
	}
	k.Do(chromedp.Click(chromedp.CSS("#said button")))
	if at := names(); at != "Den|Hall, left" {
		t.Errorf("taken back: %q", at)
	}
}

// TestBrowserCustomersWays: choosing a customer fills in how that one's windows are made, conventions among it, where it is seen and can be
// changed; what somebody has typed stays, and what was filled in for another customer goes.
func TestBrowserCustomersWays(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	for _, customer := range []shoptest.Fields{
		{"name": "Saltmarsh Inn", "heading": "pinch-3", "fullness": "2.2", "hems": shoptest.Fields{"bottom": "5"},
			"conventions": shoptest.Fields{"widths_rounding": "up_to_whole", "edge_clear": "3", "lining_lift": "2"}},
		{"name": "Tern Cottage", "conventions": shoptest.Fields{"widths_rounding": "nearest_whole", "lining_lift": "1 1/2"}},
	} {
		s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/customers", Send: customer, Status: 201})
	}
	k := &counter{Tab: b.Tab(t, 1280, 900, "/taking")}
	k.Wait(`document.activeElement.name === "customer"`)
	is := func(field string) string {
		return browser.Read[string](k.Tab, `document.querySelector('[name="`+field+`"]')?.value ?? "none"`)
	}
	k.Do(chromedp.Evaluate[chromedp.Void](`(() => {
		const field = document.querySelector('[name="treatments.0.fullness"]');
		field.value = "3";
		field.dispatchEvent(new Event("input", { bubbles: true }));
	})()`))
	k.chooses("sa", "customer")
	k.Wait(`document.querySelector('select[name="conventions.widths_rounding"]')?.value === "up_to_whole"`)
	for field, want := range map[string]string{"conventions.edge_clear": "3", "conventions.lining_lift": "2", "treatments.0.heading": "pinch-3", "treatments.0.bottom_hem": "5",
		"treatments.0.fullness": "3"} {
		if got := is(field); got != want {
			t.Errorf("%s is %q, want %q", field, got, want)
		}
	}
	k.Sees(`[data-conventions] label`)
	k.Do(chromedp.Evaluate[chromedp.Void](`(() => {
		const field = document.querySelector('[name="conventions.edge_clear"]');
		field.value = "2 1/2";
		field.dispatchEvent(new Event("input", { bubbles: true }));
	})()`), chromedp.Evaluate[chromedp.Void](`document.querySelector('[name="customer"]').value = ""`), chromedp.Focus(chromedp.CSS(`[name="customer"]`)))
	k.chooses("te", "customer")
	k.Wait(`document.querySelector('[name="conventions.widths_rounding"]')?.value === "nearest_whole"`)
	k.Wait(`document.querySelector('input:not([type="hidden"])[name="conventions.lining_lift"]')?.value === "1 1/2"`)
	if got := is("conventions.edge_clear"); got != "2 1/2" {
		t.Errorf("what was typed is %q", got)
	}
	if file := browser.Read[string](k.Tab, `document.getElementById("source").value`); !strings.Contains(file, "edge_clear: 2 1/2") || !strings.Contains(file, "nearest_whole") || strings.Contains(file, "up_to_whole") {
		t.Errorf("the file says\n%s", file)
	}
}

// TestBrowserKeepsTyping: an order in typing is there again after the browser was closed, and after the shop was stopped.
func TestBrowserKeepsTyping(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	k := &counter{Tab: b.Tab(t, 1280, 900, "/taking")}
	k.Wait(`document.activeElement.name === "customer"`)
	k.in("customer", "Saltmarsh Inn")
	k.Do(chromedp.Focus(chromedp.CSS(`[name="treatments.0.window"]`)))
	k.press("Den")
	k.Wait(`Object.values(localStorage).some((text) => text.includes("Den"))`)
	s.Stop()
	k.press("mark")
	k.Wait(`Object.values(localStorage).some((text) => text.includes("Denmark"))`)
	k.Do(chromedp.Func(func(context.Context, *chromedp.Target) error { return chromedp.Cancel(k.Ctx) }))

	address := strings.TrimPrefix(s.URL, "http://")
	shoptest.ServeBy(t, s.Dir, []string{"serve", "--listen", address, "--data", s.Dir})
	again := &counter{Tab: b.Tab(t, 1280, 900, "/taking")}
	again.Wait(`document.querySelector("#said button") && document.querySelector('[name="treatments.0.window"]').value === "Denmark"`)
	if customer := browser.Read[string](again.Tab, `document.querySelector('[name="customer"]').value`); customer != "Saltmarsh Inn" {
		t.Errorf("the customer is %q", customer)
	}
	again.Do(chromedp.Click(chromedp.CSS("#said button")))
	again.Wait(`document.querySelector('[name="customer"]').value === "" && !Object.keys(localStorage).some((name) => name.startsWith("taking:"))`)
}

// TestBrowserTypesTwo: two orders typed side by side are each kept by its own tab: a reload brings each its own back, and what was typed
// in tabs that are closed comes back in the next ones, one each. An order that was kept before tabs had their own does, too.
func TestBrowserTypesTwo(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	typing := func(customer string) *counter {
		k := &counter{Tab: b.Tab(t, 1280, 900, "/taking")}
		if err := chromedp.Listen(k.Ctx, func(event any) {
			if _, asks := event.(*page.EventJavascriptDialogOpening); asks { // whether to leave what isn't saved
				go func() {
					_, _ = chromedp.Call(k.Ctx, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true})
				}()
			}
		}); err != nil {
			t.Fatal(err)
		}
		k.Wait(`document.activeElement.name === "customer"`)
		if is := browser.Read[string](k.Tab, `document.querySelector('[name="customer"]').value`); is != "" {
			t.Fatalf("a new tab begins with %q", is)
		}
		k.in("customer", customer)
		k.Wait(`Object.values(localStorage).some((text) => text.includes("` + strings.Fields(customer)[0] + `"))`)
		return k
	}
	brought := func(k *counter) string {
		k.Wait(`document.querySelector("#said button")`)
		return browser.Read[string](k.Tab, `document.querySelector('[name="customer"]').value`)
	}
	shut := func(k *counter) {
		k.Do(chromedp.Func(func(context.Context, *chromedp.Target) error { return chromedp.Cancel(k.Ctx) }))
	}
	one, two := typing("Saltmarsh Inn"), typing("Tern Cottage")
	for _, tab := range []struct {
		k    *counter
		want string
	}{{one, "Saltmarsh Inn"}, {two, "Tern Cottage"}} {
		tab.k.Do(chromedp.Reload())
		if is := brought(tab.k); is != tab.want {
			t.Errorf("a reload brings back %q in the tab of %q", is, tab.want)
		}
	}
	shut(one)
	third := &counter{Tab: b.Tab(t, 1280, 900, "/taking")}
	if is := brought(third); is != "Saltmarsh Inn" {
		t.Errorf("of two, one in an open tab, %q comes back", is)
	}
	shut(two)
	shut(third)
	var back []string
	for range 2 {
		back = append(back, brought(&counter{Tab: b.Tab(t, 1280, 900, "/taking")}))
	}
	slices.Sort(back)
	if !slices.Equal(back, []string{"Saltmarsh Inn", "Tern Cottage"}) {
		t.Errorf("what comes back is %q", back)
	}
	last := typing("Reed House") // and begins with nothing, since the others are open
	shut(last)
	b.Tab(t, 1280, 900, "/board").Do(chromedp.Evaluate[chromedp.Void](`(() => {
		const name = Object.keys(localStorage).find((name) => localStorage.getItem(name).includes("Reed"));
		localStorage.setItem("taking:/taking", localStorage.getItem(name));
		localStorage.removeItem(name);
	})()`))
	if is := brought(&counter{Tab: b.Tab(t, 1280, 900, "/taking")}); is != "Reed House" {
		t.Errorf("of an earlier version %q comes back", is)
	}
}
