package shelf

import (
	"tablehand/engine"
	"tablehand/engine/cutplan"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/relief"
	"tablehand/views"
	"tablehand/views/bolt"
)

// OrderPage is what an order's fabrics are cut from: which of the shop's cloths each is, and where its cuts lie.
type OrderPage struct {
	views.Frame
	Order   string
	Fabrics []Fabric
	Cloths  []Option
	Typed   string // the fabric of a form that was refused
	Answer  *views.Answer
}

// Fabric is one of an order's.
type Fabric struct {
	ID       string
	Use      orderfile.Use
	Cloth    string // key of the shop's cloth, "" for none
	Name     string // of that
	Like     string // key of a cloth that is called so
	ByOffice bool   // the office says which it is, else the file
	Cut      bool   // cutting has begun: it stays what it is
	Own      []FileBolt
	Strips   []bolt.Strip
	Problems []engine.Problem
	Proof    Proof
	Short    measure.Quantity // of cuts that have no place, nought for none
	Least    measure.Quantity // is short however they are cut; Nothing where that isn't proven
	Free     measure.Quantity // of its cloth, or its bolts, as cloth is bought
	Held     measure.Quantity
	Promised []workup.PromisedDocument
	Ways     []Way
}

// Proof says what is known of how the cuts lie; the zero value of ones of which nothing is to say.
type Proof struct {
	Key   string // of the sentence, under "shelf.plan"
	Count int    // bolts that are opened, or that perhaps needn't be
}

// ProofOf is what is known of a plan that places all.
func ProofOf(p *cutplan.Plan) Proof {
	switch {
	case p == nil || len(p.Placements) == 0 || len(p.Unplaced) > 0:
		return Proof{}
	case p.Optimal && p.Value == 0:
		return Proof{Key: "none_opened"}
	case p.Optimal:
		return Proof{Key: "proven", Count: int(p.Value)}
	}
	return Proof{Key: "best_found", Count: int(p.Value - p.Bound)}
}

// Way is something that helps where cloth is short.
type Way struct {
	relief.Way
	Length measure.Quantity // in the unit that says it best
	Short  measure.Quantity // what is short still, nought for nothing
	Name   string           // of the windows that mix lots
}

// ShortProof says how sure a shortage is.
func (f Fabric) ShortProof() string {
	switch {
	case f.Least.IsZero():
		return "open"
	case f.Least.Length() >= f.Short.Length():
		return "proven"
	}
	return "least"
}

// FileBolt is a bolt of the order's file that isn't on the shelf.
type FileBolt struct {
	ID, Lot string
	Length  measure.Quantity
}

// Chosen is the cloth that a fabric's choice begins with.
func (f Fabric) Chosen() string {
	if f.Cloth != "" {
		return f.Cloth
	}
	return f.Like
}

var orderPage = views.Template{Name: "shelf-order", HTML: html, Files: []string{"order.html"}}

// Template is how the page is written.
func (OrderPage) Template() *views.Template { return &orderPage }
