package main

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

// fields is a JSON object as a test writes it.
type fields map[string]any

// request is one scene of a test: who asks what, and the answer that the contract promises.
type request struct {
	name   string
	as     string // the token that it comes with; empty: nobody's
	do     string // "POST /api/orders"
	send   any    // a string goes as it is (an order file), anything else as JSON
	status int    // 0: any refusal, 4xx
	code   string // of a refusal; "a|b" where the contract leaves it open
	has    map[string]string
	check  func(*testing.T, answer)
}

// play makes the requests in order, each as a subtest; a later one builds on those before it.
func (s *shop) play(t *testing.T, scenes []request) {
	t.Helper()
	for _, scene := range scenes {
		if !t.Run(scene.name, func(t *testing.T) { s.ask(t, scene) }) {
			t.Fatalf("%q failed; what follows builds on it", scene.name)
		}
	}
}

// ask makes one request and holds the answer against what the scene expects.
func (s *shop) ask(t *testing.T, want request) answer {
	t.Helper()
	got := s.send(t, want)
	switch {
	case want.status == 0 && (got.status < 400 || got.status > 499):
		t.Fatalf("%s: status %d, want a refusal\n%s", want.do, got.status, got.body)
	case want.status != 0 && got.status != want.status:
		t.Fatalf("%s: status %d, want %d %s\n%s", want.do, got.status, want.status, want.code, got.body)
	}
	if got.status >= 400 {
		got.mustExplain(t, want.do)
	}
	if want.code != "" && !oneOf(got.at("code"), want.code) {
		t.Errorf("%s: code %q, want %s\n%s", want.do, got.at("code"), want.code, got.body)
	}
	for path, value := range want.has {
		if got.at(path) != value {
			t.Errorf("%s: %s is %q, want %q\n%s", want.do, path, got.at(path), value, got.body)
		}
	}
	if want.check != nil {
		want.check(t, got)
	}
	return got
}

// send makes the request and returns whatever came back.
func (s *shop) send(t *testing.T, want request) answer {
	t.Helper()
	method, path, _ := strings.Cut(want.do, " ")
	got, err := exchange(patient, method, s.url+path, want.as, want.send)
	if err != nil {
		t.Fatalf("%s: %v", want.do, err)
	}
	return got
}

// patient gives up on an answer that doesn't come, or doesn't end.
var patient = &http.Client{Timeout: patience}

// exchange is the one place where the tests speak HTTP (but for streams and cookies).
func exchange(client *http.Client, method, url, token string, body any) (answer, error) {
	content, kind := encode(body)
	req, err := http.NewRequest(method, url, content)
	if err != nil {
		return answer{}, err
	}
	if body != nil {
		req.Header.Set("Content-Type", kind)
	}
	if token != "" {
		req.Header.Set("Authorization", "Bearer "+token)
	}
	res, err := client.Do(req)
	if err != nil {
		return answer{}, err
	}
	defer res.Body.Close()
	read, err := io.ReadAll(res.Body)
	return answer{res.StatusCode, res.Header, read}, err
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

// answer is what the shop said.
type answer struct {
	status int
	header http.Header
	body   []byte
}

// into decodes the answer.
func (a answer) into(t *testing.T, v any) {
	t.Helper()
	if err := json.Unmarshal(a.body, v); err != nil {
		t.Fatalf("%v\n%s", err, a.body)
	}
}

// at returns the value at a path such as "lines.0.amount.currency" as text; "" when there is none. A list ends in its
// length with "#": "lines.#".
func (a answer) at(path string) string {
	var here any
	decoder := json.NewDecoder(bytes.NewReader(a.body))
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

// seq is the place in the ledger of what was done.
func (a answer) seq(t *testing.T) int64 {
	t.Helper()
	seq, err := strconv.ParseInt(a.at("seq"), 10, 64)
	if err != nil || seq < 1 {
		t.Fatalf("no seq in %s", a.body)
	}
	return seq
}

// problem is one entry of `problems`.
type problem struct {
	Severity, Code, Where, Message string
	Line, Column                   int
}

func (a answer) problems(t *testing.T) []problem {
	t.Helper()
	var got struct{ Problems []problem }
	a.into(t, &got)
	return got.Problems
}

// mustExplain holds a refusal to its form: a code and a sentence, or problems that each have both.
func (a answer) mustExplain(t *testing.T, asked string) {
	t.Helper()
	if a.at("code") != "" && a.at("message") != "" {
		return
	}
	problems := a.problems(t)
	if len(problems) == 0 {
		t.Errorf("%s: %d without code and message, or problems\n%s", asked, a.status, a.body)
	}
	for _, p := range problems {
		if p.Code == "" || p.Message == "" {
			t.Errorf("%s: a problem without code or message\n%s", asked, a.body)
		}
	}
}

// oneOf reports whether the text is one of the words of "a|b|c".
func oneOf(text, words string) bool {
	for word := range strings.SplitSeq(words, "|") {
		if text == word {
			return true
		}
	}
	return false
}
