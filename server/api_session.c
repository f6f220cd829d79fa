/* Logging in and out, and claiming the house. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sodium.h>

#include "api.h"
#include "api_common.h"
#include "api_people.h"
#include "db_people.h"
#include "door.h"
#include "log.h"

#define DEVICE_KEPT_S ((int64_t)400 * 86400) /* the longest that browsers keep one */

/* ---- GET /session ---- */

static const char *role_name(const struct who *who)
{
    if (who->door == DOOR_OPEN)
        return "owner";
    return people_role_name(who->role);
}

void api_session_get(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    static const char *const doors[] = {"open", "unclaimed", "claimed"};
    const struct who *who = &req->who;
    int64_t proved_s = who->proved_at + WHO_PROVED_S - api_now(app);
    cJSON *tree = cJSON_CreateObject();

    (void)db;
    cJSON_AddStringToObject(tree, "door", doors[who->door]);
    cJSON_AddStringToObject(tree, "role", role_name(who));
    api_add_id_or_null(tree, "person", who->person_id);
    cJSON_AddStringToObject(tree, "name", who->name);
    cJSON_AddBoolToObject(tree, "ended", who->is_dead);
    cJSON_AddBoolToObject(tree, "family_sees_permit", who->family_sees_permit);
    cJSON_AddNumberToObject(tree, "proved_for_s",
                            who->role == WHO_OWNER && proved_s > 0 ? (double)proved_s
                                                                   : 0.0);
    api_send(out, 200, tree);
}

/* ---- what a login brings ---- */

static void set_cookie(const struct request *req, char out[REPLY_COOKIE_SIZE],
                       const char *name, const char *value, int64_t max_age_s)
{
    snprintf(out, REPLY_COOKIE_SIZE,
             "%s%s=%s; Path=/; Max-Age=%lld; HttpOnly; SameSite=Strict%s",
             req->is_secure ? "__Host-" : "", name, value, (long long)max_age_s,
             req->is_secure ? "; Secure" : "");
}

static void throttle_key_of_name(const char *name, uint8_t key[THROTTLE_KEY_BYTES])
{
    char lower[WHO_NAME_SIZE + 8];
    size_t used = (size_t)snprintf(lower, sizeof lower, "name:%s", name);

    for (size_t i = 0; i < used; i++)
        if (lower[i] >= 'A' && lower[i] <= 'Z')
            lower[i] = (char)(lower[i] + 32);
    secret_sha(lower, key);
}

/* Whose secret it is to be, and whose count of failures is at stake. */
static void choose_person(struct db *db, const struct request *req, struct proof *proof,
                          int64_t *out_failures)
{
    struct db_person person;
    int64_t failures = 0;

    *out_failures = 0;
    throttle_key_of_name(proof->name, proof->key);
    if (db_person_find(db, proof->name, &person) != DB_OK)
        return;
    *out_failures = person.failures;
    if (req->device_cookie != NULL) {
        secret_sha(req->device_cookie, proof->device_hash);
        if (db_device_find(db, proof->device_hash, person.id, &failures) == DB_OK) {
            proof->is_known_device = true;
            *out_failures = failures;
            memcpy(proof->key, proof->device_hash, sizeof proof->key);
        }
    }
    if (person.disabled)
        return;
    proof->person_id = person.id;
    memcpy(proof->stored, person.secret, sizeof proof->stored);
}

static bool may_try(struct door *door, struct proof *proof, int64_t failures,
                    struct reply *out)
{
    int wait_s = 0;

    switch (door_begin(door, proof, failures, &wait_s)) {
    case THROTTLE_LET:
        return true;
    case THROTTLE_SHUT:
        reply_refuse(out, 403, "login_shut", NULL,
                     "Too many wrong tries: this login is shut. The owner gives a new "
                     "PIN; for the owner, \"coilkeepd reset-owner\" on the machine "
                     "itself.");
        return false;
    case THROTTLE_WAIT:
    case THROTTLE_BUSY:
        break;
    }
    reply_refuse(out, 429, "login_wait", NULL,
                 "Too many wrong tries. The next one is looked at in %d s.", wait_s);
    out->retry_after_s = wait_s;
    return false;
}

bool api_session_prepare(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    struct proof *proof = req->proof;
    struct problem problem;
    struct form form;
    int64_t failures = 0;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        form_text(&form, "name", FORM_REQUIRED, proof->name, sizeof proof->name);
        form_text(&form, "secret", FORM_REQUIRED, proof->typed, sizeof proof->typed);
        form_text(&form, "device", FORM_OPTIONAL, proof->device, sizeof proof->device);
    }
    form_close(&form);
    if (api_refused(out, &problem))
        return false;
    choose_person(db, req, proof, &failures);
    proof->compares = true;
    return may_try(app->door, proof, failures, out);
}

/* ---- POST /session ---- */

static enum db_status note(struct app *app, struct db *db, const struct request *req,
                           int64_t actor_id, const char *action, int64_t person_id)
{
    return api_journal(app, db, req, actor_id, action, "session", person_id, NULL,
                       NULL);
}

/* Counted and told in the journal, so that a restart forgives nothing. */
static void refuse_secret(struct app *app, struct db *db, const struct request *req,
                          struct reply *out)
{
    const struct proof *proof = req->proof;
    int64_t failures = door_end(app->door, proof, false);
    enum db_status status = db_begin(db);

    if (status == DB_OK && proof->is_known_device)
        status = db_device_set_failures(db, proof->device_hash, failures);
    else if (status == DB_OK && proof->person_id != 0)
        status = db_person_set_failures(db, proof->person_id, failures);
    if (status == DB_OK)
        status = note(app, db, req, 0, "login_refused", proof->person_id);
    if (status == DB_OK)
        status = db_commit(db);
    if (status != DB_OK)
        db_rollback(db);
    log_line(LOG_LEVEL_WARNING, "door", "a login from %s was refused", req->peer);
    reply_refuse(out, 401, "secret_wrong", "secret",
                 "That name and PIN or passphrase do not fit.");
}

/* A stranger's browser that logs in becomes a known one. */
static enum db_status know_device(struct app *app, struct db *db,
                                  const struct request *req,
                                  const struct proof *proof, struct reply *out)
{
    char id[SECRET_ID_SIZE];
    uint8_t hash[SECRET_SHA_BYTES];

    if (proof->is_known_device)
        return db_device_set_failures(db, proof->device_hash, 0);
    secret_make_id(id);
    secret_sha(id, hash);
    set_cookie(req, out->cookies[1], DEVICE_COOKIE, id, DEVICE_KEPT_S);
    return db_device_add(db, hash, proof->person_id, api_now(app));
}

static enum db_status open_session(struct app *app, struct db *db,
                                   const struct request *req,
                                   const struct db_person *person, struct reply *out)
{
    struct db_session session = {.person_id = person->id};
    char id[SECRET_ID_SIZE];
    uint8_t hash[SECRET_SHA_BYTES];
    enum db_status status = DB_OK;

    session.made_at = session.seen_at = session.proved_at = api_now(app);
    snprintf(session.peer, sizeof session.peer, "%s", req->peer);
    snprintf(session.device, sizeof session.device, "%s", req->proof->device);
    secret_make_id(id);
    secret_sha(id, hash);
    if (req->who.session_id != 0)
        status = db_session_end(db, req->who.session_id); /* never two in one browser */
    if (status == DB_OK || status == DB_NOT_FOUND)
        status = db_session_add(db, hash, &session);
    if (status == DB_OK)
        status = note(app, db, req, person->actor_id, "log_in", person->id);
    set_cookie(req, out->cookies[0], SESSION_COOKIE, id, door_absolute_s(person->role));
    sodium_memzero(id, sizeof id);
    return status;
}

static void send_person(struct reply *out, int status, const struct db_person *person)
{
    cJSON *tree = cJSON_CreateObject();

    cJSON_AddNumberToObject(tree, "person", (double)person->id);
    cJSON_AddStringToObject(tree, "name", person->name);
    cJSON_AddStringToObject(tree, "role", people_role_name(person->role));
    api_send(out, status, tree);
}

/* Ends the transaction that the caller began. */
static bool finish(struct db *db, enum db_status status, struct reply *out)
{
    if (status == DB_OK)
        status = db_commit(db);
    if (status == DB_OK)
        return true;
    db_rollback(db);
    memset(out->cookies, 0, sizeof out->cookies);
    return api_ok(out, status, "login");
}

void api_session_create(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    struct proof *proof = req->proof;
    struct db_person person;
    enum db_status status;

    if (proof->person_id == 0 || !proof->matches ||
        db_person_get(db, proof->person_id, &person) != DB_OK || person.disabled) {
        refuse_secret(app, db, req, out);
        return;
    }
    door_end(app->door, proof, true);
    status = db_begin(db);
    if (status == DB_OK &&
        !proof->is_known_device) /* a stranger's guesses still count */
        status = db_person_set_failures(db, person.id, 0);
    if (status == DB_OK)
        status = know_device(app, db, req, proof, out);
    if (status == DB_OK)
        status = open_session(app, db, req, &person, out);
    if (finish(db, status, out))
        send_person(out, 201, &person);
}

/* ---- POST /session/end, POST /session/proof ---- */

void api_session_end(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    enum db_status status;

    if (!api_takes_nothing(req, out))
        return;
    status = db_session_end(db, req->who.session_id);
    if (status == DB_OK || status == DB_NOT_FOUND)
        status = note(app, db, req, req->who.actor_id, "log_out", req->who.person_id);
    if (!api_ok(out, status, "login"))
        return;
    set_cookie(req, out->cookies[0], SESSION_COOKIE, "", 0);
    reply_json(out, 200, strdup("{\"ended\":true}"));
}

bool api_proof_prepare(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct proof *proof = req->proof;
    struct problem problem;
    struct form form;
    int64_t failures = 0;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0)
        form_text(&form, "secret", FORM_REQUIRED, proof->typed, sizeof proof->typed);
    form_close(&form);
    if (api_refused(out, &problem))
        return false;
    snprintf(proof->name, sizeof proof->name, "%s", req->who.name);
    choose_person(db, req, proof, &failures);
    proof->compares = true;
    return may_try(app->door, proof, failures, out);
}

void api_session_proof(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    enum db_status status;

    if (!req->proof->matches || req->proof->person_id != req->who.person_id) {
        refuse_secret(app, db, req, out);
        return;
    }
    door_end(app->door, req->proof, true);
    status = db_begin(db);
    if (status == DB_OK)
        status = db_session_proved(db, req->who.session_id, api_now(app));
    if (status == DB_OK)
        status = note(app, db, req, req->who.actor_id, "prove", req->who.person_id);
    if (finish(db, status, out))
        reply_json(out, 200, strdup("{\"proved_for_s\":300}"));
}

/* ---- POST /claim ---- */

bool api_claim_prepare(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct proof *proof = req->proof;
    struct problem problem;
    struct form form;
    char code[64] = "";
    const char *fault = NULL;

    (void)db;
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        form_text(&form, "code", FORM_REQUIRED, code, sizeof code);
        form_text(&form, "name", FORM_REQUIRED, proof->name, sizeof proof->name);
        form_text(&form, "device", FORM_OPTIONAL, proof->device, sizeof proof->device);
        if (form_text(&form, "passphrase", FORM_REQUIRED, proof->typed,
                      sizeof proof->typed))
            fault = secret_passphrase_fault(proof->typed, proof->name);
    }
    if (fault != NULL)
        problem_add(&problem, "passphrase_weak", "passphrase", "%s", fault);
    form_close(&form);
    if (api_refused(out, &problem))
        return false;
    if (!door_code_is_right(app->door, code)) {
        log_line(LOG_LEVEL_WARNING, "door", "a wrong claim code came from %s",
                 req->peer);
        reply_refuse(out, 403, "code_wrong", "code",
                     "That is not the code. \"coilkeepd claim-code\" on the machine "
                     "itself shows it.");
        return false;
    }
    if (atomic_exchange(&app->door->is_being_claimed, true)) {
        reply_refuse(out, 409, "already_claimed", NULL,
                     "Somebody is claiming this Coilkeep right now.");
        return false;
    }
    proof->makes = true;
    return true;
}

static enum db_status make_owner(struct app *app, struct db *db,
                                 const struct request *req, struct db_person *owner,
                                 struct reply *out)
{
    struct proof *proof = req->proof;
    int64_t owners = 0;
    enum db_status status = db_owner_count(db, &owners);

    if (status == DB_OK && owners > 0)
        status = DB_CONFLICT;
    memcpy(owner->name, proof->name, sizeof owner->name);
    owner->role = WHO_OWNER;
    if (status == DB_OK)
        status = db_person_add(db, owner);
    if (status == DB_OK)
        status = db_person_set_secret(db, owner->id, proof->made);
    proof->person_id = owner->id;
    if (status == DB_OK)
        status = api_journal(app, db, req, owner->actor_id, "claim", "person",
                             owner->id, NULL, people_json(owner));
    if (status == DB_OK)
        status = know_device(app, db, req, proof, out);
    if (status == DB_OK)
        status = open_session(app, db, req, owner, out);
    return status;
}

void api_claim(struct app *app, struct db *db, const struct request *req,
               struct reply *out)
{
    struct db_person owner = {0};
    enum db_status status = db_begin(db);

    if (status == DB_OK && req->proof->made[0] == '\0')
        status = DB_FAILED;
    if (status == DB_OK)
        status = make_owner(app, db, req, &owner, out);
    if (!finish(db, status, out)) {
        atomic_store(&app->door->is_being_claimed, false);
        return;
    }
    atomic_store(&app->door->is_claimed, true);
    door_remove_code(app->state_dir);
    log_line(LOG_LEVEL_INFO, "door", "this Coilkeep was claimed from %s", req->peer);
    send_person(out, 201, &owner);
}

/* ---- seen ---- */

/* Keeps a session or token alive that is in use; called about once a minute. */
void api_session_touch(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    enum db_status status = DB_OK;

    if (req->who.session_id != 0)
        status = db_session_seen(db, req->who.session_id, api_now(app));
    else if (req->who.token_id != 0)
        status = db_token_used(db, req->who.token_id, api_now(app));
    if (status != DB_OK)
        log_line(LOG_LEVEL_WARNING, "door", "a login's last use was not noted");
    out->status = 204;
}

/* The stream itself is http_events.c's; this only says that it may begin. */
void api_events(struct app *app, struct db *db, const struct request *req,
                struct reply *out)
{
    (void)app;
    (void)db;
    (void)req;
    out->status = 200;
    out->content_type = "text/event-stream";
}
