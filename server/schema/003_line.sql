-- Schema 3: the line of a heater, as versions. The document is the validated line as
-- JSON (parts, edges, positions). What it means for the permit is kept beside it, so that
-- permits of the past need no graph: how many faults stop each side, and which is first
-- (numbers of lib/line.h; 0 with no fault).

CREATE TABLE line_version (
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    document TEXT NOT NULL CHECK (length(document) BETWEEN 2 AND 262144),
    water_stops INTEGER NOT NULL CHECK (water_stops BETWEEN 0 AND 1000000),
    water_first INTEGER NOT NULL CHECK (water_first >= 0),
    burner_stops INTEGER NOT NULL CHECK (burner_stops BETWEEN 0 AND 1000000),
    burner_first INTEGER NOT NULL CHECK (burner_first >= 0),
    PRIMARY KEY (heater_id, version)
) STRICT, WITHOUT ROWID;
CREATE INDEX line_version_in_time ON line_version (heater_id, at);

CREATE TRIGGER line_version_no_update BEFORE UPDATE ON line_version
BEGIN SELECT RAISE(ABORT, 'line_version is append-only'); END;
CREATE TRIGGER line_version_no_delete BEFORE DELETE ON line_version
BEGIN SELECT RAISE(ABORT, 'line_version is append-only'); END;
CREATE TRIGGER line_version_no_replace BEFORE INSERT ON line_version
WHEN EXISTS (SELECT 1 FROM line_version
             WHERE heater_id = NEW.heater_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'line_version is append-only'); END;
