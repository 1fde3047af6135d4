package workup_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// example is a published worked example; testdata/published says where each comes from. A figure may be a list.
type example struct {
	ID, Source, URL          string
	Inputs, Outputs, Derived map[string]figure
}

// figure is a number as it is printed.
type figure struct{ json.RawMessage }

func (f *figure) UnmarshalJSON(b []byte) error { f.RawMessage = append([]byte(nil), b...); return nil }
func (f figure) String() string                { return string(f.RawMessage) }
func (f figure) Int64() (int64, error)         { return strconv.ParseInt(string(f.RawMessage), 10, 64) }

// figure returns what the example has under a key: printed, or derived from what is printed.
func (e example) figure(t *testing.T, key string) string {
	t.Helper()
	for _, m := range []map[string]figure{e.Outputs, e.Derived, e.Inputs} {
		if v, ok := m[key]; ok {
			return v.String()
		}
	}
	t.Fatalf("%s has no figure %s", e.ID, key)
	return ""
}

func published(t *testing.T) map[string]example {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "published", "examples.json"))
	if err != nil {
		t.Fatal(err)
	}
	var list []example
	if err := json.Unmarshal(raw, &list); err != nil {
		t.Fatal(err)
	}
	byID := map[string]example{}
	for _, e := range list {
		byID[e.ID] = e
	}
	return byID
}

// Published cut lengths and whole repeats: the finished length and one allowance for fold and hem, rounded up to
// whole repeats, and so many widths of it.
func TestPublishedCutLengths(t *testing.T) {
	all := published(t)
	for _, c := range []struct {
		id                    string // with its source:
		finished, allowance   string // keys of the example's inputs, "" for 0
		plain, cut, sum, reps string // keys of its outputs or derived figures, "" where it has none
	}{
		{"W05", "finished_length", "allowance_total", "cut_length_plain", "cut_length", "total_length", "repeats"}, // a US fabricator's formula page
		{"W07", "unfinished_length", "", "", "cut_length", "total_length", "repeats"},                              // a US drapery firm's measuring page
		{"W09", "finished_length", "allowance_total", "cut_length", "cut_length", "total_length", ""},              // a fabric seller's drapery note
		{"W12", "finished_length", "allowance_total", "cut_length_plain", "cut_length", "", "repeats"},             // Workroom Threads, August 2011
		{"W14", "cut_length_plain", "", "", "cut_length", "", "repeats"},                                           // a home-decorating magazine's page on repeats
		{"W16", "cut_length_plain", "", "", "economical_cut", "", ""},                                              // lace-curtain sewing notes, the economical rule
	} {
		t.Run(c.id, func(t *testing.T) {
			e, ok := all[c.id]
			if !ok {
				t.Fatal("the example is missing")
			}
			t.Log(e.Source, e.URL)
			figure := func(key string) measure.Length {
				if key == "" {
					return 0
				}
				return inches(e.figure(t, key))
			}
			o := inchOrder()
			o.Treatments[0].FinishedLength = figure(c.finished)
			o.Conventions.LengthAllowance = new(figure(c.allowance))
			if _, patterned := e.Inputs["vertical_repeat"]; patterned {
				o.Fabrics[0].VerticalRepeat = figure("vertical_repeat")
			} else {
				o.Fabrics[0].VerticalRepeat = 0
			}
			p := onePanel(t, o)
			if want := figure(c.cut); p.CutLength != want {
				t.Errorf("cut length %s, published %s", p.CutLength.In(measure.In), want.In(measure.In))
			}
			if want := figure(c.plain); c.plain != "" && p.PlainLength != want {
				t.Errorf("plain length %s, published %s", p.PlainLength.In(measure.In), want.In(measure.In))
			}
			if c.reps != "" && fmt.Sprint(p.RepeatsPerCut) != e.Outputs[c.reps].String() {
				t.Errorf("%d repeats, published %s", p.RepeatsPerCut, e.Outputs[c.reps])
			}
			if c.sum != "" {
				checkSum(t, o, p.CutLength, e, figure(c.sum))
			}
		})
	}
}

// checkSum orders the example's widths as pairs of that many half widths in all.
func checkSum(t *testing.T, o *orderfile.Order, cut measure.Length, e example, want measure.Length) {
	t.Helper()
	widths, err := e.Outputs["widths"].Int64()
	if err != nil {
		widths, err = e.Inputs["widths"].Int64()
	}
	if err != nil {
		t.Fatal(err)
	}
	// A panel of one width whose heading fits it, as often as the example has widths.
	stationary(o, inches("11"))
	o.Treatments[0].Quantity = int(widths)
	got := workup.Compute(o).Treatments[0].Fabrics[0]
	if got.Cuts != int(widths) || got.Length != want || got.CutLength != cut {
		t.Errorf("%+v, published %s", got, want.In(measure.In))
	}
}

// W14 adds one repeat to the order for positioning: 108 and 27 make 135.
func TestPublishedPositioningRepeat(t *testing.T) {
	e := published(t)["W14"]
	o := inchOrder()
	stationary(o, inches("11")).FinishedLength = inches(e.Inputs["cut_length_plain"].String())
	o.Fabrics[0].VerticalRepeat = inches(e.Inputs["vertical_repeat"].String())
	o.Conventions.LengthAllowance = new(measure.Length)
	o.Conventions.OrderRounding = "none"
	want := inches(e.Derived["one_width_order_length_with_positioning_repeat"].String())
	if got := workup.Compute(o).Totals.Fabrics[0].ToOrder; got != want {
		t.Errorf("to order %s, published %s", got.In(measure.In), want.In(measure.In))
	}
}

// T03: a lockstitch of 10 stitches an inch through 1/100 in takes 2.2 in of thread an inch.
func TestPublishedThread(t *testing.T) {
	e := published(t)["T03"]
	o := inchOrder()
	o.Conventions.SeamThickness = inches(e.Inputs["seam_thickness_in"].String())
	perInch, err := e.Inputs["stitches_per_inch"].Int64()
	if err != nil {
		t.Fatal(err)
	}
	o.Conventions.StitchDensity = measure.Ratio{Num: perInch, Den: 1}
	w := workup.Compute(o)
	stitching := 2 * w.Treatments[0].Panels[0].Stitching
	got := measure.Over(w.Totals.Thread[0].Length, stitching)
	if got.String() != e.Outputs["thread_in_per_in"].String() {
		t.Errorf("%s in an inch, published %s", got, e.Outputs["thread_in_per_in"])
	}
}

// UFGS 12 22 00, Draperies (tpub.com copy of an edition, page 12491N0010): panels are made of full or half widths
// and reach at least the fullness stated, here the flat width that the tape's pleats want; a finished panel is
// within 6 mm (1/4 in) of its tabled size.
func TestUFGS(t *testing.T) {
	o := inchOrder()
	for width := inches("24"); width < inches("140"); width += inches("3/16") {
		o.Treatments[0].FaceWidth = width
		for _, p := range workup.Compute(o).Treatments[0].Panels {
			cloth2 := inches("54").Times(int(p.Widths)) - 2*inches("1").Times(len(p.Pieces)-1) - 4*inches("3")
			if cloth2 < 2*p.FlatWidth {
				t.Fatalf("%s: %s widths don't reach the flat width", width.In(measure.In), p.Widths)
			}
			if p.Deviation == 0 && p.FinishedWidth != p.FinishedWidthAsked {
				t.Fatalf("%s: finished %v, asked %v", width.In(measure.In), p.FinishedWidth, p.FinishedWidthAsked)
			}
		}
	}
	packing := o.Conventions.Tolerances["finished_length"]
	if packing.Minus != inches("1/4") || packing.Plus != inches("1/4") {
		t.Errorf("tolerance of the finished length %+v", packing)
	}
}
