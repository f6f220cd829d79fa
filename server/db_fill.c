/* The fill water's own values: every change is a new version, old ones stay. */
#include <string.h>

#include "db_private.h"

#define FILL_COLUMNS                                                                   \
    "water_id, version, at, actor_id, ph_e6, total_alkalinity_e6, "                    \
    "calcium_hardness_e6,"                                                             \
    " cyanuric_acid_e6, free_chlorine_e6, salt_e6, borate_e6, water_temp_e6,"     \
    " copper_e6, iron_e6"
#define FIRST_VALUE 4

static void bind_value(sqlite3_stmt *stmt, int index, const struct db_fill_value *value)
{
    if (value->is_known)
        db_bind(stmt, index, value->value_e6); /* unbound: NULL */
}

static void read_version(sqlite3_stmt *stmt, struct db_fill_water *out)
{
    out->version = sqlite3_column_int64(stmt, 1);
    out->at = sqlite3_column_int64(stmt, 2);
    out->actor_id = sqlite3_column_int64(stmt, 3);
    for (int i = 0; i < DB_FILL_VALUE_COUNT; i++) {
        out->values[i].is_known =
            sqlite3_column_type(stmt, FIRST_VALUE + i) != SQLITE_NULL;
        out->values[i].value_e6 = sqlite3_column_int64(stmt, FIRST_VALUE + i);
    }
}

enum db_status db_fill_get(struct db *db, int64_t water_id, struct db_fill_water *out)
{
    struct db_water water;
    enum db_status status = db_water_get(db, water_id, &water);
    sqlite3_stmt *stmt;

    if (status != DB_OK)
        return status;
    memset(out, 0, sizeof *out);
    out->water_id = water_id;
    stmt = db_prepare(db, "SELECT " FILL_COLUMNS " FROM fill_water_version"
                          " WHERE water_id = ?1 ORDER BY version DESC LIMIT 1");
    db_bind(stmt, 1, water_id);
    if (db_step_row(db, stmt, &status))
        read_version(stmt, out);
    db_done(stmt);
    return status;
}

static enum db_status insert_version(struct db *db, const struct db_fill_water *fill)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO fill_water_version (" FILL_COLUMNS ") VALUES"
                       " (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, fill->water_id, fill->version + 1, fill->at, fill->actor_id);
    for (int i = 0; i < DB_FILL_VALUE_COUNT; i++)
        bind_value(stmt, FIRST_VALUE + 1 + i, &fill->values[i]);
    return db_run_once(db, stmt);
}

enum db_status db_fill_put(struct db *db, struct db_fill_water *fill)
{
    struct db_scope scope;
    struct db_fill_water newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_fill_get(db, fill->water_id, &newest);
    if (status == DB_OK && newest.version != fill->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_version(db, fill);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        fill->version++;
    return status;
}
