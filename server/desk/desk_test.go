package desk

import (
	"bytes"
	"errors"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// patience is how long a test waits for what should come at once.
const patience = 20 * time.Second

// open returns the desk of a new shop.
func open(t *testing.T) *Desk {
	t.Helper()
	st, err := store.Open(t.Context(), store.Options{Dir: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	d, err := New(Config{Store: st})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestAPanelLiesAsItIsBeingMade: one whose numbers are of an older file of its order is drawn by that file, on paper and
// on a page.
func TestAPanelLiesAsItIsBeingMade(t *testing.T) {
	d := open(t)
	source, err := os.ReadFile(filepath.Join("..", "..", "testdata", "contract", "order.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	source = bytes.Replace(source, []byte("order: SMI-014"), []byte("order: SMI-2"), 1)
	if _, _, err := d.Take(t.Context(), stations.Actor{Role: stations.Office}, "", source); err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(string(source), "finished_length: 95 1/2", "finished_length: 90", 1)
	newest, _ := d.workOut(orderfile.ParseUnder([]byte(changed), orderfile.DefaultConventions))
	was := &plan.Ticket{Kind: plan.PanelTicket, Panel: "L", Drawn: &plan.Origin{Revision: 1}}
	is := &plan.Ticket{Kind: plan.PanelTicket, Panel: "L"}
	o := &stations.Order{ID: "SMI-2", Revision: 2, Digest: "of the newest", Tickets: []*stations.Ticket{{Spec: was}, {Spec: is}}}
	onPaper, err := d.drawn(t.Context(), o, newest)
	if err != nil {
		t.Fatal(err)
	}
	d.worked.Put(revisionOf(o.ID, o.Revision), newest)
	for spec, want := range map[*plan.Ticket]string{was: "95.5in", is: "90in"} {
		if got := onPaper(spec).FinishedLength.In(measure.In); got != want {
			t.Errorf("drawn on paper with a length of %s, want %s", got, want)
		}
		w, treatment, err := d.DrawnAs(o, spec)
		if err != nil {
			t.Fatal(err)
		}
		if got := w.Treatments[treatment].Panels[0].FinishedLength.In(measure.In); got != want {
			t.Errorf("drawn on the page with a length of %s, want %s", got, want)
		}
	}
	was.Drawn.Revision = 7
	if _, err := d.drawn(t.Context(), o, newest); err == nil {
		t.Error("a file that there is not is no error")
	}
}

// TestPhotosTakeTurns: one is worked on at a time, some wait, and one more is told to come again.
func TestPhotosTakeTurns(t *testing.T) {
	d := open(t)
	var photo bytes.Buffer
	if err := jpeg.Encode(&photo, image.NewGray(image.Rect(0, 0, 320, 240)), nil); err != nil {
		t.Fatal(err)
	}
	leave, err := d.photoTurn()
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, photosWait)
	for range photosWait {
		go func() {
			_, err := d.KeepPhoto(photo.Bytes())
			ended <- err
		}()
	}
	for began := time.Now(); d.photos.Taken() < photosAtOnce+photosWait; time.Sleep(time.Millisecond) {
		if time.Since(began) > patience {
			t.Fatal("they don't wait")
		}
	}
	var refused *stations.Refusal
	if _, err := d.KeepPhoto(photo.Bytes()); !errors.As(err, &refused) || refused.Code != "busy" {
		t.Errorf("one more than may wait: %v", err)
	}
	leave()
	for range photosWait {
		if err := <-ended; err != nil {
			t.Errorf("one that waited: %v", err)
		}
	}
	if d.photos.Taken() != 0 {
		t.Error("a place is still taken")
	}
}
