// Package calendar writes the due dates of orders as a feed that calendars read (RFC 5545).
package calendar

import (
	"io"
	"time"

	ics "github.com/arran4/golang-ical"
)

// ContentType is what a feed is sent as.
const ContentType = "text/calendar; charset=utf-8"

// Due is the day on which something has to be ready.
type Due struct {
	ID      string // that it keeps for ever, of whatever is told of it
	Day     string // YYYY-MM-DD
	Title   string
	Address string // of its page
}

// Write writes a feed as of now. Each due is a whole day, which takes up nobody's time; one whose day can't be read is left out.
func Write(w io.Writer, name string, dues []Due, now time.Time) error {
	feed := ics.NewCalendar()
	feed.SetProductId("-//tablehand//due dates//EN")
	feed.SetMethod(ics.MethodPublish)
	feed.SetName(name)
	feed.SetXWRCalName(name) // what calendars read that don't know NAME (RFC 7986)
	feed.SetRefreshInterval("PT1H")
	for _, d := range dues {
		day, err := time.Parse(time.DateOnly, d.Day)
		if err != nil {
			continue
		}
		e := feed.AddEvent(d.ID)
		e.SetDtStampTime(now)
		e.SetAllDayStartAt(day)
		e.SetAllDayEndAt(day.AddDate(0, 0, 1)) // the first day that isn't of it
		e.SetTimeTransparency(ics.TransparencyTransparent)
		e.SetSummary(d.Title)
		e.SetURL(d.Address)
	}
	return feed.SerializeTo(w, ics.WithNewLineWindows)
}
