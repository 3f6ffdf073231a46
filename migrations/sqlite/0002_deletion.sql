-- The mark by which a file is known as ours: "ULLG".
PRAGMA application_id = 0x554C4C47;

-- What was deleted, and when. To put an event in here is to delete it, whole; nothing else deletes any part of it.
CREATE TABLE deletions (
  event_id TEXT PRIMARY KEY,
  deleted_at_ms INTEGER NOT NULL
) STRICT;

DROP TRIGGER facts_never_vanish;
DROP TRIGGER requests_never_vanish;
DROP TRIGGER plan_revisions_never_vanish;

CREATE TRIGGER facts_never_vanish BEFORE DELETE ON facts
WHEN NOT EXISTS (SELECT 1 FROM deletions WHERE event_id = OLD.event_id)
BEGIN SELECT RAISE (ABORT, 'facts are never deleted'); END;
CREATE TRIGGER requests_never_vanish BEFORE DELETE ON requests
WHEN NOT EXISTS (SELECT 1 FROM deletions WHERE event_id = OLD.event_id)
BEGIN SELECT RAISE (ABORT, 'requests are never deleted'); END;
CREATE TRIGGER plan_revisions_never_vanish BEFORE DELETE ON plan_revisions
WHEN NOT EXISTS (SELECT 1 FROM deletions WHERE event_id = OLD.event_id)
BEGIN SELECT RAISE (ABORT, 'plan revisions are never deleted'); END;

CREATE TRIGGER deletions_are_whole AFTER INSERT ON deletions
BEGIN
  DELETE FROM facts WHERE event_id = NEW.event_id;
  DELETE FROM requests WHERE event_id = NEW.event_id;
  DELETE FROM plan_revisions WHERE event_id = NEW.event_id;
  DELETE FROM links WHERE event_id = NEW.event_id;
  DELETE FROM events WHERE event_id = NEW.event_id;
END;
CREATE TRIGGER deletions_never_change BEFORE UPDATE ON deletions
BEGIN SELECT RAISE (ABORT, 'deletions are never changed'); END;

-- An event that is brought back is no longer deleted: while it is here, no row of it may vanish.
CREATE TRIGGER events_that_come_back AFTER INSERT ON events
BEGIN DELETE FROM deletions WHERE event_id = NEW.event_id; END;
