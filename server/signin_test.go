package server

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"tablehand/server/auth"
	"tablehand/server/edge"
	"tablehand/server/store"
)

// noTime is a clock that stands still, so that no guess is forgiven meanwhile.
func noTime() time.Time { return time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC) }

// crowd is how many addresses guess at once.
const crowd = 400

// guessedShop serves a shop behind a proxy, whose passphrase is kept as shops keep it, by a hash that costs.
func guessedShop(t testing.TB, clock func() time.Time) (ask func(from, passphrase, cookie string) *http.Response) {
	t.Helper()
	st, err := store.Open(t.Context(), store.Options{Dir: t.TempDir(), Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	keeper := auth.New(st.Access)
	keeper.Clock = clock
	if err := keeper.SetPassphrase(t.Context(), testPassphrase); err != nil {
		t.Fatal(err)
	}
	srv, err := New(Config{Store: st, Auth: keeper, Clock: clock, Address: "http://shop.test:8080", Proxies: []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32")}})
	if err != nil {
		t.Fatal(err)
	}
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go srv.Serve(ln)
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		if err := srv.Shutdown(ctx); err != nil {
			t.Error("shutdown:", err)
		}
	})
	client := &http.Client{Timeout: 60 * time.Second, Transport: &http.Transport{MaxIdleConnsPerHost: crowd}}
	t.Cleanup(client.CloseIdleConnections)
	return func(from, passphrase, cookie string) *http.Response {
		req, err := http.NewRequest("POST", "http://"+ln.Addr().String()+"/api/session", bytes.NewReader(fmt.Appendf(nil, `{"passphrase":%q}`, passphrase)))
		if err != nil {
			t.Error(err)
			return nil
		}
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("X-Forwarded-For", from)
		if cookie != "" {
			req.Header.Set("Cookie", cookie)
		}
		res, err := client.Do(req)
		if err != nil {
			t.Error(err)
			return nil
		}
		res.Body.Close()
		return res
	}
}

// knownCookie is the cookie by which a browser that has signed in is known.
func knownCookie(t testing.TB, res *http.Response) string {
	t.Helper()
	for _, c := range res.Cookies() {
		if c.Name == auth.KnownName && c.HttpOnly && c.MaxAge == 0 && !c.Expires.IsZero() {
			return c.Name + "=" + c.Value
		}
	}
	t.Fatalf("a sign-in that was let in leaves no cookie to be known by: %v", res.Cookies())
	return ""
}

// guessing has a crowd guess until it is stopped, each from an address of its own, again and again.
func guessing(t testing.TB, ask func(from, passphrase, cookie string) *http.Response) (guesses, away *atomic.Int64, stop func()) {
	guesses, away = new(atomic.Int64), new(atomic.Int64)
	var over atomic.Bool
	var running sync.WaitGroup
	for i := range crowd {
		running.Go(func() {
			for !over.Load() {
				switch res := ask(fmt.Sprintf("198.51.%d.%d", i/200, i%200+1), "a guess", ""); {
				case res == nil:
					return
				case res.StatusCode == http.StatusServiceUnavailable && res.Header.Get("Retry-After") == "1":
					away.Add(1)
				case res.StatusCode == http.StatusUnauthorized:
					guesses.Add(1)
				case res.StatusCode != http.StatusTooManyRequests:
					t.Errorf("a guess is answered %d, Retry-After %q", res.StatusCode, res.Header.Get("Retry-After"))
				}
			}
		})
	}
	return guesses, away, func() { over.Store(true); running.Wait() }
}

// TestSignInBesideGuesses: beside 400 addresses that guess without a pause, a browser that has signed in once gets its turn
// after the guess that is being tried, or the one that got it in the same moment; most of the guesses are sent away unheard.
func TestSignInBesideGuesses(t *testing.T) {
	ask := guessedShop(t, noTime)
	first := ask("203.0.113.7", testPassphrase, "")
	if first == nil || first.StatusCode != http.StatusNoContent {
		t.Fatal("the first sign-in:", first)
	}
	known := knownCookie(t, first)
	guesses, away, stop := guessing(t, ask)
	for deadline := time.Now().Add(20 * time.Second); away.Load() < crowd && time.Now().Before(deadline); {
		time.Sleep(time.Millisecond)
	}
	before := guesses.Load()
	res := ask("203.0.113.99", testPassphrase, known) // from elsewhere: it is the browser that is known
	overtook := guesses.Load() - before
	stop()
	if res == nil || res.StatusCode != http.StatusNoContent {
		t.Fatal("beside guesses:", res)
	}
	if away.Load() < crowd || overtook > 10 {
		t.Errorf("%d guesses were sent away, %d were heard while the honest sign-in waited", away.Load(), overtook)
	}
	// A forged one is a stranger's.
	if forged := ask("203.0.113.8", "a guess", known+"x"); forged.StatusCode != http.StatusUnauthorized {
		t.Error("a forged cookie:", forged.Status)
	}
}

// TestGuessesOfAKnownBrowser: a browser that signed in once has guesses of its own, which others at its address can't use
// up, and no more of them than anybody.
func TestGuessesOfAKnownBrowser(t *testing.T) {
	ask := guessedShop(t, noTime)
	const from = "203.0.113.7"
	known := knownCookie(t, ask(from, testPassphrase, ""))
	for range edge.GuessBurst {
		ask(from, "a guess", "")
	}
	if res := ask(from, testPassphrase, ""); res.StatusCode != http.StatusTooManyRequests {
		t.Error("a stranger after too many guesses from there:", res.Status)
	}
	if res := ask(from, testPassphrase, known); res.StatusCode != http.StatusNoContent {
		t.Error("the known browser beside them:", res.Status)
	}
	for range edge.GuessBurst {
		ask("203.0.113.9", "a guess", known)
	}
	if res := ask("203.0.113.10", testPassphrase, known); res.StatusCode != http.StatusTooManyRequests || res.Header.Get("Retry-After") == "" {
		t.Error("the known browser after too many of its own:", res.Status)
	}
	if strings.Contains(known, testPassphrase) {
		t.Error("the cookie has the passphrase")
	}
}

// TestSignInTakesThePlaceOfTheOneBefore: a browser has one sign-in; the one before it lets nobody in any more.
func TestSignInTakesThePlaceOfTheOneBefore(t *testing.T) {
	s := openShop(t)
	signIn := func(cookie string) string {
		t.Helper()
		got := s.ask(t, scene{do: "POST /api/session", send: fields{"passphrase": testPassphrase}, header: map[string]string{"Cookie": cookie}, status: 204})
		for _, set := range got.header.Values("Set-Cookie") {
			if cookie, _, _ := strings.Cut(set, ";"); strings.HasPrefix(cookie, auth.CookieName+"=") {
				return cookie
			}
		}
		t.Fatal("no cookie")
		return ""
	}
	first := signIn("x=y")
	second := signIn(first)
	for cookie, status := range map[string]int{first: 401, second: 200} {
		s.ask(t, scene{do: "GET /api/orders", header: map[string]string{"Cookie": cookie}, status: status})
	}
}

// BenchmarkSignInBesideGuesses measures how long an honest sign-in takes beside the guesses of 400 addresses that come at once:
// of a browser that has signed in once, of one that hasn't and comes back when told to, and of the first beside a crowd that
// guesses again as soon as it is answered.
func BenchmarkSignInBesideGuesses(b *testing.B) {
	ask := guessedShop(b, time.Now)
	known := knownCookie(b, ask("203.0.113.7", testPassphrase, ""))
	signIn := func(b *testing.B, cookie string) time.Duration {
		began := time.Now()
		for {
			switch res := ask("203.0.113.99", testPassphrase, cookie); {
			case res != nil && res.StatusCode == http.StatusNoContent:
				return time.Since(began)
			case res == nil || res.Header.Get("Retry-After") != "1":
				b.Fatal(res)
			}
			time.Sleep(time.Second)
		}
	}
	for name, cookie := range map[string]string{"known": known, "stranger": ""} {
		b.Run(name, func(b *testing.B) {
			var longest time.Duration
			for b.Loop() {
				var crowded sync.WaitGroup
				for i := range crowd {
					crowded.Go(func() { ask(fmt.Sprintf("198.51.%d.%d", i/200, i%200+1), "a guess", "") })
				}
				took := signIn(b, cookie)
				longest = max(longest, took)
				crowded.Wait()
			}
			b.ReportMetric(float64(longest.Milliseconds()), "ms-longest")
		})
	}
	b.Run("relentless", func(b *testing.B) {
		_, _, stop := guessing(b, ask)
		defer stop()
		var longest time.Duration
		for b.Loop() {
			longest = max(longest, signIn(b, known))
		}
		b.ReportMetric(float64(longest.Milliseconds()), "ms-longest")
	})
}
