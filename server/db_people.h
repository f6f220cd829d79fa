/*
 * The store's people: who they are, where they are logged in, which tokens are out.
 * Apart from db.h, because only the door needs it. Texts that are secret never come
 * here; see secrets.h for what is kept of them.
 */
#ifndef DB_PEOPLE_H
#define DB_PEOPLE_H

#include "db.h"
#include "secrets.h"
#include "who.h"

#define DB_PEOPLE_MAX 50
#define DB_SESSIONS_MAX 200
#define DB_TOKENS_MAX 100

struct db_person {
    int64_t id, version, actor_id;
    char name[WHO_NAME_SIZE];
    enum who_role role; /* viewer, technician or owner */
    bool disabled;
    char secret[SECRET_HASH_SIZE]; /* "" before the first */
    int64_t failures;
};

/* DB_CONFLICT: the name is taken, or (put) version is not the newest. Sets id, version,
 * actor_id. Neither writes secret nor failures. */
enum db_status db_person_add(struct db *db, struct db_person *person);
enum db_status db_person_put(struct db *db, struct db_person *person);
enum db_status db_person_get(struct db *db, int64_t id, struct db_person *out);
enum db_status db_person_find(struct db *db, const char *name, struct db_person *out);
enum db_status db_person_list(struct db *db, struct db_person out[DB_PEOPLE_MAX],
                              size_t *out_count);
/* Also forgives earlier failures. */
enum db_status db_person_set_secret(struct db *db, int64_t id, const char *secret);
enum db_status db_person_set_failures(struct db *db, int64_t id, int64_t failures);
/* Owners that are not disabled. */
enum db_status db_owner_count(struct db *db, int64_t *out_count);

struct db_session {
    int64_t id, person_id, made_at, seen_at, proved_at;
    char peer[64];
    char device[64]; /* what its user calls it */
};

enum db_status db_session_add(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                              struct db_session *session);
enum db_status db_session_find(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                               struct db_session *out);
enum db_status db_session_seen(struct db *db, int64_t id, int64_t at);
enum db_status db_session_proved(struct db *db, int64_t id, int64_t at);
enum db_status db_session_end(struct db *db, int64_t id); /* DB_NOT_FOUND */
/* All of a person, but the one to keep (0: none). */
enum db_status db_session_end_all(struct db *db, int64_t person_id, int64_t keep_id);
enum db_status db_session_list(struct db *db, struct db_session out[DB_SESSIONS_MAX],
                               size_t *out_count);

/* A browser known from an earlier login of that person: its own count of failures. */
enum db_status db_device_find(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                              int64_t person_id, int64_t *out_failures);
enum db_status db_device_add(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                             int64_t person_id, int64_t at);
enum db_status db_device_set_failures(struct db *db,
                                      const uint8_t hash[SECRET_SHA_BYTES],
                                      int64_t failures);

struct db_token {
    int64_t id, actor_id, water_id, made_at;
    int64_t used_at, revoked_at; /* 0: never */
    char name[WHO_NAME_SIZE];    /* the instrument's */
    enum who_scope scope;
    bool is_issued;
};

enum db_status db_token_add(struct db *db, struct db_token *token);
enum db_status db_token_get(struct db *db, int64_t id, struct db_token *out);
enum db_status db_token_find(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                             struct db_token *out);
enum db_status db_token_issue(struct db *db, int64_t id,
                              const uint8_t hash[SECRET_SHA_BYTES]);
enum db_status db_token_used(struct db *db, int64_t id, int64_t at);
enum db_status db_token_revoke(struct db *db, int64_t id, int64_t at);
enum db_status db_token_list(struct db *db, struct db_token out[DB_TOKENS_MAX],
                             size_t *out_count);

struct db_door {
    int64_t version;
    bool family_sees_permit;
};

enum db_status db_door_get(struct db *db, struct db_door *out);
enum db_status db_door_put(struct db *db, struct db_door *door); /* DB_CONFLICT */

struct db_journal_entry {
    int64_t id, at, entity_id;
    char actor[DB_NAME_SIZE], peer[64], action[32], entity[32];
    char *before, *after; /* given, NULL for none */
};

/* Newest first, those with a smaller id than before_id (0: from the newest). */
enum db_status db_journal_list(struct db *db, int64_t before_id,
                               struct db_journal_entry *out, size_t max,
                               size_t *out_count);
void db_journal_free(struct db_journal_entry *entries, size_t count);

/* While set, every entry of this connection is this actor's, whatever its form says. */
void db_set_acting(struct db *db, int64_t actor_id);
int64_t db_acting(const struct db *db);

#endif
