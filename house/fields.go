package house

import "wirewright/internal/yamldoc"

// Fields names what differs between the two values of a change, in the words of the text form and their order, such as
// load, title; nil for what is new, gone, moved, or a text.
func (c *Change) Fields() []string {
	if c.Before == nil || c.After == nil || c.Kind == "text" || c.Kind == "order" {
		return nil
	}
	return yamldoc.Differing(c.Before, c.After)
}
