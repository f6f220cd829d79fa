#include "local.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sysexits.h>
#include <time.h>

#include <sodium.h>

#include "db_people.h"
#include "door.h"

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

int local_run(const struct config *config)
{
    switch (config->command) {
    case COMMAND_CLAIM_CODE:
        return claim_code(config);
    case COMMAND_RESET_OWNER:
        return reset_owner(config);
    case COMMAND_SERVE:
        break;
    }
    return EX_USAGE;
}
