package paper

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tablehand/views/i18n"
)

func TestPdfShots(t *testing.T) {
	dir := os.Getenv("SHOTS")
	if dir == "" {
		t.Skip()
	}
	for name := range unpleated {
		w := unpleatedOrder(t, name)
		doc := ticketsDoc(t, w)
		doc.Say = i18n.For(os.Getenv("LANGUAGE_"))
		name = strings.ReplaceAll(name, ", ", "-")
		f, _ := os.Create(filepath.Join(dir, "t-"+name+".pdf"))
		_ = Tickets(f, doc)
		f.Close()
		f, _ = os.Create(filepath.Join(dir, "p-"+name+".pdf"))
		_ = Packet(f, PacketDoc{TicketsDoc: doc, Revision: 1, Workup: w})
		f.Close()
	}
}
