package yamldoc

import "testing"

// specExamples are examples of the YAML specification 1.2.2 (yaml.org, chapters 7 and 8) that lie in the subset, with the
// values that it gives for them. Written down from memory of the specification; the outside reader checks each as well.
var specExamples = []struct{ name, text, want string }{
	{"7.5 double-quoted line breaks", "a: \"folded \n  to a space,\n \n  to a line feed, or \t\\\n   \\ \tnon-content\"\n", `{"a" "folded to a space,\nto a line feed, or \t \tnon-content" }`},
	{"7.6 double-quoted lines", "a: \" 1st non-empty\n\n   2nd non-empty \n   3rd non-empty \"\n", `{"a" " 1st non-empty\n2nd non-empty 3rd non-empty " }`},
	{"7.7 single-quoted characters", "a: 'here''s to \"quotes\"'\n", `{"a" "here's to \"quotes\"" }`},
	{"7.9 single-quoted lines", "a: ' 1st non-empty\n\n   2nd non-empty \n   3rd non-empty '\n", `{"a" " 1st non-empty\n2nd non-empty 3rd non-empty " }`},
	{"7.10 plain characters", "- ::vector\n- \": - ()\"\n- Up, up, and away!\n- -123\n- http://example.com/foo#bar\n- [ ::vector,\n  \": - ()\",\n  \"Up, up and away!\",\n  -123,\n  http://example.com/foo#bar ]\n",
		`["::vector" ": - ()" "Up, up, and away!" "-123" "http://example.com/foo#bar" ["::vector" ": - ()" "Up, up and away!" "-123" "http://example.com/foo#bar" ] ]`},
	{"7.12 plain lines", "a: 1st non-empty\n\n  2nd non-empty \n  3rd non-empty\n", `{"a" "1st non-empty\n2nd non-empty 3rd non-empty" }`},
	{"7.13 flow sequence", "- [ one, two, ]\n- [three ,four]\n", `[["one" "two" ] ["three" "four" ] ]`},
	{"7.15 flow mappings", "- { one : two , three: four , }\n- {five: six,seven : eight}\n", `[{"one" "two" "three" "four" } {"five" "six" "seven" "eight" } ]`},
	{"8.1 block scalar header", "- | # Empty header\n literal\n- >1 # Indentation indicator\n  folded\n- |+ # Chomping indicator\n keep\n\n- >1- # Both indicators\n  strip\n", `["literal\n" " folded\n" "keep\n\n" " strip" ]`},
	{"8.2 block indentation indicator", "- |\n detected\n- >\n \n  \n  # detected\n- |1\n  explicit\n- >\n detected\n", `["detected\n" "\n\n# detected\n" " explicit\n" "detected\n" ]`},
	{"8.4 chomping final line break", "strip: |-\n  text\nclip: |\n  text\nkeep: |+\n  text\n", `{"strip" "text" "clip" "text\n" "keep" "text\n" }`},
	{"8.5 chomping trailing lines", " # Strip\n  # Comments:\nstrip: |-\n  # text\n  \n # Clip\n  # comments:\n\nclip: |\n  # text\n \n # Keep\n  # comments:\n\nkeep: |+\n  # text\n\n # Trail\n  # comments.\n",
		`{"strip" "# text" "clip" "# text\n" "keep" "# text\n\n" }`},
	{"8.6 empty scalar chomping", "strip: >-\n\nclip: >\n\nkeep: |+\n\n", `{"strip" "" "clip" "" "keep" "\n" }`},
	{"8.7 literal scalar", "a: |\n literal\n \ttext\n\n\n", `{"a" "literal\n\ttext\n" }`},
	{"8.8 literal content", "a: |\n \n  \n  literal\n   \n  \n  text\n\n # Comment\n", `{"a" "\n\nliteral\n \n\ntext\n" }`},
	{"8.9 folded scalar", "a: >\n folded\n text\n\n\n", `{"a" "folded text\n" }`},
	{"8.10 folded lines", "a: >\n\n folded\n line\n\n next\n line\n   * bullet\n\n   * list\n   * lines\n\n last\n line\n\n# Comment\n",
		`{"a" "\nfolded line\nnext line\n  * bullet\n\n  * list\n  * lines\n\nlast line\n" }`},
	{"8.14 block sequence", "block sequence:\n  - one\n  - two : three\n", `{"block sequence" ["one" {"two" "three" } ] }`},
	{"8.15 block sequence entries", "- # Empty\n- |\n block node\n- - one # Compact\n  - two # sequence\n- one: two # Compact mapping\n", `["" "block node\n" ["one" "two" ] {"one" "two" } ]`},
	{"8.16 block mappings", "block mapping:\n key: value\n", `{"block mapping" {"key" "value" } }`},
	{"2.3 mapping scalars to sequences", "american:\n- Boston Red Sox\n- Detroit Tigers\nnational:\n- New York Mets\n", `{"american" ["Boston Red Sox" "Detroit Tigers" ] "national" ["New York Mets" ] }`},
	{"2.6 mapping of mappings", "one: {hr: 65, avg: 0.278}\ntwo: {\n    hr: 63,\n    avg: 0.288,\n  }\n", `{"one" {"hr" "65" "avg" "0.278" } "two" {"hr" "63" "avg" "0.288" } }`},
	{"2.17 quoted scalars", "unicode: \"Sosa did fine.\\u263A\"\ncontrol: \"\\b1998\\t1999\\t2000\\n\"\nhex esc: \"\\x0d\\x0a is \\r\\n\"\nsingle: '\"Howdy!\" he cried.'\nquoted: ' # Not a ''comment''.'\ntie-fighter: '|\\-*-/|'\n",
		`{"unicode" "Sosa did fine.☺" "control" "\b1998\t1999\t2000\n" "hex esc" "\r\n is \r\n" "single" "\"Howdy!\" he cried." "quoted" " # Not a 'comment'." "tie-fighter" "|\\-*-/|" }`},
	{"2.18 multi-line flow scalars", "plain:\n  This unquoted scalar\n  spans many lines.\n\nquoted: \"So does this\n  quoted scalar.\\n\"\n", `{"plain" "This unquoted scalar spans many lines." "quoted" "So does this quoted scalar.\n" }`},
}

func TestExamplesOfTheSpecification(t *testing.T) {
	for _, c := range specExamples {
		t.Run(c.name, func(t *testing.T) {
			d, problems := Parse("", []byte(c.text))
			if problems != nil {
				t.Fatal(problems)
			}
			if got := d.shown(); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			against(t, c.text)
		})
	}
}
