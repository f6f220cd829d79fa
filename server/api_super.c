/*
 * Super-chlorinations: a proposal from this pool's water, and a plan that is worked
 * through step by step. The permit holds until a test confirms the water, or somebody
 * abandons the plan.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "api_facts.h"
#include "super_json.h"
#include "super_words.h"

static bool find_pair(struct db *db, const struct request *req, struct reply *out,
                      int64_t *heater_id, int64_t *water_id)
{
    struct problem problem;

    *heater_id = *water_id = 0;
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, heater_id);
    api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, water_id);
    api_check_pair(&problem, *heater_id, *water_id);
    if (api_refused(out, &problem))
        return false;
    return api_main_pair(db, out, heater_id, water_id);
}

static int64_t dosed_at(const struct db_plan *plan)
{
    for (size_t i = 0; i < plan->event_count; i++)
        if (plan->events[i].state >= DB_PLAN_DOSED &&
            plan->events[i].state <= DB_PLAN_CONFIRMED_BACK)
            return plan->events[i].at;
    return 0;
}

/* ---- reading ---- */

static void add_lacks(cJSON *object, unsigned lacks)
{
    static const struct {
        unsigned bit;
        const char *what;
    } all[] = {{SUPER_LACK_PH, "ph"},
               {SUPER_LACK_FREE, "free_chlorine_mg_per_l"},
               {SUPER_LACK_COMBINED, "combined_chlorine_mg_per_l"},
               {SUPER_LACK_VOLUME, "volume_m3"}};
    cJSON *array = cJSON_AddArrayToObject(object, "test_first");

    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        if ((lacks & all[i].bit) != 0)
            cJSON_AddItemToArray(array, cJSON_CreateString(all[i].what));
}

/* What was computed at the start, or now. */
static void add_proposal(cJSON *object, const struct super_plan *p, const char *kept)
{
    cJSON *proposal = kept != NULL ? cJSON_Parse(kept) : NULL;

    if (proposal == NULL && p->has_plan)
        proposal = super_proposal_json(p);
    if (proposal == NULL)
        cJSON_AddNullToObject(object, "proposal");
    else
        cJSON_AddItemToObject(object, "proposal", proposal);
}

void api_super_get(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    static _Thread_local struct super_plan p;
    static _Thread_local struct db_plan plan;
    int64_t heater_id, water_id, id = 0;
    char *kept = NULL;
    cJSON *object;
    enum db_status status;

    if (!find_pair(db, req, out, &heater_id, &water_id))
        return;
    status = db_plan_running(db, water_id, INT64_MAX, &id, NULL);
    if (status == DB_OK)
        status = db_plan_get(db, id, &plan, &kept);
    else if (status == DB_NOT_FOUND)
        status = DB_OK, id = 0;
    if (status == DB_OK)
        status = super_plan_make(app, db, heater_id, water_id,
                                 id != 0 ? dosed_at(&plan) : 0, &p);
    if (api_ok(out, status, "pair of heater and water")) {
        object = cJSON_CreateObject();
        cJSON_AddNumberToObject(object, "heater", (double)heater_id);
        cJSON_AddNumberToObject(object, "water", (double)water_id);
        cJSON_AddNumberToObject(object, "at", (double)p.now_s);
        if (id != 0)
            cJSON_AddItemToObject(object, "plan",
                                  super_plan_json(&plan, p.heater.bypass));
        else
            cJSON_AddNullToObject(object, "plan");
        add_lacks(object, p.lacks);
        add_proposal(object, &p, kept);
        super_add_outlook(object, &p);
        api_send(out, 200, object);
    }
    free(kept);
}

void api_super_one(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    static _Thread_local struct db_plan plan;
    struct db_heater heater;

    (void)app;
    if (!api_ok(out, db_plan_get(db, req->id, &plan, NULL), "super-chlorination") ||
        !api_ok(out, db_heater_get(db, plan.heater_id, &heater), "heater"))
        return;
    api_send(out, 200, super_plan_json(&plan, heater.bypass));
    super_etag(&plan, out->etag, sizeof out->etag);
}

#define LIST_MAX 200

void api_super_list(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    static _Thread_local struct db_plan plan;
    int64_t water_id = 0, from = 0, until = INT64_C(1) << 40, ids[LIST_MAX];
    uint64_t changes = api_changes(app);
    struct problem problem;
    size_t count = 0;
    cJSON *object, *array;

    problem_init(&problem);
    problem.status = 400;
    if (!api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &water_id) &&
        problem.count == 0)
        problem_add(&problem, "query_missing", "water", "Say which water.");
    api_query_integer(req, &problem, "from", 0, until, &from);
    api_query_integer(req, &problem, "until", 0, until, &until);
    if (api_refused(out, &problem) ||
        !api_ok(out, db_plan_list(db, water_id, from, until, ids, LIST_MAX, &count),
                "water"))
        return;
    object = cJSON_CreateObject();
    array = cJSON_AddArrayToObject(object, "plans");
    for (size_t i = 0; i < count && db_plan_get(db, ids[i], &plan, NULL) == DB_OK; i++) {
        cJSON *one = cJSON_CreateObject();
        bool is_over = plan.state >= DB_PLAN_CONFIRMED_BACK;

        cJSON_AddNumberToObject(one, "id", (double)plan.id);
        cJSON_AddNumberToObject(one, "from", (double)plan.at);
        api_add_id_or_null(one, "dosed_at", dosed_at(&plan));
        api_add_id_or_null(one, "until",
                           is_over ? plan.events[plan.event_count - 1].at : 0);
        cJSON_AddStringToObject(one, "state", super_state_key(plan.state));
        cJSON_AddItemToArray(array, one);
    }
    api_send(out, 200, object);
    api_tag(app, out, changes);
}

/* ---- changing ---- */

/* Journals, then answers with the plan as it now stands. */
static void answer(struct app *app, struct db *db, const struct request *req,
                   struct reply *out, int status, int64_t id, int64_t actor_id,
                   cJSON *before)
{
    static _Thread_local struct db_plan plan;
    struct db_heater heater;
    cJSON *after;

    if (!api_ok(out, db_plan_get(db, id, &plan, NULL), "super-chlorination") ||
        !api_ok(out, db_heater_get(db, plan.heater_id, &heater), "heater")) {
        cJSON_Delete(before);
        return;
    }
    after = super_plan_json(&plan, heater.bypass);
    if (!api_ok(out,
                api_journal(app, db, req, actor_id, before == NULL ? "add" : "change",
                            "super_chlorination", id, before,
                            cJSON_Duplicate(after, 1)),
                "journal")) {
        cJSON_Delete(after);
        return;
    }
    api_send(out, status, after);
    super_etag(&plan, out->etag, sizeof out->etag);
    if (status == 201)
        snprintf(out->location, sizeof out->location,
                 "/api/v1/super-chlorination/%lld", (long long)id);
}

static enum db_status start(struct app *app, struct db *db, struct db_plan *plan)
{
    static _Thread_local struct super_plan p;
    cJSON *proposal;
    char *text;
    enum db_status status =
        super_plan_make(app, db, plan->heater_id, plan->water_id, 0, &p);

    if (status != DB_OK)
        return status;
    proposal = p.has_plan ? super_proposal_json(&p) : cJSON_CreateNull();
    text = proposal == NULL ? NULL : cJSON_PrintUnformatted(proposal);
    cJSON_Delete(proposal);
    if (text == NULL)
        return DB_FAILED;
    plan->at = p.now_s;
    status = db_plan_add(db, plan, text);
    cJSON_free(text);
    return status;
}

void api_super_create(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    static _Thread_local struct db_plan plan;
    struct problem problem;
    struct form form;
    enum db_status status = DB_OK;

    memset(&plan, 0, sizeof plan);
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        form_integer(&form, "heater", 1, INT64_MAX / 2, FORM_REQUIRED, &plan.heater_id);
        form_integer(&form, "water", 1, INT64_MAX / 2, FORM_REQUIRED, &plan.water_id);
        status = api_actor(db, &form, &plan.actor_id);
    }
    form_close(&form);
    if (api_refused(out, &problem) || !api_ok(out, status, "person"))
        return;
    status = start(app, db, &plan);
    if (status == DB_CONFLICT)
        reply_refuse(out, 409, "plan_running", NULL,
                     "A super-chlorination of this water is under way. Finish or abandon "
                     "it first.");
    else if (api_ok(out, status, "pair of heater and water"))
        answer(app, db, req, out, 201, plan.id, plan.actor_id, NULL);
}

/* ---- ticking ---- */

struct tick {
    const struct super_step *step;
    struct db_plan_event event;
    struct db_dose dose; /* water_id 0: none to log */
    int state;           /* of the heater, -1: none said */
};

static const struct super_step *step_of(const char *key)
{
    const struct super_step *step;

    for (size_t i = 0; (step = super_step_at(i)) != NULL; i++)
        if (strcmp(step->key, key) == 0)
            return step;
    return NULL;
}

static void read_dose(struct form *form, struct tick *tick, int64_t water_id)
{
    struct form dose;
    char key[48] = "";

    if (!form_nested(form, "dose", FORM_OPTIONAL, &dose))
        return;
    if (strcmp(tick->event.step, "dose") != 0)
        problem_add(form->problem, "not_in_list", "dose",
                    "Only the step \"dose\" logs one.");
    if (form_text(&dose, "product", FORM_REQUIRED, key, sizeof key) &&
        coil_product_from_key(key, &tick->dose.product) != COIL_OK)
        problem_add(form->problem, "not_in_list", "dose.product",
                    "That product is not in the list.");
    form_e6(&dose, "amount", 0.001, 1e7, FORM_REQUIRED, &tick->dose.amount_e6);
    form_e6(&dose, "strength_percent", 0.01, 100, FORM_OPTIONAL,
            &tick->dose.strength_e6);
    tick->dose.water_id = water_id;
    tick->dose.entry = DB_ENTRY_POOL;
    tick->dose.super_chlorination = true;
    form_close(&dose);
}

static enum db_status read_tick(struct app *app, struct db *db,
                                const struct request *req, const struct db_plan *plan,
                                struct problem *problem, struct tick *tick)
{
    static const char *const states[] = {"in_line", "off_line_flushed",
                                         "off_line_standing", "drained", NULL};
    struct form form;
    enum db_status status = DB_OK;

    memset(tick, 0, sizeof *tick);
    tick->state = -1;
    form_open(&form, req, problem);
    if (problem->count == 0) {
        form_text(&form, "step", FORM_REQUIRED, tick->event.step,
                  sizeof tick->event.step);
        form_text(&form, "note", FORM_OPTIONAL, tick->event.note,
                  sizeof tick->event.note);
        form_choice(&form, "heater_state", states, FORM_OPTIONAL, &tick->state);
        read_dose(&form, tick, plan->water_id);
        status = api_actor(db, &form, &tick->event.actor_id);
        tick->step = step_of(tick->event.step);
        if (tick->step == NULL && problem->count == 0)
            problem_add(problem, "not_in_list", "step", "There is no such step.");
    }
    form_close(&form);
    tick->event.at = api_now(app);
    /* A clock that was set back must not put a step before the one it follows. */
    if (plan->event_count > 0 &&
        tick->event.at < plan->events[plan->event_count - 1].at)
        tick->event.at = plan->events[plan->event_count - 1].at;
    return status;
}

static bool has_ticked(const struct db_plan *plan, const char *key)
{
    for (size_t i = 0; i < plan->event_count; i++)
        if (strcmp(plan->events[i].step, key) == 0)
            return true;
    return false;
}

static bool applies(const struct super_step *step, enum coil_bypass bypass)
{
    return step->bypass == 0 || (step->bypass > 0) == (bypass != COIL_BYPASS_NONE);
}

/* The state once this step is ticked too. */
static enum db_plan_state state_after(const struct db_plan *plan,
                                      const struct super_step *ticked,
                                      enum coil_bypass bypass)
{
    const struct super_step *step;

    for (size_t i = 0; (step = super_step_at(i)) != NULL; i++)
        if (step->phase == ticked->phase && step != ticked && applies(step, bypass) &&
            !has_ticked(plan, step->key))
            return plan->state;
    return ticked->after;
}

/* Do tests after the dose show water that may pass the heater? */
static enum db_status is_back(struct db *db, const struct db_plan *plan, int64_t now_s,
                              bool *out_is_back)
{
    struct coil_permit_facts facts;
    struct coil_verdict verdict;
    enum db_status status =
        db_permit_facts(db, plan->heater_id, plan->water_id, now_s, false, &facts);
    const struct coil_history *ph = &facts.history[COIL_PH];
    const struct coil_history *free = &facts.history[COIL_FREE_CHLORINE];

    if (status != DB_OK)
        return status;
    facts.plan_started_at_s = 0;
    coil_permit_from_facts(&facts, &verdict);
    *out_is_back = verdict.water_side == COIL_RUN && ph->count > 0 && free->count > 0 &&
                   ph->newest[0].at_s > dosed_at(plan) &&
                   free->newest[0].at_s > dosed_at(plan);
    return DB_OK;
}

/* Refuses what cannot be ticked now. */
static bool may_tick(struct db *db, struct reply *out, const struct db_plan *plan,
                     const struct tick *tick, enum coil_bypass bypass)
{
    bool back = false;

    if (plan->state >= DB_PLAN_CONFIRMED_BACK)
        reply_refuse(out, 409, "plan_over", NULL, "This super-chlorination is over.");
    else if (has_ticked(plan, tick->event.step) || !applies(tick->step, bypass) ||
             tick->step->phase != plan->state)
        reply_refuse(out, 409, "step_not_open", "step",
                     "This step is done already, or others come first.");
    else if (tick->step->after == DB_PLAN_DOSED && strcmp(tick->step->key, "dose") == 0 &&
             state_after(plan, tick->step, bypass) != DB_PLAN_DOSED)
        reply_refuse(out, 409, "step_not_open", "step",
                     "pH, feeders, cover and people come before the dose.");
    else if (tick->step->after == DB_PLAN_CONFIRMED_BACK) {
        if (!api_ok(out, is_back(db, plan, tick->event.at, &back), "reading"))
            return false;
        if (back)
            return true;
        reply_refuse(out, 409, "not_back_yet", NULL,
                     "No test after the dose shows pH and free chlorine inside the "
                     "heater's limits. Test both and enter them first.");
    } else {
        return true;
    }
    return false;
}

/* What the step itself says about the world: the dose, the heater off line. */
static enum db_status log_facts(struct db *db, const struct db_plan *plan,
                                struct tick *tick)
{
    struct db_heater_state state = {
        .fact = {.at = tick->event.at,
                 .recorded_at = tick->event.at,
                 .actor_id = tick->event.actor_id},
        .heater_id = plan->heater_id,
        .state = COIL_HEATER_OFF_LINE_STANDING,
        .bypass_percent_open = 100,
    };
    enum db_status status = DB_OK;

    if (tick->dose.water_id != 0) {
        tick->dose.fact = state.fact;
        status = db_dose_add(db, &tick->dose);
    }
    if (tick->state >= 0)
        state.state = (enum coil_heater_state)tick->state;
    if (status == DB_OK &&
        (strcmp(tick->event.step, "check_isolated") == 0 || tick->state > 0))
        status = db_heater_state_add(db, &state);
    return status;
}

void api_super_step(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    static _Thread_local struct db_plan plan;
    static _Thread_local struct tick tick;
    struct db_heater heater;
    struct problem problem;
    char etag[80];
    cJSON *before;
    enum db_status status;

    if (!api_ok(out, db_plan_get(db, req->id, &plan, NULL), "super-chlorination") ||
        !api_ok(out, db_heater_get(db, plan.heater_id, &heater), "heater"))
        return;
    super_etag(&plan, etag, sizeof etag);
    if (!api_matches(req, out, etag, super_plan_json(&plan, heater.bypass)))
        return;
    problem_init(&problem);
    status = read_tick(app, db, req, &plan, &problem, &tick);
    if (api_refused(out, &problem) || !api_ok(out, status, "person") ||
        !may_tick(db, out, &plan, &tick, heater.bypass))
        return;
    tick.event.state = state_after(&plan, tick.step, heater.bypass);
    before = super_plan_json(&plan, heater.bypass);
    status = log_facts(db, &plan, &tick);
    if (status == DB_OK)
        status = db_plan_event_add(db, plan.id, plan.version, &tick.event);
    if (api_ok(out, status, "super-chlorination"))
        answer(app, db, req, out, 201, plan.id, tick.event.actor_id, before);
    else
        cJSON_Delete(before);
}

void api_super_abandon(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    static _Thread_local struct db_plan plan;
    struct db_plan_event event = {.at = api_now(app), .state = DB_PLAN_ABANDONED};
    struct db_heater heater;
    struct problem problem;
    struct form form;
    char etag[80];
    enum db_status status = DB_OK;

    if (!api_ok(out, db_plan_get(db, req->id, &plan, NULL), "super-chlorination") ||
        !api_ok(out, db_heater_get(db, plan.heater_id, &heater), "heater"))
        return;
    super_etag(&plan, etag, sizeof etag);
    if (!api_matches(req, out, etag, super_plan_json(&plan, heater.bypass)))
        return;
    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        form_text(&form, "reason", FORM_REQUIRED, event.note, sizeof event.note);
        status = api_actor(db, &form, &event.actor_id);
    }
    form_close(&form);
    if (api_refused(out, &problem) || !api_ok(out, status, "person"))
        return;
    if (plan.state >= DB_PLAN_CONFIRMED_BACK) {
        reply_refuse(out, 409, "plan_over", NULL, "This super-chlorination is over.");
        return;
    }
    if (api_ok(out, db_plan_event_add(db, plan.id, plan.version, &event),
               "super-chlorination"))
        answer(app, db, req, out, 201, plan.id, event.actor_id,
               super_plan_json(&plan, heater.bypass));
}
