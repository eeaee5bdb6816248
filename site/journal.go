package site

import (
	"wirewright/site/wire"
)

// Journal is told everything that controllers say of themselves: what they drove, by which rule, whom they refused. It is
// called from the link's one goroutine and must not block for long. Package job appends it to the job's evidence.
type Journal interface {
	Happened(controller string, e wire.Entry)
}
