/* People, their logins, instruments' tokens, and the door's settings: the owner's. */
#include "api_people.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "api_config.h"
#include "door.h"

static const char *const role_names[] = {"nobody", "viewer", "technician", "owner",
                                         "instrument"};
static const char *const given_roles[] = {"viewer", "technician", "owner", NULL};
static const char *const scope_names[] = {"readings:write", "status:read",
                                          "metrics:read", "calendar:read", NULL};

const char *people_role_name(enum who_role role)
{
    return role_names[role];
}

/* ---- people ---- */

cJSON *people_json(const struct db_person *person)
{
    cJSON *tree = cJSON_CreateObject();

    cJSON_AddNumberToObject(tree, "id", (double)person->id);
    cJSON_AddNumberToObject(tree, "version", (double)person->version);
    cJSON_AddStringToObject(tree, "name", person->name);
    cJSON_AddStringToObject(tree, "role", people_role_name(person->role));
    cJSON_AddBoolToObject(tree, "disabled", person->disabled);
    cJSON_AddBoolToObject(tree, "can_log_in",
                          person->secret[0] != '\0' && !person->disabled);
    cJSON_AddBoolToObject(tree, "shut", person->failures >= THROTTLE_SHUT_AT);
    return tree;
}

static void person_etag(const struct db_person *person, char out[80])
{
    snprintf(out, 80, "\"person-%lld-%lld\"", (long long)person->id,
             (long long)person->version);
}

static void send_person(struct reply *out, int status, const struct db_person *person)
{
    api_send(out, status, people_json(person));
    person_etag(person, out->etag);
}

void api_people_list(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct db_person people[DB_PEOPLE_MAX];
    size_t count = 0;
    cJSON *tree, *list;

    (void)app;
    (void)req;
    if (!api_ok(out, db_person_list(db, people, &count), "person"))
        return;
    tree = cJSON_CreateObject();
    list = cJSON_AddArrayToObject(tree, "people");
    for (size_t i = 0; i < count; i++)
        cJSON_AddItemToArray(list, people_json(&people[i]));
    api_send(out, 200, tree);
}

void api_people_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_person person;

    (void)app;
    if (api_ok(out, db_person_get(db, req->id, &person), "person"))
        send_person(out, 200, &person);
}

static bool read_person(const struct request *req, struct db_person *person,
                        struct reply *out)
{
    struct problem problem;
    struct form form;
    int role = -1;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        form_text(&form, "name", FORM_REQUIRED, person->name, sizeof person->name);
        form_choice(&form, "role", given_roles, FORM_REQUIRED, &role);
        form_flag(&form, "disabled", FORM_OPTIONAL, &person->disabled);
    }
    form_close(&form);
    if (role >= 0)
        person->role = (enum who_role)(role + WHO_VIEWER);
    return !api_refused(out, &problem);
}

static bool name_ok(struct reply *out, enum db_status status)
{
    if (status != DB_CONFLICT)
        return api_ok(out, status, "person");
    reply_refuse(out, 422, "name_taken", "name", "Somebody here has that name.");
    return false;
}

void api_people_create(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct db_person person = {0}, people[DB_PEOPLE_MAX];
    size_t count = 0;

    if (!read_person(req, &person, out) ||
        !api_ok(out, db_person_list(db, people, &count), "person"))
        return;
    if (count == DB_PEOPLE_MAX) {
        reply_refuse(out, 422, "too_many", "name", "There is room for %d people.",
                     DB_PEOPLE_MAX);
        return;
    }
    if (!name_ok(out, db_person_add(db, &person)) ||
        !api_ok(out,
                api_journal(app, db, req, db_acting(db), "add", "person", person.id,
                            NULL, people_json(&person)),
                "journal"))
        return;
    send_person(out, 201, &person);
    snprintf(out->location, sizeof out->location, "/api/v1/people/%lld",
             (long long)person.id);
}

/* The last owner who can log in stays one. */
static bool leaves_an_owner(struct db *db, const struct db_person *before,
                            const struct db_person *after, struct reply *out)
{
    int64_t owners = 0;
    bool was = before->role == WHO_OWNER && !before->disabled && before->secret[0];
    bool is = after->role == WHO_OWNER && !after->disabled;

    if (!was || is)
        return true;
    if (!api_ok(out, db_owner_count(db, &owners), "person"))
        return false;
    if (owners > 1)
        return true;
    reply_refuse(out, 422, "last_owner", "role",
                 "Somebody must stay owner. Make another owner first.");
    return false;
}

/* Another role starts with another secret: a PIN is no owner's passphrase. */
static enum db_status end_old_rights(struct db *db, const struct db_person *before,
                                     struct db_person *after)
{
    enum db_status status = DB_OK;

    if (before->role == after->role && before->disabled == after->disabled)
        return DB_OK;
    if (before->role != after->role &&
        (before->role == WHO_OWNER || after->role == WHO_OWNER)) {
        status = db_person_set_secret(db, after->id, "");
        after->secret[0] = '\0';
    }
    return status == DB_OK ? db_session_end_all(db, after->id, 0) : status;
}

void api_people_put(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct db_person before, after;
    char etag[80];

    if (!api_ok(out, db_person_get(db, req->id, &before), "person"))
        return;
    person_etag(&before, etag);
    if (!api_matches(req, out, etag, people_json(&before)))
        return;
    after = before;
    after.disabled = false;
    if (!read_person(req, &after, out) || !leaves_an_owner(db, &before, &after, out) ||
        !name_ok(out, db_person_put(db, &after)) ||
        !api_ok(out, end_old_rights(db, &before, &after), "person") ||
        !api_ok(out,
                api_journal(app, db, req, db_acting(db), "change", "person", after.id,
                            people_json(&before), people_json(&after)),
                "journal"))
        return;
    send_person(out, 200, &after);
}

/* ---- PINs and passphrases ---- */

bool api_pin_prepare(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct db_person person;

    (void)app;
    if (!api_takes_nothing(req, out) ||
        !api_ok(out, db_person_get(db, req->id, &person), "person"))
        return false;
    if (person.role == WHO_OWNER) {
        reply_refuse(out, 422, "owner_needs_passphrase", NULL,
                     "An owner has a passphrase, not a PIN.");
        return false;
    }
    secret_make_pin(req->proof->typed);
    req->proof->person_id = person.id;
    req->proof->makes = req->proof->shows = true;
    return true;
}

bool api_passphrase_prepare(struct app *app, struct db *db, const struct request *req,
                            struct reply *out)
{
    struct proof *proof = req->proof;
    struct problem problem;
    struct form form;
    struct db_person person;
    const char *fault = NULL;

    (void)app;
    if (!api_ok(out, db_person_get(db, req->id, &person), "person"))
        return false;
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0 && form_text(&form, "passphrase", FORM_REQUIRED,
                                        proof->typed, sizeof proof->typed))
        fault = secret_passphrase_fault(proof->typed, person.name);
    if (fault != NULL)
        problem_add(&problem, "passphrase_weak", "passphrase", "%s", fault);
    form_close(&form);
    if (api_refused(out, &problem))
        return false;
    if (person.role != WHO_OWNER) {
        reply_refuse(out, 422, "only_owners_choose", NULL,
                     "Only owners have a passphrase; give a PIN.");
        return false;
    }
    proof->person_id = person.id;
    proof->makes = true;
    return true;
}

/* The person's other logins end with the old secret. */
static bool store_secret(struct app *app, struct db *db, const struct request *req,
                         const char *action, struct reply *out)
{
    const struct proof *proof = req->proof;
    enum db_status status = proof->made[0] == '\0' ? DB_FAILED : DB_OK;

    if (status == DB_OK)
        status = db_person_set_secret(db, proof->person_id, proof->made);
    if (status == DB_OK)
        status = db_session_end_all(db, proof->person_id, req->who.session_id);
    if (status == DB_OK)
        status = api_journal(app, db, req, db_acting(db), action, "person",
                             proof->person_id, NULL, NULL);
    return api_ok(out, status, "person");
}

void api_people_pin(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    cJSON *tree;

    if (!store_secret(app, db, req, "new_pin", out))
        return;
    tree = cJSON_CreateObject();
    cJSON_AddStringToObject(tree, "pin", req->proof->typed);
    api_send(out, 200, tree);
}

void api_people_passphrase(struct app *app, struct db *db, const struct request *req,
                           struct reply *out)
{
    if (store_secret(app, db, req, "new_passphrase", out))
        reply_json(out, 200, strdup("{\"changed\":true}"));
}

/* ---- logins ---- */

void api_sessions_list(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct db_session sessions[DB_SESSIONS_MAX];
    struct db_person person;
    size_t count = 0;
    cJSON *tree, *list;

    (void)app;
    if (!api_ok(out, db_session_list(db, sessions, &count), "login"))
        return;
    tree = cJSON_CreateObject();
    list = cJSON_AddArrayToObject(tree, "sessions");
    for (size_t i = 0; i < count; i++) {
        cJSON *one = cJSON_CreateObject();

        if (db_person_get(db, sessions[i].person_id, &person) != DB_OK)
            person = (struct db_person){0};
        cJSON_AddNumberToObject(one, "id", (double)sessions[i].id);
        cJSON_AddNumberToObject(one, "person", (double)sessions[i].person_id);
        cJSON_AddStringToObject(one, "name", person.name);
        cJSON_AddStringToObject(one, "device", sessions[i].device);
        cJSON_AddStringToObject(one, "peer", sessions[i].peer);
        cJSON_AddNumberToObject(one, "since", (double)sessions[i].made_at);
        cJSON_AddNumberToObject(one, "seen_at", (double)sessions[i].seen_at);
        cJSON_AddBoolToObject(one, "this_one", sessions[i].id == req->who.session_id);
        cJSON_AddItemToArray(list, one);
    }
    api_send(out, 200, tree);
}

void api_sessions_revoke(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    if (api_takes_nothing(req, out) &&
        api_ok(out, db_session_end(db, req->id), "login") &&
        api_ok(out,
               api_journal(app, db, req, db_acting(db), "revoke", "session", req->id,
                           NULL, NULL),
               "journal"))
        reply_json(out, 200, strdup("{\"revoked\":true}"));
}

/* ---- tokens ---- */

static cJSON *token_json(const struct db_token *token)
{
    cJSON *tree = cJSON_CreateObject();

    cJSON_AddNumberToObject(tree, "id", (double)token->id);
    cJSON_AddStringToObject(tree, "name", token->name);
    cJSON_AddStringToObject(tree, "scope", scope_names[token->scope - 1]);
    api_add_id_or_null(tree, "water", token->water_id);
    cJSON_AddNumberToObject(tree, "made_at", (double)token->made_at);
    api_add_id_or_null(tree, "used_at", token->used_at);
    api_add_id_or_null(tree, "revoked_at", token->revoked_at);
    cJSON_AddBoolToObject(tree, "issued", token->is_issued);
    return tree;
}

void api_tokens_list(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct db_token tokens[DB_TOKENS_MAX];
    size_t count = 0;
    cJSON *tree, *list;

    (void)app;
    (void)req;
    if (!api_ok(out, db_token_list(db, tokens, &count), "token"))
        return;
    tree = cJSON_CreateObject();
    list = cJSON_AddArrayToObject(tree, "tokens");
    for (size_t i = 0; i < count; i++)
        cJSON_AddItemToArray(list, token_json(&tokens[i]));
    api_send(out, 200, tree);
}

static bool read_token(struct db *db, const struct request *req, struct db_token *token,
                       struct reply *out)
{
    struct problem problem;
    struct form form;
    struct db_water water;
    int scope = -1;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        form_text(&form, "name", FORM_REQUIRED, token->name, sizeof token->name);
        form_choice(&form, "scope", scope_names, FORM_REQUIRED, &scope);
        form_integer(&form, "water", 1, INT64_MAX, FORM_OPTIONAL, &token->water_id);
    }
    token->scope = (enum who_scope)(scope + 1);
    if (scope == 0 && token->water_id == 0)
        problem_add(&problem, "member_missing", "water",
                    "A token for readings is for one water.");
    if (scope > 0 && token->water_id != 0)
        problem_add(&problem, "member_unknown", "water",
                    "Only a token for readings has a water.");
    form_close(&form);
    if (api_refused(out, &problem))
        return false;
    return token->water_id == 0 ||
           api_ok(out, db_water_get(db, token->water_id, &water), "water");
}

void api_tokens_create(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct db_token token = {.made_at = api_now(app)};
    struct db_token tokens[DB_TOKENS_MAX];
    size_t count = 0;

    if (!read_token(db, req, &token, out) ||
        !api_ok(out, db_token_list(db, tokens, &count), "token"))
        return;
    if (count == DB_TOKENS_MAX)
        reply_refuse(out, 422, "too_many", "name", "There is room for %d tokens.",
                     DB_TOKENS_MAX);
    else if (api_ok(out, db_token_add(db, &token), "token") &&
             api_ok(out,
                    api_journal(app, db, req, db_acting(db), "add", "token", token.id,
                                NULL, token_json(&token)),
                    "journal"))
        api_send(out, 201, token_json(&token));
}

/* Shown once; a second call makes another and ends the first. */
void api_tokens_issue(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    struct db_token token;
    uint8_t hash[SECRET_SHA_BYTES];
    char text[SECRET_TOKEN_SIZE];
    cJSON *tree;

    if (!api_takes_nothing(req, out) ||
        !api_ok(out, db_token_get(db, req->id, &token), "token"))
        return;
    if (token.revoked_at != 0) {
        reply_refuse(out, 409, "token_revoked", NULL,
                     "This token is revoked for good.");
        return;
    }
    secret_make_token(text);
    secret_sha(text, hash);
    if (!api_ok(out, db_token_issue(db, token.id, hash), "token") ||
        !api_ok(out,
                api_journal(app, db, req, db_acting(db), "issue", "token", token.id,
                            NULL, NULL),
                "journal"))
        return;
    tree = cJSON_CreateObject();
    cJSON_AddStringToObject(tree, "token", text);
    api_send(out, 200, tree);
}

void api_tokens_revoke(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct db_token token;

    if (api_takes_nothing(req, out) &&
        api_ok(out, db_token_get(db, req->id, &token), "token") &&
        api_ok(out, db_token_revoke(db, req->id, api_now(app)), "token") &&
        api_ok(out,
               api_journal(app, db, req, db_acting(db), "revoke", "token", req->id,
                           token_json(&token), NULL),
               "journal"))
        reply_json(out, 200, strdup("{\"revoked\":true}"));
}

/* ---- the door ---- */

static cJSON *door_json(const struct db_door *door)
{
    cJSON *tree = cJSON_CreateObject();

    cJSON_AddNumberToObject(tree, "version", (double)door->version);
    cJSON_AddBoolToObject(tree, "family_sees_permit", door->family_sees_permit);
    return tree;
}

static void send_door(struct reply *out, const struct db_door *door)
{
    api_send(out, 200, door_json(door));
    snprintf(out->etag, sizeof out->etag, "\"door-%lld\"", (long long)door->version);
}

void api_door_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_door door;

    (void)app;
    (void)req;
    if (api_ok(out, db_door_get(db, &door), "door"))
        send_door(out, &door);
}

void api_door_put(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct db_door before, after;
    struct problem problem;
    struct form form;
    char etag[80];

    if (!api_ok(out, db_door_get(db, &before), "door"))
        return;
    snprintf(etag, sizeof etag, "\"door-%lld\"", (long long)before.version);
    if (!api_matches(req, out, etag, door_json(&before)))
        return;
    after = before;
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0)
        form_flag(&form, "family_sees_permit", FORM_REQUIRED,
                  &after.family_sees_permit);
    form_close(&form);
    if (!api_refused(out, &problem) && api_ok(out, db_door_put(db, &after), "door") &&
        api_ok(out,
               api_journal(app, db, req, db_acting(db), "change", "door", 1,
                           door_json(&before), door_json(&after)),
               "journal"))
        send_door(out, &after);
}
