#include "door.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <sodium.h>

#include "db_people.h"
#include "log.h"

#define CODE_TRIES 5
#define DAY_S 86400

/* ---- who ---- */

int64_t door_idle_s(enum who_role role)
{
    switch (role) {
    case WHO_OWNER:
        return 1800;
    case WHO_TECHNICIAN:
        return 7 * DAY_S;
    default:
        return 30 * DAY_S;
    }
}

int64_t door_absolute_s(enum who_role role)
{
    switch (role) {
    case WHO_OWNER:
        return DAY_S / 2;
    case WHO_TECHNICIAN:
        return 30 * DAY_S;
    default:
        return 90 * DAY_S;
    }
}

enum door_state door_state(const struct door *door)
{
    if (atomic_load(&door->is_claimed))
        return DOOR_CLAIMED;
    return door->is_on_network ? DOOR_UNCLAIMED : DOOR_OPEN;
}

static bool is_over(const struct db_session *session, enum who_role role, int64_t now)
{
    return now - session->seen_at > door_idle_s(role) ||
           now - session->made_at > door_absolute_s(role);
}

static bool take_session(struct db *db, const char *cookie, int64_t now,
                         struct who *who)
{
    uint8_t hash[SECRET_SHA_BYTES];
    struct db_session session;
    struct db_person person;

    secret_sha(cookie, hash);
    if (db_session_find(db, hash, &session) != DB_OK ||
        db_person_get(db, session.person_id, &person) != DB_OK || person.disabled ||
        is_over(&session, person.role, now))
        return false;
    who->role = person.role;
    who->person_id = person.id;
    who->actor_id = person.actor_id;
    who->session_id = session.id;
    who->seen_at = session.seen_at;
    who->proved_at = session.proved_at;
    memcpy(who->name, person.name, sizeof who->name);
    return true;
}

static bool take_token(struct db *db, const char *text, struct who *who)
{
    uint8_t hash[SECRET_SHA_BYTES];
    struct db_token token;

    if (!secret_is_token(text))
        return false;
    secret_sha(text, hash);
    if (db_token_find(db, hash, &token) != DB_OK || token.revoked_at != 0)
        return false;
    who->role = WHO_INSTRUMENT;
    who->scope = token.scope;
    who->token_id = token.id;
    who->actor_id = token.actor_id;
    who->water_id = token.water_id;
    who->seen_at = token.used_at;
    memcpy(who->name, token.name, sizeof who->name);
    return true;
}

void door_identify(const struct door *door, struct db *db, struct request *req)
{
    static const char bearer[] = "Bearer ";
    struct who *who = &req->who;
    struct db_door settings = {0};
    int64_t now = clock_wall_s(&door->app->clock);

    memset(who, 0, sizeof *who);
    who->door = door_state(door);
    if (who->door != DOOR_CLAIMED)
        return;
    who->family_sees_permit =
        db_door_get(db, &settings) == DB_OK && settings.family_sees_permit;
    if (req->authorization != NULL)
        who->is_dead = strncmp(req->authorization, bearer, sizeof bearer - 1) != 0 ||
                       !take_token(db, req->authorization + sizeof bearer - 1, who);
    else if (req->session_cookie != NULL)
        who->is_dead = !take_session(db, req->session_cookie, now, who);
}

/* ---- hashing ---- */

bool door_take_hash(struct door *door)
{
    if (atomic_fetch_add(&door->hashes, 1) < DOOR_HASHES_MAX)
        return true;
    atomic_fetch_sub(&door->hashes, 1);
    return false;
}

void door_leave_hash(struct door *door)
{
    atomic_fetch_sub(&door->hashes, 1);
}

void door_work(struct door *door, struct proof *proof)
{
    if (proof->makes && !atomic_exchange(&door->is_calibrated, true))
        secret_calibrate(&door->keeper);
    if (proof->compares)
        proof->matches = secret_matches(&door->keeper, proof->stored, proof->typed);
    if (proof->makes && !secret_hash(&door->keeper, proof->typed, proof->made))
        proof->made[0] = '\0';
    sodium_memzero(proof->stored, sizeof proof->stored);
    if (!proof->shows)
        sodium_memzero(proof->typed, sizeof proof->typed);
    door_leave_hash(door);
}

enum throttle_verdict door_begin(struct door *door, struct proof *proof, int64_t stored,
                                 int *out_wait_s)
{
    enum throttle_verdict verdict;

    pthread_mutex_lock(&door->lock);
    verdict = throttle_begin(&door->throttle, proof->key, stored,
                             clock_boot_ms(&door->app->clock), out_wait_s);
    pthread_mutex_unlock(&door->lock);
    proof->is_throttled = verdict == THROTTLE_LET;
    return verdict;
}

int64_t door_end(struct door *door, const struct proof *proof, bool was_right)
{
    int64_t failures;

    pthread_mutex_lock(&door->lock);
    failures = throttle_end(&door->throttle, proof->key, was_right,
                            clock_boot_ms(&door->app->clock));
    pthread_mutex_unlock(&door->lock);
    return failures;
}

/* ---- claim code ---- */

static void code_path(const char *folder, char *out, size_t size)
{
    snprintf(out, size, "%s/claim-code", folder);
}

void door_read_code(const char *folder, char out[SECRET_CODE_SIZE])
{
    char path[640];
    FILE *file;

    out[0] = '\0';
    code_path(folder, path, sizeof path);
    file = fopen(path, "re");
    if (file == NULL)
        return;
    if (fgets(out, SECRET_CODE_SIZE, file) == NULL)
        out[0] = '\0';
    fclose(file);
}

bool door_make_code(const char *folder, char out[SECRET_CODE_SIZE])
{
    char path[640], temporary[660];
    bool good;
    int fd;

    secret_make_code(out);
    code_path(folder, path, sizeof path);
    snprintf(temporary, sizeof temporary, "%s.new", path);
    fd = open(temporary, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (fd < 0)
        return false;
    good = dprintf(fd, "%s\n", out) > 0 && fsync(fd) == 0;
    return close(fd) == 0 && good && rename(temporary, path) == 0;
}

void door_remove_code(const char *folder)
{
    char path[640];

    code_path(folder, path, sizeof path);
    if (unlink(path) != 0 && errno != ENOENT)
        log_line(LOG_LEVEL_ERROR, "door", "the used claim code could not be removed");
}

bool door_code_is_right(struct door *door, const char *typed)
{
    const char *folder = door->app->state_dir;
    char code[SECRET_CODE_SIZE];
    bool is_right;

    pthread_mutex_lock(&door->lock);
    door_read_code(folder, code);
    is_right = secret_codes_match(code, typed);
    if (!is_right && code[0] != '\0' && ++door->claim_failures >= CODE_TRIES) {
        door->claim_failures = 0;
        if (door_make_code(folder, code))
            log_line(LOG_LEVEL_WARNING, "door",
                     "five wrong claim codes; there is a new one, shown by "
                     "\"coilkeepd claim-code\"");
    }
    pthread_mutex_unlock(&door->lock);
    sodium_memzero(code, sizeof code);
    return is_right;
}

/* ---- open and close ---- */

/* Named in the log, never told there: logs are copied about. */
static bool leave_code(struct door *door)
{
    char code[SECRET_CODE_SIZE];

    door_read_code(door->app->state_dir, code);
    if (code[0] == '\0' && !door_make_code(door->app->state_dir, code))
        return false;
    sodium_memzero(code, sizeof code);
    log_line(LOG_LEVEL_INFO, "door",
             "nobody owns this Coilkeep yet; \"coilkeepd claim-code\" shows the code "
             "that the claim page asks for");
    return true;
}

bool door_open(struct door *door, struct app *app, struct db *db, bool is_on_network,
               char *out_fault, size_t size)
{
    memset(door, 0, sizeof *door);
    door->app = app;
    door->is_on_network = is_on_network;
    pthread_mutex_init(&door->lock, NULL);
    throttle_start(&door->throttle, clock_boot_ms(&app->clock));
    if (!secret_keeper_open(&door->keeper, app->state_dir)) {
        snprintf(out_fault, size,
                 "%.400s/pepper cannot be read or made. Without it no passphrase can "
                 "be told to be right.",
                 app->state_dir);
        return false;
    }
    if (!door_reload(door, db)) {
        snprintf(out_fault, size,
                 "the people cannot be read, or %.300s/claim-code cannot be written.",
                 app->state_dir);
        return false;
    }
    return true;
}

bool door_reload(struct door *door, struct db *db)
{
    int64_t owners = 0;

    if (db_owner_count(db, &owners) != DB_OK)
        return false;
    atomic_store(&door->is_claimed, owners > 0);
    atomic_store(&door->is_being_claimed, false);
    return door_state(door) != DOOR_UNCLAIMED || leave_code(door);
}

void door_close(struct door *door)
{
    const struct timespec pause = {0, 10 * 1000 * 1000};

    for (int i = 0; i < 200 && atomic_load(&door->hashes) > 0; i++)
        nanosleep(&pause, NULL);
    sodium_memzero(&door->keeper, sizeof door->keeper);
    pthread_mutex_destroy(&door->lock);
}
