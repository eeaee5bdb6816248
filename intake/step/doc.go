// Package step reads files in the STEP clear text encoding: the exchange structure in which IFC models are written.
//
// Bytes flow in through Parse, which walks them once, never by lines: it finds every record `#12=KEYWORD(…);` of the
// header and the data sections, remembers where its arguments stand, and checks that brackets, strings and comments
// close. Arguments are read only when somebody asks for them (File.Args), because an importer of floor plans never
// looks at most of a model's surfaces. Everything is bounded (Limits): the size of the file, the number of records, the
// depth of nested lists, and the number of values held.
//
// Every mistake names the record (`#12 IFCWALL`) and the line. Parse collects the mistakes of one pass; a file that
// ends too early is a mistake that says what was still open and on which line it began.
//
// The package knows nothing of IFC: keywords are words, references are numbers. It resolves no references.
//
// Source: ISO 10303-21 (clear text encoding of the exchange structure), including the string control directives
// \S\, \P?\, \X\, \X2\ and \X4\ of its clause on strings, and the UTF-8 strings and extra sections of its third edition.
package step
