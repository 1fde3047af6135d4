package orderfile

import "strings"

// nearest returns the word that was most likely meant: the one that the fewest slips of a key turn into the text,
// at most one slip for three letters. "" where none is near.
func nearest(text string, words []string) string {
	written := []rune(strings.ToLower(text))
	if len(written) > 40 {
		return ""
	}
	best, least := "", (len(written)+2)/3+1
	for _, w := range words {
		if d := slips(written, []rune(w)); d < least {
			best, least = w, d
		}
	}
	return best
}

// slips counts the letters to add, drop, change or swap with their neighbour: the optimal string alignment
// distance.
func slips(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			d := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(a)][len(b)]
}
