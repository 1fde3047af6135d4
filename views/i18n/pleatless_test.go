package i18n_test

import (
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// TestHeadingsWithoutPleatsTell: what can be wrong with a heading without pleats is told whole in every language, with each of its figures.
func TestHeadingsWithoutPleatsTell(t *testing.T) {
	const tapes = "\ntapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3, tightest: 3}, {id: wave-3, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}]"
	const pole = "\nrods: [{id: pole, diameter: 1 3/8, projection: 4, ring_inner: 1 1/2, ring_drop: 1 1/2}]"
	for _, c := range []struct{ head, window, keys string }{
		{tapes, "pencil-tape, tape: pencil-3, widths: 4", "fullness_out_of_range gather_too_tight"},
		{tapes, "pencil-tape, tape: pencil-3, heading_fold: 4", "fold_outside_tape"},
		{tapes, "eyelet, rod: x", "unknown_reference.none"},
		{tapes, "pencil-tape, tape: wave-3", "wrong_use.tape"},
		{tapes, "wave-tape, tape: wave-3", "missing_key.rod"},
		{tapes + pole, "wave-tape, tape: wave-3", "missing_key.rod_measure"},
		{tapes + pole, "wave-tape, tape: wave-3, fullness: 2", "missing_key.rod_measure not_supported.of_carriers"},
		{"\ntapes: [{id: a, kind: pencil, height: 3, cords: 3, period: 6, tightest: 0.5}]", "eyelet", "bad_value.tightest not_supported.of_kind"},
		{"\nrods: [{id: a, diameter: 2, circumference: 9, limit: heavy}]", "eyelet", "bad_value.circumference bad_value.mass"},
		{"", "rod-pocket", "missing_key.rod"},
		{pole, "rod-pocket, pocket: {depth: 2, stand: 6}", "pocket_tight.error stand_flops"},
		{pole, "rod-pocket, pocket: {depth: 2 1/4}", "pocket_tight"},
		{pole, "rod-pocket, pocket: {depth: 95}", "absurd.over"},
		{pole, "eyelet, points: {count: 5}", "bad_value.odd_points"},
		{pole, "eyelet, points: {pitch: {min: 8, max: 4}}", "bad_value.pitch_range"},
		{pole, "eyelet, points: {pitch: {preferred: 20}}", "bad_value.preferred_pitch"},
		{pole, "eyelet, eyelet: {inner: 2, outer: 1}", "bad_value.eyelet_outer"},
		{pole, "eyelet, points: {count: 12}, eyelet: {drop: 1}", "eyelet_off_band eyelet_tight"},
		{pole, "eyelet, points: {count: 2}", "few_pleats.points folds_touch_wall pitch_out_of_range"},
		{pole, "eyelet, points: {count: 90}", "points_collide"},
		{pole, "tab", "tabs_drag"},
		{pole, "ring, fullness: 0.5", "bad_value.fullness_flat"},
		{pole, "ring", "ring_tight"},
		{pole, "tab, fullness: 1, widths: 1/2", "too_narrow.cloth"},
	} {
		raw := "order: TOLD\nunits: in\nfabrics: [{id: plain, use: face, usable_width: 54}]" + c.head +
			"\ntreatments: [{window: Bay, face_width: 84, finished_length: 95, face: plain, heading: " + c.window + "}]\n"
		o, problems := orderfile.Parse([]byte(raw))
		if o != nil && !engine.AnyError(problems) {
			problems = append(problems, workup.Compute(o).Problems...)
		}
		var told []string
		for _, p := range problems {
			told = append(told, strings.TrimPrefix(p.MessageKey(), "problem."))
			for _, tag := range i18n.Languages() {
				if said := i18n.For(tag).Problem(p); strings.ContainsAny(said, "⟨⟩") || strings.Contains(said, "no value") {
					t.Errorf("%s: %s of %s", tag, said, c.window)
				}
			}
		}
		for _, key := range strings.Fields(c.keys) {
			if !slices.Contains(told, key) {
				t.Errorf("%s tells %q, not %s", c.window, told, key)
			}
		}
	}
}
