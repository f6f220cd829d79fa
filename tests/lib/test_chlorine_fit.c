/*
 * Learning a pool: known pools are found again, bad facts do little, time and memory
 * are bounded. How honest the bands are is tested in test_forecast.c.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "lib/chlorine_filter.h"
#include "lib/chlorine_fit.h"

#define DAY_S 86400.0
#define START_S 1748736000 /* 2025-06-01 UTC */
#define FACTS_MAX 60000

static struct coil_pool_fact facts[FACTS_MAX];
static size_t fact_count;

static struct coil_fit_pool open_pool(void)
{
    return (struct coil_fit_pool){
        .place = {40,
                  -3.7,
                  {.cover_pass_fraction = 1,
                   .depth_m = 1.4,
                   .uv_attenuation_per_m = COIL_UV_ATTENUATION_PER_M}},
        .has_place = true,
        .usual_temp_c = 25};
}

static struct coil_fit fresh(struct coil_fit_pool pool)
{
    struct coil_fit fit;

    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_OK);
    return fit;
}

static void put(double at_s, enum coil_pool_fact_kind kind, double value,
                double resolution)
{
    ck_assert_uint_lt(fact_count, FACTS_MAX);
    facts[fact_count++] =
        (struct coil_pool_fact){(int64_t)at_s, kind, value, resolution, false};
}

/* ---- a pool that follows the model, with known parameters ---- */

/* Twice a day for a summer, temperature from 22 to 31 degC and back; doses to 5 mg/L.
 * every: each such reading is wrong by the factor wrong. */
static void follow_model(const struct coil_loss_parameters *truth, double resolution,
                         int every, double wrong)
{
    struct coil_fit_pool pool = open_pool();
    struct coil_loss_water water = {5, 7.5, 40, 25};

    fact_count = 0;
    put(START_S, COIL_FACT_CYANURIC_ACID, 40, 10);
    put(START_S, COIL_FACT_PH, 7.5, 0.1);
    for (int i = 0; i < 240; i++) {
        double from_s = START_S + 43200.0 * i + 7 * 3600;
        double value;

        water.water_temp_c = 26.5 - 4.5 * cos(6.2831853 * i / 240);
        put(from_s, COIL_FACT_WATER_TEMP, water.water_temp_c, 0.1);
        if (water.free_chlorine_mg_per_l < 2.5) {
            put(from_s, COIL_FACT_DOSE_CHLORINE, 5 - water.free_chlorine_mg_per_l, 0);
            water.free_chlorine_mg_per_l = 5;
        }
        ck_assert_int_ge(coil_chlorine_loss_run(&water, &pool.place, truth, from_s,
                                                from_s + 43200,
                                                &water.free_chlorine_mg_per_l),
                         COIL_OK);
        value = water.free_chlorine_mg_per_l;
        if (every > 0 && i % every == every - 1)
            value *= wrong;
        value = fmax(0.0, floor(value / resolution + 0.5) * resolution);
        put(from_s + 43200, COIL_FACT_FREE_CHLORINE, value, resolution);
    }
}

static struct coil_fit_summary learn(void)
{
    struct coil_fit fit = fresh(open_pool());
    struct coil_fit_summary summary;
    size_t refused = 1;

    coil_fit_add_all(&fit, facts, fact_count, &refused);
    ck_assert_uint_eq(refused, 0);
    coil_fit_summarise(&fit, &summary);
    return summary;
}

static const struct coil_loss_parameters truths[] = {{1.0, 0.06, 6, 0.2, 0},
                                                     {2.2, 0.05, 6, 0.1, 0},
                                                     {0.5, 0.15, 5, 0.3, 0},
                                                     {1.5, 0.03, 8, 0.5, 0}};

/* What every day loses, light and dark together, must be right; which of the two has it
 * only as far as readings can tell. */
START_TEST(a_pool_that_follows_the_model_is_found_again)
{
    const struct coil_loss_parameters *truth = &truths[_i];
    struct coil_fit_summary found;

    follow_model(truth, 0.05, 0, 0);
    found = learn();
    ck_assert_double_gt(found.sun_scale, truth->sun_scale / 1.35);
    ck_assert_double_lt(found.sun_scale, truth->sun_scale * 1.35);
    ck_assert_double_gt(found.dark_per_day_25c, truth->dark_per_day_25c / 1.8);
    ck_assert_double_lt(found.dark_per_day_25c, truth->dark_per_day_25c * 1.8);
    ck_assert_double_lt(found.sun_scale_factor, 1.5);
}
END_TEST

START_TEST(outliers_move_the_parameters_little)
{
    struct coil_fit_summary clean, dirty;

    follow_model(&truths[1], 0.1, 0, 0);
    clean = learn();
    follow_model(&truths[1], 0.1, 25, 3.0);
    dirty = learn();
    ck_assert_double_eq_tol(log(dirty.sun_scale / clean.sun_scale), 0, 0.35);
    ck_assert_double_eq_tol(log(dirty.dark_per_day_25c / clean.dark_per_day_25c), 0,
                            0.7);
}
END_TEST

/* A strip in steps of 1 mg/L still tells a strong sun from a weak one. */
START_TEST(coarse_strips_still_teach_something)
{
    struct coil_fit_summary strong, weak;

    follow_model(&truths[1], 1.0, 0, 0);
    strong = learn();
    follow_model(&truths[2], 1.0, 0, 0);
    weak = learn();
    ck_assert_double_gt(strong.sun_scale, 1.3 * weak.sun_scale);
    ck_assert_double_gt(strong.sun_scale_factor, 1.05); /* and says it is unsure */
}
END_TEST

START_TEST(undeclared_doses_move_the_parameters_little)
{
    struct coil_fit_summary clean, dirty;
    size_t kept = 0;
    int doses = 0;

    follow_model(&truths[0], 0.1, 0, 0);
    clean = learn();
    for (size_t i = 0; i < fact_count; i++)
        if (facts[i].kind != COIL_FACT_DOSE_CHLORINE || ++doses % 6 != 0)
            facts[kept++] = facts[i];
    ck_assert_uint_lt(kept, fact_count);
    fact_count = kept;
    dirty = learn();
    ck_assert_double_eq_tol(log(dirty.sun_scale / clean.sun_scale), 0, 0.4);
    ck_assert_double_eq_tol(dirty.demand_mg_per_l_day, clean.demand_mg_per_l_day, 0.25);
}
END_TEST

/* The fit's stretch in closed form against the integrator, from a known start. */
START_TEST(a_stretch_agrees_with_the_integrator)
{
    static const double hours[] = {3, 12, 24, 72};
    struct coil_loss_parameters usual = coil_loss_usual();

    for (size_t i = 0; i < 4; i++) {
        struct coil_fit fit = fresh(open_pool());
        struct coil_loss_water water = {6, 7.5, 40, 25};
        struct coil_fit_pool pool = open_pool();
        struct coil_pool_fact first[] = {
            {START_S, COIL_FACT_CYANURIC_ACID, 40, 10, false},
            {START_S, COIL_FACT_PH, 7.5, 0.01, false},
            {START_S, COIL_FACT_FREE_CHLORINE, 6, 0.01, false}};
        double after = NAN;

        coil_fit_add_all(&fit, first, 3, NULL);
        coil_fit_advance(&fit, START_S + 3600 * hours[i]);
        ck_assert_int_ge(coil_chlorine_loss_run(&water, &pool.place, &usual, START_S,
                                                START_S + 3600 * hours[i], &after),
                         COIL_OK);
        ck_assert_double_eq_tol(coil_fit_mg_per_l(coil_fit_view_chlorine(&fit).mean),
                                after, 0.02 * 6);
    }
}
END_TEST

START_TEST(indoor_water_sees_no_sun)
{
    struct coil_fit_pool indoor = open_pool();
    struct coil_fit outside = fresh(open_pool());
    struct coil_fit inside;
    struct coil_pool_fact fact = {START_S, COIL_FACT_FREE_CHLORINE, 5, 0.1, false};

    indoor.is_indoor = true;
    inside = fresh(indoor);
    coil_fit_add(&inside, &fact);
    coil_fit_add(&outside, &fact);
    coil_fit_advance(&inside, START_S + 2 * DAY_S);
    coil_fit_advance(&outside, START_S + 2 * DAY_S);
    ck_assert_double_eq(inside.chlorine.sun, 0);
    ck_assert_double_gt(outside.chlorine.sun, 0);
    ck_assert_double_gt(coil_fit_view_chlorine(&inside).mean,
                        coil_fit_view_chlorine(&outside).mean);
}
END_TEST

/* A cover, clouds and cyanuric acid reach the stretch that follows them. */
START_TEST(cover_cloud_and_cyanuric_acid_lessen_the_sun)
{
    static const struct coil_pool_fact changes[] = {
        {START_S, COIL_FACT_COVER, 0.0, 0, false},
        {START_S, COIL_FACT_CLOUD, 1.0, 0, false},
        {START_S, COIL_FACT_DOSE_CYANURIC, 60, 0, false}};
    struct coil_pool_fact fact = {START_S, COIL_FACT_FREE_CHLORINE, 5, 0.1, false};
    struct coil_fit plain = fresh(open_pool());

    coil_fit_add(&plain, &fact);
    coil_fit_advance(&plain, START_S + DAY_S);
    for (size_t i = 0; i < 3; i++) {
        struct coil_fit other = fresh(open_pool());

        coil_fit_add(&other, &fact);
        ck_assert_int_eq(coil_fit_add(&other, &changes[i]), COIL_OK);
        coil_fit_advance(&other, START_S + DAY_S);
        ck_assert_double_lt(other.chlorine.sun, 0.7 * plain.chlorine.sun);
    }
}
END_TEST

START_TEST(doses_bathers_and_fill_water_move_chlorine_at_once)
{
    struct coil_fit fit = fresh(open_pool());
    struct coil_pool_fact fact = {START_S, COIL_FACT_FREE_CHLORINE, 4, 0.01, false};

    coil_fit_add(&fit, &fact);
    fact.kind = COIL_FACT_DOSE_CHLORINE;
    fact.value = 6;
    coil_fit_add(&fit, &fact);
    ck_assert_double_eq_tol(coil_fit_mg_per_l(coil_fit_view_chlorine(&fit).mean), 10,
                            1e-9);
    fact.value = -3;
    coil_fit_add(&fit, &fact);
    fact.kind = COIL_FACT_BATHERS;
    fact.value = 1;
    coil_fit_add(&fit, &fact);
    ck_assert_double_eq_tol(coil_fit_mg_per_l(coil_fit_view_chlorine(&fit).mean), 6,
                            1e-9);
    fact.kind = COIL_FACT_FILL;
    fact.value = 0.5;
    coil_fit_add(&fit, &fact);
    ck_assert_double_eq_tol(coil_fit_mg_per_l(coil_fit_view_chlorine(&fit).mean), 3,
                            1e-9);
    fact.kind = COIL_FACT_BATHERS;
    fact.value = 100;
    coil_fit_add(&fit, &fact);
    ck_assert_double_eq_tol(coil_fit_mg_per_l(coil_fit_view_chlorine(&fit).mean), 0,
                            1e-9);
}
END_TEST

/* pH that drifts from 7.2 to 8.0 at 0.1 of the way a day, reset by acid. */
START_TEST(the_drift_of_ph_is_found)
{
    struct coil_fit fit = fresh(open_pool());
    struct coil_fit_summary summary;
    double ph = 7.2;

    fact_count = 0;
    for (int day = 0; day < 120; day++) {
        put(START_S + DAY_S * day, COIL_FACT_PH, ph, 0.05);
        if (ph > 7.7) {
            put(START_S + DAY_S * day + 60, COIL_FACT_DOSE_PH, 7.2 - ph, 0);
            ph = 7.2;
        }
        ph = 8.0 + (ph - 8.0) * exp(-0.1);
    }
    coil_fit_add_all(&fit, facts, fact_count, NULL);
    coil_fit_summarise(&fit, &summary);
    ck_assert_double_eq_tol(summary.ph_drift_end, 8.0, 0.15);
    ck_assert_double_eq_tol(summary.ph_drift_per_day,
                            0.1 * (8.0 - fit.ph.x[COIL_FIT_P]), 0.02);
}
END_TEST

/* ---- slopes of the filters against differences ---- */

static struct coil_fit_chlorine some_track(double demand)
{
    return (struct coil_fit_chlorine){
        .x = {log(4.5), log(1.3), log(0.1), log(5), demand},
        .sun = 0.3,
        .days = 1.5,
        .temp_days = 1.5 * 29};
}

/* With uncertainty in one state alone, its covariance with chlorine after the stretch
 * is the slope times its variance. */
START_TEST(slopes_of_chlorine_are_those_of_its_stretch)
{
    static const double demands[] = {0.4, -0.6};
    const double e = 1e-4;

    for (int d = 0; d < 2; d++) {
        for (int i = 1; i < COIL_FIT_CHLORINE_STATES; i++) {
            struct coil_fit_chlorine up = some_track(demands[d]);
            struct coil_fit_chlorine down = up;
            struct coil_fit_chlorine track = up;

            up.x[i] += e;
            down.x[i] -= e;
            track.p[i][i] = 0.01;
            coil_filter_chlorine_close(&up, 0);
            coil_filter_chlorine_close(&down, 0);
            coil_filter_chlorine_close(&track, 0);
            ck_assert_double_eq_tol(track.p[0][i] / 0.01,
                                    (up.x[0] - down.x[0]) / (2 * e), 0.01);
            ck_assert_double_gt(fabs(track.p[0][i]), 1e-6);
        }
    }
}
END_TEST

START_TEST(slopes_of_ph_are_those_of_its_stretch)
{
    const double e = 1e-4;

    for (int i = 1; i < COIL_FIT_PH_STATES; i++) {
        struct coil_fit_ph up = {.x = {7.3, 8.0, log(0.1)}, .days = 4};
        struct coil_fit_ph down = up;
        struct coil_fit_ph track = up;

        up.x[i] += e;
        down.x[i] -= e;
        track.p[i][i] = 0.01;
        coil_filter_ph_close(&up, 0);
        coil_filter_ph_close(&down, 0);
        coil_filter_ph_close(&track, 0);
        ck_assert_double_eq_tol(track.p[0][i] / 0.01, (up.x[0] - down.x[0]) / (2 * e),
                                1e-4);
    }
}
END_TEST

/* ---- facts that do not count ---- */

START_TEST(a_doubtful_reading_changes_nothing_but_time)
{
    struct coil_fit fit = fresh(open_pool());
    struct coil_fit before;
    struct coil_pool_fact fact = {START_S, COIL_FACT_FREE_CHLORINE, 5, 0.1, false};
    struct coil_pool_fact bleached = {START_S, COIL_FACT_FREE_CHLORINE, 0, 0.1, true};

    coil_fit_add(&fit, &fact);
    before = fit;
    ck_assert_int_eq(coil_fit_add(&fit, &bleached), COIL_OK);
    ck_assert_int_eq(fit.basis.skipped, 1);
    ck_assert_mem_eq(&fit.chlorine, &before.chlorine, sizeof fit.chlorine);
    ck_assert_int_eq(fit.basis.chlorine_readings, 1);
}
END_TEST

START_TEST(a_probe_that_reports_every_minute_is_one_reading)
{
    struct coil_fit fit = fresh(open_pool());

    for (int i = 0; i < 40; i++) {
        struct coil_pool_fact fact = {START_S + 60 * i, COIL_FACT_FREE_CHLORINE, 4,
                                      0.05, false};

        ck_assert_int_eq(coil_fit_add(&fit, &fact), COIL_OK);
    }
    ck_assert_int_eq(fit.basis.chlorine_readings, 1);
    ck_assert_int_eq(fit.basis.skipped, 39);
}
END_TEST

START_TEST(a_dose_of_unknown_size_leaves_the_state_open_until_the_next_reading)
{
    struct coil_fit fit = fresh(open_pool());
    struct coil_pool_fact fact = {START_S, COIL_FACT_FREE_CHLORINE, 3, 0.1, false};
    double sd;

    coil_fit_add(&fit, &fact);
    sd = coil_fit_view_chlorine(&fit).sd;
    fact.kind = COIL_FACT_DOSE_CHLORINE;
    fact.value = NAN;
    ck_assert_int_eq(coil_fit_add(&fit, &fact), COIL_OK);
    ck_assert(fit.basis.chlorine_dose_unknown);
    ck_assert_double_gt(coil_fit_view_chlorine(&fit).sd, 4 * sd);
    fact = (struct coil_pool_fact){START_S + 3600, COIL_FACT_FREE_CHLORINE, 11, 0.1,
                                   false};
    coil_fit_add(&fit, &fact);
    ck_assert(!fit.basis.chlorine_dose_unknown);
    ck_assert(!fit.basis.chlorine_in_doubt);
    ck_assert_double_eq_tol(coil_fit_mg_per_l(coil_fit_view_chlorine(&fit).mean), 11,
                            0.01);
}
END_TEST

/* A rise that no dose explains: followed, doubted, and counted. */
START_TEST(a_reading_that_rises_without_a_dose_is_followed_and_doubted)
{
    struct coil_fit fit = fresh(open_pool());

    for (int day = 0; day < 10; day++) {
        struct coil_pool_fact fact = {START_S + 86400 * day, COIL_FACT_FREE_CHLORINE,
                                      3 - 0.1 * day, 0.1, false};

        coil_fit_add(&fit, &fact);
    }
    ck_assert(!fit.basis.chlorine_in_doubt);
    struct coil_pool_fact jump = {START_S + 864000, COIL_FACT_FREE_CHLORINE, 14, 0.1,
                                  false};
    coil_fit_add(&fit, &jump);
    ck_assert(fit.basis.chlorine_in_doubt);
    ck_assert_int_eq(fit.basis.rises_without_dose, 1);
    ck_assert_double_gt(coil_fit_mg_per_l(coil_fit_view_chlorine(&fit).mean), 6);
    /* the band reaches the reading */
    ck_assert_double_gt(coil_fit_view_chlorine(&fit).mean +
                            2.8 * coil_fit_view_chlorine(&fit).sd,
                        coil_fit_scale(14));
}
END_TEST

static const struct {
    struct coil_pool_fact fact;
    enum coil_status status;
} refused[] = {
    {{START_S - 1, COIL_FACT_FREE_CHLORINE, 3, 0.1, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_FREE_CHLORINE, NAN, 0.1, false}, COIL_ERR_NOT_FINITE},
    {{START_S + 1, COIL_FACT_FREE_CHLORINE, 3, NAN, false}, COIL_ERR_NOT_FINITE},
    {{START_S + 1, COIL_FACT_FREE_CHLORINE, 3, 0, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_FREE_CHLORINE, -1, 0.1, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_FREE_CHLORINE, 501, 0.1, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_PH, 0.5, 0.1, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_PH, INFINITY, 0.1, false}, COIL_ERR_NOT_FINITE},
    {{START_S + 1, COIL_FACT_DOSE_CHLORINE, INFINITY, 0, false}, COIL_ERR_NOT_FINITE},
    {{START_S + 1, COIL_FACT_DOSE_CHLORINE, 501, 0, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_DOSE_CYANURIC, NAN, 0, false}, COIL_ERR_NOT_FINITE},
    {{START_S + 1, COIL_FACT_BATHERS, -1, 0, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_CLOUD, 1.1, 0, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_COVER, -0.1, 0, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_FILL, 1.1, 0, false}, COIL_ERR_DOMAIN},
    {{START_S + 1, COIL_FACT_KIND_COUNT, 1, 1, false}, COIL_ERR_UNKNOWN},
};

#define REFUSED_COUNT ((int)(sizeof refused / sizeof refused[0]))

START_TEST(a_refused_fact_leaves_the_fit_untouched)
{
    static struct coil_fit fit, before;
    struct coil_pool_fact first = {START_S, COIL_FACT_FREE_CHLORINE, 3, 0.1, false};
    struct coil_fit_pool pool = open_pool();

    memset(&fit, 0, sizeof fit);
    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_OK);
    coil_fit_add(&fit, &first);
    memcpy(&before, &fit, sizeof fit);
    ck_assert_int_eq(coil_fit_add(&fit, &refused[_i].fact), refused[_i].status);
    ck_assert_mem_eq(&fit, &before, sizeof fit);
}
END_TEST

START_TEST(a_pool_that_cannot_be_is_refused)
{
    struct coil_fit fit;
    struct coil_fit_pool pool = open_pool();

    pool.place.lat_deg = 91;
    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_ERR_DOMAIN);
    pool.has_place = false; /* then nobody looks at it */
    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_OK);
    pool = open_pool();
    pool.place.lon_deg_east = NAN;
    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_ERR_NOT_FINITE);
    pool = open_pool();
    pool.place.light.cloud_fraction = 2;
    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_ERR_DOMAIN);
    pool = open_pool();
    pool.usual_temp_c = 99;
    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_ERR_DOMAIN);
    pool = open_pool();
    pool.place.light.depth_m = NAN; /* not known: the usual one */
    pool.usual_temp_c = NAN;
    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_OK);
    ck_assert_double_eq(fit.pool.place.light.depth_m, COIL_DEPTH_USUAL_M);
    ck_assert_double_eq(fit.water_temp_c, 25);
}
END_TEST

/* ---- bounds ---- */

static int is_instrumented(void)
{
#if !defined(__OPTIMIZE__) || defined(__SANITIZE_ADDRESS__)
    return 1;
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(memory_sanitizer)
    return 1;
#else
    return 0;
#endif
#else
    return 0;
#endif
}

/* Ten years, twice a day, every kind of fact, in less than 50 ms of processor time; the
 * best of seven runs, for a busy machine. Builds without optimisation or with
 * sanitizers only check that all is taken. */
START_TEST(ten_years_of_readings_are_learnt_in_fifty_milliseconds)
{
    double best_s = INFINITY;

    fact_count = 0;
    for (int i = 0; i < 2 * 3653; i++) {
        double at_s = START_S + 43200.0 * i;

        put(at_s, COIL_FACT_WATER_TEMP, 24 + 4 * sin(i / 116.0), 0.5);
        put(at_s, COIL_FACT_FREE_CHLORINE, 2 + 0.3 * (i % 7), 0.2);
        put(at_s, COIL_FACT_PH, 7.3 + 0.05 * (i % 6), 0.1);
        put(at_s + 600, COIL_FACT_DOSE_CHLORINE, 0.8, 0);
    }
    for (int run = 0; run < 7; run++) {
        struct coil_fit fit = fresh(open_pool());
        clock_t start = clock();
        size_t left_out = 1;
        double took_s;

        coil_fit_add_all(&fit, facts, fact_count, &left_out);
        took_s = (double)(clock() - start) / CLOCKS_PER_SEC;
        ck_assert_uint_eq(left_out, 0);
        ck_assert_int_eq(fit.basis.chlorine_readings, 2 * 3653);
        best_s = fmin(best_s, took_s);
    }
    if (!is_instrumented())
        ck_assert_double_lt(best_s, 0.050);
}
END_TEST

START_TEST(a_fit_takes_no_more_than_sixteen_kilobytes)
{
    ck_assert_uint_le(sizeof(struct coil_fit), 16384);
}
END_TEST

/* Months without a fact, and values at every edge, leave finite numbers. */
START_TEST(strange_histories_leave_finite_numbers)
{
    struct coil_fit fit = fresh(open_pool());
    struct coil_fit_summary summary;
    static const double edges[] = {0, 500, 0, 0.1, 500, 3};

    for (int i = 0; i < 60; i++) {
        struct coil_pool_fact chlorine = {START_S + (int64_t)i * 40 * 86400,
                                          COIL_FACT_FREE_CHLORINE, edges[i % 6], 1.0,
                                          false};
        struct coil_pool_fact ph = {chlorine.at_s, COIL_FACT_PH, i % 2 ? 1 : 13, 0.1,
                                    false};
        struct coil_pool_fact cyanuric = {chlorine.at_s, COIL_FACT_CYANURIC_ACID,
                                          i % 3 * 500, 10, false};

        ck_assert_int_eq(coil_fit_add(&fit, &cyanuric), COIL_OK);
        ck_assert_int_eq(coil_fit_add(&fit, &ph), COIL_OK);
        ck_assert_int_eq(coil_fit_add(&fit, &chlorine), COIL_OK);
        ck_assert(isfinite(coil_fit_view_chlorine(&fit).mean));
        ck_assert(isfinite(coil_fit_view_chlorine(&fit).sd));
        ck_assert(isfinite(coil_fit_view_ph(&fit).sd));
    }
    coil_fit_summarise(&fit, &summary);
    ck_assert(isfinite(summary.sun_scale) && isfinite(summary.demand_mg_per_l_day));
}
END_TEST

/* ---- the memory of errors ---- */

START_TEST(quantiles_of_few_errors_are_those_taken_for_granted)
{
    struct coil_band_memory memory = {0};

    ck_assert_double_eq_tol(coil_band_quantile(&memory, 0.5), 0, 1e-9);
    /* Student's t with 4 degrees at 0.95: 2.132; the coarse list lies near it */
    ck_assert_double_eq_tol(coil_band_quantile(&memory, 0.95), 2.132, 0.2);
    ck_assert_double_eq_tol(coil_band_quantile(&memory, 0.05),
                            -coil_band_quantile(&memory, 0.95), 1e-9);
}
END_TEST

/* 96 errors spread evenly over -6 to 6 outweigh the ten assumed ones. */
START_TEST(quantiles_follow_the_errors_made)
{
    struct coil_band_memory memory = {0};

    for (int round = 0; round < 3; round++)
        for (int i = 0; i < COIL_BAND_MEMORY; i++)
            coil_band_remember(&memory, -6 + 12.0 *
                                                 ((i * 37) % COIL_BAND_MEMORY + 0.5) /
                                                 COIL_BAND_MEMORY);
    ck_assert_int_eq(memory.count, COIL_BAND_MEMORY);
    ck_assert_double_eq_tol(coil_band_quantile(&memory, 0.95), 5.4, 0.25);
    ck_assert_double_eq_tol(coil_band_quantile(&memory, 0.05), -5.4, 0.25);
    ck_assert_double_eq_tol(coil_band_quantile(&memory, 0.5), 0, 0.15);
    for (int i = 0; i < 20; i++)
        ck_assert_double_le(coil_band_quantile(&memory, i / 20.0),
                            coil_band_quantile(&memory, (i + 1) / 20.0));
}
END_TEST

START_TEST(the_oldest_error_is_forgotten_and_nonsense_is_not_kept)
{
    struct coil_band_memory memory = {0};

    coil_band_remember(&memory, NAN);
    ck_assert_int_eq(memory.count, 0);
    coil_band_remember(&memory, 1e9);
    ck_assert_double_le((double)memory.sorted[0], 50);
    for (int i = 0; i < COIL_BAND_MEMORY; i++)
        coil_band_remember(&memory, 0.25);
    ck_assert_double_eq((double)memory.sorted[COIL_BAND_MEMORY - 1], 0.25);
    for (int i = 1; i < COIL_BAND_MEMORY; i++)
        ck_assert_double_le((double)memory.sorted[i - 1], (double)memory.sorted[i]);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("chlorine_fit");
    TCase *tcase = tcase_create("chlorine_fit");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 120);
    tcase_add_loop_test(tcase, a_pool_that_follows_the_model_is_found_again, 0, 4);
    tcase_add_test(tcase, outliers_move_the_parameters_little);
    tcase_add_test(tcase, coarse_strips_still_teach_something);
    tcase_add_test(tcase, undeclared_doses_move_the_parameters_little);
    tcase_add_test(tcase, a_stretch_agrees_with_the_integrator);
    tcase_add_test(tcase, indoor_water_sees_no_sun);
    tcase_add_test(tcase, cover_cloud_and_cyanuric_acid_lessen_the_sun);
    tcase_add_test(tcase, doses_bathers_and_fill_water_move_chlorine_at_once);
    tcase_add_test(tcase, the_drift_of_ph_is_found);
    tcase_add_test(tcase, slopes_of_chlorine_are_those_of_its_stretch);
    tcase_add_test(tcase, slopes_of_ph_are_those_of_its_stretch);
    tcase_add_test(tcase, a_doubtful_reading_changes_nothing_but_time);
    tcase_add_test(tcase, a_probe_that_reports_every_minute_is_one_reading);
    tcase_add_test(tcase,
                   a_dose_of_unknown_size_leaves_the_state_open_until_the_next_reading);
    tcase_add_test(tcase, a_reading_that_rises_without_a_dose_is_followed_and_doubted);
    tcase_add_loop_test(tcase, a_refused_fact_leaves_the_fit_untouched, 0,
                        REFUSED_COUNT);
    tcase_add_test(tcase, a_pool_that_cannot_be_is_refused);
    tcase_add_test(tcase, ten_years_of_readings_are_learnt_in_fifty_milliseconds);
    tcase_add_test(tcase, a_fit_takes_no_more_than_sixteen_kilobytes);
    tcase_add_test(tcase, strange_histories_leave_finite_numbers);
    tcase_add_test(tcase, quantiles_of_few_errors_are_those_taken_for_granted);
    tcase_add_test(tcase, quantiles_follow_the_errors_made);
    tcase_add_test(tcase, the_oldest_error_is_forgotten_and_nonsense_is_not_kept);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
