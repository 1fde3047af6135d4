package edge

import (
	"sync"
	"sync/atomic"

	"github.com/valyala/fasthttp"
)

// Bounds of what requests bring, in bytes. A sign-in, which is all that a stranger has to send, takes a few hundred.
const (
	MaxBody     = 15 << 20 // of a request of somebody who is known
	strangeBody = 64 << 10 // of a stranger's
	allStrange  = 32 << 20 // of all strangers' requests that are under way: our own choice, as the next
	allKnown    = 96 << 20
)

// bodies counts what the requests under way bring, before it is read: the server makes room for a whole body at its
// header. A request is known by the header that it is read into, which the server uses for one at a time.
type bodies struct {
	known, strange atomic.Int64
	underWay       sync.Map // of *fasthttp.RequestHeader to room
}

// room is what a request has been given.
type room struct {
	in    *atomic.Int64 // nil where there was none left
	bytes int64
}

// take gives a request room, as many bytes as its body has or may have; ok is false where there is none left.
func (b *bodies) take(h *fasthttp.RequestHeader, in *atomic.Int64, bytes, most int64) (ok bool) {
	b.give(h)
	if in.Add(bytes) > most {
		in.Add(-bytes)
		b.underWay.Store(h, room{})
		return false
	}
	b.underWay.Store(h, room{in, bytes})
	return true
}

// give gives a request's room back, and reports whether it was refused any.
func (b *bodies) give(h *fasthttp.RequestHeader) (refused bool) {
	was, there := b.underWay.LoadAndDelete(h)
	if !there {
		return false
	}
	r := was.(room)
	if r.in == nil {
		return true
	}
	r.in.Add(-r.bytes)
	return false
}

// ReadAtMost says, by its header alone, how much of a request's body may be read. Who asks is looked up only for a body
// that a stranger may not send.
func (e *Edge) ReadAtMost(h *fasthttp.RequestHeader) fasthttp.RequestConfig {
	const inChunks, none = -1, -2
	length := int64(h.ContentLength())
	switch {
	case length == 0 || length == none:
		e.bodies.give(h)
		return fasthttp.RequestConfig{}
	case length == inChunks: // and so of any length
		length = MaxBody
	}
	switch {
	case length <= strangeBody:
		if e.bodies.take(h, &e.bodies.strange, length, allStrange) {
			return fasthttp.RequestConfig{MaxRequestBodySize: strangeBody}
		}
	case e.knows(h):
		if e.bodies.take(h, &e.bodies.known, min(length, MaxBody), allKnown) {
			return fasthttp.RequestConfig{MaxRequestBodySize: MaxBody}
		}
	case h.ContentLength() == inChunks:
		if e.bodies.take(h, &e.bodies.strange, strangeBody, allStrange) {
			return fasthttp.RequestConfig{MaxRequestBodySize: strangeBody}
		}
	default:
		return fasthttp.RequestConfig{MaxRequestBodySize: strangeBody} // it is longer, and so refused unread
	}
	return fasthttp.RequestConfig{MaxRequestBodySize: 1} // no room: refused unread
}

// knows reports whether a header has a token or cookie that the shop knows.
func (e *Edge) knows(h *fasthttp.RequestHeader) bool {
	_, err := e.whoIs(askingOf(h))
	return err == nil
}
