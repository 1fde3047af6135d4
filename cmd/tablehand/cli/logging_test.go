package cli_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"testing"

	"tablehand/cmd/tablehand/cli"
	"tablehand/cmd/tablehand/shoptest"
)

// TestLogForms: at info a served shop writes a line for each request, with the id that its answer carries, in the form that
// is asked for; without being asked to it writes none of that.
func TestLogForms(t *testing.T) {
	for name, tt := range map[string]struct {
		args []string
		has  func(line, id string) bool
	}{
		"json": {[]string{"--log", "json", "--log-level", "info"}, func(line, id string) bool {
			var entry map[string]any
			return json.Unmarshal([]byte(line), &entry) == nil && entry["msg"] == "request" && entry["request"] == id && entry["route"] == "/healthz"
		}},
		"text": {[]string{"--log-level", "info"}, func(line, id string) bool {
			return strings.Contains(line, "level=INFO msg=request request="+id+" method=GET route=/healthz status=200")
		}},
		"silent": {nil, nil},
	} {
		said, id := serveOnce(t, tt.args)
		if tt.has == nil {
			if strings.Contains(said, id) || strings.Contains(said, "level=") {
				t.Errorf("%s: the log says %q", name, said)
			}
			continue
		}
		var found int
		for line := range strings.Lines(said) {
			if tt.has(line, id) {
				found++
			}
		}
		if found != 1 {
			t.Errorf("%s: %d lines of request %s in\n%s", name, found, id, said)
		}
	}
}

// serveOnce serves a new shop for one request, and returns what it wrote on stderr and the request's id.
func serveOnce(t *testing.T, args []string) (said, id string) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	out, printed := io.Pipe()
	var stderr bytes.Buffer
	var ended sync.WaitGroup
	ended.Go(func() {
		code := cli.Run(ctx, append(shoptest.ServeArgs(t.TempDir()), args...), strings.NewReader(""), printed, &stderr)
		printed.CloseWithError(io.EOF)
		if code != 0 {
			t.Errorf("serve %v ended with %d: %s", args, code, stderr.String())
		}
	})
	first := make([]byte, 200)
	n, err := out.Read(first)
	if err != nil {
		t.Fatal(err)
	}
	go io.Copy(io.Discard, out)
	port := regexp.MustCompile(`address: \S+:(\d+)\n`).FindSubmatch(first[:n])
	if port == nil {
		t.Fatalf("serve printed %q", first[:n])
	}
	client := http.Client{Timeout: shoptest.Patience}
	res, err := client.Get("http://127.0.0.1:" + string(port[1]) + "/healthz")
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	cancel()
	ended.Wait()
	return stderr.String(), res.Header.Get("X-Request-Id")
}

// TestVersion: what --version prints stands in lines that a program can read, and opens no shop.
func TestVersion(t *testing.T) {
	out, said, code := shoptest.Command(t, "--version")
	if code != 0 || said != "" {
		t.Fatalf("exit %d, said %q", code, said)
	}
	for _, line := range []string{`(?m)^tablehand \S+$`, `(?m)^go: go1\.\d+\S*, \w+/\w+$`, `(?m)^sqlite: 3\.\d+\.\d+, with C$`} {
		if !regexp.MustCompile(line).MatchString(out) {
			t.Errorf("--version has no line %s:\n%s", line, out)
		}
	}
}
