package stations

import (
	"tablehand/engine/billing"
	"tablehand/stations/plan"
)

// Wish is what was asked with a command that isn't a scan, without what the server adds: drawn codes, drafts, dates and
// plans. Two commands of one key are the same when their wishes are.
type Wish struct {
	Action   Action
	Order    string             `json:",omitempty"`
	Digest   string             `json:",omitempty"` // of a file
	From     int                `json:",omitempty"`
	Invoice  string             `json:",omitempty"` // or draft
	Customer string             `json:",omitempty"`
	Panels   []plan.Code        `json:",omitempty"`
	Frees    bool               `json:",omitempty"`
	Prices   *billing.PriceList `json:",omitempty"`
	Override bool               `json:",omitempty"`
	Reason   string             `json:",omitempty"`
}

// KeyOf returns the device that sent a command, the key that it gave it, "" for none, and what was asked with it.
func KeyOf(cmd Command) (device, key string, asked any) {
	switch c := cmd.(type) {
	case Scan:
		device, key = c.Actor.Device, c.Key
		c.Actor = Actor{} // a token's name and role may have changed since
		return device, key, c
	case TakeOrder:
		return c.Actor.Device, c.Key, Wish{Action: Take, Digest: c.Digest}
	case ReleaseOrder:
		return c.Actor.Device, c.Key, Wish{Action: Release, Order: c.Order, Override: c.Override, Reason: c.Reason}
	case ReviseOrder:
		return c.Actor.Device, c.Key, Wish{Action: Revise, Order: c.Order, Digest: c.Sheet.Digest, From: c.From, Override: c.Override, Reason: c.Reason}
	case CancelOrder:
		return c.Actor.Device, c.Key, Wish{Action: Cancel, Order: c.Order, Reason: c.Reason}
	case CloseOrder:
		return c.Actor.Device, c.Key, Wish{Action: Close, Order: c.Order, Reason: c.Reason}
	case SetPriceList:
		return c.Actor.Device, c.Key, Wish{Action: SetPrices, Prices: &c.Prices}
	case DraftInvoice:
		return c.Actor.Device, c.Key, Wish{Action: Draft, Customer: c.Customer, Panels: c.Panels}
	case IssueInvoice:
		return c.Actor.Device, c.Key, Wish{Action: Issue, Invoice: c.Draft}
	case CreditInvoice:
		return c.Actor.Device, c.Key, Wish{Action: Credit, Invoice: c.Invoice, Frees: c.Frees, Reason: c.Reason}
	}
	return "", "", nil
}
