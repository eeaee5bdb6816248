package examples

import _ "embed" // the model

// Cottage is a small building model in IFC4: an invented cottage of two storeys with doors, windows and some electrical
// elements. The tests of the importer draw it and keep it current.
//
//go:embed cottage.ifc
var Cottage []byte
