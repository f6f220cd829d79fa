/* What is wanted of a water and how much one dose may bring: every change is a new
 * version that holds all that was said. */
#include <string.h>

#include "db_private.h"

static enum db_status read_version(struct db *db, struct db_wanted *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT version, at, actor_id FROM wanted_version"
                       " WHERE water_id = ?1 ORDER BY version DESC LIMIT 1");
    enum db_status status;

    db_bind(stmt, 1, out->water_id);
    if (db_step_row(db, stmt, &status)) {
        out->version = sqlite3_column_int64(stmt, 0);
        out->at = sqlite3_column_int64(stmt, 1);
        out->actor_id = sqlite3_column_int64(stmt, 2);
    }
    db_done(stmt);
    return status;
}

static enum db_status read_ranges(struct db *db, struct db_wanted *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT quantity, low_e6, high_e6 FROM wanted_range"
                       " WHERE water_id = ?1 AND version = ?2");
    enum db_status status;

    db_bind(stmt, 1, out->water_id, out->version);
    while (db_step_row(db, stmt, &status)) {
        enum coil_aim aim =
            coil_aim_from_quantity((enum coil_quantity)sqlite3_column_int(stmt, 0));

        if (aim == COIL_AIM_COUNT)
            continue;
        out->ranges[aim] = (struct db_wanted_range){
            .is_own = true,
            .is_set = sqlite3_column_type(stmt, 1) != SQLITE_NULL,
            .low_e6 = sqlite3_column_int64(stmt, 1),
            .high_e6 = sqlite3_column_int64(stmt, 2)};
    }
    db_done(stmt);
    return status;
}

static enum db_status read_limits(struct db *db, struct db_wanted *out)
{
    sqlite3_stmt *stmt = db_prepare(db, "SELECT name, value_e6 FROM dose_limit"
                                        " WHERE water_id = ?1 AND version = ?2");
    enum db_status status;

    db_bind(stmt, 1, out->water_id, out->version);
    while (db_step_row(db, stmt, &status)) {
        int name = sqlite3_column_int(stmt, 0);

        if (name >= 0 && name < DB_DOSE_LIMIT_COUNT)
            out->limit_e6[name] = sqlite3_column_int64(stmt, 1);
    }
    db_done(stmt);
    return status;
}

enum db_status db_wanted_get(struct db *db, int64_t water_id, struct db_wanted *out)
{
    struct db_water water;
    struct db_scope scope;
    enum db_status status = db_scope_read(db, &scope);

    memset(out, 0, sizeof *out);
    out->water_id = water_id;
    if (status == DB_OK)
        status = db_water_get(db, water_id, &water);
    if (status == DB_OK)
        status = read_version(db, out);
    if (status == DB_OK && out->version > 0)
        status = read_ranges(db, out);
    if (status == DB_OK && out->version > 0)
        status = read_limits(db, out);
    return db_scope_end(&scope, status);
}

static enum db_status insert_range(struct db *db, const struct db_wanted *wanted,
                                   enum coil_aim aim)
{
    const struct db_wanted_range *range = &wanted->ranges[aim];
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO wanted_range (water_id, version, quantity, low_e6,"
                       " high_e6) VALUES (?, ?, ?, ?, ?)");

    db_bind(stmt, 1, wanted->water_id, wanted->version, coil_aim_quantity(aim));
    if (range->is_set)
        db_bind(stmt, 4, range->low_e6, range->high_e6); /* unbound: NULL */
    return db_run_once(db, stmt);
}

static enum db_status insert_limit(struct db *db, const struct db_wanted *wanted,
                                   int name)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "INSERT INTO dose_limit (water_id, version, name, value_e6) VALUES"
            " (?, ?, ?, ?)");

    db_bind(stmt, 1, wanted->water_id, wanted->version, name, wanted->limit_e6[name]);
    return db_run_once(db, stmt);
}

static enum db_status insert_version(struct db *db, const struct db_wanted *wanted)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "INSERT INTO wanted_version (water_id, version, at, actor_id) VALUES"
            " (?, ?, ?, ?)");
    enum db_status status;

    db_bind(stmt, 1, wanted->water_id, wanted->version, wanted->at, wanted->actor_id);
    status = db_run_once(db, stmt);
    for (int i = 0; i < COIL_AIM_COUNT && status == DB_OK; i++)
        if (wanted->ranges[i].is_own)
            status = insert_range(db, wanted, (enum coil_aim)i);
    for (int i = 0; i < DB_DOSE_LIMIT_COUNT && status == DB_OK; i++)
        if (wanted->limit_e6[i] > 0)
            status = insert_limit(db, wanted, i);
    return status;
}

enum db_status db_wanted_put(struct db *db, struct db_wanted *wanted)
{
    struct db_scope scope;
    struct db_wanted newest, made = *wanted;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_wanted_get(db, wanted->water_id, &newest);
    if (status == DB_OK && newest.version != wanted->version)
        status = DB_CONFLICT;
    made.version++;
    if (status == DB_OK)
        status = insert_version(db, &made);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        wanted->version = made.version;
    return status;
}
