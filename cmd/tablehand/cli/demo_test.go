package cli

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// demoWeek makes the demo's week in a new folder.
func demoWeek(t *testing.T) (*store.Store, string) {
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
	st, _ := demoWeek(t)
	differences, err := st.Audit(context.Background())
	if err != nil || len(differences) > 0 {
		t.Errorf("audit: %v %v", differences, err)
	}
	floor := st.Floor()
	today := time.Now().Format(time.DateOnly)
	orders, panels, late := map[stations.OrderState]int{}, 0, 0
	at := map[plan.Station]int{}
	states := map[stations.State]int{}
	for _, o := range floor.Orders() {
		orders[o.State]++
		if o.Late(today) {
			late++
		}
		for _, tk := range o.Tickets {
			if tk.Spec.Kind == plan.PanelTicket {
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
	if all := len(plan.Stations()); len(at) < all*3/4 {
		t.Errorf("something stands at %d of %d stations only", len(at), all)
	}
	// The panels of orders that are not released have no tickets yet: 12 of SMI-017, 10 of LAN-004, 4 of SMI-022.
	if panels != 154-26 || late == 0 || len(floor.Ready()) == 0 || len(floor.Orders()) != len(week) {
		t.Errorf("%d panels on the floor, %d orders late, %d panels ready to invoice, %d orders", panels, late, len(floor.Ready()), len(floor.Orders()))
	}
	for _, at := range lastEvents(t, st) {
		if at.After(time.Now()) {
			t.Errorf("something happens in the future: %s", at)
		}
	}
}

// TestDemoHasCloth: the demo's shelf shows what a bolt can come to: cut from, on the table, flawed, held; it is promised to
// orders, and one that waits is short of what is free.
func TestDemoHasCloth(t *testing.T) {
	st, _ := demoWeek(t)
	floor := st.Floor()
	bolts := floor.Shelf().Bolts()
	states, promised, flaws, opened := map[shelf.State]int{}, 0, 0, 0
	for _, b := range bolts {
		states[b.State()]++
		promised += len(floor.Promised(b.Code))
		flaws += len(b.Flaws)
		if b.Opened {
			opened++
		}
		if !b.Account().Balances() {
			t.Errorf("%s of %s: %+v", b.Code, b.Cloth, b.Account())
		}
	}
	if len(bolts) != len(demoBolts) || states[shelf.OnTable] != 1 || states[shelf.Held] != 1 || promised < 15 || flaws != 2 || opened < 2 {
		t.Errorf("%d bolts, %v, %d cuts promised, %d flaws, %d opened", len(bolts), states, promised, flaws, opened)
	}
	office, err := desk.New(desk.Config{Store: st})
	if err != nil {
		t.Fatal(err)
	}
	w, err := office.Workup(context.Background(), "SMI-022")
	if err != nil || !slices.ContainsFunc(w.Problems, func(p engine.Problem) bool { return p.Code == "fabric_short" }) {
		t.Errorf("SMI-022 is not short of what the shelf has free: %v", err)
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
	st, _ := demoWeek(t)
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
			if tk.Spec.Kind == plan.PanelTicket {
				compared += compareTicket(t, w, tk.Spec)
			}
		}
	}
	if compared < 2000 {
		t.Errorf("only %d numbers compared", compared)
	}
}

// compareTicket returns how many numbers of a ticket it found in the work-up.
func compareTicket(t *testing.T, w *workup.Workup, spec *plan.Ticket) (compared int) {
	t.Helper()
	numbers := map[string]string{}
	for i := range w.Treatments[spec.Treatment].Panels {
		if p := &w.Treatments[spec.Treatment].Panels[i]; string(p.ID) == spec.Panel {
			for _, n := range p.Values() {
				numbers[n.Name] = n.Value.String()
			}
		}
	}
	for _, step := range spec.Steps {
		for _, v := range step.Values {
			if want, ok := numbers[v.Name]; ok {
				compared++
				if v.Value.String() != want {
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
	out, printed := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		err := run(ctx, []string{"demo", "--listen", "127.0.0.1:0", "--data", dir}, strings.NewReader(""), printed, io.Discard)
		printed.Close()
		ended <- err
	}()
	var said strings.Builder
	for lines := bufio.NewScanner(out); lines.Scan(); {
		fmt.Fprintln(&said, lines.Text())
		if strings.HasPrefix(lines.Text(), "data: ") {
			cancel()
		}
	}
	return said.String(), <-ended
}

// command runs one command line as a person does.
func command(args ...string) (stdout, stderr string, code int) {
	var out, said bytes.Buffer
	code = Run(context.Background(), args, strings.NewReader(""), &out, &said)
	return out.String(), said.String(), code
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
	st, err := store.Open(context.Background(), store.Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	if sender, err := st.Setting(context.Background(), store.PostalAddress); err != nil || sender == "" {
		t.Errorf("the demo's invoice has no sender: %v", err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	if out, said, code := command("audit", "--data", dir); code != 0 {
		t.Errorf("audit: exit %d\n%s%s", code, out, said)
	}
}

func TestDemoLeavesAnotherShopAlone(t *testing.T) {
	dir := t.TempDir()
	st, err := store.Open(context.Background(), store.Options{Dir: dir})
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
	if _, err := demoRun(t, dir); exitCode(err) != 1 {
		t.Errorf("the demo went into another's shop: %v", err)
	}
}

// TestPaperByCommand writes each kind of an order's paper from a folder that no server has open.
func TestPaperByCommand(t *testing.T) {
	st, dir := demoWeek(t)
	order := ""
	for _, o := range st.Floor().Orders() {
		if len(o.Tickets) > 0 {
			order = o.ID
		}
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "paper.pdf")
	for _, kind := range [][]string{{}, {"--kind", "tags"}, {"--kind", "tags", "--paper", "a4"}, {"--kind", "packet"}, {"--kind", "packet", "--paper", "a4"}, {"--kind", "rooms"}} {
		_ = os.Remove(file)
		out, said, code := command(append([]string{"tickets", order, "--out", file, "--data", dir}, kind...)...)
		if pdf, err := os.ReadFile(file); code != 0 || !strings.HasPrefix(string(pdf), "%PDF-") || !strings.Contains(out, file) {
			t.Errorf("%v: exit %d, %v\n%s%s", kind, code, err, out, said)
		}
	}
	_ = os.Remove(file)
	if out, said, code := command("tickets", order, "--out", file, "--data", dir, "--kind", "packet", "--paper", "label"); code != 1 || said == "" {
		t.Errorf("a packet on labels: exit %d\n%s%s", code, out, said)
	}
	if _, err := os.Stat(file); err == nil {
		t.Error("a packet on labels leaves a file")
	}
}
