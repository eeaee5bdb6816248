-- Format 1. Every table but opener carries sum: CRC-32C over the row's other columns (see sum.go).

-- One row a revision. undo and redo are the tops of that person's stacks once this revision stands (see undo.go).
CREATE TABLE revision (
  rev    INTEGER PRIMARY KEY CHECK (rev > 0),
  at     TEXT    NOT NULL,
  who    TEXT    NOT NULL,
  why    TEXT    NOT NULL,
  act    TEXT    NOT NULL CHECK (act IN ('edit', 'undo', 'redo', 'revert', 'import')),
  target INTEGER NOT NULL,
  undo   INTEGER NOT NULL,
  redo   INTEGER NOT NULL,
  digest BLOB    NOT NULL CHECK (length(digest) = 32),
  sum    INTEGER NOT NULL
) STRICT;
CREATE INDEX revision_who ON revision (who, rev);

-- One row a version of an entity: it stands from revision since until revision until (not included; NULL: to this day).
-- place orders the entities of a kind (see place.go).
CREATE TABLE entity (
  kind  TEXT    NOT NULL,
  id    TEXT    NOT NULL,
  since INTEGER NOT NULL REFERENCES revision (rev),
  until INTEGER          REFERENCES revision (rev) CHECK (until IS NULL OR until > since),
  place TEXT    NOT NULL,
  data  TEXT    NOT NULL,
  sum   INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX entity_version ON entity (kind, id, since);
CREATE UNIQUE INDEX entity_standing ON entity (kind, id) WHERE until IS NULL;
CREATE INDEX entity_order ON entity (kind, place) WHERE until IS NULL;
CREATE INDEX entity_since ON entity (since, until);
CREATE INDEX entity_until ON entity (until) WHERE until IS NOT NULL;

-- What a revision changed, in the order in which it was said. The states before and after stand in entity, as the
-- versions that ended and began with the revision. Where was and now are given, the entity moved in its list instead.
CREATE TABLE change (
  rev     INTEGER NOT NULL REFERENCES revision (rev),
  seq     INTEGER NOT NULL,
  kind    TEXT    NOT NULL,
  id      TEXT    NOT NULL,
  follows TEXT    NOT NULL,
  was     TEXT,
  now     TEXT    CHECK ((was IS NULL) = (now IS NULL)),
  sum     INTEGER NOT NULL,
  PRIMARY KEY (rev, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX change_entity ON change (kind, id, rev);

-- Bytes by their SHA-256, each stored once.
CREATE TABLE blob (
  digest BLOB PRIMARY KEY CHECK (length(digest) = 32),
  data   BLOB NOT NULL
) STRICT;

CREATE TABLE attachment (
  name   TEXT PRIMARY KEY,
  fold   TEXT NOT NULL UNIQUE,
  media  TEXT NOT NULL,
  digest BLOB NOT NULL REFERENCES blob (digest),
  at     TEXT NOT NULL,
  who    TEXT NOT NULL,
  note   TEXT NOT NULL,
  sum    INTEGER NOT NULL
) STRICT;

CREATE TABLE evidence (
  seq    INTEGER PRIMARY KEY CHECK (seq > 0),
  at     TEXT    NOT NULL,
  who    TEXT    NOT NULL,
  kind   TEXT    NOT NULL,
  id     TEXT    NOT NULL,
  rev    INTEGER NOT NULL,
  source TEXT    NOT NULL CHECK (source IN ('measured', 'simulated', 'assumed')),
  what   TEXT    NOT NULL,
  value  TEXT    NOT NULL,
  unit   TEXT    NOT NULL,
  note   TEXT    NOT NULL,
  proof  BLOB    REFERENCES blob (digest),
  sum    INTEGER NOT NULL
) STRICT;
CREATE INDEX evidence_entity ON evidence (kind, id, seq);
CREATE TRIGGER evidence_stays BEFORE UPDATE ON evidence BEGIN SELECT raise(ABORT, 'evidence is never altered'); END;
CREATE TRIGGER evidence_keeps BEFORE DELETE ON evidence BEGIN SELECT raise(ABORT, 'evidence is never removed'); END;

CREATE TABLE journal (
  seq     INTEGER PRIMARY KEY CHECK (seq > 0),
  at      TEXT    NOT NULL,
  what    TEXT    NOT NULL,
  kind    TEXT    NOT NULL,
  id      TEXT    NOT NULL,
  payload TEXT    NOT NULL,
  sum     INTEGER NOT NULL
) STRICT;
CREATE INDEX journal_entity ON journal (kind, id, seq);
CREATE TRIGGER journal_stays BEFORE UPDATE ON journal BEGIN SELECT raise(ABORT, 'the journal is never altered'); END;
CREATE TRIGGER journal_keeps BEFORE DELETE ON journal BEGIN SELECT raise(ABORT, 'the journal is never shortened'); END;

CREATE TABLE result (
  stage TEXT    NOT NULL,
  name  TEXT    NOT NULL,
  rev   INTEGER NOT NULL,
  at    TEXT    NOT NULL,
  keep  INTEGER NOT NULL CHECK (keep IN (0, 1)),
  data  TEXT    NOT NULL,
  sum   INTEGER NOT NULL,
  PRIMARY KEY (stage, name, rev)
) STRICT;

-- The job's key pair: the public part here, the secret part in keyhole, once for each way in.
CREATE TABLE keypair (
  one       INTEGER PRIMARY KEY CHECK (one = 1),
  recipient TEXT    NOT NULL,
  tagkey    BLOB    NOT NULL,
  sum       INTEGER NOT NULL
) STRICT;
CREATE TABLE keyhole (
  way    TEXT    PRIMARY KEY CHECK (way IN ('passphrase', 'keyfile')),
  locked BLOB    NOT NULL,
  sum    INTEGER NOT NULL
) STRICT;
CREATE TABLE secret (
  name   TEXT    PRIMARY KEY,
  at     TEXT    NOT NULL,
  sealed BLOB    NOT NULL,
  sum    INTEGER NOT NULL
) STRICT;
-- Keyed hashes of every secret that was ever made or sealed, so that none is made twice.
CREATE TABLE issued (
  tag BLOB PRIMARY KEY CHECK (length(tag) = 32)
) STRICT;

-- Who has the job open. Only a courtesy: rows of programs that are gone are swept by the next one.
CREATE TABLE opener (
  token   TEXT    PRIMARY KEY,
  path    TEXT    NOT NULL,
  host    TEXT    NOT NULL,
  pid     INTEGER NOT NULL,
  who     TEXT    NOT NULL,
  since   TEXT    NOT NULL
) STRICT;
