package job

import (
	"fmt"

	"wirewright/store"
)

// plural says how many of something there are.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// stored says as which revision an edit was stored, or that it was a dry run.
func stored(rev store.Rev) string {
	if rev == 0 {
		return "not stored"
	}
	return fmt.Sprintf("revision %d", rev)
}
