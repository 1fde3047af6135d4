package cli_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// aShop is a folder with a shop that nobody serves, which was set up by taking a table of one customer.
func aShop(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	if _, said, code := shoptest.Command(t, "token", "Office", "--role", "office", "--data", dir); code != 0 {
		t.Fatal(said)
	}
	return dir
}

// TestImport: a table comes into a book as it does on the book's page, all of it or nothing; every cell that is wrong is told at once,
// by line and column, with what to do; what a column is can be said, and is remembered; a served folder is left alone.
func TestImport(t *testing.T) {
	dir := aShop(t)
	bring := func(wantCode int, table, book string, more ...string) (out, said string) {
		t.Helper()
		file := shoptest.WriteFile(t, "table.csv", table)
		out, said, code := shoptest.Command(t, append([]string{"import", "--as", book, file, "--data", dir}, more...)...)
		said = strings.ReplaceAll(said, file, "table.csv")
		if code != wantCode {
			t.Fatalf("exit %d, want %d: %s%s", code, wantCode, out, said)
		}
		return out, said
	}
	wrong := "Name;Mail;Client of\nSaltmarsh Inn;inn@example.com;Ada\nTern;no address;Ada\nsaltmarsh inn;;\n"
	for _, want := range []string{`table.csv:1:3: Client of: Which field is "Client of"?`, "Nothing was taken in.", "--map", "price_list"} {
		if _, said := bring(1, wrong, "customers"); !strings.Contains(said, want) {
			t.Errorf("%q isn't in\n%s", want, said)
		}
	}
	_, said := bring(1, wrong, "customers", "--map", "Client of=")
	for _, want := range []string{"table.csv:3:2: Mail: ", "table.csv:4:1: Name: The same entry is on line 2"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q isn't in\n%s", want, said)
		}
	}
	if strings.Contains(said, "--map") {
		t.Errorf("no column is unknown, but\n%s", said)
	}
	right := strings.NewReplacer("no address", "tern@example.com", "saltmarsh inn", "The Heron").Replace(wrong)
	if out, _ := bring(0, right, "customers", "--map", "Client of=", "--try"); out != "3 new, 0 changed\n" {
		t.Errorf("a try says %q", out)
	}
	if out, _ := bring(0, right, "customers", "--map", "Client of="); out != "3 new, 0 changed\n" {
		t.Errorf("says %q: nothing of a wrong table, nor of a try, may be there", out)
	}
	if out, _ := bring(0, strings.Replace(right, "tern@", "hello@", 1), "customers"); out != "0 new, 1 changed\n" {
		t.Errorf("again it says %q", out)
	}
	bring(0, "cloth,use,usable_width\nreed-oat,face,54in\n", "cloths")
	bring(0, "name,kind\nPinch 3 in,cartridge\n", "tapes")
	bring(0, "name\nOak 28 mm\n", "rods")
	bring(0, "text,kind\nWaiting for cloth,hold\n", "phrases")
	if _, said := bring(1, "\"open", "cloths"); !strings.Contains(said, "table.csv:1:1: A quotation mark isn't closed") {
		t.Errorf("a file that can't be read says %q", said)
	}
	if err := os.WriteFile(filepath.Join(dir, "large.csv"), make([]byte, 9<<20), 0o600); err != nil {
		t.Fatal(err)
	}
	for says, args := range map[string][]string{
		"no such file":     {filepath.Join(dir, "nowhere.csv"), "--data", dir},
		"more than one":    {filepath.Join(dir, "large.csv"), "--data", dir},
		"There is no shop": {shoptest.WriteFile(t, "t.csv", right), "--data", filepath.Join(dir, "nowhere")},
	} {
		if _, said, code := shoptest.Command(t, append([]string{"import", "--as", "customers"}, args...)...); code != 1 || !strings.Contains(said, says) {
			t.Errorf("%v: exit %d, says %q", args, code, said)
		}
	}
	s := shoptest.Serve(t, dir)
	if _, said := bring(1, right, "customers"); !strings.Contains(said, "is served by another tablehand") {
		t.Errorf("a served folder: %q", said)
	}
	s.Office = s.Token(t, "Office 2", "office")
	got := s.Ask(t, shoptest.Request{Do: "GET /api/customers", As: s.Office, Status: 200})
	if !strings.Contains(string(got.Body), "hello@example.com") || strings.Count(string(got.Body), `"version"`) != 3 {
		t.Errorf("the shop has %s", got.Body)
	}
	s.Audit(t)
}

// TestImportOfADelivery: bolts come onto the shelf of a shop that nobody serves, all of a file or nothing, once however often it is
// brought; what is wrong is told at its cells.
func TestImportOfADelivery(t *testing.T) {
	dir := aShop(t)
	bring := func(wantCode int, table, as string, more ...string) (out, said string) {
		t.Helper()
		out, said, code := shoptest.Command(t, append([]string{"import", "--as", as, shoptest.WriteFile(t, "table.csv", table), "--data", dir}, more...)...)
		if code != wantCode {
			t.Fatalf("exit %d, want %d: %s%s", code, wantCode, out, said)
		}
		return out, said
	}
	bring(0, "cloth,use,usable_width\nreed-oat,face,54in\n", "cloths")
	const head = "cloth,lot,invoiced,place,count\n"
	_, said := bring(1, head+"reed,7,50 yd,3B,\nreed-oat,7,50 yd,3B,many\n", "bolts")
	for _, want := range []string{"table.csv:2:1: ", "table.csv:3:5: ", "Nothing was taken in."} {
		if !strings.Contains(said, want) {
			t.Errorf("%q isn't in\n%s", want, said)
		}
	}
	bring(2, head, "bolts", "--map", "a=b")
	delivery := head + "reed-oat,7,50 yd,3B,2\nreed-oat,8,40 yd,,\n"
	if out, _ := bring(0, delivery, "bolts", "--try"); out != "reed-oat  7  3B\nreed-oat  7  3B\nreed-oat  8\n" {
		t.Errorf("a try says %q", out)
	}
	first, _ := bring(0, delivery, "bolts")
	if again, _ := bring(0, delivery, "bolts"); strings.Count(first, "\n") != 3 || again != first {
		t.Errorf("brought twice: %q, then %q", first, again)
	}
	s := shoptest.Serve(t, dir)
	s.Office = s.Token(t, "Office 2", "office")
	if got := s.Ask(t, shoptest.Request{Do: "GET /api/bolts", As: s.Office, Status: 200}); strings.Count(string(got.Body), `"bolt":`) != 3 {
		t.Errorf("on the shelf: %s", got.Body)
	}
	s.Audit(t)
}

// TestImportOfAnExport: what /api/export.json says of a shop makes the same shop in another folder, where it is tried first, kept once,
// and sound; a file that is none says so, and nothing is taken.
func TestImportOfAnExport(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	whole := s.Ask(t, shoptest.Request{Do: "GET /api/export.json", As: s.Office, Status: 200}).Body
	file, dir := shoptest.WriteFile(t, "export.json", string(whole)), t.TempDir()
	bring := func(wantCode int, want string, args ...string) {
		t.Helper()
		out, said, code := shoptest.Command(t, append([]string{"import", "--data", dir}, args...)...)
		if code != wantCode || !strings.Contains(out+said, want) {
			t.Fatalf("exit %d, want %d: %s%s", code, wantCode, out, said)
		}
	}
	bring(1, "export.json: no such file", filepath.Join(dir, "export.json"))
	bring(1, "is no export of a shop", shoptest.ExampleFile)
	bring(1, "Nothing was taken in.", shoptest.WriteFile(t, "half.json", string(whole[:len(whole)/2])))
	bring(0, "Orders: 1,", file, "--try")
	bring(0, "Print the badges again", file)
	bring(1, "There is a shop in", file)
	again := shoptest.Serve(t, dir)
	again.Office = again.Token(t, "Office", "office")
	again.Station = again.Office
	again.Expect(t, f.Panels[0].Ticket, "joining", "ready")
	again.WorkTo(t, f.Panels[0].Ticket, "packing")
	again.Audit(t)
}
