package bench

import (
	"html/template"
)

// A sketch shows an act of hand and eye, or what a choice leaves, at a glance: lines in a square of 48, drawn for this page.
// Of the classes "cloth" is filled as cloth is, "lit" is what the hand is at. Names are those of the acts,
// "<station> <act>", of the options, and "hold <reason>".
var sketches = map[string]string{
	// Two lengths under an eye, a shade apart.
	"cutting looked_at": `<path class="cloth" d="M6 26h16v18H6z"/><path class="cloth lit" d="M26 26h16v18H26z"/><path d="M8 14q16 -14 32 0q-16 14 -32 0z"/><circle cx="24" cy="14" r="4"/>`,
	// A rule laid twice along the first cut.
	"cutting first_cut": `<path class="cloth" d="M8 8h32v32H8z"/><path class="lit" d="M4 24h40M4 20v8M44 20v8"/><path d="M12 32h24M12 29v6M36 29v6"/>`,
	// A piece with its tag.
	"cutting marked": `<path class="cloth" d="M6 8h26v34H6z"/><path class="lit" d="M28 14h14v14l-7 6l-7 -6z"/><circle class="lit" cx="35" cy="19" r="1.6"/><path d="M14 36v-14M10 26l4 -5l4 5"/>`,
	// A pressed seam, the pattern meeting across it.
	"joining sewn": `<path class="cloth" d="M5 8h38v32H5z"/><path class="lit" d="M24 6v36" stroke-dasharray="4 3"/><path d="M10 18l14 -6l14 6M10 30l14 -6l14 6"/>`,
	// The top folded over, a square in its corner.
	"fold folded": `<path class="cloth" d="M6 20h36v22H6z"/><path class="cloth lit" d="M6 8h36v12H6z"/><path d="M36 20v-6h6"/><path d="M14 34v-10M11 27l3 -4l3 4"/>`,
	// The tape under two lines of stitches, its cords.
	"tape sewn_on": `<path class="cloth" d="M5 6h38v36H5z"/><path class="cloth lit" d="M5 12h38v16H5z"/><path class="lit" d="M5 15h38M5 25h38" stroke-dasharray="4 3"/><path d="M2 20h44M12 20v-3M24 20v-3M36 20v-3"/>`,
	// Tubes standing at the face, drawn from one edge.
	"pull_up drawn_up": `<path class="cloth" d="M6 10h36v32H6z"/><path class="lit" d="M12 8v14M21 8v14M30 8v14M39 8v14" stroke-width="4"/><path d="M12 26v16M21 26v16M30 26v16M39 26v16"/><path class="lit" d="M34 4H8M13 1l-5 3l5 3"/>`,
	"pull_up cord_end": wound,
	// A hand's pull on the cord.
	"pull_up pull_test": `<path class="cloth" d="M6 8h20v32H6z"/><path class="lit" d="M26 18h16M37 13l5 5l-5 5M26 30h16M37 25l5 5l-5 5"/>`,
	// A roll going into its pleat.
	"inserts filled": `<path class="cloth" d="M6 16q18 -12 36 0v26H6z"/><path class="lit" d="M17 8q7 -6 14 0v20q-7 5 -14 0z"/><path class="lit" d="M24 10q3 2 0 4q-4 1 -4 -3"/><path d="M22 38h4"/>`,
	// Buckram lying under the fold.
	"heading folded": `<path class="cloth" d="M6 20h36v22H6z"/><path class="cloth lit" d="M6 8h36v12H6z"/><path class="lit" d="M8 12h32M8 16h32" stroke-dasharray="2 2"/>`,
	// A pleat pinned off from its neighbour, the seam down its foot.
	"pleating pleated": `<path class="cloth" d="M4 20h40v22H4z"/><path class="lit" d="M12 20q3 -16 6 0M30 20q3 -16 6 0"/><path d="M15 20v12M33 20v12" stroke-dasharray="3 2"/><path d="M20 26h8M20 24v4M28 24v4"/>`,
	// Three fingers, tacked at the foot.
	"tacking tacked": `<path class="cloth" d="M8 30h32v12H8z"/><path class="lit" d="M24 32C10 26 12 8 16 8s8 12 8 24C24 20 22 4 24 4s0 16 0 28C24 20 28 8 32 8s6 18 -8 24"/><path class="lit" d="M19 32h10"/>`,
	// An iron below the heading.
	"pressing pressed": `<path class="cloth" d="M6 5h36v10H6z"/><path d="M12 5v10M20 5v10M28 5v10M36 5v10"/><path class="cloth lit" d="M8 38q2 -14 18 -14h12l4 14z"/><path class="lit" d="M24 24v-4h14v4"/>`,
	// A needle with its thread, gone from the cloth.
	"packing needles_out": `<path class="cloth" d="M6 26h24v16H6z"/><path class="lit" d="M18 30L42 6M38 6q4 -2 4 2"/><path class="lit" d="M8 8l12 12M20 8L8 20"/>`,
	"packing cord_end":    wound + `<path class="lit" d="M32 40h12M40 36l4 4l-4 4"/>`,
	// A panel folded with its label on, its hooks in.
	"packing packed": `<path class="cloth" d="M8 16h32v26H8z"/><path d="M8 24h32M8 32h32"/><path class="lit" d="M14 16v-6q4 -6 6 0M28 16v-6q4 -6 6 0"/><path class="cloth lit" d="M26 27h11v10H26z"/>`,

	// A rod through its tunnel, gathers below.
	"rod_pocket sewn": `<path class="cloth" d="M8 6h32v36H8z"/><path d="M8 12h32M8 24h32" stroke-dasharray="4 3"/><path class="lit" d="M2 18h44" stroke-width="4"/><path d="M15 28v12M24 28v12M33 28v12"/>`,
	// Eyelets in a band, the tape measure along it.
	"eyelets set": `<path class="cloth" d="M5 12h38v30H5z"/><path d="M5 32h38"/><circle class="lit" cx="14" cy="22" r="6"/><circle class="lit" cx="14" cy="22" r="3"/><circle class="lit" cx="34" cy="22" r="6"/><circle class="lit" cx="34" cy="22" r="3"/><path d="M14 10v-6M34 10v-6M14 7h20"/>`,
	// Tabs over a pole, sewn across twice.
	"tabs sewn": `<path class="cloth" d="M5 22h38v20H5z"/><path d="M2 8h44" stroke-width="4"/><path class="cloth lit" d="M8 4h8v18H8zM32 4h8v18h-8z"/><path class="lit" d="M5 26h38M5 29h38" stroke-dasharray="4 3"/>`,

	// A corner turned and stitched.
	"sewing sewn": `<path class="cloth" d="M8 8h32v32H8z"/><path class="lit" d="M12 12h24v24H12z" stroke-dasharray="4 3"/><path class="lit" d="M30 30L44 44M40 44h4v-4"/>`,
	// A parcel that comes back through the door.
	"outside back": `<path d="M28 6h14v38H28"/><path class="cloth lit" d="M16 22h16v16H16z"/><path class="lit" d="M24 22v16M44 14H10M16 9l-6 5l6 5"/>`,

	// Why a panel is held.
	"hold cloth":    `<path class="cloth" d="M6 6h36v36H6z"/><path class="lit" d="M20 16l5 6l-4 5l6 6"/><circle class="lit" cx="24" cy="24" r="12"/>`,
	"hold size":     `<path class="cloth" d="M12 6h24v28H12z"/><path class="lit" d="M12 42h24M12 38v8M36 38v8M28 36l-8 12"/>`,
	"hold pattern":  `<path class="cloth" d="M5 6h38v36H5z"/><path d="M24 6v36"/><path class="lit" d="M8 18l8 -6l8 6M24 26l8 -6l8 6M8 34l8 -6l8 6"/>`,
	"hold lacking":  `<path class="cloth" d="M6 8h14v14H6zM28 8h14v14H28zM6 28h14v14H6z"/><path class="lit" d="M28 28h14v14H28z" stroke-dasharray="3 3"/>`,
	"hold machine":  `<path class="cloth" d="M6 36h36v6H6zM34 12h8v24h-8zM10 12h24v8H16v8h-6z"/><path class="lit" d="M13 28v8M4 4l8 8M12 4l-8 8"/>`,
	"hold question": `<path class="cloth" d="M6 6h36v28H22l-8 8v-8H6z"/><path class="lit" d="M19 16q0 -5 5 -5t5 5q0 3 -5 5v3M24 29v.5"/>`,

	// What the cord's end can be.
	"wound":  wound,
	"tucked": `<path class="cloth" d="M8 8h32v32H8z"/><path d="M2 24h14"/><path class="lit" d="M16 18h16v12H16z"/><path class="lit" d="M16 24q4 -4 8 0t6 0"/>`,
	"cut":    `<path class="cloth" d="M18 8h24v32H18z"/><path d="M18 24h-6"/><path class="lit" d="M2 14l12 14M2 34l12 -14"/><circle class="lit" cx="4" cy="12" r="3"/><circle class="lit" cx="4" cy="36" r="3"/>`,
}

// A cord wound round a card at the edge and stitched down.
const wound = `<path class="cloth" d="M20 6h22v36H20z"/><path d="M20 24h-4"/><path class="lit" d="M6 14h10v20H6zM4 18h14M4 22h14M4 26h14M4 30h14"/>`

// ticked is the sketch of an act that has none of its own, as on an older ticket.
const ticked = `<path class="cloth" d="M8 8h32v32H8z"/><path class="lit" d="M14 25l7 7l14 -16"/>`

// sketch returns the drawing of an act or an option; its words stand beside it.
func sketch(name string) template.HTML {
	lines, ok := sketches[name]
	if !ok {
		lines = ticked
	}
	return template.HTML(`<svg class="sketch" viewBox="0 0 48 48" aria-hidden="true" focusable="false">` + lines + `</svg>`)
}
