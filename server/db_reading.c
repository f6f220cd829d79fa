/* Sets of measured values: one row each, a column for each quantity. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "db_private.h"

#define DETAILS_SIZE 1000

enum { FLAG_OVER_RANGE = 1, FLAG_DILUTED = 2, FLAG_CONFIRMED = 4 };

/* Columns before the amounts: water_id, method, details. */
#define OWN_COLUMNS 3

void db_value_column(enum coil_quantity quantity, char *out, size_t size)
{
    const struct coil_quantity_info *info = coil_quantity_info(quantity);

    snprintf(out, size, "%s_e6", info == NULL ? "" : info->key);
}

void db_value_columns(char *out, size_t size)
{
    size_t length = 0;

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        char column[VALUE_COLUMN_SIZE];

        db_value_column((enum coil_quantity)i, column, sizeof column);
        length += (size_t)snprintf(out + length, size - length, "%s%s",
                                   i > 0 ? ", " : "", column);
    }
}

/* ---- what is special about a value ---- */

double db_value_step(const struct db_value *value)
{
    return value->resolution_e6 > 0
               ? (double)value->resolution_e6 / 1e6
               : coil_method_resolution(value->method, value->quantity);
}

static struct db_value *find_value(struct db_reading *reading,
                                   enum coil_quantity quantity)
{
    for (size_t i = 0; i < reading->value_count; i++)
        if (reading->values[i].quantity == quantity)
            return &reading->values[i];
    return NULL;
}

struct db_value *db_reading_free_above_total(struct db_reading *reading)
{
    const struct db_value *total = find_value(reading, COIL_TOTAL_CHLORINE);
    struct db_value *free;

    if (total == NULL || total->over_range)
        return NULL;
    free = find_value(reading, COIL_FREE_CHLORINE);
    return free != NULL && coil_free_exceeds_total((double)free->amount_e6 / 1e6,
                                                   db_value_step(free),
                                                   (double)total->amount_e6 / 1e6,
                                                   db_value_step(total))
               ? free
               : NULL;
}

static int flags_of(const struct db_value *value)
{
    return (value->over_range ? FLAG_OVER_RANGE : 0) |
           (value->diluted ? FLAG_DILUTED : 0) |
           (value->confirmed ? FLAG_CONFIRMED : 0);
}

/* Empty when each value was found by the set's method in the usual way. */
static void details_write(const struct db_reading *reading, char *out, size_t size)
{
    size_t length = 0;

    out[0] = '\0';
    for (size_t i = 0; i < reading->value_count; i++) {
        const struct db_value *value = &reading->values[i];
        int flags = flags_of(value);

        if (value->method != reading->method || value->resolution_e6 != 0 || flags != 0)
            length += (size_t)snprintf(out + length, size - length, "%d:%d:%lld:%d;",
                                       value->quantity, value->method,
                                       (long long)value->resolution_e6, flags);
    }
}

void db_details_read(enum coil_method method, const char *details,
                     struct db_value *value)
{
    value->method = method;
    while (details != NULL && *details != '\0') {
        char *end;
        long quantity = strtol(details, &end, 10);
        long own = *end == ':' ? strtol(end + 1, &end, 10) : 0;
        long long resolution_e6 = *end == ':' ? strtoll(end + 1, &end, 10) : 0;
        long flags = *end == ':' ? strtol(end + 1, &end, 10) : 0;

        if (quantity == (long)value->quantity) {
            value->method = (enum coil_method)own;
            value->resolution_e6 = resolution_e6;
            value->over_range = (flags & FLAG_OVER_RANGE) != 0;
            value->diluted = (flags & FLAG_DILUTED) != 0;
            value->confirmed = (flags & FLAG_CONFIRMED) != 0;
            return;
        }
        details = *end == ';' ? end + 1 : NULL;
    }
}

/* ---- reading ---- */

static void read_reading(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_reading *reading = record;
    const char *details = (const char *)sqlite3_column_text(stmt, first + 2);

    reading->water_id = sqlite3_column_int64(stmt, first);
    reading->method = (enum coil_method)sqlite3_column_int(stmt, first + 1);
    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        struct db_value *value = &reading->values[reading->value_count];

        if (sqlite3_column_type(stmt, first + OWN_COLUMNS + i) == SQLITE_NULL)
            continue;
        value->quantity = (enum coil_quantity)i;
        value->amount_e6 = sqlite3_column_int64(stmt, first + OWN_COLUMNS + i);
        db_details_read(reading->method, details, value);
        reading->value_count++;
    }
}

#define X(name, number, key, words, unit, plo, phi, lo, hi) ", " key "_e6"
#define READING_COLUMNS "water_id, method, details" COIL_QUANTITY_LIST(X)

static const char exists_sql[] =
    "SELECT " READING_COLUMNS " FROM reading f WHERE water_id = ?1 AND measured_at = ?2"
    " AND withdrawn = 0 AND NOT EXISTS"
    " (SELECT 1 FROM reading s WHERE s.supersedes = f.id)";

const struct fact_table db_reading_table = {
    .name = "reading",
    .subject = "water_id",
    .columns = READING_COLUMNS,
    .column_count = OWN_COLUMNS + COIL_QUANTITY_COUNT,
    .record_size = sizeof(struct db_reading),
    .bind = NULL, /* its insert names only the columns of its values */
    .read = read_reading,
};
#undef X

enum db_status db_reading_get(struct db *db, int64_t id, struct db_reading *out)
{
    return db_fact_get(db, &db_reading_table, id, out);
}

enum db_status db_reading_list(struct db *db, const struct db_window *window,
                               struct db_reading *out, size_t *out_count)
{
    return db_fact_list(db, &db_reading_table, window, out, out_count);
}

/* ---- many at once ---- */

/* The triggers of schema/001 refuse what our insert cannot do: it names no id and never
 * replaces. What a reading refers to is looked up when it changes, not for each one.
 * Without both a million readings take half the time. */
static enum db_status guard(struct db *db, bool is_on)
{
    enum db_status status = db_status_from(
        db, sqlite3_db_config(db->handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, is_on, NULL));

    return status != DB_OK
               ? status
               : db_status_from(db, sqlite3_db_config(db->handle,
                                                      SQLITE_DBCONFIG_ENABLE_FKEY,
                                                      is_on, NULL));
}

/* Stands for the foreign keys, and for the trigger that guards corrections. */
static enum db_status check_bulk(struct db *db, const struct db_reading *reading)
{
    struct db_bulk *bulk = &db->bulk;
    const struct db_fact *fact = &reading->fact;
    enum db_status status = DB_OK;
    int64_t one;

    if (!bulk->is_on)
        return DB_OK;
    if (fact->supersedes != 0 || reading->water_id != bulk->water_id)
        return DB_FAILED;
    if (fact->actor_id != bulk->actor_id)
        status = db_ask(db, "SELECT 1 FROM actor WHERE id = ?1", &one, fact->actor_id);
    if (status == DB_OK && fact->batch_id != bulk->batch_id && fact->batch_id != 0)
        status = db_ask(db, "SELECT 1 FROM batch WHERE id = ?1", &one, fact->batch_id);
    if (status != DB_OK)
        return DB_FAILED;
    bulk->actor_id = fact->actor_id;
    bulk->batch_id = fact->batch_id;
    return DB_OK;
}

enum db_status db_bulk_begin(struct db *db, int64_t water_id)
{
    static const char first_sql[] =
        "SELECT measured_at FROM reading WHERE water_id = ?1"
        " ORDER BY measured_at LIMIT 1";
    static const char last_sql[] =
        "SELECT measured_at FROM reading WHERE water_id = ?1"
        " ORDER BY measured_at DESC LIMIT 1";
    struct db_bulk bulk = {true, water_id, INT64_MAX, INT64_MIN, 0, 0};
    int64_t one;
    enum db_status status =
        db_ask(db, "SELECT 1 FROM water WHERE id = ?1", &one, water_id);

    if (status != DB_OK)
        return status;
    status = db_ask(db, first_sql, &bulk.first_at, water_id);
    if (status == DB_OK)
        status = db_ask(db, last_sql, &bulk.last_at, water_id);
    if (status == DB_OK || status == DB_NOT_FOUND)
        status = guard(db, false);
    if (status == DB_OK)
        db->bulk = bulk;
    return status;
}

void db_bulk_end(struct db *db)
{
    if (db->bulk.is_on)
        guard(db, true);
    memset(&db->bulk, 0, sizeof db->bulk);
}

static void widen(struct db_bulk *bulk, int64_t at)
{
    if (at < bulk->first_at)
        bulk->first_at = at;
    if (at > bulk->last_at)
        bulk->last_at = at;
}

/* ---- adding ---- */

/* Few, and mostly in order already. */
static void sort_values(struct db_value *values, size_t count)
{
    for (size_t i = 1; i < count; i++)
        for (size_t j = i; j > 0 && values[j].quantity < values[j - 1].quantity; j--) {
            struct db_value swap = values[j];

            values[j] = values[j - 1];
            values[j - 1] = swap;
        }
}

/* Sorts the values; false when there is none, a foreign one or the same one twice. */
static bool order_values(struct db_reading *reading, uint32_t *out_mask)
{
    uint32_t mask = 0;

    if (reading->value_count < 1 || reading->value_count > COIL_QUANTITY_COUNT)
        return false;
    for (size_t i = 0; i < reading->value_count; i++) {
        unsigned quantity = (unsigned)reading->values[i].quantity;

        if (quantity >= COIL_QUANTITY_COUNT || (mask >> quantity & 1) != 0)
            return false;
        mask |= (uint32_t)1 << quantity;
    }
    sort_values(reading->values, reading->value_count);
    *out_mask = mask;
    return true;
}

static void insert_text(uint32_t mask, char *out, size_t size)
{
    size_t length = (size_t)snprintf(out, size,
                                     "INSERT INTO reading (" FACT_INSERT_COLUMNS
                                     ", water_id, method, details");
    int count = FACT_PARAMETERS + OWN_COLUMNS;

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        char column[VALUE_COLUMN_SIZE];

        if ((mask >> i & 1) == 0)
            continue;
        db_value_column((enum coil_quantity)i, column, sizeof column);
        length += (size_t)snprintf(out + length, size - length, ", %s", column);
        count++;
    }
    length += (size_t)snprintf(out + length, size - length, ") VALUES (?");
    while (--count > 0)
        length += (size_t)snprintf(out + length, size - length, ", ?");
    snprintf(out + length, size - length, ")");
}

/* An import adds the same set of quantities a million times: its statement is found
 * without looking at a text. */
static sqlite3_stmt *prepare_insert(struct db *db, uint32_t mask)
{
    struct db_reading_insert *slot;
    char sql[DB_SQL_SIZE];

    for (size_t i = 0; i < DB_READING_INSERTS; i++)
        if (db->reading_inserts[i].mask == mask &&
            db->reading_inserts[i].stmt != NULL) {
            sqlite3_clear_bindings(db->reading_inserts[i].stmt);
            return db->reading_inserts[i].stmt;
        }
    slot = &db->reading_inserts[db->reading_insert_next];
    db->reading_insert_next = (db->reading_insert_next + 1) % DB_READING_INSERTS;
    sqlite3_finalize(slot->stmt);
    slot->stmt = NULL;
    slot->mask = mask;
    insert_text(mask, sql, sizeof sql);
    db_status_from(db,
                   sqlite3_prepare_v3(db->handle, sql, -1, SQLITE_PREPARE_PERSISTENT,
                                      &slot->stmt, NULL));
    return slot->stmt;
}

static enum db_status insert_reading(struct db *db, struct db_reading *reading,
                                     uint32_t mask)
{
    sqlite3_stmt *stmt = prepare_insert(db, mask);
    char details[DETAILS_SIZE];
    enum db_status status;

    if (stmt == NULL)
        return DB_FAILED;
    details_write(reading, details, sizeof details);
    db_fact_bind(stmt, &reading->fact);
    db_bind(stmt, FACT_PARAMETERS + 1, reading->water_id, reading->method);
    if (details[0] != '\0')
        db_bind_text(stmt, FACT_PARAMETERS + OWN_COLUMNS, details);
    for (size_t i = 0; i < reading->value_count; i++)
        db_bind(stmt, FACT_PARAMETERS + OWN_COLUMNS + 1 + (int)i,
                reading->values[i].amount_e6);
    status = db_run_once(db, stmt);
    if (status == DB_OK)
        reading->fact.id = sqlite3_last_insert_rowid(db->handle);
    return status;
}

static enum db_status renew_both(struct db *db, const struct db_reading *reading)
{
    struct db_reading old;
    enum db_status status = db_reading_get(db, reading->fact.supersedes, &old);

    if (status == DB_OK)
        status = db_buckets_renew(db, &old);
    return status == DB_OK ? db_buckets_renew(db, reading) : status;
}

enum db_status db_reading_add(struct db *db, struct db_reading *reading)
{
    struct db_scope scope;
    uint32_t mask = 0;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_fact_check(db, &db_reading_table, reading);
    if (status == DB_OK && !order_values(reading, &mask))
        status = DB_FAILED;
    if (status == DB_OK)
        status = check_bulk(db, reading);
    if (status == DB_OK)
        status = insert_reading(db, reading, mask);
    widen(&db->bulk, reading->fact.at);
    if (status == DB_OK)
        status = reading->fact.supersedes != 0 ? renew_both(db, reading)
                                               : db_buckets_add(db, reading);
    return db_scope_end(&scope, status);
}

/* ---- is it there already? ---- */

static bool same_values(const struct db_reading *a, const struct db_reading *b)
{
    if (a->method != b->method || a->value_count != b->value_count)
        return false;
    for (size_t i = 0; i < a->value_count; i++)
        if (a->values[i].quantity != b->values[i].quantity ||
            a->values[i].amount_e6 != b->values[i].amount_e6)
            return false;
    return true;
}

enum db_status db_reading_exists(struct db *db, const struct db_reading *reading,
                                 bool *out_exists)
{
    struct db_reading wanted = *reading;
    struct db_reading there;
    sqlite3_stmt *stmt;
    uint32_t mask;
    enum db_status status = DB_OK;

    *out_exists = false;
    if (db->bulk.is_on && reading->water_id == db->bulk.water_id &&
        (reading->fact.at < db->bulk.first_at || reading->fact.at > db->bulk.last_at))
        return DB_OK;
    if (!order_values(&wanted, &mask))
        return DB_OK;
    stmt = db_prepare(db, exists_sql);
    db_bind(stmt, 1, reading->water_id, reading->fact.at);
    while (!*out_exists && db_step_row(db, stmt, &status)) {
        memset(&there, 0, sizeof there);
        read_reading(stmt, 0, &there);
        *out_exists = same_values(&wanted, &there);
    }
    db_done(stmt);
    return status;
}
