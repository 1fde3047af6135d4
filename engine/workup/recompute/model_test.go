package recompute

import "slices"

// reLen is a length as a file states it: its value and the text that was written. The zero reLen is left out of the file.
type reLen struct {
	reNum
	text string
}

// reConv holds the conventions of an order after its overrides; lengths in inches.
type reConv struct {
	pastCentre                                              bool
	seam, sideHem, bottomHem, headingFold, squaring, shrink reNum
	step, ease, edgeClear, seamThickness, stitchDensity     reNum
	liningLift, liningHem, liningTop, liningTrim            reNum
	orderStep                                               reNum
	orderRounding                                           string
	orderRepeats                                            reNum

	// Words are "" where the order leaves the default; only lengthAllowance has one of its own then.
	fullnessBasis, widthsRounding, pairSplit, surplus       string
	repeatRule, halfDrop, pleatCount, pleatEnds, liningRule string
	liningPuddle                                            string
	pleatsPerWidth                                          int
	slack, singleLead                                       reNum // slack as a share: 7/100
	widthAllowance, lengthAllowance, liningAllowance        reNum // lengthAllowance may be absent
	liningInset, hookInset, hookDrop, coneLength            reNum // coneLength may be absent
	weights                                                 string
	poleEase, pocketEase, eyeletClear, hookSpacing          reNum
	pocketRule                                              string // "" or circumference, or diameter
	motifFrom, roomPhase                                    string
	bandTurn                                                reNum
	stackRule                                               string
}

// reUnit holds what the unit of an order settles: its size, and the defaults of that practice.
type reUnit struct {
	name, buying     string
	size, buyingSize reNum
	conv             reConv
	returnTo, lap    reNum
	topDrop, nominal reNum
	least, beyond    reNum
}

var reUnitsByName = map[string]reUnit{"in": reMakeUnit("in"), "cm": reMakeUnit("cm"), "mm": reMakeUnit("mm")}

func reUnits(name string) reUnit { return reUnitsByName[name] }

func reMakeUnit(name string) reUnit {
	if name == "in" {
		return reUnit{
			name: "in", size: reInt(1), buying: "yd", buyingSize: reInt(36),
			conv: reConv{
				seam: reFrac(1, 2), sideHem: reFrac(3, 2), bottomHem: reInt(4), headingFold: reInt(4), squaring: reInt(0), shrink: reInt(0),
				step: reFrac(1, 16), ease: reFrac(1, 16), edgeClear: reInt(4), seamThickness: reFrac(1, 100), stitchDensity: reInt(10),
				liningLift: reInt(1), liningHem: reInt(2), liningTop: reInt(0), liningTrim: reInt(1),
				orderStep: reFrac(36, 8), orderRounding: "up", orderRepeats: reInt(1),
				slack: reFrac(7, 100), singleLead: reFrac(3, 2), pleatsPerWidth: 5, widthAllowance: reInt(0), liningAllowance: reInt(10),
				liningInset: reInt(1), hookInset: reFrac(1, 2), hookDrop: reFrac(1, 4),
				poleEase: reInt(0), pocketEase: reInt(1), eyeletClear: reFrac(1, 2), hookSpacing: reInt(3), bandTurn: reFrac(3, 8),
			},
			returnTo: reFrac(7, 2), lap: reInt(6), topDrop: reFrac(1, 4), nominal: reFrac(3, 4), least: reFrac(1, 2), beyond: reInt(1),
		}
	}
	u := reUnit{
		name: "mm", size: reMM(1), buying: "m", buyingSize: reMM(1000),
		conv: reConv{
			seam: reMM(15), sideHem: reMM(40), bottomHem: reMM(100), headingFold: reMM(100), squaring: reInt(0), shrink: reInt(0),
			step: reMM(1), ease: reMM(3).half(), edgeClear: reMM(100), seamThickness: reFrac(1, 100), stitchDensity: reInt(10),
			liningLift: reMM(25), liningHem: reMM(50), liningTop: reInt(0), liningTrim: reMM(25),
			orderStep: reMM(100), orderRounding: "up", orderRepeats: reInt(1),
			slack: reFrac(7, 100), singleLead: reMM(40), pleatsPerWidth: 5, widthAllowance: reInt(0), liningAllowance: reMM(250),
			liningInset: reMM(25), hookInset: reMM(12), hookDrop: reMM(6),
			poleEase: reInt(0), pocketEase: reMM(25), eyeletClear: reMM(12), hookSpacing: reMM(75), bandTurn: reMM(10),
		},
		returnTo: reMM(90), lap: reMM(150), topDrop: reMM(6), nominal: reMM(20), least: reMM(12), beyond: reMM(25),
	}
	if name == "cm" {
		u.name, u.size = "cm", reMM(10)
	}
	return u
}

type reFlaw struct{ from, to reLen }

type reBolt struct {
	id, lot string
	length  reLen // of the whole bolt
	from    reLen // where the order's part begins
	flaws   []reFlaw
}

type reFabric struct {
	id, use                       string
	oneWay                        bool
	thickness, usable, matchWidth reLen
	repeat                        reLen
	match                         string // "", straight or half_drop
	reOfCloth
	bolts      []reBolt
	boltLength reLen // of a usual one
}

type reTape struct {
	id, kind, ends                       string // "" is a cartridge tape that starts and ends amid a space
	fingers                              int    // of a pinch tape; 0: left out
	period, space, height                reLen
	cords                                int
	topDrop, nominal, least, most        reLen
	beyond, insert, fold, base, easeEach reLen
	tightest                             reLen // of a pencil tape: cloth over what it draws up to, a plain number
	pocketPitch                          reLen // of a wave tape: pocket to pocket
	pockets                              int   // of a wave tape: from hook to hook
}

// reRod is a pole or track.
type reRod struct {
	id, kind                               string
	diameter, circumference                reLen
	carriers, projection, ringIn, ringDrop reLen // carriers: apart when they are open
	span                                   reLen // longest between two supports
	limit                                  reLen // kilograms that it holds
	supports                               int   // 0: left out
}

type reTreatment struct {
	window, tape, draw              string
	heading                         string // "": cartridge-tape
	faceWidth, finishedWidth        reLen
	returnTo, returnOther, lap      reLen
	finishedLength, puddle          reLen
	toFloor, above, below           reLen // of hang, instead of finishedLength; neither above nor below: as the heading has it
	clearance                       reLen
	face, lining, interlining       string
	quantity, pleats, halves        int // 0: left out; halves: the widths given of each panel, counted in half ones
	surplus                         string
	cordEnd, inserts                string
	headingFold, bottomHem, sideHem reLen
	fullness, leadFlat              reLen // of pleats set by hand; fullness is a plain number
	hookDrop                        reLen
	under                           string
	glass                           reLen

	reOfWindow
	rod                            string
	points                         int // 0: left out
	pitchLow, pitchHigh, pitchBest reLen
	pointsEnd                      reLen
	eyeletIn, eyeletOut, eyeletAt  reLen
	tabWide, tabGap, tabLoop       reLen
	tabFacing                      reLen
	pocketDeep, stand, turn        reLen
}

// reOrder is an order file; overrides are the texts of its conventions and conv what they come to.
type reOrder struct {
	id, unit   string
	overrides  [][2]string
	conv       reConv
	figures    map[string]reFigures // by heading
	renamed    map[string]bool      // headings that the file has under a key of its own, with their figures
	fabrics    []reFabric
	tapes      []reTape
	rods       []reRod
	treatments []reTreatment
	results    []reResult // of the treatments, once worked out; they don't depend on bolts
}

// sets says whether the file sets a convention.
func (o reOrder) sets(key string) bool {
	return slices.ContainsFunc(o.overrides, func(kv [2]string) bool { return kv[0] == key })
}

func (o reOrder) fabric(id string) *reFabric {
	for i := range o.fabrics {
		if o.fabrics[i].id == id {
			return &o.fabrics[i]
		}
	}
	return nil
}

// tapeOf is the tape a treatment names, or the only one.
func (o reOrder) tapeOf(tr reTreatment) reTape {
	for _, tape := range o.tapes {
		if tape.id == tr.tape {
			return tape
		}
	}
	return o.tapes[0]
}

func (tr reTreatment) paired() bool {
	return tr.draw == "pair" || tr.draw == "" || tr.draw == "stationary_pair"
}

func (tr reTreatment) count() int { return max(tr.quantity, 1) }

// patterned says whether a cloth has a repeat, and dropped whether every second width of it starts half a repeat later.
func (f reFabric) patterned() bool { return f.repeat.given() && f.repeat.sign() > 0 }
func (f reFabric) dropped() bool   { return f.patterned() && f.match == "half_drop" }

// asked is the finished width ordered for one panel.
func (o reOrder) asked(tr reTreatment) reNum {
	if tr.finishedWidth.given() {
		return tr.finishedWidth.reNum
	}
	beside := o.retOf(tr)
	if tr.onPole() {
		beside = beside.add(o.conv.poleEase)
	}
	if !tr.paired() {
		return tr.faceWidth.add(beside, tr.returnOther.or(reInt(0)))
	}
	return tr.faceWidth.half().add(o.lapOf(tr).half(), beside)
}

// retOf is the return of a panel: a pole that is seen is straight, and has none of itself.
func (o reOrder) retOf(tr reTreatment) reNum {
	if tr.onPole() {
		return tr.returnTo.or(reInt(0))
	}
	return tr.returnTo.or(reUnits(o.unit).returnTo)
}

// usualLap is the overlap that an order leaves out. Leading edges on a pole meet.
func (o reOrder) usualLap(tr reTreatment) reNum {
	if tr.onPole() {
		return reInt(0)
	}
	return reUnits(o.unit).lap
}

// lapOf is the whole lap of a pair, both panels together. A stated overlap is what each panel passes the centre under
// past_centre; the default overlap is read as a total lap under either (the generator always states it there).
func (o reOrder) lapOf(tr reTreatment) reNum {
	if o.conv.pastCentre && tr.lap.given() {
		return tr.lap.times(2)
	}
	return tr.lap.or(o.usualLap(tr))
}

// keeps says whether the cloth over what is asked stays in the panel: as the treatment says; as a rule where it counts its
// widths; else by the practice.
func (o reOrder) keeps(tr reTreatment) bool {
	switch {
	case o.placed(tr):
		return false
	case tr.surplus != "":
		return tr.surplus == "keep"
	case tr.halves > 0:
		return true
	case o.conv.surplus == "by_heading":
		return !tr.setByTape()
	}
	return o.conv.surplus == "keep"
}

// leadOf is what stays flat at the lead of pleats set by hand.
func (o reOrder) leadOf(tr reTreatment) reNum {
	lead := o.conv.singleLead
	if tr.draw == "pair" || tr.draw == "" {
		lead = o.lapOf(tr)
	} else if tr.returnOther.given() && tr.returnOther.sign() > 0 {
		lead = tr.returnOther.reNum
	}
	return tr.leadFlat.or(lead)
}

// drop is the finished length without puddle: stated, or from the floor up to the bearing and on to the top edge. Where the order
// doesn't say how far the edge is from the bearing it is as the heading has it.
func (o reOrder) drop(tr reTreatment) reNum {
	if tr.finishedLength.given() {
		return tr.finishedLength.reNum
	}
	return tr.toFloor.add(o.hung(tr)).sub(tr.clearance.reNum)
}

// hung is how far the top edge is above the bearing.
func (o reOrder) hung(tr reTreatment) reNum {
	switch {
	case tr.above.given():
		return tr.above.reNum
	case tr.below.given():
		return reInt(0).sub(tr.below.reNum)
	}
	return o.bearing(tr)
}
