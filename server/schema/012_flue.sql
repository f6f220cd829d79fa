-- Schema 12: rating plates as versions; flue tests and symptoms as facts.

-- What the heater's plate and its installer say. NULL and '': not known. gas: '' for the
-- plain fuel of the heater, else JSON of the user's own.
CREATE TABLE rating_plate_version (
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    model TEXT NOT NULL CHECK (length(model) <= 63),
    serial TEXT NOT NULL CHECK (length(serial) <= 63),
    installed_by TEXT NOT NULL CHECK (length(installed_by) <= 63),
    installed_day INTEGER,
    manifold_pa_e6 INTEGER CHECK (manifold_pa_e6 > 0),
    condensing INTEGER NOT NULL CHECK (condensing IN (0, 1)),
    cannot_be_sampled INTEGER NOT NULL CHECK (cannot_be_sampled IN (0, 1)),
    gas TEXT NOT NULL CHECK (length(gas) <= 1000),
    PRIMARY KEY (heater_id, version)
) STRICT, WITHOUT ROWID;

-- sampled 0: the unit was cared for without numbers, which are then all NULL.
-- well_sampled: before the draught hood, at steady state. found_safe: the tester's word,
-- NULL when not said. u_…: the instrument's accuracy, NULL when not said.
CREATE TABLE flue_test (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES flue_test (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    technician INTEGER NOT NULL CHECK (technician IN (0, 1)),
    done_by TEXT NOT NULL CHECK (length(done_by) <= 63),
    instrument TEXT NOT NULL CHECK (length(instrument) <= 63),
    sampled INTEGER NOT NULL CHECK (sampled IN (0, 1)),
    well_sampled INTEGER NOT NULL CHECK (well_sampled IN (0, 1)),
    soot_seen INTEGER NOT NULL CHECK (soot_seen IN (0, 1)),
    rollout_seen INTEGER NOT NULL CHECK (rollout_seen IN (0, 1)),
    found_safe INTEGER CHECK (found_safe IN (0, 1)),
    o2_percent_e6 INTEGER CHECK (o2_percent_e6 BETWEEN 0 AND 20899999),
    co_ppm_e6 INTEGER CHECK (co_ppm_e6 BETWEEN 0 AND 100000000000),
    flue_temp_c_e6 INTEGER CHECK (flue_temp_c_e6 BETWEEN -40000000 AND 1000000000),
    air_temp_c_e6 INTEGER CHECK (air_temp_c_e6 BETWEEN -40000000 AND 60000000),
    air_humidity_percent_e6 INTEGER
        CHECK (air_humidity_percent_e6 BETWEEN 0 AND 100000000),
    draught_pa_e6 INTEGER CHECK (draught_pa_e6 BETWEEN -500000000 AND 500000000),
    manifold_pa_e6 INTEGER CHECK (manifold_pa_e6 BETWEEN 0 AND 100000000000),
    u_o2_percent_e6 INTEGER CHECK (u_o2_percent_e6 >= 0),
    u_co_ppm_e6 INTEGER CHECK (u_co_ppm_e6 >= 0),
    u_co_fraction_e6 INTEGER CHECK (u_co_fraction_e6 >= 0),
    u_flue_temp_k_e6 INTEGER CHECK (u_flue_temp_k_e6 >= 0),
    u_air_temp_k_e6 INTEGER CHECK (u_air_temp_k_e6 >= 0),
    CHECK (sampled = (o2_percent_e6 IS NOT NULL)),
    CHECK ((o2_percent_e6 IS NULL) = (co_ppm_e6 IS NULL)),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX flue_test_in_time ON flue_test (heater_id, measured_at);
CREATE INDEX flue_test_superseded ON flue_test (supersedes)
    WHERE supersedes IS NOT NULL;

-- kind: 0 gas smell, 1 flame roll-out, 2 soot, 3 yellow flame, 4 knocking or boiling
-- noise, 5 ignition that fails, 6 limit trips, 7 dripping, 8 another smell,
-- 9 blue-green stains.
CREATE TABLE symptom (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES symptom (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    kind INTEGER NOT NULL CHECK (kind BETWEEN 0 AND 9),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX symptom_in_time ON symptom (heater_id, measured_at);
CREATE INDEX symptom_superseded ON symptom (supersedes)
    WHERE supersedes IS NOT NULL;

CREATE TRIGGER rating_plate_version_no_update BEFORE UPDATE ON rating_plate_version
BEGIN SELECT RAISE(ABORT, 'rating_plate_version is append-only'); END;
CREATE TRIGGER rating_plate_version_no_delete BEFORE DELETE ON rating_plate_version
BEGIN SELECT RAISE(ABORT, 'rating_plate_version is append-only'); END;
CREATE TRIGGER rating_plate_version_no_replace BEFORE INSERT ON rating_plate_version
WHEN EXISTS (SELECT 1 FROM rating_plate_version
             WHERE heater_id = NEW.heater_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'rating_plate_version is append-only'); END;

CREATE TRIGGER flue_test_no_update BEFORE UPDATE ON flue_test
BEGIN SELECT RAISE(ABORT, 'flue_test is append-only'); END;
CREATE TRIGGER flue_test_no_delete BEFORE DELETE ON flue_test
BEGIN SELECT RAISE(ABORT, 'flue_test is append-only'); END;
CREATE TRIGGER flue_test_no_replace BEFORE INSERT ON flue_test
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM flue_test WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'flue_test is append-only')
        WHERE EXISTS (SELECT 1 FROM flue_test WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM flue_test WHERE supersedes = NEW.supersedes);
END;

CREATE TRIGGER symptom_no_update BEFORE UPDATE ON symptom
BEGIN SELECT RAISE(ABORT, 'symptom is append-only'); END;
CREATE TRIGGER symptom_no_delete BEFORE DELETE ON symptom
BEGIN SELECT RAISE(ABORT, 'symptom is append-only'); END;
CREATE TRIGGER symptom_no_replace BEFORE INSERT ON symptom
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM symptom WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'symptom is append-only')
        WHERE EXISTS (SELECT 1 FROM symptom WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM symptom WHERE supersedes = NEW.supersedes);
END;
