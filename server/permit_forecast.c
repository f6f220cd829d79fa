#include "permit_forecast.h"

#include <math.h>
#include <pthread.h>
#include <string.h>

#include "lib/forecast.h"
#include "pool_facts.h"

#define STEP_S 1800.0
#define BACK_MAX_DAYS 14.0
/* Of pH or chlorine, before its forecast counts for more than the fixed times. A
 * convention; lib/forecast.c has the same for chlorine. */
#define READINGS_MIN 5

static double limit_of(const struct coil_permit_facts *facts, enum coil_limit_name name)
{
    return facts->limits[name].is_set ? facts->limits[name].value : (double)NAN;
}

static bool tests_chlorine(const struct coil_permit_facts *facts)
{
    return facts->sanitiser == COIL_CHLORINE || facts->sanitiser == COIL_SALT_CHLORINE;
}

/* From the last fact on: a band that has touched since must not be missed. A last test far
 * from what was expected leaves nothing to foresee from: touched at once. */
static int64_t touches_at(const struct coil_fit *fit, const struct coil_walls *walls,
                          bool is_in_doubt)
{
    struct coil_wall_touch touch;

    if (!fit->has_time ||
        coil_forecast_wall(fit, fit->time_s, walls, COIL_FORECAST_LEVEL,
                           COIL_FORECAST_WALL_MAX_DAYS, &touch) != COIL_OK)
        return 0;
    if (is_in_doubt)
        return (int64_t)fit->time_s;
    return touch.can_say ? (int64_t)touch.at_s : 0;
}

/* ---- kept while nothing changes ---- */

struct touches {
    uint64_t run_id, changes;
    int64_t water_id;
    double time_s; /* of the fit's last fact */
    double walls[3];
    int64_t ph_s, chlorine_s;
};

#define KEPT_COUNT 8

static struct touches kept[KEPT_COUNT];
static size_t next_kept;
static pthread_mutex_t kept_lock = PTHREAD_MUTEX_INITIALIZER;

static bool same_walls(const double a[3], const double b[3])
{
    for (int i = 0; i < 3; i++)
        if (!(a[i] == b[i] || (isnan(a[i]) && isnan(b[i]))))
            return false;
    return true;
}

static bool find_kept(struct touches *wanted)
{
    bool is_found = false;

    pthread_mutex_lock(&kept_lock);
    for (size_t i = 0; i < KEPT_COUNT && !is_found; i++) {
        const struct touches *k = &kept[i];

        is_found = k->water_id == wanted->water_id && k->run_id == wanted->run_id &&
                   k->changes == wanted->changes && k->time_s == wanted->time_s &&
                   same_walls(k->walls, wanted->walls);
        if (is_found)
            *wanted = *k;
    }
    pthread_mutex_unlock(&kept_lock);
    return is_found;
}

static void keep(const struct touches *found)
{
    pthread_mutex_lock(&kept_lock);
    kept[next_kept] = *found;
    next_kept = (next_kept + 1) % KEPT_COUNT;
    pthread_mutex_unlock(&kept_lock);
}

static void compute(const struct coil_fit *fit, struct touches *t)
{
    const struct coil_walls ph = {t->walls[0], t->walls[1], NAN};
    const struct coil_walls chlorine = {NAN, NAN, t->walls[2]};

    if (fit->basis.ph_readings >= READINGS_MIN &&
        !(isnan(ph.ph_low) && isnan(ph.ph_high)))
        t->ph_s = touches_at(fit, &ph, fit->basis.ph_in_doubt);
    if (fit->basis.chlorine_readings >= READINGS_MIN &&
        !isnan(chlorine.free_chlorine_high_mg_per_l))
        t->chlorine_s = touches_at(fit, &chlorine, fit->basis.chlorine_in_doubt);
}

enum db_status permit_forecast_add(struct app *app, struct db *db, int64_t water_id,
                                   bool by_recorded, struct coil_permit_facts *facts)
{
    struct touches t = {.run_id = app->run_id,
                        .changes = atomic_load(&app->changes),
                        .water_id = water_id,
                        .walls = {limit_of(facts, COIL_LIMIT_PH_LOW),
                                  limit_of(facts, COIL_LIMIT_PH_HIGH),
                                  limit_of(facts, COIL_LIMIT_FREE_CHLORINE_HIGH)}};
    struct coil_fit fit;
    enum db_status status;

    if (facts->winter_closed)
        return DB_OK;
    status = pool_fit(app, db, water_id, facts->now_s, by_recorded, &fit);
    if (status != DB_OK)
        return status;
    t.time_s = fit.time_s;
    if (by_recorded || !find_kept(&t)) {
        compute(&fit, &t);
        if (!by_recorded)
            keep(&t);
    }
    facts->ph_touches_at_s = t.ph_s;
    facts->sanitiser_touches_at_s = tests_chlorine(facts) ? t.chlorine_s : 0;
    return DB_OK;
}

/* ---- the way back ---- */

static bool speaks(const struct coil_verdict *verdict, const char *rule)
{
    for (size_t i = 0; i < verdict->finding_count; i++)
        if (strcmp(verdict->findings[i].rule, rule) == 0)
            return true;
    return false;
}

/* When pH has drifted up to the wall: by its upper edge first, by its lower one last. */
static bool ph_back(const struct coil_fit *fit, double from_s, double wall,
                    double *out_earliest, double *out_latest)
{
    struct coil_fit at = *fit;
    double earliest = NAN, latest = NAN;

    for (double time_s = from_s;
         time_s <= from_s + BACK_MAX_DAYS * 86400.0 && isnan(latest); time_s += STEP_S) {
        struct coil_forecast_point point;

        if (coil_forecast_at(&at, time_s, COIL_FORECAST_LEVEL, &point) != COIL_OK ||
            !point.has_ph)
            return false;
        if (isnan(earliest) && point.ph.high >= wall)
            earliest = time_s;
        if (point.ph.low >= wall)
            latest = time_s;
    }
    *out_earliest = earliest;
    *out_latest = latest;
    return !isnan(latest);
}

static bool is_dosed(const struct coil_permit_facts *facts)
{
    for (size_t i = 0; i < facts->dose_count; i++)
        if (facts->doses[i].super_chlorination &&
            facts->doses[i].at_s >= facts->plan_started_at_s)
            return true;
    return false;
}

bool permit_waits_for_water(const struct coil_permit_facts *facts,
                            const struct coil_verdict *verdict)
{
    return speaks(verdict, "free_chlorine_high") || speaks(verdict, "ph_low") ||
           (speaks(verdict, "plan_running") && is_dosed(facts));
}

bool permit_forecast_back(struct app *app, struct db *db, int64_t water_id,
                          bool by_recorded, const struct coil_permit_facts *facts,
                          const struct coil_verdict *verdict, int64_t *out_earliest,
                          int64_t *out_latest)
{
    bool is_high = speaks(verdict, "free_chlorine_high");
    /* Dosed and not tested since: only the forecast knows that chlorine is high. */
    bool by_chlorine = is_high || (speaks(verdict, "plan_running") &&
                                   !isnan(limit_of(facts, COIL_LIMIT_FREE_CHLORINE_HIGH)));
    bool by_ph = speaks(verdict, "ph_low");
    double from_s = (double)facts->now_s, earliest = from_s, latest = from_s;
    struct coil_return_times times;
    struct coil_fit fit;
    double early, late;

    if ((!by_chlorine && !by_ph) ||
        pool_fit(app, db, water_id, facts->now_s, by_recorded, &fit) != DB_OK)
        return false;
    if (by_chlorine) {
        if (coil_forecast_return(&fit, from_s,
                                 limit_of(facts, COIL_LIMIT_FREE_CHLORINE_HIGH),
                                 COIL_FORECAST_LEVEL, BACK_MAX_DAYS, &times) != COIL_OK ||
            !times.can_say || isnan(times.earliest_s) || isnan(times.latest_s))
            return false;
        if (!is_high && times.likely_s <= from_s)
            return false; /* not dosed yet: the plan alone does not say when */
        earliest = times.earliest_s;
        latest = times.latest_s;
    }
    if (by_ph) {
        if (fit.basis.ph_readings < READINGS_MIN ||
            !ph_back(&fit, from_s, limit_of(facts, COIL_LIMIT_PH_LOW), &early, &late))
            return false;
        earliest = fmax(earliest, early);
        latest = fmax(latest, late);
    }
    *out_earliest = (int64_t)earliest;
    *out_latest = (int64_t)latest;
    return true;
}
