package opendays

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestOn: of the calendar of December 2026, whose 19th is a Saturday.
func TestOn(t *testing.T) {
	closed, problems := Read(Closed{Weekdays: []string{"sun", "sat"}, Dates: []Stretch{{From: "2026-12-24", To: "2027-01-01", Name: "Christmas"}, {From: "2026-12-08"}}})
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, tt := range []struct {
		day, why      string
		closed        bool
		before, after string
	}{
		{"2026-12-18", "", false, "2026-12-17", "2026-12-21"},
		{"2026-12-19", "", true, "2026-12-18", "2026-12-21"},
		{"2026-12-20", "", true, "2026-12-18", "2026-12-21"},
		{"2026-12-08", "", true, "2026-12-07", "2026-12-09"},
		{"2026-12-23", "", false, "2026-12-22", "2027-01-04"},
		{"2026-12-24", "Christmas", true, "2026-12-23", "2027-01-04"},
		{"2026-12-26", "Christmas", true, "2026-12-23", "2027-01-04"},
		{"2027-01-01", "Christmas", true, "2026-12-23", "2027-01-04"},
		{"2028-02-27", "", true, "2028-02-25", "2028-02-28"},
		{"2026-02-30", "", false, "", ""}, {"", "", false, "", ""}, {"soon", "", false, "", ""},
	} {
		why, is := closed.On(tt.day)
		before, after := closed.Around(tt.day)
		if why != tt.why || is != tt.closed || before != tt.before || after != tt.after {
			t.Errorf("%s: closed %v %q, open %s and %s", tt.day, is, why, before, after)
		}
	}
}

// TestAroundEnds: dates that are closed for years have no open day near.
func TestAroundEnds(t *testing.T) {
	closed := Closed{Dates: []Stretch{{From: "2000-01-01", To: "2099-12-31"}}}
	if before, after := closed.Around("2026-12-19"); before != "" || after != "" {
		t.Errorf("%q and %q are open", before, after)
	}
}

// TestReadTells: all that is wrong at once, each where it stands.
func TestReadTells(t *testing.T) {
	many := make([]Stretch, MostDates+1)
	for i := range many {
		many[i].From = "2026-12-24"
	}
	for _, tt := range []struct {
		said Closed
		want []string
	}{
		{Closed{}, nil},
		{Closed{Weekdays: Weekdays()[:6]}, nil},
		{Closed{Weekdays: Weekdays()}, []string{"weekdays never_open"}},
		{Closed{Weekdays: []string{"sat", "Sun", ""}}, []string{"weekdays[1] bad_value", "weekdays[2] bad_value"}},
		{Closed{Dates: []Stretch{{From: "2026-12-24", To: "2026-12-23"}, {To: "2026-12-24"}, {From: "24.12.", To: "x"}, {From: "2026-02-29", Name: strings.Repeat("é", MostName)},
			{From: "2026-12-24", Name: strings.Repeat("é", MostName+1)}}},
			[]string{"closed[0].to bad_value", "closed[1].from missing_key", "closed[2].from bad_value", "closed[2].to bad_value", "closed[3].from bad_value", "closed[4].name too_long"}},
		{Closed{Dates: many}, []string{"closed too_long"}},
		{Closed{Dates: many[1:]}, nil},
	} {
		_, problems := Read(tt.said)
		var got []string
		for _, p := range problems {
			got = append(got, p.Where+" "+p.Code)
		}
		if fmt.Sprint(got) != fmt.Sprint(tt.want) {
			t.Errorf("%.200v: %v, want %v", tt.said, got, tt.want)
		}
	}
}

// TestAroundIsNearest: between a day and the open ones beside it all are closed; what was read is read again as it is.
func TestAroundIsNearest(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		day := rapid.Custom(func(r *rapid.T) string {
			return time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 60).Draw(r, "after")).Format(time.DateOnly)
		})
		said := Closed{Weekdays: rapid.SliceOfNDistinct(rapid.SampledFrom(Weekdays()), 0, 6, rapid.ID).Draw(r, "weekdays")}
		for range rapid.IntRange(0, 4).Draw(r, "stretches") {
			from, to := day.Draw(r, "from"), day.Draw(r, "to")
			said.Dates = append(said.Dates, Stretch{From: min(from, to), To: max(from, to)})
		}
		closed, problems := Read(said)
		if again, _ := Read(closed); len(problems) > 0 || !reflect.DeepEqual(again, closed) {
			r.Fatalf("%v is read as %v, then %v (%v)", said, closed, again, problems)
		}
		due := day.Draw(r, "due")
		before, after := closed.Around(due)
		for _, open := range []string{before, after} {
			if _, is := closed.On(open); is || open == "" {
				r.Fatalf("%v: %q isn't open", closed, open)
			}
		}
		first, _ := time.Parse(time.DateOnly, before)
		for d := first.AddDate(0, 0, 1); d.Format(time.DateOnly) < after; d = d.AddDate(0, 0, 1) {
			if _, is := closed.On(d.Format(time.DateOnly)); !is && d.Format(time.DateOnly) != due {
				r.Fatalf("%v: %s is nearer to %s than %s and %s", closed, d, due, before, after)
			}
		}
	})
}
