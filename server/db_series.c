/*
 * One quantity over a span of time for a plot: at most four points a column, so that no
 * column loses its lowest or highest value.
 *
 * Whole columns come from the coarsest summaries that are not wider than a column; the
 * two ends of the window come from finer ones, and last from the readings themselves.
 */
#include <stdlib.h>
#include <string.h>

#include "db_private.h"

/* Coarse to fine; after the last one come the readings. */
static const int64_t levels_s[] = {BUCKET_DAY_S, BUCKET_MIDDLE_S, BUCKET_FINE_S};
#define LEVEL_COUNT 3

struct plot {
    struct db *db;
    int64_t water_id;
    enum coil_quantity quantity;
    struct db_series *out;
    size_t capacity;
    bool is_out_of_memory;
    int64_t column_at; /* start of the open column */
    struct bucket column;
};

/* ---- out ---- */

static void put_point(struct plot *plot, int64_t at, int64_t value_e6)
{
    struct db_series *out = plot->out;

    if (out->count > 0 && out->time_s[out->count - 1] == at &&
        out->value_e6[out->count - 1] == value_e6)
        return;
    if (out->count == plot->capacity) {
        size_t capacity = plot->capacity * 2 + 256;
        int64_t *times = realloc(out->time_s, capacity * sizeof *times);
        int64_t *values = NULL;

        if (times != NULL)
            out->time_s = times;
        values =
            times == NULL ? NULL : realloc(out->value_e6, capacity * sizeof *values);
        if (values == NULL) {
            plot->is_out_of_memory = true;
            return;
        }
        out->value_e6 = values;
        plot->capacity = capacity;
    }
    out->time_s[out->count] = at;
    out->value_e6[out->count] = value_e6;
    out->count++;
}

static void close_column(struct plot *plot)
{
    const struct bucket *column = &plot->column;
    bool is_low_first = column->low_at <= column->high_at;

    if (column->value_count == 0)
        return;
    put_point(plot, column->first_at, column->first_e6);
    if (is_low_first)
        put_point(plot, column->low_at, column->low_e6);
    put_point(plot, column->high_at, column->high_e6);
    if (!is_low_first)
        put_point(plot, column->low_at, column->low_e6);
    put_point(plot, column->last_at, column->last_e6);
    plot->out->facts += column->value_count;
    memset(&plot->column, 0, sizeof plot->column);
}

static void take_bucket(struct plot *plot, const struct bucket *bucket)
{
    int64_t column_at;

    if (bucket->value_count == 0)
        return;
    column_at = db_floor(bucket->first_at, plot->out->step_s);
    if (column_at != plot->column_at)
        close_column(plot);
    plot->column_at = column_at;
    db_bucket_merge(&plot->column, bucket);
}

static void take_value(struct plot *plot, int64_t at, int64_t amount_e6)
{
    struct bucket one = {0};

    db_bucket_take(&one, at, amount_e6);
    take_bucket(plot, &one);
}

/* ---- from the readings ---- */

static enum db_status take_readings(struct plot *plot, int64_t from, int64_t before)
{
    char column[VALUE_COLUMN_SIZE];
    sqlite3_stmt *stmt;
    enum db_status status = DB_OK;

    if (from >= before)
        return DB_OK;
    db_value_column(plot->quantity, column, sizeof column);
    stmt = db_prepare_format(
        plot->db,
        "SELECT f.measured_at, f.%s FROM reading f WHERE f.water_id = ?1 AND"
        " f.measured_at >= ?2 AND f.measured_at < ?3 AND f.%s IS NOT NULL AND"
        " f.withdrawn = 0 AND NOT EXISTS"
        " (SELECT 1 FROM reading s WHERE s.supersedes = f.id)"
        " ORDER BY f.measured_at, f.id",
        column, column);
    db_bind(stmt, 1, plot->water_id, from, before);
    while (db_step_row(plot->db, stmt, &status))
        take_value(plot, sqlite3_column_int64(stmt, 0), sqlite3_column_int64(stmt, 1));
    db_done(stmt);
    return status;
}

static sqlite3_stmt *prepare_rows(struct plot *plot, int64_t level_s, int64_t from,
                                  int64_t before)
{
    sqlite3_stmt *stmt = db_prepare(
        plot->db, "SELECT " BUCKET_COLUMNS " FROM bucket WHERE water_id = ?1"
                  " AND quantity = ?2 AND level_s = ?3 AND start_at >= ?4"
                  " AND start_at < ?5 AND value_count > 0 ORDER BY start_at");

    db_bind(stmt, 1, plot->water_id, plot->quantity, level_s, from, before);
    return stmt;
}

/*
 * The middle summaries say where the quantity has values at all: a pH probe every
 * minute must not be waded through for a hardness once a month. Neighbouring spans are
 * read in one go; one or two values stand in the summary itself.
 */
static enum db_status take_facts(struct plot *plot, int64_t from, int64_t before)
{
    sqlite3_stmt *stmt =
        prepare_rows(plot, BUCKET_MIDDLE_S, db_floor(from, BUCKET_MIDDLE_S), before);
    int64_t run_from = from, run_before = from;
    enum db_status status;
    struct bucket row;

    while (db_step_row(plot->db, stmt, &status)) {
        int64_t row_from, row_before;
        bool is_whole;

        db_bucket_read(stmt, &row);
        row_from = row.start_at < from ? from : row.start_at;
        row_before = row.start_at + BUCKET_MIDDLE_S;
        row_before = row_before > before ? before : row_before;
        is_whole = row.first_at >= from && row.last_at < before && row.value_count <= 2;
        if (is_whole || row_from != run_before) {
            status = take_readings(plot, run_from, run_before);
            run_from = row_from;
        }
        run_before = row_before;
        if (is_whole) {
            take_value(plot, row.first_at, row.first_e6);
            if (row.value_count == 2)
                take_value(plot, row.last_at, row.last_e6);
            run_from = row_before;
        }
        if (status != DB_OK)
            break;
    }
    db_done(stmt);
    return status == DB_OK ? take_readings(plot, run_from, run_before) : status;
}

/* ---- from the summaries ---- */

/* Where the finest level has no row there are few values or none. */
static enum db_status take_rows(struct plot *plot, int64_t level_s, int64_t from,
                                int64_t before)
{
    bool has_gaps = level_s == BUCKET_FINE_S;
    sqlite3_stmt *stmt = prepare_rows(plot, level_s, from, before);
    int64_t done_before = from;
    enum db_status status;
    struct bucket row;

    while (db_step_row(plot->db, stmt, &status)) {
        db_bucket_read(stmt, &row);
        if (has_gaps && row.start_at > done_before)
            status = take_facts(plot, done_before, row.start_at);
        if (status != DB_OK)
            break;
        take_bucket(plot, &row);
        done_before = row.start_at + level_s;
    }
    db_done(stmt);
    if (status == DB_OK && has_gaps && done_before < before)
        status = take_facts(plot, done_before, before);
    return status;
}

static enum db_status take_span(struct plot *plot, size_t level, int64_t from,
                                int64_t before)
{
    int64_t level_s, first, end;
    enum db_status status = DB_OK;

    if (from >= before)
        return DB_OK;
    if (level == LEVEL_COUNT)
        return take_facts(plot, from, before);
    level_s = levels_s[level];
    first = db_floor(from + level_s - 1, level_s);
    end = db_floor(before, level_s);
    if (first >= end)
        return take_span(plot, level + 1, from, before);
    status = take_span(plot, level + 1, from, first);
    if (status == DB_OK)
        status = take_rows(plot, level_s, first, end);
    return status == DB_OK ? take_span(plot, level + 1, end, before) : status;
}

/* The coarsest level not wider than a column; columns are whole multiples of it. */
static size_t choose_level(int64_t span_s, int columns, struct db_series *out)
{
    int64_t ideal_s = span_s / columns;
    size_t level = 0;

    while (level < LEVEL_COUNT && levels_s[level] > ideal_s)
        level++;
    out->bucket_s = level < LEVEL_COUNT ? levels_s[level] : 1;
    out->step_s = (ideal_s + out->bucket_s / 2) / out->bucket_s * out->bucket_s;
    if (out->step_s < 1)
        out->step_s = 1;
    return level;
}

enum db_status db_series(struct db *db, int64_t water_id, enum coil_quantity quantity,
                         int64_t from, int64_t until, int columns,
                         struct db_series *out)
{
    struct plot plot = {
        .db = db, .water_id = water_id, .quantity = quantity, .out = out};
    struct db_scope scope;
    size_t level;
    enum db_status status;

    memset(out, 0, sizeof *out);
    if (columns < 1 || coil_quantity_info(quantity) == NULL)
        return DB_FAILED;
    if (until > DB_TIME_MAX)
        until = DB_TIME_MAX;
    if (from < 0)
        from = 0;
    level = choose_level(from <= until ? until - from + 1 : 1, columns, out);
    status = db_scope_read(db, &scope);
    if (status != DB_OK)
        return status;
    status = take_span(&plot, level, from, until + 1);
    close_column(&plot);
    if (plot.is_out_of_memory)
        status = DB_FAILED;
    status = db_scope_end(&scope, status);
    if (status != DB_OK)
        db_series_finish(out);
    return status;
}

void db_series_finish(struct db_series *series)
{
    free(series->time_s);
    free(series->value_e6);
    memset(series, 0, sizeof *series);
}

static enum db_status extent_of(struct db *db, int64_t water_id, int quantity,
                                const char *sql, int64_t *out_at)
{
    return db_ask(db, sql, out_at, water_id, quantity, BUCKET_DAY_S);
}

enum db_status db_series_extent(struct db *db, int64_t water_id, int64_t *out_first,
                                int64_t *out_last)
{
    static const char first_sql[] =
        "SELECT first_at FROM bucket WHERE water_id = ?1 AND quantity = ?2 AND"
        " level_s = ?3 AND value_count > 0 ORDER BY start_at LIMIT 1";
    static const char last_sql[] =
        "SELECT last_at FROM bucket WHERE water_id = ?1 AND quantity = ?2 AND"
        " level_s = ?3 AND value_count > 0 ORDER BY start_at DESC LIMIT 1";
    struct db_scope scope;
    enum db_status status = db_scope_read(db, &scope);
    int64_t first = INT64_MAX, last = 0;

    for (int i = 0; i < COIL_QUANTITY_COUNT && status == DB_OK; i++) {
        int64_t at = 0;

        status = extent_of(db, water_id, i, first_sql, &at);
        if (status == DB_OK && at < first)
            first = at;
        if (status == DB_OK)
            status = extent_of(db, water_id, i, last_sql, &at);
        if (status == DB_OK && at > last)
            last = at;
        status = status == DB_NOT_FOUND ? DB_OK : status;
    }
    status = db_scope_end(&scope, status);
    *out_first = first == INT64_MAX ? 0 : first;
    *out_last = first == INT64_MAX ? 0 : last;
    return status;
}
