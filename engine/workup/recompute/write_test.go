package recompute

import (
	"encoding/json"
	"fmt"
	"math/rand"
	"strings"
)

// reNode is a node of an order file: a reMap, a []any of nodes, or a scalar's text.
type reMap []reEntry

type reEntry struct {
	key   string
	value any
}

func (m *reMap) put(key string, value any) { *m = append(*m, reEntry{key, value}) }

// text puts a word unless it is empty, length a length unless it is left out, count a number unless it is 0.
func (m *reMap) text(key, value string) {
	if value != "" {
		m.put(key, value)
	}
}

func (m *reMap) length(key string, l reLen) {
	if l.given() {
		m.put(key, l.text)
	}
}

func (m *reMap) flag(key string, is bool) {
	if is {
		m.put(key, "true")
	}
}

func (m *reMap) count(key string, n int) {
	if n != 0 {
		m.put(key, fmt.Sprint(n))
	}
}

func (o reOrder) nodes() reMap {
	var m reMap
	m.put("order", o.id)
	m.put("units", o.unit)
	var c reMap
	for _, kv := range o.overrides {
		c.put(kv[0], kv[1])
	}
	if own := o.figureNodes(); len(own) > 0 {
		c.put("headings", own)
	}
	if len(c) > 0 {
		m.put("conventions", c)
	}
	var fabrics, tapes, rods, treatments []any
	for _, f := range o.fabrics {
		fabrics = append(fabrics, f.nodes())
	}
	for _, t := range o.tapes {
		tapes = append(tapes, t.nodes())
	}
	for _, r := range o.rods {
		rods = append(rods, r.nodes())
	}
	for _, t := range o.treatments {
		treatments = append(treatments, o.treatmentNodes(t))
	}
	m.put("fabrics", fabrics)
	if len(tapes) > 0 {
		m.put("tapes", tapes)
	}
	if len(rods) > 0 {
		m.put("rods", rods)
	}
	m.put("treatments", treatments)
	return m
}

func (f reFabric) nodes() reMap {
	var m reMap
	m.put("id", f.id)
	m.put("use", f.use)
	m.flag("one_way", f.oneWay && f.pile == "")
	m.length("thickness", f.thickness)
	m.length("usable_width", f.usable)
	m.length("match_width", f.matchWidth)
	m.length("vertical_repeat", f.repeat)
	m.text("match", f.match)
	m.length("bolt_length", f.boltLength)
	f.clothNodes(&m)
	var bolts []any
	for _, b := range f.bolts {
		var bolt reMap
		bolt.put("id", b.id)
		bolt.length("length", b.length)
		bolt.length("from", b.from)
		bolt.text("lot", b.lot)
		var flaws []any
		for _, flaw := range b.flaws {
			flaws = append(flaws, reMap{{"from", flaw.from.text}, {"to", flaw.to.text}})
		}
		if len(flaws) > 0 {
			bolt.put("flaws", flaws)
		}
		bolts = append(bolts, bolt)
	}
	if len(bolts) > 0 {
		m.put("bolts", bolts)
	}
	return m
}

func (t reTape) nodes() reMap {
	var m, margin reMap
	m.put("id", t.id)
	m.text("kind", t.kind)
	m.text("ends", t.ends)
	m.count("fingers", t.fingers)
	m.length("period", t.period)
	m.length("space", t.space)
	m.length("height", t.height)
	m.count("cords", t.cords)
	m.length("top_drop", t.topDrop)
	margin.length("nominal", t.nominal)
	margin.length("min", t.least)
	margin.length("max", t.most)
	if len(margin) > 0 {
		m.put("end_margin", margin)
	}
	m.length("trim_beyond", t.beyond)
	m.length("insert_length", t.insert)
	m.length("heading_fold", t.fold)
	m.length("pleat_base", t.base)
	m.length("ease_per_pleat", t.easeEach)
	m.length("tightest", t.tightest)
	m.length("pocket_pitch", t.pocketPitch)
	m.count("pockets", t.pockets)
	return m
}

func (o reOrder) treatmentNodes(t reTreatment) reMap {
	var m reMap
	m.put("window", t.window)
	m.put("heading", o.keyOf(t.heading))
	m.text("tape", t.tape)
	m.text("draw", t.draw)
	m.length("face_width", t.faceWidth)
	m.length("finished_width", t.finishedWidth)
	m.length("return", t.returnTo)
	m.length("return_other", t.returnOther)
	m.length("overlap", t.lap)
	m.length("finished_length", t.finishedLength)
	if t.toFloor.given() {
		hang := reMap{{"bearing_to_floor", t.toFloor.text}, {"clearance", t.clearance.text}}
		hang.length("heading_above_bearing", t.above)
		hang.length("heading_below_bearing", t.below)
		m.put("hang", hang)
	}
	m.length("puddle", t.puddle)
	m.put("face", t.face)
	m.text("lining", t.lining)
	m.text("interlining", t.interlining)
	m.count("quantity", t.quantity)
	m.count("pleats", t.pleats)
	if t.halves > 0 {
		m.put("widths", reFrac(int64(t.halves), 2).String())
	}
	m.text("surplus", t.surplus)
	m.text("cord_end", t.cordEnd)
	m.text("inserts", t.inserts)
	m.length("heading_fold", t.headingFold)
	m.length("bottom_hem", t.bottomHem)
	m.length("side_hem", t.sideHem)
	m.length("fullness", t.fullness)
	m.length("lead_flat", t.leadFlat)
	m.length("hook_drop", t.hookDrop)
	m.text("under", t.under)
	m.length("glass_width", t.glass)
	t.windowNodes(&m)
	t.flowNodes(&m)
	return m
}

// reWriter writes a file in a style of its own choosing: block or flow, quoted or plain; now and then as JSON.
type reWriter struct{ rng *rand.Rand }

func (w reWriter) file(o reOrder) string {
	if w.rng.Intn(10) == 0 {
		return w.flow(o.nodes(), true) + "\n"
	}
	var b strings.Builder
	w.block(&b, o.nodes(), "")
	return b.String()
}

func (w reWriter) block(b *strings.Builder, m reMap, indent string) {
	for i, e := range m {
		lead := indent
		if i == 0 && strings.HasSuffix(indent, "- ") {
			indent = strings.TrimSuffix(indent, "- ") + "  "
		}
		switch v := e.value.(type) {
		case reMap:
			if w.rng.Intn(2) == 0 {
				fmt.Fprintf(b, "%s%s: %s\n", lead, e.key, w.flow(v, false))
				continue
			}
			fmt.Fprintf(b, "%s%s:\n", lead, e.key)
			w.block(b, v, indent+"  ")
		case []any:
			fmt.Fprintf(b, "%s%s:\n", lead, e.key)
			for _, item := range v {
				if e.key != "treatments" && w.rng.Intn(2) == 0 {
					fmt.Fprintf(b, "%s  - %s\n", indent, w.flow(item, false))
					continue
				}
				w.block(b, item.(reMap), indent+"  - ")
			}
		default:
			fmt.Fprintf(b, "%s%s: %s\n", lead, e.key, w.scalar(v.(string)))
		}
	}
}

func (w reWriter) flow(node any, asJSON bool) string {
	var parts []string
	switch v := node.(type) {
	case reMap:
		for _, e := range v {
			key := e.key
			if asJSON {
				key = `"` + key + `"`
			}
			parts = append(parts, key+": "+w.flow(e.value, asJSON))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case []any:
		for _, item := range v {
			parts = append(parts, w.flow(item, asJSON))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	text := node.(string)
	if !asJSON {
		return w.scalar(text)
	}
	if json.Valid([]byte(text)) {
		return text // a number, true or false
	}
	quoted, _ := json.Marshal(text) // a string can't fail
	return string(quoted)
}

// scalar writes a text plain or in quotes; all texts of these orders may stand plain, but for a comma.
func (w reWriter) scalar(text string) string {
	switch {
	case text == "true" || text == "false":
		return text
	case strings.Contains(text, ",") || w.rng.Intn(4) == 0:
		if w.rng.Intn(2) == 0 {
			return "'" + strings.ReplaceAll(text, "'", "''") + "'"
		}
		return `"` + strings.ReplaceAll(text, `"`, `\"`) + `"`
	}
	return text
}
