-- Schema 2: what stands in the shed. Versions like those of waters; nothing is ever
-- overwritten, so that it can be told what was there when a dose was planned.

CREATE TABLE shed_item (id INTEGER PRIMARY KEY) STRICT;

-- amount_left: g, or mL of a liquid. strength: percent, as in dose. bought_at and
-- opened_at are instants; NULL: not said. gone: used up or thrown away.
CREATE TABLE shed_item_version (
    item_id INTEGER NOT NULL REFERENCES shed_item (id),
    version INTEGER NOT NULL CHECK (version >= 1),
    at INTEGER NOT NULL CHECK (at BETWEEN 0 AND 253402300799),
    actor_id INTEGER NOT NULL REFERENCES actor (id),
    name TEXT NOT NULL CHECK (length(name) <= 63),
    product INTEGER NOT NULL CHECK (product BETWEEN 1 AND 999),
    strength_e6 INTEGER NOT NULL CHECK (strength_e6 BETWEEN 1 AND 100000000),
    amount_left_e6 INTEGER NOT NULL CHECK (amount_left_e6 >= 0),
    bought_at INTEGER CHECK (bought_at BETWEEN 0 AND 253402300799),
    opened_at INTEGER CHECK (opened_at BETWEEN 0 AND 253402300799),
    gone INTEGER NOT NULL CHECK (gone IN (0, 1)),
    PRIMARY KEY (item_id, version)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER shed_item_no_update BEFORE UPDATE ON shed_item
BEGIN SELECT RAISE(ABORT, 'shed_item is append-only'); END;
CREATE TRIGGER shed_item_no_delete BEFORE DELETE ON shed_item
BEGIN SELECT RAISE(ABORT, 'shed_item is append-only'); END;
CREATE TRIGGER shed_item_no_replace BEFORE INSERT ON shed_item
WHEN EXISTS (SELECT 1 FROM shed_item WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'shed_item is append-only'); END;

CREATE TRIGGER shed_item_version_no_update BEFORE UPDATE ON shed_item_version
BEGIN SELECT RAISE(ABORT, 'shed_item_version is append-only'); END;
CREATE TRIGGER shed_item_version_no_delete BEFORE DELETE ON shed_item_version
BEGIN SELECT RAISE(ABORT, 'shed_item_version is append-only'); END;
CREATE TRIGGER shed_item_version_no_replace BEFORE INSERT ON shed_item_version
WHEN EXISTS (SELECT 1 FROM shed_item_version
             WHERE item_id = NEW.item_id AND version = NEW.version)
BEGIN SELECT RAISE(ABORT, 'shed_item_version is append-only'); END;
