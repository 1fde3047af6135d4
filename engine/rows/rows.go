// Package rows lays the parts of a piece, such as a cushion's faces and strips, side by side across a cloth, row after row along it.
package rows

import (
	"cmp"
	"iter"
	"slices"

	"tablehand/engine/measure"
)

// Shape is a rectangle that is cut so many times. Its length lies along the cloth.
type Shape struct {
	Name          string // "face", "boxing", "welt"
	Length, Width measure.Length
	Count         int
}

// Upright is a shape with its longer side along the cloth.
func Upright(name string, a, b measure.Length, count int) Shape {
	return Shape{Name: name, Length: max(a, b), Width: min(a, b), Count: count}
}

// Row is one cut across the cloth: as long as its longest part, and how many it holds of each shape, by their places in the list.
type Row struct {
	Length measure.Length
	Counts []int
}

// Place is where a part lies in its row, measured from the cloth's edge.
type Place struct {
	Shape  int
	Across measure.Length
}

// Places are the row's parts one beside the other, in the order of the shapes.
func (r Row) Places(shapes []Shape) []Place {
	var places []Place
	var at measure.Length
	for i, n := range r.Counts {
		for range n {
			places = append(places, Place{i, at})
			at += shapes[i].Width
		}
	}
	return places
}

// InOrder returns shapes as they are laid: the longest first, so that a row isn't longer than its first part, and of equal length the
// widest. The list is a new one.
func InOrder(shapes []Shape) []Shape {
	shapes = slices.Clone(shapes)
	slices.SortStableFunc(shapes, func(a, b Shape) int {
		return cmp.Or(cmp.Compare(b.Length, a.Length), cmp.Compare(b.Width, a.Width))
	})
	return shapes
}

// Widest returns a shape that the cloth is too narrow for, nil where each fits.
func Widest(shapes []Shape, across measure.Length) *Shape {
	for i := range shapes {
		if shapes[i].Width > across {
			return &shapes[i]
		}
	}
	return nil
}

// Lay goes through the rows of shapes that are in order, as many parts in each as fit across: shape by shape what is left of
// it, as far as there is room. Each shape must fit by itself. The counts of a row are the caller's until it asks for the next.
func Lay(shapes []Shape, across measure.Length) iter.Seq[Row] {
	return func(yield func(Row) bool) {
		left := make([]int, len(shapes))
		parts := 0
		for i, s := range shapes {
			left[i] = s.Count
			parts += s.Count
		}
		row := Row{Counts: make([]int, len(shapes))}
		for parts > 0 {
			room := across
			row.Length = 0
			for i, s := range shapes {
				n := left[i]
				if s.Width > 0 {
					n = min(n, int(room/s.Width))
				}
				if row.Counts[i] = n; n == 0 {
					continue
				}
				row.Length = max(row.Length, s.Length)
				room -= s.Width.Times(n)
				left[i] -= n
				parts -= n
			}
			if row.Length == 0 || !yield(row) {
				return
			}
		}
	}
}
