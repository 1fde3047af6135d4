package edge

import (
	"testing"

	"github.com/valyala/fasthttp"
)

// header is that of a request of a length, -1: in chunks.
func header(length int) *fasthttp.RequestHeader {
	h := &fasthttp.RequestHeader{}
	h.SetMethod("POST")
	h.SetContentLength(length)
	return h
}

// Strangers' bodies have a bound in all, which a request gives back when it is over, and a header that is used anew
// has given back what it had.
func TestRoomOfStrangers(t *testing.T) {
	e := &Edge{}
	var under []*fasthttp.RequestHeader
	for range allStrange / strangeBody {
		h := header(strangeBody)
		if got := e.ReadAtMost(h).MaxRequestBodySize; got != strangeBody {
			t.Fatalf("the %d. may bring %d", len(under)+1, got)
		}
		under = append(under, h)
	}
	late := header(100)
	if got := e.ReadAtMost(late).MaxRequestBodySize; got >= 100 {
		t.Errorf("one too many may bring %d", got)
	}
	if !e.bodies.give(late) || e.bodies.give(late) {
		t.Error("one too many has to be told so, once")
	}
	if e.bodies.give(under[0]) || e.ReadAtMost(late).MaxRequestBodySize != strangeBody {
		t.Error("one that is over makes room for the next")
	}
	for range 3 {
		if got := e.ReadAtMost(late).MaxRequestBodySize; got != strangeBody {
			t.Errorf("the next on that connection may bring %d", got)
		}
	}
	for _, h := range append(under, late) {
		e.bodies.give(h)
	}
	if left := e.bodies.strange.Load(); left != 0 {
		t.Errorf("%d bytes are never given back", left)
	}
	none := header(0)
	if got := e.ReadAtMost(none).MaxRequestBodySize; got != 0 || e.bodies.give(none) {
		t.Errorf("a request without a body: %d", got)
	}
}
