/* The connection: opening, its settings, transactions. */
#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "db_private.h"
#include "log.h"

#define BUSY_TIMEOUT_MS 5000
#define CACHE_KIB 1024 /* of each connection; the system caches the file as well */
#define JOURNAL_SIZE_LIMIT (16 * 1024 * 1024)

/* Set and read back on every connection: Debian's SQLite starts with foreign_keys off,
 * trusted_schema on, recursive_triggers off and no busy_timeout. synchronous 2 is FULL:
 * a commit is on the disk when it returns. */
static const struct setting {
    const char *name;
    int64_t value;
} settings[] = {
    {"synchronous", 2},     {"foreign_keys", 1},
    {"trusted_schema", 0},  {"recursive_triggers", 1},
    {"cell_size_check", 1}, {"busy_timeout", BUSY_TIMEOUT_MS},
    {"mmap_size", 0},       {"journal_size_limit", JOURNAL_SIZE_LIMIT},
    {"cache_size", -CACHE_KIB},
};

static enum db_status pragma_integer(struct db *db, const char *sql, int64_t *out_value)
{
    sqlite3_stmt *stmt = NULL;
    enum db_status status;

    status = db_status_from(db, sqlite3_prepare_v2(db->handle, sql, -1, &stmt, NULL));
    if (status == DB_OK && db_step_row(db, stmt, &status))
        *out_value = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return status;
}

static enum db_status apply_setting(struct db *db, const struct setting *setting)
{
    char sql[80];
    int64_t value = setting->value;
    enum db_status status;

    snprintf(sql, sizeof sql, "PRAGMA %s = %lld", setting->name,
             (long long)setting->value);
    status = db_exec(db, sql);
    snprintf(sql, sizeof sql, "PRAGMA %s", setting->name);
    if (status == DB_OK)
        status = pragma_integer(db, sql, &value); /* memory has no mmap_size: no row */
    if (status == DB_OK && value != setting->value) {
        log_line(LOG_LEVEL_ERROR, "store", "%s stays at %lld", setting->name,
                 (long long)value);
        status = DB_FAILED;
    }
    return status;
}

static enum db_status apply_switch(struct db *db, int option, int wanted)
{
    int value = -1;
    int code = sqlite3_db_config(db->handle, option, wanted, &value);

    if (code == SQLITE_OK && value != wanted)
        code = SQLITE_ERROR;
    return db_status_from(db, code);
}

/* Readers of a write-ahead log never wait for the writer. A reading connection cannot
 * set the mode, only find it set. */
static enum db_status apply_journal_mode(struct db *db)
{
    sqlite3_stmt *stmt = NULL;
    const char *sql =
        db->mode == DB_READ_WRITE ? "PRAGMA journal_mode = wal" : "PRAGMA journal_mode";
    char mode[16] = "";
    enum db_status status;

    status = db_status_from(db, sqlite3_prepare_v2(db->handle, sql, -1, &stmt, NULL));
    if (status == DB_OK && db_step_row(db, stmt, &status))
        db_read_text(stmt, 0, mode, sizeof mode);
    sqlite3_finalize(stmt);
    if (status == DB_OK && strcmp(mode, "wal") != 0 && strcmp(mode, "memory") != 0) {
        log_line(LOG_LEVEL_ERROR, "store", "journal mode is %s, not wal", mode);
        status = DB_FAILED;
    }
    return status;
}

static enum db_status apply_settings(struct db *db)
{
    enum db_status status = DB_OK;

    for (size_t i = 0; i < sizeof settings / sizeof settings[0] && status == DB_OK; i++)
        status = apply_setting(db, &settings[i]);
    if (status == DB_OK)
        status = apply_switch(db, SQLITE_DBCONFIG_DEFENSIVE, 1);
    if (status == DB_OK)
        status = apply_switch(db, SQLITE_DBCONFIG_DQS_DML, 0);
    if (status == DB_OK)
        status = apply_switch(db, SQLITE_DBCONFIG_DQS_DDL, 0);
    return status == DB_OK ? apply_journal_mode(db) : status;
}

/* Made here and not by SQLite, whose mode depends on the umask; the files it adds
 * beside this one take this one's mode. */
static enum db_status create_file(const char *path)
{
    int fd = open(path, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);

    if (fd < 0) {
        log_line(LOG_LEVEL_ERROR, "store", "the database file cannot be made");
        return DB_FULL;
    }
    close(fd);
    return DB_OK;
}

static enum db_status prepare_file(const char *path, enum db_mode mode, size_t newest)
{
    int version = 0;
    enum db_status status = db_inspect(path, (int)newest, &version);

    if (status == DB_NOT_FOUND && mode == DB_READ_WRITE)
        return create_file(path);
    if (status == DB_OK && mode == DB_READ_ONLY && version != (int)newest) {
        log_line(LOG_LEVEL_ERROR, "store", "the database has an older version");
        return DB_FAILED;
    }
    return status;
}

static enum db_status connect_to(struct db *db, const char *path)
{
    int flags =
        db->mode == DB_READ_WRITE ? SQLITE_OPEN_READWRITE : SQLITE_OPEN_READONLY;
    int code;

    db->path = strdup(path);
    if (db->path == NULL)
        return DB_FAILED;
    code = sqlite3_open_v2(path, &db->handle, flags | SQLITE_OPEN_NOMUTEX, NULL);
    if (db->handle != NULL)
        sqlite3_extended_result_codes(db->handle, 1);
    return db_status_from(db, code);
}

/* SQLite counts its memory under a lock of the whole process; nobody asks. */
static void configure(void)
{
    sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);
}

enum db_status db_open_with(const char *path, enum db_mode mode,
                            const struct db_step *steps, size_t count,
                            struct db **out_db)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    struct db *db = NULL;
    enum db_status status = DB_OK;

    pthread_once(&once, configure);
    if (strcmp(path, ":memory:") != 0)
        status = prepare_file(path, mode, count);
    if (status != DB_OK)
        return status;
    db = calloc(1, sizeof *db);
    if (db == NULL)
        return DB_FAILED;
    db->mode = mode;
    status = connect_to(db, path);
    if (status == DB_OK)
        status = apply_settings(db);
    if (status == DB_OK && mode == DB_READ_WRITE)
        status = db_migrate(db, steps, count);
    if (status != DB_OK) {
        db_close(db);
        return status;
    }
    *out_db = db;
    return DB_OK;
}

enum db_status db_open(const char *path, enum db_mode mode, struct db **out_db)
{
    return db_open_with(path, mode, db_steps, db_step_count, out_db);
}

void db_release(struct db *db)
{
    db_forget_statements(db);
    sqlite3_db_release_memory(db->handle);
}

void db_close(struct db *db)
{
    if (db == NULL)
        return;
    db_forget_statements(db);
    db_buckets_destroy(db);
    sqlite3_close(db->handle);
    free(db->path);
    free(db);
}

/* ---- transactions ---- */

enum db_status db_begin(struct db *db)
{
    return db_exec(db, "BEGIN IMMEDIATE");
}

/* A clock behind the newest fact is wrong, so the newest time of entry is kept where it
 * is found at once. */
static enum db_status keep_newest_recorded_at(struct db *db)
{
    sqlite3_stmt *stmt;

    if (db->newest_recorded_at == 0)
        return DB_OK;
    stmt = db_prepare(db, "INSERT INTO derived VALUES ('newest_recorded_at', ?1)"
                          " ON CONFLICT (name) DO UPDATE SET value = ?1"
                          " WHERE value < ?1");
    db_bind(stmt, 1, db->newest_recorded_at);
    return db_run_once(db, stmt);
}

/* Writes what is still in memory. */
static enum db_status write_rest(struct db *db)
{
    enum db_status status = db_bulk_end(db);

    if (status == DB_OK)
        status = db_buckets_flush(db);
    return status == DB_OK ? keep_newest_recorded_at(db) : status;
}

static void drop_rest(struct db *db)
{
    db_bulk_drop(db);
    db_buckets_drop(db);
    db->newest_recorded_at = 0;
}

enum db_status db_commit(struct db *db)
{
    enum db_status status = write_rest(db);

    if (status == DB_OK)
        status = db_exec(db, "COMMIT");
    if (status != DB_OK)
        db_rollback(db);
    db->newest_recorded_at = 0;
    return status;
}

void db_rollback(struct db *db)
{
    drop_rest(db);
    if (!sqlite3_get_autocommit(db->handle))
        db_exec(db, "ROLLBACK");
}

enum db_status db_part_begin(struct db *db)
{
    return db_exec(db, "SAVEPOINT part");
}

enum db_status db_part_keep(struct db *db)
{
    enum db_status status = write_rest(db);

    db->newest_recorded_at = 0;
    return status == DB_OK ? db_exec(db, "RELEASE part") : status;
}

enum db_status db_part_drop(struct db *db)
{
    drop_rest(db);
    if (sqlite3_get_autocommit(db->handle))
        return DB_FAILED;
    return db_exec(db, "ROLLBACK TO part; RELEASE part");
}

static enum db_status scope_begin(struct db *db, const char *sql, struct db_scope *out)
{
    out->db = db;
    out->is_own = sqlite3_get_autocommit(db->handle) != 0;
    return out->is_own ? db_exec(db, sql) : DB_OK;
}

enum db_status db_scope_write(struct db *db, struct db_scope *out)
{
    return scope_begin(db, "BEGIN IMMEDIATE", out);
}

enum db_status db_scope_read(struct db *db, struct db_scope *out)
{
    enum db_status status = scope_begin(db, "BEGIN", out);

    /* What the open transaction has not written out yet counts too. */
    if (status == DB_OK && !out->is_own)
        status = db_bulk_flush(db);
    return status == DB_OK && !out->is_own ? db_buckets_flush(db) : status;
}

enum db_status db_scope_end(struct db_scope *scope, enum db_status status)
{
    if (!scope->is_own)
        return status;
    scope->is_own = false;
    if (status == DB_OK)
        return db_commit(scope->db);
    db_rollback(scope->db);
    return status;
}

/* The row is written and taken out again, so the commit reaches the disk and leaves
 * nothing behind. */
bool db_is_writable(struct db *db)
{
    struct db_scope scope;
    enum db_status status;

    if (db_scope_write(db, &scope) != DB_OK)
        return false;
    status = db_exec(db, "INSERT INTO derived VALUES ('writable', 1)");
    if (status == DB_OK)
        status = db_exec(db, "DELETE FROM derived WHERE name = 'writable'");
    return db_scope_end(&scope, status) == DB_OK;
}

enum db_status db_newest_recorded_at(struct db *db, int64_t *out_at)
{
    int64_t kept = 0;
    enum db_status status =
        db_ask_list(db, "SELECT value FROM derived WHERE name = 'newest_recorded_at'",
                    &kept, NULL, 0);

    if (status == DB_NOT_FOUND)
        status = DB_OK;
    if (status == DB_OK)
        *out_at = kept > db->newest_recorded_at ? kept : db->newest_recorded_at;
    return status;
}
