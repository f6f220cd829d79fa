/*
 * Copies of the database in the state folder's "backups": one a day, seven days and
 * four weeks kept, each checked before it counts. A copy's number is the instant it was
 * made.
 */
#ifndef BACKUP_H
#define BACKUP_H

#include <pthread.h>

#include "app.h"
#include "db_backup.h"

#define BACKUPS_MAX 64

struct backup {
    int64_t at; /* also its number */
    int64_t bytes;
    bool is_sealed;
};

struct backup_keeper {
    struct app *app;
    pthread_t thread;
    pthread_mutex_t lock; /* one copy at a time */
    pthread_cond_t wake;
    bool is_stopping, has_thread;
    char passphrase[160]; /* "" for copies that are not sealed */
    char fault[200];      /* of the last try, "" when it went well */
};

/* Starts the thread that makes the daily copy. passphrase_file: its first line seals
 * the copies; "" for none. False with a sentence. */
bool backup_start(struct backup_keeper *keeper, struct app *app,
                  const char *passphrase_file, char *out_fault, size_t size);
void backup_stop(struct backup_keeper *keeper);

/* Newest first. */
size_t backup_list(const struct app *app, struct backup out[BACKUPS_MAX]);
/* The path of a copy; false when there is none of that number. */
bool backup_path(const struct app *app, int64_t at, char *out, size_t size);

/* Makes a copy now, from a connection without a transaction. DB_OK and its number. */
enum db_status backup_make(struct backup_keeper *keeper, struct db *db,
                           int64_t *out_at);

/* Reads the first line of a file; false when there is none. */
bool backup_read_passphrase(const char *file, char *out, size_t size);

/* ---- restoring ---- */

enum restore_status {
    RESTORE_OK,
    RESTORE_NO_SUCH,
    RESTORE_SEALED,  /* the passphrase is missing or another */
    RESTORE_FOREIGN, /* no database of ours, or of a newer version */
    RESTORE_DAMAGED,
    RESTORE_FAILED
};

/* Unseals and migrates a copy of the file in the state folder and checks it; the file
 * itself stays as it is. out_path: the copy that may be restored; backup_discard
 * afterwards. */
enum restore_status backup_prepare(const char *state_dir, const char *file,
                                   const char *passphrase, char *out_path, size_t size,
                                   struct db_check *out_check);
void backup_discard(const char *state_dir);
const char *backup_restore_words(enum restore_status status);

#endif
