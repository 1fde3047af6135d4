package shelf

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
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
