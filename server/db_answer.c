/* Answers kept for repeated requests, the journal, jumps of the clock, import batches.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "db_chain.h"
#include "db_private.h"

/* ---- answers ---- */

static enum db_status read_answer(sqlite3_stmt *stmt, struct db_answer *out)
{
    int length = sqlite3_column_bytes(stmt, 4);
    const void *body = sqlite3_column_blob(stmt, 4);

    memset(out, 0, sizeof *out);
    out->body = malloc((size_t)length + 1); /* ended with a 0 for who prints it */
    if (out->body == NULL)
        return DB_FAILED;
    if (length > 0)
        memcpy(out->body, body, (size_t)length);
    out->body[length] = '\0';
    out->body_length = (size_t)length;
    memcpy(out->request_hash, sqlite3_column_blob(stmt, 0), sizeof out->request_hash);
    out->status = sqlite3_column_int(stmt, 1);
    db_read_text(stmt, 2, out->etag, sizeof out->etag);
    db_read_text(stmt, 3, out->location, sizeof out->location);
    return DB_OK;
}

enum db_status db_answer_get(struct db *db, const char *key, struct db_answer *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT request_hash, status, etag, location, body"
                       " FROM answer WHERE key = ?1");
    enum db_status status;

    db_bind_text(stmt, 1, key);
    if (db_step_row(db, stmt, &status))
        status = read_answer(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_answer_put(struct db *db, const char *key, int64_t at,
                             const struct db_answer *answer)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "INSERT INTO answer (key, at, request_hash, status, etag, location,"
            " body) VALUES (?, ?, ?, ?, ?, ?, ?)");

    db_bind_text(stmt, 1, key);
    db_bind(stmt, 2, at);
    sqlite3_bind_blob(stmt, 3, answer->request_hash, sizeof answer->request_hash,
                      SQLITE_STATIC);
    db_bind(stmt, 4, answer->status);
    db_bind_text(stmt, 5, answer->etag);
    db_bind_text(stmt, 6, answer->location);
    sqlite3_bind_blob64(stmt, 7, answer->body_length > 0 ? answer->body : "",
                        answer->body_length, SQLITE_STATIC);
    return db_run_once(db, stmt);
}

enum db_status db_answer_forget(struct db *db, int64_t older_than)
{
    sqlite3_stmt *stmt = db_prepare(db, "DELETE FROM answer WHERE at < ?1");

    db_bind(stmt, 1, older_than);
    return db_run_once(db, stmt);
}

/* ---- journal ---- */

enum db_status db_journal_add(struct db *db, int64_t at, int64_t actor_id,
                              const char *peer, const char *action, const char *entity,
                              int64_t entity_id, const char *before, const char *after)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO journal (at, actor_id, peer, action, entity,"
                       " entity_id, before, after) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    enum db_status status;

    db_bind(stmt, 1, at);
    db_bind_id(stmt, 2, actor_id);
    db_bind_text(stmt, 3, peer == NULL ? "" : peer);
    db_bind_text(stmt, 4, action);
    db_bind_text(stmt, 5, entity);
    db_bind(stmt, 6, entity_id);
    db_bind_text(stmt, 7, before);
    db_bind_text(stmt, 8, after);
    status = db_run_once(db, stmt);
    if (status == DB_OK)
        status = db_chain_add(db, sqlite3_last_insert_rowid(db->handle));
    return status;
}

/* ---- clock ---- */

enum db_status db_clock_jump_add(struct db *db, int64_t at, int64_t jump_s)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO clock_jump (at, jump_s) VALUES (?, ?)");

    db_bind(stmt, 1, at, jump_s);
    return db_run_once(db, stmt);
}

enum db_status db_clock_confirm(struct db *db, int64_t at, int64_t actor_id)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO clock_confirmation (at, actor_id, newest_jump_id)"
                       " SELECT ?, ?, coalesce(max(id), 0) FROM clock_jump");

    db_bind(stmt, 1, at, actor_id);
    return db_run_once(db, stmt);
}

enum db_status db_clock_open_jump(struct db *db, int64_t *out_at, int64_t *out_jump_s)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT at, jump_s FROM clock_jump WHERE id >"
                       " coalesce((SELECT newest_jump_id FROM clock_confirmation"
                       " ORDER BY id DESC LIMIT 1), 0) ORDER BY id DESC LIMIT 1");
    enum db_status status;

    *out_at = 0;
    *out_jump_s = 0;
    if (db_step_row(db, stmt, &status)) {
        *out_at = sqlite3_column_int64(stmt, 0);
        *out_jump_s = sqlite3_column_int64(stmt, 1);
    }
    db_done(stmt);
    return status;
}

/* ---- batches ---- */

enum db_status db_batch_add(struct db *db, int64_t at, int64_t actor_id,
                            const char *file_name, int64_t rows, int64_t *out_batch_id)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO batch (at, actor_id, file_name, row_count,"
                       " first_reading_id) VALUES (?1, ?2, ?3, ?4,"
                       " coalesce((SELECT max(id) FROM reading), 0) + 1)");
    enum db_status status;

    db_bind(stmt, 1, at, actor_id);
    db_bind_text(stmt, 3, file_name == NULL ? "" : file_name);
    db_bind(stmt, 4, rows);
    status = db_run_once(db, stmt);
    if (status == DB_OK)
        *out_batch_id = sqlite3_last_insert_rowid(db->handle);
    return status;
}

static enum db_status withdraw_rows(struct db *db, int64_t batch_id, int64_t first_id,
                                    int64_t actor_id, int64_t at, const char *reason)
{
    const char *columns = db_reading_table.columns;
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        "INSERT INTO reading (" FACT_INSERT_COLUMNS ", %s)"
        " SELECT measured_at, ?3, ?4, NULL, id, 1, '', ?5, %s FROM reading f"
        " WHERE id >= ?2 AND batch_id = ?1 AND withdrawn = 0 AND NOT EXISTS"
        " (SELECT 1 FROM reading s WHERE s.supersedes = f.id) ORDER BY id",
        columns, columns);

    db_bind(stmt, 1, batch_id, first_id, at, actor_id);
    db_bind_text(stmt, 5, reason == NULL ? "" : reason);
    return db_run_once(db, stmt);
}

static enum db_status renew_batch(struct db *db, int64_t batch_id, int64_t first_id)
{
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        "SELECT measured_at, %s FROM reading WHERE id >= ?2 AND batch_id = ?1"
        " ORDER BY id",
        db_reading_table.columns);
    struct db_reading reading;
    enum db_status status;

    db_bind(stmt, 1, batch_id, first_id);
    while (db_step_row(db, stmt, &status)) {
        memset(&reading, 0, sizeof reading);
        reading.fact.at = sqlite3_column_int64(stmt, 0);
        db_reading_table.read(stmt, 1, &reading);
        status = db_buckets_renew(db, &reading);
        if (status != DB_OK)
            break;
    }
    db_done(stmt);
    return status;
}

enum db_status db_batch_withdraw(struct db *db, int64_t batch_id, int64_t actor_id,
                                 int64_t at, const char *reason, int64_t *out_count)
{
    struct db_scope scope;
    int64_t first_id = 0, count = 0;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_ask(db, "SELECT first_reading_id FROM batch WHERE id = ?1", &first_id,
                    batch_id);
    if (status == DB_OK)
        status = withdraw_rows(db, batch_id, first_id, actor_id, at, reason);
    if (status == DB_OK)
        count = sqlite3_changes64(db->handle);
    if (status == DB_OK && count > 0)
        status = renew_batch(db, batch_id, first_id);
    if (status == DB_OK && count > 0 && at > db->newest_recorded_at)
        db->newest_recorded_at = at;
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        *out_count = count;
    return status;
}
