package house

// Change is one entity that differs between two revisions. Before is nil for an entity that is new, After for one that
// is gone; otherwise both hold a value of the entity's struct type (Point, Module, …).
type Change struct {
	Kind   string `json:"kind"` // "site", "network", "storey", "room", "wall", "opening", "slab", "board", "circuit", "point", "module", "line", "wish", "text"
	ID     ID     `json:"id"`
	Before any    `json:"before,omitempty"`
	After  any    `json:"after,omitempty"`
}
