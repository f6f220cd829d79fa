/* What readings, doses, runs and heater states have in common: who and when, the chain
 * of corrections, lists. */
#include <stdlib.h>
#include <string.h>

#include "db_private.h"

void db_fact_bind(sqlite3_stmt *stmt, const struct db_fact *fact)
{
    db_bind(stmt, 1, fact->at, fact->recorded_at, fact->actor_id);
    db_bind_id(stmt, 4, fact->batch_id);
    db_bind_id(stmt, 5, fact->supersedes);
    db_bind(stmt, 6, fact->withdrawn);
    db_bind_text(stmt, 7, fact->note);
    db_bind_text(stmt, 8, fact->reason);
}

void db_fact_read(sqlite3_stmt *stmt, struct db_fact *fact)
{
    fact->id = sqlite3_column_int64(stmt, 0);
    fact->at = sqlite3_column_int64(stmt, 1);
    fact->recorded_at = sqlite3_column_int64(stmt, 2);
    fact->actor_id = sqlite3_column_int64(stmt, 3);
    fact->batch_id = sqlite3_column_int64(stmt, 4); /* NULL reads as 0 */
    fact->supersedes = sqlite3_column_int64(stmt, 5);
    fact->superseded_by = sqlite3_column_int64(stmt, 6);
    fact->withdrawn = sqlite3_column_int(stmt, 7) != 0;
    db_read_text(stmt, 8, fact->actor, sizeof fact->actor);
    db_read_text(stmt, 9, fact->note, sizeof fact->note);
    db_read_text(stmt, 10, fact->reason, sizeof fact->reason);
}

static void read_record(const struct fact_table *table, sqlite3_stmt *stmt,
                        void *record)
{
    memset(record, 0, table->record_size);
    db_fact_read(stmt, record);
    table->read(stmt, FACT_COLUMNS, record);
}

enum db_status db_fact_get(struct db *db, const struct fact_table *table, int64_t id,
                           void *out)
{
    sqlite3_stmt *stmt = db_prepare_format(db, FACT_SELECT " WHERE f.id = ?1",
                                           table->name, table->columns, table->name);
    enum db_status status;

    db_bind(stmt, 1, id);
    if (db_step_row(db, stmt, &status))
        read_record(table, stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

/* The withdrawn one's instant and contents, under the withdrawal's own who and when. */
static void take_contents(const struct fact_table *table, void *record, const void *old)
{
    struct db_fact fact = *(struct db_fact *)record;

    memcpy(record, old, table->record_size);
    fact.at = ((const struct db_fact *)old)->at;
    *(struct db_fact *)record = fact;
}

enum db_status db_fact_check(struct db *db, const struct fact_table *table,
                             void *record)
{
    struct db_fact *fact = record;
    void *old = NULL;
    enum db_status status = DB_OK;

    if (fact->withdrawn && fact->supersedes == 0)
        return DB_FAILED;
    if (fact->supersedes != 0) {
        old = calloc(1, table->record_size);
        status =
            old == NULL ? DB_FAILED : db_fact_get(db, table, fact->supersedes, old);
    }
    if (status == DB_OK && old != NULL && ((struct db_fact *)old)->superseded_by != 0)
        status = DB_CONFLICT;
    if (status == DB_OK && fact->withdrawn)
        take_contents(table, record, old);
    if (status == DB_OK && fact->recorded_at > db->newest_recorded_at)
        db->newest_recorded_at = fact->recorded_at;
    free(old);
    return status;
}

static void parameters(int count, char *out, size_t size)
{
    size_t length = 0;

    for (int i = 0; i < count && length + 3 < size; i++) {
        memcpy(out + length, ", ?", 3);
        length += 3;
    }
    out[length] = '\0';
}

static enum db_status insert(struct db *db, const struct fact_table *table,
                             void *record)
{
    char marks[128];
    sqlite3_stmt *stmt;
    enum db_status status;

    parameters(FACT_PARAMETERS + table->column_count, marks, sizeof marks);
    stmt = db_prepare_format(db,
                             "INSERT INTO %s (" FACT_INSERT_COLUMNS ", %s) VALUES (%s)",
                             table->name, table->columns, marks + 2);
    if (stmt == NULL)
        return DB_FAILED;
    db_fact_bind(stmt, record);
    table->bind(stmt, FACT_PARAMETERS + 1, record);
    status = db_run_once(db, stmt);
    if (status == DB_OK)
        ((struct db_fact *)record)->id = sqlite3_last_insert_rowid(db->handle);
    return status;
}

enum db_status db_fact_add(struct db *db, const struct fact_table *table, void *record)
{
    struct db_scope scope;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_fact_check(db, table, record);
    if (status == DB_OK)
        status = insert(db, table, record);
    return db_scope_end(&scope, status);
}

static enum db_status read_records(struct db *db, const struct fact_table *table,
                                   sqlite3_stmt *stmt, void *out, size_t *out_count)
{
    char *record = out;
    enum db_status status;

    *out_count = 0;
    while (db_step_row(db, stmt, &status)) {
        read_record(table, stmt, record);
        record += table->record_size;
        (*out_count)++;
    }
    db_done(stmt);
    return status;
}

enum db_status db_fact_list(struct db *db, const struct fact_table *table,
                            const struct db_window *window, void *out,
                            size_t *out_count)
{
    bool is_start = window->before_at == 0 && window->before_id == 0;
    bool is_cut = !is_start && window->before_at <= window->until;
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        FACT_SELECT " WHERE f.%s = ?1 AND f.measured_at BETWEEN ?2 AND ?3"
                    " AND (f.measured_at < ?3 OR f.id < ?4)"
                    " AND (?5 OR (f.withdrawn = 0 AND NOT EXISTS"
                    " (SELECT 1 FROM %s s WHERE s.supersedes = f.id)))"
                    " ORDER BY f.measured_at DESC, f.id DESC LIMIT ?6",
        table->name, table->columns, table->name, table->subject, table->name);

    db_bind(stmt, 1, window->subject_id, window->from,
            is_cut ? window->before_at : window->until,
            is_cut ? window->before_id : INT64_MAX, window->with_history,
            window->limit > 0 ? window->limit : 0);
    return read_records(db, table, stmt, out, out_count);
}

/* ?1 subject, ?2 known at, ?3 at */
static sqlite3_stmt *prepare_asof(struct db *db, const struct fact_table *table,
                                  int64_t subject_id, struct db_asof asof,
                                  const char *order)
{
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        FACT_SELECT " WHERE f.%s = ?1 AND f.measured_at <= ?3 AND f.recorded_at <= ?2"
                    " AND" FACT_CURRENT " ORDER BY %s",
        table->name, table->columns, table->name, table->subject, table->name, order);

    db_bind(stmt, 1, subject_id, asof.known_at, asof.at);
    return stmt;
}

enum db_status db_fact_newest(struct db *db, const struct fact_table *table,
                              int64_t subject_id, struct db_asof asof, void *out,
                              size_t max, size_t *out_count)
{
    sqlite3_stmt *stmt = prepare_asof(db, table, subject_id, asof,
                                      "f.measured_at DESC, f.id DESC LIMIT ?4");

    db_bind(stmt, 4, (int64_t)max);
    return read_records(db, table, stmt, out, out_count);
}

enum db_status db_fact_each(struct db *db, const struct fact_table *table,
                            int64_t subject_id, struct db_asof asof,
                            bool (*take)(void *context, const void *record),
                            void *record, void *context)
{
    sqlite3_stmt *stmt =
        prepare_asof(db, table, subject_id, asof, "f.measured_at, f.id");
    enum db_status status;

    while (db_step_row(db, stmt, &status)) {
        read_record(table, stmt, record);
        if (!take(context, record))
            break;
    }
    db_done(stmt);
    return status;
}
