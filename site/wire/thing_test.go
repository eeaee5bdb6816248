package wire

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"wirewright/control"
)

var hallThing = ThingOptions{House: "mill-lane", Broker: "192.0.2.10:1883", Instance: "41",
	Card: Card{Protocol: 1, Controller: "hall.box", Hardware: "02:00:00:00:00:11", Type: "box-relay-2", Firmware: "1.0", Epoch: 7}}

var hallProgram = &control.Program{Controller: "hall.box", Slots: []control.Slot{
	{Name: "hall.lamp", Kind: control.SlotSwitch, Publish: true, Peer: -1, Remote: -1, Schedule: -1},
	{Name: "mode day/night", Kind: control.SlotVar, Quantity: control.QuantityCount, Publish: true, Peer: -1, Remote: -1, Schedule: -1},
	{Name: "hall.keys.1", Kind: control.SlotKey, Peer: -1, Remote: -1, Schedule: -1},
}}

// TestThingHasWhatIsRequired: W3C Web of Things Thing Description 1.1, 5.3.1.1 (members that must stand at the top) and
// 5.3.1.2 to 5.3.1.5 (each interaction has at least one form, each form an href).
func TestThingHasWhatIsRequired(t *testing.T) {
	var td struct {
		Context    string `json:"@context"`
		ID         string
		Title      string
		Security   string
		Schemes    map[string]struct{ Scheme string } `json:"securityDefinitions"`
		Version    struct{ Instance string }
		Properties map[string]struct {
			Forms []struct{ Href string }
		}
		Actions map[string]struct {
			Forms []struct{ Href string }
		}
	}
	b := Thing(hallThing, hallProgram)
	if err := json.Unmarshal(b, &td); err != nil {
		t.Fatal(err)
	}
	if td.Context != "https://www.w3.org/2022/wot/td/v1.1" || td.Title == "" || td.Version.Instance != "41" || !strings.HasPrefix(td.ID, "urn:") {
		t.Errorf("%+v", td)
	}
	if s := td.Schemes[td.Security].Scheme; s != "basic" {
		t.Errorf("security %q is scheme %q: nobody enters without user and secret", td.Security, s)
	}
	if len(td.Properties) != 2 || len(td.Actions) != 1 {
		t.Errorf("%d properties, %d actions", len(td.Properties), len(td.Actions))
	}
	want := map[string]string{"hall.lamp": "mqtt://192.0.2.10:1883/mill-lane/hall.box/state/hall.lamp",
		"mode day/night": "mqtt://192.0.2.10:1883/mill-lane/hall.box/state/mode%20day%252Fnight"}
	for name, href := range want {
		if f := td.Properties[name].Forms; len(f) != 1 || f[0].Href != href {
			t.Errorf("%s: %+v, want %s", name, f, href)
		}
	}
	if string(b) != string(Thing(hallThing, hallProgram)) {
		t.Error("not the same bytes twice")
	}
}

// TestThingPassesThePublishedSchema holds descriptions against the JSON Schema that the W3C publishes with the
// recommendation (npm package wot-thing-description-types), and makes sure that the schema can refuse.
func TestThingPassesThePublishedSchema(t *testing.T) {
	path := filepath.Join("..", "..", "tools", "witness-dns", "node_modules", "wot-thing-description-types", "schema", "td-json-schema-validation.json")
	f, err := os.Open(path)
	if err != nil {
		t.Skip("the schema is not installed: make test installs it")
	}
	defer f.Close()
	doc, err := jsonschema.UnmarshalJSON(f)
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft7) // the schema does not say, and is written in the form of draft 7
	if err := c.AddResource("td.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("td.json")
	if err != nil {
		t.Fatal(err)
	}
	// The packaged schema is of a draft before the recommendation: its context had another year, and it did not know "auto".
	read := func(b []byte) any {
		text := strings.Replace(string(b), "https://www.w3.org/2022/wot/td/v1.1", "https://www.w3.org/2019/wot/td/v1", 1)
		text = strings.Replace(text, `,"in":"auto"`, "", 1)
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for name, p := range map[string]*control.Program{"loaded": hallProgram, "new": nil} {
		if err := schema.Validate(read(Thing(hallThing, p))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, member := range []string{"@context", "title", "security", "securityDefinitions"} {
		v := read(Thing(hallThing, hallProgram)).(map[string]any)
		delete(v, member)
		if schema.Validate(v) == nil {
			t.Errorf("the schema does not miss %s", member)
		}
	}
}
