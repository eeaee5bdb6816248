// Package unit holds the physical quantities that a house is described with, as people write them.
//
// Every quantity is a whole number of millionths of its base unit (Duration: of milliseconds), so that what was
// written is kept exactly: 1.5 mm² is 1500000 millionths, never 1.4999999. Equality, sums and ordering are therefore
// exact, and parse(print(x)) = x holds for every value within the range of its quantity. Calculations take the float accessor (A, V, W, …) once, at
// the border of a formula.
//
// Text flows in through ParseVoltage and its sisters (or UnmarshalText, which the house and the catalogue use) and out
// through String. A decimal comma is read as a decimal point; a blank before the unit may be left out, and may be thin
// or unbreakable; digits may stand in groups of three with blanks or apostrophes between; "mm2" is read as "mm²". A comma
// before exactly three digits (1,000) is refused, because it means a thousand to some and one to others. A missing unit, a
// wrong unit and a value outside the range of the quantity are errors that say what was expected.
//
// Sources: unit symbols and prefixes after the SI brochure (BIPM, 9th edition) and ISO 80000; dB and dBm after IEC
// 60027-3; the ranges are generous bounds against typing errors, common practice, no source.
package unit
