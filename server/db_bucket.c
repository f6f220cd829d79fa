/*
 * Summaries of the readings for plotting, kept in step with them.
 *
 * Within a transaction the newest span of each quantity is kept open in memory, so that
 * an import writes one row for a span and not one for each value. A span that a
 * correction touches is made anew from the readings. Days are made from their spans.
 */
#include <stdlib.h>
#include <string.h>

#include "db_private.h"

struct open_span {
    bool is_open;
    bool is_stale; /* to be made anew from the readings */
    struct bucket middle; /* but for start_at only right once settled */
    struct bucket fine[BUCKET_FINE_COUNT];
    bool has_day;
    int64_t day_at; /* a day whose spans changed */
    /* No row of the table starts later; an import that runs forward need not look. */
    bool knows_newest;
    int64_t newest_at;
};

struct bucket_state {
    int64_t water_id;
    struct open_span spans[COIL_QUANTITY_COUNT];
};

/* One row of the table. */
struct place {
    int64_t water_id;
    int64_t quantity;
    int64_t level_s;
};

int64_t db_floor(int64_t at, int64_t step_s)
{
    int64_t rest = at % step_s;

    return at - (rest < 0 ? rest + step_s : rest);
}

/* ---- one bucket ---- */

void db_bucket_merge(struct bucket *bucket, const struct bucket *later)
{
    bool is_first = bucket->value_count == 0;

    bucket->fact_count += later->fact_count;
    bucket->probe_count += later->probe_count;
    if (later->value_count == 0)
        return;
    bucket->value_count += later->value_count;
    if (is_first || later->first_at < bucket->first_at) {
        bucket->first_at = later->first_at;
        bucket->first_e6 = later->first_e6;
    }
    if (is_first || later->low_e6 < bucket->low_e6 ||
        (later->low_e6 == bucket->low_e6 && later->low_at < bucket->low_at)) {
        bucket->low_at = later->low_at;
        bucket->low_e6 = later->low_e6;
    }
    if (is_first || later->high_e6 > bucket->high_e6 ||
        (later->high_e6 == bucket->high_e6 && later->high_at < bucket->high_at)) {
        bucket->high_at = later->high_at;
        bucket->high_e6 = later->high_e6;
    }
    if (is_first || later->last_at >= bucket->last_at) {
        bucket->last_at = later->last_at;
        bucket->last_e6 = later->last_e6;
    }
}

void db_bucket_take(struct bucket *bucket, int64_t at, int64_t amount_e6)
{
    struct bucket one = {0,  0,         0,  1,         at, amount_e6,
                         at, amount_e6, at, amount_e6, at, amount_e6};

    db_bucket_merge(bucket, &one);
}

/* ---- rows ---- */

void db_bucket_read(sqlite3_stmt *stmt, struct bucket *out)
{
    int64_t *fields[] = {&out->start_at,    &out->fact_count, &out->probe_count,
                         &out->value_count, &out->first_at,   &out->first_e6,
                         &out->low_at,      &out->low_e6,     &out->high_at,
                         &out->high_e6,     &out->last_at,    &out->last_e6};

    for (int i = 0; i < 12; i++)
        *fields[i] = sqlite3_column_int64(stmt, i);
}

/* DB_NOT_FOUND when there is no such row. */
static enum db_status load_row(struct db *db, const struct place *place,
                               int64_t start_at, struct bucket *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT " BUCKET_COLUMNS " FROM bucket WHERE water_id = ?1 AND"
                       " quantity = ?2 AND level_s = ?3 AND start_at = ?4");
    enum db_status status;

    db_bind(stmt, 1, place->water_id, place->quantity, place->level_s, start_at);
    if (db_step_row(db, stmt, &status))
        db_bucket_read(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

static enum db_status store_row(struct db *db, const struct place *place,
                                const struct bucket *bucket)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT OR REPLACE INTO bucket VALUES"
                       " (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, place->water_id, place->quantity, place->level_s, bucket->start_at,
            bucket->fact_count, bucket->probe_count, bucket->value_count,
            bucket->first_at, bucket->first_e6, bucket->low_at, bucket->low_e6,
            bucket->high_at, bucket->high_e6, bucket->last_at, bucket->last_e6);
    return db_run_once(db, stmt);
}

static enum db_status delete_rows(struct db *db, const struct place *place,
                                  int64_t from, int64_t before)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "DELETE FROM bucket WHERE water_id = ?1 AND quantity = ?2 AND"
                       " level_s = ?3 AND start_at >= ?4 AND start_at < ?5");

    db_bind(stmt, 1, place->water_id, place->quantity, place->level_s, from, before);
    return db_run_once(db, stmt);
}

/* ---- filling an open span ---- */

static void open_at(struct open_span *span, int64_t start_at)
{
    span->is_open = true;
    span->is_stale = false;
    memset(&span->middle, 0, sizeof span->middle);
    memset(span->fine, 0, sizeof span->fine);
    span->middle.start_at = start_at;
    for (int i = 0; i < BUCKET_FINE_COUNT; i++)
        span->fine[i].start_at = start_at + (int64_t)i * BUCKET_FINE_S;
}

static void span_take(struct open_span *span, int64_t at, int64_t amount_e6,
                      bool is_probe, bool is_current)
{
    struct bucket one = {0,  1,         is_probe, is_current, at, amount_e6,
                         at, amount_e6, at,       amount_e6,  at, amount_e6};

    db_bucket_merge(&span->fine[(at - span->middle.start_at) / BUCKET_FINE_S], &one);
}

/* All readings of one quantity in [start_at, start_at + length_s), oldest first. */
static enum db_status span_fill(struct db *db, const struct place *place,
                                int64_t start_at, int64_t length_s,
                                struct open_span *span)
{
    char column[VALUE_COLUMN_SIZE];
    sqlite3_stmt *stmt;
    enum db_status status = db_bulk_flush(db); /* all that was added counts */

    if (status != DB_OK)
        return status;
    db_value_column((enum coil_quantity)place->quantity, column, sizeof column);
    stmt = db_prepare_format(
        db,
        "SELECT f.measured_at, f.%s, f.method, f.details, NOT EXISTS"
        " (SELECT 1 FROM reading s WHERE s.supersedes = f.id) FROM reading f"
        " WHERE f.water_id = ?1 AND f.measured_at >= ?2 AND f.measured_at < ?3"
        " AND f.%s IS NOT NULL AND f.withdrawn = 0 ORDER BY f.measured_at, f.id",
        column, column);
    db_bind(stmt, 1, place->water_id, start_at, start_at + length_s);
    while (db_step_row(db, stmt, &status)) {
        struct db_value value = {.quantity = (enum coil_quantity)place->quantity};

        db_details_read((enum coil_method)sqlite3_column_int(stmt, 2),
                        (const char *)sqlite3_column_text(stmt, 3), &value);
        span_take(span, sqlite3_column_int64(stmt, 0), sqlite3_column_int64(stmt, 1),
                  value.method == COIL_METHOD_PROBE, sqlite3_column_int(stmt, 4) != 0);
    }
    db_done(stmt);
    return status;
}

/* ---- writing a span ---- */

/* The whole span is the sum of its parts. */
static void settle(struct open_span *span)
{
    struct bucket middle = {.start_at = span->middle.start_at};

    for (int i = 0; i < BUCKET_FINE_COUNT; i++)
        db_bucket_merge(&middle, &span->fine[i]);
    span->middle = middle;
}

static enum db_status store_fine(struct db *db, const struct place *place,
                                 const struct bucket *fine)
{
    return fine->value_count >= BUCKET_FINE_MIN ? store_row(db, place, fine) : DB_OK;
}

/* Nothing of that span is in the table. */
static enum db_status write_fresh(struct db *db, struct place place,
                                  const struct open_span *span)
{
    enum db_status status = DB_OK;

    if (span->middle.fact_count > 0)
        status = store_row(db, &place, &span->middle);
    place.level_s = BUCKET_FINE_S;
    for (int i = 0; i < BUCKET_FINE_COUNT && status == DB_OK; i++)
        status = store_fine(db, &place, &span->fine[i]);
    return status;
}

static enum db_status write_anew(struct db *db, struct place place,
                                 struct open_span *span)
{
    int64_t start_at = span->middle.start_at;
    struct place fine = place;
    enum db_status status;

    open_at(span, start_at);
    fine.level_s = BUCKET_FINE_S;
    status = span_fill(db, &place, start_at, BUCKET_MIDDLE_S, span);
    settle(span);
    if (status == DB_OK)
        status = delete_rows(db, &place, start_at, start_at + 1);
    if (status == DB_OK)
        status = delete_rows(db, &fine, start_at, start_at + BUCKET_MIDDLE_S);
    return status == DB_OK ? write_fresh(db, place, span) : status;
}

/* A fine bucket may have no row yet although readings are there: then it is counted. */
static enum db_status merge_fine(struct db *db, const struct place *place,
                                 const struct bucket *fine, bool may_be_dense)
{
    struct bucket row;
    struct open_span counted;
    enum db_status status = load_row(db, place, fine->start_at, &row);

    if (status == DB_OK) {
        db_bucket_merge(&row, fine);
        return store_row(db, place, &row);
    }
    if (status != DB_NOT_FOUND || !may_be_dense)
        return status == DB_NOT_FOUND ? DB_OK : status;
    open_at(&counted, fine->start_at);
    status = span_fill(db, place, fine->start_at, BUCKET_FINE_S, &counted);
    return status == DB_OK ? store_fine(db, place, &counted.fine[0]) : status;
}

static enum db_status write_merged(struct db *db, struct place place,
                                   const struct open_span *span, struct bucket *row)
{
    enum db_status status;

    db_bucket_merge(row, &span->middle);
    status = store_row(db, &place, row);
    place.level_s = BUCKET_FINE_S;
    for (int i = 0; i < BUCKET_FINE_COUNT && status == DB_OK; i++)
        if (span->fine[i].fact_count > 0)
            status = merge_fine(db, &place, &span->fine[i],
                                row->value_count >= BUCKET_FINE_MIN);
    return status;
}

static enum db_status learn_newest(struct db *db, const struct place *place,
                                   struct open_span *span)
{
    enum db_status status = DB_OK;

    if (!span->knows_newest)
        status = db_ask(db,
                        "SELECT coalesce(max(start_at), -1) FROM bucket WHERE"
                        " water_id = ?1 AND quantity = ?2 AND level_s = ?3",
                        &span->newest_at, place->water_id, place->quantity,
                        place->level_s);
    span->knows_newest = status == DB_OK;
    return status;
}

static enum db_status write_span(struct db *db, int64_t water_id, int quantity,
                                 struct open_span *span)
{
    struct place place = {water_id, quantity, BUCKET_MIDDLE_S};
    struct bucket row;
    enum db_status status;

    if (!span->is_open)
        return DB_OK;
    span->is_open = false;
    span->has_day = true;
    span->day_at = db_floor(span->middle.start_at, BUCKET_DAY_S);
    settle(span);
    status = learn_newest(db, &place, span);
    if (status != DB_OK)
        return status;
    if (span->is_stale)
        status = write_anew(db, place, span);
    else if (span->middle.start_at > span->newest_at)
        status = write_fresh(db, place, span);
    else if ((status = load_row(db, &place, span->middle.start_at, &row)) == DB_OK)
        return write_merged(db, place, span, &row);
    else if (status == DB_NOT_FOUND)
        status = write_fresh(db, place, span);
    if (span->middle.start_at > span->newest_at)
        span->newest_at = span->middle.start_at;
    span->is_open = false;
    return status;
}

static enum db_status write_day(struct db *db, int64_t water_id, int quantity,
                                struct open_span *span)
{
    struct place place = {water_id, quantity, BUCKET_DAY_S};
    struct bucket day = {.start_at = span->day_at};
    struct bucket row;
    sqlite3_stmt *stmt;
    enum db_status status;

    if (!span->has_day)
        return DB_OK;
    span->has_day = false;
    stmt =
        db_prepare(db, "SELECT " BUCKET_COLUMNS " FROM bucket WHERE water_id = ?1 AND"
                       " quantity = ?2 AND level_s = ?3 AND start_at >= ?4"
                       " AND start_at < ?5 ORDER BY start_at");
    db_bind(stmt, 1, water_id, quantity, BUCKET_MIDDLE_S, day.start_at,
            day.start_at + BUCKET_DAY_S);
    while (db_step_row(db, stmt, &status)) {
        db_bucket_read(stmt, &row);
        db_bucket_merge(&day, &row);
    }
    db_done(stmt);
    if (status != DB_OK)
        return status;
    return day.fact_count > 0 ? store_row(db, &place, &day)
                              : delete_rows(db, &place, day.start_at, day.start_at + 1);
}

/* ---- all quantities ---- */

enum db_status db_buckets_flush(struct db *db)
{
    struct bucket_state *state = db->buckets;
    enum db_status status = DB_OK;

    for (int i = 0; state != NULL && i < COIL_QUANTITY_COUNT && status == DB_OK; i++) {
        status = write_span(db, state->water_id, i, &state->spans[i]);
        if (status == DB_OK)
            status = write_day(db, state->water_id, i, &state->spans[i]);
    }
    return status;
}

void db_buckets_drop(struct db *db)
{
    for (int i = 0; db->buckets != NULL && i < COIL_QUANTITY_COUNT; i++) {
        db->buckets->spans[i].is_open = false;
        db->buckets->spans[i].has_day = false;
        db->buckets->spans[i].knows_newest = false;
    }
}

void db_buckets_destroy(struct db *db)
{
    free(db->buckets);
    db->buckets = NULL;
}

static enum db_status turn_to_water(struct db *db, int64_t water_id)
{
    enum db_status status = DB_OK;

    if (db->buckets == NULL)
        db->buckets = calloc(1, sizeof *db->buckets);
    if (db->buckets == NULL)
        return DB_FAILED;
    if (db->buckets->water_id != water_id) {
        status = db_buckets_flush(db);
        db_buckets_drop(db); /* what is known of the other water's rows */
        db->buckets->water_id = water_id;
    }
    return status;
}

/* Makes the span that holds `at` the open one of its quantity. */
static enum db_status turn_to_span(struct db *db, int quantity, int64_t at)
{
    struct bucket_state *state = db->buckets;
    struct open_span *span = &state->spans[quantity];
    int64_t start_at = db_floor(at, BUCKET_MIDDLE_S);
    enum db_status status;

    if (span->is_open && span->middle.start_at == start_at)
        return DB_OK;
    status = write_span(db, state->water_id, quantity, span);
    if (status == DB_OK && span->has_day && span->day_at != db_floor(at, BUCKET_DAY_S))
        status = write_day(db, state->water_id, quantity, span);
    open_at(span, start_at);
    return status;
}

enum db_status db_buckets_add(struct db *db, const struct db_reading *reading)
{
    enum db_status status = turn_to_water(db, reading->water_id);

    for (size_t i = 0; i < reading->value_count && status == DB_OK; i++) {
        const struct db_value *value = &reading->values[i];

        status = turn_to_span(db, (int)value->quantity, reading->fact.at);
        if (status == DB_OK)
            span_take(&db->buckets->spans[value->quantity], reading->fact.at,
                      value->amount_e6, value->method == COIL_METHOD_PROBE, true);
    }
    return status;
}

enum db_status db_buckets_renew(struct db *db, const struct db_reading *reading)
{
    enum db_status status = turn_to_water(db, reading->water_id);

    for (size_t i = 0; i < reading->value_count && status == DB_OK; i++) {
        int quantity = (int)reading->values[i].quantity;

        status = turn_to_span(db, quantity, reading->fact.at);
        db->buckets->spans[quantity].is_stale = true;
    }
    return status;
}

/* ---- all of it anew ---- */

/* Oldest first, so that each span is open once and its row is fresh. */
static enum db_status rebuild_water(struct db *db, int64_t water_id)
{
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        "SELECT f.measured_at, NOT EXISTS (SELECT 1 FROM reading s WHERE s.supersedes"
        " = f.id), %s FROM reading f WHERE f.water_id = ?1 AND f.withdrawn = 0"
        " ORDER BY f.measured_at, f.id",
        db_reading_table.columns);
    enum db_status status = turn_to_water(db, water_id);
    struct db_reading reading;

    db_bind(stmt, 1, water_id);
    while (status == DB_OK && db_step_row(db, stmt, &status)) {
        memset(&reading, 0, sizeof reading);
        db_reading_table.read(stmt, 2, &reading);
        reading.fact.at = sqlite3_column_int64(stmt, 0);
        for (size_t i = 0; i < reading.value_count && status == DB_OK; i++) {
            const struct db_value *value = &reading.values[i];

            status = turn_to_span(db, (int)value->quantity, reading.fact.at);
            span_take(&db->buckets->spans[value->quantity], reading.fact.at,
                      value->amount_e6, value->method == COIL_METHOD_PROBE,
                      sqlite3_column_int(stmt, 1) != 0);
        }
    }
    db_done(stmt);
    return status == DB_OK ? db_buckets_flush(db) : status;
}

enum db_status db_series_rebuild(struct db *db)
{
    struct db_scope scope;
    int64_t water_id = 0;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    db_buckets_drop(db);
    status = db_exec(db, "DELETE FROM bucket");
    while (status == DB_OK) {
        status = db_ask(db, "SELECT id FROM water WHERE id > ?1 ORDER BY id LIMIT 1",
                        &water_id, water_id);
        if (status == DB_OK)
            status = rebuild_water(db, water_id);
    }
    return db_scope_end(&scope, status == DB_NOT_FOUND ? DB_OK : status);
}
