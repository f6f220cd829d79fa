-- Schema 10: how many faults of a line harm when something else happens (the pump stops, a
-- valve is shut), and which is first: a caution of the permit. A line stored before has
-- none on record until it is stored again.

ALTER TABLE line_version
    ADD COLUMN risks INTEGER NOT NULL DEFAULT 0 CHECK (risks BETWEEN 0 AND 1000000);
ALTER TABLE line_version
    ADD COLUMN first_risk INTEGER NOT NULL DEFAULT 0 CHECK (first_risk >= 0);
