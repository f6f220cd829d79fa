/* Sets of measured values: one row each, a column for each quantity. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "db_private.h"

enum { FLAG_OVER_RANGE = 1, FLAG_DILUTED = 2, FLAG_CONFIRMED = 4, FLAG_DAY_ONLY = 8 };

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
           (value->confirmed ? FLAG_CONFIRMED : 0) |
           (value->day_only ? FLAG_DAY_ONLY : 0);
}

void db_details_write(const struct db_reading *reading, char *out, size_t size)
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
            value->day_only = (flags & FLAG_DAY_ONLY) != 0;
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

        if (sqlite3_column_type(stmt, first + READING_OWN_COLUMNS + i) == SQLITE_NULL)
            continue;
        value->quantity = (enum coil_quantity)i;
        value->amount_e6 = sqlite3_column_int64(stmt, first + READING_OWN_COLUMNS + i);
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
    .column_count = READING_OWN_COLUMNS + COIL_QUANTITY_COUNT,
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

int db_reading_insert_start(uint32_t mask, char *out, size_t size)
{
    int length =
        snprintf(out, size,
                 "INSERT INTO reading (" FACT_INSERT_COLUMNS ", water_id, method, details");

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        char column[VALUE_COLUMN_SIZE];

        if ((mask >> i & 1) == 0)
            continue;
        db_value_column((enum coil_quantity)i, column, sizeof column);
        length += snprintf(out + length, size - (size_t)length, ", %s", column);
    }
    length += snprintf(out + length, size - (size_t)length, ") ");
    return length;
}

int db_reading_insert_row(uint32_t mask, char *out, size_t size)
{
    int length = snprintf(out, size, "(?");
    int count = FACT_PARAMETERS + READING_OWN_COLUMNS + __builtin_popcount(mask);

    while (--count > 0)
        length += snprintf(out + length, size - (size_t)length, ", ?");
    return length + snprintf(out + length, size - (size_t)length, ")");
}

/* The statement of a set of quantities is found without looking at a text. */
static sqlite3_stmt *prepare_insert(struct db *db, uint32_t mask)
{
    struct db_reading_insert *slot;
    char sql[DB_SQL_SIZE];
    int length;

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
    length = db_reading_insert_start(mask, sql, sizeof sql);
    length += snprintf(sql + length, sizeof sql - (size_t)length, "VALUES ");
    db_reading_insert_row(mask, sql + length, sizeof sql - (size_t)length);
    db_status_from(db,
                   sqlite3_prepare_v3(db->handle, sql, -1, SQLITE_PREPARE_PERSISTENT,
                                      &slot->stmt, NULL));
    return slot->stmt;
}

static enum db_status insert_reading(struct db *db, struct db_reading *reading,
                                     uint32_t mask)
{
    sqlite3_stmt *stmt = prepare_insert(db, mask);
    char details[READING_DETAILS_SIZE];
    enum db_status status;

    if (stmt == NULL)
        return DB_FAILED;
    db_details_write(reading, details, sizeof details);
    db_fact_bind(stmt, &reading->fact);
    db_bind(stmt, FACT_PARAMETERS + 1, reading->water_id, reading->method);
    if (details[0] != '\0')
        db_bind_text(stmt, FACT_PARAMETERS + READING_OWN_COLUMNS, details);
    for (size_t i = 0; i < reading->value_count; i++)
        db_bind(stmt, FACT_PARAMETERS + READING_OWN_COLUMNS + 1 + (int)i,
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
        status = db->bulk.is_on ? db_bulk_add(db, reading, mask)
                                : insert_reading(db, reading, mask);
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
    struct db_reading wanted, there;
    sqlite3_stmt *stmt;
    uint32_t mask;
    enum db_status status;

    *out_exists = false;
    if (!db_bulk_may_hold(db, reading))
        return DB_OK;
    wanted = *reading;
    if (!order_values(&wanted, &mask))
        return DB_OK;
    status = db_bulk_flush(db);
    if (status != DB_OK)
        return status;
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
