package paper

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// hotel is an order of so many windows, in rooms of six sizes: pairs, lined, set by a tape.
func hotel(tb testing.TB, windows int) *workup.Workup {
	tb.Helper()
	var b strings.Builder
	b.WriteString(`order: HOTEL
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: reed, use: face, usable_width: 54, vertical_repeat: 13 1/2}
  - {id: sateen, use: lining, usable_width: 54}
tapes:
  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 1/2, max: 1}, insert_length: 12}
treatments:
`)
	for i := range windows {
		fmt.Fprintf(&b, "  - {window: Room %d, room: %d, heading: cartridge-tape, face_width: %d, finished_length: 95 1/2, face: reed, lining: sateen}\n",
			100+i, 100+i, 48+12*(i%6))
	}
	order, problems := orderfile.Parse([]byte(b.String()))
	if order == nil {
		tb.Fatal(problems)
	}
	return workup.Compute(order)
}

// BenchmarkPacket writes the job packets of a window and of a hotel.
func BenchmarkPacket(b *testing.B) {
	for _, windows := range []int{1, 300} {
		b.Run(fmt.Sprint(windows), func(b *testing.B) {
			w := hotel(b, windows)
			doc := PacketDoc{TicketsDoc: ticketsDoc(b, w), Revision: 1, Workup: w}
			b.ReportAllocs()
			for b.Loop() {
				if err := Packet(io.Discard, doc); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
