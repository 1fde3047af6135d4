package orderfile

import "tablehand/engine/measure"

// Bounds are the least and the most that a convention takes, a length's in whole inches, a share's in percent.
func (r Convention) Bounds() (least, most int) {
	switch k := r.kind.(type) {
	case length:
		return k.inches()
	case optionalLength:
		return k.inches()
	case count:
		return k.least, k.most
	case share:
		return 0, int(k.most)
	case number:
		return 1, int(k.most)
	}
	return 0, 0
}

func (l limits) inches() (least, most int) {
	if l.positive {
		least = 1
	}
	if l.most == 0 {
		return least, int(longest / measure.Inch)
	}
	return least, int(l.most / measure.Inch)
}
