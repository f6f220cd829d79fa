/*
 * Forecasts: what each missing fact does, walls, the way down after super-chlorination,
 * the course for exposure. How often the band holds is tested in test_calibration.c.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/forecast.h"
#include "tests/lib/pool_sim.h"

#define DAY_S 86400.0
#define START_S 1748736000.0 /* 2025-06-01 00:00 UTC */
#define DECEMBER_S 1764547200.0
#define FACTS_MAX 6000
#define LEVEL COIL_FORECAST_LEVEL

/* ---- a pool with a short, plain history ---- */

static struct coil_fit_pool pool_at(double lat_deg)
{
    return (struct coil_fit_pool){
        .place = {lat_deg,
                  0,
                  {.cover_pass_fraction = 1,
                   .depth_m = 1.4,
                   .cloud_fraction = 0.2,
                   .uv_attenuation_per_m = COIL_UV_ATTENUATION_PER_M}},
        .has_place = true,
        .usual_temp_c = 26};
}

static void add(struct coil_fit *fit, double at_s, enum coil_pool_fact_kind kind,
                double value, double resolution)
{
    struct coil_pool_fact fact = {(int64_t)at_s, kind, value, resolution, false};

    ck_assert_int_eq(coil_fit_add(fit, &fact), COIL_OK);
}

/* Twenty days of daily tests at noon of a pool that loses the given share a day and is
 * dosed back to 3 mg/L each time; pH steady at 7.5. cyanuric below 0: never tested. */
static struct coil_fit history(struct coil_fit_pool pool, double start_s,
                               double cyanuric, double keeps, double resolution)
{
    struct coil_fit fit;

    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_OK);
    if (cyanuric >= 0)
        add(&fit, start_s, COIL_FACT_CYANURIC_ACID, cyanuric, 10);
    for (int day = 0; day < 20; day++) {
        double at_s = start_s + (day + 0.5) * DAY_S;

        add(&fit, at_s, COIL_FACT_PH, 7.5, 0.1);
        add(&fit, at_s, COIL_FACT_FREE_CHLORINE, day == 0 ? 3 : 3 * keeps, resolution);
        if (day > 0)
            add(&fit, at_s + 600, COIL_FACT_DOSE_CHLORINE, 3 - 3 * keeps, 0);
    }
    return fit;
}

static struct coil_fit stabilised(void)
{
    return history(pool_at(40), START_S, 50, 0.85, 0.2);
}

static double end_of(const struct coil_fit *fit)
{
    return fit->time_s;
}

static struct coil_forecast_point look(const struct coil_fit *fit, double days)
{
    struct coil_fit ahead = *fit;
    struct coil_forecast_point point;

    ck_assert_int_eq(
        coil_forecast_at(&ahead, end_of(fit) + days * DAY_S, LEVEL, &point), COIL_OK);
    return point;
}

START_TEST(chlorine_falls_and_its_band_widens_in_relation)
{
    struct coil_fit fit = stabilised();
    double likely = INFINITY;
    double ratio = 0;

    for (int day = 1; day <= 10; day++) {
        struct coil_band band = look(&fit, day).free_chlorine_mg_per_l;

        ck_assert_double_ge(band.low, 0);
        ck_assert_double_lt(band.likely, likely);
        ck_assert_double_gt((band.high + 0.5) / (band.low + 0.5), ratio);
        likely = band.likely;
        ratio = (band.high + 0.5) / (band.low + 0.5);
    }
}
END_TEST

/* The pool had kept 85 % a day. */
START_TEST(a_pool_is_forecast_as_it_was)
{
    struct coil_fit fit = stabilised();

    ck_assert_double_eq_tol(look(&fit, 1).free_chlorine_mg_per_l.likely, 2.55, 0.15);
    ck_assert_double_eq_tol(look(&fit, 1).ph.likely, 7.5, 0.05);
}
END_TEST

START_TEST(a_finer_test_gives_a_narrower_band)
{
    struct coil_fit fine = history(pool_at(40), START_S, 50, 0.85, 0.05);
    struct coil_fit coarse = history(pool_at(40), START_S, 50, 0.85, 1.0);
    struct coil_band a = look(&fine, 1).free_chlorine_mg_per_l;
    struct coil_band b = look(&coarse, 1).free_chlorine_mg_per_l;

    ck_assert_double_lt(a.high - a.low, b.high - b.low);
}
END_TEST

START_TEST(a_higher_level_gives_a_wider_band)
{
    struct coil_fit fit = stabilised();
    double width = 0;

    for (double level = 0.5; level < 0.98; level += 0.1) {
        struct coil_fit ahead = fit;
        struct coil_forecast_point point;

        coil_forecast_at(&ahead, end_of(&fit) + DAY_S, level, &point);
        ck_assert_double_gt(point.free_chlorine_mg_per_l.high -
                                point.free_chlorine_mg_per_l.low,
                            width);
        width = point.free_chlorine_mg_per_l.high - point.free_chlorine_mg_per_l.low;
    }
}
END_TEST

/* Facts after the instant that is asked for cannot matter: there is no way in. The same
 * prefix gives the same forecast, bit for bit. */
START_TEST(a_forecast_is_a_function_of_the_facts_before_it)
{
    static struct coil_pool_fact facts[FACTS_MAX];
    struct sim_log log = {.facts = facts, .capacity = FACTS_MAX};
    struct coil_fit a, b;
    struct coil_forecast_point pa, pb;
    double ask_s;

    sim_pool_run(77, SIM_BY_HAND, START_S, 240, &log);
    coil_fit_init(&a, &log.pool);
    coil_fit_init(&b, &log.pool);
    coil_fit_add_all(&a, facts, log.count / 2, NULL);
    coil_fit_add_all(&b, facts, log.count / 2, NULL);
    ask_s = end_of(&a) + 3 * DAY_S;
    coil_forecast_at(&a, ask_s, LEVEL, &pa);
    coil_forecast_at(&b, ask_s, LEVEL, &pb);
    ck_assert_double_eq(pa.free_chlorine_mg_per_l.high, pb.free_chlorine_mg_per_l.high);
    ck_assert_double_eq(pa.ph.low, pb.ph.low);
}
END_TEST

START_TEST(zero_chlorine_stays_possible_and_finite)
{
    struct coil_fit fit = stabilised();
    struct coil_band band;

    add(&fit, end_of(&fit) + 3600, COIL_FACT_FREE_CHLORINE, 0, 0.2);
    band = look(&fit, 2).free_chlorine_mg_per_l;
    ck_assert_double_eq(band.low, 0);
    ck_assert(isfinite(band.high));
}
END_TEST

/* ---- what is missing ---- */

START_TEST(nothing_read_says_nothing)
{
    struct coil_fit fit;
    struct coil_fit_pool pool = pool_at(40);
    struct coil_forecast_point point;
    struct coil_wall_touch touch;
    struct coil_return_times times;
    struct coil_walls walls = {7.2, NAN, 5};

    ck_assert_int_eq(coil_fit_init(&fit, &pool), COIL_OK);
    coil_fit_advance(&fit, START_S);
    point = look(&fit, 1);
    ck_assert(!point.has_free_chlorine && !point.has_ph);
    ck_assert_uint_ne(coil_forecast_notes(&fit, START_S) & COIL_NOTE_NO_READING, 0);
    ck_assert_int_eq(coil_forecast_wall(&fit, START_S, &walls, LEVEL, 14, &touch),
                     COIL_OK);
    ck_assert(!touch.can_say);
    ck_assert_int_eq(coil_forecast_return(&fit, START_S, 5, LEVEL, 30, &times),
                     COIL_OK);
    ck_assert(!times.can_say);
    ck_assert_double_nan(times.likely_s);
    ck_assert_double_nan(coil_forecast_coverage_chlorine(&fit).fraction);
}
END_TEST

/* No volume: what a dose did is not known. */
START_TEST(a_dose_of_unknown_size_says_test_first)
{
    struct coil_fit fit = stabilised();
    struct coil_return_times times;
    struct coil_wall_touch touch;
    struct coil_walls walls = {NAN, NAN, 5};

    add(&fit, end_of(&fit) + 600, COIL_FACT_DOSE_CHLORINE, NAN, 0);
    ck_assert(!look(&fit, 1).has_free_chlorine);
    ck_assert(look(&fit, 1).has_ph);
    coil_forecast_return(&fit, end_of(&fit), 5, LEVEL, 30, &times);
    ck_assert(!times.can_say);
    ck_assert_uint_ne(times.notes & COIL_NOTE_UNKNOWN_DOSE, 0);
    coil_forecast_wall(&fit, end_of(&fit), &walls, LEVEL, 14, &touch);
    ck_assert(!touch.can_say);
    add(&fit, end_of(&fit) + 7200, COIL_FACT_FREE_CHLORINE, 9, 0.2);
    coil_forecast_return(&fit, end_of(&fit), 5, LEVEL, 30, &times);
    ck_assert(times.can_say);
}
END_TEST

START_TEST(the_last_test_long_ago_says_nothing)
{
    struct coil_fit fit = stabilised();

    ck_assert(look(&fit, 29).has_free_chlorine);
    ck_assert(!look(&fit, 31).has_free_chlorine);
    ck_assert(!look(&fit, 31).has_ph);
    ck_assert_uint_ne(
        coil_forecast_notes(&fit, end_of(&fit) + 31 * DAY_S) & COIL_NOTE_TOO_LATE, 0);
}
END_TEST

/* A first reading, with and without a test of cyanuric acid: the band is wider without,
 * because the sun may take anything. */
START_TEST(without_cyanuric_acid_the_band_is_wider)
{
    struct coil_fit_pool with = pool_at(40);
    struct coil_fit known, unknown;
    struct coil_band a, b;

    with.no_cyanuric_acid = false;
    coil_fit_init(&known, &with);
    coil_fit_init(&unknown, &with);
    add(&known, START_S, COIL_FACT_CYANURIC_ACID, 40, 10);
    add(&known, START_S, COIL_FACT_FREE_CHLORINE, 6, 0.2);
    add(&unknown, START_S, COIL_FACT_FREE_CHLORINE, 6, 0.2);
    a = look(&known, 2).free_chlorine_mg_per_l;
    b = look(&unknown, 2).free_chlorine_mg_per_l;
    ck_assert_double_gt(b.high - b.low, 1.1 * (a.high - a.low));
    ck_assert_uint_ne(
        coil_forecast_notes(&unknown, START_S) & COIL_NOTE_NO_CYANURIC_ACID, 0);
    ck_assert_uint_eq(coil_forecast_notes(&known, START_S) & COIL_NOTE_NO_CYANURIC_ACID,
                      0);
}
END_TEST

START_TEST(polar_night_is_said_and_has_no_sun)
{
    struct coil_fit fit = history(pool_at(69.65), DECEMBER_S, 0, 0.95, 0.2);
    struct coil_fit summer = history(pool_at(69.65), START_S, 0, 0.95, 0.2);

    ck_assert_uint_ne(
        coil_forecast_notes(&fit, end_of(&fit) + DAY_S) & COIL_NOTE_NO_SUN, 0);
    ck_assert_uint_eq(
        coil_forecast_notes(&summer, end_of(&summer) + DAY_S) & COIL_NOTE_NO_SUN, 0);
    ck_assert_uint_eq(coil_forecast_notes(&fit, end_of(&fit) + 60 * DAY_S) &
                          COIL_NOTE_NO_SUN,
                      0); /* it comes back in January */
    coil_fit_advance(&fit, end_of(&fit) + 3 * DAY_S);
    ck_assert_double_eq(fit.chlorine.sun, 0);
}
END_TEST

START_TEST(notes_name_what_is_assumed)
{
    struct coil_fit_pool nowhere = pool_at(40);
    struct coil_fit fit;

    nowhere.has_place = false;
    nowhere.usual_temp_c = NAN;
    coil_fit_init(&fit, &nowhere);
    add(&fit, START_S, COIL_FACT_FREE_CHLORINE, 3, 0.2);
    ck_assert_uint_eq(coil_forecast_notes(&fit, START_S + DAY_S),
                      COIL_NOTE_FEW_READINGS | COIL_NOTE_NO_CYANURIC_ACID |
                          COIL_NOTE_NO_PLACE | COIL_NOTE_NO_TEMP);
    for (int i = 0; i < COIL_FORECAST_NOTE_COUNT; i++) {
        ck_assert_ptr_nonnull(coil_forecast_note_words(i));
        for (int j = 0; j < i; j++)
            ck_assert_str_ne(coil_forecast_note_key(i), coil_forecast_note_key(j));
    }
    ck_assert_ptr_null(coil_forecast_note_key(COIL_FORECAST_NOTE_COUNT));
    ck_assert_ptr_null(coil_forecast_note_words(-1));
}
END_TEST

/* ---- walls ---- */

/* Tablets: pH falls from 7.9 towards 6.8 by 4 % of the way a day, tested daily. */
static struct coil_fit falling_ph(void)
{
    struct coil_fit fit = stabilised();
    double ph = 7.9;
    double start_s = end_of(&fit);

    for (int day = 0; day < 14; day++) {
        ph = 6.8 + (ph - 6.8) * exp(-0.04);
        add(&fit, start_s + (day + 1) * DAY_S, COIL_FACT_PH, ph, 0.05);
        add(&fit, start_s + (day + 1) * DAY_S, COIL_FACT_FREE_CHLORINE, 2.5, 0.2);
        add(&fit, start_s + (day + 1) * DAY_S + 600, COIL_FACT_DOSE_CHLORINE, 0.4, 0);
    }
    return fit;
}

START_TEST(the_wall_is_touched_when_the_band_says_so_and_not_before)
{
    struct coil_fit fit = falling_ph();
    struct coil_walls walls = {7.3, NAN, 5};
    struct coil_wall_touch touch;
    double from_s = end_of(&fit);
    struct coil_forecast_point at, before;

    ck_assert_int_eq(coil_forecast_wall(&fit, from_s, &walls, LEVEL, 14, &touch),
                     COIL_OK);
    ck_assert(touch.can_say && touch.touches);
    ck_assert_int_eq(touch.wall, COIL_WALL_PH_LOW);
    ck_assert_double_gt(touch.at_s, from_s);
    ck_assert_double_lt(touch.at_s, from_s + 14 * DAY_S);
    at = look(&fit, (touch.at_s - from_s) / DAY_S);
    before = look(&fit, (touch.at_s - 600 - from_s) / DAY_S);
    ck_assert_double_le(at.ph.low, 7.3 + 1e-6);
    ck_assert_double_gt(before.ph.low, 7.3);
    ck_assert_double_gt(at.ph.likely, 7.3); /* earlier than the likely value does */
}
END_TEST

START_TEST(a_steady_pool_is_good_for_fourteen_days_at_most)
{
    struct coil_fit fit = stabilised();
    struct coil_walls walls = {6.0, NAN, 50};
    struct coil_wall_touch touch;

    ck_assert_int_eq(coil_forecast_wall(&fit, end_of(&fit), &walls, LEVEL, 14, &touch),
                     COIL_OK);
    ck_assert(touch.can_say && !touch.touches);
    ck_assert_double_eq_tol(touch.at_s, end_of(&fit) + 14 * DAY_S, 1);
    ck_assert_int_eq(
        coil_forecast_wall(&fit, end_of(&fit), &walls, LEVEL, 14.1, &touch),
        COIL_ERR_DOMAIN);
}
END_TEST

START_TEST(a_wall_touched_already_is_now)
{
    struct coil_fit fit = stabilised();
    struct coil_walls walls = {7.49, NAN, NAN};
    struct coil_wall_touch touch;

    coil_forecast_wall(&fit, end_of(&fit), &walls, LEVEL, 14, &touch);
    ck_assert(touch.touches);
    ck_assert_double_eq(touch.at_s, end_of(&fit));
    walls = (struct coil_walls){NAN, 7.5, NAN};
    coil_forecast_wall(&fit, end_of(&fit), &walls, LEVEL, 14, &touch);
    ck_assert_int_eq(touch.wall, COIL_WALL_PH_HIGH);
    walls = (struct coil_walls){NAN, NAN, 3};
    coil_forecast_wall(&fit, end_of(&fit), &walls, LEVEL, 14, &touch);
    ck_assert_int_eq(touch.wall, COIL_WALL_FREE_CHLORINE_HIGH);
}
END_TEST

/* A reading that rose without a dose, and too few readings: no time is stated. */
START_TEST(walls_are_not_judged_from_a_doubtful_state)
{
    struct coil_fit fit = stabilised();
    struct coil_fit young;
    struct coil_fit_pool pool = pool_at(40);
    struct coil_walls walls = {NAN, NAN, 30};
    struct coil_wall_touch touch;

    add(&fit, end_of(&fit) + DAY_S, COIL_FACT_FREE_CHLORINE, 14, 0.2);
    coil_forecast_wall(&fit, end_of(&fit), &walls, LEVEL, 14, &touch);
    ck_assert(!touch.can_say);
    ck_assert_uint_ne(touch.notes & COIL_NOTE_IN_DOUBT, 0);
    coil_fit_init(&young, &pool);
    add(&young, START_S, COIL_FACT_FREE_CHLORINE, 3, 0.2);
    coil_forecast_wall(&young, START_S, &walls, LEVEL, 14, &touch);
    ck_assert(!touch.can_say);
    ck_assert_uint_ne(touch.notes & COIL_NOTE_FEW_READINGS, 0);
}
END_TEST

/* ---- the way down ---- */

static struct coil_return_times back(const struct coil_fit *fit, double peak_mg_per_l,
                                     double hours_after_midnight)
{
    struct coil_fit plan = *fit;
    struct coil_return_times times;
    double at_s = ceil(end_of(fit) / DAY_S) * DAY_S + 3600 * hours_after_midnight;

    coil_fit_advance(&plan, at_s - 3600);
    add(&plan, at_s - 3600, COIL_FACT_DOSE_CHLORINE,
        peak_mg_per_l - coil_fit_mg_per_l(coil_fit_view_chlorine(&plan).mean), 0);
    add(&plan, at_s, COIL_FACT_FREE_CHLORINE, peak_mg_per_l, 0.5);
    ck_assert_int_eq(coil_forecast_return(&plan, at_s, 5, LEVEL, 30, &times), COIL_OK);
    ck_assert(times.can_say);
    times.earliest_s -= at_s;
    times.likely_s -= at_s;
    times.latest_s -= at_s;
    return times;
}

START_TEST(earliest_likely_and_latest_come_in_this_order)
{
    struct coil_fit fit = stabilised();

    for (double peak = 6; peak <= 24; peak += 6) {
        struct coil_return_times times = back(&fit, peak, 20);

        ck_assert_double_ge(times.earliest_s, 0);
        ck_assert_double_le(times.earliest_s, times.likely_s);
        if (!isnan(times.latest_s))
            ck_assert_double_lt(times.likely_s, times.latest_s);
    }
    ck_assert_double_lt(back(&fit, 8, 20).likely_s, back(&fit, 16, 20).likely_s);
}
END_TEST

START_TEST(at_the_ceiling_already_is_at_once)
{
    struct coil_fit fit = stabilised();
    struct coil_return_times times;

    coil_forecast_return(&fit, end_of(&fit), 5, LEVEL, 30, &times);
    ck_assert_double_eq(times.earliest_s, end_of(&fit));
    ck_assert_double_eq(times.latest_s, end_of(&fit));
}
END_TEST

/* Common practice keeps a heater off line for 12 or 24 hours. It covers a sunny pool
 * without cyanuric acid, and small peaks where a pool loses much; it does not cover
 * stabilised pools, indoor pools or polar night. */
START_TEST(a_day_off_line_is_enough_for_some_pools_only)
{
    struct coil_fit_pool indoor = pool_at(40);
    struct coil_fit sunny = history(pool_at(40), START_S, 0, 0.05, 0.2);
    struct coil_fit sheltered = stabilised();
    struct coil_fit dark = history(pool_at(69.65), DECEMBER_S, 0, 0.95, 0.2);
    struct coil_fit inside;

    indoor.is_indoor = true;
    indoor.no_cyanuric_acid = true;
    inside = history(indoor, START_S, 0, 0.93, 0.2);
    ck_assert_double_lt(back(&sunny, 10, 20).likely_s, 24 * 3600);
    ck_assert_double_gt(back(&sheltered, 10, 20).earliest_s, 24 * 3600);
    ck_assert_double_gt(back(&sheltered, 10, 20).likely_s, 2 * DAY_S);
    ck_assert_double_gt(back(&inside, 10, 20).likely_s, 2 * DAY_S);
    ck_assert_double_gt(back(&dark, 10, 20).likely_s, 2 * DAY_S);
    /* evening: the night first, then the sun */
    ck_assert_double_gt(back(&sunny, 10, 20).likely_s, back(&sunny, 10, 9).likely_s);
    /* 12 hours: only by day */
    ck_assert_double_gt(back(&sunny, 10, 20).likely_s, 10 * 3600);
    ck_assert_double_lt(back(&sunny, 10, 9).likely_s, 12 * 3600);
}
END_TEST

/* 40 mg/L that hardly anything takes away: no time, and said so. */
START_TEST(a_return_that_cannot_be_foreseen_has_no_time)
{
    struct coil_fit_pool indoor = pool_at(40);
    struct coil_fit fit;
    struct coil_return_times times;

    indoor.is_indoor = true;
    indoor.no_cyanuric_acid = true;
    indoor.usual_temp_c = 5;
    fit = history(indoor, START_S, 0, 0.995, 0.05);
    times = back(&fit, 60, 12);
    ck_assert_double_nan(times.latest_s);
    ck_assert_uint_ne(times.notes & (COIL_NOTE_NOT_REACHED | COIL_NOTE_BAND_TOO_WIDE),
                      0);
}
END_TEST

/* A plan: the dose in a copy, the fit itself untouched. */
START_TEST(a_planned_dose_is_tried_on_a_copy)
{
    struct coil_fit fit = stabilised();
    struct coil_fit plan = fit;
    struct coil_fit copy = fit;
    struct coil_return_times times;

    add(&plan, end_of(&fit) + 3600, COIL_FACT_DOSE_CHLORINE, 10, 0);
    coil_forecast_return(&plan, end_of(&plan), 5, LEVEL, 30, &times);
    ck_assert(times.can_say);
    ck_assert_double_gt(times.likely_s, end_of(&plan) + DAY_S);
    ck_assert_double_eq(fit.chlorine.x[COIL_FIT_Y], copy.chlorine.x[COIL_FIT_Y]);
    /* half of it as neutraliser: sooner */
    add(&plan, end_of(&plan) + 600, COIL_FACT_DOSE_CHLORINE, -5, 0);
    {
        struct coil_return_times sooner;

        coil_forecast_return(&plan, end_of(&plan), 5, LEVEL, 30, &sooner);
        ck_assert_double_lt(sooner.likely_s, times.likely_s);
    }
}
END_TEST

/* ---- the course ---- */

#define COURSE 97

START_TEST(the_course_meets_readings_and_goes_on_as_the_forecast)
{
    struct coil_fit_pool pool = pool_at(40);
    struct coil_pool_fact history_facts[] = {
        {(int64_t)START_S, COIL_FACT_CYANURIC_ACID, 50, 10, false},
        {(int64_t)START_S, COIL_FACT_PH, 7.5, 0.05, false},
        {(int64_t)START_S, COIL_FACT_FREE_CHLORINE, 6, 0.05, false},
        {(int64_t)START_S + 2 * 86400, COIL_FACT_FREE_CHLORINE, 3, 0.05, false},
        {(int64_t)START_S + 2 * 86400, COIL_FACT_PH, 7.1, 0.05, false}};
    double times_s[COURSE];
    struct coil_forecast_point points[COURSE];
    struct coil_fit fit;
    struct coil_forecast_point end;

    for (int i = 0; i < COURSE; i++)
        times_s[i] = START_S + i * 3600.0;
    ck_assert_int_eq(
        coil_forecast_course(&pool, history_facts, 5, times_s, COURSE, LEVEL, points),
        COIL_OK);
    ck_assert_double_eq_tol(points[0].free_chlorine_mg_per_l.likely, 6, 0.1);
    ck_assert_double_eq_tol(points[47].free_chlorine_mg_per_l.likely, 3, 0.25);
    ck_assert_double_eq_tol(points[48].free_chlorine_mg_per_l.likely, 3, 0.35);
    ck_assert_double_eq_tol(points[47].ph.likely, 7.1, 0.05);
    ck_assert_double_gt(points[24].ph.likely, 7.15);
    ck_assert_double_lt(points[24].ph.likely, 7.45);
    for (int i = 1; i < 48; i++)
        ck_assert_double_le(points[i].free_chlorine_mg_per_l.likely,
                            points[i - 1].free_chlorine_mg_per_l.likely + 1e-9);
    /* widest between the readings */
    ck_assert_double_gt(points[24].ph.high - points[24].ph.low,
                        points[46].ph.high - points[46].ph.low);
    /* after the last reading: the forecast itself */
    coil_fit_init(&fit, &pool);
    coil_fit_add_all(&fit, history_facts, 5, NULL);
    coil_forecast_at(&fit, times_s[COURSE - 1], LEVEL, &end);
    ck_assert_double_eq_tol(points[COURSE - 1].free_chlorine_mg_per_l.likely,
                            end.free_chlorine_mg_per_l.likely, 0.02);
    ck_assert_double_eq_tol(points[COURSE - 1].ph.low, end.ph.low, 0.005);
}
END_TEST

/* A dose between two readings shows as a step up and not as a slope. */
START_TEST(the_course_shows_a_dose_where_it_was)
{
    struct coil_fit_pool pool = pool_at(40);
    struct coil_pool_fact some[] = {
        {(int64_t)START_S, COIL_FACT_CYANURIC_ACID, 50, 10, false},
        {(int64_t)START_S, COIL_FACT_FREE_CHLORINE, 2, 0.05, false},
        {(int64_t)START_S + 36000, COIL_FACT_DOSE_CHLORINE, 10, 0, false},
        {(int64_t)START_S + 86400, COIL_FACT_FREE_CHLORINE, 10.5, 0.05, false}};
    double times_s[] = {START_S, START_S + 35900, START_S + 36100, START_S + 80000};
    struct coil_forecast_point points[4];

    ck_assert_int_eq(coil_forecast_course(&pool, some, 4, times_s, 4, LEVEL, points),
                     COIL_OK);
    ck_assert(!points[0].has_ph);
    ck_assert_double_lt(points[1].free_chlorine_mg_per_l.likely, 3);
    ck_assert_double_gt(points[2].free_chlorine_mg_per_l.likely, 9);
}
END_TEST

START_TEST(before_the_first_reading_the_course_knows_nothing)
{
    struct coil_fit_pool pool = pool_at(40);
    struct coil_pool_fact one = {(int64_t)START_S, COIL_FACT_FREE_CHLORINE, 2, 0.1,
                                 false};
    double times_s[] = {START_S - 10, START_S, START_S + 40 * DAY_S};
    struct coil_forecast_point points[3];

    ck_assert_int_eq(coil_forecast_course(&pool, &one, 1, times_s, 3, LEVEL, points),
                     COIL_OK);
    ck_assert(!points[0].has_free_chlorine);
    ck_assert(points[1].has_free_chlorine);
    ck_assert(!points[2].has_free_chlorine);
}
END_TEST

START_TEST(forecasts_refuse_what_cannot_be)
{
    struct coil_fit fit = stabilised();
    struct coil_forecast_point point;
    struct coil_wall_touch touch;
    struct coil_return_times times;
    struct coil_walls walls = {7.2, NAN, 5};
    struct coil_walls none = {NAN, NAN, NAN};
    double now_s = end_of(&fit);
    double back_s[] = {now_s, now_s - 1};
    struct coil_forecast_point points[2];

    ck_assert_int_eq(coil_forecast_at(&fit, now_s - 1, LEVEL, &point), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_forecast_at(&fit, NAN, LEVEL, &point), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_forecast_at(&fit, now_s, NAN, &point), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_forecast_at(&fit, now_s, 0.4, &point), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_forecast_at(&fit, now_s, 0.999, &point), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_forecast_wall(&fit, now_s, &none, LEVEL, 14, &touch),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_forecast_wall(&fit, now_s, &walls, LEVEL, NAN, &touch),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_forecast_wall(&fit, now_s, &walls, LEVEL, 0.5, &touch),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_forecast_return(&fit, now_s, 0, LEVEL, 30, &times),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_forecast_return(&fit, now_s, NAN, LEVEL, 30, &times),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_forecast_return(&fit, now_s, 5, LEVEL, 31, &times),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_forecast_course(&fit.pool, NULL, 0, back_s, 2, LEVEL, points),
                     COIL_ERR_DOMAIN);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("forecast");
    TCase *tcase = tcase_create("forecast");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, chlorine_falls_and_its_band_widens_in_relation);
    tcase_add_test(tcase, a_pool_is_forecast_as_it_was);
    tcase_add_test(tcase, a_finer_test_gives_a_narrower_band);
    tcase_add_test(tcase, a_higher_level_gives_a_wider_band);
    tcase_add_test(tcase, a_forecast_is_a_function_of_the_facts_before_it);
    tcase_add_test(tcase, zero_chlorine_stays_possible_and_finite);
    tcase_add_test(tcase, nothing_read_says_nothing);
    tcase_add_test(tcase, a_dose_of_unknown_size_says_test_first);
    tcase_add_test(tcase, the_last_test_long_ago_says_nothing);
    tcase_add_test(tcase, without_cyanuric_acid_the_band_is_wider);
    tcase_add_test(tcase, polar_night_is_said_and_has_no_sun);
    tcase_add_test(tcase, notes_name_what_is_assumed);
    tcase_add_test(tcase, the_wall_is_touched_when_the_band_says_so_and_not_before);
    tcase_add_test(tcase, a_steady_pool_is_good_for_fourteen_days_at_most);
    tcase_add_test(tcase, a_wall_touched_already_is_now);
    tcase_add_test(tcase, walls_are_not_judged_from_a_doubtful_state);
    tcase_add_test(tcase, earliest_likely_and_latest_come_in_this_order);
    tcase_add_test(tcase, at_the_ceiling_already_is_at_once);
    tcase_add_test(tcase, a_day_off_line_is_enough_for_some_pools_only);
    tcase_add_test(tcase, a_return_that_cannot_be_foreseen_has_no_time);
    tcase_add_test(tcase, a_planned_dose_is_tried_on_a_copy);
    tcase_add_test(tcase, the_course_meets_readings_and_goes_on_as_the_forecast);
    tcase_add_test(tcase, the_course_shows_a_dose_where_it_was);
    tcase_add_test(tcase, before_the_first_reading_the_course_knows_nothing);
    tcase_add_test(tcase, forecasts_refuse_what_cannot_be);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
