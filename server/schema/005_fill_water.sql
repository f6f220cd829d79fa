-- Schema 5: the fill water's own values for each water, as versions. NULL: not known.
-- A version of nulls only says: forgotten. Values as in reading, in millionths.

CREATE TABLE fill_water_version (
    water_id INTEGER NOT NULL REFERENCES water (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    ph_e6 INTEGER,
    total_alkalinity_e6 INTEGER,
    calcium_hardness_e6 INTEGER CHECK (calcium_hardness_e6 >= 0),
    cyanuric_acid_e6 INTEGER CHECK (cyanuric_acid_e6 >= 0),
    free_chlorine_e6 INTEGER CHECK (free_chlorine_e6 >= 0),
    salt_e6 INTEGER CHECK (salt_e6 >= 0),
    borate_e6 INTEGER CHECK (borate_e6 >= 0),
    water_temp_e6 INTEGER,
    CHECK ((ph_e6 IS NULL) = (total_alkalinity_e6 IS NULL)),
    PRIMARY KEY (water_id, version)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER fill_water_version_no_update BEFORE UPDATE ON fill_water_version
BEGIN SELECT RAISE(ABORT, 'fill_water_version is append-only'); END;
CREATE TRIGGER fill_water_version_no_delete BEFORE DELETE ON fill_water_version
BEGIN SELECT RAISE(ABORT, 'fill_water_version is append-only'); END;
CREATE TRIGGER fill_water_version_no_replace BEFORE INSERT ON fill_water_version
WHEN EXISTS (SELECT 1 FROM fill_water_version
             WHERE water_id = NEW.water_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'fill_water_version is append-only'); END;
