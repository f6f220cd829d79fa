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

/* The course from `from` on in steps. */
struct course {
    int64_t from;
    size_t count;
    double *times_s;
    struct coil_forecast_point *points;
};

static size_t step_at(const struct course *course, int64_t instant)
{
    int64_t step = (instant - course->from) / HEATER_EXPOSURE_STEP_S;

    return step < 0                        ? 0
           : step < (int64_t)course->count ? (size_t)step
                                           : course->count - 1;
}

static void shift(struct coil_forecast_point *point, const struct line_inlet *inlet)
{
    double shift_ph = isnan(inlet->ph_shift) ? 0.0 : inlet->ph_shift;

    point->has_free_chlorine = point->has_free_chlorine && inlet->has_amount;
    point->has_ph = point->has_ph && inlet->has_amount;
    point->free_chlorine_mg_per_l.likely += inlet->added_mg_per_l;
    point->free_chlorine_mg_per_l.low += inlet->added_mg_per_l;
    point->free_chlorine_mg_per_l.high += inlet->added_mg_per_l;
    point->ph.likely += shift_ph;
    point->ph.low += shift_ph;
    point->ph.high += shift_ph;
}

static void add_total(struct coil_exposure_total *sum,
                      const struct coil_exposure_total *more)
{
    for (int i = 0; i < COIL_EXPOSURE_CAUSE_COUNT; i++) {
        sum->cause[i].likely += more->cause[i].likely;
        sum->cause[i].at_least += more->cause[i].at_least;
        sum->cause[i].at_most += more->cause[i].at_most;
        sum->cause[i].weighted += more->cause[i].weighted;
    }
    sum->in_heater_h += more->in_heater_h;
    sum->unknown_h += more->unknown_h;
}

/* One line's time again, with what it feeds; moves the course's points. */
static bool sum_inlet(struct coil_exposure_input in, const struct course *course,
                      const struct line_inlet *inlet, struct heater_exposure *out)
{
    size_t first = step_at(course, inlet->from), last = step_at(course, inlet->until);
    struct coil_forecast_point end; /* where the next line begins */
    struct coil_exposure_total total;

    for (size_t i = 0; i < in.pump_count; i++)
        out->restarts += in.pump[i].from_s > (double)inlet->from &&
                         in.pump[i].from_s < (double)inlet->until;
    if (first == last)
        return true; /* no step long */
    end = course->points[last];
    for (size_t i = first; i <= last; i++)
        shift(&course->points[i], inlet);
    in.times_s = course->times_s + first;
    in.points = course->points + first;
    in.count = last - first + 1;
    if (coil_exposure_sum(&in, NULL, 0, &total) != COIL_OK)
        return false;
    course->points[last] = end;
    add_total(&out->at_inlet, &total);
    return true;
}

static bool sum_course(const struct gathering *g, const struct course *course,
                       struct heater_exposure *out)
{
    const struct coil_exposure_input in = {
        .times_s = course->times_s,
        .points = course->points,
        .count = course->count,
        .heater = g->states,
        .heater_count = g->state_count,
        .pump = g->runs,
        .pump_count = g->run_count,
        .has_pump = g->run_count > 0,
        .ph_low = out->ph_low,
        .free_chlorine_high_mg_per_l = out->free_chlorine_high_mg_per_l,
    };
    bool ok = coil_exposure_sum(&in, out->events, HEATER_EXPOSURE_EVENTS,
                                &out->total) == COIL_OK;

    for (size_t i = 0; ok && i < out->inlet_count; i++)
        ok = sum_inlet(in, course, &out->inlets[i], out);
    out->event_count = out->total.event_count < HEATER_EXPOSURE_EVENTS
                           ? out->total.event_count
                           : HEATER_EXPOSURE_EVENTS;
    return ok;
}

static enum db_status sum(const struct pool_facts *facts, const struct gathering *g,
                          int64_t from, int64_t until, struct heater_exposure *out)
{
    struct course course = {
        .from = from, .count = (size_t)((until - from) / HEATER_EXPOSURE_STEP_S) + 1};
    enum db_status status = DB_FAILED;

    course.times_s = calloc(course.count, sizeof *course.times_s);
    course.points = calloc(course.count, sizeof *course.points);
    if (course.times_s != NULL && course.points != NULL) {
        for (size_t i = 0; i < course.count; i++)
            course.times_s[i] = (double)(from + (int64_t)i * HEATER_EXPOSURE_STEP_S);
        if (coil_forecast_course(&facts->pool, facts->facts, facts->count,
                                 course.times_s, course.count, COIL_FORECAST_LEVEL,
                                 course.points) == COIL_OK &&
            sum_course(g, &course, out))
            status = DB_OK;
    }
    free(course.times_s);
    free(course.points);
    return status;
}

enum db_status heater_exposure_sum(struct db *db,
                                   const struct heater_exposure_wish *wish,
                                   struct heater_exposure *out)
{
    struct gathering g = {0};
    const struct db_heater_taker taker = {&g, take_state, take_run};
    struct pool_facts facts = {0};
    struct db_heater heater;
    int64_t until = wish->until < wish->as_of ? wish->until : wish->as_of;
    enum db_status status = db_heater_get_at(db, wish->heater_id, wish->as_of, &heater);

    memset(out, 0, sizeof *out);
    if (status == DB_OK && !serves(&heater, wish->water_id))
        status = DB_NOT_FOUND;
    if (status == DB_OK)
        status =
            pool_facts_read(db, wish->water_id, wish->as_of, wish->by_recorded, &facts);
    if (status == DB_OK)
        status = db_heater_history(db, wish->heater_id, wish->water_id, wish->as_of,
                                   wish->by_recorded, &taker);
    if (status == DB_OK && g.is_out_of_memory)
        status = DB_FAILED;
    if (status == DB_OK)
        status = line_inlet_read(db, wish->heater_id, wish->water_id, wish->from, until,
                                 out->inlets, &out->inlet_count);
    if (status == DB_OK) {
        out->ph_low = limit_or_nan(&heater, COIL_LIMIT_PH_LOW);
        out->free_chlorine_high_mg_per_l =
            limit_or_nan(&heater, COIL_LIMIT_FREE_CHLORINE_HIGH);
        out->has_pump_runs = g.run_count > 0;
        status = sum(&facts, &g, wish->from, until, out);
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
static enum db_status acid_was_tested(struct db *db, int64_t heater_id,
                                      int64_t water_id, int64_t now_s, bool *out)
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
    const struct heater_exposure_wish wish = {.heater_id = heater_id,
                                              .water_id = water_id,
                                              .from = now_s - SEVERE_LOOK_BACK_S,
                                              .until = now_s,
                                              .as_of = now_s};
    struct heater_exposure *found;
    bool is_acid = false;
    enum db_status status = acid_was_tested(db, heater_id, water_id, now_s, &is_acid);

    *out_at = 0;
    if (status != DB_OK || !is_acid)
        return status;
    found = malloc(sizeof *found);
    status = DB_FAILED;
    if (found != NULL)
        status = heater_exposure_sum(db, &wish, found);
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
