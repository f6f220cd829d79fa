#include "local.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sysexits.h>
#include <time.h>
#include <unistd.h>

#include <sodium.h>

#include "backup.h"
#include "db_people.h"
#include "door.h"
#include "seal.h"
#include "state_dir.h"

static int fail(int code, const char *text, const char *about)
{
    fprintf(stderr, "coilkeepd: %s%s\n", text, about);
    return code;
}

static int open_store(const struct config *config, enum db_mode mode, struct db **out)
{
    char path[640];

    snprintf(path, sizeof path, "%s/coilkeep.db", config->data);
    return db_open(path, mode, out) == DB_OK
               ? EX_OK
               : fail(EX_NOINPUT, "no database can be opened in ", config->data);
}

/* Before the first start there is a folder at most: then nobody owns it either. */
static bool has_owner(const struct config *config)
{
    char path[640];
    struct stat info;
    struct db *db = NULL;
    int64_t owners = 0;

    snprintf(path, sizeof path, "%s/coilkeep.db", config->data);
    if (stat(path, &info) != 0 || db_open(path, DB_READ_ONLY, &db) != DB_OK)
        return false;
    db_owner_count(db, &owners);
    db_close(db);
    return owners > 0;
}

static int claim_code(const struct config *config)
{
    char code[SECRET_CODE_SIZE];

    if (has_owner(config))
        return fail(EX_DATAERR,
                    "this Coilkeep has an owner. \"coilkeepd reset-owner\" gives the "
                    "owner a new passphrase.",
                    "");
    door_read_code(config->data, code);
    if (code[0] == '\0' && !door_make_code(config->data, code))
        return fail(EX_CANTCREAT, "the code cannot be written: ", strerror(errno));
    printf("%s\n", code);
    return EX_OK;
}

/* ---- reset-owner ---- */

static enum db_status find_owner(struct db *db, struct db_person *out)
{
    struct db_person people[DB_PEOPLE_MAX];
    size_t count = 0;
    enum db_status status = db_person_list(db, people, &count);

    for (size_t i = 0; i < count; i++)
        if (people[i].role == WHO_OWNER) {
            *out = people[i];
            return status;
        }
    return status == DB_OK ? DB_NOT_FOUND : status;
}

/* Four groups of five letters, 98 bits. */
static void make_passphrase(char out[24])
{
    char first[SECRET_CODE_SIZE], second[SECRET_CODE_SIZE];

    secret_make_code(first);
    secret_make_code(second);
    snprintf(out, 24, "%s-%s", first, second);
}

static enum db_status store(struct db *db, struct db_person *owner, const char *hash)
{
    enum db_status status = db_begin(db);

    if (status == DB_OK && owner->disabled) {
        owner->disabled = false;
        status = db_person_put(db, owner);
    }
    if (status == DB_OK)
        status = db_person_set_secret(db, owner->id, hash);
    if (status == DB_OK)
        status = db_session_end_all(db, owner->id, 0);
    if (status == DB_OK)
        status = db_journal_add(db, (int64_t)time(NULL), 0, "", "reset", "person",
                                owner->id, NULL, NULL);
    if (status == DB_OK)
        return db_commit(db);
    db_rollback(db);
    return status;
}

static int reset_in(const struct config *config, struct db *db)
{
    struct secret_keeper keeper;
    struct db_person owner;
    char passphrase[24], hash[SECRET_HASH_SIZE];

    if (find_owner(db, &owner) != DB_OK)
        return fail(EX_DATAERR,
                    "this Coilkeep has no owner yet; see \"coilkeepd claim-code\".",
                    "");
    make_passphrase(passphrase);
    if (!secret_keeper_open(&keeper, config->data) ||
        !secret_hash(&keeper, passphrase, hash) || store(db, &owner, hash) != DB_OK)
        return fail(EX_CANTCREAT, "the new passphrase could not be stored.", "");
    printf("%s has a new passphrase: %s\n"
           "Log in with it, then choose your own.\n",
           owner.name, passphrase);
    sodium_memzero(passphrase, sizeof passphrase);
    return EX_OK;
}

static int reset_owner(const struct config *config)
{
    struct db *db = NULL;
    int code = open_store(config, DB_READ_WRITE, &db);

    if (code != EX_OK)
        return code;
    code = reset_in(config, db);
    db_close(db);
    return code;
}

/* ---- check, backup, restore ---- */

static void passphrase_of(const struct config *config, char *out, size_t size)
{
    out[0] = '\0';
    if (config->backup_passphrase_file[0] != '\0')
        backup_read_passphrase(config->backup_passphrase_file, out, size);
}

static void tell(const char *what, const struct db_check *check)
{
    printf("%s: %lld readings, doses, runs and heater states; %lld entries in the "
           "journal%s%s\n",
           what, (long long)check->fact_count, (long long)check->journal_count,
           check->head[0] != '\0' ? ", newest hash " : "", check->head);
}

static int check_database(const struct config *config)
{
    char path[640];
    struct db_check check;

    snprintf(path, sizeof path, "%s/coilkeep.db", config->data);
    if (db_check_file(path, &check) != DB_OK)
        return fail(EX_NOINPUT, "no database of ours can be read in ", config->data);
    if (check.fault[0] != '\0')
        return fail(EX_DATAERR, check.fault, ".");
    tell("sound", &check);
    return EX_OK;
}

/* Sealed when a passphrase is given, like the daily copies. */
static int write_copy(const struct config *config, struct db *db)
{
    char passphrase[160], plain[600];
    struct db_check check;
    const char *made = config->to;

    passphrase_of(config, passphrase, sizeof passphrase);
    if (config->backup_passphrase_file[0] != '\0' && passphrase[0] == '\0')
        return fail(EX_NOINPUT, "no passphrase can be read in ",
                    config->backup_passphrase_file);
    snprintf(plain, sizeof plain, "%s.plain", config->to);
    if (passphrase[0] != '\0')
        made = plain;
    if (db_backup(db, made) != DB_OK)
        return fail(EX_CANTCREAT,
                    "the copy cannot be made, or is there already: ", config->to);
    if (db_check_file(made, &check) != DB_OK || check.fault[0] != '\0') {
        unlink(made);
        return fail(EX_DATAERR, "the copy does not hold: ", check.fault);
    }
    if (passphrase[0] != '\0' && seal_file(plain, config->to, passphrase) != SEAL_OK) {
        unlink(plain);
        return fail(EX_CANTCREAT, "the copy cannot be sealed: ", config->to);
    }
    if (passphrase[0] != '\0')
        unlink(plain);
    tell(config->to, &check);
    return EX_OK;
}

static int backup(const struct config *config)
{
    struct db *db = NULL;
    int code = open_store(config, DB_READ_ONLY, &db);

    if (code == EX_OK)
        code = write_copy(config, db);
    db_close(db);
    return code;
}

/* The daemon must be stopped: it would not notice that its facts were exchanged. */
static int put_back(const struct config *config, const char *state_dir,
                    const char *restoring)
{
    char old[700], path[640];
    struct db *db = NULL;
    enum db_status status;

    snprintf(path, sizeof path, "%s/coilkeep.db", state_dir);
    status = db_open(path, DB_READ_WRITE, &db);
    if (status == DB_OK) {
        snprintf(old, sizeof old, "%s/before-restore-%lld.db", state_dir,
                 (long long)time(NULL));
        status = db_backup(db, old);
        if (status == DB_OK)
            printf("what was there before is kept in %s\n", old);
    }
    if (status == DB_OK)
        status = db_restore(db, restoring);
    if (status == DB_OK)
        status = db_journal_add(db, (int64_t)time(NULL), 0, "", "restore", "backup", 0,
                                NULL, NULL);
    db_close(db);
    return status == DB_OK
               ? EX_OK
               : fail(EX_CANTCREAT, "nothing was put back from ", config->from);
}

static int restore_into(const struct config *config, const char *state_dir)
{
    char passphrase[160], path[700];
    struct db_check check;
    enum restore_status status;
    int code = EX_OK;

    passphrase_of(config, passphrase, sizeof passphrase);
    status =
        backup_prepare(state_dir, config->from, passphrase, path, sizeof path, &check);
    if (status != RESTORE_OK)
        return fail(EX_DATAERR, backup_restore_words(status), "");
    tell(config->from, &check);
    if (!config->dry_run)
        code = put_back(config, state_dir, path);
    backup_discard(state_dir);
    return code;
}

static int restore(const struct config *config)
{
    char state_dir[512];
    int lock_fd = -1, code;

    switch (state_dir_open(config->data, state_dir, sizeof state_dir, &lock_fd)) {
    case STATE_DIR_OK:
        code = restore_into(config, state_dir);
        close(lock_fd);
        return code;
    case STATE_DIR_TAKEN:
        return fail(EX_TEMPFAIL,
                    "stop the daemon first, or put the copy back on its page; it uses ",
                    config->data);
    default:
        return fail(EX_CANTCREAT, "the data folder cannot be written: ", config->data);
    }
}

int local_run(const struct config *config)
{
    switch (config->command) {
    case COMMAND_CLAIM_CODE:
        return claim_code(config);
    case COMMAND_RESET_OWNER:
        return reset_owner(config);
    case COMMAND_CHECK:
        return check_database(config);
    case COMMAND_BACKUP:
        return backup(config);
    case COMMAND_RESTORE:
        return restore(config);
    case COMMAND_CHECK_CONFIG:
    case COMMAND_PRINT_CONFIG:
    case COMMAND_SERVE:
        break;
    }
    return EX_USAGE;
}
