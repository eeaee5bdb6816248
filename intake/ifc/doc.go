// Package ifc brings a building model in the open standard IFC into a house: storeys, rooms with outlines, walls with
// thickness and layers, doors, windows and passages, slabs, and the electrical elements of the model as points, boards and
// circuits. Releases IFC2X3 and IFC4 are read, in the STEP clear text encoding (package step).
//
// Data flows through in three steps. A model (the file, its relations indexed, its units known) is read into a draft:
// plain geometry in metres in the coordinates of the file, each piece with the GlobalId of its entity. Drafts of one or of
// several files, an architect's and an electrician's, are assembled into one house: rooms get readable identities, every
// opening the rooms that it joins, every device its room. Whatever could not be read, or has no place in the house, is
// listed with entity, line and reason (Result.Unread); what each electrical element was taken for, and why, is listed
// too (Result.Mapped), and the user corrects it through Options.Mapping.
//
// Conventions of the result. The site is that of the file, z up. Every coordinate is rounded to 0.1 mm. A wall runs along
// its centre line, not along the reference line of the file, and its layers are listed from the left of From→To to the
// right. An opening's From is the jamb at the origin of the door's or window's own placement, so that "left" in the
// operation type of a door is its From. Opening.Rooms lists first the room on the left of From→To. The Source of every
// entity is its GlobalId, by which a second import of the same model finds the entities of the first (Options.Keep).
//
// A room's outline is what its body covers seen from above. Heights come from the body, never from the storey, because
// storeys of real models stand up to 0.6 m away from the floors of their rooms. For walls a body that is cut by roof
// planes counts as it was before the cut.
//
// Nothing here trusts the file: chains of placements, nested shapes, lists and the whole amount of geometry are bounded.
//
// Sources: ISO 16739 (IFC) for entities and attributes, ISO 10303-21 for the encoding; attribute positions as in the
// published schemas IFC2X3 TC1 and IFC4 ADD2 TC1. Words by which rooms and devices are recognised are data of our own
// (uses.yaml, roles.yaml).
package ifc
