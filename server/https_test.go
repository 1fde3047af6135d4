package server

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tablehand/server/auth"
	"tablehand/server/secure"
	"tablehand/server/store"
	"tablehand/stations"
)

// secureShop serves a shop that speaks HTTPS by an authority of its own; public makes that count as one that browsers trust.
func secureShop(t *testing.T, public bool) (port string, token string, pool *x509.CertPool) {
	t.Helper()
	dir := t.TempDir()
	if err := secure.Make(dir, []string{"shop.test"}, time.Now()); err != nil {
		t.Fatal(err)
	}
	authority, err := secure.Open(dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	st, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	keeper := newTestKeeper(t, st, time.Now)
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ = net.SplitHostPort(ln.Addr().String())
	c := Config{Store: st, Auth: keeper, ShopName: "Saltmarsh Workroom", Certificate: authority.ForHello, Authority: authority,
		Reach: func() []string { return []string{"https://127.0.0.1:" + port} }}
	if public {
		c.Authority = nil
	}
	if err := st.Set(t.Context(), store.Address, "http://127.0.0.1:"+port); err != nil { // as it was before HTTPS
		t.Fatal(err)
	}
	srv, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	if got := srv.Address(); got != "https://127.0.0.1:"+port {
		t.Errorf("codes lead to %s", got)
	}
	go srv.Serve(ln)
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		if err := srv.Shutdown(ctx); err != nil {
			t.Error("shutdown:", err)
		}
	})
	return port, newTestToken(t, keeper, stations.Office), authority.Pool()
}

// browserFor asks the shop by whatever name, trusting only its authority; it follows no redirect.
func browserFor(t *testing.T, port string, pool *x509.CertPool) func(method, url, body string, header ...string) (*http.Response, string) {
	t.Helper()
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}, DialContext: func(ctx context.Context, network, _ string) (net.Conn, error) {
		return (&net.Dialer{}).DialContext(ctx, network, "127.0.0.1:"+port)
	}}
	t.Cleanup(transport.CloseIdleConnections)
	client := &http.Client{Transport: transport, Timeout: 20 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	return func(method, url, body string, header ...string) (*http.Response, string) {
		t.Helper()
		req, err := http.NewRequest(method, url, strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i+1 < len(header); i += 2 {
			req.Header.Set(header[i], header[i+1])
		}
		res, err := client.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		said, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		return res, string(said)
	}
}

// TestHTTPS: on one port HTTPS and plain HTTP; cookies of HTTPS stay with it, and those of plain HTTP go on; a browser that has
// come by HTTPS is led there from older codes; a device that trusts nothing yet can learn how.
func TestHTTPS(t *testing.T) {
	port, token, pool := secureShop(t, false)
	ask := browserFor(t, port, pool)
	safe, plain := "https://127.0.0.1:"+port, "http://127.0.0.1:"+port
	const asPage = "text/html"
	signIn := func(base string) (cookies map[string]*http.Cookie) {
		t.Helper()
		res, said := ask("POST", base+"/api/session", `{"passphrase":"`+testPassphrase+`"}`, "Content-Type", "application/json")
		if res.StatusCode != http.StatusNoContent {
			t.Fatalf("%s: %s %s", base, res.Status, said)
		}
		cookies = map[string]*http.Cookie{}
		for _, c := range res.Cookies() {
			cookies[c.Name] = c
		}
		return cookies
	}
	overTLS, overPlain := signIn(safe), signIn(plain)
	for _, name := range []string{auth.CookieName, auth.KnownName} {
		c := overTLS["__Host-"+name]
		if c == nil || !c.Secure || !c.HttpOnly || c.Path != "/" || c.Domain != "" || c.SameSite != http.SameSiteLaxMode {
			t.Errorf("by HTTPS the cookie is %v", c)
		}
		if c := overPlain[name]; c == nil || c.Secure || !c.HttpOnly {
			t.Errorf("by plain HTTP the cookie is %v", c)
		}
	}
	mine := "__Host-tablehand=" + overTLS["__Host-"+auth.CookieName].Value
	theirs := "tablehand=" + overPlain[auth.CookieName].Value
	for _, tt := range []struct {
		name, url, cookie string
		status            int
	}{
		{"HTTPS by its cookie", safe + "/api/orders", mine, 200},
		{"plain by its cookie", plain + "/api/orders", theirs, 200},
		{"a device that was let in by plain HTTP", safe + "/api/orders", theirs, 200},
		{"both, of which the other is wrong", safe + "/api/orders", mine + "; tablehand=x.y", 200},
	} {
		if res, said := ask("GET", tt.url, "", "Cookie", tt.cookie); res.StatusCode != tt.status {
			t.Errorf("%s: %s %s", tt.name, res.Status, said)
		}
	}
	// Signed out is signed out, by which way ever it was signed in.
	if res, _ := ask("DELETE", safe+"/api/session", "", "Cookie", mine+"; "+theirs); res.StatusCode != http.StatusNoContent {
		t.Error("signing out:", res.Status)
	}
	for _, gone := range []string{mine, theirs} {
		if res, _ := ask("GET", safe+"/api/orders", "", "Cookie", gone); res.StatusCode != http.StatusUnauthorized {
			t.Errorf("signed out and still in by %s…: %s", gone[:10], res.Status)
		}
	}

	res, _ := ask("GET", safe+"/hello", "", "Accept", asPage)
	came := ""
	for _, c := range res.Cookies() {
		if c.Name == "tablehand_https" {
			came = c.Name + "=" + c.Value
		}
	}
	if named, _ := ask("GET", "https://shop.test:"+port+"/hello", ""); named.Header.Get("Strict-Transport-Security") != "" {
		t.Error("an authority that no browser trusts by itself binds browsers to HTTPS")
	}
	if res, _ := ask("GET", plain+"/t/ABC?x=1", "", "Accept", asPage, "Cookie", came); res.StatusCode != http.StatusFound || res.Header.Get("Location") != safe+"/t/ABC?x=1" {
		t.Errorf("an older code leads to %s %s", res.Status, res.Header.Get("Location"))
	}
	for name, header := range map[string][]string{"one that never came by HTTPS": {"Accept", asPage}, "a program": {"Cookie", came}, "through a proxy": {"Accept", asPage, "Cookie", came, "X-Forwarded-For", "10.0.0.9"}} {
		if res, _ := ask("GET", plain+"/hello", "", header...); res.StatusCode != http.StatusOK {
			t.Errorf("%s: %s", name, res.Status)
		}
	}

	// The page and the certificate, by plain HTTP and without a sign-in.
	if res, said := ask("GET", plain+"/trust", "", "Accept", asPage, "User-Agent", "Mozilla/5.0 (iPhone; CPU iPhone OS 26_0 like Mac OS X)"); res.StatusCode != http.StatusOK ||
		!strings.Contains(said, `<details class="panelled" open><summary>iPhone`) || !strings.Contains(said, "shop.test") || !strings.Contains(said, safe+"/hello") {
		t.Errorf("the page that leads a phone: %s\n%s", res.Status, said)
	}
	res, der := ask("GET", plain+"/trust/authority.crt", "")
	cert, err := x509.ParseCertificate([]byte(der))
	if err != nil || !cert.IsCA || res.Header.Get("Content-Type") != "application/x-x509-ca-cert" {
		t.Errorf("the certificate to trust: %v, %s", err, res.Header.Get("Content-Type"))
	}
	if res, said := ask("GET", safe+"/check?now=1", "", "Accept", asPage, "Authorization", "Bearer "+token); res.StatusCode != http.StatusOK || !strings.Contains(said, "The address answers") {
		t.Errorf("the self-check of HTTPS: %s", res.Status)
	}
}

// TestStrictTransport: browsers are bound to HTTPS only where they trust the certificate by themselves, came by HTTPS, and by a
// name.
func TestStrictTransport(t *testing.T) {
	port, _, pool := secureShop(t, true)
	ask := browserFor(t, port, pool)
	for url, want := range map[string]string{"https://shop.test:" + port: "max-age=31536000", "http://shop.test:" + port: "", "https://127.0.0.1:" + port: ""} {
		if res, _ := ask("GET", url+"/healthz", ""); res.Header.Get("Strict-Transport-Security") != want {
			t.Errorf("%s says %q", url, res.Header.Get("Strict-Transport-Security"))
		}
	}
	if res, _ := ask("GET", "https://shop.test:"+port+"/trust", "", "Accept", "text/html"); res.StatusCode == http.StatusOK {
		t.Error("a shop whose certificate browsers trust leads through trusting it")
	}
}

// TestNoHTTPS: a shop without certificates speaks plain HTTP alone, and leads nobody elsewhere.
func TestNoHTTPS(t *testing.T) {
	s := openShop(t)
	address := s.listen(t)
	s.ask(t, scene{do: "GET /hello", header: map[string]string{"Cookie": "tablehand_https=yes", "Accept": "text/html"}, status: 200})
	if _, err := tls.Dial("tcp", strings.TrimPrefix(address, "http://"), &tls.Config{InsecureSkipVerify: true}); err == nil {
		t.Error("TLS is spoken without a certificate")
	}
	if secure.Exists(filepath.Dir(t.TempDir())) {
		t.Error("a folder without an authority has one")
	}
	s.ask(t, scene{as: stations.Office, do: "GET /trust", status: 404, code: "not_found"})
}
