/* One way to prepare, bind, step and read, and SQLite's results in our words. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "db_private.h"
#include "log.h"

static enum db_status constraint_status(int extended)
{
    switch (extended) {
    case SQLITE_CONSTRAINT_FOREIGNKEY:
        return DB_NOT_FOUND;
    case SQLITE_CONSTRAINT_TRIGGER:
    case SQLITE_CONSTRAINT_PRIMARYKEY:
    case SQLITE_CONSTRAINT_ROWID:
    case SQLITE_CONSTRAINT_UNIQUE:
        return DB_CONFLICT;
    default:
        return DB_FAILED;
    }
}

static enum db_status plain_status(int code, int extended)
{
    switch (code & 0xff) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
        return DB_BUSY;
    case SQLITE_FULL:
    case SQLITE_READONLY:
        return DB_FULL;
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
        return DB_CORRUPT;
    case SQLITE_CONSTRAINT:
        return constraint_status(extended);
    default:
        return DB_FAILED;
    }
}

enum db_status db_status_from(struct db *db, int code)
{
    enum db_status status;

    if (code == SQLITE_OK || code == SQLITE_ROW || code == SQLITE_DONE)
        return DB_OK;
    if (db->handle == NULL)
        return DB_FAILED;
    status = plain_status(code, sqlite3_extended_errcode(db->handle));
    if (status != DB_OK)
        log_line(LOG_LEVEL_ERROR, "store", "%s (%d)", sqlite3_errmsg(db->handle),
                 sqlite3_extended_errcode(db->handle));
    return status;
}

/* FNV-1a: http://www.isthe.com/chongo/tech/comp/fnv/ */
static uint32_t text_hash(const char *text)
{
    uint32_t hash = 2166136261u;

    for (; *text != '\0'; text++)
        hash = (hash ^ (unsigned char)*text) * 16777619u;
    return hash;
}

/* Statements in use are never pushed out: a function holds few at a time. */
static struct db_cached *cache_slot(struct db *db)
{
    if (db->cache_count < DB_STATEMENTS_MAX)
        return &db->cache[db->cache_count++];
    for (size_t i = 0; i < DB_STATEMENTS_MAX; i++) {
        if (!sqlite3_stmt_busy(db->cache[i].stmt)) {
            struct db_cached oldest = db->cache[i];

            sqlite3_finalize(oldest.stmt);
            memmove(&db->cache[i], &db->cache[i + 1],
                    (DB_STATEMENTS_MAX - 1 - i) * sizeof db->cache[0]);
            return &db->cache[DB_STATEMENTS_MAX - 1];
        }
    }
    return NULL;
}

static sqlite3_stmt *cache_find(struct db *db, uint32_t hash, const char *sql)
{
    for (size_t i = 0; i < db->cache_count; i++)
        if (db->cache[i].hash == hash && !sqlite3_stmt_busy(db->cache[i].stmt) &&
            strcmp(sqlite3_sql(db->cache[i].stmt), sql) == 0)
            return db->cache[i].stmt;
    return NULL;
}

static sqlite3_stmt *prepare(struct db *db, const char *sql, const char *literal)
{
    uint32_t hash = text_hash(sql);
    sqlite3_stmt *stmt = cache_find(db, hash, sql);
    struct db_cached *slot;
    int code;

    if (stmt != NULL) {
        sqlite3_clear_bindings(stmt);
        return stmt;
    }
    code =
        sqlite3_prepare_v3(db->handle, sql, -1, SQLITE_PREPARE_PERSISTENT, &stmt, NULL);
    if (code != SQLITE_OK) {
        db_status_from(db, code);
        return NULL;
    }
    slot = cache_slot(db);
    if (slot == NULL) {
        log_line(LOG_LEVEL_ERROR, "store", "more statements in use than are kept");
        sqlite3_finalize(stmt);
        return NULL;
    }
    *slot = (struct db_cached){literal, hash, stmt};
    return stmt;
}

/* The same literal is the same text: found without looking at it. */
sqlite3_stmt *db_prepare(struct db *db, const char *literal)
{
    for (size_t i = 0; i < db->cache_count; i++)
        if (db->cache[i].literal == literal && !sqlite3_stmt_busy(db->cache[i].stmt)) {
            sqlite3_clear_bindings(db->cache[i].stmt);
            return db->cache[i].stmt;
        }
    return prepare(db, literal, literal);
}

sqlite3_stmt *db_prepare_format(struct db *db, const char *format, ...)
{
    char sql[DB_SQL_SIZE];
    va_list arguments;
    int length;

    va_start(arguments, format);
    length = vsnprintf(sql, sizeof sql, format, arguments);
    va_end(arguments);
    if (length < 0 || (size_t)length >= sizeof sql)
        return NULL;
    return prepare(db, sql, NULL);
}

void db_done(sqlite3_stmt *stmt)
{
    sqlite3_reset(stmt); /* NULL is fine */
}

void db_forget_statements(struct db *db)
{
    for (size_t i = 0; i < db->cache_count; i++)
        sqlite3_finalize(db->cache[i].stmt);
    db->cache_count = 0;
    for (size_t i = 0; i < DB_READING_INSERTS; i++)
        sqlite3_finalize(db->reading_inserts[i].stmt); /* NULL is fine */
    memset(db->reading_inserts, 0, sizeof db->reading_inserts);
    db_bulk_drop(db);
}

bool db_step_row(struct db *db, sqlite3_stmt *stmt, enum db_status *status)
{
    int code = stmt == NULL ? SQLITE_MISUSE : sqlite3_step(stmt);

    *status = stmt == NULL ? DB_FAILED : db_status_from(db, code);
    return code == SQLITE_ROW;
}

enum db_status db_run_once(struct db *db, sqlite3_stmt *stmt)
{
    enum db_status status;

    db_step_row(db, stmt, &status);
    db_done(stmt);
    return status;
}

enum db_status db_exec(struct db *db, const char *sql)
{
    return db_status_from(db, sqlite3_exec(db->handle, sql, NULL, NULL, NULL));
}

void db_bind_list(sqlite3_stmt *stmt, int first, const int64_t *values, int count)
{
    for (int i = 0; i < count && stmt != NULL; i++)
        sqlite3_bind_int64(stmt, first + i, values[i]);
}

enum db_status db_ask_list(struct db *db, const char *sql, int64_t *out_value,
                           const int64_t *values, int count)
{
    sqlite3_stmt *stmt = db_prepare(db, sql);
    enum db_status status;

    db_bind_list(stmt, 1, values, count);
    if (db_step_row(db, stmt, &status))
        *out_value = sqlite3_column_int64(stmt, 0);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

void db_bind_id(sqlite3_stmt *stmt, int index, int64_t id)
{
    if (stmt != NULL && id != 0)
        sqlite3_bind_int64(stmt, index, id);
}

void db_bind_text(sqlite3_stmt *stmt, int index, const char *text)
{
    if (stmt != NULL && text != NULL)
        sqlite3_bind_text(stmt, index, text, -1, SQLITE_STATIC);
}

void db_read_text(sqlite3_stmt *stmt, int column, char *out, size_t size)
{
    const unsigned char *text = sqlite3_column_text(stmt, column);
    size_t length = text == NULL ? 0 : (size_t)sqlite3_column_bytes(stmt, column);

    if (length >= size)
        length = size - 1;
    if (length > 0)
        memcpy(out, text, length);
    out[length] = '\0';
}
