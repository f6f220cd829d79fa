-- Schema 7: care of a heater. Tasks are versions, visits are facts, seasons versions.
-- Days are counted from 1970-01-01, as they hang on a wall at the site.

-- uid: the task's name in calendars for ever (random, RFC 4122 form).
-- is_cleaning: the yearly cleaning and inspection, one for each heater from its start.
CREATE TABLE care_task (
    id INTEGER PRIMARY KEY,
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    is_cleaning INTEGER NOT NULL CHECK (is_cleaning IN (0, 1)),
    uid TEXT NOT NULL CHECK (length(uid) = 36)
) STRICT;
CREATE INDEX care_task_of_heater ON care_task (heater_id);

-- timing: 0 before the season (lead_days before its opening, from start_day on),
-- 1 calendar (rrule from start_day), 2 burner hours, 3 after an event
-- (0 super-chlorination, 1 exposure to acid and strong chlorine at once). What a timing
-- does not use is 0 or ''.
-- moved_day: the turn that is open was put on that day; NULL: not moved.
CREATE TABLE care_task_version (
    task_id INTEGER NOT NULL REFERENCES care_task (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 63),
    timing INTEGER NOT NULL CHECK (timing BETWEEN 0 AND 3),
    rrule TEXT NOT NULL CHECK (length(rrule) <= 511),
    start_day INTEGER NOT NULL,
    lead_days INTEGER NOT NULL CHECK (lead_days BETWEEN 0 AND 180),
    every_burner_h_e6 INTEGER NOT NULL CHECK (every_burner_h_e6 >= 0),
    event INTEGER NOT NULL CHECK (event BETWEEN 0 AND 1),
    after_days INTEGER NOT NULL CHECK (after_days BETWEEN 0 AND 3660),
    soon_days INTEGER NOT NULL CHECK (soon_days BETWEEN 0 AND 366),
    waits_for_season INTEGER NOT NULL CHECK (waits_for_season IN (0, 1)),
    moved_day INTEGER,
    ended INTEGER NOT NULL CHECK (ended IN (0, 1)),
    PRIMARY KEY (task_id, version)
) STRICT, WITHOUT ROWID;

-- kind: 0 cleaning and inspection, 1 inspection, 2 repair, 3 other. outcome: 0 done,
-- 1 skipped. checklist: {"item":{"result":…,"value":…,"unit":…,"note":…},…}.
-- cost_e6: in the currency; NULL: not said. next_day: for the next turn; NULL: none.
CREATE TABLE care_visit (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES care_visit (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    task_id INTEGER REFERENCES care_task (id),
    kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 3),
    outcome INTEGER NOT NULL CHECK (outcome IN (0, 1)),
    technician INTEGER NOT NULL CHECK (technician IN (0, 1)),
    done_by TEXT NOT NULL CHECK (length(done_by) <= 63),
    findings TEXT NOT NULL CHECK (length(findings) <= 1023),
    cost_e6 INTEGER CHECK (cost_e6 >= 0),
    currency TEXT NOT NULL CHECK (length(currency) IN (0, 3)),
    next_day INTEGER,
    checklist TEXT NOT NULL CHECK (length(checklist) BETWEEN 2 AND 6000),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX care_visit_in_time ON care_visit (heater_id, measured_at);
CREATE INDEX care_visit_superseded ON care_visit (supersedes)
    WHERE supersedes IS NOT NULL;
CREATE INDEX care_visit_of_task ON care_visit (task_id, measured_at);

-- When the pool is open, year after year; open_month 0: all year round.
CREATE TABLE season_version (
    water_id INTEGER NOT NULL REFERENCES water (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    open_month INTEGER NOT NULL CHECK (open_month BETWEEN 0 AND 12),
    open_day INTEGER NOT NULL CHECK (open_day BETWEEN 0 AND 31),
    close_month INTEGER NOT NULL CHECK (close_month BETWEEN 0 AND 12),
    close_day INTEGER NOT NULL CHECK (close_day BETWEEN 0 AND 31),
    CHECK ((open_month = 0) = (close_month = 0)),
    PRIMARY KEY (water_id, version)
) STRICT, WITHOUT ROWID;

-- Burner hours are summed by heater.
CREATE INDEX run_of_heater ON run (heater_id, measured_at) WHERE heater_id IS NOT NULL;

-- Heaters that are there already get their yearly cleaning too, from their own start.
INSERT INTO actor (name)
    SELECT 'this machine' WHERE EXISTS (SELECT 1 FROM heater)
        AND NOT EXISTS (SELECT 1 FROM actor WHERE name = 'this machine');
INSERT INTO care_task (heater_id, is_cleaning, uid)
    SELECT id, 1, lower(hex(randomblob(4)) || '-' || hex(randomblob(2)) || '-4' ||
        substr(hex(randomblob(2)), 2) || '-a' || substr(hex(randomblob(2)), 2) || '-' ||
        hex(randomblob(6))) FROM heater ORDER BY id;
INSERT INTO care_task_version
    SELECT t.id, 1, (SELECT min(v.at) FROM heater_version v
                     WHERE v.heater_id = t.heater_id),
        (SELECT min(a.id) FROM actor a WHERE a.name = 'this machine'),
        'Yearly cleaning and inspection', 0, '',
        (SELECT min(v.at) FROM heater_version v WHERE v.heater_id = t.heater_id)
        / 86400, 30, 0, 0, 0, 30, 0, NULL, 0
    FROM care_task t ORDER BY t.id;

CREATE TRIGGER care_task_no_update BEFORE UPDATE ON care_task
BEGIN SELECT RAISE(ABORT, 'care_task is append-only'); END;
CREATE TRIGGER care_task_no_delete BEFORE DELETE ON care_task
BEGIN SELECT RAISE(ABORT, 'care_task is append-only'); END;
CREATE TRIGGER care_task_no_replace BEFORE INSERT ON care_task
WHEN EXISTS (SELECT 1 FROM care_task
             WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'care_task is append-only'); END;

CREATE TRIGGER care_task_version_no_update BEFORE UPDATE ON care_task_version
BEGIN SELECT RAISE(ABORT, 'care_task_version is append-only'); END;
CREATE TRIGGER care_task_version_no_delete BEFORE DELETE ON care_task_version
BEGIN SELECT RAISE(ABORT, 'care_task_version is append-only'); END;
CREATE TRIGGER care_task_version_no_replace BEFORE INSERT ON care_task_version
WHEN EXISTS (SELECT 1 FROM care_task_version
             WHERE task_id = NEW.task_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'care_task_version is append-only'); END;

CREATE TRIGGER care_visit_no_update BEFORE UPDATE ON care_visit
BEGIN SELECT RAISE(ABORT, 'care_visit is append-only'); END;
CREATE TRIGGER care_visit_no_delete BEFORE DELETE ON care_visit
BEGIN SELECT RAISE(ABORT, 'care_visit is append-only'); END;
CREATE TRIGGER care_visit_no_replace BEFORE INSERT ON care_visit
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM care_visit WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'care_visit is append-only')
        WHERE EXISTS (SELECT 1 FROM care_visit WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM care_visit WHERE supersedes = NEW.supersedes);
END;

CREATE TRIGGER season_version_no_update BEFORE UPDATE ON season_version
BEGIN SELECT RAISE(ABORT, 'season_version is append-only'); END;
CREATE TRIGGER season_version_no_delete BEFORE DELETE ON season_version
BEGIN SELECT RAISE(ABORT, 'season_version is append-only'); END;
CREATE TRIGGER season_version_no_replace BEFORE INSERT ON season_version
WHEN EXISTS (SELECT 1 FROM season_version
             WHERE water_id = NEW.water_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'season_version is append-only'); END;
