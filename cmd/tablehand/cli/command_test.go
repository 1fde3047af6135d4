package cli_test

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tablehand/cmd/tablehand/cli"
	"tablehand/cmd/tablehand/shoptest"
)

func TestMain(m *testing.M) { shoptest.Main(m) }

func TestHelpIsInWords(t *testing.T) {
	for _, args := range [][]string{{"--help"}, {"demo", "--help"}, {"serve", "--help"}, {"workup", "--help"}, {"tickets", "--help"},
		{"token", "--help"}, {"owner", "--help"}, {"audit", "--help"}, {"backup", "--help"}, {"restore", "--help"}, {"import", "--help"}, {"certificates", "--help"}} {
		out, said, code := shoptest.Command(t, args...)
		if code != 0 || len(out) < 100 || strings.Contains(out+said, "⟨") || strings.Contains(out+said, "${") {
			t.Errorf("%v: exit %d\n%s%s", args, code, out, said)
		}
	}
}

// TestCommandsSpeakTheLanguageOfTheEnvironment: by POSIX, LC_ALL goes before LC_MESSAGES, and that before LANG.
func TestCommandsSpeakTheLanguageOfTheEnvironment(t *testing.T) {
	for _, tt := range []struct {
		all, messages, lang string
		spanish             bool
	}{
		{"", "", "", false}, {"", "", "C.UTF-8", false}, {"", "", "de_DE.UTF-8", false}, {"", "", "es_MX.UTF-8", true}, {"", "", "es_ES@euro", true},
		{"", "es_MX.UTF-8", "en_US.UTF-8", true}, {"en_US.UTF-8", "es_MX.UTF-8", "es_MX.UTF-8", false}, {"es_MX", "en_US.UTF-8", "C", true}, {"C", "", "es", false},
	} {
		t.Setenv("LC_ALL", tt.all)
		t.Setenv("LC_MESSAGES", tt.messages)
		t.Setenv("LANG", tt.lang)
		help, _, _ := shoptest.Command(t, "--help")
		worked, _, _ := shoptest.Command(t, "workup", shoptest.ExampleFile, "--explain")
		_, refused, _ := shoptest.Command(t, "audit", "--data", filepath.Join(t.TempDir(), "nowhere"))
		for _, said := range [][2]string{{help, "Calcula pedidos de cortinas"}, {worked, "Largo de corte"}, {refused, "No hay ningún taller"}} {
			if strings.Contains(said[0], said[1]) != tt.spanish {
				t.Errorf("LC_ALL=%s LC_MESSAGES=%s LANG=%s says\n%s", tt.all, tt.messages, tt.lang, said[0])
			}
		}
	}
}

func TestWrongUsage(t *testing.T) {
	for _, args := range [][]string{{}, {"nonsense"}, {"workup"}, {"workup", shoptest.ExampleFile, "--format", "pdf"}, {"token", "x"},
		{"token", "x", "--role", "owner"}, {"serve", "--nonsense"}, {"serve", "--proxy", "10.0.0.0/99"}, {"tickets", "SMI-014"},
		{"import"}, {"import", "x.csv", "--as", "orders"}, {"import", "x.json", "--map", "a=b"}} {
		if _, said, code := shoptest.Command(t, args...); code != 2 || said == "" {
			t.Errorf("%v: exit %d, said %q", args, code, said)
		}
	}
}

// What a person can mend is told so that they can, and ends with 1.
func TestCommandsSayWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	served := shoptest.Serve(t, filepath.Join(dir, "served"))
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, []byte("not a folder"), 0o600); err != nil {
		t.Fatal(err)
	}
	for says, args := range map[string][]string{
		"served by another": {"serve", "--listen", "127.0.0.1:0", "--data", served.Dir},
		"There is no shop":  {"audit", "--data", filepath.Join(dir, "nowhere")},
		"can't be used":     {"serve", "--listen", "127.0.0.1:0", "--data", filepath.Join(file, "in")},
		"is there already":  {"backup", file, "--data", served.Dir},
		"no such file":      {"workup", filepath.Join(dir, "nowhere.yaml")},
		"taken by another":  {"serve", "--listen", strings.TrimPrefix(served.URL, "http://"), "--data", filepath.Join(dir, "other")},
	} {
		if _, said, code := shoptest.Command(t, args...); code != 1 || !strings.Contains(said, says) {
			t.Errorf("%v: exit %d, said %q, want %q", args, code, said, says)
		}
	}
}

func TestBackupWhileServing(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	copied := filepath.Join(t.TempDir(), "shop", "tablehand.db")
	if err := os.MkdirAll(filepath.Dir(copied), 0o700); err != nil {
		t.Fatal(err)
	}
	if out, said, code := shoptest.Command(t, "backup", copied, "--data", s.Dir); code != 0 {
		t.Fatalf("exit %d\n%s%s", code, out, said)
	}
	again := shoptest.Serve(t, filepath.Dir(copied)) // the copy is a whole shop
	again.Office = again.Token(t, "Office", "office")
	again.Station = again.Office
	again.Expect(t, f.Panels[0].Ticket, "joining", "ready")
	again.Audit(t)
}

// A shop that is stopped in the moment in which it opens stops.
func TestStopWhileOpening(t *testing.T) {
	dir := t.TempDir()
	for range 20 {
		ctx, cancel := context.WithCancel(context.Background())
		ended := make(chan int, 1)
		go func() {
			ended <- cli.Run(ctx, shoptest.ServeArgs(dir), strings.NewReader(""), stopAtOnce{cancel}, io.Discard)
		}()
		select {
		case code := <-ended:
			if code != 0 {
				t.Fatalf("a shop that was stopped while it opened ends with %d", code)
			}
		case <-time.After(shoptest.Patience):
			t.Fatal("a shop that was stopped while it opened goes on")
		}
	}
}

// stopAtOnce stops the shop when it prints its address.
type stopAtOnce struct{ cancel context.CancelFunc }

func (s stopAtOnce) Write(p []byte) (int, error) {
	s.cancel()
	return len(p), nil
}

// TestTokensAreListedAndRevoked: all of a name end at once, also beside a running server.
func TestTokensAreListedAndRevoked(t *testing.T) {
	s := shoptest.Open(t)
	one, two, other := s.Token(t, "Label printer", "program"), s.Token(t, "Label printer", "station"), s.Token(t, "Books", "accounts")
	list := func() string {
		out, said, code := shoptest.Command(t, "token", "--list", "--data", s.Dir)
		if code != 0 {
			t.Fatalf("exit %d: %s", code, said)
		}
		return out
	}
	if out := list(); strings.Count(out, "Label printer") != 2 || !strings.Contains(out, "accounts") || strings.Contains(out, one) {
		t.Errorf("listed:\n%s", out)
	}
	if out, said, code := shoptest.Command(t, "token", "--revoke", "Label printer", "--data", s.Dir); code != 0 || !strings.Contains(out, "2 tokens ended") {
		t.Errorf("revoked: %d %s%s", code, out, said)
	}
	if _, said, code := shoptest.Command(t, "token", "--revoke", "Label printer", "--data", s.Dir); code != 1 || !strings.Contains(said, "No token is called Label printer") {
		t.Errorf("revoked again: %d %s", code, said)
	}
	if out := list(); strings.Contains(out, "Label printer") || !strings.Contains(out, "Books") {
		t.Errorf("listed afterwards:\n%s", out)
	}
	time.Sleep(1100 * time.Millisecond) // what another process revokes counts within a second
	for _, token := range []string{one, two} {
		s.Ask(t, shoptest.Request{As: token, Do: "GET /api/board", Status: 401})
	}
	s.Ask(t, shoptest.Request{As: other, Do: "GET /api/prices", Status: 200})
	for _, args := range [][]string{{"token"}, {"token", "x"}, {"token", "--role", "office"}, {"token", "x", "--role", "office", "--list"}, {"token", "--list", "--revoke", "x"}} {
		if _, _, code := shoptest.Command(t, args...); code != 2 {
			t.Errorf("%v: exit %d", args, code)
		}
	}
}

// TestReadingMakesNoShop: a command that only reads, given a wrong folder, says so and leaves nothing there.
func TestReadingMakesNoShop(t *testing.T) {
	empty, out := t.TempDir(), t.TempDir()
	for _, dir := range []string{filepath.Join(empty, "mistyped"), empty} {
		for _, args := range [][]string{{"audit"}, {"backup", filepath.Join(out, "copy.db")}, {"tickets", "SMI-1", "--out", filepath.Join(out, "t.pdf")}} {
			_, said, code := shoptest.Command(t, append(args, "--data", dir)...)
			if code != 1 || !strings.Contains(said, "no shop in "+dir) {
				t.Errorf("%v in %s: exit %d, %s", args, dir, code, said)
			}
		}
	}
	for _, dir := range []string{empty, out} {
		if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
			t.Errorf("left behind: %v, %v", left, err)
		}
	}
}
