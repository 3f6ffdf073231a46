-- Links may end by themselves, tell when they were last used, and stand for a feed of readings. A check cannot be
-- changed in place: the table is made anew, and with it the trigger that names it.
DROP TRIGGER deletions_are_whole;

CREATE TABLE links_anew (
  link_id TEXT PRIMARY KEY,
  secret_hash TEXT NOT NULL UNIQUE,
  role TEXT NOT NULL CHECK (role IN ('feed', 'viewer', 'crew', 'coordinator', 'commander', 'owner')),
  event_id TEXT REFERENCES events (event_id),
  ship_id TEXT,
  created_at_ms INTEGER NOT NULL,
  expires_at_ms INTEGER,
  revoked_at_ms INTEGER,
  last_used_at_ms INTEGER,
  CHECK ((role = 'owner') = (event_id IS NULL)),
  CHECK ((role = 'crew') = (ship_id IS NOT NULL))
) STRICT;
INSERT INTO links_anew (link_id, secret_hash, role, event_id, ship_id, created_at_ms, revoked_at_ms)
SELECT link_id, secret_hash, role, event_id, ship_id, created_at_ms, revoked_at_ms FROM links;
DROP TABLE links;
ALTER TABLE links_anew RENAME TO links;
CREATE INDEX links_of_event ON links (event_id, created_at_ms);

CREATE TRIGGER deletions_are_whole AFTER INSERT ON deletions
BEGIN
  DELETE FROM facts WHERE event_id = NEW.event_id;
  DELETE FROM requests WHERE event_id = NEW.event_id;
  DELETE FROM plan_revisions WHERE event_id = NEW.event_id;
  DELETE FROM links WHERE event_id = NEW.event_id;
  DELETE FROM events WHERE event_id = NEW.event_id;
END;
