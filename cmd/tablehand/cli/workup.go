package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"text/tabwriter"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/paper"
)

type workupCommand struct {
	Order   string `arg:"" name:"ORDER.yaml" help:"${help_workup_order}"`
	Format  string `enum:"text,json,svg" default:"text" help:"${help_workup_format}"`
	Explain bool   `help:"${help_workup_explain}"`
	Rules   bool   `help:"${help_workup_rules}"`
}

// Run prints the work-up of an order file. A file that can't be used, or a problem that is an error, ends with
// errNeedsPerson.
func (c *workupCommand) Run(e *env) error {
	source, err := readArgument(c.Order, e.stdin)
	if err != nil {
		return err
	}
	order, problems := orderfile.Parse(source)
	if order == nil {
		return c.refuse(e, problems)
	}
	problems = append(problems, order.OffShelf()...)
	w := workup.Compute(order)
	w.Problems = append(problems, w.Problems...)
	switch c.Format {
	case "json":
		doc := w.Document(c.Explain, e.words.Problem, e.formula)
		if c.Rules {
			doc.Rules = workup.OutcomeDocuments(workup.Outcomes(order), order.Units)
		}
		err = writeJSON(e.stdout, doc)
	case "svg":
		err = paper.WorkupSVG(e.stdout, w, e.words)
		c.complain(e, workup.Noteworthy(w.Problems))
	default:
		r := &report{w: w, words: e.words, explain: c.Explain}
		if c.Rules {
			r.rules = workup.Outcomes(order)
		}
		err = r.write(e.stdout)
		c.complain(e, workup.Noteworthy(w.Problems))
	}
	if err == nil && engine.AnyError(w.Problems) {
		return errNeedsPerson
	}
	return err
}

func (e *env) formula(key string) string { return e.words.T(key) }

// readArgument reads the file that an argument names, - standard input.
func readArgument(name string, stdin io.Reader) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(stdin)
	}
	source, err := os.ReadFile(name)
	if err != nil {
		var path *os.PathError
		if errors.As(err, &path) {
			return nil, fmt.Errorf("%s: %w", name, path.Err)
		}
	}
	return source, err
}

// refuse tells the problems of a file that can't be used: as JSON on stdout, as text on stderr.
func (c *workupCommand) refuse(e *env, problems []engine.Problem) error {
	if c.Format == "json" {
		if err := writeJSON(e.stdout, workup.RefusedDocument(problems, e.words.Problem)); err != nil {
			return err
		}
	} else {
		c.complain(e, problems)
	}
	return errNeedsPerson
}

// complain writes problems a line each: FILE:LINE:COLUMN: message.
func (c *workupCommand) complain(e *env, problems []engine.Problem) {
	for _, p := range problems {
		severity := ""
		if p.Severity != engine.Error {
			severity = e.words.T("cli.severity."+string(p.Severity)) + ": "
		}
		fmt.Fprintf(e.stderr, "%s:%d:%d: %s%s\n", c.Order, p.Line, p.Column, severity, e.words.Problem(p))
	}
}

func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// report is the work-up as a person reads it.
type report struct {
	w       *workup.Workup
	words   *i18n.Printer
	explain bool
	rules   []workup.Outcome // empty: not asked for
	out     *tabwriter.Writer
}

func (r *report) line(cells ...string) { fmt.Fprintln(r.out, strings.Join(cells, "\t")) }

func (r *report) length(l measure.Length) string { return r.words.Length(l, r.w.Order.Units) }

func (r *report) write(w io.Writer) error {
	r.out = tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	o := r.w.Order
	title := []string{o.ID}
	if o.Customer != "" {
		title = append(title, o.Customer)
	}
	if o.Due != "" {
		title = append(title, r.words.T("cli.due", "Date", r.words.Date(o.Due)))
	}
	fmt.Fprintln(r.out, strings.Join(title, " · "))
	for i := range r.w.Treatments {
		r.treatment(&r.w.Treatments[i])
	}
	for i := range r.w.Pieces {
		r.piece(&r.w.Pieces[i])
	}
	r.totals()
	r.outcomes()
	return r.out.Flush()
}

func (r *report) treatment(t *workup.Treatment) {
	head := []string{t.Window}
	if t.Room != "" {
		head = append(head, r.words.T("cli.room", "Room", t.Room))
	}
	head = append(head, r.words.Heading(string(t.Heading), t.HeadingName), r.words.N("cli.windows", t.Quantity))
	fmt.Fprintf(r.out, "\n%s\n", strings.Join(head, " · "))
	if len(t.Panels) == 0 {
		r.line("  " + r.words.T("cli.left_out"))
		return
	}
	r.panels(t.Panels)
	for _, f := range t.Fabrics {
		cuts := ""
		if f.Cuts > 0 { // not of bands alone
			cuts = r.words.N("cli.cuts", f.Cuts, "Length", r.length(f.CutLength))
		}
		r.line("  "+r.words.T("use."+string(f.Use))+" "+f.Fabric, cuts, r.length(f.Length))
		r.trails("fabric", r.w.UseTrail(t, &f))
		for i := range f.Trimmings {
			x := &f.Trimmings[i]
			r.line("    "+r.words.T("cli.trimming."+string(x.For)), r.words.N("cli.pieces", x.Pieces), r.words.N("cli.cuts", x.Rows, "Length", r.length(x.CutLength)), r.length(x.Length()))
			r.trails("fabric", r.w.TrimmingTrail(t, &f, x))
		}
	}
}

// piece writes a piece that is no panel, and its cloth.
func (r *report) piece(p *workup.PieceWork) {
	fmt.Fprintf(r.out, "\n%s\n", strings.Join([]string{p.Text, r.words.T("piece." + string(p.Kind)), r.words.N("cli.pieces", p.Quantity)}, " · "))
	if p.Failed {
		r.line("  " + r.words.T("cli.left_out"))
		return
	}
	for _, v := range plan.PieceParts(p, r.w.Order.Units) {
		r.line("  "+r.words.Named("value", v.Name), r.words.Quantity(v.Value))
	}
	r.trails("fabric", r.w.PieceTrail(p))
	for i := range p.Fabrics {
		f := &p.Fabrics[i]
		r.line("  "+r.words.T("use."+string(f.Use))+" "+f.Fabric, r.words.N("cli.cuts", f.Cuts, "Length", r.length(f.CutLength)), r.length(f.Length))
		r.trails("fabric", r.w.PieceUseTrail(p, f))
	}
}

// panels writes the numbers of a window's panels: once where they are alike, else one panel after the other.
func (r *report) panels(panels []workup.Panel) {
	names := make([]string, len(panels))
	alike := true
	for i := range panels {
		names[i] = r.words.T("panel." + string(panels[i].ID))
		alike = alike && slices.Equal(panels[i].Values(), panels[0].Values())
	}
	switch {
	case !alike:
		for i := range panels {
			r.panel(names[i], &panels[i])
		}
	case len(panels) > 1:
		r.panel(r.words.T("cli.panels.alike", "Panels", strings.Join(names, ", ")), &panels[0])
	default:
		r.panel(names[0], &panels[0])
	}
}

func (r *report) panel(name string, p *workup.Panel) {
	r.line("", name)
	for _, n := range p.Values() {
		label := "  " + r.words.T("value."+n.Name)
		if n.Value.Kind() == measure.List {
			r.list(label, n.Value.Parts())
		} else {
			r.line(label, r.words.Quantity(n.Value))
		}
		if r.explain {
			r.trail(p.Trail, n.Name)
		}
	}
}

// inARow is how many positions stand on one line.
const inARow = 6

// list writes positions over as many lines as they need.
func (r *report) list(label string, values []measure.Quantity) {
	for row := range slices.Chunk(values, inARow) {
		texts := make([]string, len(row))
		for i, v := range row {
			texts[i] = r.words.Quantity(v)
		}
		r.line(label, strings.Join(texts, ", "))
		label = ""
	}
}

// trail writes how a number came about, below it.
func (r *report) trail(steps []workup.Step, name string) {
	i := slices.IndexFunc(steps, func(s workup.Step) bool { return s.Name == name })
	if i < 0 {
		return
	}
	s := steps[i]
	fmt.Fprintf(r.out, "      %s\n", r.words.T(s.Formula))
	for _, in := range s.Inputs {
		label := in.Name
		if i18n.Has("value."+in.Name) || strings.HasPrefix(in.Name, plan.SizePrefix) {
			label = r.words.Named("value", in.Name)
		}
		fmt.Fprintf(r.out, "        %s = %s\n", label, r.words.Quantity(in.Value))
	}
	if s.Source != "" {
		fmt.Fprintf(r.out, "        %s\n", r.words.T("cli.source", "Source", r.words.T(s.Source)))
	}
}

// trails writes how the numbers of a row came about, below it, each with its name; nothing where nobody asked.
func (r *report) trails(kind string, steps []workup.Step) {
	if !r.explain {
		return
	}
	for _, s := range steps {
		label := r.words.Named("value", s.Name)
		if s.Name == "length" {
			label = r.words.T("cli.length." + kind)
		}
		fmt.Fprintf(r.out, "    %s = %s\n", label, r.words.Quantity(s.Value))
		r.trail(steps, s.Name)
	}
}

func (r *report) totals() {
	t := r.w.Totals
	fmt.Fprintf(r.out, "\n%s\n", r.words.T("cli.totals"))
	for _, f := range t.Fabrics {
		cells := []string{"  " + r.words.T("use."+string(f.Use)) + " " + f.Fabric, r.words.N("cli.cuts_all", f.Cuts),
			r.length(f.Length), r.words.T("cli.to_order", "Length", r.words.Length(f.ToOrder, r.w.Order.Units.Purchase()))}
		unit := r.w.Order.Units.Purchase()
		switch {
		case f.Bolts > 0:
			cells = append(cells, r.words.N("cloth.bolts", f.Bolts, "Length", r.words.Length(f.BoltLength, unit), "Sum", r.words.Length(f.BoltsComeTo, unit)))
		case f.BoltLength > 0:
			cells = append(cells, r.words.T("cloth.bolts.none", "Length", r.words.Length(f.BoltLength, unit)))
		}
		if f.OnBolts != nil {
			cells = append(cells, r.words.T("cli.on_bolts", "Length", r.words.Length(*f.OnBolts, r.w.Order.Units.Purchase())))
		}
		r.line(cells...)
		r.trails("fabric", r.w.FabricTrail(&f))
	}
	for _, x := range t.Tape {
		r.line("  "+r.words.T("cli.tape", "Tape", x.Tape), r.words.N("cli.pieces", x.Pieces), r.length(x.Used),
			r.words.T("cli.to_order", "Length", r.length(x.ToOrder)))
		r.trails("tape", r.w.TapeTrail(&x))
	}
	for _, x := range t.Buckram {
		r.line("  "+r.words.T("cli.buckram", "Height", r.length(x.Height)), r.words.N("cli.pieces", x.Pieces), r.length(x.Length))
		r.trails("buckram", r.w.BuckramTrail(&x))
	}
	for _, x := range t.Thread {
		cells := []string{"  " + r.words.T("cli.thread."+x.For), "", r.length(x.Length)}
		if x.Cones > 0 {
			cells = append(cells, r.words.N("page.order.cones", x.Cones))
		}
		r.line(cells...)
		r.trails("thread", r.w.ThreadTrail(&x))
	}
	for _, x := range t.Eyelets {
		r.line("  "+r.words.T("cli.eyelets", "Inner", r.length(x.Inner), "Outer", r.length(x.Outer)), measure.Count(x.Count))
		r.trails("eyelets", r.w.EyeletTrail(&x))
	}
	if t.Rings > 0 {
		r.line("  "+r.words.T("page.order.rings"), measure.Count(t.Rings))
	}
	if t.Tabs > 0 {
		r.line("  "+r.words.T("page.order.tabs"), measure.Count(t.Tabs))
	}
	for _, x := range t.Hooks {
		r.line("  "+r.words.T("cli.hooks", "Drop", r.length(x.Drop)), measure.Count(x.Count))
		r.trails("hooks", r.w.HookTrail(&x))
	}
	if t.Weights > 0 {
		r.line("  "+r.words.T("page.order.weights"), measure.Count(t.Weights))
	}
	if t.WeightCord > 0 {
		r.line("  "+r.words.T("page.order.weight_cord"), "", r.length(t.WeightCord))
	}
	for i := range t.Mass {
		x := &t.Mass[i]
		cells := []string{"  " + r.words.T("cli.weighs", "Window", x.Window), r.words.Quantity(measure.OfMass(x.Mass, r.w.Order.Units))}
		if x.Limit > 0 {
			cells = append(cells, r.words.T("cli.carries", "Limit", r.words.Quantity(measure.OfMass(x.Limit, r.w.Order.Units))))
		}
		r.line(cells...)
		r.trails("mass", r.w.MassTrail(x))
	}
	r.trails("weights", r.w.FittingTrail())
	if t.Incomplete {
		r.line("  " + r.words.T("cli.incomplete"))
	}
}

// outcomes writes what each named rule would have ordered, fabric by fabric; the order's own rule is marked. A
// convention under which every rule orders the same is left out.
func (r *report) outcomes() {
	if len(r.rules) == 0 {
		return
	}
	fmt.Fprintf(r.out, "\n%s\n", r.words.T("cli.rules"))
	for _, rules := range workup.Differing(r.rules) {
		r.convention(rules)
	}
	r.line("  " + r.words.T("cli.rules.same"))
}

func (r *report) convention(rules []workup.Outcome) {
	name := "convention." + rules[0].Convention
	r.line("  " + r.words.T(name))
	for _, o := range rules {
		mark := " "
		if o.InForce {
			mark = "*"
		}
		r.line("  "+mark+" "+r.words.T(name+"."+o.Value), r.ordered(o))
	}
}

// ordered writes what an outcome orders of each fabric.
func (r *report) ordered(o workup.Outcome) string {
	var cells []string
	for _, f := range o.Fabrics {
		cells = append(cells, f.Fabric+" "+r.words.Length(f.ToOrder, r.w.Order.Units.Purchase()))
	}
	if o.Incomplete {
		cells = append(cells, r.words.T("cli.incomplete"))
	}
	return strings.Join(cells, "\t")
}
