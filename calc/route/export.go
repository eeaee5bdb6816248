package route

import (
	"bufio"
	"fmt"
	"io"
)

// Write exports the graph as lines of text for other programs: "way A B COST LENGTH" for each direction of each way, in
// µm, and "terminal NUMBER BEGIN END" for each terminal that has any.
func (g *Graph) Write(out io.Writer) error {
	w := bufio.NewWriter(out)
	for i := range g.links {
		l := &g.links[i]
		fmt.Fprintf(w, "way %d %d %d %d\n", l.from, l.to, int64(l.cost), int64(l.length))
		if !l.oneWay {
			fmt.Fprintf(w, "way %d %d %d %d\n", l.to, l.from, int64(l.cost), int64(l.length))
		}
	}
	for i := range g.begin {
		if g.begin[i] >= 0 {
			fmt.Fprintf(w, "terminal %d %d %d\n", i, g.begin[i], g.end[i])
		}
	}
	if err := w.Flush(); err != nil {
		return fmt.Errorf("the graph could not be written: %w", err)
	}
	return nil
}
