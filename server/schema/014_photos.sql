-- Schema 14: photos. The picture lies in a file beside the database, named by its hash.

-- of_kind: 0 visit, 1 flue test, 2 symptom, 3 the heater itself; of_id is its id.
-- format: 0 JPEG, 1 PNG. hash: SHA-256 of the file as hexadecimal digits.
CREATE TABLE photo (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES photo (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    of_kind INTEGER NOT NULL CHECK (of_kind BETWEEN 0 AND 3),
    of_id INTEGER NOT NULL CHECK (of_id >= 1),
    format INTEGER NOT NULL CHECK (format IN (0, 1)),
    hash TEXT NOT NULL CHECK (length(hash) = 64),
    width INTEGER NOT NULL CHECK (width BETWEEN 1 AND 20000),
    height INTEGER NOT NULL CHECK (height BETWEEN 1 AND 20000),
    byte_count INTEGER NOT NULL CHECK (byte_count BETWEEN 1 AND 20971520),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX photo_in_time ON photo (heater_id, measured_at);
CREATE INDEX photo_superseded ON photo (supersedes)
    WHERE supersedes IS NOT NULL;

CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo
BEGIN SELECT RAISE(ABORT, 'photo is append-only'); END;
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo
BEGIN SELECT RAISE(ABORT, 'photo is append-only'); END;
CREATE TRIGGER photo_no_replace BEFORE INSERT ON photo
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM photo WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'photo is append-only')
        WHERE EXISTS (SELECT 1 FROM photo WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM photo WHERE supersedes = NEW.supersedes);
END;
