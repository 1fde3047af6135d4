package cli_test

import (
	"crypto/tls"
	"crypto/x509"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// TestCertificates: after tablehand certificates the shop speaks HTTPS on the port of its plain HTTP, as its address says;
// by --cert and --key too.
func TestCertificates(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "shop")
	out, said, code := shoptest.Command(t, "certificates", "--data", dir, "--name", "shop.test")
	if code != 0 || !regexp.MustCompile(`(?m)^fingerprint: ([0-9A-F]{2}:){31}[0-9A-F]{2}$`).MatchString(out) || !strings.Contains(out, "shop.test") {
		t.Fatalf("exit %d\n%s%s", code, out, said)
	}
	if again, _, code := shoptest.Command(t, "certificates", "--data", dir); code != 0 || again != out {
		t.Errorf("a second time: exit %d\n%s", code, again)
	}
	if _, said, code := shoptest.Command(t, "certificates", "--data", dir, "--name", "other.test"); code != 1 || !strings.Contains(said, "other.test") {
		t.Errorf("a name that it wasn't made for: exit %d %s", code, said)
	}
	body, err := os.ReadFile(filepath.Join(dir, "certificates", "authority.pem"))
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AppendCertsFromPEM(body)
	reach := func(s *shoptest.Shop) {
		t.Helper()
		address, _ := s.Line("address")
		if !strings.HasPrefix(address, "https://") {
			t.Errorf("the address is %s", address)
		}
		transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}
		defer transport.CloseIdleConnections()
		client := http.Client{Transport: transport, Timeout: shoptest.Patience}
		for _, url := range []string{strings.Replace(s.URL, "http:", "https:", 1), s.URL} {
			res, err := client.Get(url + "/healthz")
			if err != nil {
				t.Errorf("%s: %v", url, err)
				continue
			}
			res.Body.Close()
		}
	}
	served := shoptest.Serve(t, dir)
	reach(served)
	served.Stop()

	files := []string{"--cert", filepath.Join(dir, "certificates", "authority.pem"), "--key", filepath.Join(dir, "certificates", "authority.key")}
	other := filepath.Join(t.TempDir(), "other")
	byFiles := shoptest.ServeBy(t, other, append(shoptest.ServeArgs(other), files...))
	if address, _ := byFiles.Line("address"); !strings.HasPrefix(address, "https://") {
		t.Errorf("by files the address is %s", address)
	}
	for want, args := range map[int][]string{2: files[:2], 1: {"--cert", files[1], "--key", filepath.Join(dir, "nowhere")}} {
		if _, said, code := shoptest.Command(t, append(shoptest.ServeArgs(filepath.Join(t.TempDir(), "x")), args...)...); code != want || said == "" {
			t.Errorf("%v: exit %d %s", args, code, said)
		}
	}
	if err := os.Chmod(files[3], 0o644); err != nil {
		t.Fatal(err)
	}
	if _, said, code := shoptest.Command(t, "serve", "--listen", "127.0.0.1:0", "--data", dir); code != 1 || !strings.Contains(said, "Others may read the key") {
		t.Errorf("a key that lies open: exit %d %s", code, said)
	}
}
