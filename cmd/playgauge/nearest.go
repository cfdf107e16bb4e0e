package main

// maxSlips is how many slips of the finger a word may hold and still be
// guessed. More, and the guess is wrong more often than right.
const maxSlips = 2

// nearest is the word that was probably meant: the first of those with the
// fewest slips, "" where all are too far. A word of n letters is not guessed
// from n slips or more, which could turn anything into it.
func nearest(word string, known []string) string {
	best, fewest := "", maxSlips+1
	for _, k := range known {
		if s := slips([]rune(word), []rune(k)); s < fewest && s < len([]rune(k)) {
			best, fewest = k, s
		}
	}
	return best
}

// slips counts the letters put in, left out, changed, or swapped with their
// neighbour between two words (the optimal string alignment distance).
func slips(a, b []rune) int {
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row := make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := last[j-1]
			if a[i-1] != b[j-1] {
				change++
			}
			row[j] = min(change, last[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}
