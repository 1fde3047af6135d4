package i18n_test

// alike are the sentences that are rightly the same in English and in another language: names, units and cognates.
var alike = map[string]bool{
	"card.press.sixteenth":     true, // a unit
	"paper.test.module":        true,
	"taking.choice.units.cm":   true,
	"taking.choice.units.mm":   true,
	"page.invoice.total":       true, // Spanish
	"page.ready.total":         true,
	"paper.invoice.total":      true,
	"paper.invoice.subtotal":   true,
	"page.severity.error":      true,
	"paper.packet.material":    true,
	"taking.choice.flag.false": true,
	"book.colour":              true,
	"book.no":                  true,
}
