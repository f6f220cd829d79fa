#include "api_facts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LIST_DEFAULT 50
#define LIST_MAX 500

static void fact_etag(const struct fact_kind *kind, const struct db_fact *fact,
                      char *out, size_t size)
{
    if (fact->superseded_by != 0)
        snprintf(out, size, "\"%s-%lld-%lld\"", kind->name, (long long)fact->id,
                 (long long)fact->superseded_by);
    else
        snprintf(out, size, "\"%s-%lld\"", kind->name, (long long)fact->id);
}

cJSON *fact_json(const struct fact_kind *kind, const void *record)
{
    const struct db_fact *fact = record;
    cJSON *object = cJSON_CreateObject();
    char etag[80];

    if (object == NULL)
        return NULL;
    fact_etag(kind, fact, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "id", (double)fact->id);
    cJSON_AddStringToObject(object, "etag", etag);
    cJSON_AddNumberToObject(object, "at", (double)fact->at);
    cJSON_AddNumberToObject(object, "recorded_at", (double)fact->recorded_at);
    cJSON_AddStringToObject(object, "by", fact->actor);
    cJSON_AddStringToObject(object, "note", fact->note);
    cJSON_AddStringToObject(object, "reason", fact->reason);
    api_add_id_or_null(object, "supersedes", fact->supersedes);
    api_add_id_or_null(object, "superseded_by", fact->superseded_by);
    cJSON_AddBoolToObject(object, "withdrawn", fact->withdrawn);
    api_add_id_or_null(object, "batch", fact->batch_id);
    kind->write(object, record);
    return object;
}

static void send_fact(struct reply *out, int status, const struct fact_kind *kind,
                      const void *record)
{
    const struct db_fact *fact = record;

    api_send(out, status, fact_json(kind, record));
    if (out->status != status)
        return;
    fact_etag(kind, fact, out->etag, sizeof out->etag);
    if (status == 201)
        snprintf(out->location, sizeof out->location, "/api/v1/%s/%lld", kind->path,
                 (long long)fact->id);
}

/* ---- list ---- */

/* The cursor is "AT-ID" of the last fact of the page before. */
static void read_cursor(const struct request *req, struct problem *problem,
                        struct db_window *window)
{
    const char *text = request_query(req, "before");
    long long at, id;
    int used = 0;

    if (text == NULL)
        return;
    if (strspn(text, "0123456789-") != strlen(text) ||
        sscanf(text, "%15lld-%15lld%n", &at, &id, &used) != 2 || text[used] != '\0' ||
        id <= 0)
        problem_add(problem, "query_invalid", "before",
                    "before must be the value of more in an earlier answer.");
    else {
        window->before_at = at;
        window->before_id = id;
    }
}

static void read_window(struct app *app, const struct request *req,
                        const struct fact_kind *kind, struct problem *problem,
                        struct db_window *window)
{
    int64_t limit = LIST_DEFAULT;

    memset(window, 0, sizeof *window);
    window->from = 1; /* at 0 stand assumptions, not what anybody saw */
    window->until = api_now(app) + API_FUTURE_S;
    if (request_query(req, kind->subject) == NULL)
        problem_add(problem, "query_missing", kind->subject, "Say which %s.",
                    kind->subject);
    api_query_integer(req, problem, kind->subject, 1, INT64_MAX, &window->subject_id);
    api_query_integer(req, problem, "from", 0, INT64_MAX, &window->from);
    api_query_integer(req, problem, "until", 0, INT64_MAX, &window->until);
    api_query_integer(req, problem, "limit", 1, LIST_MAX, &limit);
    api_query_flag(req, problem, "history", &window->with_history);
    read_cursor(req, problem, window);
    window->limit = (int)limit;
}

static cJSON *list_json(const struct fact_kind *kind, const char *records, size_t count,
                        bool is_full)
{
    cJSON *object = cJSON_CreateObject();
    cJSON *array = cJSON_AddArrayToObject(object, kind->member);
    char cursor[48];
    size_t i;

    for (i = 0; i < count; i++)
        cJSON_AddItemToArray(array, fact_json(kind, records + i * kind->size));
    if (is_full && count > 0) {
        const struct db_fact *last =
            (const struct db_fact *)(records + (count - 1) * kind->size);

        snprintf(cursor, sizeof cursor, "%lld-%lld", (long long)last->at,
                 (long long)last->id);
        cJSON_AddStringToObject(object, "more", cursor);
    } else {
        cJSON_AddNullToObject(object, "more");
    }
    return object;
}

void fact_list(struct app *app, struct db *db, const struct request *req,
               struct reply *out, const struct fact_kind *kind)
{
    const uint64_t changes = api_changes(app);
    struct db_window window;
    struct problem problem;
    char *records;
    size_t count = 0;

    problem_init(&problem);
    problem.status = 400;
    read_window(app, req, kind, &problem, &window);
    if (api_refused(out, &problem))
        return;
    records = calloc((size_t)window.limit, kind->size);
    if (records == NULL)
        reply_refuse(out, 500, "no_memory", NULL, "There is no memory for the list.");
    else if (api_ok(out, kind->list(db, &window, records, &count), kind->name))
        api_send(out, 200,
                 list_json(kind, records, count, count == (size_t)window.limit));
    free(records);
    api_tag(app, out, changes);
}

/* ---- one ---- */

void fact_get(struct app *app, struct db *db, const struct request *req,
              struct reply *out, const struct fact_kind *kind)
{
    void *record = calloc(1, kind->size);

    (void)app;
    if (record == NULL)
        reply_refuse(out, 500, "no_memory", NULL, "There is no memory for the answer.");
    else if (api_ok(out, kind->get(db, req->id, record), kind->name))
        send_fact(out, 200, kind, record);
    free(record);
}

/* ---- create and correct ---- */

/* Reads the whole body into record; answers and returns false when it is refused. */
static bool read_body(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, const struct fact_kind *kind, void *record,
                      bool is_correction)
{
    struct db_fact *fact = record;
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        fact->at = api_instant(app, db, &form, "at", "local");
        fact->recorded_at = api_now(app);
        actor = api_actor(db, &form, &fact->actor_id);
        form_text(&form, "note", FORM_OPTIONAL, fact->note, sizeof fact->note);
        if (is_correction)
            form_text(&form, "reason", FORM_REQUIRED, fact->reason,
                      sizeof fact->reason);
        kind->read(app, db, &form, record);
    }
    form_close(&form);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

/* Stores and answers; the store fills in what it knows better (names, ids). */
static bool store(struct app *app, struct db *db, const struct request *req,
                  struct reply *out, const struct fact_kind *kind, void *record,
                  const char *action, cJSON *before)
{
    struct db_fact *fact = record;
    int64_t id;

    if (!api_ok(out, kind->add(db, record), kind->name)) {
        cJSON_Delete(before);
        return false;
    }
    id = fact->id;
    if (!api_ok(out, kind->get(db, id, record), kind->name)) {
        cJSON_Delete(before);
        return false;
    }
    if (!api_ok(out,
                api_journal(app, db, req, fact->actor_id, action, kind->name, id, before,
                            fact_json(kind, record)),
                "journal"))
        return false;
    send_fact(out, 201, kind, record);
    return true;
}

/* An instrument writes of its own water only; readings are all that it may write. */
static bool is_own_water(const struct request *req, const struct fact_kind *kind,
                         const void *record, struct reply *out)
{
    const struct db_reading *reading = record;

    if (req->who.role != WHO_INSTRUMENT ||
        (kind == &fact_readings && reading->water_id == req->who.water_id))
        return true;
    reply_refuse(out, 403, "not_yours", "water", "This token is for another water.");
    return false;
}

void fact_create(struct app *app, struct db *db, const struct request *req,
                 struct reply *out, const struct fact_kind *kind)
{
    void *record = calloc(1, kind->size);

    if (record == NULL)
        reply_refuse(out, 500, "no_memory", NULL, "There is no memory for the entry.");
    else if (read_body(app, db, req, out, kind, record, false) &&
             is_own_water(req, kind, record, out))
        store(app, db, req, out, kind, record, "add", NULL);
    free(record);
}

/* The fact to be replaced, if it is still what the caller saw and the caller's. */
static bool load_matching(struct app *app, struct db *db, const struct request *req, struct reply *out,
                          const struct fact_kind *kind, void *old)
{
    char etag[80];
    cJSON *current;

    if (!api_ok(out, kind->get(db, req->id, old), kind->name))
        return false;
    fact_etag(kind, old, etag, sizeof etag);
    current = cJSON_CreateObject();
    cJSON_AddStringToObject(current, "etag", etag);
    api_add_id_or_null(current, "superseded_by",
                       ((const struct db_fact *)old)->superseded_by);
    if (!api_matches(req, out, etag, current))
        return false;
    if (((const struct db_fact *)old)->superseded_by != 0)
        return api_ok(out, DB_CONFLICT, kind->name);
    if (who_may_correct(&req->who, ((const struct db_fact *)old)->actor_id,
                        ((const struct db_fact *)old)->recorded_at, api_now(app)))
        return true;
    reply_refuse(out, 403, "not_yours", NULL,
                 "You correct what you entered yourself, for a day; the owner corrects "
                 "the rest.");
    return false;
}

void fact_correct(struct app *app, struct db *db, const struct request *req,
                  struct reply *out, const struct fact_kind *kind)
{
    void *old = calloc(1, kind->size), *record = calloc(1, kind->size);

    if (old == NULL || record == NULL)
        reply_refuse(out, 500, "no_memory", NULL, "There is no memory for the entry.");
    else if (load_matching(app, db, req, out, kind, old) &&
             read_body(app, db, req, out, kind, record, true)) {
        ((struct db_fact *)record)->supersedes = req->id;
        store(app, db, req, out, kind, record, "correct", fact_json(kind, old));
    }
    free(old);
    free(record);
}

/* ---- withdraw ---- */

static bool read_withdrawal(struct app *app, struct db *db, const struct request *req,
                            struct reply *out, struct db_fact *fact)
{
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &fact->actor_id);
        form_text(&form, "reason", FORM_REQUIRED, fact->reason, sizeof fact->reason);
    }
    form_close(&form);
    fact->recorded_at = api_now(app);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

void fact_withdraw(struct app *app, struct db *db, const struct request *req,
                   struct reply *out, const struct fact_kind *kind)
{
    void *old = calloc(1, kind->size), *record = calloc(1, kind->size);
    struct db_fact *fact = record;

    if (old == NULL || record == NULL) {
        reply_refuse(out, 500, "no_memory", NULL, "There is no memory for the entry.");
    } else if (load_matching(app, db, req, out, kind, old)) {
        memcpy(record, old, kind->size);
        memset(fact->reason, 0, sizeof fact->reason);
        if (kind->empty != NULL)
            kind->empty(record);
        fact->id = fact->superseded_by = fact->batch_id = 0;
        fact->supersedes = req->id;
        fact->withdrawn = true;
        if (fact->supersedes != 0 && ((struct db_fact *)old)->withdrawn)
            reply_refuse(out, 409, "already_withdrawn", NULL,
                         "This %s is withdrawn already.", kind->name);
        else if (read_withdrawal(app, db, req, out, fact))
            store(app, db, req, out, kind, record, "withdraw", fact_json(kind, old));
    }
    free(old);
    free(record);
}
