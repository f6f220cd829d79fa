#include "chlorine_fit.h"

#include <math.h>
#include <string.h>

#include "chlorine_filter.h"
#include "quantity.h"
#include "sun.h"

#define PI 3.14159265358979323846
#define DAY_S 86400.0
#define OFFSET_MG_PER_L 0.5
/* Without a place on earth: a middle latitude, and the sun's part hardly known. */
#define SOMEWHERE_DEG 40.0
#define CYANURIC_USUAL_MG_PER_L 40.0
#define TEMP_USUAL_C 25.0
#define SUN_STEP_S 3600.0
#define STEPS_MAX 3000.0
/* Readings closer than this after the last one tell nothing new. */
#define CLOSE_S 2700.0
#define LEVEL 0.9
#define READY 5 /* readings before coverage is counted */

/* Leads in days at which errors are kept apart, and how old a shadow gets. */
static const double lead_end_days[COIL_FIT_LEADS - 1] = {1.5, 5.0};
static const double lead_centre_days[COIL_FIT_LEADS] = {0.75, 3.0, 8.0};
static const double shadow_days[COIL_FIT_LEADS] = {1.5, 5.0, 9.0};

double coil_fit_mg_per_l(double y)
{
    return fmax(0.0, exp(y) - OFFSET_MG_PER_L);
}

double coil_fit_scale(double mg_per_l)
{
    return log(mg_per_l + OFFSET_MG_PER_L);
}

/* ---- start ---- */

static enum coil_status check_pool(const struct coil_fit_pool *pool)
{
    struct coil_loss_light light = pool->place.light;
    double unused;

    light.sun_elevation_deg = 0.0;
    if (isnan(light.depth_m))
        light.depth_m = COIL_DEPTH_USUAL_M;
    if (pool->has_place) {
        if (!isfinite(pool->place.lat_deg) || !isfinite(pool->place.lon_deg_east))
            return COIL_ERR_NOT_FINITE;
        if (fabs(pool->place.lat_deg) > 90.0 || pool->place.lon_deg_east < -180.0 ||
            pool->place.lon_deg_east > 360.0)
            return COIL_ERR_DOMAIN;
    }
    if (isinf(pool->usual_temp_c))
        return COIL_ERR_NOT_FINITE;
    if (pool->usual_temp_c < 0.0 || pool->usual_temp_c > 60.0)
        return COIL_ERR_DOMAIN;
    return coil_uv_in_water(&light, 0.0, &unused);
}

static void set_prior(double *x, double *p, int n, int i, double mean, double sd)
{
    x[i] = mean;
    p[i * n + i] = sd * sd;
}

/* How well the sun's part is known in advance (ln): by a third to a half from sources,
 * less without place or depth or under a cover, hardly at all while nobody knows what shields from it.
 */
static double sun_prior_sd(const struct coil_fit *fit)
{
    if (!fit->basis.has_cyanuric_acid && !fit->pool.is_indoor)
        return 1.2;
    return fit->pool.has_place && !fit->depth_is_guessed && !fit->pool.cover_is_guessed
               ? 0.6
               : 0.8;
}

/* What sources and practice say before anything is read: docs/model.md. */
static void set_priors(struct coil_fit *fit)
{
    struct coil_loss_parameters usual = coil_loss_usual();
    struct coil_fit_chlorine *c = &fit->chlorine;
    struct coil_fit_ph *ph = &fit->ph;

    set_prior(c->x, &c->p[0][0], COIL_FIT_CHLORINE_STATES, COIL_FIT_Y,
              coil_fit_scale(2.0), 1.0);
    set_prior(c->x, &c->p[0][0], COIL_FIT_CHLORINE_STATES, COIL_FIT_LN_SUN,
              log(usual.sun_scale), sun_prior_sd(fit));
    set_prior(c->x, &c->p[0][0], COIL_FIT_CHLORINE_STATES, COIL_FIT_LN_DARK,
              log(usual.dark_per_day_25c), 0.7);
    set_prior(c->x, &c->p[0][0], COIL_FIT_CHLORINE_STATES, COIL_FIT_LN_DOUBLING,
              log(usual.dark_doubling_c), 0.35);
    set_prior(c->x, &c->p[0][0], COIL_FIT_CHLORINE_STATES, COIL_FIT_DEMAND,
              fit->pool.is_fed ? -0.5 : usual.demand_mg_per_l_day,
              fit->pool.is_fed ? 2.0 : 0.4);
    set_prior(ph->x, &ph->p[0][0], COIL_FIT_PH_STATES, COIL_FIT_P, 7.5, 0.4);
    set_prior(ph->x, &ph->p[0][0], COIL_FIT_PH_STATES, COIL_FIT_P_END, 7.9, 0.4);
    set_prior(ph->x, &ph->p[0][0], COIL_FIT_PH_STATES, COIL_FIT_LN_PACE, log(0.08),
              0.7);
}

enum coil_status coil_fit_init(struct coil_fit *fit, const struct coil_fit_pool *pool)
{
    enum coil_status status = check_pool(pool);
    struct coil_loss_light *light = &fit->pool.place.light;

    if (status < COIL_OK)
        return status;
    memset(fit, 0, sizeof *fit);
    fit->pool = *pool;
    fit->depth_is_guessed = isnan(light->depth_m);
    if (fit->depth_is_guessed)
        light->depth_m = COIL_DEPTH_USUAL_M;
    fit->basis.has_cyanuric_acid = pool->no_cyanuric_acid;
    set_priors(fit);
    if (!pool->has_place) {
        fit->pool.place.lat_deg = SOMEWHERE_DEG;
        fit->pool.place.lon_deg_east = 0.0;
    }
    fit->chlorine_noise = 1.0;
    fit->ph_noise = 1.0;
    fit->cyanuric_acid_mg_per_l =
        pool->no_cyanuric_acid ? 0.0 : CYANURIC_USUAL_MG_PER_L;
    fit->water_temp_c = isnan(pool->usual_temp_c) ? TEMP_USUAL_C : pool->usual_temp_c;
    fit->sun_day = NAN;
    return COIL_OK;
}

/* ---- time ---- */

/* Sine of the sun's elevation: declination of the day, hour angle by the clock. */
static double sun_sine(struct coil_fit *fit, double time_s)
{
    double phi = fit->pool.place.lat_deg * (PI / 180.0);
    double day = floor(time_s / DAY_S);

    if (day != fit->sun_day) {
        struct coil_sun_ephemeris sun = {0};
        double declination;

        coil_sun_ephemeris((day + 0.5) * DAY_S, &sun);
        declination = sun.declination_deg * (PI / 180.0);
        fit->sun_day = day;
        fit->sun_steady = sin(phi) * sin(declination);
        fit->sun_swing = cos(phi) * cos(declination);
        fit->transit_s = (day + 0.5 - fit->pool.place.lon_deg_east / 360.0) * DAY_S -
                         60.0 * sun.equation_of_time_min;
    }
    return fit->sun_steady +
           fit->sun_swing * cos((time_s - fit->transit_s) * (2.0 * PI / DAY_S));
}

static double between(double value, double low, double high)
{
    return fmin(high, fmax(low, value));
}

/* Shares of chlorine that the sun can take, computed anew when the water has moved. */
static void refresh_unbound(struct coil_fit *fit)
{
    struct coil_loss_water now = {
        coil_fit_mg_per_l(fit->chlorine.x[COIL_FIT_Y]),
        between(fit->ph.x[COIL_FIT_P], 5.5, 9.5),
        fit->cyanuric_acid_mg_per_l,
        between(fit->water_temp_c, 0.0, 60.0),
    };
    const struct coil_loss_water *then = &fit->unbound_for;
    bool moved = !fit->has_unbound || fabs(now.ph - then->ph) > 0.05 ||
                 fabs(now.water_temp_c - then->water_temp_c) > 1.0 ||
                 now.cyanuric_acid_mg_per_l != then->cyanuric_acid_mg_per_l ||
                 fabs(now.free_chlorine_mg_per_l - then->free_chlorine_mg_per_l) >
                     0.2 * then->free_chlorine_mg_per_l + 0.3;

    if (moved && coil_chlorine_unbound(&now, &fit->unbound) >= COIL_OK) {
        fit->unbound_for = now;
        fit->has_unbound = true;
    }
}

/* Light in the water without cloud, shade and cover. */
static double open_light(struct coil_fit *fit, double time_s,
                         struct coil_loss_light *light, double ocl_mg_per_l)
{
    double relative = 0.0;
    double sine = sun_sine(fit, time_s);

    if (sine <= 0.0)
        return 0.0;
    light->sun_elevation_deg = asin(fmin(1.0, sine)) * (180.0 / PI);
    coil_uv_in_water(light, ocl_mg_per_l, &relative);
    return relative;
}

/* Loss to the sun at sun scale 1, integrated. */
static double sun_over(struct coil_fit *fit, double from_s, double until_s)
{
    struct coil_loss_light light = fit->pool.place.light;
    double passes = coil_light_passes(&light);
    double span_s = until_s - from_s;
    double steps = fmin(ceil(fmax(span_s / SUN_STEP_S, 1.0)), STEPS_MAX);
    double ocl_mg_per_l, per_day;
    double sum = 0.0;

    if (fit->pool.is_indoor || passes == 0.0 || until_s < COIL_SUN_TIME_MIN_S ||
        until_s > COIL_SUN_TIME_MAX_S)
        return 0.0;
    refresh_unbound(fit);
    per_day = DAY_S * (COIL_PHOTOLYSIS_HOCL_PER_S * fit->unbound.hocl_fraction +
                       COIL_PHOTOLYSIS_OCL_PER_S * fit->unbound.ocl_fraction);
    ocl_mg_per_l = fit->unbound.ocl_fraction * fit->unbound_for.free_chlorine_mg_per_l;
    light.cloud_fraction = 0.0;
    light.shade_fraction = 0.0;
    light.cover_pass_fraction = 1.0;
    for (double i = 0.5; i < steps; i += 1.0)
        sum += open_light(fit, from_s + i * span_s / steps, &light, ocl_mg_per_l);
    return sum * passes * per_day * span_s / steps / DAY_S;
}

static void pass_time(struct coil_fit_chlorine *track, double days, double sun,
                      double temp_c)
{
    track->days += days;
    track->sun += sun;
    track->temp_days += temp_c * days;
}

void coil_fit_advance(struct coil_fit *fit, double time_s)
{
    double days, sun;

    if (!fit->has_time || !(time_s > fit->time_s)) {
        if (!fit->has_time && isfinite(time_s)) {
            fit->time_s = time_s;
            fit->has_time = true;
        }
        return;
    }
    days = (time_s - fit->time_s) / DAY_S;
    sun = sun_over(fit, fit->time_s, time_s);
    pass_time(&fit->chlorine, days, sun, fit->water_temp_c);
    fit->ph.days += days;
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        pass_time(&fit->shadows[i].chlorine, days, sun, fit->water_temp_c);
        fit->shadows[i].ph.days += days;
    }
    fit->time_s = time_s;
}

/* ---- looking at the estimate ---- */

struct coil_fit_view coil_fit_view_chlorine(const struct coil_fit *fit)
{
    struct coil_fit_chlorine track = fit->chlorine;
    double resolution = fit->chlorine_resolution > 0.0 ? fit->chlorine_resolution : 0.5;
    double sd;

    coil_filter_chlorine_close(&track, fit->chlorine_noise);
    sd = coil_filter_chlorine_sd(resolution, coil_fit_mg_per_l(track.x[COIL_FIT_Y]));
    return (struct coil_fit_view){track.x[COIL_FIT_Y], sqrt(track.p[0][0] + sd * sd)};
}

struct coil_fit_view coil_fit_view_ph(const struct coil_fit *fit)
{
    struct coil_fit_ph track = fit->ph;
    double sd = coil_filter_ph_sd(fit->ph_resolution > 0.0 ? fit->ph_resolution : 0.2);

    coil_filter_ph_close(&track, fit->ph_noise);
    return (struct coil_fit_view){track.x[COIL_FIT_P], sqrt(track.p[0][0] + sd * sd)};
}

double coil_fit_stretch(const struct coil_fit_errors *errors, double days, double p)
{
    double at = log(fmax(days, 0.01));
    double here, next;
    int i = 0;

    while (i < COIL_FIT_LEADS - 1 && at > log(lead_centre_days[i + 1]))
        i++;
    here = coil_band_quantile_of(&errors->lead[i], &errors->all, p);
    if (i == COIL_FIT_LEADS - 1 || at <= log(lead_centre_days[i]))
        return here;
    next = coil_band_quantile_of(&errors->lead[i + 1], &errors->all, p);
    return here + (next - here) * (at - log(lead_centre_days[i])) /
                      (log(lead_centre_days[i + 1]) - log(lead_centre_days[i]));
}

/* ---- errors made ---- */

static int lead_of(double days)
{
    int i = 0;

    while (i < COIL_FIT_LEADS - 1 && days > lead_end_days[i])
        i++;
    return i;
}

static void judge(struct coil_fit_errors *errors, double z, double days)
{
    if (errors->all.count >= READY) {
        errors->tried++;
        if (z >= coil_fit_stretch(errors, days, 0.5 - 0.5 * LEVEL) &&
            z <= coil_fit_stretch(errors, days, 0.5 + 0.5 * LEVEL))
            errors->inside++;
    }
    coil_band_remember(&errors->all, z);
    coil_band_remember(&errors->lead[lead_of(days)], z);
}

/* A pool that is less steady than assumed shows in the squares of its errors. */
static double learn_noise(double noise, double z)
{
    return between(noise * exp(0.05 * (fmin(z * z, 6.0) - 1.0)), 0.05, 30.0);
}

/* Shadows that are old enough have their errors remembered and end. */
static void judge_shadows(struct coil_fit *fit, double y, double sd)
{
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        struct coil_fit_shadow *shadow = &fit->shadows[i];
        double days = (fit->time_s - shadow->started_s) / DAY_S;

        if (!shadow->is_running || days < shadow_days[i] ||
            shadow->started_s >= (double)fit->basis.chlorine_read_s)
            continue;
        coil_filter_chlorine_close(&shadow->chlorine, fit->chlorine_noise);
        coil_band_remember(&fit->chlorine_errors.lead[lead_of(days)],
                           (y - shadow->chlorine.x[0]) /
                               sqrt(shadow->chlorine.p[0][0] + sd * sd));
        shadow->is_running = false;
    }
}

static void judge_ph_shadows(struct coil_fit *fit, double ph, double sd)
{
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        struct coil_fit_shadow *shadow = &fit->shadows[i];
        double days = (fit->time_s - shadow->ph_started_s) / DAY_S;

        if (!shadow->ph_is_running || days < shadow_days[i] ||
            shadow->ph_started_s >= (double)fit->basis.ph_read_s)
            continue;
        coil_filter_ph_close(&shadow->ph, fit->ph_noise);
        coil_band_remember(&fit->ph_errors.lead[lead_of(days)],
                           (ph - shadow->ph.x[0]) / sqrt(shadow->ph.p[0][0] + sd * sd));
        shadow->ph_is_running = false;
    }
}

static void start_shadows(struct coil_fit *fit)
{
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        if (fit->shadows[i].is_running)
            continue;
        fit->shadows[i].chlorine = fit->chlorine;
        fit->shadows[i].started_s = fit->time_s;
        fit->shadows[i].is_running = true;
    }
}

static void start_ph_shadows(struct coil_fit *fit)
{
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        if (fit->shadows[i].ph_is_running)
            continue;
        fit->shadows[i].ph = fit->ph;
        fit->shadows[i].ph_started_s = fit->time_s;
        fit->shadows[i].ph_is_running = true;
    }
}

/* ---- facts ---- */

static void read_chlorine(struct coil_fit *fit, const struct coil_pool_fact *fact)
{
    struct coil_fit_basis *basis = &fit->basis;
    bool is_first = basis->chlorine_readings == 0;
    bool is_open = is_first || basis->chlorine_dose_unknown;
    double y = coil_fit_scale(fact->value);
    double days = (fit->time_s - (double)basis->chlorine_read_s) / DAY_S;
    double near, sd, z;

    coil_filter_chlorine_close(&fit->chlorine, fit->chlorine_noise);
    near = 0.5 * (fact->value + coil_fit_mg_per_l(fit->chlorine.x[COIL_FIT_Y]));
    sd = coil_filter_chlorine_sd(fact->resolution, is_first ? fact->value : near);
    if (!is_first)
        judge_shadows(fit, y, sd);
    z = coil_filter_chlorine_read(&fit->chlorine, y, sd, is_open);
    if (!is_open) {
        judge(&fit->chlorine_errors, z, days);
        fit->chlorine_noise = learn_noise(fit->chlorine_noise, z);
    }
    basis->chlorine_in_doubt = fabs(z) > COIL_FILTER_ODD;
    basis->rises_without_dose += z > COIL_FILTER_ODD;
    basis->falls_beyond_reason += z < -COIL_FILTER_ODD;
    basis->chlorine_dose_unknown = false;
    basis->chlorine_readings++;
    basis->chlorine_read_s = fact->at_s;
    fit->chlorine_resolution = fact->resolution;
    start_shadows(fit);
}

static void read_ph(struct coil_fit *fit, const struct coil_pool_fact *fact)
{
    struct coil_fit_basis *basis = &fit->basis;
    bool is_open = basis->ph_readings == 0 || basis->ph_dose_unknown;
    double sd = coil_filter_ph_sd(fact->resolution);
    double days = (fit->time_s - (double)basis->ph_read_s) / DAY_S;
    double z;

    coil_filter_ph_close(&fit->ph, fit->ph_noise);
    if (basis->ph_readings > 0)
        judge_ph_shadows(fit, fact->value, sd);
    z = coil_filter_ph_read(&fit->ph, fact->value, sd, is_open);
    if (!is_open) {
        judge(&fit->ph_errors, z, days);
        fit->ph_noise = learn_noise(fit->ph_noise, z);
    }
    basis->ph_in_doubt = fabs(z) > COIL_FILTER_ODD;
    basis->ph_dose_unknown = false;
    basis->ph_readings++;
    basis->ph_read_s = fact->at_s;
    fit->ph_resolution = fact->resolution;
    start_ph_shadows(fit);
}

static void dose_chlorine(struct coil_fit *fit, double rise_mg_per_l)
{
    coil_filter_chlorine_close(&fit->chlorine, fit->chlorine_noise);
    if (isnan(rise_mg_per_l)) {
        coil_filter_chlorine_lose(&fit->chlorine);
        fit->basis.chlorine_dose_unknown = true;
    } else {
        coil_filter_chlorine_dose(&fit->chlorine, rise_mg_per_l);
    }
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        struct coil_fit_shadow *shadow = &fit->shadows[i];

        coil_filter_chlorine_close(&shadow->chlorine, fit->chlorine_noise);
        if (isnan(rise_mg_per_l))
            shadow->is_running = false;
        else
            coil_filter_chlorine_dose(&shadow->chlorine, rise_mg_per_l);
    }
}

static void dose_ph(struct coil_fit *fit, double change)
{
    coil_filter_ph_close(&fit->ph, fit->ph_noise);
    if (isnan(change)) {
        coil_filter_ph_lose(&fit->ph);
        fit->basis.ph_dose_unknown = true;
    } else {
        coil_filter_ph_dose(&fit->ph, change);
    }
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        struct coil_fit_shadow *shadow = &fit->shadows[i];

        coil_filter_ph_close(&shadow->ph, fit->ph_noise);
        if (isnan(change))
            shadow->ph_is_running = false;
        else
            coil_filter_ph_dose(&shadow->ph, change);
    }
}

static void fill(struct coil_fit *fit, double fraction)
{
    coil_filter_chlorine_close(&fit->chlorine, fit->chlorine_noise);
    coil_filter_chlorine_fill(&fit->chlorine, fraction);
    for (int i = 0; i < COIL_FIT_LEADS; i++) {
        coil_filter_chlorine_close(&fit->shadows[i].chlorine, fit->chlorine_noise);
        coil_filter_chlorine_fill(&fit->shadows[i].chlorine, fraction);
    }
    fit->cyanuric_acid_mg_per_l *= 1.0 - fraction;
    if (fraction > 0.05) { /* what it did to pH is not known */
        coil_filter_ph_close(&fit->ph, fit->ph_noise);
        coil_filter_ph_lose(&fit->ph);
        for (int i = 0; i < COIL_FIT_LEADS; i++)
            fit->shadows[i].ph_is_running = false;
    }
}

/* From the first test on the sun's part is as uncertain as usual. */
static void read_cyanuric_acid(struct coil_fit *fit, double mg_per_l)
{
    struct coil_fit_chlorine *track = &fit->chlorine;
    double sd = sqrt(track->p[COIL_FIT_LN_SUN][COIL_FIT_LN_SUN]);
    double shrink;

    fit->cyanuric_acid_mg_per_l = mg_per_l;
    if (fit->basis.has_cyanuric_acid)
        return;
    fit->basis.has_cyanuric_acid = true;
    shrink = fmin(1.0, sun_prior_sd(fit) / sd);
    for (int i = 0; i < COIL_FIT_CHLORINE_STATES; i++) {
        track->p[COIL_FIT_LN_SUN][i] *= shrink;
        track->p[i][COIL_FIT_LN_SUN] *= shrink;
    }
}

struct range {
    double low;
    double high;
    bool is_reading;
    bool may_be_nan;
};

static const struct range ranges[COIL_FACT_KIND_COUNT] = {
    [COIL_FACT_FREE_CHLORINE] = {0.0, 500.0, true, false},
    [COIL_FACT_PH] = {1.0, 13.0, true, false},
    [COIL_FACT_CYANURIC_ACID] = {0.0, 1000.0, true, false},
    [COIL_FACT_WATER_TEMP] = {-2.0, 60.0, true, false},
    [COIL_FACT_DOSE_CHLORINE] = {-500.0, 500.0, false, true},
    [COIL_FACT_DOSE_PH] = {-8.0, 8.0, false, true},
    [COIL_FACT_DOSE_CYANURIC] = {0.0, 1000.0, false, false},
    [COIL_FACT_BATHERS] = {0.0, 500.0, false, false},
    [COIL_FACT_CLOUD] = {0.0, 1.0, false, false},
    [COIL_FACT_COVER] = {0.0, 1.0, false, false},
    [COIL_FACT_FILL] = {0.0, 1.0, false, false},
};

static enum coil_status check_fact(const struct coil_fit *fit,
                                   const struct coil_pool_fact *fact)
{
    const struct range *range;

    if ((int)fact->kind < 0 || fact->kind >= COIL_FACT_KIND_COUNT)
        return COIL_ERR_UNKNOWN;
    range = &ranges[fact->kind];
    if (fit->has_time && (double)fact->at_s < fit->time_s)
        return COIL_ERR_DOMAIN;
    if (isnan(fact->value) && range->may_be_nan)
        return COIL_OK;
    if (!isfinite(fact->value) || (range->is_reading && !isfinite(fact->resolution)))
        return COIL_ERR_NOT_FINITE;
    if (fact->value < range->low || fact->value > range->high ||
        (range->is_reading && !(fact->resolution > 0.0)))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* Many readings of a probe within the hour are one reading. */
static bool is_too_close(const struct coil_fit *fit, const struct coil_pool_fact *fact)
{
    const struct coil_fit_basis *basis = &fit->basis;

    if (fact->kind == COIL_FACT_FREE_CHLORINE)
        return basis->chlorine_readings > 0 && !basis->chlorine_dose_unknown &&
               !basis->chlorine_in_doubt &&
               (double)(fact->at_s - basis->chlorine_read_s) < CLOSE_S &&
               fabs(coil_fit_scale(fact->value) - coil_fit_view_chlorine(fit).mean) <
                   1.5 * coil_fit_view_chlorine(fit).sd;
    if (fact->kind == COIL_FACT_PH)
        return basis->ph_readings > 0 && !basis->ph_dose_unknown &&
               !basis->ph_in_doubt &&
               (double)(fact->at_s - basis->ph_read_s) < CLOSE_S &&
               fabs(fact->value - coil_fit_view_ph(fit).mean) <
                   1.5 * coil_fit_view_ph(fit).sd;
    return false;
}

static void apply(struct coil_fit *fit, const struct coil_pool_fact *fact)
{
    switch (fact->kind) {
    case COIL_FACT_FREE_CHLORINE:
        read_chlorine(fit, fact);
        break;
    case COIL_FACT_PH:
        read_ph(fit, fact);
        break;
    case COIL_FACT_CYANURIC_ACID:
        read_cyanuric_acid(fit, fact->value);
        break;
    case COIL_FACT_WATER_TEMP:
        fit->water_temp_c = fact->value;
        fit->basis.has_temp = true;
        break;
    case COIL_FACT_DOSE_CHLORINE:
        dose_chlorine(fit, fact->value);
        break;
    case COIL_FACT_DOSE_PH:
        dose_ph(fit, fact->value);
        break;
    case COIL_FACT_DOSE_CYANURIC:
        fit->cyanuric_acid_mg_per_l =
            fmin(1000.0, fit->cyanuric_acid_mg_per_l + fact->value);
        break;
    case COIL_FACT_BATHERS:
        dose_chlorine(fit, -fact->value);
        break;
    case COIL_FACT_CLOUD:
        fit->pool.place.light.cloud_fraction = fact->value;
        break;
    case COIL_FACT_COVER:
        fit->pool.place.light.cover_pass_fraction = fact->value;
        break;
    case COIL_FACT_FILL:
        fill(fit, fact->value);
        break;
    case COIL_FACT_KIND_COUNT:
        break;
    }
}

enum coil_status coil_fit_add(struct coil_fit *fit, const struct coil_pool_fact *fact)
{
    enum coil_status status = check_fact(fit, fact);

    if (status != COIL_OK)
        return status;
    coil_fit_advance(fit, (double)fact->at_s);
    if (fact->is_doubtful || is_too_close(fit, fact))
        fit->basis.skipped++;
    else
        apply(fit, fact);
    return COIL_OK;
}

void coil_fit_add_all(struct coil_fit *fit, const struct coil_pool_fact *facts,
                      size_t count, size_t *out_refused)
{
    size_t refused = 0;

    for (size_t i = 0; i < count; i++)
        refused += coil_fit_add(fit, &facts[i]) != COIL_OK;
    if (out_refused != NULL)
        *out_refused = refused;
}

void coil_fit_summarise(const struct coil_fit *fit, struct coil_fit_summary *out)
{
    const struct coil_fit_chlorine *c = &fit->chlorine;
    const struct coil_fit_ph *ph = &fit->ph;

    out->sun_scale = exp(c->x[COIL_FIT_LN_SUN]);
    out->sun_scale_factor = exp(sqrt(c->p[COIL_FIT_LN_SUN][COIL_FIT_LN_SUN]));
    out->dark_per_day_25c = exp(c->x[COIL_FIT_LN_DARK]);
    out->dark_per_day_factor = exp(sqrt(c->p[COIL_FIT_LN_DARK][COIL_FIT_LN_DARK]));
    out->dark_doubling_c = exp(c->x[COIL_FIT_LN_DOUBLING]);
    out->dark_doubling_factor =
        exp(sqrt(c->p[COIL_FIT_LN_DOUBLING][COIL_FIT_LN_DOUBLING]));
    out->demand_mg_per_l_day = c->x[COIL_FIT_DEMAND];
    out->demand_sd = sqrt(c->p[COIL_FIT_DEMAND][COIL_FIT_DEMAND]);
    out->ph_drift_end = ph->x[COIL_FIT_P_END];
    out->ph_drift_end_sd = sqrt(ph->p[COIL_FIT_P_END][COIL_FIT_P_END]);
    out->ph_drift_per_day =
        exp(ph->x[COIL_FIT_LN_PACE]) * (ph->x[COIL_FIT_P_END] - ph->x[COIL_FIT_P]);
}
