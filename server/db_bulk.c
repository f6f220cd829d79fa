/*
 * Many readings at once: one statement takes a handful of rows, and what the schema
 * asks of each of them is asked here, cheaper. A million readings take a third of the
 * time.
 */
#include <stdio.h>
#include <string.h>

#include "db_private.h"

#define ROWS 40
#define SQL_SIZE (2 * DB_SQL_SIZE)
#define LAST_INSTANT_S INT64_C(253402300799) /* the schema's */

/* ---- the guards of the schema ---- */

static enum db_status turn_guards(struct db *db, bool is_on)
{
    enum db_status status = db_status_from(
        db, sqlite3_db_config(db->handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, is_on, NULL));

    if (status == DB_OK)
        status = db_status_from(
            db,
            sqlite3_db_config(db->handle, SQLITE_DBCONFIG_ENABLE_FKEY, is_on, NULL));
    return status == DB_OK ? db_exec(db, is_on ? "PRAGMA ignore_check_constraints = 0"
                                               : "PRAGMA ignore_check_constraints = 1")
                           : status;
}

/* Stands for the CHECKs of the table. Texts are never longer than their arrays. */
static bool passes_checks(const struct db_reading *reading)
{
    const struct db_fact *fact = &reading->fact;

    if (fact->at < 0 || fact->at > LAST_INSTANT_S || fact->recorded_at < 0 ||
        fact->recorded_at > LAST_INSTANT_S || fact->withdrawn ||
        (unsigned)reading->method >= COIL_METHOD_COUNT)
        return false;
    for (size_t i = 0; i < reading->value_count; i++)
        if (coil_quantity_range(reading->values[i].quantity,
                                (double)reading->values[i].amount_e6 / 1e6) ==
            COIL_RANGE_IMPOSSIBLE)
            return false;
    return true;
}

/* Stands for the foreign keys, and for the triggers: they refuse what our insert cannot
 * do, since it names no id, never replaces and here never corrects. */
static enum db_status passes_references(struct db *db, const struct db_reading *reading)
{
    struct db_bulk *bulk = &db->bulk;
    const struct db_fact *fact = &reading->fact;
    enum db_status status = DB_OK;
    int64_t one;

    if (fact->supersedes != 0 || reading->water_id != bulk->water_id)
        return DB_FAILED;
    if (fact->actor_id != bulk->actor_id || fact->actor_id == 0)
        status = db_ask(db, "SELECT 1 FROM actor WHERE id = ?1", &one, fact->actor_id);
    if (status == DB_OK && fact->batch_id != bulk->batch_id && fact->batch_id != 0)
        status = db_ask(db, "SELECT 1 FROM batch WHERE id = ?1", &one, fact->batch_id);
    if (status != DB_OK)
        return DB_FAILED;
    bulk->actor_id = fact->actor_id;
    bulk->batch_id = fact->batch_id;
    return DB_OK;
}

/* ---- rows on their way ---- */

static int parameters_of(uint32_t mask)
{
    return FACT_PARAMETERS + READING_OWN_COLUMNS + __builtin_popcount(mask);
}

/* Rows without an instant are places that nothing was put into. */
static enum db_status prepare_rows(struct db *db, uint32_t mask)
{
    char sql[SQL_SIZE];
    int length = db_reading_insert_start(mask, sql, sizeof sql);

    sqlite3_finalize(db->bulk.stmt);
    db->bulk.stmt = NULL;
    db->bulk.mask = mask;
    length +=
        snprintf(sql + length, sizeof sql - (size_t)length, "SELECT * FROM (VALUES ");
    for (int i = 0; i < ROWS; i++) {
        if (i > 0)
            sql[length++] = ',';
        length +=
            db_reading_insert_row(mask, sql + length, sizeof sql - (size_t)length);
    }
    snprintf(sql + length, sizeof sql - (size_t)length, ") WHERE column1 IS NOT NULL");
    return db_status_from(db, sqlite3_prepare_v3(db->handle, sql, -1,
                                                 SQLITE_PREPARE_PERSISTENT,
                                                 &db->bulk.stmt, NULL));
}

static void bind_or_null(sqlite3_stmt *stmt, int index, int64_t id)
{
    if (id != 0)
        sqlite3_bind_int64(stmt, index, id);
    else
        sqlite3_bind_null(stmt, index);
}

/* Copies what there is: the reading is the caller's. */
static void bind_copy(sqlite3_stmt *stmt, int index, const char *text)
{
    if (text[0] == '\0')
        sqlite3_bind_text(stmt, index, "", 0, SQLITE_STATIC);
    else
        sqlite3_bind_text(stmt, index, text, -1, SQLITE_TRANSIENT);
}

static void bind_values(sqlite3_stmt *stmt, int at, uint32_t mask,
                        const struct db_reading *reading)
{
    size_t next = 0; /* ascending, and mask holds them all */

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        if ((mask >> i & 1) == 0)
            continue;
        if (next < reading->value_count && (int)reading->values[next].quantity == i)
            sqlite3_bind_int64(stmt, at++, reading->values[next++].amount_e6);
        else
            sqlite3_bind_null(stmt, at++);
    }
}

static void bind_row(struct db_bulk *bulk, const struct db_reading *reading)
{
    const struct db_fact *fact = &reading->fact;
    sqlite3_stmt *stmt = bulk->stmt;
    int first = bulk->row_count++ * parameters_of(bulk->mask) + 1;
    int own = first + FACT_PARAMETERS;
    char details[READING_DETAILS_SIZE];

    db_bind(stmt, first, fact->at, fact->recorded_at, fact->actor_id);
    bind_or_null(stmt, first + 3, fact->batch_id);
    sqlite3_bind_null(stmt, first + 4);
    sqlite3_bind_int64(stmt, first + 5, 0);
    bind_copy(stmt, first + 6, fact->note);
    bind_copy(stmt, first + 7, fact->reason);
    db_bind(stmt, own, reading->water_id, reading->method);
    db_details_write(reading, details, sizeof details);
    if (details[0] != '\0')
        bind_copy(stmt, own + 2, details);
    else
        sqlite3_bind_null(stmt, own + 2);
    bind_values(stmt, own + READING_OWN_COLUMNS, bulk->mask, reading);
}

enum db_status db_bulk_flush(struct db *db)
{
    struct db_bulk *bulk = &db->bulk;
    int parameters = parameters_of(bulk->mask);

    if (bulk->row_count == 0)
        return DB_OK;
    for (int i = bulk->row_count; i < ROWS; i++)
        sqlite3_bind_null(bulk->stmt, i * parameters + 1);
    bulk->row_count = 0;
    return db_run_once(db, bulk->stmt);
}

enum db_status db_bulk_add(struct db *db, const struct db_reading *reading,
                           uint32_t mask)
{
    struct db_bulk *bulk = &db->bulk;
    enum db_status status =
        passes_checks(reading) ? passes_references(db, reading) : DB_FAILED;

    if (status == DB_OK && (bulk->stmt == NULL || (mask & ~bulk->mask) != 0)) {
        status = db_bulk_flush(db);
        if (status == DB_OK)
            status = prepare_rows(db, bulk->mask | mask);
    }
    if (status != DB_OK)
        return status;
    bind_row(bulk, reading);
    if (reading->fact.at < bulk->first_at)
        bulk->first_at = reading->fact.at;
    if (reading->fact.at > bulk->last_at)
        bulk->last_at = reading->fact.at;
    return bulk->row_count == ROWS ? db_bulk_flush(db) : DB_OK;
}

bool db_bulk_may_hold(const struct db *db, const struct db_reading *reading)
{
    const struct db_bulk *bulk = &db->bulk;

    return !bulk->is_on || reading->water_id != bulk->water_id ||
           (reading->fact.at >= bulk->first_at && reading->fact.at <= bulk->last_at);
}

/* ---- begin and end ---- */

enum db_status db_bulk_begin(struct db *db, int64_t water_id)
{
    static const char first_sql[] =
        "SELECT measured_at FROM reading WHERE water_id = ?1"
        " ORDER BY measured_at LIMIT 1";
    static const char last_sql[] = "SELECT measured_at FROM reading WHERE water_id = ?1"
                                   " ORDER BY measured_at DESC LIMIT 1";
    struct db_bulk bulk = {.is_on = true,
                           .water_id = water_id,
                           .first_at = INT64_MAX,
                           .last_at = INT64_MIN};
    int64_t one;
    enum db_status status =
        db_ask(db, "SELECT 1 FROM water WHERE id = ?1", &one, water_id);

    if (status != DB_OK)
        return status;
    status = db_ask(db, first_sql, &bulk.first_at, water_id);
    if (status == DB_OK)
        status = db_ask(db, last_sql, &bulk.last_at, water_id);
    if (status == DB_OK || status == DB_NOT_FOUND)
        status = turn_guards(db, false);
    if (status == DB_OK)
        db->bulk = bulk;
    else
        turn_guards(db, true);
    return status;
}

static enum db_status end(struct db *db, enum db_status status)
{
    enum db_status guards;

    if (!db->bulk.is_on)
        return status;
    sqlite3_finalize(db->bulk.stmt);
    memset(&db->bulk, 0, sizeof db->bulk);
    guards = turn_guards(db, true);
    return status == DB_OK ? guards : status;
}

enum db_status db_bulk_end(struct db *db)
{
    return end(db, db_bulk_flush(db));
}

void db_bulk_drop(struct db *db)
{
    end(db, DB_OK);
}
