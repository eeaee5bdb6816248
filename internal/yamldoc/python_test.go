package yamldoc

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"testing"
)

// TestTextsComeBackFromAReaderOfYAML11 writes odd texts and has them read by PyYAML, which follows YAML 1.1 and takes more
// bare words for numbers, dates and truth values than any other reader in use. It must see texts only.
func TestTextsComeBackFromAReaderOfYAML11(t *testing.T) {
	if err := exec.Command("python3", "-c", "import yaml").Run(); err != nil {
		t.Skip("python3 with PyYAML is not installed")
	}
	const program = "import sys, yaml, json; print(json.dumps(yaml.safe_load(sys.stdin.buffer.read().decode())))"
	v := sample{ID: "a", Words: oddTexts}
	for _, s := range oddTexts {
		v.Parts = append(v.Parts, part{Name: s + s, Note: s})
		v.Many = append(v.Many, sample{ID: s, Note: s})
	}
	c := exec.Command("python3", "-c", program)
	c.Stdin = bytes.NewReader(Encode(&v))
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Words []any
		Parts []map[string]any
		Many  []map[string]any
	}
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	for i, s := range oddTexts {
		if got.Words[i] != s || got.Parts[i]["name"] != s+s || got.Many[i]["id"] != s || s != "" && got.Many[i]["note"] != s {
			t.Errorf("%q is read as %#v, %#v, %#v", s, got.Words[i], got.Parts[i], got.Many[i])
		}
	}
}
