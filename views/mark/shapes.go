package mark

import (
	"math"
	"slices"
)

// shapes are those that a station's row can name (stations/plan/routes.yaml). They are told apart small and without colour, with a number
// on them. None may be an upright cross, which in red is a protected emblem. The last two are for stations to come.
var shapes = map[string]Shape{
	"circle":    one(ellipse(0, 0, 1, 1)),
	"square":    one(regular(4, 0.5, 1.25, 0)),
	"triangle":  one(regular(3, 0, 1.35, 0)),
	"diamond":   one(corners(0, -1, 1.3, 0, 0, 1, -1.3, 0)),
	"pentagon":  one(regular(5, 0, 1.15, 0)),
	"hexagon":   one(regular(6, 0, 1.1, 0)),
	"octagon":   one(regular(8, 0.5, 1.1, 0)),
	"star":      one(regular(5, 0, 1.35, 0.85)),
	"pill":      one(pill(1.1, 0.65)),
	"trapezoid": one(corners(-1, -1, 1, -1, 0.5, 1, -0.5, 1)),
	"tube":      tube(),

	"house": one(corners(0, -1.2, 1, -0.3, 1, 1, -1, 1, -1, -0.3)),
	"flag":  one(corners(-1.3, -0.8, 0.9, -0.8, 1.3, 0.8, -0.9, 0.8)),
	"basin": one(corners(-0.5, -1, 0.5, -1, 1, 1, -1, 1)),

	"arrow":  one(corners(-1.3, -0.8, 0.3, -0.8, 1.3, 0, 0.3, 0.8, -1.3, 0.8)),
	"leaf":   leaf(),
	"tee":    one(corners(-1.25, -1.05, 1.25, -1.05, 1.25, -0.3, 0.75, -0.3, 0.75, 1.05, -0.75, 1.05, -0.75, -0.3, -1.25, -0.3)),
	"shield": one(corners(-1, -1, 1, -1, 1, -0.1, 0, 1.25, -1, -0.1)),
	"arch":   arch(),
}

// plain is the mark of a station that there is no more.
var plain = one(ellipse(0, 0, 1.2, 0.7))

func one(l Line) Shape { return Shape{Lines: []Line{l}} }

// corners is a line through points, by turns their x and y.
func corners(at ...float64) Line {
	l := Line{From: Point{at[0], at[1]}}
	for i := 2; i < len(at); i += 2 {
		l.Parts = append(l.Parts, Curve{To: Point{at[i], at[i+1]}})
	}
	return l
}

// regular has n corners on a circle, the first at the top or turned from there by so many corners' distances; a star has
// further ones between them on an inner circle, else 0.
func regular(n int, turn, outer, inner float64) Line {
	var points []float64
	at := func(corner, r float64) {
		a := 2 * math.Pi * (corner + turn) / float64(n)
		points = append(points, r*math.Sin(a), -r*math.Cos(a))
	}
	for i := range n {
		at(float64(i), outer)
		if inner > 0 {
			at(float64(i)+0.5, inner)
		}
	}
	return corners(points...)
}

// bend is how far the control points of a quarter of a circle with the radius 1 lie from its ends.
const bend = 0.5522847498

// quarter goes from a point by a quarter of an ellipse: its first half leaves from along one axis, its second comes along the other.
func quarter(from, to Point, upright bool) Curve {
	across, down := to.X-from.X, to.Y-from.Y
	if upright { // leaves along y
		return Curve{to, &[2]Point{{from.X, from.Y + bend*down}, {to.X - bend*across, to.Y}}}
	}
	return Curve{to, &[2]Point{{from.X + bend*across, from.Y}, {to.X, to.Y - bend*down}}}
}

// ellipse has its middle at (x, y) and two radii.
func ellipse(x, y, wide, flat float64) Line {
	right, foot, left, top := Point{x + wide, y}, Point{x, y + flat}, Point{x - wide, y}, Point{x, y - flat}
	return Line{From: right, Parts: []Curve{quarter(right, foot, true), quarter(foot, left, false), quarter(left, top, true), quarter(top, right, false)}}
}

// pill is a lying bar with round ends, with half its width and height.
func pill(wide, flat float64) Line {
	straight := wide - flat
	a, b, c := Point{straight, -flat}, Point{wide, 0}, Point{straight, flat}
	d, e, f := Point{-straight, flat}, Point{-wide, 0}, Point{-straight, -flat}
	return Line{From: a, Parts: []Curve{quarter(a, b, false), quarter(b, c, true), {To: d}, quarter(d, e, false), quarter(e, f, true)}}
}

// leaf has two corners, at the upper left and the lower right, and is round at the others.
func leaf() Shape {
	head, right, foot, left := Point{0, -1}, Point{1, 0}, Point{0, 1}, Point{-1, 0}
	return one(Line{From: Point{-1, -1}, Parts: []Curve{{To: head}, quarter(head, right, false), {To: Point{1, 1}}, {To: foot}, quarter(foot, left, false)}})
}

// arch is a doorway with a round head.
func arch() Shape {
	left, head, right := Point{-0.95, 0}, Point{0, -1.1}, Point{0.95, 0}
	return one(Line{From: Point{-0.95, 1}, Parts: []Curve{{To: left}, quarter(left, head, true), quarter(head, right, false), {To: Point{0.95, 1}}}})
}

// tube is a roll that stands upright: its turns are seen at its upper end.
func tube() Shape {
	const wide, flat, top, foot = 0.9, 0.35, -0.75, 0.8
	left, right := Point{-wide, foot}, Point{wide, foot}
	body := Line{Point{wide, top}, slices.Concat([]Curve{{To: right}}, half(right, left, flat), []Curve{{To: Point{-wide, top}}}), true}
	a, b, c, d := Point{wide, top}, Point{-0.45, top}, Point{0.53, top}, Point{-0.07, top}
	turns := Line{a, slices.Concat(half(a, b, 0.25), half(b, c, -0.19), half(c, d, 0.11)), true}
	return Shape{Lines: []Line{body, ellipse(0, top, wide, flat), turns}, Lower: 0.3}
}

// half goes from one end of an ellipse to the other by its lower half, or with flat below 0 by its upper one.
func half(from, to Point, flat float64) []Curve {
	middle := Point{(from.X + to.X) / 2, from.Y + flat}
	return []Curve{quarter(from, middle, true), quarter(middle, to, false)}
}
