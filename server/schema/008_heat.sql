-- Schema 8: what fuel costs, warm-ups, new meters and thermometers, metal in the fill
-- water. Amounts ending in _e6 are millionths of the unit; NULL: not known.

-- unit: 0 therm, 1 m3 and 2 ft3 of gas, 3 kWh, 4 US gallon and 5 litre of propane.
-- mj_per_unit 0: the usual heat of that unit.
CREATE TABLE tariff_version (
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    unit INTEGER NOT NULL CHECK (unit BETWEEN 0 AND 5),
    price_e6 INTEGER NOT NULL CHECK (price_e6 BETWEEN 0 AND 1000000000000),
    mj_per_unit_e6 INTEGER NOT NULL CHECK (mj_per_unit_e6 BETWEEN 0 AND 1000000000),
    currency TEXT NOT NULL CHECK (length(currency) <= 8),
    PRIMARY KEY (heater_id, version)
) STRICT, WITHOUT ROWID;

-- measured_at is the start. source: 0 meter, 1 burner hours. cover: 0 none, 1 bubble,
-- 2 solid.
CREATE TABLE warm_up (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES warm_up (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    water_id INTEGER NOT NULL REFERENCES water (id),
    ended_at INTEGER NOT NULL CHECK (ended_at BETWEEN 1 AND 253402300799),
    start_temp_e6 INTEGER NOT NULL CHECK (start_temp_e6 BETWEEN 0 AND 50000000),
    end_temp_e6 INTEGER NOT NULL CHECK (end_temp_e6 BETWEEN 0 AND 50000000),
    source INTEGER NOT NULL CHECK (source IN (0, 1)),
    unit INTEGER NOT NULL CHECK (unit BETWEEN 0 AND 5),
    meter_start_e6 INTEGER CHECK (meter_start_e6 >= 0),
    meter_end_e6 INTEGER CHECK (meter_end_e6 >= 0),
    meter_step_e6 INTEGER CHECK (meter_step_e6 >= 0),
    mj_per_unit_e6 INTEGER CHECK (mj_per_unit_e6 > 0),
    shared_percent_e6 INTEGER NOT NULL
        CHECK (shared_percent_e6 BETWEEN 0 AND 90000000),
    burner_h_e6 INTEGER CHECK (burner_h_e6 > 0),
    is_shared INTEGER NOT NULL CHECK (is_shared IN (0, 1)),
    probe_in_sun INTEGER NOT NULL CHECK (probe_in_sun IN (0, 1)),
    is_condensing INTEGER NOT NULL CHECK (is_condensing IN (0, 1)),
    cover INTEGER NOT NULL CHECK (cover BETWEEN 0 AND 2),
    air_temp_e6 INTEGER CHECK (air_temp_e6 BETWEEN -40000000 AND 60000000),
    humidity_percent_e6 INTEGER CHECK (humidity_percent_e6 BETWEEN 0 AND 100000000),
    wind_e6 INTEGER CHECK (wind_e6 BETWEEN 0 AND 30000000),
    cloud_percent_e6 INTEGER CHECK (cloud_percent_e6 BETWEEN 0 AND 100000000),
    CHECK (ended_at > measured_at),
    CHECK ((source = 0) = (meter_start_e6 IS NOT NULL)),
    CHECK ((source = 0) = (meter_end_e6 IS NOT NULL)),
    CHECK ((source = 1) = (burner_h_e6 IS NOT NULL)),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX warm_up_in_time ON warm_up (heater_id, measured_at);
CREATE INDEX warm_up_superseded ON warm_up (supersedes) WHERE supersedes IS NOT NULL;

-- From that instant on another one measures. what: 0 meter, 1 thermometer.
CREATE TABLE meter_change (
    id INTEGER PRIMARY KEY,
    measured_at INTEGER NOT NULL CHECK (measured_at BETWEEN 0 AND 253402300799),
    recorded_at INTEGER NOT NULL CHECK (recorded_at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    batch_id INTEGER REFERENCES batch (id),
    supersedes INTEGER REFERENCES meter_change (id),
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    note TEXT NOT NULL CHECK (length(note) <= 511),
    reason TEXT NOT NULL CHECK (length(reason) <= 511),
    heater_id INTEGER NOT NULL REFERENCES heater (id),
    what INTEGER NOT NULL CHECK (what IN (0, 1)),
    CHECK (withdrawn = 0 OR supersedes IS NOT NULL)
) STRICT;
CREATE INDEX meter_change_in_time ON meter_change (heater_id, measured_at);
CREATE INDEX meter_change_superseded ON meter_change (supersedes)
    WHERE supersedes IS NOT NULL;

ALTER TABLE fill_water_version ADD COLUMN copper_e6 INTEGER CHECK (copper_e6 >= 0);
ALTER TABLE fill_water_version ADD COLUMN iron_e6 INTEGER CHECK (iron_e6 >= 0);

CREATE TRIGGER tariff_version_no_update BEFORE UPDATE ON tariff_version
BEGIN SELECT RAISE(ABORT, 'tariff_version is append-only'); END;
CREATE TRIGGER tariff_version_no_delete BEFORE DELETE ON tariff_version
BEGIN SELECT RAISE(ABORT, 'tariff_version is append-only'); END;
CREATE TRIGGER tariff_version_no_replace BEFORE INSERT ON tariff_version
WHEN EXISTS (SELECT 1 FROM tariff_version
             WHERE heater_id = NEW.heater_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'tariff_version is append-only'); END;

CREATE TRIGGER warm_up_no_update BEFORE UPDATE ON warm_up
BEGIN SELECT RAISE(ABORT, 'warm_up is append-only'); END;
CREATE TRIGGER warm_up_no_delete BEFORE DELETE ON warm_up
BEGIN SELECT RAISE(ABORT, 'warm_up is append-only'); END;
CREATE TRIGGER warm_up_no_replace BEFORE INSERT ON warm_up
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM warm_up WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'warm_up is append-only')
        WHERE EXISTS (SELECT 1 FROM warm_up WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM warm_up WHERE supersedes = NEW.supersedes);
END;

CREATE TRIGGER meter_change_no_update BEFORE UPDATE ON meter_change
BEGIN SELECT RAISE(ABORT, 'meter_change is append-only'); END;
CREATE TRIGGER meter_change_no_delete BEFORE DELETE ON meter_change
BEGIN SELECT RAISE(ABORT, 'meter_change is append-only'); END;
CREATE TRIGGER meter_change_no_replace BEFORE INSERT ON meter_change
WHEN NEW.supersedes IS NOT NULL OR EXISTS (SELECT 1 FROM meter_change WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'meter_change is append-only')
        WHERE EXISTS (SELECT 1 FROM meter_change WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'superseded already')
        WHERE EXISTS (SELECT 1 FROM meter_change WHERE supersedes = NEW.supersedes);
END;
