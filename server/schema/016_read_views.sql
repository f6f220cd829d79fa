-- Schema 16: what other tools may read, in docs/using-the-api.md. The tables may change
-- from schema to schema; these views keep their names and columns. A fact stands as it was
-- last corrected; one that was withdrawn is left out. Times are seconds since 1970.

CREATE VIEW read_water AS
    SELECT w.water_id AS water, w.name,
        CASE w.is_spa WHEN 1 THEN 'spa' ELSE 'pool' END AS kind,
        nullif(w.volume_m3_e6, 0) / 1e6 AS volume_m3
    FROM water_version w
    WHERE w.version =
        (SELECT max(v.version) FROM water_version v WHERE v.water_id = w.water_id);

CREATE VIEW read_reading AS
    SELECT r.id, r.water_id AS water, r.measured_at AS at, a.name AS by,
        CASE r.method WHEN 1 THEN 'strip' WHEN 2 THEN 'drop_count' WHEN 3 THEN 'comparator'
            WHEN 4 THEN 'photometer' WHEN 5 THEN 'probe' WHEN 6 THEN 'laboratory'
            ELSE 'unknown' END AS method,
        r.ph_e6 / 1e6 AS ph,
        r.free_chlorine_mg_per_l_e6 / 1e6 AS free_chlorine_mg_per_l,
        r.combined_chlorine_mg_per_l_e6 / 1e6 AS combined_chlorine_mg_per_l,
        r.total_chlorine_mg_per_l_e6 / 1e6 AS total_chlorine_mg_per_l,
        r.bromine_mg_per_l_e6 / 1e6 AS bromine_mg_per_l,
        r.total_alkalinity_mg_per_l_caco3_e6 / 1e6 AS total_alkalinity_mg_per_l_caco3,
        r.calcium_hardness_mg_per_l_caco3_e6 / 1e6 AS calcium_hardness_mg_per_l_caco3,
        r.cyanuric_acid_mg_per_l_e6 / 1e6 AS cyanuric_acid_mg_per_l,
        r.borate_mg_per_l_b_e6 / 1e6 AS borate_mg_per_l_b,
        r.salt_mg_per_l_nacl_e6 / 1e6 AS salt_mg_per_l_nacl,
        r.tds_mg_per_l_e6 / 1e6 AS tds_mg_per_l,
        r.copper_mg_per_l_e6 / 1e6 AS copper_mg_per_l,
        r.iron_mg_per_l_e6 / 1e6 AS iron_mg_per_l,
        r.sulfate_mg_per_l_e6 / 1e6 AS sulfate_mg_per_l,
        r.phosphate_mg_per_l_e6 / 1e6 AS phosphate_mg_per_l,
        r.magnesium_mg_per_l_e6 / 1e6 AS magnesium_mg_per_l,
        r.water_temp_c_e6 / 1e6 AS water_temp_c,
        r.orp_mv_e6 / 1e6 AS orp_mv,
        r.note
    FROM reading r JOIN actor a ON a.id = r.actor_id
    WHERE r.withdrawn = 0
        AND NOT EXISTS (SELECT 1 FROM reading later WHERE later.supersedes = r.id);

CREATE VIEW read_run AS
    SELECT r.id, r.water_id AS water, r.heater_id AS heater,
        CASE r.machine WHEN 0 THEN 'pump' ELSE 'burner' END AS machine,
        r.measured_at AS from_at, r.ended_at AS until_at
    FROM run r
    WHERE r.withdrawn = 0
        AND NOT EXISTS (SELECT 1 FROM run later WHERE later.supersedes = r.id);

CREATE VIEW read_heater_state AS
    SELECT s.id, s.heater_id AS heater, s.measured_at AS at,
        CASE s.state WHEN 0 THEN 'in_line' WHEN 1 THEN 'off_line_flushed'
            WHEN 2 THEN 'off_line_standing' ELSE 'drained' END AS state
    FROM heater_state s
    WHERE s.withdrawn = 0
        AND NOT EXISTS (SELECT 1 FROM heater_state later WHERE later.supersedes = s.id);
