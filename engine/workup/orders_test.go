package workup_test

import (
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// inches reads a length in inches as people write it; mm does so in millimetres.
func inches(s string) measure.Length { return length(s, measure.In) }
func mm(s string) measure.Length     { return length(s, measure.MM) }

func length(s string, bare measure.Unit) measure.Length {
	l, err := measure.Parse(s, bare)
	if err != nil {
		panic(err)
	}
	return l
}

// inchOrder is the worked case G1 (golden_test.go): a lined pair on a 6½ in cartridge tape, 13½ in repeat.
func inchOrder() *orderfile.Order {
	return &orderfile.Order{
		ID: "SMI-014", Customer: "Saltmarsh Inn", Units: measure.In,
		Conventions: orderfile.DefaultConventions(measure.In),
		Fabrics: []orderfile.Fabric{
			{ID: "reed", Use: orderfile.Face, UsableWidth: inches("54"), VerticalRepeat: inches("13 1/2"), Match: orderfile.Straight},
			{ID: "sateen", Use: orderfile.Lining, UsableWidth: inches("54")},
		},
		Tapes: []orderfile.Tape{inchTape()},
		Treatments: []orderfile.Treatment{{
			Window: "Bay, left", Room: "14", Heading: orderfile.CartridgeTape, Tape: "cart-4", Draw: orderfile.Pair,
			FaceWidth: inches("84"), Return: inches("3 1/2"), Overlap: inches("6"), FinishedLength: inches("95 1/2"),
			Face: "reed", Lining: "sateen", Quantity: 1, CordEnd: orderfile.Wound,
		}},
	}
}

// inchTape is G1's: period 6½, space 2½, margins ¾ in ½ to 1.
func inchTape() orderfile.Tape {
	return orderfile.Tape{
		ID: "cart-4", Period: inches("6 1/2"), Space: inches("2 1/2"), Height: inches("4"), Cords: 3, TopDrop: inches("1/4"),
		EndMargin:  orderfile.EndMargin{Nominal: inches("3/4"), Min: inches("1/2"), Max: inches("1")},
		TrimBeyond: inches("1"), InsertLength: inches("12"),
	}
}

// stationary makes the order's one treatment a single panel of that finished width.
func stationary(o *orderfile.Order, width measure.Length) *orderfile.Treatment {
	t := &o.Treatments[0]
	t.Draw, t.FaceWidth, t.FinishedWidth = orderfile.Stationary, 0, width
	return t
}

// onePanel works out the order and returns the first panel of its first treatment.
func onePanel(t *testing.T, o *orderfile.Order) *workup.Panel {
	t.Helper()
	w := workup.Compute(o)
	if len(w.Treatments[0].Panels) == 0 {
		t.Fatalf("no panel: %+v", w.Problems)
	}
	return &w.Treatments[0].Panels[0]
}

// problem returns the problem with a code, failing where there isn't exactly one.
func problem(t *testing.T, w *workup.Workup, code string) engine.Problem {
	t.Helper()
	var found []engine.Problem
	for _, p := range w.Problems {
		if p.Code == code {
			found = append(found, p)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d problems %s in %+v", len(found), code, w.Problems)
	}
	return found[0]
}

func has(w *workup.Workup, code string) bool {
	for _, p := range w.Problems {
		if p.Code == code {
			return true
		}
	}
	return false
}
