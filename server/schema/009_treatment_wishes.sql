-- Schema 9: what a plan of treatment is made for: wanted ranges and limits of one dose
-- for each water, how the shed measures and where it stands, what is known of the
-- heater's hot surface. Nothing here is ever overwritten.

-- A version holds all that was said; what has no row keeps its default.
CREATE TABLE wanted_version (
    water_id INTEGER NOT NULL REFERENCES water (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    PRIMARY KEY (water_id, version)
) STRICT, WITHOUT ROWID;

-- NULL, NULL: nothing is wanted of this value. Values as in reading, in millionths.
CREATE TABLE wanted_range (
    water_id INTEGER NOT NULL,
    version INTEGER NOT NULL,
    quantity INTEGER NOT NULL CHECK (quantity BETWEEN 0 AND 999),
    low_e6 INTEGER,
    high_e6 INTEGER CHECK (low_e6 <= high_e6),
    CHECK ((low_e6 IS NULL) = (high_e6 IS NULL)),
    PRIMARY KEY (water_id, version, quantity),
    FOREIGN KEY (water_id, version) REFERENCES wanted_version (water_id, version)
) STRICT, WITHOUT ROWID;

-- name: acid, carbonate, bicarbonate, calcium, chlorine, in that order from 0.
CREATE TABLE dose_limit (
    water_id INTEGER NOT NULL,
    version INTEGER NOT NULL,
    name INTEGER NOT NULL CHECK (name BETWEEN 0 AND 99),
    value_e6 INTEGER NOT NULL CHECK (value_e6 > 0),
    PRIMARY KEY (water_id, version, name),
    FOREIGN KEY (water_id, version) REFERENCES wanted_version (water_id, version)
) STRICT, WITHOUT ROWID;

-- NULL: not said. measure: 0 scoop, 1 jug, 2 scale; its size in g or mL of the product.
ALTER TABLE shed_item_version ADD COLUMN stored_temp_c_e6 INTEGER;
ALTER TABLE shed_item_version ADD COLUMN measure INTEGER
    CHECK (measure BETWEEN 0 AND 9);
ALTER TABLE shed_item_version ADD COLUMN measure_size_e6 INTEGER
    CHECK (measure_size_e6 > 0);

-- NULL: not known. Flow is that through the exchanger; film above outlet water.
ALTER TABLE heater_version ADD COLUMN efficiency_percent_e6 INTEGER
    CHECK (efficiency_percent_e6 > 0);
ALTER TABLE heater_version ADD COLUMN flow_m3_per_h_e6 INTEGER
    CHECK (flow_m3_per_h_e6 > 0);
ALTER TABLE heater_version ADD COLUMN film_rise_k_e6 INTEGER
    CHECK (film_rise_k_e6 > 0);

CREATE TRIGGER wanted_version_no_update BEFORE UPDATE ON wanted_version
BEGIN SELECT RAISE(ABORT, 'wanted_version is append-only'); END;
CREATE TRIGGER wanted_version_no_delete BEFORE DELETE ON wanted_version
BEGIN SELECT RAISE(ABORT, 'wanted_version is append-only'); END;
CREATE TRIGGER wanted_version_no_replace BEFORE INSERT ON wanted_version
WHEN EXISTS (SELECT 1 FROM wanted_version
             WHERE water_id = NEW.water_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'wanted_version is append-only'); END;

CREATE TRIGGER wanted_range_no_update BEFORE UPDATE ON wanted_range
BEGIN SELECT RAISE(ABORT, 'wanted_range is append-only'); END;
CREATE TRIGGER wanted_range_no_delete BEFORE DELETE ON wanted_range
BEGIN SELECT RAISE(ABORT, 'wanted_range is append-only'); END;
CREATE TRIGGER wanted_range_no_replace BEFORE INSERT ON wanted_range
WHEN EXISTS (SELECT 1 FROM wanted_range WHERE water_id = NEW.water_id
             AND version = NEW.version AND quantity = NEW.quantity)
BEGIN SELECT RAISE(ABORT, 'wanted_range is append-only'); END;

CREATE TRIGGER dose_limit_no_update BEFORE UPDATE ON dose_limit
BEGIN SELECT RAISE(ABORT, 'dose_limit is append-only'); END;
CREATE TRIGGER dose_limit_no_delete BEFORE DELETE ON dose_limit
BEGIN SELECT RAISE(ABORT, 'dose_limit is append-only'); END;
CREATE TRIGGER dose_limit_no_replace BEFORE INSERT ON dose_limit
WHEN EXISTS (SELECT 1 FROM dose_limit WHERE water_id = NEW.water_id
             AND version = NEW.version AND name = NEW.name)
BEGIN SELECT RAISE(ABORT, 'dose_limit is append-only'); END;
