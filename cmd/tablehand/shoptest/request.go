package shoptest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"testing"
)

// Fields is a JSON object as a test writes it.
type Fields map[string]any

// Request is one scene of a test: who asks what, and the answer that server/interface.md promises.
type Request struct {
	Name   string
	As     string // the token that it comes with; empty: nobody's
	Do     string // "POST /api/orders"
	Send   any    // a string goes as it is (an order file), anything else as JSON
	Status int    // 0: any refusal, 4xx
	Code   string // of a refusal; "a|b" where either will do
	Has    map[string]string
	Check  func(*testing.T, Answer)
}

// Play makes the requests in order, each as a subtest; a later one builds on those before it.
func (s *Shop) Play(t *testing.T, scenes []Request) {
	t.Helper()
	for _, scene := range scenes {
		if !t.Run(scene.Name, func(t *testing.T) { s.Ask(t, scene) }) {
			t.Fatalf("%q failed; what follows builds on it", scene.Name)
		}
	}
}

// Ask makes one request and holds the answer against what the scene expects.
func (s *Shop) Ask(t *testing.T, want Request) Answer {
	t.Helper()
	got := s.Send(t, want)
	switch {
	case want.Status == 0 && (got.Status < 400 || got.Status > 499):
		t.Fatalf("%s: status %d, want a refusal\n%s", want.Do, got.Status, got.Body)
	case want.Status != 0 && got.Status != want.Status:
		t.Fatalf("%s: status %d, want %d %s\n%s", want.Do, got.Status, want.Status, want.Code, got.Body)
	}
	if got.Status >= 400 {
		got.MustExplain(t, want.Do)
	}
	if want.Code != "" && !OneOf(got.At("code"), want.Code) {
		t.Errorf("%s: code %q, want %s\n%s", want.Do, got.At("code"), want.Code, got.Body)
	}
	for path, value := range want.Has {
		if got.At(path) != value {
			t.Errorf("%s: %s is %q, want %q\n%s", want.Do, path, got.At(path), value, got.Body)
		}
	}
	if want.Check != nil {
		want.Check(t, got)
	}
	return got
}

// Send makes the request and returns whatever came back.
func (s *Shop) Send(t *testing.T, want Request) Answer {
	t.Helper()
	method, path, _ := strings.Cut(want.Do, " ")
	got, err := Exchange(Patient, method, s.URL+path, want.As, want.Send)
	if err != nil {
		t.Fatalf("%s: %v", want.Do, err)
	}
	return got
}

// Patient gives up on an answer that doesn't come, or doesn't end.
var Patient = &http.Client{Timeout: Patience}

// Exchange is the one place where the tests speak HTTP (but for streams and cookies).
func Exchange(client *http.Client, method, url, token string, body any) (Answer, error) {
	content, kind := encode(body)
	req, err := http.NewRequest(method, url, content)
	if err != nil {
		return Answer{}, err
	}
	if body != nil {
		req.Header.Set("Content-Type", kind)
	}
	if token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := client.Do(req)
	if err != nil {
		return Answer{}, err
	}
	defer res.Body.Close()
	read, err := io.ReadAll(res.Body)
	return Answer{res.StatusCode, res.Header, read}, err
}

func encode(body any) (io.Reader, string) {
	switch body := body.(type) {
	case nil:
		return http.NoBody, ""
	case string:
		return strings.NewReader(body), "application/yaml"
	default:
		raw, err := json.Marshal(body)
		if err != nil {
			panic(err)
		}
		return bytes.NewReader(raw), "application/json"
	}
}

// Answer is what the shop said.
type Answer struct {
	Status int
	Header http.Header
	Body   []byte
}

// Into decodes the answer.
func (a Answer) Into(t *testing.T, v any) {
	t.Helper()
	if err := json.Unmarshal(a.Body, v); err != nil {
		t.Fatalf("%v\n%s", err, a.Body)
	}
}

// At returns the value at a path such as "lines.0.amount.currency" as text; "" when there is none. A list ends in its
// length with "#": "lines.#".
func (a Answer) At(path string) string {
	var here any
	decoder := json.NewDecoder(bytes.NewReader(a.Body))
	decoder.UseNumber()
	if decoder.Decode(&here) != nil {
		return ""
	}
	for _, key := range strings.Split(path, ".") {
		switch node := here.(type) {
		case map[string]any:
			here = node[key]
		case []any:
			if key == "#" {
				return strconv.Itoa(len(node))
			}
			i, err := strconv.Atoi(key)
			if err != nil || i >= len(node) {
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

// Seq is the place in the ledger of what was done.
func (a Answer) Seq(t *testing.T) int64 {
	t.Helper()
	seq, err := strconv.ParseInt(a.At("seq"), 10, 64)
	if err != nil || seq < 1 {
		t.Fatalf("no seq in %s", a.Body)
	}
	return seq
}

// Problem is one entry of `problems`.
type Problem struct {
	Severity, Code, Where, Message string
	Line, Column                   int
}

func (a Answer) Problems(t *testing.T) []Problem {
	t.Helper()
	var got struct{ Problems []Problem }
	a.Into(t, &got)
	return got.Problems
}

// MustExplain holds a refusal to its form: a code and a sentence, or problems that each have both.
func (a Answer) MustExplain(t *testing.T, asked string) {
	t.Helper()
	if a.At("code") != "" && a.At("message") != "" {
		return
	}
	problems := a.Problems(t)
	if len(problems) == 0 {
		t.Errorf("%s: %d without code and message, or problems\n%s", asked, a.Status, a.Body)
	}
	for _, p := range problems {
		if p.Code == "" || p.Message == "" {
			t.Errorf("%s: a problem without code or message\n%s", asked, a.Body)
		}
	}
}

// OneOf reports whether the text is one of the words of "a|b|c".
func OneOf(text, words string) bool {
	for word := range strings.SplitSeq(words, "|") {
		if text == word {
			return true
		}
	}
	return false
}
