package api

import (
	"context"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"runtime/debug"
	"slices"
	"strconv"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/live"
	"tablehand/stations"
	"tablehand/stations/board"
)

const (
	heartbeat   = 15 * time.Second // a dead connection shows only by a failed write
	streamWrite = 10 * time.Second // how long one write may take
	streamLife  = 30 * time.Minute // then the browser comes back by itself, as whoever it then is
	streamRetry = 2 * time.Second  // how soon it comes back
	streamAsk   = time.Second      // how often it asks where nothing happens whether its sign-in still holds
)

// streamEvents: GET /api/events. Last-Event-ID, or ?after=SEQ, replays what came after; else from now. One that has
// seen another history (?epoch=), or more than the ledger has, since that was restored from a copy, is told so and goes
// on from now.
func (a *API) streamEvents(c *fiber.Ctx) error {
	after, err := a.resumePoint(c)
	if err != nil {
		return err
	}
	first := fmt.Sprintf("retry: %d\n\n", streamRetry.Milliseconds())
	epoch := a.Desk.Store.Epoch()
	if now := a.Desk.Store.Floor().Seq(); after > now || c.Query("epoch", epoch) != epoch {
		after = now
		first += fmt.Sprintf("id: %d\nevent: restart\ndata: {\"seq\":%d,\"epoch\":%q}\n\n", now, now, epoch)
	}
	changes, err := a.hub.Subscribe(after)
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "text/event-stream")
	c.Set(fiber.HeaderConnection, "close") // it ends where the stream does
	c.Set("X-Accel-Buffering", "no")       // a proxy must not gather it
	st := stream{api: a, changes: changes, stillIn: a.StillIn(c), request: edge.RequestID(c), first: append(answerHeader(c), first...)}
	a.streams.Add(1)
	// The connection becomes the stream's own: on its way through the server's each event would wake two more
	// goroutines. It runs after this handler has ended, when c belongs to another request.
	c.Context().HijackSetNoResponse(true)
	c.Context().Hijack(st.run)
	return nil
}

// answerHeader returns the lines that begin an answer of no known length.
func answerHeader(c *fiber.Ctx) []byte {
	lines := []byte("HTTP/1.1 200 OK\r\nDate: " + time.Now().UTC().Format(http.TimeFormat) + "\r\n")
	for name, value := range c.Response().Header.All() {
		if string(name) != fiber.HeaderContentLength {
			lines = fmt.Appendf(lines, "%s: %s\r\n", name, value)
		}
	}
	return append(lines, "\r\n"...)
}

// resumePoint returns the sequence after which a stream begins.
func (a *API) resumePoint(c *fiber.Ctx) (int64, error) {
	asked := c.Get("Last-Event-ID", c.Query("after"))
	if asked == "" {
		return a.Desk.Store.Floor().Seq(), nil
	}
	after, err := strconv.ParseInt(asked, 10, 64)
	if err != nil || after < 0 {
		return 0, desk.Refuse("bad_value", "after", "Name", "after", "Value", asked)
	}
	return after, nil
}

// stream is one open event stream.
type stream struct {
	api     *API
	changes *live.Subscription
	stillIn func() bool
	request string
	first   []byte // the header and the first words: they open the stream at once, also where nothing happens
}

// run writes until the client is gone or let in no more, the hub drops it, or its time is up. It runs outside of every middleware,
// so a panic would end the process.
func (st stream) run(conn net.Conn) {
	defer st.api.streams.Done()
	defer st.changes.Close()
	defer func() {
		if r := recover(); r != nil {
			st.api.Desk.Log.Error("stream panicked", "request", st.request, "panic", r, "stack", string(debug.Stack()))
		}
	}()
	st.api.Metrics.Streams.Add(1)
	defer st.api.Metrics.Streams.Add(-1)
	if send(conn, st.first) != nil || !st.replay(conn) {
		return
	}
	beat, ask, life := time.NewTicker(heartbeat), time.NewTicker(streamAsk), time.NewTimer(streamLife)
	defer beat.Stop()
	defer ask.Stop()
	defer life.Stop()
	for {
		var err error
		select {
		case m, open := <-st.changes.Fresh():
			if !open {
				return
			}
			if !st.stillIn() {
				return
			}
			err = send(conn, st.gather(m))
		case <-ask.C:
			if !st.stillIn() {
				return
			}
		case <-beat.C:
			err = send(conn, []byte(": still here\n\n"))
		case <-life.C:
			return
		}
		if err != nil {
			return
		}
	}
}

// replay writes what has gone by and reports whether the stream can go on.
func (st stream) replay(conn net.Conn) bool {
	for {
		page, err := st.changes.Past(context.Background())
		if err != nil {
			st.api.Desk.Log.Error("stream can't be replayed", "request", st.request, "error", err)
			return false
		}
		if len(page) == 0 {
			return true
		}
		var text []byte
		for _, m := range page {
			text = append(text, m.Text...)
		}
		if send(conn, text) != nil {
			return false
		}
	}
}

// gather returns the text of a message and of those that have come behind it, so that a burst costs few writes.
func (st stream) gather(m live.Message) []byte {
	behind := len(st.changes.Fresh())
	if behind == 0 {
		return m.Text
	}
	text := slices.Clone(m.Text) // which is shared
	for range behind {
		next := <-st.changes.Fresh() // nothing of a stream that has ended: then the next look ends this one
		text = append(text, next.Text...)
	}
	return text
}

// send writes before a deadline.
func send(conn net.Conn, text []byte) error {
	if err := conn.SetWriteDeadline(time.Now().Add(streamWrite)); err != nil {
		return err
	}
	_, err := conn.Write(text)
	return err
}

// eventText returns how the stream of a history sends an event.
func eventText(epoch string) func(stations.Event) []byte {
	return func(e stations.Event) []byte { return textOf(e, epoch) }
}

func textOf(e stations.Event, epoch string) []byte {
	data, err := json.Marshal(struct {
		board.Change
		Epoch string `json:"epoch"`
	}{board.ChangeOf(e), epoch})
	if err != nil {
		panic("server: a change is not JSON: " + err.Error()) // its fields are plain
	}
	return fmt.Appendf(nil, "id: %d\nevent: change\ndata: %s\n\n", e.Seq, data)
}
