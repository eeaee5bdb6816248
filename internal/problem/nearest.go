package problem

import "slices"

// Nearest returns the candidate that a misspelt word most probably meant, or "" when none is near: at most a third of
// the longer word may differ (Damerau-Levenshtein distance with adjacent transpositions). Ties go to the candidate that
// comes first in sorted order.
func Nearest(word string, candidates []string) string {
	best, bestDistance := "", -1
	w := []rune(word)
	for _, c := range slices.Sorted(slices.Values(candidates)) {
		r := []rune(c)
		most := max(len(w), len(r)) / 3
		if most < 1 {
			most = 1
		}
		if diff := len(w) - len(r); diff > most || -diff > most {
			continue
		}
		if d := distance(w, r); d <= most && (bestDistance < 0 || d < bestDistance) {
			best, bestDistance = c, d
		}
	}
	return best
}

// DidYouMean is the hint for a misspelt word, "" when no candidate is near.
func DidYouMean(word string, candidates []string) string {
	if n := Nearest(word, candidates); n != "" {
		return "did you mean " + n + "?"
	}
	return ""
}

// distance is the optimal string alignment distance of two words.
func distance(a, b []rune) int {
	before := make([]int, len(b)+1)
	last := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
