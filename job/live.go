package job

import (
	"sync"

	"wirewright/catalogue"
	"wirewright/check"
	"wirewright/house"
)

// live keeps what is found in the house that was looked at last, so that the next revision needs only what its edit
// touches. Many may ask at a time; the findings are those of a full check.
type live struct {
	mu      sync.Mutex
	cat     *catalogue.Catalogue // that the checker was made with
	checker *check.Checker
}

// findings lists what is wrong with a house, its behaviour apart. The list is the caller's.
func (l *live) findings(h *house.House, c *catalogue.Catalogue) []check.Finding {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.checker == nil || l.cat != c {
		l.checker, l.cat = check.New(h, c), c
		return l.checker.Findings()
	}
	return l.checker.Update(h, nil)
}
