package server

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
	"tablehand/stations"
)

// shop is a server on a new store, with a clock that stands still and a token for each role.
type shop struct {
	*Server
	*desk.Desk
	describer *describer
	tokens    map[stations.Role]string
	clock     *clock
}

// clock is the shop's time in a test.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *clock) Add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}

const testPassphrase = "salt marsh reed bed"

// openShop opens a shop in a new folder until the test ends.
func openShop(t testing.TB) *shop {
	t.Helper()
	return openShopIn(t, t.TempDir())
}

// openShopIn opens the shop of a folder until the test ends.
func openShopIn(t testing.TB, dir string) *shop {
	t.Helper()
	ctx := context.Background()
	now := &clock{now: time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)}
	st, err := store.Open(ctx, store.Options{Dir: dir, Clock: now.Now})
	if err != nil {
		t.Fatal(err)
	}
	s := &shop{describer: newDescriber(t), tokens: map[stations.Role]string{}, clock: now}
	keeper := newTestKeeper(t, st, now.Now)
	for _, role := range edge.EveryRole {
		s.tokens[role] = newTestToken(t, keeper, role)
	}
	s.Server, err = New(Config{Store: st, Auth: keeper, Clock: now.Now, Address: "http://shop.test:8080", Zone: time.UTC, ShopName: "Saltmarsh Workroom"})
	if err != nil {
		t.Fatal(err)
	}
	s.Desk = s.Server.desk
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		if err := s.Shutdown(ctx); err != nil {
			t.Error("shutdown:", err)
		}
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// scene is one request and the answer that it must get.
type scene struct {
	name   string
	as     stations.Role // "" a stranger
	do     string        // "POST /api/orders"
	send   any           // a string goes as it is, anything else as JSON
	header map[string]string
	status int
	code   string            // of a refusal
	has    map[string]string // values by path: "lines.0.amount.amount"
}

// answer is what the server said.
type answer struct {
	status int
	header http.Header
	body   []byte
}

// play makes the requests in order; each builds on those before it.
func (s *shop) play(t *testing.T, scenes []scene) {
	t.Helper()
	for _, scene := range scenes {
		if !t.Run(scene.name, func(t *testing.T) { s.ask(t, scene) }) {
			t.FailNow()
		}
	}
}

// ask makes one request and holds the answer against the scene and the description.
func (s *shop) ask(t testing.TB, want scene) answer {
	t.Helper()
	got := s.try(t, want)
	if got.status != want.status {
		t.Fatalf("%s: status %d, want %d %s\n%s", want.do, got.status, want.status, want.code, got.body)
	}
	if want.code != "" && got.at("code") != want.code {
		t.Errorf("%s: code %q, want %q\n%s", want.do, got.at("code"), want.code, got.body)
	}
	for path, value := range want.has {
		if got.at(path) != value {
			t.Errorf("%s: %s is %q, want %q\n%s", want.do, path, got.at(path), value, got.body)
		}
	}
	return got
}

// try makes one request and holds the answer, whatever it is, against the description.
func (s *shop) try(t testing.TB, want scene) answer {
	t.Helper()
	sent := encode(t, want.send)
	res, err := s.app.Test(s.request(want, sent), -1)
	if err != nil {
		t.Fatal(err)
	}
	got := read(t, res)
	words := got.header.Get("Content-Type") != "application/pdf" // the bytes of a drawing may say anything
	if words && (strings.Contains(string(got.body), "⟨") || strings.Contains(string(got.body), "no value")) {
		t.Errorf("%s: the catalogue lacks a sentence, or a sentence an argument: %s", want.do, got.body)
	}
	if strings.Contains(want.do, " /api/") {
		s.describer.check(t, s.request(want, sent), sent, got)
	}
	return got
}

func (s *shop) request(want scene, sent []byte) *http.Request {
	method, path, _ := strings.Cut(want.do, " ")
	req := httptest.NewRequest(method, path, bytes.NewReader(sent))
	if _, text := want.send.(string); text {
		req.Header.Set("Content-Type", "application/yaml")
	} else if want.send != nil {
		req.Header.Set("Content-Type", "application/json")
	}
	if want.as != "" {
		req.Header.Set("Authorization", "Bearer "+s.tokens[want.as])
	}
	for name, value := range want.header {
		req.Header.Set(name, value)
	}
	return req
}

func read(t testing.TB, res *http.Response) answer {
	t.Helper()
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer{res.StatusCode, res.Header, body}
}

func encode(t testing.TB, body any) []byte {
	t.Helper()
	switch body := body.(type) {
	case nil:
		return nil
	case string:
		return []byte(body)
	}
	raw, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// at returns the value at a path as text, "" where there is none; "#" is the length of a list.
func (a answer) at(path string) string {
	var here any
	d := json.NewDecoder(bytes.NewReader(a.body))
	d.UseNumber()
	if d.Decode(&here) != nil {
		return ""
	}
	for key := range strings.SplitSeq(path, ".") {
		switch node := here.(type) {
		case map[string]any:
			here = node[key]
		case []any:
			i, err := strconv.Atoi(key)
			switch {
			case key == "#":
				return strconv.Itoa(len(node))
			case err != nil || i >= len(node):
				return ""
			}
			here = node[i]
		default:
			return ""
		}
	}
	if here == nil {
		return ""
	}
	return fmt.Sprint(here)
}

// listen serves the shop on a real connection and returns its address.
func (s *shop) listen(t testing.TB) string {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go s.Serve(ln)
	return "http://" + ln.Addr().String()
}

// ownBolts gives the bolts of every order but SMI-1 names of their own, so that no two examples are cut from one.
func ownBolts(file, name string) string {
	if name == "SMI-1" {
		return file
	}
	return strings.NewReplacer("{id: R1,", "{id: R1-"+name+",", "{id: S1,", "{id: S1-"+name+",").Replace(file)
}

// orderFile returns the example order under another name, changed by pairs of old and new text.
func orderFile(t testing.TB, name string, changes ...string) string {
	t.Helper()
	return ownBolts(example(t, name, changes...), name)
}

// example is orderFile with the example's own bolts.
func example(t testing.TB, name string, changes ...string) string {
	t.Helper()
	raw, err := os.ReadFile("../testdata/contract/order.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return strings.NewReplacer(append(changes, "order: SMI-014", "order: "+name)...).Replace(string(raw))
}

// fields is a JSON object as a test writes it.
type fields map[string]any

// release takes the example in under a name and releases it; it returns its tickets, cutting first.
func (s *shop) release(t testing.TB, name string, changes ...string) []string {
	t.Helper()
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: orderFile(t, name, changes...), status: 201})
	got := s.ask(t, scene{as: stations.Office, do: "POST /api/orders/" + name + "/release", send: fields{}, status: 200})
	var codes []string
	for i := 0; got.at(fmt.Sprintf("tickets.%d.ticket", i)) != ""; i++ {
		codes = append(codes, got.at(fmt.Sprintf("tickets.%d.ticket", i)))
	}
	return codes
}

var keys int

// scanOf returns the body of a scan with a new key; more is pairs of a field and its value.
func scanOf(code, action, station string, more ...any) fields {
	keys++
	body := fields{"ticket": code, "action": action, "station": station, "key": fmt.Sprint("k", keys)}
	for i := 0; i+1 < len(more); i += 2 {
		body[more[i].(string)] = more[i+1]
	}
	return body
}
