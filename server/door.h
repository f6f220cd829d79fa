/*
 * The door: who is calling, the code with which a house is claimed, and the work of
 * looking at a secret, which takes a tenth of a second and 64 MiB and so runs on a
 * thread of its own, two at once at most.
 *
 *     route->prepare    HTTP thread: reads the form, says what to compare or make
 *     door_work         own thread: argon2id
 *     route->handler    writer thread: counts, stores, answers
 */
#ifndef DOOR_H
#define DOOR_H

#include <pthread.h>

#include "app.h"
#include "secrets.h"
#include "throttle.h"
#include "who.h"

#define DOOR_TYPED_SIZE (PASSPHRASE_MAX * 4 + 1)
#define DOOR_HASHES_MAX 2

/* What a call with a secret in it carries from step to step. */
struct proof {
    char typed[DOOR_TYPED_SIZE]; /* wiped once looked at, but for a PIN to be shown */
    char stored[SECRET_HASH_SIZE];
    bool compares, makes, shows; /* what door_work does; a new PIN is shown once */
    bool matches;
    char made[SECRET_HASH_SIZE];
    int64_t person_id; /* 0: nobody has that name */
    char name[WHO_NAME_SIZE], device[WHO_NAME_SIZE];
    uint8_t key[THROTTLE_KEY_BYTES]; /* of the throttle */
    uint8_t device_hash[SECRET_SHA_BYTES];
    bool is_known_device, is_throttled;
};

struct door {
    struct app *app;
    bool is_on_network;
    atomic_bool is_claimed;
    atomic_bool is_being_claimed;
    atomic_int hashes;
    atomic_bool is_calibrated;
    struct secret_keeper keeper;
    pthread_mutex_t lock; /* of throttle and claim_failures */
    struct throttle throttle;
    int claim_failures;
};

/* Reads the pepper, looks whether there is an owner, and leaves a claim code in the
 * state folder where one is needed. False with a sentence. */
bool door_open(struct door *door, struct app *app, struct db *db, bool is_on_network,
               char *out_fault, size_t size);
/* Looks again whether there is an owner, after another database took this one's place.
 * False when a claim code is needed and cannot be written. */
bool door_reload(struct door *door, struct db *db);
void door_close(struct door *door); /* waits for hashes under way */

enum door_state door_state(const struct door *door);

/* Who is calling, from cookie or Authorization. Fills req->who. */
void door_identify(const struct door *door, struct db *db, struct request *req);

/* Takes one of the places for a hash; false when all are taken. */
bool door_take_hash(struct door *door);
void door_leave_hash(struct door *door);
/* Looks at the secret, then gives the place back. */
void door_work(struct door *door, struct proof *proof);

/* The throttle, with its lock. */
enum throttle_verdict door_begin(struct door *door, struct proof *proof, int64_t stored,
                                 int *out_wait_s);
int64_t door_end(struct door *door, const struct proof *proof, bool was_right);

/* ---- claim code ---- */

/* The code in folder, "" for none. */
void door_read_code(const char *folder, char out[SECRET_CODE_SIZE]);
/* Writes a new code (mode 0600); false with errno. */
bool door_make_code(const char *folder, char out[SECRET_CODE_SIZE]);
void door_remove_code(const char *folder);
/* Compares; the fifth wrong one makes a new code. */
bool door_code_is_right(struct door *door, const char *typed);

/* ---- lifetimes ---- */

int64_t door_idle_s(enum who_role role);
int64_t door_absolute_s(enum who_role role);

#endif
