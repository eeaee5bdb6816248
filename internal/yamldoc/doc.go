// Package yamldoc is the text form of everything that a person may write: strict YAML to Go structs and back.
//
// The structs say what the text holds by their tags: `yaml:"name,omitempty"` names a key (without omitempty it is
// required), `doc:"…"` describes it, `ref:"kind"` says whose identity it is, `enum:"a,b"` lists its values, and `min:"0"`,
// `max:"5 kg"` and `above:"0"` bound it (above: the bound itself is not allowed). A type may list its values by a method
// Values() []string instead, and say by a method Pattern how it is written. Types that implement encoding.TextUnmarshaler
// (the quantities) are written as they print; a struct of floats without tags is a place and is written as [1.25, 3.4].
//
// Text flows through Parse into a flat tree of places and raw scalars, and from there by Decode into the structs. A
// scalar is what it says: 0123, off, 1e3 and 06:30 are texts where a text is expected and mistakes where a number is.
// All mistakes of a text come in one list, each with line, column, what was found and what was expected; if there is one,
// nothing is handed out. Encode writes the one canonical form of a value, Schema its JSON Schema.
//
// The texts are a subset of YAML 1.2.2: block and flow collections, plain, quoted, literal and folded scalars, comments.
// Refused, each with a sentence: anchors, aliases, merge keys, tags, directives, explicit keys, several documents, tabs
// outside of texts, and texts that are too large or too deep. Whatever is accepted means the same to every YAML reader;
// the tests hold it against go.yaml.in/yaml/v4.
//
// An own reader rather than that library's, because a house of 50 000 points has to load in about a second, with the
// column of every mistake. Rejected: decoding into typed nodes first (0123 is then no longer what was written).
//
// Sources: YAML 1.2.2 (yaml.org, 2021-10-01); JSON Schema 2020-12.
package yamldoc
