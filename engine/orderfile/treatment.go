package orderfile

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"unicode"

	"tablehand/engine/measure"
)

func readTreatment(m *mapping, o *Order) Treatment {
	d := treatmentDefaults(o.Units)
	var t Treatment
	t.Window, _ = m.need("window").name()
	t.Room = m.maybe("room").label()
	t.Quantity = m.maybe("quantity").countOr(1, 1, 999)
	t.Notes = m.maybe("notes").notes()
	t.Under = m.maybe("under").label()
	hook := m.maybe("hook_drop")
	t.CordEnd = choiceOr(m.maybe("cord_end"), Wound, Wound, Tucked, Cut)

	readHeading(m, &t, o)
	data := o.Heading(t.Heading)
	t.HookDrop = hook.lengthOr(usualHookDrop(data, o.Units), limits{})
	readWidths(m, &t)
	if data != nil && data.Pole != "" { // a straight pole has no return, and leading edges meet
		d.ret, d.overlap = 0, 0
	}
	t.Return = m.maybe("return").lengthOr(d.ret, limits{})
	t.ReturnOther = m.maybe("return_other").maybeLength(limits{})
	t.Overlap = m.maybe("overlap").lengthOr(d.defaultOverlap(o.Conventions.OverlapBasis), limits{})
	readHardware(m, &t, data, o)
	readLength(m, &t, o)
	if data != nil && data.Pole == InPocket && t.Pocket.Depth != nil && *t.Pocket.Depth >= t.FinishedLength && t.FinishedLength > 0 {
		at := join(m.path, "pocket.depth")
		m.r.report("bad_value", "pocket_deep", at, m.r.positions[at], map[string]any{"Key": "depth", "Text": "", "Length": t.FinishedLength})
	}
	t.Puddle, _ = m.maybe("puddle").length(limits{})

	t.GlassWidth, _ = m.maybe("glass_width").length(above0)
	t.Face = readCloth(m.need("face"), Face, o)
	t.Lining = readCloth(m.maybe("lining"), Lining, o)
	t.Interlining = readCloth(m.maybe("interlining"), Interlining, o)

	t.HeadingFold = m.maybe("heading_fold").maybeLength(limits{})
	t.BottomHem = m.maybe("bottom_hem").maybeLength(limits{})
	t.SideHem = m.maybe("side_hem").maybeLength(limits{})
	t.Widths = readHalves(m.maybe("widths"))
	t.Surplus, _ = choice(m.maybe("surplus"), TrimSurplus, KeepSurplus)
	readMotif(m, &t, o)
	t.Railroad, t.RailroadLining = m.maybe("railroad").flag(), m.maybe("railroad_lining").flag()
	t.Bands = readBands(m.maybe("bands"), &t, o)
	m.close()
	return t
}

// readMotif reads where the motifs of the face stand on the panels, across and along them.
func readMotif(m *mapping, t *Treatment, o *Order) {
	motif := m.maybe("motif")
	t.Motif = choiceOr(motif, Marching, Marching, Mirrored, CentredOn, CentredBetween)
	t.MotifLead = m.maybe("motif_lead").maybeLength(limits{})
	t.MotifHeight, _ = m.maybe("motif_height").length(limits{})
	t.HemHeight, _ = m.maybe("hem_height").length(limits{})
	if t.Motif == Marching {
		return
	}
	face := o.FabricIndex(t.Face)
	switch {
	case t.Motif == Mirrored && !t.Draw.Paired():
		motif.wrong("bad_value", "motif_single")
	case face >= 0 && o.Fabrics[face].HorizontalRepeat == 0 && !m.r.told(fmt.Sprintf("fabrics[%d].horizontal_repeat", face)):
		motif.wrong("bad_value", "motif_plain", "Face", t.Face)
	}
	if t.Surplus == KeepSurplus {
		m.maybe("surplus").wrong("bad_value", "motif_kept", "Motif", string(t.Motif))
	}
}

// readBands reads the strips of another cloth along a panel's edges.
func readBands(v *value, t *Treatment, o *Order) (bands []Band) {
	edges := map[BandEdge]int{}
	for _, m := range v.mappings(mostOthers) {
		var b Band
		edge := m.need("edge")
		b.Edge, _ = choice(edge, BandLeading, BandReturn, BandBottom)
		if line, twice := edges[b.Edge]; twice && b.Edge != "" {
			edge.wrong("duplicate", "band", "Line", line)
		} else if edge != nil {
			edges[b.Edge] = edge.at.line
		}
		width := m.need("width")
		b.Width, _ = width.length(above0)
		if b.Edge == BandBottom && b.Width > 0 && t.FinishedLength > 0 && b.Width >= t.FinishedLength {
			width.wrong("bad_value", "band_deep", "Length", t.FinishedLength)
		}
		b.Fabric = readCloth(m.need("fabric"), Face, o)
		b.Method = choiceOr(m.maybe("method"), Joined, Joined, Applied)
		offset := m.maybe("offset")
		b.Offset, _ = offset.length(limits{})
		if b.Offset > 0 && b.Method == Joined {
			offset.wrong("bad_value", "band_offset")
		}
		m.close()
		bands = append(bands, b)
	}
	return bands
}

// MostFullness is more than any heading can hold.
const MostFullness = 10

// readHeading reads the heading and what belongs to it: its tape, or the fullness and the lead of one set by hand.
// A tape or a cord's end that a treatment keeps from another heading does no harm to one set by hand.
func readHeading(m *mapping, t *Treatment, o *Order) {
	v := m.need("heading")
	heading, ok := choice(v, o.Conventions.AllHeadings()...)
	t.Heading = heading
	tape, fullness, lead := m.maybe("tape"), m.maybe("fullness"), m.maybe("lead_flat")
	inserts, filled := choice(m.maybe("inserts"), Rolled, Stuffed, Unfilled)
	if n, ok := m.maybe("pleats").count(1, 999); ok {
		t.Pleats = &n
	}
	data := o.Heading(heading)
	switch {
	case !ok:
	case data.Family == SetByTape:
		t.Tape = readTapeName(m, tape, o)
		named := o.Tape(t.Tape)
		if named != nil && named.Kind != data.Tape {
			m.amiss("tape", "wrong_use", "tape", "Tape", t.Tape, "Use", string(named.Kind), "Wanted", string(data.Tape))
		}
		if fullness != nil {
			fullness.wrong("not_supported", "of_tape")
		}
		switch {
		case lead == nil:
		case named != nil && named.Ends == FlatEnds:
			t.LeadFlat = lead.maybeLength(limits{})
		default:
			lead.wrong("not_supported", "of_tape")
		}
	default:
		switch {
		case data.Tape != "":
			t.Tape = readTapeName(m, tape, o)
			if named := o.Tape(t.Tape); named != nil && named.Kind != data.Tape {
				m.amiss("tape", "wrong_use", "tape", "Tape", t.Tape, "Use", string(named.Kind), "Wanted", string(data.Tape))
			}
		case tape != nil:
			readTapeName(m, tape, o)
		}
		switch {
		case data.Holds == OnCarriers && fullness != nil:
			fullness.wrong("not_supported", "of_carriers")
		case data.Full1():
			t.Fullness = readFlatOr(fullness)
		default:
			t.Fullness = readFullness(fullness)
		}
		t.LeadFlat = lead.maybeLength(limits{})
	}
	if data != nil && len(data.Fillings) > 0 {
		t.Inserts = data.UsualFilling()
		if filled {
			t.Inserts = inserts
		}
		if !slices.Contains(data.Fillings, t.Inserts) {
			m.maybe("inserts").wrong("bad_value", "inserts", "Heading", data.Called(), "Known", data.Fillings)
		}
	}
}

// usualHookDrop is how far below the top edge hooks, or the pins of rings, hold a heading.
func usualHookDrop(data *HeadingData, units measure.Unit) measure.Length {
	if data != nil && data.Pole == OnRings {
		return hardwareDefaults(units).ringDrop
	}
	return hardwareDefaults(units).hookDrop
}

// readFullness reads the flat width as a multiple of the finished one: over 1, or there is nothing to pleat.
func readFullness(v *value) *measure.Ratio { return readFull(v, 1) }

// readFlatOr reads the same of a heading that may hang flat: 1 at the least.
func readFlatOr(v *value) *measure.Ratio { return readFull(v, 0) }

// readFull reads a fullness that stands to 1 as told at the least: 1 over it, 0 as it.
func readFull(v *value, least int) *measure.Ratio {
	text, ok := v.scalar()
	if !ok {
		return nil
	}
	n, ok := v.decimal(text, MostFullness)
	if !ok {
		return nil
	}
	if n.Cmp(big.NewRat(1, 1)) < least {
		v.wrong("bad_value", []string{"fullness_flat", "fullness"}[least])
		return nil
	}
	return &measure.Ratio{Num: n.Num().Int64(), Den: n.Denom().Int64()}
}

// mostWidths of a panel: more is a slip, not a drapery.
const mostWidths = 60

// readHalves reads a number of widths, whole or with a half: 2, 2.5, 2 1/2, 2½.
func readHalves(v *value) *measure.Halves {
	text, ok := v.scalar()
	if !ok {
		return nil
	}
	n, err := measure.Parse(text, measure.In)
	half := measure.Inch / 2
	switch {
	case err != nil || strings.ContainsFunc(text, unicode.IsLetter) || strings.ContainsAny(text, `"'″′”’`):
		v.wrong("bad_value", "widths")
	case n < 0:
		v.wrong("negative", "")
	case n > mostWidths*measure.Inch:
		v.wrong("absurd", "count", "Most", mostWidths)
	case n == 0 || n%half != 0:
		v.wrong("bad_value", "widths")
	default:
		h := measure.Halves(n / half)
		return &h
	}
	return nil
}

// readTapeName returns the id of the tape named, or of the only one there is.
func readTapeName(m *mapping, v *value, o *Order) string {
	ids := make([]string, len(o.Tapes))
	for i, t := range o.Tapes {
		ids[i] = t.ID
	}
	if v != nil {
		id, ok := v.name()
		if ok && o.Tape(id) == nil {
			v.unknown(ids)
		}
		return id
	}
	switch {
	case m.unreadable("tape"):
	case len(ids) == 1:
		return ids[0]
	case len(ids) == 0:
		m.missing("tape", "tape_none")
	default:
		m.missing("tape", "tape_which", "Known", few(ids))
	}
	return ""
}

// readWidths reads the width that the draw goes by: a stationary panel's own, else the rod's face, for which the
// panel's own may stand.
func readWidths(m *mapping, t *Treatment) {
	draw := m.maybe("draw")
	face, finished := m.maybe("face_width"), m.maybe("finished_width")
	drawn, known := choice(draw, Pair, OneWayLeft, OneWayRight, StationaryPair, Stationary)
	t.Draw = cmp.Or(drawn, Pair)
	t.FaceWidth, _ = face.length(above0)
	t.FinishedWidth, _ = finished.length(above0)
	if draw != nil && !known {
		return // told already, and which width it takes isn't known
	}
	key, other := "face_width", finished
	if t.Draw == Stationary || t.Draw == StationaryPair {
		key, other = "finished_width", face
	}
	if key == "face_width" && face == nil && finished != nil {
		return
	}
	m.need(key)
	if other != nil {
		other.wrong("bad_value", "width_of_draw", "Draw", string(t.Draw), "Takes", key)
	}
}

// readLength reads the finished length, or the sum that it is asked as.
func readLength(m *mapping, t *Treatment, o *Order) {
	hang := m.maybe("hang")
	if hang == nil {
		t.FinishedLength, _ = m.need("finished_length").length(above0)
		return
	}
	t.FinishedLength, _ = m.maybe("finished_length").length(above0)
	if m.maybe("finished_length") != nil {
		hang.wrong("bad_value", "hang_and_length")
	}
	h := hang.mapping()
	if h == nil {
		return
	}
	t.Hang = &Hang{}
	floor, ok1 := h.need("bearing_to_floor").length(above0)
	above, own, ok2 := readAboveBearing(h, t, o)
	clearance, ok3 := h.need("clearance").length(limits{})
	h.close()
	*t.Hang = Hang{floor, above, clearance, own}
	t.FinishedLength = floor + above - clearance
	switch {
	case !(ok1 && ok2 && ok3):
	case t.FinishedLength <= 0:
		hang.wrong("bad_value", "hang", "Length", t.FinishedLength)
	case t.FinishedLength > longest:
		hang.tooLong(longest)
	}
}

// readAboveBearing reads how far the top edge stands above its bearing, below 0 under it. Own says that the order leaves it to the
// heading, which has to know it then.
func readAboveBearing(h *mapping, t *Treatment, o *Order) (above measure.Length, own, ok bool) {
	over, under := h.maybe("heading_above_bearing"), h.maybe("heading_below_bearing")
	switch known, settled := o.AboveBearing(t); {
	case over != nil && under != nil:
		under.wrong("bad_value", "above_and_below")
		return 0, false, false
	case under != nil:
		below, ok := under.length(limits{})
		return -below, false, ok
	case over == nil && settled && !h.unreadable("heading_above_bearing"):
		return known, true, true
	}
	above, ok = h.need("heading_above_bearing").length(limits{})
	return above, false, ok
}

// readCloth reads the id of a fabric and holds it against what the fabric is for.
func readCloth(v *value, use Use, o *Order) string {
	id, ok := v.name()
	if !ok {
		return ""
	}
	switch f := o.Fabric(id); {
	case f == nil:
		v.unknown(o.fabricsFor(use))
	case f.Use != use && f.Use != "":
		v.wrong("wrong_use", "", "Use", string(f.Use), "Wanted", string(use))
	}
	return id
}

// fabricsFor returns the ids of the fabrics of that use.
func (o *Order) fabricsFor(use Use) []string {
	var ids []string
	for _, f := range o.Fabrics {
		if f.Use == use {
			ids = append(ids, f.ID)
		}
	}
	return ids
}

// unknown reports a reference to none of the ids.
func (v *value) unknown(ids []string) {
	text, _ := v.scalar()
	switch like := nearest(text, ids); {
	case like != "":
		v.wrong("unknown_reference", "like", "Like", like, "Known", few(ids))
	case len(ids) == 0:
		v.wrong("unknown_reference", "none")
	default:
		v.wrong("unknown_reference", "", "Known", few(ids))
	}
}

// few cuts a list short that nobody would read to its end.
func few(ids []string) []string {
	const most = 12
	if len(ids) > most {
		return append(ids[:most:most], "…")
	}
	return ids
}
