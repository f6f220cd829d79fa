#include "backup.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "log.h"
#include "seal.h"

#define DAY_S 86400
#define WEEK_S (7 * DAY_S)
#define DAYS_KEPT 7
#define WEEKS_KEPT 4
#define LOOK_EVERY_S 3600
/* Nobody waits for the first copy; the start has other work. */
#define FIRST_LOOK_S 600

static void folder_path(const char *state_dir, char *out, size_t size)
{
    snprintf(out, size, "%s/backups", state_dir);
}

static void file_path(const char *state_dir, int64_t at, bool is_sealed, char *out,
                      size_t size)
{
    snprintf(out, size, "%s/backups/coilkeep-%" PRId64 "%s", state_dir, at,
             is_sealed ? ".sealed" : ".db");
}

/* ---- which there are ---- */

/* "coilkeep-SECONDS.db" or ".sealed"; anything else in the folder is not ours. */
static bool read_name(const char *name, struct backup *out)
{
    long long at = 0;
    int used = 0;

    if (sscanf(name, "coilkeep-%lld%n", &at, &used) != 1 || at <= 0)
        return false;
    out->at = at;
    out->is_sealed = strcmp(name + used, ".sealed") == 0;
    return out->is_sealed || strcmp(name + used, ".db") == 0;
}

static int newest_first(const void *left, const void *right)
{
    const struct backup *a = left, *b = right;

    return a->at < b->at ? 1 : a->at > b->at ? -1 : 0;
}

size_t backup_list(const struct app *app, struct backup out[BACKUPS_MAX])
{
    char folder[640];
    size_t count = 0;
    DIR *dir;
    struct dirent *entry;

    folder_path(app->state_dir, folder, sizeof folder);
    dir = opendir(folder);
    while (dir != NULL && count < BACKUPS_MAX && (entry = readdir(dir)) != NULL) {
        struct stat info;

        if (!read_name(entry->d_name, &out[count]) ||
            fstatat(dirfd(dir), entry->d_name, &info, AT_SYMLINK_NOFOLLOW) != 0 ||
            !S_ISREG(info.st_mode))
            continue;
        out[count++].bytes = info.st_size;
    }
    if (dir != NULL)
        closedir(dir);
    qsort(out, count, sizeof out[0], newest_first);
    return count;
}

bool backup_path(const struct app *app, int64_t at, char *out, size_t size)
{
    struct backup all[BACKUPS_MAX];
    size_t count = backup_list(app, all);

    for (size_t i = 0; i < count; i++)
        if (all[i].at == at) {
            file_path(app->state_dir, at, all[i].is_sealed, out, size);
            return true;
        }
    return false;
}

/* ---- which are kept ---- */

/* The newest of each of the last so many days and weeks that have one. */
static void choose(const struct backup *all, size_t count, int64_t span_s, int most,
                   bool *keep)
{
    int64_t last = INT64_MAX;
    int spans = 0;

    for (size_t i = 0; i < count && spans < most; i++)
        if (all[i].at / span_s != last) {
            last = all[i].at / span_s;
            keep[i] = true;
            spans++;
        }
}

static void remove_old(const struct app *app)
{
    struct backup all[BACKUPS_MAX];
    bool keep[BACKUPS_MAX] = {false};
    size_t count = backup_list(app, all);
    char path[700];

    choose(all, count, DAY_S, DAYS_KEPT, keep);
    choose(all, count, WEEK_S, WEEKS_KEPT, keep);
    for (size_t i = 0; i < count; i++)
        if (!keep[i]) {
            file_path(app->state_dir, all[i].at, all[i].is_sealed, path, sizeof path);
            unlink(path);
        }
}

/* ---- making one ---- */

static bool sync_folder(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    bool good = fd >= 0 && fsync(fd) == 0;

    if (fd >= 0)
        close(fd);
    return good;
}

/* Under another name until it is whole and sound. */
static enum db_status make_checked(struct db *db, const char *temporary)
{
    struct db_check check;
    enum db_status status;

    unlink(temporary);
    status = db_backup(db, temporary);
    if (status == DB_OK)
        status = db_check_file(temporary, &check);
    if (status == DB_OK && check.fault[0] != '\0') {
        log_line(LOG_LEVEL_ERROR, "backup", "the copy does not hold: %s", check.fault);
        status = DB_CORRUPT;
    }
    return status;
}

static enum db_status put_in_place(struct backup_keeper *keeper, const char *temporary,
                                   int64_t at)
{
    bool is_sealed = keeper->passphrase[0] != '\0';
    char path[700], sealed[700], folder[640];
    const char *from = temporary;

    folder_path(keeper->app->state_dir, folder, sizeof folder);
    file_path(keeper->app->state_dir, at, is_sealed, path, sizeof path);
    snprintf(sealed, sizeof sealed, "%s.sealed", temporary);
    if (is_sealed) {
        unlink(sealed);
        if (seal_file(temporary, sealed, keeper->passphrase) != SEAL_OK)
            return DB_FULL;
        from = sealed;
    }
    return rename(from, path) == 0 && sync_folder(folder) ? DB_OK : DB_FULL;
}

static enum db_status make(struct backup_keeper *keeper, struct db *db, int64_t *out_at)
{
    char folder[640], temporary[680];
    int64_t at = clock_wall_s(&keeper->app->clock);
    enum db_status status;

    folder_path(keeper->app->state_dir, folder, sizeof folder);
    if (mkdir(folder, 0700) != 0 && errno != EEXIST)
        return DB_FULL;
    snprintf(temporary, sizeof temporary, "%s/making", folder);
    status = make_checked(db, temporary);
    if (status == DB_OK)
        status = put_in_place(keeper, temporary, at);
    unlink(temporary);
    if (status == DB_OK)
        remove_old(keeper->app);
    *out_at = at;
    return status;
}

enum db_status backup_make(struct backup_keeper *keeper, struct db *db, int64_t *out_at)
{
    enum db_status status;

    pthread_mutex_lock(&keeper->lock);
    status = make(keeper, db, out_at);
    snprintf(keeper->fault, sizeof keeper->fault, "%s",
             status == DB_OK     ? ""
             : status == DB_FULL ? "the disk is full or cannot be written"
                                 : "the copy failed; the log says more");
    if (status != DB_OK)
        log_line(LOG_LEVEL_ERROR, "backup", "no copy was made: %s", keeper->fault);
    pthread_mutex_unlock(&keeper->lock);
    return status;
}

/* ---- every day ---- */

static void make_daily(struct backup_keeper *keeper)
{
    struct backup all[BACKUPS_MAX];
    int64_t now = clock_wall_s(&keeper->app->clock), at = 0;
    size_t count = backup_list(keeper->app, all);
    struct db *db = NULL;

    /* a newest one from the future is no reason to wait for years */
    if (count > 0 && now - all[0].at < DAY_S && now >= all[0].at)
        return;
    if (db_open(keeper->app->database_path, DB_READ_ONLY, &db) != DB_OK)
        return;
    backup_make(keeper, db, &at);
    db_close(db);
}

static bool wait_s(struct backup_keeper *keeper, int64_t duration_s)
{
    struct timespec until;

    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec += duration_s;
    pthread_mutex_lock(&keeper->lock);
    while (!keeper->is_stopping &&
           pthread_cond_timedwait(&keeper->wake, &keeper->lock, &until) == 0)
        continue;
    pthread_mutex_unlock(&keeper->lock);
    return !keeper->is_stopping;
}

static void *keep_making(void *context)
{
    struct backup_keeper *keeper = context;

    for (int64_t pause_s = FIRST_LOOK_S; wait_s(keeper, pause_s);
         pause_s = LOOK_EVERY_S)
        make_daily(keeper);
    return NULL;
}

bool backup_read_passphrase(const char *file, char *out, size_t size)
{
    FILE *stream = fopen(file, "re");
    bool good = stream != NULL && fgets(out, (int)size, stream) != NULL;

    if (stream != NULL)
        fclose(stream);
    if (good)
        out[strcspn(out, "\r\n")] = '\0';
    return good && out[0] != '\0';
}

bool backup_start(struct backup_keeper *keeper, struct app *app,
                  const char *passphrase_file, char *out_fault, size_t size)
{
    pthread_condattr_t attributes;

    memset(keeper, 0, sizeof *keeper);
    keeper->app = app;
    if (passphrase_file[0] != '\0' &&
        !backup_read_passphrase(passphrase_file, keeper->passphrase,
                                sizeof keeper->passphrase)) {
        snprintf(out_fault, size, "the passphrase of the copies cannot be read in %s",
                 passphrase_file);
        return false;
    }
    pthread_mutex_init(&keeper->lock, NULL);
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&keeper->wake, &attributes);
    pthread_condattr_destroy(&attributes);
    keeper->has_thread =
        pthread_create(&keeper->thread, NULL, keep_making, keeper) == 0;
    if (!keeper->has_thread)
        snprintf(out_fault, size, "no thread could be started");
    return keeper->has_thread;
}

void backup_stop(struct backup_keeper *keeper)
{
    if (!keeper->has_thread)
        return;
    pthread_mutex_lock(&keeper->lock);
    keeper->is_stopping = true;
    pthread_cond_signal(&keeper->wake);
    pthread_mutex_unlock(&keeper->lock);
    pthread_join(keeper->thread, NULL);
    pthread_cond_destroy(&keeper->wake);
    pthread_mutex_destroy(&keeper->lock);
}

/* ---- restoring ---- */

const char *backup_restore_words(enum restore_status status)
{
    switch (status) {
    case RESTORE_OK:
        return "The copy is sound.";
    case RESTORE_NO_SUCH:
        return "There is no such copy.";
    case RESTORE_SEALED:
        return "The copy is sealed: it needs the passphrase it was sealed with.";
    case RESTORE_FOREIGN:
        return "That is no copy of Coilkeep's, or one of a newer version.";
    case RESTORE_DAMAGED:
        return "The copy is damaged; nothing was changed.";
    case RESTORE_FAILED:
        break;
    }
    return "The copy could not be read or unpacked; nothing was changed.";
}

static bool copy_file(const char *from, const char *to)
{
    char piece[65536];
    FILE *in = fopen(from, "re");
    int fd = open(to, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);
    FILE *out = fd < 0 ? NULL : fdopen(fd, "w");
    bool good = in != NULL && out != NULL;
    size_t length;

    while (good && (length = fread(piece, 1, sizeof piece, in)) > 0)
        good = fwrite(piece, 1, length, out) == length;
    good = good && !ferror(in);
    if (out != NULL)
        good = fclose(out) == 0 && good;
    else if (fd >= 0)
        close(fd);
    if (in != NULL)
        fclose(in);
    return good;
}

static enum restore_status unpack(const char *file, const char *passphrase,
                                  const char *to)
{
    if (!seal_is_sealed(file))
        return copy_file(file, to) ? RESTORE_OK
               : errno == ENOENT   ? RESTORE_NO_SUCH
                                   : RESTORE_FAILED;
    if (passphrase[0] == '\0')
        return RESTORE_SEALED;
    switch (seal_open(file, to, passphrase)) {
    case SEAL_OK:
        return RESTORE_OK;
    case SEAL_WRONG:
        return RESTORE_SEALED;
    default:
        return RESTORE_FAILED;
    }
}

/* Looks before it migrates: a damaged file stays what it is. */
static enum restore_status check_and_migrate(const char *path, struct db_check *check)
{
    struct db *db = NULL;
    enum db_status status = db_check_file(path, check);

    if (status == DB_FOREIGN || status == DB_NEWER)
        return RESTORE_FOREIGN;
    if (status != DB_OK || check->fault[0] != '\0')
        return RESTORE_DAMAGED;
    status = db_open(path, DB_READ_WRITE, &db);
    if (status == DB_OK)
        status = db_check(db, check);
    db_close(db);
    if (status != DB_OK)
        return RESTORE_FAILED;
    return check->fault[0] == '\0' ? RESTORE_OK : RESTORE_DAMAGED;
}

/* Also what SQLite and the migration leave beside a file. */
static void remove_with_companions(const char *state_dir, const char *path)
{
    char one[760];

    for (int i = 0; i < 3; i++) {
        static const char *const ends[] = {"", "-wal", "-shm"};

        snprintf(one, sizeof one, "%s%s", path, ends[i]);
        unlink(one);
    }
    for (int version = 1; version < 100; version++) {
        snprintf(one, sizeof one, "%s/restoring.v%d-1", state_dir, version);
        unlink(one);
    }
}

void backup_discard(const char *state_dir)
{
    char path[700];

    snprintf(path, sizeof path, "%s/restoring", state_dir);
    remove_with_companions(state_dir, path);
}

enum restore_status backup_prepare(const char *state_dir, const char *file,
                                   const char *passphrase, char *out_path, size_t size,
                                   struct db_check *out_check)
{
    enum restore_status status;

    snprintf(out_path, size, "%s/restoring", state_dir);
    backup_discard(state_dir);
    memset(out_check, 0, sizeof *out_check);
    status = unpack(file, passphrase, out_path);
    if (status == RESTORE_OK)
        status = check_and_migrate(out_path, out_check);
    if (status != RESTORE_OK)
        backup_discard(state_dir);
    return status;
}
