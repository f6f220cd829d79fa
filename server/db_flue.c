/* Rating plates, flue tests, symptoms. And what of them stops the burner. */
#include "db_flue.h"

#include <string.h>

#include "db_private.h"
#include "lib/combustion.h"

/* ---- plates ---- */

#define PLATE_COLUMNS                                                                  \
    "heater_id, version, at, actor_id, model, serial, installed_by, installed_day,"    \
    " manifold_pa_e6, condensing, cannot_be_sampled, gas"

static void read_plate(sqlite3_stmt *stmt, struct db_plate *out)
{
    out->version = sqlite3_column_int64(stmt, 1);
    out->at = sqlite3_column_int64(stmt, 2);
    out->actor_id = sqlite3_column_int64(stmt, 3);
    db_read_text(stmt, 4, out->model, sizeof out->model);
    db_read_text(stmt, 5, out->serial, sizeof out->serial);
    db_read_text(stmt, 6, out->installed_by, sizeof out->installed_by);
    out->has_installed_day = sqlite3_column_type(stmt, 7) != SQLITE_NULL;
    out->installed_day = sqlite3_column_int(stmt, 7);
    out->manifold_pa_e6 = sqlite3_column_int64(stmt, 8); /* NULL reads as 0 */
    out->condensing = sqlite3_column_int(stmt, 9) != 0;
    out->cannot_be_sampled = sqlite3_column_int(stmt, 10) != 0;
    db_read_text(stmt, 11, out->gas, sizeof out->gas);
}

enum db_status db_plate_get_at(struct db *db, int64_t heater_id, int64_t at,
                               struct db_plate *out)
{
    struct db_heater heater;
    enum db_status status = db_heater_get(db, heater_id, &heater);
    sqlite3_stmt *stmt;

    if (status != DB_OK)
        return status;
    memset(out, 0, sizeof *out);
    out->heater_id = heater_id;
    stmt = db_prepare(db, "SELECT " PLATE_COLUMNS " FROM rating_plate_version"
                          " WHERE heater_id = ?1 ORDER BY at > ?2,"
                          " CASE WHEN at > ?2 THEN version ELSE -version END LIMIT 1");
    db_bind(stmt, 1, heater_id, at);
    if (db_step_row(db, stmt, &status))
        read_plate(stmt, out);
    db_done(stmt);
    return status;
}

enum db_status db_plate_get(struct db *db, int64_t heater_id, struct db_plate *out)
{
    return db_plate_get_at(db, heater_id, INT64_MAX, out);
}

static enum db_status insert_plate(struct db *db, const struct db_plate *plate)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO rating_plate_version (" PLATE_COLUMNS ") VALUES"
                       " (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, plate->heater_id, plate->version + 1, plate->at, plate->actor_id);
    db_bind_text(stmt, 5, plate->model);
    db_bind_text(stmt, 6, plate->serial);
    db_bind_text(stmt, 7, plate->installed_by);
    if (plate->has_installed_day)
        db_bind(stmt, 8, plate->installed_day); /* unbound: NULL */
    db_bind_id(stmt, 9, plate->manifold_pa_e6);
    db_bind(stmt, 10, plate->condensing, plate->cannot_be_sampled);
    db_bind_text(stmt, 12, plate->gas);
    return db_run_once(db, stmt);
}

enum db_status db_plate_put(struct db *db, struct db_plate *plate)
{
    struct db_scope scope;
    struct db_plate newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_plate_get(db, plate->heater_id, &newest);
    if (status == DB_OK && newest.version != plate->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_plate(db, plate);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        plate->version++;
    return status;
}

/* ---- flue tests ---- */

#define TEST_FIRST_VALUE 9

static void bind_test(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_flue_test *test = record;

    db_bind(stmt, first, test->heater_id, test->technician);
    db_bind_text(stmt, first + 2, test->done_by);
    db_bind_text(stmt, first + 3, test->instrument);
    db_bind(stmt, first + 4, test->sampled, test->well_sampled, test->soot_seen,
            test->rollout_seen);
    if (test->found_safe != DB_FOUND_UNSAID)
        db_bind(stmt, first + 8, test->found_safe);
    for (int i = 0; i < DB_FLUE_VALUE_COUNT; i++)
        if (test->values[i].is_known)
            db_bind(stmt, first + TEST_FIRST_VALUE + i, test->values[i].value_e6);
}

static void read_test(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_flue_test *test = record;

    test->heater_id = sqlite3_column_int64(stmt, first);
    test->technician = sqlite3_column_int(stmt, first + 1) != 0;
    db_read_text(stmt, first + 2, test->done_by, sizeof test->done_by);
    db_read_text(stmt, first + 3, test->instrument, sizeof test->instrument);
    test->sampled = sqlite3_column_int(stmt, first + 4) != 0;
    test->well_sampled = sqlite3_column_int(stmt, first + 5) != 0;
    test->soot_seen = sqlite3_column_int(stmt, first + 6) != 0;
    test->rollout_seen = sqlite3_column_int(stmt, first + 7) != 0;
    test->found_safe = sqlite3_column_type(stmt, first + 8) == SQLITE_NULL
                           ? DB_FOUND_UNSAID
                           : (enum db_found)sqlite3_column_int(stmt, first + 8);
    for (int i = 0; i < DB_FLUE_VALUE_COUNT; i++) {
        int column = first + TEST_FIRST_VALUE + i;

        test->values[i].is_known = sqlite3_column_type(stmt, column) != SQLITE_NULL;
        test->values[i].value_e6 = sqlite3_column_int64(stmt, column);
    }
}

const struct fact_table db_flue_test_table = {
    .name = "flue_test",
    .subject = "heater_id",
    .columns = "heater_id, technician, done_by, instrument, sampled, well_sampled,"
               " soot_seen, rollout_seen, found_safe, o2_percent_e6, co_ppm_e6,"
               " flue_temp_c_e6, air_temp_c_e6, air_humidity_percent_e6,"
               " draught_pa_e6, manifold_pa_e6, u_o2_percent_e6, u_co_ppm_e6,"
               " u_co_fraction_e6, u_flue_temp_k_e6, u_air_temp_k_e6",
    .column_count = TEST_FIRST_VALUE + DB_FLUE_VALUE_COUNT,
    .record_size = sizeof(struct db_flue_test),
    .bind = bind_test,
    .read = read_test,
};

enum db_status db_flue_test_add(struct db *db, struct db_flue_test *test)
{
    return db_fact_add(db, &db_flue_test_table, test);
}

enum db_status db_flue_test_get(struct db *db, int64_t id, struct db_flue_test *out)
{
    return db_fact_get(db, &db_flue_test_table, id, out);
}

enum db_status db_flue_test_list(struct db *db, const struct db_window *window,
                                 struct db_flue_test *out, size_t *out_count)
{
    return db_fact_list(db, &db_flue_test_table, window, out, out_count);
}

/* ---- symptoms ---- */

static void bind_symptom(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_symptom *symptom = record;

    db_bind(stmt, first, symptom->heater_id, symptom->kind);
}

static void read_symptom(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_symptom *symptom = record;

    symptom->heater_id = sqlite3_column_int64(stmt, first);
    symptom->kind = (enum db_symptom_kind)sqlite3_column_int(stmt, first + 1);
}

const struct fact_table db_symptom_table = {
    .name = "symptom",
    .subject = "heater_id",
    .columns = "heater_id, kind",
    .column_count = 2,
    .record_size = sizeof(struct db_symptom),
    .bind = bind_symptom,
    .read = read_symptom,
};

enum db_status db_symptom_add(struct db *db, struct db_symptom *symptom)
{
    return db_fact_add(db, &db_symptom_table, symptom);
}

enum db_status db_symptom_get(struct db *db, int64_t id, struct db_symptom *out)
{
    return db_fact_get(db, &db_symptom_table, id, out);
}

enum db_status db_symptom_list(struct db *db, const struct db_window *window,
                               struct db_symptom *out, size_t *out_count)
{
    return db_fact_list(db, &db_symptom_table, window, out, out_count);
}

/* ---- what stops the burner ---- */

/* Air-free carbon monoxide above the limit, in millionths: CO 20.9/(20.9 - O2). */
#define CO_IS_HIGH "f.co_ppm_e6 * 20.9 > 400.0 * (20900000 - f.o2_percent_e6)"
/* ?1 heater, ?2 known at, ?3 at */
#define OF_THEN                                                                        \
    " f.heater_id = ?1 AND f.measured_at <= ?3 AND f.recorded_at <= ?2 AND"

/* A technician's own test says that it may fire: sampled well and low in CO, or, where
 * nothing can be sampled, by plain word. */
#define CLEARS                                                                         \
    "f.technician = 1 AND f.soot_seen = 0 AND f.rollout_seen = 0"                      \
    " AND coalesce(f.found_safe, 1) = 1 AND (f.found_safe = 1 OR f.sampled = 1)"       \
    " AND (f.sampled = 0 OR (f.well_sampled = 1 AND NOT (" CO_IS_HIGH ")))"

struct alarms {
    int64_t clear, co, soot, rollout, gas, gas_clear;
};

static void later(int64_t *at, sqlite3_stmt *stmt, int column)
{
    int64_t found = sqlite3_column_int64(stmt, column); /* NULL reads as 0 */

    if (found > *at)
        *at = found;
}

static enum db_status of_tests(struct db *db, int64_t heater_id, struct db_asof asof,
                               struct alarms *out)
{
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        "SELECT max(CASE WHEN " CLEARS " THEN f.measured_at END),"
        " max(CASE WHEN " CO_IS_HIGH " THEN f.measured_at END),"
        " max(CASE WHEN f.soot_seen THEN f.measured_at END),"
        " max(CASE WHEN f.rollout_seen THEN f.measured_at END)"
        " FROM flue_test f WHERE" OF_THEN FACT_CURRENT,
        "flue_test");
    enum db_status status;

    db_bind(stmt, 1, heater_id, asof.known_at, asof.at);
    if (db_step_row(db, stmt, &status)) {
        later(&out->clear, stmt, 0);
        later(&out->co, stmt, 1);
        later(&out->soot, stmt, 2);
        later(&out->rollout, stmt, 3);
    }
    db_done(stmt);
    return status;
}

static enum db_status of_symptoms(struct db *db, int64_t heater_id, struct db_asof asof,
                                  struct alarms *out)
{
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        "SELECT max(CASE f.kind WHEN 0 THEN f.measured_at END),"
        " max(CASE f.kind WHEN 1 THEN f.measured_at END),"
        " max(CASE f.kind WHEN 2 THEN f.measured_at END)"
        " FROM symptom f WHERE" OF_THEN FACT_CURRENT,
        "symptom");
    enum db_status status;

    db_bind(stmt, 1, heater_id, asof.known_at, asof.at);
    if (db_step_row(db, stmt, &status)) {
        later(&out->gas, stmt, 0);
        later(&out->rollout, stmt, 1);
        later(&out->soot, stmt, 2);
    }
    db_done(stmt);
    return status;
}

/* Soot that a visit left; and a technician's leak test, after which gas is no more
 * smelled. */
static enum db_status of_visits(struct db *db, int64_t heater_id, struct db_asof asof,
                                struct alarms *out)
{
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        "SELECT max(CASE json_extract(f.checklist, '$.soot.result') WHEN 'bad'"
        " THEN f.measured_at END),"
        " max(CASE WHEN f.technician = 1 AND f.outcome = 0 AND"
        " json_extract(f.checklist, '$.leak_test.result') IN ('good', 'put_right')"
        " THEN f.measured_at END)"
        " FROM care_visit f WHERE" OF_THEN FACT_CURRENT,
        "care_visit");
    enum db_status status;

    db_bind(stmt, 1, heater_id, asof.known_at, asof.at);
    if (db_step_row(db, stmt, &status)) {
        later(&out->soot, stmt, 0);
        later(&out->gas_clear, stmt, 1);
    }
    db_done(stmt);
    return status;
}

/* The air-free CO of the newest test that holds. */
static enum db_status read_co(struct db *db, int64_t heater_id, struct db_asof asof,
                              double *out_ppm)
{
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        "SELECT f.co_ppm_e6 * 20.9 / (20900000 - f.o2_percent_e6) FROM flue_test f"
        " WHERE" OF_THEN FACT_CURRENT " AND " CO_IS_HIGH
        " ORDER BY f.measured_at DESC, f.id DESC LIMIT 1",
        "flue_test");
    enum db_status status;

    db_bind(stmt, 1, heater_id, asof.known_at, asof.at);
    if (db_step_row(db, stmt, &status))
        *out_ppm = sqlite3_column_double(stmt, 0);
    db_done(stmt);
    return status;
}

/* What happened at the same instant as the clearing test is not cleared by it. */
static int64_t still(int64_t at, int64_t cleared_at)
{
    return at != 0 && at >= cleared_at ? at : 0;
}

enum db_status db_flue_alarms(struct db *db, int64_t heater_id, struct db_asof asof,
                              struct coil_permit_facts *out)
{
    struct alarms alarms = {0};
    enum db_status status = of_tests(db, heater_id, asof, &alarms);

    if (status == DB_OK)
        status = of_symptoms(db, heater_id, asof, &alarms);
    if (status == DB_OK)
        status = of_visits(db, heater_id, asof, &alarms);
    if (status != DB_OK)
        return status;
    out->co_high_at_s = still(alarms.co, alarms.clear);
    out->soot_at_s = still(alarms.soot, alarms.clear);
    out->rollout_at_s = still(alarms.rollout, alarms.clear);
    out->gas_smell_at_s =
        still(alarms.gas,
              alarms.clear > alarms.gas_clear ? alarms.clear : alarms.gas_clear);
    return out->co_high_at_s == 0
               ? DB_OK
               : read_co(db, heater_id, asof, &out->co_air_free_ppm);
}
