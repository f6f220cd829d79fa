#include "heater_exposure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "decimal.h"
#include "lib/film.h"
#include "lib/saturation_band.h"
#include "pool_facts.h"

/* The course from `from` on in steps. */
struct course {
    int64_t from;
    size_t count;
    double *times_s;
    struct coil_forecast_point *points;
};

/* ---- what decides on scale, over time ---- */

struct scale_value {
    double at_s;
    enum coil_quantity quantity;
    double value;
};

struct scale_values {
    struct scale_value *items; /* in order of their instants */
    size_t count, capacity;
    bool is_out_of_memory;
};

static bool is_of_scale(enum coil_quantity quantity)
{
    return quantity == COIL_TOTAL_ALKALINITY || quantity == COIL_CALCIUM_HARDNESS ||
           quantity == COIL_CYANURIC_ACID || quantity == COIL_SALT ||
           quantity == COIL_BORATE || quantity == COIL_WATER_TEMP;
}

static bool take_value(void *context, int64_t at, const struct db_value *value)
{
    struct scale_values *s = context;

    if (!is_of_scale(value->quantity) || value->over_range)
        return true;
    if (s->count == s->capacity) {
        struct scale_value *more =
            realloc(s->items, (s->capacity * 2 + 64) * sizeof *more);

        s->is_out_of_memory = more == NULL;
        if (more == NULL)
            return false;
        s->items = more;
        s->capacity = s->capacity * 2 + 64;
    }
    s->items[s->count++] = (struct scale_value){(double)at, value->quantity,
                                                decimal_to_double(value->amount_e6)};
    return true;
}

static bool pass_dose(void *context, const void *dose)
{
    (void)context;
    (void)dose;
    return true;
}

/* Newest values at an instant that never goes back; NaN: not tested. */
struct scale_water {
    const struct scale_values *values;
    size_t next;
    double newest[COIL_QUANTITY_COUNT];
};

static void move_to(struct scale_water *water, double time_s)
{
    const struct scale_values *values = water->values;

    for (; water->next < values->count && values->items[water->next].at_s <= time_s;
         water->next++)
        water->newest[values->items[water->next].quantity] =
            values->items[water->next].value;
}

static double known_or_none(double value)
{
    return isnan(value) ? 0 : value;
}

/* NaN unless alkalinity, calcium and temperature were tested. What is not tested of the
 * rest is taken for none, as the permit does. */
static double index_at(const struct scale_water *water, double rise_k, double ph,
                       double chlorine)
{
    const double *newest = water->newest;
    const struct coil_composition c = {
        .ph = ph,
        .total_alkalinity_mg_per_l_caco3 = newest[COIL_TOTAL_ALKALINITY],
        .calcium_hardness_mg_per_l_caco3 = newest[COIL_CALCIUM_HARDNESS],
        .salt_mg_per_l_nacl = known_or_none(newest[COIL_SALT]),
        .borate_mg_per_l_b = known_or_none(newest[COIL_BORATE]),
        .cyanuric_acid_mg_per_l = known_or_none(newest[COIL_CYANURIC_ACID]),
        .chlorine_mg_per_l = chlorine,
        .water_temp_c = newest[COIL_WATER_TEMP],
    };
    const struct coil_saturation_steps none = {0};
    struct coil_saturation_band band;

    return coil_saturation_band(&c, &none, COIL_CYANURATE_WAHMAN_2019,
                                rise_k, COIL_SATURATION_MODEL_FILM, &band) >= 0 &&
                   isfinite(band.si_calcite)
               ? band.si_calcite
               : (double)NAN;
}

/* Is the burner on within a step of this instant? Only there the index is needed. */
static bool is_near_run(const struct heater_past *past, size_t *next, double time_s)
{
    while (*next < past->burner_count &&
           past->burner[*next].until_s + HEATER_EXPOSURE_STEP_S < time_s)
        (*next)++;
    return *next < past->burner_count &&
           past->burner[*next].from_s - HEATER_EXPOSURE_STEP_S <= time_s;
}

static void fill_index(const struct heater_past *past, const struct scale_values *values,
                       const struct course *course, double rise_k,
                       struct coil_band *out)
{
    struct scale_water water = {.values = values};
    size_t run = 0;

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++)
        water.newest[i] = NAN;
    for (size_t i = 0; i < course->count; i++) {
        const struct coil_forecast_point *p = &course->points[i];
        double chlorine =
            p->has_free_chlorine ? p->free_chlorine_mg_per_l.likely : 0;

        out[i] = (struct coil_band){NAN, NAN, NAN};
        move_to(&water, course->times_s[i]);
        if (p->has_ph && is_near_run(past, &run, course->times_s[i]))
            out[i] = (struct coil_band){index_at(&water, rise_k, p->ph.low, chlorine),
                                        index_at(&water, rise_k, p->ph.likely, chlorine),
                                        index_at(&water, rise_k, p->ph.high, chlorine)};
    }
}

static enum db_status read_rise(struct db *db, const struct heater_exposure_wish *wish,
                                double *out_rise_k)
{
    struct db_heater heater;
    enum db_status status = db_heater_get_at(db, wish->heater_id, wish->as_of, &heater);

    if (status != DB_OK)
        return status;
    *out_rise_k = db_heater_surface_rise_k(&heater);
    if (!(*out_rise_k > 0))
        *out_rise_k = COIL_FILM_RISE_DEFAULT_K;
    return DB_OK;
}

/* *out stays NULL where no burner run says when the surface is hot. */
static enum db_status read_index(struct db *db, const struct heater_exposure_wish *wish,
                                 const struct heater_past *past,
                                 const struct course *course, double rise_k,
                                 struct coil_band **out)
{
    struct scale_values values = {0};
    const struct db_pool_taker taker = {&values, take_value, pass_dose};
    enum db_status status;

    if (past->burner_count == 0)
        return DB_OK;
    *out = malloc(course->count * sizeof **out);
    if (*out == NULL)
        return DB_FAILED;
    status = db_pool_history(db, wish->water_id, wish->as_of, wish->by_recorded,
                             &taker);
    if (status == DB_OK && values.is_out_of_memory)
        status = DB_FAILED;
    if (status == DB_OK)
        fill_index(past, &values, course, rise_k, *out);
    free(values.items);
    return status;
}

/* ---- the sum ---- */

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
    in.hot_index = NULL; /* scale is counted once, by the pool's water */
    if (coil_exposure_sum(&in, NULL, 0, &total) != COIL_OK)
        return false;
    course->points[last] = end;
    add_total(&out->at_inlet, &total);
    return true;
}

static bool sum_course(const struct course *course, const struct coil_band *hot_index,
                       struct heater_exposure *out)
{
    struct coil_exposure_input in = {.times_s = course->times_s,
                                     .points = course->points,
                                     .count = course->count,
                                     .hot_index = hot_index};
    bool ok;

    heater_past_put(&out->past, &in);
    ok = coil_exposure_sum(&in, out->events, HEATER_EXPOSURE_EVENTS, &out->total) ==
         COIL_OK;
    for (size_t i = 0; ok && i < out->inlet_count; i++)
        ok = sum_inlet(in, course, &out->inlets[i], out);
    out->event_count = out->total.event_count < HEATER_EXPOSURE_EVENTS
                           ? out->total.event_count
                           : HEATER_EXPOSURE_EVENTS;
    return ok;
}

static enum db_status take_course(const struct pool_facts *facts, struct course *course)
{
    course->times_s = calloc(course->count, sizeof *course->times_s);
    course->points = calloc(course->count, sizeof *course->points);
    if (course->times_s == NULL || course->points == NULL)
        return DB_FAILED;
    for (size_t i = 0; i < course->count; i++)
        course->times_s[i] =
            (double)(course->from + (int64_t)i * HEATER_EXPOSURE_STEP_S);
    return coil_forecast_course(&facts->pool, facts->facts, facts->count,
                                course->times_s, course->count, COIL_FORECAST_LEVEL,
                                course->points) == COIL_OK
               ? DB_OK
               : DB_FAILED;
}

static enum db_status sum(struct db *db, const struct heater_exposure_wish *wish,
                          int64_t until, const struct pool_facts *facts,
                          struct heater_exposure *out)
{
    struct course course = {
        .from = wish->from,
        .count = (size_t)((until - wish->from) / HEATER_EXPOSURE_STEP_S) + 1};
    struct coil_band *hot_index = NULL;
    enum db_status status = take_course(facts, &course);

    if (status == DB_OK)
        status = read_rise(db, wish, &out->surface_rise_k);
    if (status == DB_OK)
        status = read_index(db, wish, &out->past, &course, out->surface_rise_k,
                            &hot_index);
    if (status == DB_OK && !sum_course(&course, hot_index, out))
        status = DB_FAILED;
    free(hot_index);
    free(course.times_s);
    free(course.points);
    return status;
}

enum db_status heater_exposure_sum(struct db *db,
                                   const struct heater_exposure_wish *wish,
                                   struct heater_exposure *out)
{
    struct pool_facts facts = {0};
    int64_t until = wish->until < wish->as_of ? wish->until : wish->as_of;
    enum db_status status;

    memset(out, 0, sizeof *out);
    status = heater_past_read(db, wish->heater_id, wish->water_id, wish->as_of,
                              wish->by_recorded, &out->past);
    if (status == DB_OK)
        status =
            pool_facts_read(db, wish->water_id, wish->as_of, wish->by_recorded, &facts);
    if (status == DB_OK)
        status = line_inlet_read(db, wish->heater_id, wish->water_id, wish->from, until,
                                 out->inlets, &out->inlet_count);
    if (status == DB_OK)
        status = sum(db, wish, until, &facts, out);
    pool_facts_finish(&facts);
    return status;
}
