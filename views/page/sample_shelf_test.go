package page

import (
	"time"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/shelf"
	"tablehand/views"
	"tablehand/views/bolt"
	shelfpage "tablehand/views/page/shelf"
)

// shelfBolts are a bolt that is promised in part and a customer's remnant that is held.
func shelfBolts() []shelfpage.Bolt {
	return []shelfpage.Bolt{
		{Code: "7K3M9Q2T5", Cloth: "Reed, oat", Lot: "L7-4432", State: shelf.OnShelf, Place: "3B", Units: measure.In, Rest: measure.Read("43yd"), Exact: measure.Read("1548in"), Free: measure.Read("34.625yd"), Longest: measure.Read("25yd"), Measured: true,
			KeptFor: "SMI-017", Promised: []shelfpage.Promise{{Ticket: "0007C3GZC", Order: "SMI-015", Length: measure.Read("299.5in")}}},
		{Code: "000ER71YA", Cloth: "Reed, oat", Lot: "L7-4432", Owner: "Saltmarsh Inn", Customers: true, State: shelf.Held, Place: "R1", Units: measure.In, Rest: measure.Read("24in"), Exact: measure.Read("24in"), Free: measure.Read("0in"), Longest: measure.Read("0in"), Remnant: true},
		{Code: "000ER71YA", Cloth: "Reed, oat", Customers: true, State: shelf.Missing, Units: measure.In, Rest: measure.Read("2.5yd"), Exact: measure.Read("90in"), Free: measure.Read("0in"), Longest: measure.Read("0in")},
	}
}

func typedShelf() map[string]string {
	typed := map[string]string{}
	for _, key := range append([]string{"cloth", "width_1", "width_2", "width_3", "over", "repeat", "first_repeat"}, shelfpage.ReceivePage{}.Texts()...) {
		typed[key] = ""
	}
	return typed
}

func receivePage(wrong string, answer *views.Answer) shelfpage.ReceivePage {
	return shelfpage.ReceivePage{Frame: frame("/shelf/receive", stations.Office), Cloths: []shelfpage.Option{{Key: "reed-oat", Name: "Reed, oat"}}, Typed: typedShelf(),
		Wrong: wrong, Before: wrong != "", Answer: answer}
}

// boltPage is a bolt with all that may stand on its page.
func boltPage() shelfpage.BoltPage {
	at := views.Moment{Date: today, At: time.Date(2026, 12, 16, 9, 5, 0, 0, time.UTC)}
	p := shelfpage.BoltPage{Frame: frame("/b/7K3M9Q2T5", stations.Office), Bolt: shelfBolts()[0], Key: "reed-oat", Width: measure.Read("53.875in"), Repeat: measure.Read("13.5in"),
		Received: "2026-12-09", Piece: "P1", Parent: "000ER71YA", OnTable: []shelfpage.Promise{{Ticket: "0007C3GZC", Order: "SMI-015"}}, CutFor: []shelfpage.Promise{{Ticket: "0007C3GZC", Order: "SMI-016"}}, New: "000ER71YA", Points: 4, Per100: "5.4", Metric: "6.5", Counting: true, CanTakeBack: true, CanBeInHands: true,
		Flaws:  []shelf.Flaw{{From: measure.Read("100in"), To: measure.Read("104in"), Points: 2, Kind: shelf.Weave, Person: "Ana"}, {From: measure.Read("300in"), To: measure.Read("300in"), Edge: true}},
		Off:    []shelfpage.Off{{As: shelf.AsScrapped, From: measure.Read("0in"), To: measure.Read("2in")}, {As: shelf.AsCut, From: measure.Read("2in"), To: measure.Read("98in"), Ticket: "0007C3GZC", Cut: "1"}, {As: shelf.AsRemnant, From: measure.Read("98in"), To: measure.Read("122in"), Bolt: "000ER71YA"}},
		Answer: &views.Answer{Text: "Put in place"}}
	for _, name := range []string{"received", "cut", "spoilt", "flaw", "scrapped", "remnants", "unexplained", "rest"} {
		p.Account = append(p.Account, shelfpage.Row{Name: name, Length: measure.Read("96in")})
	}
	for _, action := range []shelf.Action{shelf.Undo, shelf.Settle, shelf.CountBolt, shelf.ReleaseCloth, shelf.Find, shelf.Lose, shelf.GiveBack, shelf.Scrap, shelf.Rest, shelf.Part, shelf.Spoil,
		shelf.TellFlaw, shelf.Cut, shelf.Lay, shelf.FreeBolt, shelf.HoldBolt, shelf.Unkeep, shelf.Keep, shelf.PlaceIt, shelf.Inspect, shelf.Receive} {
		p.History = append(p.History, shelfpage.Event{At: at, Action: action, Who: "Ana"})
	}
	p.History[0].Place, p.History[0].Reason, p.History[0].Length, p.History[0].New, p.History[0].Kept = "3B", "shade", measure.Read("1550in"), "000ER71YA", "SMI-017"
	p.Picture = bolt.OfShelf(&shelf.Bolt{Units: measure.In, Begin: 98 * measure.Inch, Rest: 1000 * measure.Inch, Flaws: p.Flaws,
		Off: []shelf.Off{{As: shelf.AsCut, From: measure.Read("0in"), To: measure.Read("98in"), Cut: "1"}}}, nil).SVG()
	return p
}

func heldBolt() shelfpage.BoltPage {
	p := boltPage()
	p.Bolt, p.Hold, p.Answer = shelfBolts()[1], shelf.InspectionFailed, nil
	return p
}

func goneBolt() shelfpage.BoltPage {
	p := boltPage()
	p.Bolt.State, p.Gone, p.CanBeInHands, p.CanTakeBack, p.Off, p.History, p.Promised, p.Flaws, p.OnTable = shelf.UsedUp, true, false, false, nil, nil, nil, nil, nil
	return p
}

// shelfCount is a count with everything that a scan may come to.
func shelfCount() shelfpage.CountPage {
	b := shelfBolts()
	placeless := b[2]
	placeless.Remnant = true
	return shelfpage.CountPage{Frame: frame("/shelf/count/c2", stations.Office), CountRow: shelfpage.CountRow{ID: "c2"}, At: "3B", Seens: 6, Left: b,
		Saw: &shelfpage.Counted{Bolt: b[1], Lay: "5C", Elsewhere: true, Found: true},
		Seen: []shelfpage.Counted{{Bolt: b[0], Lay: "3B", Length: measure.Read("43yd")}, {Bolt: b[0], Differs: true, Length: measure.Read("41yd")}, {Bolt: placeless, Lay: "5C", Elsewhere: true},
			{Bolt: b[0]}, {Bolt: placeless}}}
}

// shelfCountEnded is a count that has ended, with lines of each kind, settled and not.
func shelfCountEnded() shelfpage.CountPage {
	b := shelfBolts()
	p := shelfpage.CountPage{Frame: frame("/shelf/count/c2", stations.Office), CountRow: shelfpage.CountRow{ID: "c2"}, Ended: true}
	for _, what := range []shelf.Differs{shelf.Unseen, shelf.Elsewhere, shelf.Otherwise} {
		line := shelfpage.CountLine{Bolt: b[0], Lay: "5C", Reckoned: measure.Read("43yd"), Length: measure.Read("41yd")}
		found, settled, since := line, line, line
		found.Code, settled.Code, since.Code = "000ER71YA", "0007C3GZC", "000AAAAAA"
		found.Settled, settled.Settled, since.Since = shelf.AsFound, what.Settles(), true
		p.Lines = append(p.Lines, shelfpage.CountLines{What: what, Lines: []shelfpage.CountLine{line, since, found, settled}})
	}
	return p
}
