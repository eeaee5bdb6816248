// Package store keeps one job on disk: a single SQLite file that holds every revision of the house, the documents beside
// it, attachments, evidence, the journal, results of the stages and sealed secrets.
//
// An edit is a list of entity changes (house.Change). Commit stores it as one revision in one transaction and answers
// only when it lies on the disk; an edit that was not made on the newest revision is refused with a ConflictError that
// carries both sides. Nothing is overwritten: an entity has versions, each standing from one revision until another, so
// that House answers for any revision, Log tells who changed what, when and why, and Undo and Redo are new revisions
// without end. DESIGN.md says why it is built this way.
//
// A file that is not a job, that is torn, or that a newer program wrote is refused whole, with a sentence. Every row
// carries a checksum, read back whenever the row is read.
//
// The package asks for its clock and its random source (Options.Now, Options.Rand) and knows of the model only how to
// build a house out of entities. All SQL of the project is here.
//
// Sources: the SQLite file header and its write-ahead log as documented at sqlite.org (fileformat2, wal, lockingv3);
// age-encryption.org/v1 for what is sealed; NIST SP 800-63B and ETSI EN 303 645 provision 5.1 for what a secret must be.
package store
