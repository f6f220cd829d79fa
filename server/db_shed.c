/* What stands in the shed: every change is a new version, old ones stay. */
#include <string.h>

#include "db_private.h"

#define SHED_COLUMNS                                                                   \
    "item_id, version, at, actor_id, name, product, strength_e6, amount_left_e6,"      \
    " bought_at, opened_at, gone, stored_temp_c_e6, measure, measure_size_e6"

static void read_item(sqlite3_stmt *stmt, struct db_shed_item *out)
{
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(stmt, 0);
    out->version = sqlite3_column_int64(stmt, 1);
    out->at = sqlite3_column_int64(stmt, 2);
    out->actor_id = sqlite3_column_int64(stmt, 3);
    db_read_text(stmt, 4, out->name, sizeof out->name);
    out->product = (enum coil_product)sqlite3_column_int(stmt, 5);
    out->strength_e6 = sqlite3_column_int64(stmt, 6);
    out->amount_left_e6 = sqlite3_column_int64(stmt, 7);
    out->bought_at = sqlite3_column_int64(stmt, 8);
    out->opened_at = sqlite3_column_int64(stmt, 9);
    out->gone = sqlite3_column_int(stmt, 10) != 0;
    out->knows_stored_temp = sqlite3_column_type(stmt, 11) != SQLITE_NULL;
    out->stored_temp_c_e6 = sqlite3_column_int64(stmt, 11);
    out->measure = (enum db_measure)sqlite3_column_int(stmt, 12);
    out->measure_size_e6 = sqlite3_column_int64(stmt, 13);
}

static enum db_status insert_item(struct db *db, const struct db_shed_item *item,
                                  int64_t version)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO shed_item_version (" SHED_COLUMNS ") VALUES"
                       " (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, item->id, version, item->at, item->actor_id);
    db_bind_text(stmt, 5, item->name);
    db_bind(stmt, 6, item->product, item->strength_e6, item->amount_left_e6);
    db_bind_id(stmt, 9, item->bought_at);
    db_bind_id(stmt, 10, item->opened_at);
    db_bind(stmt, 11, item->gone);
    if (item->knows_stored_temp)
        db_bind(stmt, 12, item->stored_temp_c_e6); /* unbound: NULL */
    if (item->measure_size_e6 > 0)
        db_bind(stmt, 13, item->measure, item->measure_size_e6);
    return db_run_once(db, stmt);
}

enum db_status db_shed_add(struct db *db, struct db_shed_item *item)
{
    struct db_scope scope;
    struct db_shed_item made = *item;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_exec(db, "INSERT INTO shed_item DEFAULT VALUES");
    made.id = sqlite3_last_insert_rowid(db->handle);
    made.version = 1;
    if (status == DB_OK)
        status = insert_item(db, &made, made.version);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        *item = made;
    return status;
}

enum db_status db_shed_put(struct db *db, struct db_shed_item *item)
{
    struct db_scope scope;
    struct db_shed_item newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_shed_get(db, item->id, &newest);
    if (status == DB_OK && newest.version != item->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_item(db, item, item->version + 1);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        item->version++;
    return status;
}

enum db_status db_shed_get(struct db *db, int64_t id, struct db_shed_item *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT " SHED_COLUMNS " FROM shed_item_version"
                       " WHERE item_id = ?1 ORDER BY version DESC LIMIT 1");
    enum db_status status;

    db_bind(stmt, 1, id);
    if (db_step_row(db, stmt, &status))
        read_item(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_shed_list(struct db *db, struct db_shed_item *out, size_t max,
                            size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(
        db,
        "SELECT " SHED_COLUMNS " FROM shed_item_version s WHERE version ="
        " (SELECT max(version) FROM shed_item_version v WHERE v.item_id = s.item_id)"
        " AND gone = 0 ORDER BY item_id LIMIT ?1");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, (int64_t)max);
    while (db_step_row(db, stmt, &status))
        read_item(stmt, &out[(*out_count)++]);
    db_done(stmt);
    return status;
}
