package plan

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestEverySlipIsCaught tries, on codes drawn at random, every other symbol at every place, and every swap of two
// symbols, neighbours or not.
func TestEverySlipIsCaught(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		code := NewCode(rapid.Uint64().Draw(t, "n"))
		if got, err := ParseCode(string(code)); err != nil || got != code {
			t.Fatalf("%s reads as %q: %v", code, got, err)
		}
		for i := range code {
			for _, other := range symbols {
				if slip := string(code[:i]) + string(other) + string(code[i+1:]); slip != string(code) {
					mustBeBad(t, slip, "check")
				}
			}
			for j := range i {
				swapped := []byte(code)
				if swapped[i], swapped[j] = code[j], code[i]; string(swapped) != string(code) {
					mustBeBad(t, string(swapped), "check")
				}
			}
		}
	})
}

func mustBeBad(t interface{ Fatalf(string, ...any) }, text, reason string) {
	got, err := ParseCode(text)
	var bad *CodeError
	if !errors.As(err, &bad) || bad.Text != text || bad.Reason != reason {
		t.Fatalf("%q reads as %q, %v: want an error for %s", text, got, err, reason)
	}
}

// TestDifferentNumbersDifferentCodes: a code is its number, written out.
func TestDifferentNumbersDifferentCodes(t *testing.T) {
	const full = 1<<40 - 1
	for n, want := range map[uint64]string{0: "00000000", 1: "00000001", 31: "0000000Z", 32: "00000010", full: "ZZZZZZZZ", full + 1: "00000000"} {
		if got := NewCode(n); string(got[:8]) != want || len(got) != 9 {
			t.Errorf("the code of %d is %s, want %s and a check symbol", n, got, want)
		}
	}
}

func TestParseCode(t *testing.T) {
	// 8 symbols, the last of which is 1 or 0 to be mistaken for a letter.
	code := NewCode(0x4A3C17E0_20)
	c := string(code)
	if !strings.ContainsAny(c, "01") {
		t.Fatalf("%s has nothing to mistake", c)
	}
	letters := strings.NewReplacer("0", "O", "1", "I").Replace(c)
	lower := strings.NewReplacer("0", "o", "1", "l").Replace(strings.ToLower(c))
	for _, text := range []string{
		c, strings.ToLower(c), letters, lower,
		c[:4] + "-" + c[4:8] + "-" + c[8:], " " + c[:3] + " " + c[3:6] + " " + c[6:] + "\r\n",
		"HTTP://192.168.1.20:8080/T/" + c, "http://shop.local/t/" + lower, "HTTPS://HOST/T/" + c + "/",
		"http://host/t/" + c + "?from=scan", "http://host/T/" + c + "#top", "HTTP://HOST/T/" + c[:4] + "-" + c[4:],
		"HTTPÑ--192.168.1.20Ñ8080-T-" + c, // a Spanish keyboard
		"HTTPÖ&&HOST&T&" + c,              // another one
		"httpç''host't'" + strings.ToLower(c),
	} {
		if got, err := ParseCode(text); err != nil || got != code {
			t.Errorf("%q reads as %q, %v; want %s", text, got, err, code)
		}
	}
	for text, reason := range map[string]string{
		"": "length", "  ": "length", c[:8]: "length", c + "0": "length", "0" + c: "length", "AB-" + c: "length", c + c: "length",
		"HTTP://HOST/T/" + c[:8]: "length", "HTTP://HOST/T/0" + c: "length", "http://host/t/": "length",
		c[:8] + "U": "symbol", c[:8] + "*": "length", c[:4] + "é" + c[4:8]: "length",
	} {
		mustBeBad(t, text, reason)
	}
}

func FuzzParseCode(f *testing.F) {
	f.Add("HTTP://HOST/T/" + string(NewCode(7)))
	f.Fuzz(func(t *testing.T, text string) {
		code, err := ParseCode(text)
		if err != nil {
			return
		}
		if again, err := ParseCode(string(code)); err != nil || again != code {
			t.Errorf("%q reads as %s, which reads as %q, %v", text, code, again, err)
		}
	})
}
