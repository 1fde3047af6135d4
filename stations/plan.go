package stations

import "tablehand/engine/workup"

// Plan makes the tickets of an order's release: one for each fabric's cutting, one for each panel of each window,
// each with the steps of its heading's route and the numbers of the work-up. codes gives a new code each call.
func Plan(w *workup.Workup, codes func() Code) []TicketSpec { panic("to be written") }
