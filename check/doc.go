// Package check says what is wrong with a house, where, by which rule, and what would mend it.
//
// A house and a catalogue flow in; findings flow out, in one order: what must be mended first, then by slug, then by
// entity. Check makes a view of the house once, in which every reference is resolved and every module has its catalogue
// type beside it, and shows it to the rules. A rule is declared as data beside its code: slug, severity, reasoning,
// source, caution, and a bad and a mended example (the files under example/, which the tests run and the documents
// print). Each rule looks at one entity of one kind at a time, so that a change to a house needs only the rules of the
// entities it touches.
//
// What the rules cannot know they say ("not checked"), they never pass it: a load without a power, a category for which a
// channel has no rating, a box of unknown depth. A remedy is computed where it can be: another type of the catalogue that
// carries the load, a free slot, a free address. Changes given with a remedy do it, and make no other finding.
//
// The package refuses to know geometry, radio and voltage along a cable: packages of calc do, and rules that use them
// come beside these. A person licensed for the work decides; a finding where work can hurt carries the caution.
//
// Sources: load categories IEC 60947-4-1 and IEC 60947-5-1; boards DIN 43880; bus TIA-485-A; host names RFC 1123;
// addresses RFC 791 and RFC 4632; what has no published source says "common practice, no source".
package check
