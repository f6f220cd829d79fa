#include "db_backup.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "db_chain.h"
#include "db_private.h"
#include "log.h"

#define PAGES_A_STEP 512

/* ---- copying ---- */

static enum db_status make_file(const char *path)
{
    int fd = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);

    if (fd < 0)
        return DB_FULL;
    close(fd);
    return DB_OK;
}

static enum db_status copy_pages(struct db *about, sqlite3 *to, sqlite3 *from)
{
    sqlite3_backup *backup = sqlite3_backup_init(to, "main", from, "main");
    int code = SQLITE_OK;

    if (backup == NULL)
        return db_status_from(about, sqlite3_errcode(to));
    while (code == SQLITE_OK)
        code = sqlite3_backup_step(backup, PAGES_A_STEP);
    sqlite3_backup_finish(backup);
    return code == SQLITE_DONE ? DB_OK : db_status_from(about, code);
}

/* What was deleted is overwritten too, so that nothing of it stays on a free page. */
static enum db_status leave_secrets_out(sqlite3 *copy)
{
    static const char sql[] = "PRAGMA journal_mode = delete;"
                              "PRAGMA secure_delete = on;"
                              "BEGIN;"
                              "DELETE FROM session;"
                              "DELETE FROM known_device;"
                              "UPDATE token SET hash = NULL;"
                              "COMMIT;";

    return sqlite3_exec(copy, sql, NULL, NULL, NULL) == SQLITE_OK ? DB_OK : DB_FAILED;
}

/* A reading transaction keeps the source at one instant, however long the copy takes.
 */
static enum db_status copy_instant(struct db *from, sqlite3 *to)
{
    enum db_status status = db_exec(from, "BEGIN; SELECT count(*) FROM sqlite_schema");

    if (status == DB_OK)
        status = copy_pages(from, to, from->handle);
    if (!sqlite3_get_autocommit(from->handle))
        db_exec(from, "COMMIT");
    return status == DB_OK ? leave_secrets_out(to) : status;
}

enum db_status db_backup(struct db *from, const char *path)
{
    sqlite3 *to = NULL;
    enum db_status status = make_file(path);

    if (status != DB_OK)
        return status;
    if (sqlite3_open_v2(path, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL) !=
        SQLITE_OK)
        status = DB_FAILED;
    if (status == DB_OK)
        status = copy_instant(from, to);
    if (sqlite3_close(to) != SQLITE_OK && status == DB_OK)
        status = DB_FAILED;
    if (status == DB_OK)
        status = db_sync_file(path);
    if (status != DB_OK)
        unlink(path);
    return status;
}

/* ---- checking ---- */

/* The first row's text is "ok" when all is well. */
static enum db_status check_integrity(struct db *db, struct db_check *out)
{
    sqlite3_stmt *stmt = db_prepare(db, "PRAGMA integrity_check(1)");
    char text[120] = "";
    enum db_status status;

    if (db_step_row(db, stmt, &status))
        db_read_text(stmt, 0, text, sizeof text);
    db_done(stmt);
    if (status == DB_OK && strcmp(text, "ok") != 0)
        snprintf(out->fault, sizeof out->fault, "the file is damaged: %s", text);
    return status;
}

static enum db_status check_references(struct db *db, struct db_check *out)
{
    sqlite3_stmt *stmt = db_prepare(db, "PRAGMA foreign_key_check");
    char table[64] = "";
    enum db_status status;

    if (db_step_row(db, stmt, &status)) {
        db_read_text(stmt, 0, table, sizeof table);
        snprintf(out->fault, sizeof out->fault,
                 "row %lld of %s belongs to something that is not there",
                 (long long)sqlite3_column_int64(stmt, 1), table);
    }
    db_done(stmt);
    return status;
}

static enum db_status count_facts(struct db *db, struct db_check *out)
{
    return db_ask(db,
                  "SELECT (SELECT count(*) FROM reading) + (SELECT count(*) FROM dose)"
                  " + (SELECT count(*) FROM run) + (SELECT count(*) FROM heater_state)"
                  " + 0 * ?1",
                  &out->fact_count, 0);
}

static enum db_status check_chain(struct db *db, struct db_check *out)
{
    int64_t has_chain = 0, bad_id = 0;
    enum db_status status =
        db_ask(db, "SELECT count(*) FROM sqlite_schema WHERE name = 'chain' AND ?1",
               &has_chain, 1);

    if (status != DB_OK || has_chain == 0)
        return status;
    status = db_chain_check(db, &bad_id, &out->journal_count, out->head);
    if (status == DB_OK && bad_id != 0)
        snprintf(
            out->fault, sizeof out->fault,
            "entry %lld of the journal was changed, added or taken away behind the "
            "program's back",
            (long long)bad_id);
    return status;
}

enum db_status db_check(struct db *db, struct db_check *out)
{
    enum db_status status;

    memset(out, 0, sizeof *out);
    status = check_integrity(db, out);
    if (status == DB_OK && out->fault[0] == '\0')
        status = check_references(db, out);
    if (status == DB_OK && out->fault[0] == '\0')
        status = check_chain(db, out);
    if (status == DB_OK && out->fault[0] == '\0')
        status = count_facts(db, out);
    if (status == DB_CORRUPT) {
        snprintf(out->fault, sizeof out->fault, "the file is damaged");
        status = DB_OK;
    }
    return status;
}

/* Bare: without our settings, which a file of another schema or a read-only place may
 * not take. */
enum db_status db_check_file(const char *path, struct db_check *out)
{
    struct db db = {.mode = DB_READ_ONLY};
    int version = 0;
    enum db_status status = db_inspect(path, (int)db_step_count, &version);

    memset(out, 0, sizeof *out);
    if (status != DB_OK)
        return status;
    if (version == 0)
        return DB_CORRUPT;
    if (sqlite3_open_v2(path, &db.handle, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX,
                        NULL) == SQLITE_OK) {
        sqlite3_extended_result_codes(db.handle, 1);
        sqlite3_busy_timeout(db.handle, 5000);
        status = db_check(&db, out);
    } else {
        status = DB_CORRUPT;
    }
    db_forget_statements(&db);
    sqlite3_close(db.handle);
    return status;
}

/* ---- restoring ---- */

enum db_status db_restore(struct db *db, const char *path)
{
    sqlite3 *from = NULL;
    enum db_status status = DB_FAILED;

    db_forget_statements(db);
    db_buckets_drop(db);
    if (sqlite3_open_v2(path, &from, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX,
                        NULL) == SQLITE_OK)
        status = copy_pages(db, db->handle, from);
    sqlite3_close(from);
    return status;
}
