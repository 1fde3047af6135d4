package desk

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// exampleOrder is the file of the example order, changed by pairs of old and new text.
func exampleOrder(t *testing.T, changes ...string) []byte {
	t.Helper()
	source, err := os.ReadFile(filepath.Join("..", "..", "testdata", "contract", "order.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(string(source), changes[i]) {
			t.Fatalf("no %q in the example order", changes[i])
		}
	}
	return []byte(strings.NewReplacer(changes...).Replace(string(source)))
}

// TestNothingIsReleasedThatCannotBeCut: cuts that are laid wrongly stop the release, whatever laid them so; without bolts there is
// nothing to lay them on.
func TestNothingIsReleasedThatCannotBeCut(t *testing.T) {
	d, code := open(t), uint64(0)
	codes := func() plan.Code { code++; return plan.NewCode(code) }
	for name, lay := range map[string]func(from, to *measure.Length){
		"as they are laid":       func(from, to *measure.Length) {},
		"over the next":          func(from, to *measure.Length) { *from, *to = 0, *to-*from },
		"before the bolt begins": func(from, to *measure.Length) { *from, *to = *from-(*to), 0 },
		"shorter":                func(from, to *measure.Length) { *to-- },
	} {
		w, _ := d.workOut(orderfile.ParseUnder(exampleOrder(t), orderfile.DefaultConventions))
		laid := w.Cloth[0].Plan.Placements
		last := &laid[len(laid)-1]
		lay(&last.From, &last.To)
		cmd, err := releaseOf(w, nil, codes)
		if wrong := name != "as they are laid"; (err != nil) != wrong || wrong && (!strings.Contains(err.Error(), "reed") || len(cmd.Tickets) != 0) {
			t.Errorf("%s: %d tickets, %v", name, len(cmd.Tickets), err)
		}
	}
	bare := exampleOrder(t, "    bolts:\n      - {id: S1, length: 20 yd, lot: K}\n", "", "    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", "")
	w, _ := d.workOut(orderfile.ParseUnder(bare, orderfile.DefaultConventions))
	if cmd, err := releaseOf(w, nil, codes); err != nil || len(cmd.Tickets) == 0 {
		t.Errorf("without bolts: %d tickets, %v", len(cmd.Tickets), err)
	}
}

// TestReleaseOfAFileThatIsReplaced: an order is released by its newest file; one that comes while the tickets are planned isn't
// released by the numbers of the one before.
func TestReleaseOfAFileThatIsReplaced(t *testing.T) {
	office := stations.Actor{Role: stations.Office, Device: "d"}
	d := open(t)
	if _, _, err := d.Take(t.Context(), office, "", exampleOrder(t)); err != nil {
		t.Fatal(err)
	}
	late, err := d.planRelease(t.Context(), "SMI-014")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Revise(t.Context(), office, "SMI-014", exampleOrder(t, "finished_length: 95 1/2", "finished_length: 90"), Revising{}); err != nil {
		t.Fatal(err)
	}
	late.Actor = office
	if _, err := d.Store.Do(t.Context(), late); !IsRefusal(err, "busy") {
		t.Errorf("released by the file of before: %v", err)
	}
	if err := d.Release(t.Context(), office, "", "SMI-014", false, ""); err != nil {
		t.Fatal(err)
	}
	for _, ticket := range d.Store.Floor().Order("SMI-014").Tickets {
		if got := ticket.Spec.Number("finished_length").String(); ticket.Spec.Kind == plan.PanelTicket && got != "90in" {
			t.Errorf("%s is to be %s long", ticket.Spec.Panel, got)
		}
	}
}

// TestPaperAsksWhatIsAskedNow: before anybody has measured, each panel of a pair may be the first; the second's paper leaves out
// what the first has been measured for. Settings that can't be read ask as shipped.
func TestPaperAsksWhatIsAskedNow(t *testing.T) {
	office := stations.Actor{Role: stations.Office, Device: "d"}
	d := open(t)
	if _, err := measuringOf("no JSON", nil); err == nil {
		t.Error("settings that can't be read are read")
	}
	if m, err := measuringOf(`[{"route":"pinch","station":"packing","name":"needles_out","when":"never"},{"route":"gone","station":"fold","name":"x","when":"never"}]`, nil); err != nil || len(m) != len(plan.Layout(nil).With(nil)) {
		t.Errorf("what can't be set is set: %v, %v", m, err)
	}
	if _, _, err := d.Take(t.Context(), office, "", exampleOrder(t)); err != nil {
		t.Fatal(err)
	}
	if err := d.Release(t.Context(), office, "", "SMI-014", false, ""); err != nil {
		t.Fatal(err)
	}
	asks := func(panel string) plan.Occasion {
		t.Helper()
		doc, err := d.packet(t.Context(), "SMI-014", Printing{})
		if err != nil {
			t.Fatal(err)
		}
		for _, ticket := range doc.Tickets {
			if ticket.Panel == panel {
				return ticket.At(plan.Fold).When("fold_depth")
			}
		}
		t.Fatal("no panel", panel)
		return ""
	}
	if asks("L") != plan.FirstOfPair || asks("R") != plan.FirstOfPair {
		t.Errorf("before the work: %s, %s", asks("L"), asks("R"))
	}
	tickets := d.Store.Floor().Order("SMI-014").Tickets
	for _, ticket := range tickets[:3] { // both cuttings and the left panel, to the tape
		code := ticket.Spec.Code
		for now := d.Store.Floor().Ticket(code).Current(); now != nil && now.Spec.Station != plan.Tape; now = d.Store.Floor().Ticket(code).Current() {
			measured := map[string]string{}
			for _, e := range now.Spec.Enter {
				measured[e.Name] = e.Target.String()
			}
			for _, action := range []stations.Action{stations.Start, stations.Finish} {
				scan := stations.Scan{Actor: office, Ticket: code, Station: now.Spec.Station, Action: action, Measured: measured, Checks: now.Spec.Checks,
					Key: string(code) + string(now.Spec.Station) + string(action)}
				if _, err := d.Store.Do(t.Context(), scan); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	if asks("L") != plan.FirstOfPair || asks("R") != plan.Never {
		t.Errorf("after the first is measured: %s, %s", asks("L"), asks("R"))
	}
	if spec := d.Store.Floor().Order("SMI-014").Tickets[3].Spec; spec.At(plan.Fold).When("fold_depth") != plan.FirstOfPair {
		t.Error("printing changed the ticket")
	}
}
