package check

import "wirewright/house"

// Severity is how much a finding matters.
type Severity string

// The severities.
const (
	Fault   Severity = "fault"   // must be mended
	Caution Severity = "caution" // think
	Remark  Severity = "remark"
)

// Finding is one thing that a check says about one entity of the house.
type Finding struct {
	Slug     string   `json:"slug"` // names the rule: "bus/too-long", "channel/overload"
	Severity Severity `json:"severity"`
	Kind     string   `json:"kind"`               // kind of the entity, as in house.Change
	Entity   house.ID `json:"entity"`             //
	Text     string   `json:"text"`               // one sentence for the person
	Measured string   `json:"measured,omitempty"` // the figure found
	Limit    string   `json:"limit,omitempty"`    // the figure allowed
	Terms    []Term   `json:"terms,omitempty"`    // the figures put in, as the formula of the rule names them
	Source   string   `json:"source"`             // standard and clause, or "common practice, no source"
	Caution  string   `json:"caution,omitempty"`  // where work can hurt someone
	Remedy   *Remedy  `json:"remedy,omitempty"`
}

// Remedy is what would mend a finding; Changes, where given, do it.
type Remedy struct {
	Text    string         `json:"text"`
	Changes []house.Change `json:"changes,omitempty"`
}
