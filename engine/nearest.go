package engine

// Nearest is the allowed word that was probably meant, or "" when none is close.
func Nearest(word string, allowed []string) string {
	best, at := "", max(2, len(word)/3)+1
	for _, a := range allowed {
		if d := distance(word, a); d < at || d == at && best != "" && a < best {
			best, at = a, d
		}
	}
	return best
}

// distance is how many letters must be changed, added or taken away to make
// one word of the other (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// Alike says whether one slip makes one word of another: a letter too many, too few or
// another one, or two that changed places.
func Alike(a, b string) bool { return distance(a, b) == 1 || Swapped(a, b) }

// Swapped says whether two letters next to each other changed places.
func Swapped(a, b string) bool {
	for i := 0; len(a) == len(b) && i+1 < len(a); i++ {
		if a != b && a[:i]+a[i+1:i+2]+a[i:i+1]+a[i+2:] == b {
			return true
		}
	}
	return false
}
