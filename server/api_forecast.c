/*
 * The forecast: chlorine and pH of a water, from the facts known at an instant alone.
 * Instants before as_of lie on the course between readings; later ones are ahead.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "forecast_json.h"
#include "lib/forecast.h"
#include "pool_facts.h"

#define POINTS_MAX 2000
#define STEP_DEFAULT_S 3600
#define AHEAD_DEFAULT_S (3 * 86400)

struct wish {
    int64_t water_id, from, until, step_s, as_of;
    bool by_recorded;
    size_t count;
};

static bool read_wish(struct app *app, const struct request *req, struct reply *out,
                      struct wish *wish)
{
    static const char *const known[] = {"measured", "recorded", NULL};
    const int64_t far = INT64_C(1) << 40;
    struct problem problem;

    *wish = (struct wish){.as_of = api_now(app), .step_s = STEP_DEFAULT_S};
    problem_init(&problem);
    problem.status = 400;
    if (!api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &wish->water_id) &&
        problem.count == 0)
        problem_add(&problem, "query_missing", "water", "Say which water.");
    api_query_integer(req, &problem, "as_of", 0, wish->as_of, &wish->as_of);
    wish->from = wish->as_of;
    api_query_integer(req, &problem, "from", 0, far, &wish->from);
    wish->until = wish->from + AHEAD_DEFAULT_S;
    api_query_integer(req, &problem, "until", 0, far, &wish->until);
    api_query_integer(req, &problem, "step_s", 60, 86400 * 31, &wish->step_s);
    wish->by_recorded = api_query_choice(req, &problem, "known", known, 0) == 1;
    if (problem.count == 0 && wish->from > wish->until)
        problem_add(&problem, "query_invalid", "from", "from must not be after until.");
    if (problem.count == 0 && (wish->until - wish->from) / wish->step_s >= POINTS_MAX)
        problem_add(&problem, "query_invalid", "step_s",
                    "These are more than %d instants: take longer steps.", POINTS_MAX);
    if (api_refused(out, &problem))
        return false;
    wish->count = (size_t)((wish->until - wish->from) / wish->step_s) + 1;
    return true;
}

/* Points of all instants. Only those before the last fact need the whole course. */
static enum db_status look_ahead(struct db *db, const struct wish *wish,
                                 const struct coil_fit *fit, const double *times_s,
                                 struct coil_forecast_point *points)
{
    struct pool_facts facts = {0};
    struct coil_fit at = *fit;
    size_t past = 0, i;
    enum db_status status = DB_OK;

    while (fit->has_time && past < wish->count && times_s[past] < fit->time_s)
        past++;
    if (past > 0) {
        status = pool_facts_read(db, wish->water_id, wish->as_of, wish->by_recorded,
                                 &facts);
        if (status == DB_OK &&
            coil_forecast_course(&facts.pool, facts.facts, facts.count, times_s, past,
                                 COIL_FORECAST_LEVEL, points) != COIL_OK)
            memset(points, 0, past * sizeof *points);
        pool_facts_finish(&facts);
    }
    for (i = past; i < wish->count; i++)
        if (coil_forecast_at(&at, times_s[i], COIL_FORECAST_LEVEL, &points[i]) !=
            COIL_OK)
            points[i] = (struct coil_forecast_point){0};
    return status;
}

static cJSON *answer_json(const struct wish *wish, const struct coil_fit *fit,
                          const double *times_s,
                          const struct coil_forecast_point *points)
{
    cJSON *object = cJSON_CreateObject(), *time;
    size_t i;

    cJSON_AddNumberToObject(object, "water", (double)wish->water_id);
    cJSON_AddNumberToObject(object, "as_of", (double)wish->as_of);
    time = cJSON_AddArrayToObject(object, "time_s");
    for (i = 0; i < wish->count; i++)
        cJSON_AddItemToArray(time, cJSON_CreateNumber(times_s[i]));
    forecast_add_bands(object, points, wish->count);
    cJSON_AddNumberToObject(object, "level", COIL_FORECAST_LEVEL);
    forecast_add_basis(object, fit, (double)wish->until);
    return object;
}

void api_forecast_get(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct coil_forecast_point *points;
    struct coil_fit fit;
    struct wish wish;
    double *times_s;

    if (!read_wish(app, req, out, &wish) ||
        !api_ok(out,
                pool_fit(app, db, wish.water_id, wish.as_of, wish.by_recorded, &fit),
                "water"))
        return;
    times_s = calloc(wish.count, sizeof *times_s);
    points = calloc(wish.count, sizeof *points);
    for (size_t i = 0; times_s != NULL && i < wish.count; i++)
        times_s[i] = (double)(wish.from + (int64_t)i * wish.step_s);
    if (api_ok(out,
               times_s == NULL || points == NULL
                   ? DB_FAILED
                   : look_ahead(db, &wish, &fit, times_s, points),
               "water")) {
        api_send(out, 200, answer_json(&wish, &fit, times_s, points));
        if (request_query(req, "as_of") != NULL)
            api_tag(app, out, changes);
    }
    free(times_s);
    free(points);
}
