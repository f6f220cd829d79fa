/* The line of a heater: what is stored and what is wrong with it, and trials of others.
 */
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_config.h"
#include "api_line.h"

#define HOURS_DEFAULT 8
#define HOURS_MAX (31 * 24)

/* One call, on the heap: its parts are too large for a stack. */
struct line_call {
    int64_t now_s, hours;
    struct db_heater heater;
    struct db_line stored;
    struct line_water water;
    struct line_document document;
    struct coil_line_report report;
};

static void finish(struct line_call *call)
{
    if (call != NULL)
        free(call->stored.document);
    free(call);
}

/* The heater that the query names, or the main one; answers and gives false without. */
static bool find_heater(struct db *db, const struct request *req, struct reply *out,
                        struct line_call *call)
{
    int64_t heater_id = 0, water_id = 0;
    struct problem problem;

    problem_init(&problem);
    problem.status = 400;
    call->hours = HOURS_DEFAULT;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &heater_id);
    api_query_integer(req, &problem, "hours", 0, HOURS_MAX, &call->hours);
    if (api_refused(out, &problem))
        return false;
    if (!api_main_pair(db, out, &heater_id, &water_id))
        return false;
    return api_ok(out, db_heater_get(db, heater_id, &call->heater), "heater");
}

/* Gives a call with heater, water and what is stored; NULL when it was answered. */
static struct line_call *begin(struct app *app, struct db *db,
                               const struct request *req, struct reply *out)
{
    struct line_call *call = calloc(1, sizeof *call);

    if (call == NULL) {
        reply_refuse(out, 500, "no_memory", NULL, "There is no memory for the line.");
        return NULL;
    }
    call->now_s = api_now(app);
    if (find_heater(db, req, out, call) &&
        api_ok(out, db_line_get(db, call->heater.id, &call->stored), "line") &&
        api_ok(out,
               line_water_read(db, call->heater.id, call->heater.water_ids[0],
                               call->now_s, &call->water),
               "water"))
        return call;
    finish(call);
    return NULL;
}

/* ---- answers ---- */

/* Judges call->document, which line_document_read has found to be a line. */
static cJSON *judge(struct line_call *call)
{
    const struct line_question question = {
        .document = &call->document,
        .water = &call->water,
        .heater = &call->heater,
        .hours = (double)call->hours,
    };
    struct coil_line_problem problem;

    if (coil_line_find(&call->document.line, call->water.water_temp_c, &call->report,
                       &problem) != COIL_OK)
        return NULL;
    return line_answer_json(&question, &call->report);
}

static void tag_of(const struct line_call *call, char *out, size_t size)
{
    config_etag("line", call->heater.id, call->stored.version, out, size);
}

/* Sends call->document as what is stored, with the answer; takes it. */
static void send_line(struct reply *out, const struct line_call *call, cJSON *answer)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddNumberToObject(object, "heater", (double)call->heater.id);
    cJSON_AddNumberToObject(object, "version", (double)call->stored.version);
    api_add_id_or_null(object, "changed_at", call->stored.at);
    line_document_add(object, &call->document);
    if (answer == NULL)
        cJSON_AddNullToObject(object, "answer");
    else
        cJSON_AddItemToObject(object, "answer", answer);
    api_send(out, 200, object);
    tag_of(call, out->etag, sizeof out->etag);
    out->tag_only_matches = true; /* the water moves, the tag does not */
}

void api_line_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct line_call *call = begin(app, db, req, out);
    cJSON *answer = NULL;

    if (call == NULL)
        return;
    if (call->stored.version > 0) {
        answer = line_document_parse(call->stored.document, &call->document)
                     ? judge(call)
                     : NULL;
        if (answer == NULL)
            reply_refuse(out, 500, "store_failed", NULL,
                         "The line that is stored cannot be read.");
    }
    if (answer != NULL || call->stored.version == 0)
        send_line(out, call, answer);
    finish(call);
}

/* ---- changes and trials ---- */

/* Reads the body; answers and gives false when it is refused. */
static bool read_body(struct db *db, const struct request *req, struct reply *out,
                      struct line_call *call, int64_t *out_actor_id)
{
    struct problem problem;
    struct form form;
    enum db_status actor = DB_OK;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        if (out_actor_id != NULL)
            actor = api_actor(db, &form, out_actor_id);
        line_document_read(&form, &call->document);
    }
    form_close(&form);
    return !api_refused(out, &problem) && api_ok(out, actor, "person");
}

static void count_fault(struct coil_line_stops *count, enum coil_line_fault_code code)
{
    if (count->count++ == 0)
        count->first = (int)code; /* faults come in the order of their codes */
}

/* What the report means for the permit. */
static void count_faults(const struct coil_line_report *report, struct db_line *out)
{
    for (int i = 0; i < report->fault_count; i++) {
        const struct coil_line_fault *fault = &report->faults[i];

        if (fault->severity == COIL_LINE_STOP)
            count_fault(&out->stops[fault->side], fault->code);
        else if (fault->severity == COIL_LINE_RISK)
            count_fault(&out->risks, fault->code);
    }
}

static enum db_status put(struct db *db, struct line_call *call, int64_t actor_id)
{
    cJSON *document = cJSON_CreateObject();
    struct db_line line = {
        .heater_id = call->heater.id,
        .version = call->stored.version,
        .at = call->now_s,
        .actor_id = actor_id,
    };
    enum db_status status = DB_FAILED;

    line_document_add(document, &call->document);
    line.document = json_print_and_delete(document);
    count_faults(&call->report, &line);
    if (line.document != NULL)
        status = db_line_put(db, &line);
    if (status != DB_OK) {
        free(line.document);
        return status;
    }
    free(call->stored.document);
    call->stored = line;
    return DB_OK;
}

/* The journal keeps what was stored, not what was answered. */
static cJSON *stored_json(const struct db_line *line)
{
    enum json_fault fault;

    return line->document == NULL
               ? NULL
               : json_parse(line->document, strlen(line->document), &fault);
}

static void save(struct app *app, struct db *db, const struct request *req,
                 struct reply *out, struct line_call *call, int64_t actor_id)
{
    cJSON *before = stored_json(&call->stored), *answer = judge(call);

    if (answer == NULL)
        reply_refuse(out, 500, "no_memory", NULL, "The line cannot be judged.");
    else if (api_ok(out, put(db, call, actor_id), "line") &&
             api_ok(out,
                    api_journal(app, db, req, actor_id,
                                before == NULL ? "add" : "change", "line",
                                call->heater.id, cJSON_Duplicate(before, 1),
                                stored_json(&call->stored)),
                    "journal")) {
        send_line(out, call, answer);
        answer = NULL;
    }
    cJSON_Delete(answer);
    cJSON_Delete(before);
}

void api_line_put(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    struct line_call *call = begin(app, db, req, out);
    int64_t actor_id = 0;
    char etag[48];

    if (call == NULL)
        return;
    tag_of(call, etag, sizeof etag);
    if (api_matches(req, out, etag, NULL) && read_body(db, req, out, call, &actor_id))
        save(app, db, req, out, call, actor_id);
    finish(call);
}

void api_line_trial(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct line_call *call = begin(app, db, req, out);

    if (call == NULL)
        return;
    if (read_body(db, req, out, call, NULL))
        api_send(out, 200, judge(call));
    finish(call);
}
