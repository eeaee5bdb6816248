// Package catalogue holds the module types, cables and materials that a house is equipped with: data with a schema.
//
// A generic set is built in (files under builtin/); it spans the usual range of the trade and is modelled on no maker's
// series. The user's own types stand in YAML files beside the job and are added by Load; a wrong one is refused with
// the reason, line and column, and nothing of that file is taken.
//
// A Type lists its channels in groups. Channel names count through each kind of the type: out1, out2 … for relay
// outputs, dim1 … for dimmers, sh1 … for motor outputs, val1 … for valve outputs, in1 … for contact inputs, ai1 … for
// analogue inputs, key1 … for keys of its own, and sensors by what they read (temp1, light1, presence1, wind1, rain1).
//
// Sources: load categories after IEC 60947-4-1 and IEC 60947-5-1; width units after DIN 43880. The ratings are invented within the
// usual range of the trade (common practice, no source).
package catalogue
