package views

import (
	"time"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/stations"
)

// OrderRow is one order of the list.
type OrderRow struct {
	ID, Customer, Due      string
	Sidemark               string // where the shop or the order lets it be seen
	State                  stations.OrderState
	Late                   bool
	Panels, Finished, Held int
}

// InvoiceRow is one invoice of the list.
type InvoiceRow struct {
	ID       string // number, or the draft's
	Issued   bool
	Credit   bool   // a credit note
	Credits  string // of a credit note: the number of its invoice
	Credited bool   // an invoice that is credited
	Customer string
	Panels   int
	Total    *billing.Money // nil while a price is missing
}

// Uploaded is an order file that was not taken: its text, and what is wrong at each line.
type Uploaded struct {
	Source  string
	Refused string // the sentence of a refusal, such as an order of that name being there
	Lines   []SourceLine
	General []engine.Problem // without a line
	Errors  int
}

// SourceLine is one line of an order file with its problems.
type SourceLine struct {
	Number   int
	Text     string
	Problems []engine.Problem
}

// Moment is an instant in the shop's zone; the zero one is none.
type Moment struct {
	Date string // YYYY-MM-DD
	At   time.Time
}
