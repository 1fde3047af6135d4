package stock

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/shelf"
)

// columns are what a table of a delivery may have, by the keys of a receipt.
var columns = []string{"cloth", "lot", "supplier_piece", "owner", "length", "invoiced", "usable_width", "place", "units", "count"}

// ReceiveTable takes a delivery in as a CSV file, a bolt or several alike a line: all of it or nothing. The error has every line that
// can't be read or is of no cloth, or the first that is refused, with its line and column.
func (s Stock) ReceiveTable(ctx context.Context, cmd stations.ReceiveBolts, source []byte) (stations.Event, error) {
	return s.receiveTable(cmd, source, func(cmd stations.ReceiveBolts) (stations.Event, error) { return s.Receive(ctx, cmd) })
}

// TryTable says what ReceiveTable would do, and takes nothing.
func (s Stock) TryTable(cmd stations.ReceiveBolts, source []byte) (stations.Event, error) {
	return s.receiveTable(cmd, source, func(cmd stations.ReceiveBolts) (stations.Event, error) {
		cmd, err := s.coded(cmd)
		if err != nil {
			return stations.Event{}, err
		}
		return s.Store.Floor().Overlay().Decide(cmd, s.Clock())
	})
}

func (s Stock) receiveTable(cmd stations.ReceiveBolts, source []byte, receive func(stations.ReceiveBolts) (stations.Event, error)) (stations.Event, error) {
	table, wrong := books.ReadTable(source)
	if wrong != nil {
		return stations.Event{}, desk.RefuseProblems([]engine.Problem{*wrong})
	}
	problems := unknownColumns(table)
	if len(problems) > 0 {
		return stations.Event{}, desk.RefuseProblems(problems)
	}
	for i := range table.Rows() {
		row, problem := receiptOf(table, i)
		if problem != nil {
			problems = append(problems, *problem)
		}
		if r := s.cloth(new(row)); r != nil {
			r.Row = i
			problems = append(problems, problemAt(table, r))
		}
		cmd.Rows = append(cmd.Rows, row)
	}
	if len(problems) > 0 {
		return stations.Event{}, desk.RefuseProblems(problems)
	}
	e, err := receive(cmd)
	var refused *stations.Refusal
	if errors.As(err, &refused) && refused.Field != "" && refused.Row < table.Rows() {
		return e, desk.RefuseProblems([]engine.Problem{problemAt(table, refused)})
	}
	return e, err
}

func unknownColumns(t *books.Table) (problems []engine.Problem) {
	for i, column := range t.Columns {
		if !slices.Contains(columns, column) {
			problems = append(problems, engine.Problem{Severity: engine.Error, Code: "unknown_key", Key: "problem.unknown_key.among", Line: 1, Column: i + 1,
				Args: map[string]any{"Key": column, "Like": "", "Known": strings.Join(columns, ", ")}})
		}
	}
	return problems
}

// receiptOf reads a line.
func receiptOf(t *books.Table, n int) (r shelf.Receipt, _ *engine.Problem) {
	cells, line := t.Row(n)
	into := map[string]*string{"cloth": &r.Cloth, "lot": &r.Lot, "supplier_piece": &r.SupplierPiece, "owner": &r.Owner, "length": &r.Length,
		"invoiced": &r.Invoiced, "usable_width": &r.Width, "place": &r.Place}
	for i, cell := range cells {
		switch {
		case i >= len(t.Columns) || cell == "":
		case t.Columns[i] == "units":
			r.Units = measure.Unit(cell)
		case t.Columns[i] == "count":
			count, err := strconv.Atoi(cell)
			if err != nil {
				return r, &engine.Problem{Severity: engine.Error, Code: "bad_value", Key: "problem.bad_value.count", Line: line, Column: i + 1, Args: map[string]any{"Key": "count", "Text": cell}}
			}
			r.Count = count
		default:
			*into[t.Columns[i]] = cell
		}
	}
	return r, nil
}

// problemAt is a refusal where it arises in the table: its sentence is the refusal's.
func problemAt(t *books.Table, r *stations.Refusal) engine.Problem {
	_, line := t.Row(r.Row)
	return engine.Problem{Severity: engine.Error, Code: r.Code, Key: "refusal." + r.Code, Where: r.Field, Args: r.Args, Line: line, Column: slices.Index(t.Columns, r.Field) + 1}
}
