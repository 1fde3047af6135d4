// Package shoptest starts shops for the tests that drive the whole program from outside: what they know of it is its command
// line, the lines that serve prints, and HTTP.
package shoptest

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
	"syscall"
	"testing"
	"time"

	"tablehand/cmd/tablehand/cli"
)

// Patience is how long a test waits for what should come at once; it decides only how soon a failing test gives up.
const Patience = 40 * time.Second

// Shop is a running server and the tokens that the tests come with.
type Shop struct {
	URL, Dir string
	printed  *lockedBuffer
	Stop     func() // ends the server in order and waits for it

	Office, Program, Station, Other, Screen string
}

// Open serves a new shop in this process until the test ends.
func Open(t *testing.T) *Shop {
	t.Helper()
	return open(t, filepath.Join(t.TempDir(), "shop"))
}

// OpenSecure is Open of a shop that speaks HTTPS too, by certificates of its own.
func OpenSecure(t *testing.T) *Shop {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "shop")
	if out, said, code := Command(t, "certificates", "--data", dir); code != 0 {
		t.Fatalf("certificates: exit %d\n%s%s", code, out, said)
	}
	return open(t, dir)
}

func open(t *testing.T, dir string) *Shop {
	t.Helper()
	s := Serve(t, dir)
	s.Office = s.Token(t, "Office", "office")
	s.Program = s.Token(t, "Bookkeeping", "program")
	s.Station = s.Token(t, "Bench 1", "station")
	s.Other = s.Token(t, "Bench 2", "station")
	s.Screen = s.Token(t, "Wall", "screen")
	return s
}

// Serve runs serve on the folder in this process.
func Serve(t *testing.T, dir string) *Shop {
	t.Helper()
	return ServeBy(t, dir, ServeArgs(dir))
}

// ServeBy runs the subcommand that serves the folder in this process.
func ServeBy(t *testing.T, dir string, args []string) *Shop {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	var said lockedBuffer
	s := &Shop{Dir: dir, printed: new(lockedBuffer)}
	ended := make(chan int, 1)
	go func() { ended <- cli.Run(ctx, args, strings.NewReader(""), s.printed, &said) }()
	s.Stop = sync.OnceFunc(func() {
		cancel()
		select {
		case code := <-ended:
			if code != 0 {
				t.Errorf("serve ended with %d\n%s", code, said.String())
			}
		case <-time.After(Patience):
			t.Errorf("serve did not stop\n%s", said.String())
		}
	})
	t.Cleanup(s.Stop)
	s.awaitHealth(t, &said)
	return s
}

// StartProcess runs serve on the folder as a process of its own, to be killed by the test.
func StartProcess(t *testing.T, dir string, env ...string) (*Shop, *exec.Cmd) {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	var said lockedBuffer
	s := &Shop{Dir: dir, printed: new(lockedBuffer)}
	cmd := exec.Command(program, ServeArgs(dir)...)
	cmd.Env = append(append(os.Environ(), beMain+"=1"), env...)
	cmd.Stdout, cmd.Stderr = s.printed, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	s.Stop = sync.OnceFunc(func() {
		cmd.Process.Kill()
		cmd.Wait()
	})
	t.Cleanup(s.Stop)
	s.awaitHealth(t, &said)
	return s, cmd
}

// Interrupt ends the process as a service manager does and waits until it has stopped in order.
func Interrupt(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	select {
	case err := <-ended:
		if err != nil {
			t.Errorf("after SIGTERM: %v", err)
		}
	case <-time.After(Patience):
		t.Error("still running after SIGTERM")
	}
}

// ServeArgs is the command line that serves a folder at a free port.
func ServeArgs(dir string) []string {
	return []string{"serve", "--listen", "127.0.0.1:0", "--data", dir}
}

// awaitHealth reads the address that serve prints and waits until the shop answers there.
func (s *Shop) awaitHealth(t *testing.T, said *lockedBuffer) {
	t.Helper()
	for deadline := time.Now().Add(Patience); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		printed, ok := s.Line("address")
		if !ok {
			continue
		}
		address, err := url.Parse(printed)
		if err != nil || address.Port() == "" || address.Port() == "0" {
			t.Fatalf("serve printed the address %q: want a URL with the real port", printed)
		}
		s.URL = "http://127.0.0.1:" + address.Port()
		if res, err := http.Get(s.URL + "/healthz"); err == nil {
			res.Body.Close()
			if res.StatusCode == http.StatusOK {
				return
			}
		}
	}
	t.Fatalf("no healthy server\nstdout: %s\nstderr: %s", s.printed.String(), said.String())
}

// Line returns the value of one of the lines that serve prints first, such as "address".
func (s *Shop) Line(name string) (value string, printed bool) {
	for line := range strings.Lines(s.printed.String()) {
		if value, ok := strings.CutPrefix(line, name+": "); ok && strings.HasSuffix(value, "\n") {
			return strings.TrimSpace(value), true
		}
	}
	return "", false
}

// Token lets a device in while the server runs.
func (s *Shop) Token(t *testing.T, name, role string) string {
	t.Helper()
	out, _, code := Command(t, "token", name, "--role", role, "--data", s.Dir)
	token := strings.TrimSpace(out)
	if code != 0 || token == "" || strings.ContainsAny(token, " \n") {
		t.Fatalf("token %q of role %s: exit %d, printed %q: want the token alone", name, role, code, out)
	}
	return token
}

// Audit stops the server and asks the program whether its ledger and its tables agree.
func (s *Shop) Audit(t *testing.T) {
	t.Helper()
	s.Stop()
	if out, said, code := Command(t, "audit", "--data", s.Dir); code != 0 {
		t.Errorf("audit: exit %d\n%s%s", code, out, said)
	}
}

// Command runs one subcommand in this process.
func Command(t *testing.T, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*Patience)
	defer cancel()
	var out, said bytes.Buffer
	code = cli.Run(ctx, args, strings.NewReader(""), &out, &said)
	return out.String(), said.String(), code
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

// Passphrase returns the one that serve made and printed.
func (s *Shop) Passphrase(t *testing.T) string {
	t.Helper()
	for deadline := time.Now().Add(Patience); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if made, ok := s.Line("passphrase"); ok {
			return made
		}
	}
	t.Fatalf("a new shop printed no passphrase: %s", s.printed.String())
	return ""
}
