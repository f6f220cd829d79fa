#include "forecast.h"

#include <math.h>

#include "chlorine_filter.h"
#include "sun.h"

#define DAY_S 86400.0
#define STEP_S 1800.0
#define FINE_S 300.0
#define FEW_READINGS 5
#define WIDE_TIMES 6.0
#define LEVEL_MIN 0.5
#define LEVEL_MAX 0.99

static const char *const note_keys[] = {
#define X(name, bit, key, words) key,
    COIL_FORECAST_NOTE_LIST(X)
#undef X
};

static const char *const note_words[] = {
#define X(name, bit, key, words) words,
    COIL_FORECAST_NOTE_LIST(X)
#undef X
};

const char *coil_forecast_note_key(int index)
{
    return index >= 0 && index < COIL_FORECAST_NOTE_COUNT ? note_keys[index] : NULL;
}

const char *coil_forecast_note_words(int index)
{
    return index >= 0 && index < COIL_FORECAST_NOTE_COUNT ? note_words[index] : NULL;
}

/* ---- one instant ---- */

static double days_since(double time_s, int64_t read_s)
{
    return (time_s - (double)read_s) / DAY_S;
}

/* Band on the filter's scale; likely lies in it. */
static struct coil_band band_of(struct coil_fit_view view,
                                const struct coil_fit_errors *errors, double days,
                                double level)
{
    double tail = 0.5 - 0.5 * level;
    double low = coil_fit_stretch(errors, days, tail);
    double middle = coil_fit_stretch(errors, days, 0.5);
    double high = coil_fit_stretch(errors, days, 1.0 - tail);

    return (struct coil_band){view.mean + low * view.sd, view.mean + middle * view.sd,
                              view.mean + high * view.sd};
}

/* A reading comes in steps: an edge between two of them would cut off a reading that is
 * as good as the edge. */
static struct coil_band chlorine_band(const struct coil_fit *fit, double days,
                                      double level)
{
    struct coil_band band =
        band_of(coil_fit_view_chlorine(fit), &fit->chlorine_errors, days, level);

    band.low = coil_fit_mg_per_l(band.low);
    band.likely = coil_fit_mg_per_l(band.likely);
    band.high = coil_fit_mg_per_l(band.high);
    return band;
}

static bool says_chlorine(const struct coil_fit *fit, double days)
{
    return fit->basis.chlorine_readings > 0 && !fit->basis.chlorine_dose_unknown &&
           days <= COIL_FORECAST_MAX_DAYS;
}

static bool says_ph(const struct coil_fit *fit, double days)
{
    return fit->basis.ph_readings > 0 && !fit->basis.ph_dose_unknown &&
           days <= COIL_FORECAST_MAX_DAYS;
}

/* Valid level; the fit stands at the instant. */
static void look(const struct coil_fit *fit, double level,
                 struct coil_forecast_point *out)
{
    double chlorine_days = days_since(fit->time_s, fit->basis.chlorine_read_s);
    double ph_days = days_since(fit->time_s, fit->basis.ph_read_s);

    *out = (struct coil_forecast_point){0};
    out->has_free_chlorine = says_chlorine(fit, chlorine_days);
    if (out->has_free_chlorine)
        out->free_chlorine_mg_per_l = chlorine_band(fit, chlorine_days, level);
    out->has_ph = says_ph(fit, ph_days);
    if (out->has_ph)
        out->ph = band_of(coil_fit_view_ph(fit), &fit->ph_errors, ph_days, level);
}

static enum coil_status check(const struct coil_fit *fit, double time_s, double level)
{
    if (!isfinite(time_s) || !isfinite(level))
        return COIL_ERR_NOT_FINITE;
    if (level < LEVEL_MIN || level > LEVEL_MAX ||
        (fit->has_time && time_s < fit->time_s))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_forecast_at(struct coil_fit *fit, double time_s, double level,
                                  struct coil_forecast_point *out)
{
    enum coil_status status = check(fit, time_s, level);

    if (status != COIL_OK)
        return status;
    coil_fit_advance(fit, time_s);
    look(fit, level, out);
    return COIL_OK;
}

/* ---- what it rests on ---- */

static bool sun_stays_down(const struct coil_fit *fit, double until_s)
{
    for (double at_s = fit->time_s; at_s < until_s + DAY_S; at_s += DAY_S) {
        struct coil_sun_day day;

        if (coil_sun_day(fit->pool.place.lat_deg, fit->pool.place.lon_deg_east,
                         fmin(at_s, until_s), COIL_SUN_HORIZON_DEG, &day) != COIL_OK ||
            day.kind != COIL_SUN_ALWAYS_DOWN)
            return false;
    }
    return true;
}

unsigned coil_forecast_notes(const struct coil_fit *fit, double until_s)
{
    const struct coil_fit_basis *basis = &fit->basis;
    unsigned notes = 0;

    if (basis->chlorine_readings == 0 && basis->ph_readings == 0)
        notes |= COIL_NOTE_NO_READING;
    if (basis->chlorine_dose_unknown || basis->ph_dose_unknown)
        notes |= COIL_NOTE_UNKNOWN_DOSE;
    if (basis->chlorine_readings > 0 &&
        days_since(until_s, basis->chlorine_read_s) > COIL_FORECAST_MAX_DAYS)
        notes |= COIL_NOTE_TOO_LATE;
    if (basis->chlorine_in_doubt || basis->ph_in_doubt)
        notes |= COIL_NOTE_IN_DOUBT;
    if (basis->chlorine_readings < FEW_READINGS)
        notes |= COIL_NOTE_FEW_READINGS;
    if (!basis->has_temp && isnan(fit->pool.usual_temp_c))
        notes |= COIL_NOTE_NO_TEMP;
    if (fit->pool.is_indoor)
        return notes;
    if (!basis->has_cyanuric_acid)
        notes |= COIL_NOTE_NO_CYANURIC_ACID;
    if (!fit->pool.has_place)
        notes |= COIL_NOTE_NO_PLACE;
    else if (fit->has_time && sun_stays_down(fit, until_s))
        notes |= COIL_NOTE_NO_SUN;
    return notes;
}

static struct coil_forecast_coverage coverage(const struct coil_fit_errors *errors)
{
    return (struct coil_forecast_coverage){
        errors->tried,
        errors->tried > 0 ? (double)errors->inside / errors->tried : (double)NAN};
}

struct coil_forecast_coverage
coil_forecast_coverage_chlorine(const struct coil_fit *fit)
{
    return coverage(&fit->chlorine_errors);
}

struct coil_forecast_coverage coil_forecast_coverage_ph(const struct coil_fit *fit)
{
    return coverage(&fit->ph_errors);
}

/* ---- walls ---- */

static enum coil_wall touched(const struct coil_forecast_point *point,
                              const struct coil_walls *walls)
{
    if (point->has_ph && point->ph.low <= walls->ph_low)
        return COIL_WALL_PH_LOW;
    if (point->has_free_chlorine &&
        point->free_chlorine_mg_per_l.high >= walls->free_chlorine_high_mg_per_l)
        return COIL_WALL_FREE_CHLORINE_HIGH;
    if (point->has_ph && point->ph.high >= walls->ph_high)
        return COIL_WALL_PH_HIGH;
    return COIL_WALL_NONE; /* NaN walls compare false */
}

static bool walls_can_be_judged(const struct coil_fit *fit,
                                const struct coil_walls *walls, double from_s)
{
    bool asks_ph = !isnan(walls->ph_low) || !isnan(walls->ph_high);
    bool asks_chlorine = !isnan(walls->free_chlorine_high_mg_per_l);

    return (!asks_ph || (says_ph(fit, days_since(from_s, fit->basis.ph_read_s)) &&
                         !fit->basis.ph_in_doubt)) &&
           (!asks_chlorine ||
            (says_chlorine(fit, days_since(from_s, fit->basis.chlorine_read_s)) &&
             !fit->basis.chlorine_in_doubt &&
             fit->basis.chlorine_readings >= FEW_READINGS));
}

enum coil_status coil_forecast_wall(const struct coil_fit *fit, double from_s,
                                    const struct coil_walls *walls, double level,
                                    double max_days, struct coil_wall_touch *out)
{
    enum coil_status status = check(fit, from_s, level);
    struct coil_fit at = *fit;
    struct coil_forecast_point point;
    double end_s = from_s + max_days * DAY_S;
    double time_s = from_s;

    if (status == COIL_OK && !isfinite(max_days))
        status = COIL_ERR_NOT_FINITE;
    if (status == COIL_OK &&
        (max_days < 1.0 || max_days > COIL_FORECAST_WALL_MAX_DAYS ||
         (isnan(walls->ph_low) && isnan(walls->ph_high) &&
          isnan(walls->free_chlorine_high_mg_per_l))))
        status = COIL_ERR_DOMAIN;
    if (status != COIL_OK)
        return status;
    *out = (struct coil_wall_touch){.at_s = from_s,
                                    .notes = coil_forecast_notes(fit, end_s)};
    if (!walls_can_be_judged(fit, walls, from_s))
        return COIL_OK;
    out->can_say = true;
    while (time_s < end_s && out->wall == COIL_WALL_NONE) {
        struct coil_fit ahead = at;

        coil_forecast_at(&ahead, time_s, level, &point);
        out->wall = touched(&point, walls);
        if (out->wall == COIL_WALL_NONE) {
            at = ahead;
            time_s += STEP_S;
        }
    }
    out->touches = out->wall != COIL_WALL_NONE;
    out->at_s = fmin(time_s, end_s);
    /* back to the last instant before it, in steps of FINE_S from where it was free */
    for (time_s = out->at_s - STEP_S + FINE_S;
         out->touches && time_s > from_s && time_s < out->at_s && time_s > at.time_s;
         time_s += FINE_S) {
        coil_forecast_at(&at, time_s, level, &point);
        if (touched(&point, walls) != COIL_WALL_NONE)
            out->at_s = time_s;
    }
    return COIL_OK;
}

/* ---- the way down ---- */

/* First instants at which each edge is at the ceiling or below it. */
static void find_descent(struct coil_fit *fit, double from_s, double end_s,
                         double ceiling_mg_per_l, double level,
                         struct coil_return_times *out)
{
    struct coil_forecast_point point;

    for (double time_s = from_s; time_s <= end_s && isnan(out->latest_s);
         time_s += STEP_S) {
        const struct coil_band *band = &point.free_chlorine_mg_per_l;

        if (coil_forecast_at(fit, time_s, level, &point) != COIL_OK ||
            !point.has_free_chlorine)
            return;
        if (isnan(out->earliest_s) && band->low <= ceiling_mg_per_l)
            out->earliest_s = time_s;
        if (isnan(out->likely_s) && band->likely <= ceiling_mg_per_l)
            out->likely_s = time_s;
        if (band->high <= ceiling_mg_per_l)
            out->latest_s = time_s;
    }
}

enum coil_status coil_forecast_return(const struct coil_fit *fit, double from_s,
                                      double ceiling_mg_per_l, double level,
                                      double max_days, struct coil_return_times *out)
{
    enum coil_status status = check(fit, from_s, level);
    struct coil_fit at = *fit;
    double end_s = from_s + max_days * DAY_S;

    if (status == COIL_OK && (!isfinite(ceiling_mg_per_l) || !isfinite(max_days)))
        status = COIL_ERR_NOT_FINITE;
    if (status == COIL_OK && (ceiling_mg_per_l <= 0.0 || max_days < 1.0 ||
                              max_days > COIL_FORECAST_MAX_DAYS))
        status = COIL_ERR_DOMAIN;
    if (status != COIL_OK)
        return status;
    *out = (struct coil_return_times){false, NAN, NAN, NAN,
                                      coil_forecast_notes(fit, end_s)};
    if (!says_chlorine(fit, days_since(from_s, fit->basis.chlorine_read_s)))
        return COIL_OK;
    out->can_say = true;
    find_descent(&at, from_s, end_s, ceiling_mg_per_l, level, out);
    if (isnan(out->likely_s))
        out->notes |= COIL_NOTE_NOT_REACHED;
    else if (isnan(out->latest_s) ||
             out->latest_s - from_s >
                 WIDE_TIMES * fmax(out->likely_s - from_s, STEP_S) + DAY_S) {
        out->latest_s = NAN;
        out->notes |= COIL_NOTE_BAND_TOO_WIDE;
    }
    return COIL_OK;
}

/* ---- the course ---- */

/* The next reading of a kind that counts; count when there is none. */
static size_t next_reading(const struct coil_pool_fact *facts, size_t count,
                           size_t from, enum coil_pool_fact_kind kind)
{
    while (from < count && (facts[from].kind != kind || facts[from].is_doubtful ||
                            !isfinite(facts[from].value)))
        from++;
    return from;
}

/* A piece of course: from the fit's instant to the next reading of one kind. */
struct bridge {
    bool is_set;
    double from_s;
    double until_s;
    double off;      /* reading less forecast at its end, filter's scale */
    double start_sd; /* of the readings at both ends */
    double end_sd;
    double whole_sd; /* of the forecast at its end */
};

/* Forecast moved so that it meets the next reading, and narrower towards it: a Brownian
 * bridge between the two readings. */
static struct coil_fit_view bridged(struct coil_fit_view view,
                                    const struct bridge *bridge, double time_s)
{
    double u = (time_s - bridge->from_s) / fmax(bridge->until_s - bridge->from_s, 1.0);
    double between = bridge->whole_sd * bridge->whole_sd * u * (1.0 - u);
    double ends = (1.0 - u) * bridge->start_sd * bridge->start_sd +
                  u * bridge->end_sd * bridge->end_sd;

    if (!bridge->is_set)
        return view;
    view.mean += u * bridge->off;
    view.sd = fmin(view.sd, sqrt(between + ends));
    return view;
}

/* Carries a copy over the facts up to the next reading and compares there. */
static struct bridge bridge_to(const struct coil_fit *fit,
                               const struct coil_pool_fact *facts, size_t from,
                               size_t reading, bool is_ph)
{
    struct coil_fit ahead = *fit;
    const struct coil_pool_fact *fact = &facts[reading];
    struct bridge bridge = {
        .is_set = true, .from_s = fit->time_s, .until_s = (double)fact->at_s};
    struct coil_fit_view view;

    for (size_t i = from; i < reading; i++)
        coil_fit_add(&ahead, &facts[i]);
    coil_fit_advance(&ahead, bridge.until_s);
    view = is_ph ? coil_fit_view_ph(&ahead) : coil_fit_view_chlorine(&ahead);
    bridge.whole_sd = view.sd;
    if (is_ph) {
        bridge.start_sd = coil_fit_view_ph(fit).sd;
        bridge.end_sd = coil_filter_ph_sd(fact->resolution);
        bridge.off = fact->value - view.mean;
    } else {
        bridge.start_sd = coil_fit_view_chlorine(fit).sd;
        bridge.end_sd = coil_filter_chlorine_sd(fact->resolution, fact->value);
        bridge.off = coil_fit_scale(fact->value) - view.mean;
    }
    return bridge;
}

struct course {
    struct coil_fit fit;
    const struct coil_pool_fact *facts;
    size_t fact_count;
    size_t next; /* fact that comes next */
    struct bridge chlorine;
    struct bridge ph;
};

static struct bridge bridge_ahead(const struct course *course,
                                  enum coil_pool_fact_kind kind)
{
    bool is_ph = kind == COIL_FACT_PH;
    int readings =
        is_ph ? course->fit.basis.ph_readings : course->fit.basis.chlorine_readings;
    size_t i = next_reading(course->facts, course->fact_count, course->next, kind);

    if (i == course->fact_count || readings == 0)
        return (struct bridge){0};
    return bridge_to(&course->fit, course->facts, course->next, i, is_ph);
}

/* Facts up to an instant; a bridge starts anew after a reading of its kind. */
static void take_facts(struct course *course, double time_s)
{
    bool chlorine_is_read = false;
    bool ph_is_read = false;

    while (course->next < course->fact_count &&
           (double)course->facts[course->next].at_s <= time_s) {
        enum coil_pool_fact_kind kind = course->facts[course->next].kind;

        coil_fit_add(&course->fit, &course->facts[course->next++]);
        chlorine_is_read = chlorine_is_read || kind == COIL_FACT_FREE_CHLORINE;
        ph_is_read = ph_is_read || kind == COIL_FACT_PH;
    }
    if (chlorine_is_read)
        course->chlorine = bridge_ahead(course, COIL_FACT_FREE_CHLORINE);
    if (ph_is_read)
        course->ph = bridge_ahead(course, COIL_FACT_PH);
}

static void course_point(struct course *course, double level,
                         struct coil_forecast_point *out)
{
    const struct coil_fit *fit = &course->fit;
    double chlorine_days = days_since(fit->time_s, fit->basis.chlorine_read_s);
    double ph_days = days_since(fit->time_s, fit->basis.ph_read_s);

    look(fit, level, out);
    if (out->has_free_chlorine && course->chlorine.is_set) {
        struct coil_band band = band_of(
            bridged(coil_fit_view_chlorine(fit), &course->chlorine, fit->time_s),
            &fit->chlorine_errors, chlorine_days, level);

        out->free_chlorine_mg_per_l = (struct coil_band){coil_fit_mg_per_l(band.low),
                                                         coil_fit_mg_per_l(band.likely),
                                                         coil_fit_mg_per_l(band.high)};
    }
    if (out->has_ph && course->ph.is_set)
        out->ph = band_of(bridged(coil_fit_view_ph(fit), &course->ph, fit->time_s),
                          &fit->ph_errors, ph_days, level);
}

enum coil_status coil_forecast_course(const struct coil_fit_pool *pool,
                                      const struct coil_pool_fact *facts,
                                      size_t fact_count, const double *times_s,
                                      size_t count, double level,
                                      struct coil_forecast_point *out_points)
{
    struct course course = {.facts = facts, .fact_count = fact_count};
    enum coil_status status = coil_fit_init(&course.fit, pool);

    for (size_t i = 0; i < count && status >= COIL_OK; i++) {
        if (!isfinite(times_s[i]) || !isfinite(level))
            return COIL_ERR_NOT_FINITE;
        if (level < LEVEL_MIN || level > LEVEL_MAX ||
            (i > 0 && times_s[i] < times_s[i - 1]))
            return COIL_ERR_DOMAIN;
        take_facts(&course, times_s[i]);
        coil_fit_advance(&course.fit, times_s[i]);
        course_point(&course, level, &out_points[i]);
    }
    return status < COIL_OK ? status : COIL_OK;
}
