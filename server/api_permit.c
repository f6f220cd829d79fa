/* The permit: loads the facts, asks the library, says it in words. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "api_permit.h"
#include "care_due.h"
#include "clock_watch.h"
#include "heater_exposure.h"
#include "permit_forecast.h"
#include "permit_words.h"

#define VALID_FOR_S 900

struct permit_question {
    int64_t heater_id, water_id, as_of;
    bool is_past, by_recorded;
};

static bool read_question(struct app *app, struct db *db, const struct request *req,
                          struct reply *out, struct permit_question *question)
{
    static const char *const known[] = {"measured", "recorded", NULL};
    struct problem problem;

    memset(question, 0, sizeof *question);
    question->as_of = api_now(app);
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &question->heater_id);
    api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &question->water_id);
    question->is_past =
        api_query_integer(req, &problem, "as_of", 0, question->as_of, &question->as_of);
    question->by_recorded = api_query_choice(req, &problem, "known", known, 0) == 1;
    api_check_pair(&problem, question->heater_id, question->water_id);
    if (api_refused(out, &problem))
        return false;
    return api_main_pair(db, out, &question->heater_id, &question->water_id);
}

static void add_reason(cJSON *array, const struct coil_finding *finding,
                       const struct coil_permit_facts *facts, bool us_units)
{
    cJSON *object = cJSON_CreateObject();
    struct permit_words words;

    permit_words(finding, facts, us_units, &words);
    cJSON_AddStringToObject(object, "rule", finding->rule);
    if (!finding->is_caution)
        cJSON_AddStringToObject(object, "permit", coil_permit_key(finding->permit));
    if (finding->has_value && isfinite(finding->value)) {
        const struct coil_quantity_info *info = coil_quantity_info(finding->quantity);

        cJSON_AddStringToObject(object, "quantity", info->key);
        api_add_e6(object, "value", decimal_from_double(finding->value));
        cJSON_AddStringToObject(object, "unit", info->unit);
    }
    if (finding->has_limit) {
        api_add_e6(object, "limit", decimal_from_double(finding->limit));
        cJSON_AddStringToObject(object, "limit_source",
                                coil_limit_source_key(finding->limit_source));
    }
    if (finding->has_index) {
        cJSON_AddNumberToObject(object, "saturation_index",
                                round(finding->index * 100) / 100);
        cJSON_AddNumberToObject(object, "saturation_half_width",
                                round(finding->index_half_width * 100) / 100);
        cJSON_AddNumberToObject(object, "saturation_limit", finding->index_limit);
    }
    if (finding->age_s >= 0)
        cJSON_AddNumberToObject(object, "age_s", (double)finding->age_s);
    cJSON_AddStringToObject(object, "text", words.text);
    cJSON_AddStringToObject(object, "next", words.next);
    cJSON_AddItemToArray(array, object);
}

static void add_side(cJSON *object, const char *name, enum coil_side side,
                     enum coil_permit permit, const struct coil_verdict *verdict,
                     const struct coil_permit_facts *facts, bool us_units)
{
    cJSON *one = cJSON_AddObjectToObject(object, name), *reasons;
    size_t i;

    cJSON_AddStringToObject(one, "permit", coil_permit_key(permit));
    reasons = cJSON_AddArrayToObject(one, "reasons");
    for (i = 0; i < verdict->finding_count; i++)
        if (!verdict->findings[i].is_caution && verdict->findings[i].side == side)
            add_reason(reasons, &verdict->findings[i], facts, us_units);
}

static void add_cautions(cJSON *object, const struct coil_verdict *verdict,
                         const struct coil_permit_facts *facts, bool us_units)
{
    cJSON *array = cJSON_AddArrayToObject(object, "cautions");
    size_t i;

    for (i = 0; i < verdict->finding_count; i++)
        if (verdict->findings[i].is_caution)
            add_reason(array, &verdict->findings[i], facts, us_units);
}

static void add_limit(cJSON *object, const char *name, const struct coil_limit *limit)
{
    if (limit->is_set)
        api_add_e6(object, name, decimal_from_double(limit->value));
    else
        cJSON_AddNullToObject(object, name);
}

/* The walls of the heater-safe band. pH has an upper one for scale even where passing
 * it is only a caution: 7.8. */
static void add_walls(cJSON *object, enum coil_quantity quantity,
                      const struct coil_permit_facts *facts)
{
    static const struct coil_limit scale = {true, 7.8, COIL_COMMON_PRACTICE};
    static const struct coil_limit zero = {true, 0.0, COIL_COMMON_PRACTICE};
    static const struct coil_limit none = {false, 0.0, COIL_COMMON_PRACTICE};
    const struct coil_limit *low = &none, *high = &none;
    bool high_is_limit = false;

    if (quantity == COIL_PH) {
        low = &facts->limits[COIL_LIMIT_PH_LOW];
        high_is_limit = facts->limits[COIL_LIMIT_PH_HIGH].is_set;
        high = high_is_limit ? &facts->limits[COIL_LIMIT_PH_HIGH] : &scale;
    } else if (quantity == COIL_FREE_CHLORINE || quantity == COIL_BROMINE) {
        low = &zero;
        high = &facts->limits[quantity == COIL_BROMINE ? COIL_LIMIT_BROMINE_HIGH
                                                       : COIL_LIMIT_FREE_CHLORINE_HIGH];
        high_is_limit = true;
    } else if (quantity == COIL_WATER_TEMP && facts->is_spa) {
        high = &facts->limits[COIL_LIMIT_SPA_TEMP_HIGH];
        high_is_limit = true;
    }
    add_limit(object, "low", low);
    add_limit(object, "high", high);
    cJSON_AddBoolToObject(object, "high_is_limit", high_is_limit);
}

static bool decides(enum coil_quantity quantity, const struct coil_permit_facts *facts)
{
    return quantity == COIL_PH ||
           (quantity == COIL_BROMINE && facts->sanitiser == COIL_SANITISER_BROMINE) ||
           (quantity == COIL_FREE_CHLORINE && (facts->sanitiser == COIL_CHLORINE ||
                                               facts->sanitiser == COIL_SALT_CHLORINE));
}

static void add_value(cJSON *array, enum coil_quantity quantity,
                      const struct coil_permit_facts *facts)
{
    const struct coil_quantity_info *info = coil_quantity_info(quantity);
    const struct coil_history *history = &facts->history[quantity];
    const struct coil_measure *newest = &history->newest[0];
    cJSON *object;

    if (history->count == 0 && !decides(quantity, facts))
        return;
    object = cJSON_CreateObject();
    cJSON_AddStringToObject(object, "quantity", info->key);
    cJSON_AddStringToObject(object, "words", info->words);
    cJSON_AddStringToObject(object, "unit", info->unit);
    if (history->count > 0) {
        api_add_e6(object, "value", decimal_from_double(newest->value));
        cJSON_AddNumberToObject(object, "at", (double)newest->at_s);
        cJSON_AddStringToObject(object, "method", coil_method_key(newest->method));
        cJSON_AddBoolToObject(object, "over_range", newest->over_range);
        cJSON_AddBoolToObject(object, "diluted", newest->diluted);
    } else {
        cJSON_AddNullToObject(object, "value");
        cJSON_AddNullToObject(object, "at");
    }
    cJSON_AddBoolToObject(object, "decides", decides(quantity, facts));
    add_walls(object, quantity, facts);
    cJSON_AddItemToArray(array, object);
}

static void add_values(cJSON *object, const struct coil_permit_facts *facts)
{
    cJSON *array = cJSON_AddArrayToObject(object, "values");
    int pass, quantity;

    for (pass = 0; pass < 2; pass++)
        for (quantity = 0; quantity < COIL_QUANTITY_COUNT; quantity++)
            if (decides(quantity, facts) == (pass == 0))
                add_value(array, quantity, facts);
}

static void add_state(cJSON *object, struct db *db,
                      const struct permit_question *question,
                      const struct coil_permit_facts *facts)
{
    struct db_window window = {
        .subject_id = question->heater_id, .until = question->as_of, .limit = 1};
    struct db_heater_state state;
    size_t count = 0;
    cJSON *one = cJSON_AddObjectToObject(object, "heater_state");

    cJSON_AddStringToObject(one, "state", coil_heater_state_key(facts->heater_state));
    cJSON_AddStringToObject(one, "bypass", coil_bypass_key(facts->bypass));
    api_add_id_or_null(one, "since", facts->heater_state_at_s);
    if (db_heater_state_list(db, &window, &state, &count) != DB_OK || count == 0)
        return;
    cJSON_AddNumberToObject(one, "id", (double)state.fact.id);
    cJSON_AddStringToObject(one, "by", state.fact.actor);
    if (state.bypass_percent_open < 0)
        cJSON_AddNullToObject(one, "bypass_percent_open");
    else
        cJSON_AddNumberToObject(one, "bypass_percent_open", state.bypass_percent_open);
}

static void add_steps(cJSON *object, const struct coil_verdict *verdict,
                      const struct coil_permit_facts *facts)
{
    cJSON *array = cJSON_AddArrayToObject(object, "next");
    const char *steps[PERMIT_STEPS_MAX];
    size_t count = permit_steps(verdict, facts, steps), i;

    for (i = 0; i < count; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(steps[i]));
}

static int64_t valid_for(const struct coil_verdict *verdict, int64_t now_s)
{
    int64_t left = verdict->good_until_s - now_s;

    return verdict->permit == COIL_RUN && left < VALID_FOR_S ? left : VALID_FOR_S;
}

static void add_back(struct app *app, cJSON *object, struct db *db,
                     const struct permit_question *question,
                     const struct coil_permit_facts *facts,
                     const struct coil_verdict *verdict)
{
    int64_t earliest, latest;
    cJSON *one;

    if (!permit_forecast_back(app, db, question->water_id, question->by_recorded, facts,
                              verdict, &earliest, &latest)) {
        cJSON_AddNullToObject(object, "likely_back");
        if (permit_waits_for_water(facts, verdict))
            cJSON_AddStringToObject(object, "back_unknown", PERMIT_BACK_UNKNOWN);
        else
            cJSON_AddNullToObject(object, "back_unknown");
        return;
    }
    cJSON_AddNullToObject(object, "back_unknown");
    one = cJSON_AddObjectToObject(object, "likely_back");
    cJSON_AddNumberToObject(one, "earliest", (double)earliest);
    cJSON_AddNumberToObject(one, "latest", (double)latest);
}

static cJSON *permit_json(struct app *app, struct db *db,
                          const struct permit_question *question,
                          const struct coil_permit_facts *facts, bool us_units)
{
    cJSON *object = cJSON_CreateObject();
    struct coil_verdict verdict;
    char headline[PERMIT_TEXT_SIZE];

    coil_permit_from_facts(facts, &verdict);
    permit_headline(&verdict, facts, us_units, headline, sizeof headline);
    cJSON_AddNumberToObject(object, "heater", (double)question->heater_id);
    cJSON_AddNumberToObject(object, "water", (double)question->water_id);
    cJSON_AddNumberToObject(object, "at", (double)facts->now_s);
    cJSON_AddStringToObject(object, "permit", coil_permit_key(verdict.permit));
    api_add_id_or_null(object, "good_until", verdict.good_until_s);
    cJSON_AddNumberToObject(object, "valid_for_s",
                            (double)valid_for(&verdict, facts->now_s));
    cJSON_AddStringToObject(object, "headline", headline);
    add_side(object, "water_side", COIL_WATER_SIDE, verdict.water_side, &verdict, facts,
             us_units);
    add_side(object, "burner_side", COIL_BURNER_SIDE, verdict.burner_side, &verdict,
             facts, us_units);
    add_cautions(object, &verdict, facts, us_units);
    add_back(app, object, db, question, facts, &verdict);
    add_state(object, db, question, facts);
    add_values(object, facts);
    add_steps(object, &verdict, facts);
    return object;
}

/* ---- for the family ---- */

static void move_reasons(cJSON *to, const cJSON *full, const char *side)
{
    const cJSON *one_side = cJSON_GetObjectItemCaseSensitive(full, side);
    const cJSON *reasons = cJSON_GetObjectItemCaseSensitive(one_side, "reasons");
    const cJSON *reason;

    cJSON_ArrayForEach(reason, reasons)
    {
        cJSON *one = cJSON_CreateObject();

        for (size_t i = 0; i < 2; i++) {
            static const char *const members[] = {"text", "next"};
            const cJSON *text = cJSON_GetObjectItemCaseSensitive(reason, members[i]);

            cJSON_AddStringToObject(one, members[i],
                                    cJSON_IsString(text) ? text->valuestring : "");
        }
        cJSON_AddItemToArray(to, one);
    }
}

/* Whoever has not logged in hears the permit, until when, and why in plain words. */
static cJSON *family_json(cJSON *full)
{
    static const char *const members[] = {
        "heater", "water", "at", "permit", "good_until", "valid_for_s", "headline"};
    cJSON *tree = cJSON_CreateObject();
    cJSON *reasons;

    for (size_t i = 0; i < sizeof members / sizeof members[0]; i++)
        cJSON_AddItemToObject(
            tree, members[i],
            cJSON_DetachItemFromObjectCaseSensitive(full, members[i]));
    reasons = cJSON_AddArrayToObject(tree, "reasons");
    move_reasons(reasons, full, "water_side");
    move_reasons(reasons, full, "burner_side");
    cJSON_Delete(full);
    return tree;
}

static bool is_family(const struct who *who)
{
    return who->door == DOOR_CLAIMED &&
           (who->role == WHO_NOBODY || who->role == WHO_INSTRUMENT);
}

/* The past is history, and history needs a login. */
static bool asks_only_now(const struct request *req, struct reply *out)
{
    if (request_query(req, "as_of") == NULL && request_query(req, "known") == NULL)
        return true;
    reply_refuse(out, 401, "log_in", NULL, "Log in first.");
    return false;
}

/* A clock that was set back must not hide what is known: a hold, a running plan. Then
 * the facts count up to the newest one, as far ahead of its own time as one may be
 * typed. */
static int64_t facts_until(struct db *db, const struct permit_question *question,
                           const struct clock_watch_state *clock)
{
    int64_t newest = 0;

    if (question->is_past || clock->clock < COIL_CLOCK_JUMPED ||
        db_newest_recorded_at(db, &newest) != DB_OK)
        return question->as_of;
    return newest + API_FUTURE_S > question->as_of ? newest + API_FUTURE_S
                                                   : question->as_of;
}

/* All that the answer rests on, up to an instant. */
static bool read_facts(struct app *app, struct db *db, struct reply *out,
                       const struct permit_question *question, int64_t until,
                       struct coil_permit_facts *facts)
{
    return api_ok(out,
                  db_permit_facts(db, question->heater_id, question->water_id, until,
                                  question->by_recorded, facts),
                  "pair of heater and water") &&
           api_ok(out,
                  permit_forecast_add(app, db, question->water_id,
                                      question->by_recorded, facts),
                  "water") &&
           api_ok(out,
                  heater_exposure_severe(
                      app, db, question->heater_id, question->water_id, until,
                      question->by_recorded, &facts->severe_exposure_until_s),
                  "pair of heater and water");
}

/* The permit as everybody with a login sees it; NULL when it was refused. */
static cJSON *permit_tree(struct app *app, struct db *db,
                          const struct permit_question *question,
                          const struct clock_watch_state *clock, struct reply *out)
{
    struct coil_permit_facts facts;
    struct db_site site;

    memset(&facts, 0, sizeof facts);
    if (!api_ok(out, db_site_get(db, &site), "site"))
        return NULL;
    if (!read_facts(app, db, out, question, facts_until(db, question, clock), &facts) ||
        (!question->is_past &&
         !api_ok(out,
                 care_cleaning_overdue(app, db, question->heater_id,
                                       &facts.cleaning_overdue,
                                       &facts.cleaning_overdue_days),
                 "heater")))
        return NULL;
    facts.clock = clock->clock;
    facts.clock_jump_s = clock->jump_s;
    return permit_json(app, db, question, &facts, site.us_units);
}

cJSON *api_permit_now(struct app *app, struct db *db, int64_t heater_id,
                      int64_t water_id, struct reply *out)
{
    const struct permit_question question = {
        .heater_id = heater_id, .water_id = water_id, .as_of = api_now(app)};
    struct clock_watch_state clock;

    clock_watch_look(app, db, &clock);
    return permit_tree(app, db, &question, &clock, out);
}

/* ---- kept for the rest of the second ---- */

/* A hundred phones ask at once when something changed. What was answered holds until
 * the next change, and for one second, since ages are told in seconds. Used by the HTTP
 * thread alone. */
#define KEPT_MAX 8

static struct kept_permit {
    int64_t heater_id, water_id, at;
    uint64_t changes, run_id;
    enum coil_clock clock; /* a clock that was moved is no change of the store */
    bool for_family;
    char *text;
} kept[KEPT_MAX];

static struct kept_permit *find_kept(struct app *app,
                                     const struct permit_question *question,
                                     enum coil_clock clock, bool for_family)
{
    for (size_t i = 0; i < KEPT_MAX; i++)
        if (kept[i].text != NULL && kept[i].heater_id == question->heater_id &&
            kept[i].water_id == question->water_id && kept[i].at == question->as_of &&
            kept[i].changes == api_changes(app) && kept[i].run_id == app->run_id &&
            kept[i].clock == clock && kept[i].for_family == for_family)
            return &kept[i];
    return NULL;
}

static void keep(struct app *app, const struct permit_question *question,
                 enum coil_clock clock, bool for_family, uint64_t changes,
                 const struct reply *reply)
{
    static size_t next;
    struct kept_permit *place = &kept[next++ % KEPT_MAX];

    free(place->text);
    *place = (struct kept_permit){
        question->heater_id, question->water_id,
        question->as_of,     changes,
        app->run_id,         clock,
        for_family,          strndup(reply->body, reply->body_length)};
}

void api_permit_forget(void)
{
    for (size_t i = 0; i < KEPT_MAX; i++)
        free(kept[i].text);
    memset(kept, 0, sizeof kept);
}

void api_permit_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    bool for_family = is_family(&req->who);
    uint64_t changes = api_changes(app);
    struct clock_watch_state clock = {.clock = COIL_CLOCK_GOOD};
    struct permit_question question;
    struct kept_permit *known;
    cJSON *tree;

    if ((for_family && !asks_only_now(req, out)) ||
        !read_question(app, db, req, out, &question))
        return;
    if (!question.is_past)
        clock_watch_look(app, db, &clock);
    known =
        question.is_past ? NULL : find_kept(app, &question, clock.clock, for_family);
    if (known != NULL) {
        reply_json(out, 200, strdup(known->text));
        return;
    }
    tree = permit_tree(app, db, &question, &clock, out);
    if (tree == NULL)
        return;
    api_send(out, 200, for_family ? family_json(tree) : tree);
    if (!question.is_past && out->status == 200)
        keep(app, &question, clock.clock, for_family, changes, out);
}
