package packing

// Random is a sequence of numbers that is the same each time: searches that draw lots come to the same wherever they run.
type Random uint64

// NewRandom is the sequence from its beginning.
func NewRandom() Random { return 88172645463325252 }

// Below is the next number, from 0 to less than n, which is more than 0.
func (r *Random) Below(n int) int {
	*r ^= *r << 13
	*r ^= *r >> 7
	*r ^= *r << 17
	return int(uint64(*r>>11) % uint64(n))
}
