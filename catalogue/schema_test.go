package catalogue

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"
)

// TestBuiltinFilesMeetThePublishedSchema reads the files with a YAML reader that is not ours and holds them against the
// published schema with a validator that is not ours.
func TestBuiltinFilesMeetThePublishedSchema(t *testing.T) {
	const published = "../schema/catalogue.schema.json"
	schema, err := jsonschema.NewCompiler().Compile(published)
	if err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob("builtin/*.yaml")
	if len(files) == 0 {
		t.Fatal("no built-in files")
	}
	validate := func(name string, text []byte) error {
		var v any
		if err := yaml.Unmarshal(text, &v); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return schema.Validate(v)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := validate(name, text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := validate("wrong", []byte("format: x\ntypes: [{id: a, title: b, medium: tin can, mount: rail}]\n")); err == nil {
		t.Error("the schema accepts a medium that is none")
	}
}
