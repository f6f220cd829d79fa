#include "super_plan.h"

#include <math.h>
#include <string.h>

#include "decimal.h"
#include "lib/composition.h"
#include "lib/dose_product.h"
#include "lib/exposure.h"
#include "pool_facts.h"
#include "zone.h"

#define DAY_S 86400.0
#define BACK_MAX_DAYS 30.0
#define WAY_STEP_S 1800.0
#define WAY_DAYS 10
#define WAY_POINTS (WAY_DAYS * 48 + 1)
#define PORTIONS 3
#define LAST_TRY_WAIT_S 86400 /* until combined chlorine shows what a try did */

/* ---- what is known ---- */

static double newest(const struct super_plan *p, enum coil_quantity quantity)
{
    const struct coil_history *h = &p->facts.history[quantity];

    return h->count > 0 ? h->newest[0].value : (double)NAN;
}

static double limit_or_nan(const struct coil_limit *limit)
{
    return limit->is_set ? limit->value : (double)NAN;
}

/* Combined chlorine as tested, or total less free of one instant. */
static double combined_of(const struct super_plan *p)
{
    const struct coil_history *total = &p->facts.history[COIL_TOTAL_CHLORINE];
    const struct coil_history *free = &p->facts.history[COIL_FREE_CHLORINE];
    const struct coil_history *combined = &p->facts.history[COIL_COMBINED_CHLORINE];
    int64_t at = combined->count > 0 ? combined->newest[0].at_s : 0;

    for (size_t i = 0; total->count > 0 && i < free->count; i++)
        if (free->newest[i].at_s == total->newest[0].at_s &&
            total->newest[0].at_s > at)
            return coil_permit_total_below(&p->facts, &free->newest[i]) != NULL
                       ? (double)NAN
                       : fmax(0, total->newest[0].value - free->newest[i].value);
    return combined->count > 0 ? combined->newest[0].value : (double)NAN;
}

static void take_values(struct super_plan *p)
{
    p->ceiling_mg_per_l =
        limit_or_nan(&p->heater.limits[COIL_LIMIT_FREE_CHLORINE_HIGH]);
    p->ph_low = limit_or_nan(&p->heater.limits[COIL_LIMIT_PH_LOW]);
    p->ph = newest(p, COIL_PH);
    p->free_mg_per_l = newest(p, COIL_FREE_CHLORINE);
    p->combined_mg_per_l = combined_of(p);
    p->volume_m3 = decimal_to_double(p->water.volume_m3_e6);
    p->cyanuric_mg_per_l =
        p->water.no_cyanuric_acid ? 0 : newest(p, COIL_CYANURIC_ACID);
    p->temp_c = newest(p, COIL_WATER_TEMP);
    p->lacks = (isnan(p->ph) ? SUPER_LACK_PH : 0u) |
               (isnan(p->free_mg_per_l) ? SUPER_LACK_FREE : 0u) |
               (isnan(p->combined_mg_per_l) ? SUPER_LACK_COMBINED : 0u) |
               (p->volume_m3 > 0 ? 0u : SUPER_LACK_VOLUME);
}

/* Newest value of a quantity at or before, or first at or after, an instant. */
static double value_near(const struct super_plan *p, enum coil_quantity quantity,
                         int64_t at, bool after)
{
    const struct coil_history *h = &p->facts.history[quantity];
    double found = NAN;

    for (size_t i = 0; i < h->count; i++) {
        if (!after && h->newest[i].at_s <= at)
            return h->newest[i].value;
        if (after && h->newest[i].at_s >= at)
            found = h->newest[i].value;
    }
    return found;
}

/* What the last super-chlorination reached and left: organic chloramines stay. */
static void take_last_try(const struct super_plan *p, struct coil_breakpoint_input *in)
{
    const struct coil_history *free = &p->facts.history[COIL_FREE_CHLORINE];
    int64_t at = 0;

    in->last_peak_mg_per_l = NAN;
    for (size_t i = 0; i < p->facts.dose_count && at == 0; i++)
        if (p->facts.doses[i].super_chlorination &&
            p->now_s - p->facts.doses[i].at_s > LAST_TRY_WAIT_S)
            at = p->facts.doses[i].at_s;
    in->last_combined_before_mg_per_l =
        at == 0 ? (double)NAN : value_near(p, COIL_COMBINED_CHLORINE, at, false);
    in->last_combined_after_mg_per_l =
        at == 0
            ? (double)NAN
            : value_near(p, COIL_COMBINED_CHLORINE, at + LAST_TRY_WAIT_S, true);
    for (size_t i = 0; at != 0 && i < free->count; i++)
        if (free->newest[i].at_s >= at &&
            !(free->newest[i].value <= in->last_peak_mg_per_l))
            in->last_peak_mg_per_l = free->newest[i].value;
}

static bool take_breakpoint(struct super_plan *p)
{
    struct coil_breakpoint_input in = {
        .free_chlorine_mg_per_l = p->free_mg_per_l,
        .combined_chlorine_mg_per_l = p->combined_mg_per_l,
        .ammonia_n_mg_per_l = NAN,
        .ph = p->ph,
        .cyanuric_acid_mg_per_l = p->cyanuric_mg_per_l,
        .water_temp_c = isnan(p->temp_c) ? 25 : p->temp_c,
    };

    take_last_try(p, &in);
    return coil_breakpoint_plan(&in, &p->breakpoint) >= 0;
}

/* ---- products ---- */

static void add_product(struct super_plan *p, enum coil_product product, int64_t shed_id,
                        double strength_percent, double amount_left)
{
    double rise;

    if (p->product_count == SUPER_PRODUCTS_MAX ||
        coil_product_chlorine_rise(product, 1.0, strength_percent, p->volume_m3,
                                   &rise) < 0 ||
        !(rise > 0))
        return;
    p->products[p->product_count++] = (struct super_product){
        product, shed_id, strength_percent, p->breakpoint.dose_mg_per_l / rise,
        amount_left};
}

/* Trichlor dissolves for days and sours the water: no product for a peak. */
static bool is_for_a_peak(enum coil_product product)
{
    const struct coil_product_info *info = coil_product_info(product);

    return info != NULL && info->is_chlorine && product != COIL_TRICHLOR &&
           product != COIL_CHLORINE_GAS;
}

static enum db_status take_products(struct db *db, struct super_plan *p)
{
    static const enum coil_product usual[] = {COIL_SODIUM_HYPOCHLORITE,
                                              COIL_CALCIUM_HYPOCHLORITE};
    struct db_shed_item items[COIL_SHED_MAX];
    size_t count = 0;
    enum db_status status = db_shed_list(db, items, COIL_SHED_MAX, &count);

    for (size_t i = 0; status == DB_OK && i < count; i++)
        if (is_for_a_peak(items[i].product))
            add_product(p, items[i].product, items[i].id,
                        decimal_to_double(items[i].strength_e6),
                        decimal_to_double(items[i].amount_left_e6));
    for (size_t i = 0; i < sizeof usual / sizeof usual[0]; i++)
        add_product(p, usual[i], 0, coil_product_info(usual[i])->strength_percent, 0);
    return status;
}

/* pH once the first product's chlorine is spent; NaN without an alkalinity test. */
static double ph_after(const struct super_plan *p)
{
    const struct super_product *first = &p->products[0];
    double alkalinity = newest(p, COIL_TOTAL_ALKALINITY);
    const struct coil_composition c = {
        .ph = p->ph,
        .total_alkalinity_mg_per_l_caco3 = alkalinity,
        .calcium_hardness_mg_per_l_caco3 = fmax(0, newest(p, COIL_CALCIUM_HARDNESS)),
        .cyanuric_acid_mg_per_l = fmax(0, p->cyanuric_mg_per_l),
        .water_temp_c = isnan(p->temp_c) ? 25 : p->temp_c,
    };
    struct coil_constants constants;
    struct coil_totals totals;
    struct coil_equilibrium water;
    struct coil_closed_water closed;
    struct coil_dose dose;

    if (isnan(alkalinity) || p->product_count == 0 ||
        coil_water_from_composition(&c, COIL_CYANURATE_WAHMAN_2019, &constants, &totals,
                                    &water, NULL) < 0 ||
        coil_dose_from_product(first->product, first->amount, first->strength_percent,
                               p->volume_m3, &dose) < 0)
        return NAN;
    coil_closed_from_equilibrium(&totals, &water, &closed);
    if (coil_dose_apply(&closed, &dose, &closed) < 0 ||
        coil_chlorine_spend(&closed, 1.0, &closed) < 0 ||
        coil_closed_solve(&constants, &closed, &water) < 0)
        return NAN;
    return water.ph;
}

/* ---- the way back ---- */

static void add_rise(struct coil_fit *fit, double at_s, double mg_per_l)
{
    const struct coil_pool_fact fact = {
        .at_s = (int64_t)at_s, .kind = COIL_FACT_DOSE_CHLORINE, .value = mg_per_l};

    coil_fit_add(fit, &fact); /* out of order cannot be: at_s is now or later */
}

static void take_course(struct super_plan *p, struct coil_fit fit, double from_s)
{
    double end_s = isfinite(p->back.latest_s)   ? p->back.latest_s
                   : isfinite(p->back.likely_s) ? p->back.likely_s + 2 * DAY_S
                                                : from_s + 3 * DAY_S;
    double step_s = fmax(900.0, ceil((end_s - from_s + 6 * 3600.0) /
                                     (SUPER_COURSE_MAX - 2) / 900.0) *
                                    900.0);

    for (double at_s = from_s;
         at_s <= end_s + 6 * 3600.0 && p->course_count < SUPER_COURSE_MAX;
         at_s += step_s) {
        struct coil_forecast_point *point = &p->course[p->course_count];

        p->course_s[p->course_count++] = at_s;
        if (coil_forecast_at(&fit, at_s, COIL_FORECAST_LEVEL, point) != COIL_OK)
            *point = (struct coil_forecast_point){0};
    }
}

/* Half of what stands above the ceiling taken away at once, as the first half is. */
static void take_neutralised(struct super_plan *p, struct coil_fit fit, double from_s,
                             double wait_s)
{
    struct coil_forecast_point point;
    struct coil_fit at = fit;
    double drop;

    p->neutraliser_drop_mg_per_l = NAN;
    p->back_neutralised.can_say = false;
    if (coil_forecast_at(&at, from_s + wait_s, COIL_FORECAST_LEVEL, &point) != COIL_OK ||
        !point.has_free_chlorine)
        return;
    drop = point.free_chlorine_mg_per_l.likely - p->ceiling_mg_per_l;
    if (!(drop > 0))
        return;
    p->neutraliser_drop_mg_per_l = drop;
    add_rise(&fit, from_s + wait_s, -drop / 2);
    coil_forecast_return(&fit, from_s + wait_s, p->ceiling_mg_per_l, COIL_FORECAST_LEVEL,
                         BACK_MAX_DAYS, &p->back_neutralised);
}

/* ---- without a bypass ---- */

/* Rises at instants; the course from now on, water passing the heater all the time. */
static struct super_exposure expose(const struct super_plan *p,
                                    const struct coil_fit *start, const double *at_s,
                                    int count, double each_mg_per_l)
{
    static _Thread_local double times_s[WAY_POINTS];
    static _Thread_local struct coil_forecast_point points[WAY_POINTS];
    struct coil_exposure_event worst[16];
    struct coil_exposure_total total;
    struct coil_fit fit = *start;
    struct super_exposure out = {NAN, NAN, NAN};
    const struct coil_limit_span limits = {0, p->ph_low, p->ceiling_mg_per_l};
    const struct coil_exposure_input in = {
        .times_s = times_s,
        .points = points,
        .count = WAY_POINTS,
        .limits = &limits,
        .limit_count = 1,
    };
    int next = 0;

    for (int i = 0; i < WAY_POINTS; i++) {
        times_s[i] = (double)p->now_s + i * WAY_STEP_S;
        while (next < count && at_s[next] <= times_s[i])
            add_rise(&fit, fmax(at_s[next++], fit.time_s), each_mg_per_l);
        if (coil_forecast_at(&fit, times_s[i], COIL_FORECAST_LEVEL, &points[i]) !=
                COIL_OK ||
            !points[i].has_free_chlorine)
            return out;
    }
    if (coil_exposure_sum(&in, worst, 16, &total) != COIL_OK)
        return out;
    out = (struct super_exposure){0, 0, 0};
    for (int i = 0; i < COIL_EXPOSURE_CAUSE_COUNT; i++) {
        out.hours += total.cause[i].likely;
        out.weighted_h += total.cause[i].weighted;
    }
    for (size_t i = 0; i < total.event_count && i < 16; i++)
        out.worst_severity = fmax(out.worst_severity, worst[i].worst_severity);
    return out;
}

/* The next instant of an hour of the site's day. */
static double next_hour(const struct super_plan *p, int hour)
{
    struct zone *zone = NULL;
    int64_t local = p->now_s;

    if (p->site.version != 0 && zone_open(p->site.zone, &zone) == ZONE_OK) {
        local += zone_offset_s(zone, p->now_s);
        zone_close(zone);
    }
    return (double)p->now_s +
           (double)((hour * 3600 - local % 86400 + 2 * 86400) % 86400);
}

static void take_ways(struct super_plan *p, const struct coil_fit *fit)
{
    double dose = p->breakpoint.dose_mg_per_l;
    double now_s = fmax((double)p->now_s, fit->time_s);
    double noon_s = next_hour(p, 12), evening_s = next_hour(p, 20);
    double nights_s[PORTIONS];

    for (int i = 0; i < PORTIONS; i++)
        nights_s[i] = evening_s + i * DAY_S;
    p->ways[SUPER_NOW] = expose(p, fit, &now_s, 1, dose);
    p->ways[SUPER_NOON] = expose(p, fit, &noon_s, 1, dose);
    p->ways[SUPER_EVENING] = expose(p, fit, &evening_s, 1, dose);
    p->ways[SUPER_PORTIONS] = expose(p, fit, nights_s, PORTIONS, dose / PORTIONS);
    /* The heater keeps the water from before the dose, or holds none. */
    p->ways[SUPER_OTHER_PUMP] = (struct super_exposure){0, 0, 0};
    p->ways[SUPER_REMOVED] = (struct super_exposure){0, 0, 0};
    p->least = SUPER_OTHER_PUMP;
}

/* ---- all ---- */

static enum db_status read_things(struct db *db, struct super_plan *p, int64_t heater_id,
                                  int64_t water_id)
{
    enum db_status status =
        db_permit_facts(db, heater_id, water_id, p->now_s, false, &p->facts);

    if (status == DB_OK)
        status = db_heater_get(db, heater_id, &p->heater);
    if (status == DB_OK)
        status = db_water_get(db, water_id, &p->water);
    if (status == DB_OK)
        status = db_site_get(db, &p->site);
    return status;
}

static void take_back(struct super_plan *p, const struct coil_fit *fit)
{
    double from_s = fmax((double)p->now_s, fit->time_s);
    struct coil_fit after = *fit;

    /* Nothing to come down from is known, or the clock stands before the dose. */
    if ((!p->is_dosed && !p->has_plan) || p->dosed_at > p->now_s) {
        p->back.notes = coil_forecast_notes(fit, from_s);
        return;
    }
    if (!p->is_dosed)
        add_rise(&after, from_s, p->breakpoint.dose_mg_per_l);
    if (isnan(p->ceiling_mg_per_l) ||
        coil_forecast_return(&after, from_s, p->ceiling_mg_per_l, COIL_FORECAST_LEVEL,
                             BACK_MAX_DAYS, &p->back) != COIL_OK)
        return;
    take_course(p, after, from_s);
    take_neutralised(p, after, from_s, p->is_dosed ? 0 : SUPER_PUMP_H * 3600);
}

enum db_status super_plan_make(struct app *app, struct db *db, int64_t heater_id,
                               int64_t water_id, int64_t dosed_at,
                               struct super_plan *out)
{
    struct coil_fit fit;
    enum db_status status;

    memset(out, 0, sizeof *out);
    out->now_s = clock_wall_s(&app->clock);
    out->is_dosed = dosed_at != 0;
    out->dosed_at = dosed_at;
    out->neutraliser_drop_mg_per_l = NAN;
    status = read_things(db, out, heater_id, water_id);
    if (status == DB_OK)
        status = pool_fit(app, db, water_id, out->now_s, false, &fit);
    if (status != DB_OK)
        return status;
    take_values(out);
    out->has_plan = out->lacks == 0 && take_breakpoint(out);
    if (out->has_plan)
        status = take_products(db, out);
    out->ph_spent = out->has_plan ? ph_after(out) : (double)NAN;
    take_back(out, &fit);
    if (out->has_plan && out->heater.bypass == COIL_BYPASS_NONE && !out->is_dosed)
        take_ways(out, &fit);
    return status;
}
