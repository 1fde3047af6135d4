package server

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/live"
	"tablehand/stations"
	"tablehand/stations/board"
)

const (
	heartbeat   = 15 * time.Second // a dead connection shows only by a failed write
	streamWrite = 10 * time.Second // how long one write may take
	streamLife  = 30 * time.Minute // then the browser comes back by itself, as whoever it then is
	streamRetry = 2 * time.Second  // how soon it comes back
)

// streamEvents: GET /api/events. Last-Event-ID, or ?after=SEQ, replays what came after; else from now.
func (s *Server) streamEvents(c *fiber.Ctx) error {
	after, err := s.resumePoint(c)
	if err != nil {
		return err
	}
	changes, err := s.hub.Subscribe(after)
	if err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "text/event-stream")
	c.Set("X-Accel-Buffering", "no") // a proxy must not gather it
	// The writer runs after this handler has ended, when c belongs to another request.
	stream := stream{conn: c.Context().Conn(), changes: changes, server: s, request: requestID(c)}
	c.Context().SetBodyStreamWriter(stream.run)
	return nil
}

// resumePoint returns the sequence after which a stream begins.
func (s *Server) resumePoint(c *fiber.Ctx) (int64, error) {
	asked := c.Get("Last-Event-ID", c.Query("after"))
	if asked == "" {
		return s.Store.Floor().Seq(), nil
	}
	after, err := strconv.ParseInt(asked, 10, 64)
	if err != nil || after < 0 {
		return 0, refuse("bad_value", "after", "Name", "after", "Value", asked)
	}
	return after, nil
}

// stream is one open event stream.
type stream struct {
	server  *Server
	conn    net.Conn
	changes *live.Subscription
	request string
}

// run writes until the client is gone, the hub drops it, or its time is up. It runs outside of every middleware,
// so a panic would end the process.
func (st stream) run(w *bufio.Writer) {
	defer st.changes.Close()
	defer func() {
		if r := recover(); r != nil {
			st.server.Log.Error("stream panicked", "request", st.request, "panic", r, "stack", string(debug.Stack()))
		}
	}()
	st.server.metrics.streams.Add(1)
	defer st.server.metrics.streams.Add(-1)
	beat, life := time.NewTicker(heartbeat), time.NewTimer(streamLife)
	defer beat.Stop()
	defer life.Stop()
	// The first words open the stream at once, also where nothing happens for a while.
	for text := fmt.Sprintf("retry: %d\n\n", streamRetry.Milliseconds()); st.send(w, text) == nil; {
		select {
		case e, open := <-st.changes.Events():
			if !open {
				return
			}
			text = eventText(e)
		case <-beat.C:
			text = ": still here\n\n"
		case <-life.C:
			return
		}
	}
}

// send writes and flushes before a deadline of its own: that of the server would cut the stream.
func (st stream) send(w *bufio.Writer, text string) error {
	if st.conn != nil {
		if err := st.conn.SetWriteDeadline(time.Now().Add(streamWrite)); err != nil {
			return err
		}
	}
	if _, err := w.WriteString(text); err != nil {
		return err
	}
	return w.Flush()
}

// eventText writes an event as the stream sends it.
func eventText(e stations.Event) string {
	data, err := json.Marshal(board.ChangeOf(e))
	if err != nil {
		panic("server: a change is not JSON: " + err.Error()) // its fields are plain
	}
	return fmt.Sprintf("id: %d\nevent: change\ndata: %s\n\n", e.Seq, data)
}
