package recompute

import (
	"encoding/json"
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"
)

// Pieces are worked out a second time from the words of server/interface.md, in whole 64ths of an inch, part by part.

// inches64 writes 64ths of an inch as an order file has them, and as the JSON does.
func inches64(n int64) string { return fmt.Sprintf("%d %d/64", n/64, n%64) }

func json64(n int64) string {
	s := strings.TrimRight(fmt.Sprintf("%d.%08d", n/64, n%64*100_000_000/64), "0")
	return strings.TrimSuffix(s, ".") + "in"
}

func upTo(n, step int64) int64 { return (n + step - 1) / step * step }

// reLine is a random cushion or valance; lengths in 64ths.
type reLine struct {
	valance                       bool
	quantity                      int64
	width, depth, thickness, welt int64 // a valance's depth is its drop
	fullness                      int64 // in quarters
}

// rePieceCuts are the cuts that a piece takes: how many of each length, and in which order the lengths come up.
type rePieceCuts struct {
	lengths []int64
	count   map[int64]int64
}

func (c *rePieceCuts) add(length, n int64) {
	if c.count == nil {
		c.count = map[int64]int64{}
	}
	if c.count[length] == 0 {
		c.lengths = append(c.lengths, length)
	}
	c.count[length] += n
}

const (
	reUsable = 54 * 64
	reStep   = 4 // a sixteenth
)

// cushion lays single parts: of those that are left always the longest, then widest, that still fits beside the others.
func (p reLine) cushion(seam, repeat int64) rePieceCuts {
	type part struct{ long, short int64 }
	one := func(a, b int64) part { return part{max(a, b), min(a, b)} }
	var left []part
	for range p.quantity {
		round := 2 * (p.width + p.depth)
		left = append(left, one(p.width+2*seam, p.depth+2*seam), one(p.width+2*seam, p.depth+2*seam))
		if p.thickness > 0 {
			left = append(left, one(round+2*seam, p.thickness+2*seam))
		}
		if p.welt > 0 {
			left = append(left, one(round, p.welt), one(round, p.welt))
		}
	}
	slices.SortFunc(left, func(a, b part) int {
		if a.long != b.long {
			return int(b.long - a.long)
		}
		return int(b.short - a.short)
	})
	var cuts rePieceCuts
	for len(left) > 0 {
		room, longest := int64(reUsable), int64(0)
		left = slices.DeleteFunc(left, func(s part) bool {
			if s.short > room {
				return false
			}
			room, longest = room-s.short, max(longest, s.long)
			return true
		})
		cut := upTo(longest, reStep)
		if repeat > 0 {
			cut = upTo(cut, repeat)
		}
		cuts.add(cut, 1)
	}
	return cuts
}

// flat tries widths one half more at a time, halves where the other half goes to the next such valance.
func (p reLine) flat(seam, sideHem, fold, hem, repeat int64) rePieceCuts {
	wanted4 := p.width*p.fullness + 4*4*sideHem // in quarters of a 64th
	halves := int64(2)
	for ; ; halves++ {
		if halves%2 == 1 && (p.quantity < 2 || repeat > 0) {
			continue
		}
		pieces := (halves + 1) / 2
		if 2*halves*reUsable-4*(pieces-1)*2*seam >= wanted4 {
			break
		}
	}
	if halves == 2 && p.quantity >= 2 && repeat == 0 && 2*reUsable >= wanted4 {
		halves = 1 // half a width does
	}
	cut := upTo(p.depth+2*fold+2*hem, reStep)
	if repeat > 0 {
		cut = upTo(cut, repeat)
	}
	var cuts rePieceCuts
	cuts.add(cut, (halves*p.quantity+1)/2)
	return cuts
}

// TestRecomputePieces works random cushions and valances out a second time.
func TestRecomputePieces(t *testing.T) {
	g := rand.New(rand.NewSource(13))
	for i := range 1500 {
		seam, side, fold, hem := 16+16*g.Int63n(4), 32*g.Int63n(5), 64*g.Int63n(6), 64*g.Int63n(6)
		repeat := int64(0)
		if g.Intn(2) == 0 {
			repeat = 32 * (1 + g.Int63n(60))
		}
		p := reLine{valance: g.Intn(3) == 0, quantity: 1 + g.Int63n(9), width: 64 + g.Int63n(48*64), depth: 64 + g.Int63n(40*64), fullness: 4 + g.Int63n(10)}
		kind := fmt.Sprintf("valance, sizes: {width: %s, drop: %s, fullness: %g}", inches64(p.width), inches64(p.depth), float64(p.fullness)/4)
		if !p.valance {
			if g.Intn(3) > 0 {
				p.thickness = g.Int63n(6 * 64)
			}
			if g.Intn(2) == 0 {
				p.welt = g.Int63n(3 * 64)
			}
			kind = fmt.Sprintf("cushion, sizes: {width: %s, depth: %s, thickness: %s, welt: %s}", inches64(p.width), inches64(p.depth), inches64(p.thickness), inches64(p.welt))
		}
		file := fmt.Sprintf("order: R\nunits: in\nconventions: {seam: %s, side_hem: %s, heading_fold: %s, bottom_hem: %s}\nfabrics: [{id: c, use: face, usable_width: 54, vertical_repeat: %s}]\n"+
			"pieces: [{piece: %s, text: P, quantity: %d}]\n", inches64(seam), inches64(side), inches64(fold), inches64(hem), inches64(repeat), kind, p.quantity)
		explained := i%10 == 0
		written, exit := reWorkedOut(t, file, explained)
		if min(p.width, p.depth)+2*seam > reUsable && !p.valance {
			if exit != 1 {
				t.Fatalf("%s\nisn't too wide", file)
			}
			continue
		}
		want := p.cushion(seam, repeat)
		if p.valance {
			want = p.flat(seam, side, fold, hem, repeat)
		}
		var doc struct {
			Pieces []struct {
				Fabrics []struct {
					Cuts      int
					CutLength string `json:"cut_length"`
				}
			}
			Totals struct{ Fabrics []struct{ Length string } }
		}
		if err := json.Unmarshal(written, &doc); err != nil || len(doc.Pieces) != 1 || exit != 0 {
			t.Fatalf("%s\n%v %s", file, err, written)
		}
		var got, wanted []string
		total := int64(0)
		for _, f := range doc.Pieces[0].Fabrics {
			got = append(got, fmt.Sprintf("%d × %s", f.Cuts, f.CutLength))
		}
		for _, l := range want.lengths {
			wanted = append(wanted, fmt.Sprintf("%d × %s", want.count[l], json64(l)))
			total += l * want.count[l]
		}
		if !slices.Equal(got, wanted) || doc.Totals.Fabrics[0].Length != json64(total) {
			t.Fatalf("%s\n%q and %s in all, worked out again %q and %s", file, got, doc.Totals.Fabrics[0].Length, wanted, json64(total))
		}
		if explained {
			pieceTrails(t, file, written)
		}
	}
}

// pieceTrails checks that each number of a piece and of its cloth has a trail that ends in it.
func pieceTrails(t *testing.T, file string, written []byte) {
	t.Helper()
	var doc struct{ Pieces []map[string]any }
	if err := json.Unmarshal(written, &doc); err != nil {
		t.Fatal(err)
	}
	var d reDiffs
	piece := doc.Pieces[0]
	d.rowTrails("pieces[0]", piece, "fabrics")
	trail, _ := piece["trail"].(map[string]any)
	parts, _ := piece["parts"].([]any)
	for _, part := range parts {
		is := part.(map[string]any)
		step, _ := trail["part_"+is["part"].(string)].(map[string]any)
		if step == nil || step["value"] != is["size"] || step["formula"] == "" {
			d.add("pieces[0].trail", "says %v of the %s of %s", step, is["part"], is["size"])
		}
	}
	if len(parts) == 0 && (trail["widths"] == nil || trail["plain_length"] == nil) {
		d.add("pieces[0].trail", "says nothing of the widths or the plain length")
	}
	if len(d) > 0 {
		t.Fatalf("%s\n%s", file, strings.Join(d, "\n"))
	}
}
