package wire

import (
	"encoding/json"
	"net/url"

	"wirewright/control"
)

// ThingOptions is what a Thing Description says beside the program.
type ThingOptions struct {
	House    string
	Card     Card
	Title    string // shown to people; the controller's name where empty
	Broker   string // host:port of the broker, without user or secret
	Instance string // edition of this description, e.g. the house revision
}

// Thing describes a controller as a W3C Thing Description 1.1: each published slot is a property to be observed, each
// output takes commands, the journal is an event. Access is by user and secret; no secret stands in it.
func Thing(o ThingOptions, p *control.Program) []byte {
	title := o.Title
	if title == "" {
		title = o.Card.Controller
	}
	td := description{
		Context:    "https://www.w3.org/2022/wot/td/v1.1",
		ID:         "urn:wirewright:" + url.PathEscape(o.House) + ":" + url.PathEscape(o.Card.Controller),
		Title:      title,
		Type:       "Thing",
		Version:    version{Instance: o.Instance, Model: o.Card.Type},
		Base:       "mqtt://" + o.Broker + "/",
		Schemes:    map[string]scheme{"user": {Scheme: "basic", In: "auto"}},
		Security:   "user",
		Properties: map[string]property{},
		Actions:    map[string]action{},
		Events:     map[string]event{"journal": {Forms: o.forms(KindJournal, "", "subscribeevent")}},
	}
	if td.Version.Instance == "" {
		td.Version.Instance = "0"
	}
	if p != nil {
		o.slots(&td, p)
	}
	b, err := json.Marshal(td)
	if err != nil {
		panic("wire: a description cannot be written: " + err.Error())
	}
	return b
}

// slots adds what the program's slots offer.
func (o ThingOptions) slots(td *description, p *control.Program) {
	for i := range p.Slots {
		s := &p.Slots[i]
		if s.Publish {
			least, most := bounds(s.Quantity)
			td.Properties[s.Name] = property{Type: "object", ReadOnly: true, Observable: true, Title: s.Name,
				Properties: map[string]schema{"value": {Type: "integer", Minimum: least, Maximum: most}},
				Forms:      o.forms(KindState, s.Name, "observeproperty")}
		}
		if s.Kind.Output() {
			td.Actions[s.Name] = action{Title: s.Name, Input: schema{Type: "object"}, Forms: o.forms(KindDo, SiteUser, "invokeaction")}
		}
	}
}

// forms is the one form of an interaction.
func (o ThingOptions) forms(kind Kind, name, op string) []form {
	topic := Topic{o.House, o.Card.Controller, kind, name}.String()
	return []form{{Href: "mqtt://" + o.Broker + "/" + (&url.URL{Path: topic}).EscapedPath(), ContentType: "application/json", Op: op}}
}

// bounds is the range of a quantity; nil where the quantity has none.
func bounds(q control.Quantity) (least, most *int) {
	span := func(a, b int) (*int, *int) { return &a, &b }
	switch q {
	case control.QuantityBool:
		return span(0, 1)
	case control.QuantityLevel, control.QuantityPosition:
		return span(0, 1000)
	}
	return nil, nil
}

// The members of a Thing Description that this protocol uses, in the words of the recommendation.
type description struct {
	Context    string              `json:"@context"`
	Type       string              `json:"@type"`
	ID         string              `json:"id"`
	Title      string              `json:"title"`
	Version    version             `json:"version"`
	Base       string              `json:"base"`
	Schemes    map[string]scheme   `json:"securityDefinitions"`
	Security   string              `json:"security"`
	Properties map[string]property `json:"properties,omitempty"`
	Actions    map[string]action   `json:"actions,omitempty"`
	Events     map[string]event    `json:"events,omitempty"`
}

type version struct {
	Instance string `json:"instance"`
	Model    string `json:"model,omitempty"`
}

type scheme struct {
	Scheme string `json:"scheme"`
	In     string `json:"in,omitempty"`
}

type schema struct {
	Type    string `json:"type"`
	Minimum *int   `json:"minimum,omitempty"`
	Maximum *int   `json:"maximum,omitempty"`
}

type property struct {
	Title      string            `json:"title"`
	Type       string            `json:"type"`
	ReadOnly   bool              `json:"readOnly"`
	Observable bool              `json:"observable"`
	Properties map[string]schema `json:"properties"`
	Forms      []form            `json:"forms"`
}

type action struct {
	Title string `json:"title"`
	Input schema `json:"input"`
	Forms []form `json:"forms"`
}

type event struct {
	Forms []form `json:"forms"`
}

type form struct {
	Href        string `json:"href"`
	ContentType string `json:"contentType"`
	Op          string `json:"op"`
}
