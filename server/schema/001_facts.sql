-- Schema 1: who, what there is, what was measured and done, and what follows from it.
--
-- Facts and versions are append-only. Three triggers guard each such table: against
-- UPDATE, against DELETE, and against INSERT over an existing key, because INSERT OR
-- REPLACE deletes without firing a DELETE trigger unless recursive_triggers is on. No
-- such table has a second UNIQUE, through which REPLACE would get past all three.
-- A fact is superseded at most once; the insert trigger sees to that too, with a plain
-- partial index.
--
-- Instants are UTC seconds since 1970. Amounts ending in _e6 are millionths of the
-- unit. Ranges are what such a water can have and any test can show: common practice,
-- no source.

CREATE TABLE actor (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 63)
) STRICT;
CREATE INDEX actor_by_name ON actor (name);

CREATE TABLE site_version (
    version INTEGER PRIMARY KEY CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    name TEXT NOT NULL CHECK (length(name) <= 63),
    latitude_e6 INTEGER CHECK (latitude_e6 BETWEEN -90000000 AND 90000000),
    longitude_e6 INTEGER CHECK (longitude_e6 BETWEEN -180000000 AND 180000000),
    zone TEXT NOT NULL CHECK (length(zone) BETWEEN 1 AND 63),
    us_units INTEGER NOT NULL CHECK (us_units IN (0, 1)),
    ppm INTEGER NOT NULL CHECK (ppm IN (0, 1)),
    decimal_comma INTEGER NOT NULL CHECK (decimal_comma IN (0, 1)),
    CHECK ((latitude_e6 IS NULL) = (longitude_e6 IS NULL))
) STRICT;

CREATE TABLE water (id INTEGER PRIMARY KEY) STRICT;

CREATE TABLE water_version (
    water_id INTEGER NOT NULL REFERENCES water (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    name TEXT NOT NULL CHECK (length(name) <= 63),
    is_spa INTEGER NOT NULL CHECK (is_spa IN (0, 1)),
    indoor INTEGER NOT NULL CHECK (indoor IN (0, 1)),
    winter_closed INTEGER NOT NULL CHECK (winter_closed IN (0, 1)),
    no_cyanuric_acid INTEGER NOT NULL CHECK (no_cyanuric_acid IN (0, 1)),
    sanitiser INTEGER NOT NULL CHECK (sanitiser BETWEEN 0 AND 3),
    lining INTEGER NOT NULL CHECK (lining BETWEEN 0 AND 3),
    cover INTEGER NOT NULL CHECK (cover BETWEEN 0 AND 3),
    fill INTEGER NOT NULL CHECK (fill BETWEEN 0 AND 3),
    volume_m3_e6 INTEGER NOT NULL CHECK (volume_m3_e6 >= 0),
    surface_m2_e6 INTEGER NOT NULL CHECK (surface_m2_e6 >= 0),
    depth_m_e6 INTEGER NOT NULL CHECK (depth_m_e6 >= 0),
    PRIMARY KEY (water_id, version)
) STRICT, WITHOUT ROWID;

CREATE TABLE heater (id INTEGER PRIMARY KEY) STRICT;

CREATE TABLE heater_version (
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    name TEXT NOT NULL CHECK (length(name) <= 63),
    fuel INTEGER NOT NULL CHECK (fuel BETWEEN 0 AND 3),
    metal INTEGER NOT NULL CHECK (metal BETWEEN 0 AND 4),
    bypass INTEGER NOT NULL CHECK (bypass BETWEEN 0 AND 2),
    bypass_usual_percent INTEGER NOT NULL
        CHECK (bypass_usual_percent BETWEEN -1 AND 100),
    input_w_e6 INTEGER NOT NULL CHECK (input_w_e6 >= 0),
    PRIMARY KEY (heater_id, version)
) STRICT, WITHOUT ROWID;

CREATE TABLE heater_water (
    heater_id INTEGER NOT NULL,
    version INTEGER NOT NULL,
    position INTEGER NOT NULL CHECK (position BETWEEN 0 AND 3),
    water_id INTEGER NOT NULL REFERENCES water (id),
    PRIMARY KEY (heater_id, version, position),
    FOREIGN KEY (heater_id, version) REFERENCES heater_version (heater_id, version)
) STRICT, WITHOUT ROWID;

-- name: 0 pH low, 1 pH high, 2 free chlorine high, 3 bromine high, 4 spa water
-- temperature high.
-- source: 0 common practice, 1 the heater's manual, 2 own.
CREATE TABLE heater_limit (
    heater_id INTEGER NOT NULL,
    version INTEGER NOT NULL,
    name INTEGER NOT NULL CHECK (name BETWEEN 0 AND 4),
    value_e6 INTEGER NOT NULL,
    source INTEGER NOT NULL CHECK (source BETWEEN 0 AND 2),
    PRIMARY KEY (heater_id, version, name),
    FOREIGN KEY (heater_id, version) REFERENCES heater_version (heater_id, version)
) STRICT, WITHOUT ROWID;

CREATE TABLE batch (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    file_name TEXT NOT NULL CHECK (length(file_name) <= 511),
    row_count INTEGER NOT NULL CHECK (row_count >= 0),
    first_reading_id INTEGER NOT NULL -- no reading of the batch has a smaller id
) STRICT;

-- One row is one set of values at one instant, so that a set costs one row and one
-- index entry whatever it holds. method: 0 not said, 1 strip, 2 drop count,
-- 3 comparator, 4 photometer, 5 probe, 6 laboratory. details is NULL while every value
-- was found by that method with its usual resolution; else
-- "quantity:method:resolution_e6:flags;"
-- for each value that differs (flags: 1 over range, 2 diluted, 4 confirmed).
-- A withdrawal repeats what it withdraws.
CREATE TABLE reading (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES reading (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    water_id INTEGER NOT NULL REFERENCES water (id),
    method INTEGER NOT NULL CHECK (method BETWEEN 0 AND 6),
    details TEXT CHECK (length(details) <= 1000),
    ph_e6 INTEGER CHECK (ph_e6 BETWEEN 1000000 AND 13000000),
    free_chlorine_mg_per_l_e6 INTEGER
        CHECK (free_chlorine_mg_per_l_e6 BETWEEN 0 AND 500000000),
    combined_chlorine_mg_per_l_e6 INTEGER
        CHECK (combined_chlorine_mg_per_l_e6 BETWEEN 0 AND 200000000),
    total_chlorine_mg_per_l_e6 INTEGER
        CHECK (total_chlorine_mg_per_l_e6 BETWEEN 0 AND 500000000),
    bromine_mg_per_l_e6 INTEGER CHECK (bromine_mg_per_l_e6 BETWEEN 0 AND 500000000),
    total_alkalinity_mg_per_l_caco3_e6 INTEGER
        CHECK (total_alkalinity_mg_per_l_caco3_e6 BETWEEN 0 AND 2000000000),
    calcium_hardness_mg_per_l_caco3_e6 INTEGER
        CHECK (calcium_hardness_mg_per_l_caco3_e6 BETWEEN 0 AND 5000000000),
    cyanuric_acid_mg_per_l_e6 INTEGER
        CHECK (cyanuric_acid_mg_per_l_e6 BETWEEN 0 AND 1000000000),
    borate_mg_per_l_b_e6 INTEGER CHECK (borate_mg_per_l_b_e6 BETWEEN 0 AND 500000000),
    salt_mg_per_l_nacl_e6 INTEGER
        CHECK (salt_mg_per_l_nacl_e6 BETWEEN 0 AND 50000000000),
    tds_mg_per_l_e6 INTEGER CHECK (tds_mg_per_l_e6 BETWEEN 0 AND 60000000000),
    copper_mg_per_l_e6 INTEGER CHECK (copper_mg_per_l_e6 BETWEEN 0 AND 50000000),
    iron_mg_per_l_e6 INTEGER CHECK (iron_mg_per_l_e6 BETWEEN 0 AND 50000000),
    sulfate_mg_per_l_e6 INTEGER CHECK (sulfate_mg_per_l_e6 BETWEEN 0 AND 10000000000),
    phosphate_mg_per_l_e6 INTEGER CHECK (phosphate_mg_per_l_e6 BETWEEN 0 AND 100000000),
    water_temp_c_e6 INTEGER CHECK (water_temp_c_e6 BETWEEN -2000000 AND 60000000),
    orp_mv_e6 INTEGER CHECK (orp_mv_e6 BETWEEN -1000000000 AND 1500000000),
    magnesium_mg_per_l_e6 INTEGER
        CHECK (magnesium_mg_per_l_e6 BETWEEN 0 AND 5000000000),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX reading_in_time ON reading (water_id, measured_at);
CREATE INDEX reading_superseded ON reading (supersedes) WHERE supersedes IS NOT NULL;

CREATE TABLE dose (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES dose (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    water_id INTEGER NOT NULL REFERENCES water (id),
    product INTEGER NOT NULL CHECK (product BETWEEN 1 AND 999),
    amount_e6 INTEGER NOT NULL CHECK (amount_e6 >= 0), -- g, or mL of a liquid
    strength_e6 INTEGER NOT NULL CHECK (strength_e6 BETWEEN 0 AND 100000000), -- percent
    entry INTEGER NOT NULL CHECK (entry BETWEEN 0 AND 3),
    super_chlorination INTEGER NOT NULL CHECK (super_chlorination IN (0, 1)),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX dose_in_time ON dose (water_id, measured_at);
CREATE INDEX dose_superseded ON dose (supersedes) WHERE supersedes IS NOT NULL;

-- measured_at is the start. machine: 0 pump, 1 burner. origin: 0 logged, 1 schedule,
-- 2 instrument.
CREATE TABLE run (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES run (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    water_id INTEGER NOT NULL REFERENCES water (id),
    heater_id INTEGER REFERENCES heater (id),
    machine INTEGER NOT NULL CHECK (machine IN (0, 1)),
    origin INTEGER NOT NULL CHECK (origin BETWEEN 0 AND 2),
    ended_at INTEGER NOT NULL CHECK (ended_at BETWEEN 1 AND 253402300799),
    CHECK (ended_at > measured_at),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX run_in_time ON run (water_id, measured_at);
CREATE INDEX run_superseded ON run (supersedes) WHERE supersedes IS NOT NULL;

-- state: 0 in line, 1 off line and flushed, 2 off line with standing water, 3 drained.
CREATE TABLE heater_state (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES heater_state (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    state INTEGER NOT NULL CHECK (state BETWEEN 0 AND 3),
    bypass_percent_open INTEGER NOT NULL CHECK (bypass_percent_open BETWEEN -1 AND 100),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX heater_state_in_time ON heater_state (heater_id, measured_at);
CREATE INDEX heater_state_superseded ON heater_state (supersedes)
    WHERE supersedes IS NOT NULL;

CREATE TABLE journal (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER REFERENCES actor (id),
    peer TEXT NOT NULL,
    action TEXT NOT NULL,
    entity TEXT NOT NULL,
    entity_id INTEGER NOT NULL,
    before TEXT,
    after TEXT
) STRICT;

CREATE TABLE clock_jump (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    jump_s INTEGER NOT NULL CHECK (jump_s <> 0)
) STRICT;

CREATE TABLE clock_confirmation (
    id INTEGER PRIMARY KEY,
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    newest_jump_id INTEGER NOT NULL -- jumps up to this one are confirmed
) STRICT;

-- Not facts: may be forgotten or made anew.

CREATE TABLE answer (
    key TEXT PRIMARY KEY CHECK (length(key) BETWEEN 1 AND 200),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    request_hash BLOB NOT NULL CHECK (length(request_hash) = 32),
    status INTEGER NOT NULL CHECK (status BETWEEN 100 AND 599),
    etag TEXT NOT NULL CHECK (length(etag) <= 79),
    location TEXT NOT NULL CHECK (length(location) <= 95),
    body BLOB NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX answer_by_age ON answer (at);

-- newest_recorded_at: largest recorded_at of any fact.
CREATE TABLE derived (
    name TEXT PRIMARY KEY,
    value INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- Summaries of spans of 600, 7200 and 86400 s, so that a plot reads rows in proportion
-- to its columns. value_count: current values; fact_count: all that were ever there, of
-- which probe_count came from a probe. first to last are of the current ones, 0 else.
-- Levels 7200 and 86400 have a row wherever a value ever was; level 600 only where at
-- least 8 current values are, since fewer are read as fast from the readings.
CREATE TABLE bucket (
    water_id INTEGER NOT NULL,
    quantity INTEGER NOT NULL CHECK (quantity >= 0),
    level_s INTEGER NOT NULL CHECK (level_s IN (600, 7200, 86400)),
    start_at INTEGER NOT NULL,
    fact_count INTEGER NOT NULL,
    probe_count INTEGER NOT NULL,
    value_count INTEGER NOT NULL,
    first_at INTEGER NOT NULL,
    first_e6 INTEGER NOT NULL,
    low_at INTEGER NOT NULL,
    low_e6 INTEGER NOT NULL,
    high_at INTEGER NOT NULL,
    high_e6 INTEGER NOT NULL,
    last_at INTEGER NOT NULL,
    last_e6 INTEGER NOT NULL,
    PRIMARY KEY (water_id, quantity, level_s, start_at)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER actor_no_update BEFORE UPDATE ON actor
BEGIN SELECT RAISE(ABORT, 'actor is append-only'); END;
CREATE TRIGGER actor_no_delete BEFORE DELETE ON actor
BEGIN SELECT RAISE(ABORT, 'actor is append-only'); END;
CREATE TRIGGER actor_no_replace BEFORE INSERT ON actor
WHEN EXISTS (SELECT 1 FROM actor WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'actor is append-only'); END;

CREATE TRIGGER site_version_no_update BEFORE UPDATE ON site_version
BEGIN SELECT RAISE(ABORT, 'site_version is append-only'); END;
CREATE TRIGGER site_version_no_delete BEFORE DELETE ON site_version
BEGIN SELECT RAISE(ABORT, 'site_version is append-only'); END;
CREATE TRIGGER site_version_no_replace BEFORE INSERT ON site_version
WHEN EXISTS (SELECT 1 FROM site_version WHERE version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'site_version is append-only'); END;

CREATE TRIGGER water_no_update BEFORE UPDATE ON water
BEGIN SELECT RAISE(ABORT, 'water is append-only'); END;
CREATE TRIGGER water_no_delete BEFORE DELETE ON water
BEGIN SELECT RAISE(ABORT, 'water is append-only'); END;
CREATE TRIGGER water_no_replace BEFORE INSERT ON water
WHEN EXISTS (SELECT 1 FROM water WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'water is append-only'); END;

CREATE TRIGGER water_version_no_update BEFORE UPDATE ON water_version
BEGIN SELECT RAISE(ABORT, 'water_version is append-only'); END;
CREATE TRIGGER water_version_no_delete BEFORE DELETE ON water_version
BEGIN SELECT RAISE(ABORT, 'water_version is append-only'); END;
CREATE TRIGGER water_version_no_replace BEFORE INSERT ON water_version
WHEN EXISTS (SELECT 1 FROM water_version WHERE
    water_id = NEW.water_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'water_version is append-only'); END;

CREATE TRIGGER heater_no_update BEFORE UPDATE ON heater
BEGIN SELECT RAISE(ABORT, 'heater is append-only'); END;
CREATE TRIGGER heater_no_delete BEFORE DELETE ON heater
BEGIN SELECT RAISE(ABORT, 'heater is append-only'); END;
CREATE TRIGGER heater_no_replace BEFORE INSERT ON heater
WHEN EXISTS (SELECT 1 FROM heater WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'heater is append-only'); END;

CREATE TRIGGER heater_version_no_update BEFORE UPDATE ON heater_version
BEGIN SELECT RAISE(ABORT, 'heater_version is append-only'); END;
CREATE TRIGGER heater_version_no_delete BEFORE DELETE ON heater_version
BEGIN SELECT RAISE(ABORT, 'heater_version is append-only'); END;
CREATE TRIGGER heater_version_no_replace BEFORE INSERT ON heater_version
WHEN EXISTS (SELECT 1 FROM heater_version WHERE
    heater_id = NEW.heater_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'heater_version is append-only'); END;

CREATE TRIGGER heater_water_no_update BEFORE UPDATE ON heater_water
BEGIN SELECT RAISE(ABORT, 'heater_water is append-only'); END;
CREATE TRIGGER heater_water_no_delete BEFORE DELETE ON heater_water
BEGIN SELECT RAISE(ABORT, 'heater_water is append-only'); END;
CREATE TRIGGER heater_water_no_replace BEFORE INSERT ON heater_water
WHEN EXISTS (SELECT 1 FROM heater_water WHERE
    heater_id = NEW.heater_id AND version = NEW.version AND position = NEW.position)
BEGIN SELECT RAISE(ABORT, 'heater_water is append-only'); END;

CREATE TRIGGER heater_limit_no_update BEFORE UPDATE ON heater_limit
BEGIN SELECT RAISE(ABORT, 'heater_limit is append-only'); END;
CREATE TRIGGER heater_limit_no_delete BEFORE DELETE ON heater_limit
BEGIN SELECT RAISE(ABORT, 'heater_limit is append-only'); END;
CREATE TRIGGER heater_limit_no_replace BEFORE INSERT ON heater_limit
WHEN EXISTS (SELECT 1 FROM heater_limit WHERE
    heater_id = NEW.heater_id AND version = NEW.version AND name = NEW.name)
BEGIN SELECT RAISE(ABORT, 'heater_limit is append-only'); END;

CREATE TRIGGER batch_no_update BEFORE UPDATE ON batch
BEGIN SELECT RAISE(ABORT, 'batch is append-only'); END;
CREATE TRIGGER batch_no_delete BEFORE DELETE ON batch
BEGIN SELECT RAISE(ABORT, 'batch is append-only'); END;
CREATE TRIGGER batch_no_replace BEFORE INSERT ON batch
WHEN EXISTS (SELECT 1 FROM batch WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'batch is append-only'); END;

CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal
BEGIN SELECT RAISE(ABORT, 'journal is append-only'); END;
CREATE TRIGGER journal_no_delete BEFORE DELETE ON journal
BEGIN SELECT RAISE(ABORT, 'journal is append-only'); END;
CREATE TRIGGER journal_no_replace BEFORE INSERT ON journal
WHEN EXISTS (SELECT 1 FROM journal WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'journal is append-only'); END;

CREATE TRIGGER clock_jump_no_update BEFORE UPDATE ON clock_jump
BEGIN SELECT RAISE(ABORT, 'clock_jump is append-only'); END;
CREATE TRIGGER clock_jump_no_delete BEFORE DELETE ON clock_jump
BEGIN SELECT RAISE(ABORT, 'clock_jump is append-only'); END;
CREATE TRIGGER clock_jump_no_replace BEFORE INSERT ON clock_jump
WHEN EXISTS (SELECT 1 FROM clock_jump WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'clock_jump is append-only'); END;

CREATE TRIGGER clock_confirmation_no_update BEFORE UPDATE ON clock_confirmation
BEGIN SELECT RAISE(ABORT, 'clock_confirmation is append-only'); END;
CREATE TRIGGER clock_confirmation_no_delete BEFORE DELETE ON clock_confirmation
BEGIN SELECT RAISE(ABORT, 'clock_confirmation is append-only'); END;
CREATE TRIGGER clock_confirmation_no_replace BEFORE INSERT ON clock_confirmation
WHEN EXISTS (SELECT 1 FROM clock_confirmation WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'clock_confirmation is append-only'); END;

CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading
BEGIN SELECT RAISE(ABORT, 'reading is append-only'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading
BEGIN SELECT RAISE(ABORT, 'reading is append-only'); END;
CREATE TRIGGER reading_no_replace BEFORE INSERT ON reading
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM reading WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'reading is append-only')
        WHERE EXISTS (SELECT 1 FROM reading WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM reading WHERE supersedes = NEW.supersedes);
END;

CREATE TRIGGER dose_no_update BEFORE UPDATE ON dose
BEGIN SELECT RAISE(ABORT, 'dose is append-only'); END;
CREATE TRIGGER dose_no_delete BEFORE DELETE ON dose
BEGIN SELECT RAISE(ABORT, 'dose is append-only'); END;
CREATE TRIGGER dose_no_replace BEFORE INSERT ON dose
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM dose WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'dose is append-only')
        WHERE EXISTS (SELECT 1 FROM dose WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM dose WHERE supersedes = NEW.supersedes);
END;

CREATE TRIGGER run_no_update BEFORE UPDATE ON run
BEGIN SELECT RAISE(ABORT, 'run is append-only'); END;
CREATE TRIGGER run_no_delete BEFORE DELETE ON run
BEGIN SELECT RAISE(ABORT, 'run is append-only'); END;
CREATE TRIGGER run_no_replace BEFORE INSERT ON run
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM run WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'run is append-only')
        WHERE EXISTS (SELECT 1 FROM run WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM run WHERE supersedes = NEW.supersedes);
END;

CREATE TRIGGER heater_state_no_update BEFORE UPDATE ON heater_state
BEGIN SELECT RAISE(ABORT, 'heater_state is append-only'); END;
CREATE TRIGGER heater_state_no_delete BEFORE DELETE ON heater_state
BEGIN SELECT RAISE(ABORT, 'heater_state is append-only'); END;
CREATE TRIGGER heater_state_no_replace BEFORE INSERT ON heater_state
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM heater_state WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'heater_state is append-only')
        WHERE EXISTS (SELECT 1 FROM heater_state WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM heater_state WHERE supersedes = NEW.supersedes);
END;
