-- An event is what happens to one plan; both have the same id.
CREATE TABLE events (
  event_id TEXT PRIMARY KEY,
  created_at_ms INTEGER NOT NULL
) STRICT;

-- The plan document, a row per saved revision, kept as it was saved.
CREATE TABLE plan_revisions (
  event_id TEXT NOT NULL REFERENCES events (event_id),
  revision INTEGER NOT NULL CHECK (revision >= 1),
  document TEXT NOT NULL CHECK (json_valid(document)),
  saved_at_ms INTEGER NOT NULL,
  saved_by TEXT NOT NULL,
  PRIMARY KEY (event_id, revision)
) STRICT;

-- The log. `body` is the fact without its envelope; of an adopted plan only the revision's number is kept.
CREATE TABLE facts (
  event_id TEXT NOT NULL REFERENCES events (event_id),
  seq INTEGER NOT NULL CHECK (seq >= 1),
  v INTEGER NOT NULL,
  kind TEXT NOT NULL,
  at_ms INTEGER NOT NULL,
  recorded_at_ms INTEGER NOT NULL,
  by_link TEXT NOT NULL,
  request_id TEXT NOT NULL,
  body TEXT NOT NULL CHECK (json_valid(body)),
  PRIMARY KEY (event_id, seq)
) STRICT, WITHOUT ROWID;

CREATE INDEX facts_adopted ON facts (event_id, seq) WHERE kind = 'planAdopted';

-- What was asked for and recorded: a repeat finds its first outcome here. A request that recorded nothing has
-- last_seq = first_seq - 1.
CREATE TABLE requests (
  event_id TEXT NOT NULL REFERENCES events (event_id),
  request_id TEXT NOT NULL,
  first_seq INTEGER NOT NULL,
  last_seq INTEGER NOT NULL,
  body_hash TEXT NOT NULL,
  PRIMARY KEY (event_id, request_id)
) STRICT, WITHOUT ROWID;

-- Role links. The secret itself is told once and never kept.
CREATE TABLE links (
  link_id TEXT PRIMARY KEY,
  secret_hash TEXT NOT NULL UNIQUE,
  role TEXT NOT NULL CHECK (role IN ('viewer', 'crew', 'coordinator', 'commander', 'owner')),
  event_id TEXT REFERENCES events (event_id),
  ship_id TEXT,
  created_at_ms INTEGER NOT NULL,
  revoked_at_ms INTEGER,
  CHECK ((role = 'owner') = (event_id IS NULL)),
  CHECK ((role = 'crew') = (ship_id IS NOT NULL))
) STRICT;

CREATE INDEX links_of_event ON links (event_id, created_at_ms);

CREATE TRIGGER facts_never_change BEFORE UPDATE ON facts
BEGIN SELECT RAISE (ABORT, 'facts are never changed'); END;
CREATE TRIGGER facts_never_vanish BEFORE DELETE ON facts
BEGIN SELECT RAISE (ABORT, 'facts are never deleted'); END;
CREATE TRIGGER requests_never_change BEFORE UPDATE ON requests
BEGIN SELECT RAISE (ABORT, 'requests are never changed'); END;
CREATE TRIGGER requests_never_vanish BEFORE DELETE ON requests
BEGIN SELECT RAISE (ABORT, 'requests are never deleted'); END;
CREATE TRIGGER plan_revisions_never_change BEFORE UPDATE ON plan_revisions
BEGIN SELECT RAISE (ABORT, 'plan revisions are never changed'); END;
CREATE TRIGGER plan_revisions_never_vanish BEFORE DELETE ON plan_revisions
BEGIN SELECT RAISE (ABORT, 'plan revisions are never deleted'); END;
