package main

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"
	"time"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/server/store"
	"tablehand/stations"
)

// demoShop makes the demo's week in a new folder.
func demoShop(t *testing.T) (*store.Store, string) {
	t.Helper()
	dir := t.TempDir()
	clock := &setClock{}
	st, err := store.Open(context.Background(), store.Options{Dir: dir, Clock: clock.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	if err := makeWeek(context.Background(), st, clock, time.Now()); err != nil {
		t.Fatal(err)
	}
	return st, dir
}

func TestDemoIsAWeekOfAWorkroom(t *testing.T) {
	st, _ := demoShop(t)
	differences, err := st.Audit(context.Background())
	if err != nil || len(differences) > 0 {
		t.Errorf("audit: %v %v", differences, err)
	}
	floor := st.Floor()
	today := time.Now().Format(time.DateOnly)
	orders, panels, late := map[stations.OrderState]int{}, 0, 0
	at := map[stations.Station]int{}
	states := map[stations.State]int{}
	for _, o := range floor.Orders() {
		orders[o.State]++
		if o.Late(today) {
			late++
		}
		for _, tk := range o.Tickets {
			if tk.Spec.Kind == stations.PanelTicket {
				panels++
			}
			states[tk.State()]++
			if tk.State() == stations.Ready || tk.State() == stations.AtWork {
				at[tk.Station()]++
			}
		}
	}
	for _, state := range []stations.OrderState{stations.OrderTaken, stations.OrderReleased, stations.OrderFinished, stations.OrderInvoiced} {
		if orders[state] == 0 {
			t.Errorf("no order is %s", state)
		}
	}
	for _, state := range []stations.State{stations.Waiting, stations.Ready, stations.AtWork, stations.Held, stations.Finished} {
		if states[state] == 0 {
			t.Errorf("no ticket is %s", state)
		}
	}
	for _, s := range stations.Stations() {
		if at[s] == 0 {
			t.Errorf("nothing stands at %s", s)
		}
	}
	// The panels of orders that are not released have no tickets yet: 12 of SMI-017 and 10 of LAN-004.
	if panels != 125-22 || late == 0 || len(floor.Ready()) == 0 || len(floor.Orders()) != len(week) {
		t.Errorf("%d panels on the floor, %d orders late, %d panels ready to invoice, %d orders", panels, late, len(floor.Ready()), len(floor.Orders()))
	}
	for _, at := range lastEvents(t, st) {
		if at.After(time.Now()) {
			t.Errorf("something happens in the future: %s", at)
		}
	}
}

func lastEvents(t *testing.T, st *store.Store) []time.Time {
	t.Helper()
	events, err := st.Events(context.Background(), 0, 10_000)
	if err != nil {
		t.Fatal(err)
	}
	times := make([]time.Time, len(events))
	for i, e := range events {
		times[i] = e.At
		if i > 0 && e.At.Before(times[i-1]) {
			t.Errorf("event %d comes before the one it follows", e.Seq)
		}
	}
	return times
}

// TestDemoTicketsSayWhatTheWorkupSays compares each number on each panel's ticket with the work-up of its file.
func TestDemoTicketsSayWhatTheWorkupSays(t *testing.T) {
	st, _ := demoShop(t)
	compared := 0
	for _, o := range st.Floor().Orders() {
		source, err := st.OrderSource(context.Background(), o.ID)
		if err != nil {
			t.Fatal(err)
		}
		order, problems := orderfile.Parse(source)
		if order == nil {
			t.Fatalf("%s: %v", o.ID, problems)
		}
		w := workup.Compute(order)
		short := false
		for _, p := range w.Problems {
			short = short || p.Code == "fabric_short"
		}
		if want := o.ID == "SMI-017"; short != want {
			t.Errorf("%s: short of cloth %v, want %v", o.ID, short, want)
		}
		for _, tk := range o.Tickets {
			if tk.Spec.Kind == stations.PanelTicket {
				compared += compareTicket(t, w, tk.Spec)
			}
		}
	}
	if compared < 2000 {
		t.Errorf("only %d numbers compared", compared)
	}
}

// compareTicket returns how many numbers of a ticket it found in the work-up.
func compareTicket(t *testing.T, w *workup.Workup, spec *stations.TicketSpec) (compared int) {
	t.Helper()
	numbers := map[string]string{}
	for i := range w.Treatments[spec.Treatment].Panels {
		if p := &w.Treatments[spec.Treatment].Panels[i]; string(p.ID) == spec.Panel {
			for _, n := range p.Values() {
				numbers[n.Name] = n.Value
			}
		}
	}
	for _, step := range spec.Steps {
		for _, v := range step.Values {
			if want, ok := numbers[v.Name]; ok {
				compared++
				if v.Value != want {
					t.Errorf("%s %s at %s: %s is %s, the work-up says %s", spec.Window, spec.Panel, step.Station, v.Name, v.Value, want)
				}
			}
		}
	}
	return compared
}

// demoRun serves the demo in a folder until it has printed its address, and returns what it printed.
func demoRun(t *testing.T, dir string) (string, error) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var out lockedBuffer
	ended := make(chan error, 1)
	go func() {
		ended <- run(ctx, []string{"demo", "--listen", "127.0.0.1:0", "--data", dir}, strings.NewReader(""), &out, io.Discard)
	}()
	for deadline := time.Now().Add(patience); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if strings.Contains(out.String(), "data: ") {
			cancel()
			break
		}
		select {
		case err := <-ended:
			return out.String(), err
		default:
		}
	}
	return out.String(), <-ended
}

func TestDemoRunsTwice(t *testing.T) {
	dir := t.TempDir()
	first, err := demoRun(t, dir)
	if err != nil || !strings.Contains(first, "passphrase: ") {
		t.Fatalf("first run: %v\n%s", err, first)
	}
	second, err := demoRun(t, dir)
	if err != nil || strings.Contains(second, "passphrase: ") {
		t.Fatalf("second run: %v\n%s", err, second)
	}
	var out bytes.Buffer
	if err := run(context.Background(), []string{"audit", "--data", dir}, strings.NewReader(""), &out, io.Discard); err != nil {
		t.Errorf("audit: %v\n%s", err, out.String())
	}
}

func TestDemoLeavesAnotherShopAlone(t *testing.T) {
	s := serveShop(t, t.TempDir())
	s.stop()
	st, err := store.Open(context.Background(), store.Options{Dir: s.dir})
	if err != nil {
		t.Fatal(err)
	}
	_, err = st.TakeOrder(context.Background(), stations.TakeOrder{Order: "X-1", Actor: demoOffice}, []byte("order: X-1\n"))
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := demoRun(t, s.dir); exitCode(err) != 1 {
		t.Errorf("the demo went into another's shop: %v", err)
	}
}
