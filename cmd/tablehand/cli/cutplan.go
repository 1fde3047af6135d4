package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"tablehand/engine"
	"tablehand/engine/cutfile"
	"tablehand/engine/cutplan"
	"tablehand/engine/workup"
	"tablehand/views/bolt"
)

type cutplanCommand struct {
	Problem string `arg:"" name:"PROBLEM.json" help:"${help_cutplan_problem}"`
	Work    int64  `xor:"budget" help:"${help_cutplan_work}"`
	Ms      int64  `xor:"budget" help:"${help_cutplan_ms}"`
	SVG     string `name:"svg" placeholder:"FILE" help:"${help_cutplan_svg}"`
	Check   string `placeholder:"PLAN.json" help:"${help_cutplan_check}"`
}

// errBudget is a budget below nothing.
var errBudget = errors.New("--work and --ms take a number above 0")

// Run plans the cuts of a file and prints the plan; with --check it prints what is wrong with a plan instead. A file that can't be
// used, a cut without a place and a plan with a fault end with errNeedsPerson.
func (c *cutplanCommand) Run(e *env) error {
	if c.Work < 0 || c.Ms < 0 {
		return usageError{errBudget}
	}
	source, err := readArgument(c.Problem, e.stdin)
	if err != nil {
		return err
	}
	file, problems := cutfile.Read(source)
	if file == nil {
		return c.refuse(e, problems)
	}
	if c.Check != "" {
		return c.check(e, file)
	}
	plan := c.plan(e.ctx, file)
	if c.SVG != "" {
		var drawn bytes.Buffer
		if err := bolt.PlanSVG(&drawn, file, &plan); err != nil {
			return err
		}
		if err := os.WriteFile(c.SVG, drawn.Bytes(), 0o644); err != nil {
			return err
		}
	}
	if err := writeJSON(e.stdout, file.Document(&plan)); err != nil {
		return err
	}
	if len(plan.Unplaced) > 0 {
		return errNeedsPerson
	}
	return nil
}

// noBound is work that only the clock ends.
const noBound = 1 << 60

func (c *cutplanCommand) plan(ctx context.Context, file *cutfile.File) cutplan.Plan {
	budget := cutplan.Budget{Work: c.Work}
	if c.Ms > 0 {
		budget.Work = noBound
		clocked, stop := context.WithTimeout(ctx, time.Duration(c.Ms)*time.Millisecond)
		defer stop()
		ctx = clocked
	}
	return cutplan.Best(ctx, file.Problem, budget)
}

// check prints the faults of a plan, a line each.
func (c *cutplanCommand) check(e *env, file *cutfile.File) error {
	source, err := readArgument(c.Check, e.stdin)
	if err != nil {
		return err
	}
	faults, err := file.Faults(source)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Check, err)
	}
	if len(faults) == 0 {
		fmt.Fprintln(e.stdout, "sound")
		return nil
	}
	for _, f := range faults {
		name := file.CutName(f.Cut)
		if name == f.Cut {
			name, _ = file.BoltName(f.Cut)
		}
		fmt.Fprintln(e.stdout, string(f.Fault), name)
	}
	return errNeedsPerson
}

// refuse tells the problems of a file that can't be used: as JSON on stdout, and on stderr in words.
func (c *cutplanCommand) refuse(e *env, problems []engine.Problem) error {
	for _, p := range problems {
		where := p.Where
		if p.Line > 0 {
			where = fmt.Sprintf("%d:%d", p.Line, p.Column)
		}
		fmt.Fprintf(e.stderr, "%s:%s: %s\n", c.Problem, where, e.words.Problem(p))
	}
	if err := writeJSON(e.stdout, workup.RefusedDocument(problems, e.words.Problem)); err != nil {
		return err
	}
	return errNeedsPerson
}
