/* Which version a file has, and the way to the newest. Refused files stay untouched. */
#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "db_private.h"
#include "log.h"

static int integer_of(sqlite3 *handle, const char *sql, int64_t *out_value)
{
    sqlite3_stmt *stmt = NULL;
    int code = sqlite3_prepare_v2(handle, sql, -1, &stmt, NULL);

    if (code == SQLITE_OK)
        code = sqlite3_step(stmt);
    if (code == SQLITE_ROW)
        *out_value = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return code == SQLITE_ROW ? SQLITE_OK : code;
}

static enum db_status judge(int64_t application_id, int64_t version, int64_t tables,
                            int newest)
{
    if (application_id == 0 && tables == 0 && version == 0)
        return DB_OK; /* nothing in it yet */
    if (application_id != DB_APPLICATION_ID)
        return DB_FOREIGN;
    return version > newest ? DB_NEWER : DB_OK;
}

static enum db_status inspect_handle(sqlite3 *handle, int newest, int *out_version)
{
    int64_t application_id = 0, version = 0, tables = 0;
    int code = integer_of(handle, "PRAGMA application_id", &application_id);

    if (code == SQLITE_OK)
        code = integer_of(handle, "PRAGMA user_version", &version);
    if (code == SQLITE_OK)
        code = integer_of(handle, "SELECT count(*) FROM sqlite_schema", &tables);
    if (code != SQLITE_OK) {
        if (sqlite3_extended_errcode(handle) != SQLITE_READONLY_ROLLBACK)
            log_line(LOG_LEVEL_ERROR, "store", "%s", sqlite3_errmsg(handle));
        code &= 0xff;
        return code == SQLITE_NOTADB || code == SQLITE_CORRUPT ? DB_CORRUPT
               : code == SQLITE_BUSY                           ? DB_BUSY
                                                               : DB_FAILED;
    }
    *out_version = (int)version;
    return judge(application_id, version, tables, newest);
}

/*
 * A crash within the very first write leaves a journal that only a writer can play back.
 * The head of the file says whether that is for us: our id, or one page without any, as
 * it is between the making of a file and its first tables.
 */
static enum db_status inspect_head(const char *path, int64_t size, int *out_version)
{
    unsigned char head[100] = {0};
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    ssize_t length = fd < 0 ? -1 : read(fd, head, sizeof head);
    uint32_t application_id;

    if (fd >= 0)
        close(fd);
    if (length != (ssize_t)sizeof head)
        return DB_FAILED;
    /* Offset 68, big-endian: https://www.sqlite.org/fileformat2.html */
    application_id = (uint32_t)head[68] << 24 | (uint32_t)head[69] << 16 |
                     (uint32_t)head[70] << 8 | head[71];
    *out_version = 0;
    if (application_id == DB_APPLICATION_ID || (application_id == 0 && size <= 4096))
        return DB_OK;
    return DB_FOREIGN;
}

/* Opened for reading only, so that not even a rollback or a checkpoint changes a file
 * that is not for us. */
enum db_status db_inspect(const char *path, int newest, int *out_version)
{
    struct stat info;
    sqlite3 *handle = NULL;
    enum db_status status = DB_FAILED;

    *out_version = 0;
    if (stat(path, &info) != 0)
        return errno == ENOENT ? DB_NOT_FOUND : DB_FAILED;
    if (!S_ISREG(info.st_mode))
        return DB_CORRUPT;
    if (info.st_size == 0)
        return DB_OK;
    if (sqlite3_open_v2(path, &handle, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX,
                        NULL) == SQLITE_OK) {
        sqlite3_busy_timeout(handle, 5000);
        status = inspect_handle(handle, newest, out_version);
        if (sqlite3_extended_errcode(handle) == SQLITE_READONLY_ROLLBACK)
            status = inspect_head(path, info.st_size, out_version);
    }
    sqlite3_close(handle);
    return status;
}

/* ---- the copy beside it ---- */

enum db_status db_sync_file(const char *path)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    enum db_status status = fd >= 0 && fsync(fd) == 0 ? DB_OK : DB_FULL;

    if (fd >= 0)
        close(fd);
    return status;
}

/* A name that is still free, its empty file made with our mode: VACUUM INTO would give
 * a new file the umask's. */
static bool claim_copy_name(const char *path, int64_t version, char *out, size_t size)
{
    for (int i = 1; i < 1000; i++) {
        int fd;

        snprintf(out, size, "%s.v%lld-%d", path, (long long)version, i);
        fd = open(out, O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
        if (fd >= 0) {
            close(fd);
            return true;
        }
        if (errno != EEXIST)
            return false;
    }
    return false;
}

static enum db_status keep_copy(struct db *db, int64_t version)
{
    char name[1024];
    sqlite3_stmt *stmt;
    enum db_status status;

    if (!claim_copy_name(db->path, version, name, sizeof name)) {
        log_line(LOG_LEVEL_ERROR, "store", "no copy could be made before the change");
        return DB_FULL;
    }
    stmt = db_prepare(db, "VACUUM INTO ?1");
    db_bind_text(stmt, 1, name);
    status = db_run_once(db, stmt);
    if (status == DB_OK)
        status = db_sync_file(name);
    if (status != DB_OK)
        unlink(name);
    return status;
}

/* ---- the steps ---- */

static enum db_status run_step(struct db *db, const struct db_step *step)
{
    char sql[100];
    enum db_status status = db_exec(db, "BEGIN IMMEDIATE");

    if (status == DB_OK)
        status = db_exec(db, step->sql);
    snprintf(sql, sizeof sql, "PRAGMA user_version = %d; PRAGMA application_id = %d",
             step->number, DB_APPLICATION_ID);
    if (status == DB_OK)
        status = db_exec(db, sql);
    if (status == DB_OK)
        status = db_exec(db, "COMMIT");
    if (status != DB_OK)
        db_rollback(db);
    return status;
}

enum db_status db_migrate(struct db *db, const struct db_step *steps, size_t count)
{
    int version = 0;
    enum db_status status = inspect_handle(db->handle, (int)count, &version);

    if (status == DB_OK && version > 0 && version < (int)count &&
        strcmp(db->path, ":memory:") != 0)
        status = keep_copy(db, version);
    for (size_t i = (size_t)version; i < count && status == DB_OK; i++)
        status = run_step(db, &steps[i]);
    return status;
}
