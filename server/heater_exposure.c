#include "heater_exposure.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "pool_facts.h"

#define SEVERE_LOOK_BACK_S (14 * 86400)

struct gathering {
    struct coil_heater_span *states;
    size_t state_count, state_capacity;
    struct coil_pump_span *runs;
    size_t run_count, run_capacity;
    bool is_out_of_memory;
};

static bool grow(struct gathering *g, void **items, size_t count, size_t *capacity,
                 size_t size)
{
    void *more;

    if (count < *capacity)
        return true;
    more = realloc(*items, (*capacity * 2 + 64) * size);
    g->is_out_of_memory = g->is_out_of_memory || more == NULL;
    if (more == NULL)
        return false;
    *items = more;
    *capacity = *capacity * 2 + 64;
    return true;
}

static bool take_state(void *context, const void *record)
{
    struct gathering *g = context;
    const struct db_heater_state *state = record;
    void *items = g->states;

    if (!grow(g, &items, g->state_count, &g->state_capacity, sizeof *g->states))
        return false;
    g->states = items;
    if (g->state_count > 0 &&
        g->states[g->state_count - 1].from_s >= (double)state->fact.at)
        g->state_count--; /* of one instant the later word */
    g->states[g->state_count++] =
        (struct coil_heater_span){(double)state->fact.at, state->state};
    return true;
}

/* Runs come by their start; those that overlap are one. */
static bool take_run(void *context, const void *record)
{
    struct gathering *g = context;
    const struct db_run *run = record;
    void *items = g->runs;
    struct coil_pump_span *last = g->run_count > 0 ? &g->runs[g->run_count - 1] : NULL;

    if (run->machine != DB_PUMP)
        return true;
    if (last != NULL && (double)run->fact.at <= last->until_s) {
        last->until_s = fmax(last->until_s, (double)run->ended_at);
        return true;
    }
    if (!grow(g, &items, g->run_count, &g->run_capacity, sizeof *g->runs))
        return false;
    g->runs = items;
    g->runs[g->run_count++] =
        (struct coil_pump_span){(double)run->fact.at, (double)run->ended_at};
    return true;
}

static double limit_or_nan(const struct db_heater *heater, enum coil_limit_name name)
{
    return heater->limits[name].is_set ? heater->limits[name].value : (double)NAN;
}

static bool serves(const struct db_heater *heater, int64_t water_id)
{
    for (size_t i = 0; i < heater->water_count; i++)
        if (heater->water_ids[i] == water_id)
            return true;
    return false;
}

/* The course from `from` on in steps, and its sum. */
static enum db_status sum(const struct pool_facts *facts, const struct gathering *g,
                          int64_t from, int64_t until, struct heater_exposure *out)
{
    size_t count = (size_t)((until - from) / HEATER_EXPOSURE_STEP_S) + 1;
    double *times_s = calloc(count, sizeof *times_s);
    struct coil_forecast_point *points = calloc(count, sizeof *points);
    struct coil_exposure_input in = {
        .times_s = times_s,
        .points = points,
        .count = count,
        .heater = g->states,
        .heater_count = g->state_count,
        .pump = g->runs,
        .pump_count = g->run_count,
        .has_pump = g->run_count > 0,
        .ph_low = out->ph_low,
        .free_chlorine_high_mg_per_l = out->free_chlorine_high_mg_per_l,
    };
    enum db_status status = DB_FAILED;

    if (times_s != NULL && points != NULL) {
        for (size_t i = 0; i < count; i++)
            times_s[i] = (double)(from + (int64_t)i * HEATER_EXPOSURE_STEP_S);
        if (coil_forecast_course(&facts->pool, facts->facts, facts->count, times_s,
                                 count, COIL_FORECAST_LEVEL, points) == COIL_OK &&
            coil_exposure_sum(&in, out->events, HEATER_EXPOSURE_EVENTS, &out->total) ==
                COIL_OK)
            status = DB_OK;
    }
    free(times_s);
    free(points);
    out->event_count = out->total.event_count < HEATER_EXPOSURE_EVENTS
                           ? out->total.event_count
                           : HEATER_EXPOSURE_EVENTS;
    return status;
}

enum db_status heater_exposure_sum(struct db *db, int64_t heater_id, int64_t water_id,
                                   int64_t from, int64_t until, int64_t as_of,
                                   bool by_recorded, struct heater_exposure *out)
{
    struct gathering g = {0};
    const struct db_heater_taker taker = {&g, take_state, take_run};
    struct pool_facts facts = {0};
    struct db_heater heater;
    enum db_status status = db_heater_get_at(db, heater_id, as_of, &heater);

    memset(out, 0, sizeof *out);
    if (status == DB_OK && !serves(&heater, water_id))
        status = DB_NOT_FOUND;
    if (status == DB_OK)
        status = pool_facts_read(db, water_id, as_of, by_recorded, &facts);
    if (status == DB_OK)
        status = db_heater_history(db, heater_id, water_id, as_of, by_recorded, &taker);
    if (status == DB_OK && g.is_out_of_memory)
        status = DB_FAILED;
    if (status == DB_OK) {
        out->ph_low = limit_or_nan(&heater, COIL_LIMIT_PH_LOW);
        out->free_chlorine_high_mg_per_l =
            limit_or_nan(&heater, COIL_LIMIT_FREE_CHLORINE_HIGH);
        out->has_pump_runs = g.run_count > 0;
        status = sum(&facts, &g, from, until < as_of ? until : as_of, out);
    }
    pool_facts_finish(&facts);
    free(g.states);
    free(g.runs);
    return status;
}

/* ---- kept ---- */

static struct {
    uint64_t run_id, changes;
    int64_t heater_id, water_id, at;
} kept;
static pthread_mutex_t kept_lock = PTHREAD_MUTEX_INITIALIZER;

/* Did any test of these days show acid? Without one there is no event to speak of, and
 * the whole course need not be computed for every permit. */
static enum db_status acid_was_tested(struct db *db, int64_t heater_id, int64_t water_id,
                                      int64_t now_s, bool *out)
{
    struct db_heater heater;
    struct db_series series;
    enum db_status status = db_heater_get(db, heater_id, &heater);

    *out = false;
    if (status == DB_OK)
        status = db_series(db, water_id, COIL_PH, now_s - SEVERE_LOOK_BACK_S, now_s, 40,
                           &series);
    if (status != DB_OK)
        return status;
    for (size_t i = 0; i < series.count; i++)
        *out = *out || (double)series.value_e6[i] / 1e6 <
                           limit_or_nan(&heater, COIL_LIMIT_PH_LOW);
    db_series_finish(&series);
    return DB_OK;
}

static enum db_status find_severe(struct db *db, int64_t heater_id, int64_t water_id,
                                  int64_t now_s, int64_t *out_at)
{
    struct heater_exposure *found;
    bool is_acid = false;
    enum db_status status = acid_was_tested(db, heater_id, water_id, now_s, &is_acid);

    *out_at = 0;
    if (status != DB_OK || !is_acid)
        return status;
    found = malloc(sizeof *found);
    status = DB_FAILED;
    if (found != NULL)
        status = heater_exposure_sum(db, heater_id, water_id, now_s - SEVERE_LOOK_BACK_S,
                                     now_s, now_s, false, found);
    for (size_t i = 0; status == DB_OK && i < found->event_count; i++)
        if (found->events[i].is_severe)
            *out_at = (int64_t)found->events[i].worst_s;
    free(found);
    return status;
}

enum db_status heater_exposure_severe(struct app *app, struct db *db, int64_t heater_id,
                                      int64_t water_id, int64_t *out_at)
{
    const uint64_t changes = atomic_load(&app->changes);
    const int64_t now_s = clock_wall_s(&app->clock);
    bool is_kept;
    enum db_status status;

    pthread_mutex_lock(&kept_lock);
    is_kept = kept.run_id == app->run_id && kept.changes == changes &&
              kept.heater_id == heater_id && kept.water_id == water_id;
    *out_at = is_kept && now_s - kept.at < SEVERE_LOOK_BACK_S ? kept.at : 0;
    pthread_mutex_unlock(&kept_lock);
    if (is_kept)
        return DB_OK;
    status = find_severe(db, heater_id, water_id, now_s, out_at);
    if (status != DB_OK)
        return status;
    pthread_mutex_lock(&kept_lock);
    kept.run_id = app->run_id;
    kept.changes = changes;
    kept.heater_id = heater_id;
    kept.water_id = water_id;
    kept.at = *out_at;
    pthread_mutex_unlock(&kept_lock);
    return DB_OK;
}
