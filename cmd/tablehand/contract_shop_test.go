package main

import (
	"bytes"
	"context"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// The contract tests know the program by its contract alone: the command line, the lines that serve prints, and HTTP.
// They import nothing of ours and look into no table of the store.

// patience is how long a test waits for what should come at once; it decides only how soon a failing test gives up.
const patience = 20 * time.Second

// shop is a running server and the tokens that the tests come with.
type shop struct {
	url, dir string
	printed  *lockedBuffer
	stop     func() // ends the server in order and waits for it

	office, program, station, other, screen string
}

// openShop serves a new shop in this process until the test ends.
func openShop(t *testing.T) *shop {
	t.Helper()
	s := serveShop(t, filepath.Join(t.TempDir(), "shop"))
	s.office = s.token(t, "Office", "office")
	s.program = s.token(t, "Bookkeeping", "program")
	s.station = s.token(t, "Bench 1", "station")
	s.other = s.token(t, "Bench 2", "station")
	s.screen = s.token(t, "Wall", "screen")
	return s
}

// serveShop runs serve on the folder in this process.
func serveShop(t *testing.T, dir string) *shop {
	t.Helper()
	return serveBy(t, dir, serveArgs(dir))
}

// serveBy runs the subcommand that serves the folder in this process.
func serveBy(t *testing.T, dir string, args []string) *shop {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	var said lockedBuffer
	s := &shop{dir: dir, printed: new(lockedBuffer)}
	ended := make(chan error, 1)
	go func() { ended <- run(ctx, args, strings.NewReader(""), s.printed, &said) }()
	s.stop = sync.OnceFunc(func() {
		cancel()
		select {
		case err := <-ended:
			if code := exitCode(err); code != 0 {
				t.Errorf("serve ended with %d: %v\n%s", code, err, said.String())
			}
		case <-time.After(patience):
			t.Errorf("serve did not stop\n%s", said.String())
		}
	})
	t.Cleanup(s.stop)
	s.awaitHealth(t, &said)
	return s
}

// startProcess runs serve on the folder as a process of its own, to be killed by the test.
func startProcess(t *testing.T, dir string, env ...string) (*shop, *exec.Cmd) {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	var said lockedBuffer
	s := &shop{dir: dir, printed: new(lockedBuffer)}
	cmd := exec.Command(program, serveArgs(dir)...)
	cmd.Env = append(append(os.Environ(), beMain+"=1"), env...)
	cmd.Stdout, cmd.Stderr = s.printed, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	s.stop = sync.OnceFunc(func() {
		cmd.Process.Kill()
		cmd.Wait()
	})
	t.Cleanup(s.stop)
	s.awaitHealth(t, &said)
	return s, cmd
}

func serveArgs(dir string) []string {
	return []string{"serve", "--listen", "127.0.0.1:0", "--data", dir}
}

// awaitHealth reads the address that serve prints and waits until the shop answers there.
func (s *shop) awaitHealth(t *testing.T, said *lockedBuffer) {
	t.Helper()
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		printed, ok := s.line("address")
		if !ok {
			continue
		}
		address, err := url.Parse(printed)
		if err != nil || address.Port() == "" || address.Port() == "0" {
			t.Fatalf("serve printed the address %q: want a URL with the real port", printed)
		}
		s.url = "http://127.0.0.1:" + address.Port()
		if res, err := http.Get(s.url + "/healthz"); err == nil {
			res.Body.Close()
			if res.StatusCode == http.StatusOK {
				return
			}
		}
	}
	t.Fatalf("no healthy server\nstdout: %s\nstderr: %s", s.printed.String(), said.String())
}

// line returns the value of one of the lines that serve prints first, such as "address".
func (s *shop) line(name string) (value string, printed bool) {
	for line := range strings.Lines(s.printed.String()) {
		if value, ok := strings.CutPrefix(line, name+": "); ok && strings.HasSuffix(value, "\n") {
			return strings.TrimSpace(value), true
		}
	}
	return "", false
}

// token lets a device in while the server runs.
func (s *shop) token(t *testing.T, name, role string) string {
	t.Helper()
	out, _, code := command(t, "token", name, "--role", role, "--data", s.dir)
	token := strings.TrimSpace(out)
	if code != 0 || token == "" || strings.ContainsAny(token, " \n") {
		t.Fatalf("token %q of role %s: exit %d, printed %q: want the token alone", name, role, code, out)
	}
	return token
}

// audit stops the server and asks the program whether its ledger and its tables agree.
func (s *shop) audit(t *testing.T) {
	t.Helper()
	s.stop()
	if out, said, code := command(t, "audit", "--data", s.dir); code != 0 {
		t.Errorf("audit: exit %d\n%s%s", code, out, said)
	}
}

// command runs one subcommand in this process.
func command(t *testing.T, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*patience)
	defer cancel()
	var out, said bytes.Buffer
	err := run(ctx, args, strings.NewReader(""), &out, &said)
	return out.String(), said.String(), exitCode(err)
}

// lockedBuffer is written by the server while the test reads it.
type lockedBuffer struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.String()
}
