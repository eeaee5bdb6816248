package house

// chain is an order of identities that can be changed at any place at once.
type chain struct {
	next map[ID]ID // AtStart leads to the first one; the last one leads to ""
	prev map[ID]ID
	last ID
}

// newChain makes a chain; an identity that is there already, or is none, is left out.
func newChain(ids []ID) *chain {
	c := &chain{next: make(map[ID]ID, len(ids)+1), prev: make(map[ID]ID, len(ids)), last: AtStart}
	for _, id := range ids {
		if id != "" && id != AtStart && c.prev[id] == "" {
			c.insert(id, c.last)
		}
	}
	return c
}

// before is what an identity stands behind: AtStart for the first one, "" for one that is not there.
func (c *chain) before(id ID) ID { return c.prev[id] }

// insert puts an identity behind another one, or behind all where that is not there.
func (c *chain) insert(id, behind ID) {
	if _, there := c.prev[behind]; !there && behind != AtStart {
		behind = c.last
	}
	after := c.next[behind]
	c.next[behind], c.prev[id], c.next[id] = id, behind, after
	if after == "" {
		c.last = id
		return
	}
	c.prev[after] = id
}

func (c *chain) remove(id ID) {
	before, after := c.prev[id], c.next[id]
	if before == "" {
		return
	}
	delete(c.prev, id)
	delete(c.next, id)
	c.next[before] = after
	if after == "" {
		c.last = before
		return
	}
	c.prev[after] = before
}
