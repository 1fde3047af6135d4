package workup

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// numbers are the rows, in the order of the JSON. A new one is a row here, its formula, and its words; tests say which words.
var numbers = []Number{
	{Key: "finished_width_asked", Group: GroupFinished, worth: length(func(p *Panel) measure.Length { return p.FinishedWidthAsked }), how: chosen(askedRule)},
	{
		Key: "finished_width", Group: GroupFinished, Axes: Across, Place: AcrossDrawnUp,
		worth: length(func(p *Panel) measure.Length { return p.FinishedWidth }), how: chosen(reachedRule),
	},
	{
		Key: "tight_width", Family: orderfile.SetByTape, Group: GroupFinished, Axes: Across, Place: AcrossDrawnUp,
		worth: length(func(p *Panel) measure.Length { return p.TightWidth }), how: chosen(tightRule),
	},
	{
		Key: "deviation", Note: "Reached less asked.", Group: GroupFinished,
		worth: signed(func(p *Panel) measure.Length { return p.Deviation }), how: by("deviation", "", "finished_width", "finished_width_asked"),
	},
	{
		Key: "alternative", Note: "Only where the width asked is not reached.", Family: orderfile.SetByTape, Group: GroupMore,
		worth: worth{another, func(p *Panel, u measure.Unit) measure.Quantity {
			return measure.OfAlternative(p.Alternative.Pleats, p.Alternative.EndMargin, p.Alternative.FinishedWidth, u)
		}},
		only: func(p *Panel) bool { return p.Alternative != nil },
		how:  chosen(alternativeRule),
	},
	{Key: "pleats", Group: GroupHeading, Axes: Across, Place: OnDrawnUp, worth: some(func(p *Panel) int { return p.Pleats }), only: (*Panel).Pleated, how: chosen(pleatsRule)},
	{
		Key: "end_margin", Family: orderfile.SetByTape, Group: GroupHeading, Axes: Across, Place: FromReturn,
		Note:  "From either edge to the tape's dot nearest it; absent where its pleats begin at the rod's corner.",
		worth: length(func(p *Panel) measure.Length { return p.EndMargin }), only: func(p *Panel) bool { return !p.CornerEnds }, how: chosen(marginRule),
	},
	{Key: "edge_to_pleat", Group: GroupHeading, Axes: Across, Place: FromReturn, worth: length(func(p *Panel) measure.Length { return p.EdgeToPleat }), only: (*Panel).Pleated, how: chosen(edgeRule)},
	{
		Key: "lead_flat", Note: "Of pleats set by hand, and of a tape whose pleats begin at the rod's corner.", Group: GroupHeading, Axes: Across, Place: FromLead,
		worth: length(func(p *Panel) measure.Length { return p.LeadFlat }), only: leads, how: chosen(leadRule),
	},
	{
		Key: "take_up", Note: "Of pleats set by hand the mean.", Group: GroupHeading, Axes: Across, Place: OnPleat,
		worth: length(func(p *Panel) measure.Length { return p.TakeUp }), only: (*Panel).Pleated, how: chosen(takeUpRule),
	},
	{
		Key: "take_ups", Note: "One a pleat, from the return edge.", Family: orderfile.SetByHand, Group: GroupHeading, Axes: Across, Place: OnHeading,
		worth: lengths(1, func(p *Panel) []measure.Length { return p.TakeUps }), how: by("take_ups", sourcePractice, "take_up"),
		shown: func(p *Panel) bool { return slices.Max(p.TakeUps)-slices.Min(p.TakeUps) > measure.Nanometre }, // else the mean says it all
	},
	{Key: "space", Group: GroupHeading, Axes: Across, Place: BetweenPleats, worth: length(func(p *Panel) measure.Length { return p.Space }), only: (*Panel).Pleated, how: chosen(spaceRule)},
	{
		Key: "points", Note: "Where a heading without pleats is held: eyelets, tabs, rings, hooks on carriers.", Group: GroupHeading, Axes: Across, Place: OnHeading,
		worth: some(func(p *Panel) int { return p.Points }), only: pointed, how: chosen(pointsRule),
	},
	{Key: "pitch", Note: "From point to point, flat.", Group: GroupHeading, Axes: Across, Place: BetweenPoints, worth: length(func(p *Panel) measure.Length { return p.Pitch }), only: pointed, how: chosen(pitchRule)},
	{
		Key: "edge_to_point", Note: "Flat, from the return edge to the first point.", Group: GroupHeading, Axes: Across, Place: FromReturn,
		worth: length(func(p *Panel) measure.Length { return p.EdgeToPoint }), only: pointed, how: chosen(edgePointRule),
	},
	{
		Key: "lead_to_point", Note: "The same from the leading edge.", Group: GroupHeading, Axes: Across, Place: FromLead,
		worth: length(func(p *Panel) measure.Length { return p.LeadToPoint }), only: pointed, how: chosen(leadPointRule),
	},
	{
		Key: "positions", Note: "Of the points along the flat panel, from the return edge.", Group: GroupHeading, Axes: Across, Place: OnHeading,
		worth: lengths(1, func(p *Panel) []measure.Length { return p.Positions }), only: pointed, how: by("positions", "", "edge_to_point", "pitch"),
	},
	{
		Key: "places", Note: "Of the points on the finished heading, from the return edge; a wave's as its carriers stand open.", Group: GroupHeading,
		worth: lengths(1, func(p *Panel) []measure.Length { return p.Places }), only: pointed, how: chosen(pointPlacesRule),
	},
	{
		Key: "fold_depth", Note: "How far a fold stands before and behind the rod when the panel is drawn back.", Group: GroupFinished,
		worth: length(func(p *Panel) measure.Length { return p.FoldDepth }), only: func(p *Panel) bool { return p.FoldDepth > 0 }, how: by("fold_depth", sourcePractice, "pitch"),
	},
	{
		Key: "reach", Note: "The widest that a panel on carriers hangs.", Group: GroupFinished, Axes: Across, Place: AcrossDrawnUp,
		worth: length(func(p *Panel) measure.Length { return p.Reach }), only: func(p *Panel) bool { return p.Reach > 0 }, how: chosen(reachRule),
	},
	{Key: "flat_width", Group: GroupHeading, Axes: Across, Place: AcrossPanel, worth: length(func(p *Panel) measure.Length { return p.FlatWidth }), how: chosen(flatRule)},
	{Key: "fullness", Group: GroupHeading, worth: ratio(func(p *Panel) measure.Ratio { return p.Fullness }), how: by("fullness", "", "flat_width", "finished_width")},
	{
		Key: "fullness_asked", Note: "Where no tape settles it.", Group: GroupHeading,
		worth: ratio(func(p *Panel) measure.Ratio { return p.FullnessAsked }), only: func(p *Panel) bool { return p.FullnessAsked.Num > 0 }, how: chosen(fullnessRule),
	},

	{
		Key: "railroaded", Note: "Only where the panel's width runs along the bolt: cut_length does too then, and plain_length lies across.", Group: GroupCloth,
		worth: word(yes, func(*Panel) string { return "true" }), only: (*Panel).Railroaded, how: by("railroaded", sourceOrder),
	},
	{
		Key: "widths", Note: "1 of a railroaded panel, of which it says nothing of the size.", Group: GroupCloth, Axes: Across, Place: OnPanel,
		worth: widths(func(p *Panel) measure.Halves { return p.Widths }), shown: inWidths, how: chosen(widthsRule),
	},
	{Key: "seams", Group: GroupCloth, Axes: Across, Place: AtSeams, worth: signedLengths(0, func(p *Panel) []measure.Length { return p.Seams }), how: chosen(seamsRule)},
	{Key: "seams_in_pleats", Group: GroupCloth, worth: count(func(p *Panel) int { return p.SeamsInPleats }), only: (*Panel).Pleated, how: by("seams_in_pleats", sourcePractice, "seams", "take_up")},
	{Key: "seams_hidden", Group: GroupCloth, worth: count(func(p *Panel) int { return p.SeamsHidden }), only: (*Panel).Pleated, how: chosen(hiddenRule)},
	{
		Key: "seams_in_front", Note: "Joins in folds that stand to the room.", Group: GroupCloth,
		worth: count(func(p *Panel) int { return p.SeamsInFront }), only: pointed, how: by("seams_in_front", sourcePractice, "seams", "positions"),
	},
	{Key: "trim_return", Group: GroupCloth, Axes: Across, Place: OffReturn, worth: length(func(p *Panel) measure.Length { return p.TrimReturn }), how: chosen(trimReturnRule)},
	{Key: "trim_leading", Group: GroupCloth, Axes: Across, Place: OffLead, worth: length(func(p *Panel) measure.Length { return p.TrimLeading }), how: chosen(trimLeadingRule)},
	{
		Key: "turned_return", Note: "Surplus kept in the hem of a tape's panel.", Group: GroupMore, Axes: Across, Place: TurnedAtReturn,
		worth: length(func(p *Panel) measure.Length { return p.TurnedReturn }), only: turned, shown: func(p *Panel) bool { return p.TurnedReturn != 0 },
		how: by("trim_return", sourcePractice, "surplus", "step", "edge_clear"),
	},
	{
		Key: "turned_leading", Group: GroupMore, Axes: Across, Place: TurnedAtLead,
		worth: length(func(p *Panel) measure.Length { return p.TurnedLeading }), only: turned, shown: func(p *Panel) bool { return p.TurnedLeading != 0 },
		how: by("turned_leading", "", "surplus", "turned_return"),
	},
	{
		Key: "motif_positions", Note: "Middles of the motifs along the flat panel, from the return edge; of cloth with a horizontal repeat.", Group: GroupCloth, Axes: Across, Place: AtMotifs,
		worth: lengths(0, func(p *Panel) []measure.Length { return p.MotifPositions }), only: func(p *Panel) bool { return p.MotifPositions != nil }, how: chosen(motifsRule),
	},
	{
		Key: "motif_trim", Note: "Trimmed at one edge so that the motifs stand as ordered; the rest is trimmed at the other.", Group: GroupCloth,
		worth: length(func(p *Panel) measure.Length { return p.MotifTrim }), only: func(p *Panel) bool { return p.MotifPlaced }, how: chosen(motifTrimRule),
	},
	{
		Key: "pleat_positions", Note: "Centres of the take-ups.", Group: GroupHeading,
		worth: lengths(1, func(p *Panel) []measure.Length { return p.PleatPositions }), only: (*Panel).Pleated, how: chosen(positionsRule),
	},
	{
		Key: "pleat_places", Note: "Where the pleats stand on the finished heading, from the return edge.", Group: GroupHeading,
		worth: lengths(1, func(p *Panel) []measure.Length { return p.PleatPlaces }), only: (*Panel).Pleated, how: chosen(placesRule),
	},
	{
		Key: "pleat_marks", Family: orderfile.SetByHand, Group: GroupHeading, Axes: Across, Place: OnMarks,
		Note:  "Of pleats set by hand: start and end of each by turns, from the return edge, each rounded once to the step: what a hand marks by.",
		worth: lengths(2, func(p *Panel) []measure.Length { return p.PleatMarks }), how: by("pleat_marks", sourcePractice, "edge_to_pleat", "space", "take_ups", "step"),
	},

	{
		Key: "top_allowance", Note: "Cut above the finished length, of a heading without pleats.", Group: GroupCloth, Axes: Down,
		worth: length(func(p *Panel) measure.Length { return p.TopAllowance }), only: continuous, how: chosen(topRule),
	},
	{
		Key: "pocket", Note: "Depth of the rod's tunnel.", Group: GroupHeading, Axes: Headed, Place: DownPocket,
		worth: length(func(p *Panel) measure.Length { return p.Pocket }), only: pocketed, how: chosen(pocketRule),
	},
	{
		Key: "stand", Note: "Cloth above the tunnel.", Group: GroupHeading, Axes: Headed, Place: DownFromTop,
		worth: length(func(p *Panel) measure.Length { return p.Stand }), only: pocketed, shown: func(p *Panel) bool { return p.Stand > 0 }, how: by("stand", sourceOrder),
	},
	{
		Key: "turn", Note: "Turned under at the tunnel's lower edge.", Group: GroupHeading, Axes: Headed, Place: DownPocket,
		worth: length(func(p *Panel) measure.Length { return p.Turn }), only: pocketed, how: by("turn", sourcePractice),
	},
	{
		Key: "eyelet_drop", Note: "From the top edge down to an eyelet's middle.", Group: GroupHeading, Axes: Headed, Place: DownFromTop,
		worth: length(func(p *Panel) measure.Length { return p.EyeletDrop }), only: eyeleted, how: chosen(eyeletDropRule),
	},
	{
		Key: "tab_loop", Note: "A tab from seam to seam.", Group: GroupHeading, Axes: Headed, Place: OnTab,
		worth: length(func(p *Panel) measure.Length { return p.TabLoop }), only: tabbed, how: chosen(tabLoopRule),
	},
	{
		Key: "tab_cut", Note: "A tab as it is cut.", Group: GroupHeading, only: tabbed,
		worth: measured(func(p *Panel) (length, width measure.Length) { return p.TabCutLength, p.TabCutWidth }), how: by("tab_cut", sourcePractice, "tab_loop", "tab_width", "tab_seam"),
	},
	{
		Key: "facing_piece", Note: "The strip that tabs are sewn under.", Group: GroupHeading, only: tabbed,
		worth: size(func(p *Panel) (length, height measure.Length) { return p.FacingLength, p.FacingHeight }), how: by("facing_piece", sourcePractice, "flat_width", "tab_seam", "facing"),
	},
	{
		Key: "bearing_below_top", Note: "The rod's top below the top edge; below 0 above it.", Group: GroupFinished, Axes: Headed,
		worth: signed(func(p *Panel) measure.Length { return p.Bearing }), only: func(p *Panel) bool { return p.BearingKnown }, how: chosen(bearingRule),
	},
	{
		Key: "table_length", Note: "Finished length, with the puddle, before the panel hangs; of cloth that grows then.", Group: GroupFinished, Axes: Down, Place: DownPanel,
		worth: length(func(p *Panel) measure.Length { return p.TableLength }), only: grows, how: by("table_length", sourcePractice, "finished_length", "relax", "puddle"),
	},
	{Key: "plain_length", Group: GroupCloth, Axes: Down, Place: DownCut, worth: length(func(p *Panel) measure.Length { return p.PlainLength }), how: chosen(plainRule)},
	{
		Key: "cut_length", Note: "Along the bolt.", Group: GroupCloth, Axes: Down, Place: DownCut,
		worth: length(func(p *Panel) measure.Length { return p.CutLength }), shown: inWidths, how: chosen(cutRule), // run is a railroaded panel's
	},
	{
		Key: "repeats_per_cut", Note: "Absent on plain cloth.", Group: GroupCloth, Axes: Down, Place: OnCut,
		worth: some(func(p *Panel) int { return p.RepeatsPerCut }), only: func(p *Panel) bool { return p.RepeatsPerCut > 0 },
		how: by("repeats_per_cut", sourceRepeats, "plain_length", "vertical_repeat"),
	},
	{
		Key: "phase", Note: "Where the patterns of a room are to hang at one height: how far behind the pattern's own height on the bolt the panel's cuts start; those of the second class of a half-drop half a repeat more.",
		Group: GroupCloth, Axes: Down, Place: OnCut, worth: length(func(p *Panel) measure.Length { return p.Phase }), only: func(p *Panel) bool { return p.Phased }, how: chosen(phaseRule),
	},

	{
		Key: "tape_piece", only: taped, Group: GroupTape, Axes: Across, Place: AlongTape,
		worth: length(func(p *Panel) measure.Length { return p.TapePiece }), how: by("tape_piece", "", "flat_width", "trim_beyond"),
	},
	{
		Key: "tape_start", Family: orderfile.SetByTape, Group: GroupTape, Axes: Across, Place: AtTapeStart,
		worth: length(func(p *Panel) measure.Length { return p.TapeStart }), how: chosen(startRule),
	},
	{
		Key: "tape_pitch", only: func(p *Panel) bool { return p.TapePitch > 0 }, Group: GroupTape,
		worth: length(func(p *Panel) measure.Length { return p.TapePitch }), how: chosen(tapePitchRule),
	},
	{
		Key: "stitching", only: taped, Group: GroupTape, Axes: Across, Place: OnStitches,
		worth: length(func(p *Panel) measure.Length { return p.Stitching }), how: by("stitching", "", "flat_width"),
	},
	{
		Key: "stitch_line", only: taped, Group: GroupTape, Axes: Headed, Place: DownToStitches,
		worth: signed(func(p *Panel) measure.Length { return p.StitchLine }), how: by("stitch_line", sourcePractice, "top_drop", "tape_height"),
	},
	{
		Key: "cord_pull_out", only: corded, Group: GroupTape, Axes: Across, Place: AlongCords,
		worth: length(func(p *Panel) measure.Length { return p.CordPullOut }), how: by("cord_pull_out", "", "flat_width", "finished_width"),
	},
	{
		Key: "cord_in_hand", only: corded, Group: GroupTape, Axes: Across, Place: AlongCords,
		worth: length(func(p *Panel) measure.Length { return p.CordInHand }), how: by("cord_in_hand", "", "cord_pull_out", "trim_beyond"),
	},
	{
		Key: "cords", only: corded, Group: GroupTape, Axes: Across, Place: OnCords,
		worth: count(func(p *Panel) int { return p.Cords }), how: by("cords", sourceTape),
	},
	{
		Key: "cord_total", only: corded, Group: GroupTape, Axes: Across, Place: OnCords,
		worth: length(func(p *Panel) measure.Length { return p.CordTotal }), how: by("cord_total", "", "cords", "cord_in_hand"),
	},
	{
		Key: "cord_end", only: corded, Group: GroupTape, Axes: CordEnd, Place: OnCords,
		worth: word(aCordEnd, func(p *Panel) string { return string(p.CordEnd) }), how: by("cord_end", sourceOrder),
	},

	{
		Key: "inserts", Note: "Of pleats that are filled.", Group: GroupInserts, Axes: Across | Headed, Place: OnDrawnUp,
		worth: some(func(p *Panel) int { return p.Inserts }), only: func(p *Panel) bool { return p.Inserts > 0 }, how: chosen(insertsRule),
	},
	{
		Key: "insert_piece", Group: GroupInserts, only: rolled,
		worth: size(func(p *Panel) (length, height measure.Length) { return p.InsertLength, p.InsertHeight }),
		how:   chosen(insertRule),
	},
	{
		Key: "insert_turns", Group: GroupInserts, Axes: Across | Headed, Place: OnTube,
		worth: ratio(func(p *Panel) measure.Ratio { return p.InsertTurns }), only: rolled, how: by("insert_turns", "", "insert_length", "take_up"),
	},
	{
		Key: "tube_diameter", Note: "Of pleats that stay round.", Group: GroupInserts, Axes: Across | Headed, Place: AcrossTube,
		worth: length(func(p *Panel) measure.Length { return p.TubeDiameter }), only: round, how: by("tube_diameter", "", "take_up"),
	},
	{
		Key: "tube_gap", Note: "0 or less: the tubes collide.", Group: GroupInserts,
		worth: signed(func(p *Panel) measure.Length { return p.TubeGap }), only: round, how: chosen(tubeGapRule),
	},
	{
		Key: "fingers", Note: "That each pleat is pinched into.", Group: GroupHeading, Axes: Across, Place: OnDrawnUp,
		worth: some(func(p *Panel) int { return p.Fingers }), only: func(p *Panel) bool { return p.Fingers > 0 }, how: chosen(fingersRule),
	},
	{
		Key: "finger_projection", Note: "Of a pinch tape: how far a finger stands out.", Group: GroupHeading, Axes: Across,
		worth: length(func(p *Panel) measure.Length { return p.FingerProjection }), only: func(p *Panel) bool { return p.FingerProjection > 0 },
		how: by("finger_projection", "", "take_up", "fingers"),
	},
	{
		Key: "pleat_face", Note: "Of pleats pressed flat, in front or behind.", Group: GroupInserts, Axes: Across, Place: AcrossFace,
		worth: length(func(p *Panel) measure.Length { return p.PleatFace }), only: pressed, how: by("pleat_face", sourceFace, "take_up"),
	},
	{
		Key: "face_gap", Note: "Below 0: pleats pressed flat lie over each other.", Group: GroupInserts, Axes: Across,
		worth: signed(func(p *Panel) measure.Length { return p.FaceGap }), only: pressed, how: by("face_gap", "", "space", "pleat_face"),
	},
	{
		Key: "buckram_piece", Group: GroupMore, only: stiffened,
		worth: size(func(p *Panel) (length, height measure.Length) { return p.BuckramLength, p.BuckramHeight }),
		how:   by("buckram_piece", sourcePractice, "flat_width", "heading_fold"),
	},
	{
		Key: "stack_back", Group: GroupFinished, Axes: Across, Place: AcrossDrawnUp,
		worth: length(func(p *Panel) measure.Length { return p.StackBack }), only: func(p *Panel) bool { return p.StackBack > 0 }, how: chosen(stackRule),
	},
	{
		Key: "rod_wanted", Note: "Where the glass is known: it and all that is drawn back beside it.", Group: GroupFinished,
		worth: length(func(p *Panel) measure.Length { return p.RodWanted }), only: func(p *Panel) bool { return p.RodWanted > 0 }, how: chosen(rodWantedRule),
	},
	{Key: "corner_to_pleat", Group: GroupFinished, worth: length(func(p *Panel) measure.Length { return p.CornerToPleat }), only: (*Panel).Pleated, how: chosen(cornerRule)},

	{
		Key: "lining_width", Note: "As the lining hangs; absent without one.", Group: GroupLining, Axes: Across,
		worth: length(func(p *Panel) measure.Length { return p.LiningWidth }), only: lined, shown: func(p *Panel) bool { return p.LiningWidth != 0 },
		how: by("lining_width", sourcePractice, "flat_width", "lining_inset"),
	},
	{
		Key: "lining_surplus", Note: "What the joined lining has over the flat width, trimmed off.", Group: GroupLining, Axes: Across,
		worth: length(func(p *Panel) measure.Length { return p.LiningSurplus }), only: lined, shown: func(p *Panel) bool { return p.LiningSurplus != 0 },
		how: by("lining_surplus", "", "lining_joined", "flat_width"),
	},
	{
		Key: "lining_lift", Note: "The lining's hem above the face's; absent where the lining is cut by one allowance.", Group: GroupLining, Axes: Down,
		worth: length(func(p *Panel) measure.Length { return p.LiningLift }), only: liningComputed, shown: func(p *Panel) bool { return p.LiningLift != 0 },
		how: chosen(liftRule),
	},
	{
		Key: "lining_trim", Note: "Trimmed off the lining at the top; absent where the lining is cut by one allowance.", Group: GroupLining, Axes: Down,
		worth: length(func(p *Panel) measure.Length { return p.LiningTrim }), only: liningComputed, shown: func(p *Panel) bool { return p.LiningTrim != 0 },
		how: by("lining_trim", sourceShop),
	},
	{
		Key: "band_leading", Group: GroupCloth, Axes: Across | Down, listed: true,
		worth: band(orderfile.BandLeading), only: banded(orderfile.BandLeading), how: chosen(bandRule(orderfile.BandLeading)),
	},
	{
		Key: "band_return", Group: GroupCloth, Axes: Across | Down, listed: true,
		worth: band(orderfile.BandReturn), only: banded(orderfile.BandReturn), how: chosen(bandRule(orderfile.BandReturn)),
	},
	{
		Key: "band_bottom", Group: GroupCloth, Axes: Across | Down, listed: true,
		worth: band(orderfile.BandBottom), only: banded(orderfile.BandBottom), how: chosen(bandRule(orderfile.BandBottom)),
	},
	{
		Key: "mass", Note: "Of all the panel's cloth; absent where not each says what it weighs.", Group: GroupFinished, Axes: Across | Down,
		worth: worth{aMass, func(p *Panel, u measure.Unit) measure.Quantity { return measure.OfMass(p.Mass, u) }},
		only:  func(p *Panel) bool { return p.Mass > 0 }, how: chosen(massRule),
	},
	{
		Key: "hooks", Note: "Absent where it has none.", Group: GroupFittings, Axes: Across,
		worth: some(func(p *Panel) int { return len(p.HookPlaces) }), only: hooked, how: chosen(hooksRule),
	},
	{
		Key: "hook_places", Note: "On the finished heading, from the return edge.", Group: GroupFittings,
		worth: lengths(1, func(p *Panel) []measure.Length { return p.HookPlaces }), only: hooked, how: chosen(hookPlacesRule),
	},
	{
		Key: "hook_drop", Note: "From the top edge down to the hooks.", Group: GroupFittings, Axes: Headed,
		worth: length(func(p *Panel) measure.Length { return p.HookDrop }), only: pinned, how: chosen(hookDropRule),
	},
	{
		Key: "weights", Note: "Absent where the hem has none.", Group: GroupFittings, Axes: Across,
		worth: some(func(p *Panel) int { return len(p.WeightPlaces) }), only: weighted, how: chosen(weightsRule),
	},
	{
		Key: "weight_places", Note: "Along the hem of the flat panel, from the return edge.", Group: GroupFittings, Axes: Across,
		worth: signedLengths(2, func(p *Panel) []measure.Length { return p.WeightPlaces }), only: weighted, how: chosen(weightPlacesRule),
	},
	{
		Key: "weight_cord", Note: "Length of the weighted cord in the hem; absent without one.", Group: GroupFittings, Axes: Across,
		worth: length(func(p *Panel) measure.Length { return p.WeightCord }), only: func(p *Panel) bool { return p.WeightCord > 0 }, how: chosen(weightCordRule),
	},

	// Tickets alone have these. A finished length has the puddle in it: it is what the tape measure finds.
	{Key: "facing_length", Axes: Across, Place: AcrossHeading, worth: length(func(p *Panel) measure.Length { return p.FacingLength }), only: tabbed},
	{Key: "facing_height", Axes: Headed, worth: length(func(p *Panel) measure.Length { return p.FacingHeight }), only: tabbed},
	{Key: "tab_cut_length", Axes: Headed, Place: OnTab, worth: length(func(p *Panel) measure.Length { return p.TabCutLength }), only: tabbed},
	{Key: "tab_cut_width", Axes: Headed, Place: OnTab, worth: length(func(p *Panel) measure.Length { return p.TabCutWidth }), only: tabbed},
	{Key: "tabs", Axes: Across, Place: OnHeading, worth: count(func(p *Panel) int { return p.Points }), only: tabbed},
	{Key: "eyelets", Axes: Across, Place: OnHeading, worth: count(func(p *Panel) int { return p.Points }), only: eyeleted},
	{Key: "eyelet_inner", Axes: Headed, Place: OnHeading, Origin: "window", worth: length(func(p *Panel) measure.Length { return p.EyeletInner }), only: eyeleted},
	{Key: "eyelet_outer", Axes: Headed, Place: OnHeading, Origin: "window", worth: length(func(p *Panel) measure.Length { return p.EyeletOuter }), only: eyeleted},
	{Key: "rings", Axes: Across, Place: OnHeading, worth: count(func(p *Panel) int { return p.Points }), only: func(p *Panel) bool { return p.Ringed }},
	{
		Key: "finished_length", Axes: Down, Place: DownPanel, worth: length(func(p *Panel) measure.Length { return p.FinishedLength }),
		shown: func(p *Panel) bool { return !grows(p) },
	},
	{Key: "hung_length", Axes: Down, Place: DownPanel, worth: length(func(p *Panel) measure.Length { return p.FinishedLength }), only: grows},
	{Key: "run", Axes: Across, Place: AlongCut, worth: length(func(p *Panel) measure.Length { return p.Run }), only: (*Panel).Railroaded},
	{Key: "pile", Axes: Across | Down, worth: word(aWord, func(p *Panel) string { return string(p.Pile) })},
	{Key: "side_hem", Axes: Across, Place: InSideHem, Origin: "window", worth: length(func(p *Panel) measure.Length { return p.SideHem })},
	{Key: "bottom_hem", Axes: Down, Place: InHem, Origin: "window", worth: length(func(p *Panel) measure.Length { return p.BottomHem })},
	{
		Key: "heading_fold", Axes: Down, Place: InFold, Origin: "window", worth: length(func(p *Panel) measure.Length { return p.HeadingFold }),
		only: func(p *Panel) bool { return p.Top.Turns() > 0 },
	},
	{
		Key: "first_dot_return", Family: orderfile.SetByTape, Axes: Across, Place: FromReturn,
		worth: length(func(p *Panel) measure.Length { return p.EndMargin }), only: func(p *Panel) bool { return p.EndMargin >= 0 },
	},
	{
		Key: "first_dot_leading", Family: orderfile.SetByTape, Axes: Across, Place: FromLead,
		worth: length(func(p *Panel) measure.Length { return p.LeadMargin }), only: func(p *Panel) bool { return p.LeadMargin >= 0 },
	},
	{Key: "lead_to_pleat", Axes: Across, Place: FromLead, worth: length(func(p *Panel) measure.Length { return p.LeadToPleat }), only: leads},
	{Key: "pleats_in_lap", Axes: Across, Place: OnLastPleat, worth: count(func(p *Panel) int { return p.PleatsInLap }), only: func(p *Panel) bool { return p.PleatsInLap > 0 }},
	{Key: "tape_height", only: taped, Axes: Headed, Place: DownBand, Origin: "tape", worth: length(func(p *Panel) measure.Length { return p.TapeHeight })},
	{Key: "top_drop", only: taped, Axes: Headed, Place: DownFromTop, Origin: "tape", worth: length(func(p *Panel) measure.Length { return p.TopDrop })},
	{Key: "dots", Family: orderfile.SetByTape, Axes: Across, Place: OnHeading, worth: count(func(p *Panel) int { return p.Pleats + 1 })}, // one in the middle of each space
	{
		Key: "insert_length", Axes: Across | Headed, Place: AcrossInsert, Origin: "tape",
		worth: length(func(p *Panel) measure.Length { return p.InsertLength }), only: rolled,
	},
	{Key: "insert_height", Axes: Across | Headed, Place: DownInsert, worth: length(func(p *Panel) measure.Length { return p.InsertHeight }), only: rolled},
	{Key: "buckram_length", Axes: Across, Place: AcrossHeading, worth: length(func(p *Panel) measure.Length { return p.BuckramLength }), only: stiffened},
	{
		Key: "buckram_height", only: stiffened, Axes: Down, Place: DownBand, // it lies in the fold
		worth: length(func(p *Panel) measure.Length { return p.BuckramHeight }),
	},
	{
		Key: "lining_widths", Axes: Across, Place: OnPanel, worth: widths(func(p *Panel) measure.Halves { return p.LiningWidths }), only: lined,
		shown: func(p *Panel) bool { return p.LiningRun == 0 },
	},
	{Key: "lining_run", Axes: Across, worth: length(func(p *Panel) measure.Length { return p.LiningRun }), only: func(p *Panel) bool { return p.LiningRun > 0 }},
	{Key: "lining_cut_length", Axes: Down, worth: length(func(p *Panel) measure.Length { return p.LiningCutLength }), only: lined},
	{Key: "lining_hem", Axes: Down, Place: InHem, worth: length(func(p *Panel) measure.Length { return p.LiningHem }), only: func(p *Panel) bool { return p.LiningHem > 0 }},
	{Key: "interlining", Axes: Across | Down, worth: word(aWord, func(p *Panel) string { return p.Interlining })},
	{Key: "interlining_widths", Axes: Across, worth: widths(func(p *Panel) measure.Halves { return p.InterliningWidths }), only: interlined},
	{Key: "interlining_cut_length", Axes: Down, worth: length(func(p *Panel) measure.Length { return p.InterliningCutLength }), only: interlined},
}

func grows(p *Panel) bool          { return p.TableLength > 0 }
func turned(p *Panel) bool         { return p.Turned }
func inWidths(p *Panel) bool       { return !p.Railroaded() }
func taped(p *Panel) bool          { return p.TapeID != "" }
func corded(p *Panel) bool         { return p.Cords > 0 }
func continuous(p *Panel) bool     { return !p.Pleated() }
func pointed(p *Panel) bool        { return p.Points > 0 }
func pocketed(p *Panel) bool       { return p.Pocket > 0 }
func eyeleted(p *Panel) bool       { return p.EyeletDrop > 0 }
func tabbed(p *Panel) bool         { return p.TabLoop > 0 }
func stiffened(p *Panel) bool      { return p.BuckramLength > 0 }
func hooked(p *Panel) bool         { return len(p.HookPlaces) > 0 }
func pinned(p *Panel) bool         { return hooked(p) || p.Ringed }
func leads(p *Panel) bool          { return p.SetByHand() || p.CornerEnds }
func rolled(p *Panel) bool         { return p.InsertLength > 0 }
func round(p *Panel) bool          { return p.TubeDiameter > 0 }
func pressed(p *Panel) bool        { return p.PleatFace > 0 }
func lined(p *Panel) bool          { return p.LiningWidths > 0 }
func liningComputed(p *Panel) bool { return lined(p) && p.LiningComputed }
func interlined(p *Panel) bool     { return p.InterliningWidths > 0 }
func weighted(p *Panel) bool       { return len(p.WeightPlaces) > 0 }
