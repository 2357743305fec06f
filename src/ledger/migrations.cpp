#include "ledger/schema.h"

namespace fettle::ledger {

const std::vector<std::string>& migrations() {
  static const std::vector<std::string> steps = {
      // 1: entries are the truth; engines hold what follows from them.
      R"sql(
CREATE TABLE engines (
  id          TEXT    NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 1 AND 64),
  name        TEXT    NOT NULL CHECK (length(name) > 0),
  archived    INTEGER NOT NULL CHECK (archived IN (0, 1)),
  version     INTEGER NOT NULL REFERENCES entries (entry) DEFERRABLE INITIALLY DEFERRED,
  entry_count INTEGER NOT NULL CHECK (entry_count > 0),
  document    TEXT    NOT NULL
) STRICT;

CREATE TABLE entries (
  entry      INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
  engine     TEXT    NOT NULL REFERENCES engines (id) DEFERRABLE INITIALLY DEFERRED,
  previous   INTEGER REFERENCES entries (entry),
  at         TEXT    NOT NULL,
  by         TEXT    NOT NULL,
  device     TEXT    NOT NULL,
  kind       TEXT    NOT NULL CHECK (kind IN ('create', 'change', 'undo', 'redo', 'rename', 'archive', 'restore', 'import')),
  undoes     INTEGER REFERENCES entries (entry) CHECK ((undoes IS NOT NULL) = (kind = 'undo')),
  redoes     INTEGER REFERENCES entries (entry) CHECK ((redoes IS NOT NULL) = (kind = 'redo')),
  change_key TEXT    UNIQUE,
  origin     TEXT,
  operations TEXT    NOT NULL,
  CHECK ((previous IS NULL) = (kind = 'create')),
  CHECK (previous < entry AND undoes < entry AND redoes < entry)
) STRICT;

CREATE INDEX entries_of_engine ON entries (engine, entry, kind, undoes, redoes);

CREATE TRIGGER entries_are_never_updated BEFORE UPDATE ON entries
BEGIN
  SELECT RAISE(ABORT, 'an entry of the ledger is never updated');
END;

CREATE TRIGGER entries_are_never_deleted BEFORE DELETE ON entries
BEGIN
  SELECT RAISE(ABORT, 'an entry of the ledger is never deleted');
END;

CREATE TRIGGER entries_are_never_replaced BEFORE INSERT ON entries
WHEN EXISTS (SELECT 1 FROM entries WHERE entry = NEW.entry OR change_key = NEW.change_key)
BEGIN
  SELECT RAISE(ABORT, 'an entry of the ledger is never replaced');
END;

CREATE TRIGGER engines_are_never_deleted BEFORE DELETE ON engines
BEGIN
  SELECT RAISE(ABORT, 'an engine is archived, never deleted');
END;
)sql",
  };
  return steps;
}

}  // namespace fettle::ledger
