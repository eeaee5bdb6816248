// Package check says what is wrong with a house, where, by which rule, and what would mend it.
//
// A house and a catalogue flow in; findings flow out, in one order: what must be mended first, then by slug, then by
// entity. Check makes a view of the house once, in which every reference is resolved and every module has its catalogue
// type beside it, and shows it to the rules. A rule is declared as data beside its code: slug, severity, reasoning,
// source, caution, and a bad and a mended example (the files under example/, which the tests run and the documents
// print). Each rule looks at one entity of one kind at a time, and says in its field sees what it looks at: near (the entity,
// and ways along references from it, such as "board module"), and (aspects of the whole house, such as walls or addresses), or
// only such aspects. A Checker uses that to run, after an edit, only what the edit touches; a rule that says nothing is run
// whole, which is always right. Findings of an edit equal those of a full run, which the tests hold on random edits.
//
// A rule that computes names its formula, and its findings carry the terms: the figures put in, with the symbols of the
// formula. Working prints both. The folder twin makes a house with one fault of every kind.
//
// What the rules cannot know they say ("not checked"), they never pass it: a load without a power, a category for which a
// channel has no rating, a box of unknown depth. A remedy is computed where it can be: another type of the catalogue that
// carries the load, a free slot, a free address. Changes given with a remedy do it, and make no other finding.
//
// Physics and the standards' methods are those of the packages of calc; the rules only adapt the house to them: a line becomes
// nodes for calc/dcline (voltage.go), walls, floors and places become ways for calc/radio (fabric.go, crossing.go, radio.go),
// boards and circuits go to calc/enclosure and calc/circuit (heat.go, protection.go). What such a rule assumes where the house
// says nothing stands as a named constant at the head of its file and in its reasoning. A prediction is never a bare number: it
// carries margin, spread and probability. A person licensed for the work decides; a finding where work can hurt carries
// the caution.
//
// Sources: those of the packages of calc, named in each rule; load categories IEC 60947-4-1 and IEC 60947-5-1; boards DIN 43880; bus TIA-485-A; host names RFC 1123;
// addresses RFC 791 and RFC 4632; what has no published source says "common practice, no source".
package check
