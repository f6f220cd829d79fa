-- Schema 15: what keeps the sun off a water. Percent of the light (shade) and of the sky
-- (cloud), as usual there; 0: none, or not said. cover_use: 0 not said, 1 at night,
-- 2 by day, too.

ALTER TABLE water_version ADD COLUMN shade_percent INTEGER NOT NULL DEFAULT 0
    CHECK (shade_percent BETWEEN 0 AND 100);
ALTER TABLE water_version ADD COLUMN cloud_percent INTEGER NOT NULL DEFAULT 0
    CHECK (cloud_percent BETWEEN 0 AND 100);
ALTER TABLE water_version ADD COLUMN cover_use INTEGER NOT NULL DEFAULT 0
    CHECK (cover_use BETWEEN 0 AND 2);
