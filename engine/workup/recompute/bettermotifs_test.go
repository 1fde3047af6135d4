package recompute

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// rePrint is a print and how panels of it are hemmed, in sixteenths of an inch.
type rePrint struct{ usable, match, pitch, first, hem, lead int }

// raw are the middles of motifs from the left raw edge of a panel joined of so many half widths, by laying piece beside piece, and how
// wide they are together. A half lies at the return edge: the right half of a width at a left one, the left half at a right one.
func (p rePrint) raw(halves int, returnAtRight bool) (motifs []int, wide int) {
	widths := make([][2]int, 0, halves/2+1) // the part of the cloth that each piece is
	for range halves / 2 {
		widths = append(widths, [2]int{0, p.usable})
	}
	switch {
	case halves%2 == 1 && returnAtRight:
		widths = append(widths, [2]int{0, p.usable / 2})
	case halves%2 == 1:
		widths = append([][2]int{{p.usable / 2, p.usable}}, widths...)
	}
	for i, of := range widths {
		if i > 0 {
			wide -= p.usable - p.match
		}
		for at := p.first; at <= of[1]; at += p.pitch {
			if at >= of[0] {
				motifs = append(motifs, wide+at-of[0])
			}
		}
		wide += of[1] - of[0]
	}
	return motifs, wide
}

// least is the least that is trimmed at the lead, or at the left edge of a centred panel, so that a motif, or the middle between two, comes
// to stand where it is wanted; below 0 where the cloth isn't wide enough for that.
func (p rePrint) least(motif string, halves, flat int, atRight bool) int {
	motifs, wide := p.raw(halves, atRight)
	for trim := 0; trim+flat+4*p.hem <= wide; trim++ {
		for _, at := range motifs {
			for _, at := range []int{at - p.pitch, at, at + p.pitch} { // one that the cloth ends before
				var want int
				switch {
				case motif == "mirrored" && atRight: // its lead is at its left
					want = trim + 2*p.hem + p.lead
				case motif == "mirrored":
					want = wide - trim - 2*p.hem - p.lead
				case motif == "centred_on":
					want = trim + 2*p.hem + flat/2
				default:
					want, at = 2*(trim+2*p.hem)+flat, 2*at+p.pitch
				}
				if at == want {
					return trim
				}
			}
		}
	}
	return -1
}

// TestRecomputeNoBetterMotifs wants no less trim to put motifs in their places, no fewer widths to have room for it, and with those
// trims no other number of points to be better, of a pair in both.
func TestRecomputeNoBetterMotifs(t *testing.T) {
	rng := rand.New(rand.NewSource(47))
	checked, beyondOne := 0, 0
	for i := range reMany(8000, 400) {
		motif := []string{"mirrored", "centred_on", "centred_between"}[i%3]
		heading := []string{"eyelet", "ring"}[i/3%2]
		p := rePrint{pitch: 4 * (8 + rng.Intn(90)), hem: 24}
		p.match = p.pitch * (1 + rng.Intn(4))
		p.usable = p.match + 16 + 4*rng.Intn(12)
		p.first, p.lead = 2*rng.Intn(p.pitch/2), 2*rng.Intn(100)
		finished := 4 * (40 + rng.Intn(500))
		if p.usable < 16*20 {
			continue
		}
		sixteenths := func(n int) reLen { return reL(int64(n), 16) }
		o := reFlowing(heading, "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			o.overrides = [][2]string{{"fullness_slack", "0"}}
			o.rods, o.tapes, o.fabrics = []reRod{{id: "pole", diameter: reL(1, 1)}}, nil, o.fabrics[:1]
			f.usable, f.matchWidth, f.sideways, f.motif = sixteenths(p.usable), sixteenths(p.match), sixteenths(p.pitch), sixteenths(p.first)
			t.motif, t.quantity, t.returnTo, t.finishedWidth = motif, 1, reL(0, 1), sixteenths(finished)
			t.fullness = reLen{reNum: reInt(2), text: "2"}
			if motif == "mirrored" {
				t.draw, t.motifLead = "stationary_pair", sixteenths(p.lead)
			}
		})
		o.text()
		panels, file := reOnlyPanels(t, o, rng)
		for k, out := range panels {
			if checked++; out.Points != panels[0].Points {
				t.Fatalf("%s\n%d points at the left, %d at the right", file, panels[0].Points, out.Points)
			}
			flat, halves := 2*finished, int(math.Round(2*reWritten(t, out.Widths)))
			if got, want := 16*float64(out.MotifTrim), p.least(motif, halves, flat, k == 1); math.Abs(got-float64(want)) > reSlip {
				t.Fatalf("%s\npanel %d is trimmed %v sixteenths, %d would do", file, k, got, want)
			}
			by := 3 - len(panels) // a pair counts in halves
			fits := func(halves int) bool {
				return p.least(motif, halves, flat, false) >= 0 && (len(panels) == 1 || p.least(motif, halves, flat, true) >= 0)
			}
			if less := halves - by; less > 0 && fits(less) {
				t.Fatalf("%s\n%d half widths would do, not %d", file, less, halves)
			}
			reHolds[heading].noneBetter(t, out, slices.Delete(slices.Clone(panels), k, k+1), 0, []float64{float64(out.AtReturn)}, file)
			if halves > 2 {
				beyondOne++
			}
		}
	}
	if checked < reMany(8000, 400)/2 || beyondOne < checked/4 {
		t.Errorf("only %d panels were checked, %d of several widths", checked, beyondOne)
	}
}

func reWritten(t *testing.T, number string) float64 {
	t.Helper()
	v, err := reParse(number)
	if err != nil {
		t.Fatal(err)
	}
	return reFloat(v)
}
