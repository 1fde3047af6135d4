package paper

import (
	"encoding/xml"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

func spotOf(t *testing.T, p *Panel, name string) string {
	t.Helper()
	var b strings.Builder
	if _, err := SpotSVG(&b, p, name, measure.In, i18n.For("en")); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestEveryNumberHasItsPlace: whatever a station shows or measures is drawn on a panel of one heading or another,
// except what lies nowhere on it by its row, as well-formed SVG with no place that is none.
func TestEveryNumberHasItsPlace(t *testing.T) {
	panels := []*Panel{firstPanel(worked(t, readContract(t))), firstPanel(worked(t, pinched))}
	for _, heading := range []string{"box", "inverted-box", "cartridge-hand", "goblet"} {
		panels = append(panels, firstPanel(worked(t, strings.Replace(pinched, "pinch-3", heading, 1))))
	}
	for name := range unpleated {
		panels = append(panels, firstPanel(unpleatedOrder(t, name)))
	}
	panels = append(panels, grown(t))
	for _, station := range plan.Stations() {
		asked := plan.ChecklistOf(station)
		for _, name := range append(asked.Values, asked.Entries...) {
			drawn := ""
			for _, p := range panels {
				drawn += spotOf(t, p, name)
			}
			offcut := strings.HasPrefix(name, "trim_") || strings.HasPrefix(name, "turned_") // drawn where there is any
			n := workup.NumberOf(plan.Target(name))
			if n == nil {
				continue // of a fabric's cutting, which has no panel
			}
			if places[n.Place] == nil && n.Place != workup.Nowhere {
				t.Errorf("the place of %s (engine/workup/numbers.go) is drawn nowhere: places of views/paper/places.go", n.Key)
			}
			if drawn == "" && n.Place != workup.Nowhere && !offcut {
				t.Errorf("%s at %s is drawn nowhere", name, station)
			}
			if strings.Contains(drawn, "NaN") || strings.Contains(drawn, "Inf") {
				t.Errorf("%s at %s: a place that is none: %.300s", name, station, drawn)
			}
			for d := xml.NewDecoder(strings.NewReader("<all>" + drawn + "</all>")); ; {
				if _, err := d.Token(); err == io.EOF {
					break
				} else if err != nil {
					t.Errorf("%s at %s: %v", name, station, err)
					break
				}
			}
		}
	}
}

// grown is a panel of cloth that grows as it hangs, by an inch.
func grown(t *testing.T) *Panel {
	p := *firstPanel(worked(t, readContract(t)))
	on := *p.Panel
	on.TableLength = on.FinishedLength - measure.Inch
	p.Panel = &on
	return &p
}

// TestASpotOfWhatIsMeasured: of a panel that grows as it hangs a station's drawing shows the length that it is made.
func TestASpotOfWhatIsMeasured(t *testing.T) {
	p := grown(t)
	for _, name := range []string{"length_middle", "finished_length"} {
		if made := spotOf(t, p, "table_length"); spotOf(t, p, name) != made || made == spotOf(t, p, "hung_length") {
			t.Errorf("%s is drawn otherwise than the length on the table", name)
		}
	}
}

var spotLine = regexp.MustCompile(`<line class="spot" x1="([\d.-]+)" y1="([\d.-]+)" x2="([\d.-]+)" y2="([\d.-]+)"/>`)

// TestASpotIsToScale: a drawing's number is as long in it as the cloth around it says.
func TestASpotIsToScale(t *testing.T) {
	p := firstPanel(worked(t, readContract(t)))
	span := func(name string) float64 {
		t.Helper()
		m := spotLine.FindStringSubmatch(spotOf(t, p, name))
		if m == nil {
			t.Fatalf("%s has no line of its own", name)
		}
		var at [4]float64
		for i := range at {
			at[i], _ = strconv.ParseFloat(m[i+1], 64)
		}
		return math.Hypot(at[2]-at[0], at[3]-at[1])
	}
	near := func(name string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 0.15+want/200 {
			t.Errorf("%s is drawn %.1f px long, want %.1f", name, got, want)
		}
	}
	// Of a panel shown whole, across and down have one scale.
	near("flat_width", span("flat_width"), span("finished_length")*float64(p.FlatWidth)/float64(p.FinishedLength))
	// At an edge the first dot stands as far from it as the tape is high, by the drawing's own tape.
	tape := regexp.MustCompile(`<rect class="tape" x="[\d.-]+" y="([\d.-]+)" width="[\d.-]+" height="([\d.-]+)"/>`)
	m := tape.FindStringSubmatch(spotOf(t, p, "end_margin"))
	if m == nil {
		t.Fatal("no tape is drawn at the first dot")
	}
	height, _ := strconv.ParseFloat(m[2], 64)
	near("end_margin", span("end_margin"), height*float64(p.EndMargin)/float64(p.TapeHeight))
	m = tape.FindStringSubmatch(spotOf(t, p, "top_drop"))
	height, _ = strconv.ParseFloat(m[2], 64)
	near("top_drop", span("top_drop"), height*float64(p.TopDrop)/float64(p.TapeHeight))
	for _, name := range []string{"top_drop", "end_margin", "heading_fold", "side_hem", "bottom_hem", "space", "take_up", "tape_start"} {
		if got := span(name); got < 14 {
			t.Errorf("%s is %.0f px long, too small to be seen", name, got)
		}
	}
}

// TestASpotOfWhatHoldsIsToScale: an eyelet's drop to its rim, a tab's loop to its width, and the pitch to its eyelets.
func TestASpotOfWhatHoldsIsToScale(t *testing.T) {
	eyelet, tab := firstPanel(unpleatedOrder(t, "eyelet")), firstPanel(unpleatedOrder(t, "tab"))
	for _, c := range []struct {
		panel      *Panel
		name, size string // of the thing beside it, as it is drawn
		want       float64
	}{
		{eyelet, "eyelet_drop", `<circle class="eyelet" [^>]*r="([\d.]+)"/>`, float64(eyelet.EyeletDrop) / float64(eyelet.Eyelet.Outer/2)},
		{eyelet, "pitch", `<circle class="eyelet" [^>]*r="([\d.]+)"/>`, float64(eyelet.Pitch) / float64(eyelet.Eyelet.Outer/2)},
		{tab, "tab_loop", `<rect class="tab" [^>]*width="([\d.]+)"`, float64(tab.TabLoop) / float64(tab.TabWidth)},
		{tab, "tab_cut_width", `<rect class="tab" [^>]*height="([\d.]+)"`, float64(tab.TabCutWidth) / float64(tab.TabCutLength)},
	} {
		drawn := spotOf(t, c.panel, c.name)
		line, beside := spotLine.FindStringSubmatch(drawn), regexp.MustCompile(c.size).FindStringSubmatch(drawn)
		if line == nil || beside == nil {
			t.Errorf("%s isn't drawn: %s", c.name, drawn)
			continue
		}
		var at [5]float64
		for i, text := range append(line[1:], beside[1]) {
			at[i], _ = strconv.ParseFloat(text, 64)
		}
		if got := math.Hypot(at[2]-at[0], at[3]-at[1]) / at[4]; math.Abs(got-c.want) > c.want/50 {
			t.Errorf("%s is %.3f of what is beside it, want %.3f", c.name, got, c.want)
		}
	}
}
