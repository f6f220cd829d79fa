/* Heaters, the waters they serve and their limits: every change is a new version. */
#include <math.h>
#include <string.h>

#include "db_care.h"
#include "db_private.h"

#define HEATER_COLUMNS                                                                 \
    "heater_id, version, at, actor_id, name, fuel, metal, bypass,"                     \
    " bypass_usual_percent, input_w_e6, efficiency_percent_e6, flow_m3_per_h_e6,"      \
    " film_rise_k_e6"

/* ---- writing ---- */

static enum db_status insert_heater(struct db *db, const struct db_heater *heater)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO heater_version (" HEATER_COLUMNS ") VALUES"
                       " (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, heater->id, heater->version, heater->at, heater->actor_id);
    db_bind_text(stmt, 5, heater->name);
    db_bind(stmt, 6, heater->fuel, heater->metal, heater->bypass,
            heater->bypass_usual_percent, heater->input_w_e6);
    db_bind_id(stmt, 11, heater->efficiency_percent_e6); /* 0: NULL */
    db_bind_id(stmt, 12, heater->flow_m3_per_h_e6);
    db_bind_id(stmt, 13, heater->film_rise_k_e6);
    return db_run_once(db, stmt);
}

static enum db_status insert_waters(struct db *db, const struct db_heater *heater)
{
    enum db_status status = DB_OK;

    for (size_t i = 0; i < heater->water_count && status == DB_OK; i++) {
        sqlite3_stmt *stmt =
            db_prepare(db, "INSERT INTO heater_water (heater_id, version, position,"
                           " water_id) VALUES (?, ?, ?, ?)");

        db_bind(stmt, 1, heater->id, heater->version, (int64_t)i, heater->water_ids[i]);
        status = db_run_once(db, stmt);
    }
    return status;
}

/* Far beyond any limit, and small enough for millionths in 64 bits; not for NaN. */
static bool can_be_kept(double value)
{
    return value >= -1e9 && value <= 1e9;
}

static enum db_status insert_limits(struct db *db, const struct db_heater *heater)
{
    enum db_status status = DB_OK;

    for (int i = 0; i < COIL_LIMIT_COUNT && status == DB_OK; i++) {
        const struct coil_limit *limit = &heater->limits[i];
        sqlite3_stmt *stmt;

        if (!limit->is_set)
            continue;
        if (!can_be_kept(limit->value))
            return DB_FAILED;
        stmt = db_prepare(db, "INSERT INTO heater_limit (heater_id, version, name,"
                              " value_e6, source) VALUES (?, ?, ?, ?, ?)");
        db_bind(stmt, 1, heater->id, heater->version, i,
                (int64_t)llround(limit->value * 1e6),
                limit->source == COIL_PUBLISHED ? COIL_COMMON_PRACTICE : limit->source);
        status = db_run_once(db, stmt);
    }
    return status;
}

static enum db_status insert_version(struct db *db, const struct db_heater *heater)
{
    enum db_status status = DB_FAILED;

    if (heater->water_count >= 1 && heater->water_count <= DB_HEATER_WATERS_MAX)
        status = insert_heater(db, heater);
    if (status == DB_OK)
        status = insert_waters(db, heater);
    return status == DB_OK ? insert_limits(db, heater) : status;
}

enum db_status db_heater_add(struct db *db, struct db_heater *heater)
{
    struct db_scope scope;
    struct db_heater made = *heater;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_exec(db, "INSERT INTO heater DEFAULT VALUES");
    made.id = sqlite3_last_insert_rowid(db->handle);
    made.version = 1;
    if (status == DB_OK)
        status = insert_version(db, &made);
    if (status == DB_OK)
        status = db_care_cleaning_add(db, made.id, made.at, made.actor_id);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        *heater = made;
    return status;
}

enum db_status db_heater_put(struct db *db, struct db_heater *heater)
{
    struct db_scope scope;
    struct db_heater newest, made = *heater;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_heater_get(db, heater->id, &newest);
    if (status == DB_OK && newest.version != heater->version)
        status = DB_CONFLICT;
    made.version++;
    if (status == DB_OK)
        status = insert_version(db, &made);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        heater->version = made.version;
    return status;
}

/* ---- reading ---- */

static enum db_status read_waters(struct db *db, struct db_heater *out)
{
    sqlite3_stmt *stmt = db_prepare(db, "SELECT water_id FROM heater_water WHERE"
                                        " heater_id = ?1 AND version = ?2"
                                        " ORDER BY position");
    enum db_status status;

    db_bind(stmt, 1, out->id, out->version);
    while (out->water_count < DB_HEATER_WATERS_MAX && db_step_row(db, stmt, &status))
        out->water_ids[out->water_count++] = sqlite3_column_int64(stmt, 0);
    db_done(stmt);
    return out->water_count > 0 ? DB_OK : status;
}

/* A default that an office published is kept as usual and known by its value. */
static bool is_published(const struct coil_limit *limit, int name)
{
    const struct coil_limit usual = coil_limit_default((enum coil_limit_name)name);

    return usual.source == COIL_PUBLISHED && limit->source == COIL_COMMON_PRACTICE &&
           limit->value == usual.value;
}

static enum db_status read_limits(struct db *db, struct db_heater *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT name, value_e6, source FROM heater_limit"
                       " WHERE heater_id = ?1 AND version = ?2");
    enum db_status status;

    db_bind(stmt, 1, out->id, out->version);
    while (db_step_row(db, stmt, &status)) {
        int name = sqlite3_column_int(stmt, 0);

        if (name < 0 || name >= COIL_LIMIT_COUNT)
            continue;
        out->limits[name].is_set = true;
        out->limits[name].value = (double)sqlite3_column_int64(stmt, 1) / 1e6;
        out->limits[name].source = (enum coil_limit_source)sqlite3_column_int(stmt, 2);
        if (is_published(&out->limits[name], name))
            out->limits[name].source = COIL_PUBLISHED;
    }
    db_done(stmt);
    return status;
}

static enum db_status read_heater(struct db *db, sqlite3_stmt *stmt,
                                  struct db_heater *out)
{
    enum db_status status;

    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(stmt, 0);
    out->version = sqlite3_column_int64(stmt, 1);
    out->at = sqlite3_column_int64(stmt, 2);
    out->actor_id = sqlite3_column_int64(stmt, 3);
    db_read_text(stmt, 4, out->name, sizeof out->name);
    out->fuel = (enum db_fuel)sqlite3_column_int(stmt, 5);
    out->metal = (enum db_metal)sqlite3_column_int(stmt, 6);
    out->bypass = (enum coil_bypass)sqlite3_column_int(stmt, 7);
    out->bypass_usual_percent = sqlite3_column_int(stmt, 8);
    out->input_w_e6 = sqlite3_column_int64(stmt, 9);
    out->efficiency_percent_e6 = sqlite3_column_int64(stmt, 10); /* NULL: 0 */
    out->flow_m3_per_h_e6 = sqlite3_column_int64(stmt, 11);
    out->film_rise_k_e6 = sqlite3_column_int64(stmt, 12);
    status = read_waters(db, out);
    return status == DB_OK ? read_limits(db, out) : status;
}

/* Reads all rows of a statement and hands it back. */
static enum db_status read_heaters(struct db *db, sqlite3_stmt *stmt,
                                   struct db_heater *out, size_t *out_count)
{
    struct db_scope scope;
    enum db_status status = db_scope_read(db, &scope);

    *out_count = 0;
    while (status == DB_OK && db_step_row(db, stmt, &status))
        status = read_heater(db, stmt, &out[(*out_count)++]);
    db_done(stmt);
    return db_scope_end(&scope, status);
}

enum db_status db_heater_get(struct db *db, int64_t id, struct db_heater *out)
{
    return db_heater_get_at(db, id, INT64_MAX, out);
}

/* The version in force, or the first one: those of later instants come after it, oldest
 * first. */
enum db_status db_heater_get_at(struct db *db, int64_t id, int64_t at,
                                struct db_heater *out)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "SELECT " HEATER_COLUMNS " FROM heater_version WHERE heater_id = ?1"
            " ORDER BY at > ?2, CASE WHEN at > ?2 THEN version"
            " ELSE -version END LIMIT 1");
    size_t count = 0;
    enum db_status status;

    db_bind(stmt, 1, id, at);
    status = read_heaters(db, stmt, out, &count);
    return status == DB_OK && count == 0 ? DB_NOT_FOUND : status;
}

enum db_status db_heater_list(struct db *db, struct db_heater *out, size_t max,
                              size_t *out_count)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT " HEATER_COLUMNS " FROM heater_version h WHERE version ="
                       " (SELECT max(version) FROM heater_version v"
                       " WHERE v.heater_id = h.heater_id) ORDER BY heater_id LIMIT ?1");

    db_bind(stmt, 1, (int64_t)max);
    return read_heaters(db, stmt, out, out_count);
}

enum db_status db_heater_versions(struct db *db, int64_t id, struct db_heater *out,
                                  size_t max, size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(db, "SELECT " HEATER_COLUMNS
                                        " FROM heater_version WHERE heater_id = ?1"
                                        " ORDER BY version LIMIT ?2");

    db_bind(stmt, 1, id, (int64_t)max);
    return read_heaters(db, stmt, out, out_count);
}

enum db_status db_main_pair(struct db *db, int64_t *out_heater, int64_t *out_water)
{
    struct db_heater first;
    size_t count = 0;
    enum db_status status = db_heater_list(db, &first, 1, &count);

    if (status == DB_OK && count == 0)
        status = DB_NOT_FOUND;
    if (status == DB_OK) {
        *out_heater = first.id;
        *out_water = first.water_ids[0];
    }
    return status;
}
