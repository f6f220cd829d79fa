/*
 * Permits of the past as spans: what the permit would have said, from the facts and
 * limits of each time. It can only change when a fact begins to count, when a run ends
 * by itself, and when a fact has reached an age that some rule looks at; it is asked at
 * those instants and nowhere else.
 */
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "heater_exposure.h"
#include "permit_forecast.h"

#define SPAN_DEFAULT_S (30 * 86400)
#define QUESTIONS_MAX 600 /* of one answer; "more" says where to go on */

/* Ages at which a rule changes its mind, and the second after: lib/permit.h. */
static const int64_t ages[] = {0,
                               COIL_VALIDITY_FORECAST_MIN_S,
                               COIL_VALIDITY_FORECAST_MIN_S + 1,
                               COIL_VALIDITY_AT_WALL_S,
                               COIL_VALIDITY_AT_WALL_S + 1,
                               COIL_VALIDITY_S,
                               COIL_VALIDITY_S + 1,
                               COIL_VALIDITY_FORECAST_S,
                               COIL_VALIDITY_FORECAST_S + 1};
#define AGE_COUNT (sizeof ages / sizeof ages[0])
_Static_assert(COIL_INTERFERENCE_S == COIL_VALIDITY_AT_WALL_S, "one age for both");

struct permits {
    int64_t heater_id, water_id, from, until;
    struct db_permit_past *past;
    int64_t start; /* of the span that grows */
    struct coil_verdict verdict;
    int64_t touches_at[2]; /* by the forecasts of the last question; 0: none */
    /* For each age the instant at which the next fact reaches it; asked anew only once
     * that has passed. */
    int64_t age_at[AGE_COUNT];
    cJSON *array;
};

static bool is_same(const struct coil_verdict *a, const struct coil_verdict *b)
{
    size_t i = 0, k = 0;

    if (a->permit != b->permit || a->water_side != b->water_side ||
        a->burner_side != b->burner_side)
        return false;
    for (;;) {
        while (i < a->finding_count && a->findings[i].is_caution)
            i++;
        while (k < b->finding_count && b->findings[k].is_caution)
            k++;
        if (i == a->finding_count || k == b->finding_count)
            return i == a->finding_count && k == b->finding_count;
        if (strcmp(a->findings[i++].rule, b->findings[k++].rule) != 0)
            return false;
    }
}

static void add_span(struct permits *permits, int64_t until)
{
    const struct coil_verdict *verdict = &permits->verdict;
    cJSON *object, *rules;

    if (until <= permits->start)
        return;
    object = cJSON_CreateObject();
    cJSON_AddNumberToObject(object, "from", (double)permits->start);
    cJSON_AddNumberToObject(object, "until", (double)until);
    cJSON_AddStringToObject(object, "permit", coil_permit_key(verdict->permit));
    cJSON_AddStringToObject(object, "water_side", coil_permit_key(verdict->water_side));
    cJSON_AddStringToObject(object, "burner_side",
                            coil_permit_key(verdict->burner_side));
    rules = cJSON_AddArrayToObject(object, "rules");
    for (size_t i = 0; i < verdict->finding_count; i++)
        if (!verdict->findings[i].is_caution)
            cJSON_AddItemToArray(rules, cJSON_CreateString(verdict->findings[i].rule));
    cJSON_AddItemToArray(permits->array, object);
}

static enum db_status ask(struct app *app, struct db *db, struct permits *permits, int64_t at,
                          struct coil_verdict *out)
{
    struct coil_permit_facts facts;
    enum db_status status;

    memset(&facts, 0, sizeof facts); /* the clock, too, is taken for good */
    status = db_permit_past_ask(permits->past, at, &facts);

    if (status == DB_OK)
        status = permit_forecast_add(app, db, permits->water_id, false, &facts);
    if (status == DB_OK)
        status = heater_exposure_severe(app, db, permits->heater_id, permits->water_id,
                                        at, false, &facts.severe_exposure_until_s);
    if (status == DB_OK)
        coil_permit_from_facts(&facts, out);
    permits->touches_at[0] = status == DB_OK ? facts.ph_touches_at_s : 0;
    permits->touches_at[1] = status == DB_OK ? facts.sanitiser_touches_at_s : 0;
    return status;
}

/* When the next fact after the instant `at` reaches an age. */
static enum db_status look_up_age(struct db *db, struct permits *permits, size_t age,
                                  int64_t at)
{
    int64_t fact_at = 0;
    enum db_status status;

    if (permits->age_at[age] > at)
        return DB_OK;
    status = db_permit_next_at(db, permits->heater_id, permits->water_id, at - ages[age],
                               &fact_at);
    permits->age_at[age] = status == DB_OK ? fact_at + ages[age] : INT64_MAX;
    return status == DB_NOT_FOUND ? DB_OK : status;
}

/* The next instant after `at` at which another answer is possible; until when none. */
static enum db_status next_instant(struct db *db, struct permits *permits,
                                   const struct coil_verdict *verdict, int64_t at,
                                   int64_t *out_next)
{
    enum db_status status = DB_OK;

    *out_next = permits->until;
    if (verdict->permit == COIL_RUN && verdict->good_until_s > at &&
        verdict->good_until_s < *out_next)
        *out_next = verdict->good_until_s;
    for (size_t i = 0; i < 2; i++)
        if (permits->touches_at[i] > at && permits->touches_at[i] < *out_next)
            *out_next = permits->touches_at[i];
    for (size_t i = 0; i < AGE_COUNT && status == DB_OK; i++) {
        status = look_up_age(db, permits, i, at);
        if (status == DB_OK && permits->age_at[i] < *out_next)
            *out_next = permits->age_at[i];
    }
    return status;
}

/* out_more receives where it stopped, 0 when all is there. */
static enum db_status collect(struct app *app, struct db *db, struct permits *permits, int64_t *out_more)
{
    struct coil_verdict verdict;
    int64_t at = permits->from;
    enum db_status status = ask(app, db, permits, at, &permits->verdict);

    verdict = permits->verdict;
    permits->start = at;
    for (size_t i = 0; i < AGE_COUNT; i++)
        permits->age_at[i] = INT64_MIN;
    *out_more = 0;
    for (int asked = 1; status == DB_OK; asked++) {
        status = next_instant(db, permits, &verdict, at, &at);
        if (status != DB_OK || at >= permits->until)
            break;
        if (asked == QUESTIONS_MAX) {
            *out_more = at;
            break;
        }
        status = ask(app, db, permits, at, &verdict);
        if (status == DB_OK && !is_same(&verdict, &permits->verdict)) {
            add_span(permits, at);
            permits->start = at;
            permits->verdict = verdict;
        }
    }
    add_span(permits, *out_more > 0 ? *out_more : permits->until);
    return status;
}

static bool read_query(struct app *app, struct db *db, const struct request *req,
                       struct reply *out, struct permits *permits)
{
    int64_t now = api_now(app);
    struct problem problem;

    problem_init(&problem);
    problem.status = 400;
    permits->until = now;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &permits->heater_id);
    api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &permits->water_id);
    api_query_integer(req, &problem, "until", 1, now, &permits->until);
    permits->from = permits->until > SPAN_DEFAULT_S ? permits->until - SPAN_DEFAULT_S : 0;
    api_query_integer(req, &problem, "from", 0, now, &permits->from);
    if (problem.count == 0 && permits->from >= permits->until)
        problem_add(&problem, "query_invalid", "from", "from must be before until.");
    api_check_pair(&problem, permits->heater_id, permits->water_id);
    if (api_refused(out, &problem))
        return false;
    return api_main_pair(db, out, &permits->heater_id, &permits->water_id);
}

void api_permits_list(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct permits permits = {0};
    int64_t more = 0;
    enum db_status status;
    cJSON *object;

    if (!read_query(app, db, req, out, &permits))
        return;
    object = cJSON_CreateObject();
    permits.array = cJSON_AddArrayToObject(object, "permits");
    status = db_permit_past_open(db, permits.heater_id, permits.water_id, &permits.past);
    if (status == DB_OK)
        status = collect(app, db, &permits, &more);
    db_permit_past_close(permits.past);
    if (!api_ok(out, status, "pair of heater and water")) {
        cJSON_Delete(object);
        return;
    }
    cJSON_AddNumberToObject(object, "heater", (double)permits.heater_id);
    cJSON_AddNumberToObject(object, "water", (double)permits.water_id);
    cJSON_AddNumberToObject(object, "from", (double)permits.from);
    cJSON_AddNumberToObject(object, "until", (double)permits.until);
    api_add_id_or_null(object, "more", more);
    api_send(out, 200, object);
    if (request_query(req, "until") != NULL) /* else it ends now */
        api_tag(app, out, changes);
}
