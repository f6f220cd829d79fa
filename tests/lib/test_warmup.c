/*
 * Efficiency of single warm-ups, flaws, trend over seasons; false-alarm rate and power
 * of the slow-loss alarm, by a simulated household whose structure is not the alarm's.
 */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lib/warmup.h"

static const struct coil_warm_up_doubt usual_doubt = {50.0, 0.05, 0.03, 0.3, 0.3};

/* 50 m3 by 5 K: 50 x 998.2 x 4.18 = 1043 MJ; losses 5 kW for 10 h: 180 MJ; 40 m3 of
 * 38.2 MJ: 1528 MJ. */
static struct coil_warm_up_log usual_log(void)
{
    return (struct coil_warm_up_log){.start_temp_c = 20.0,
                                     .end_temp_c = 25.0,
                                     .duration_s = 36000.0,
                                     .loss_w = 5000.0,
                                     .source = COIL_FUEL_BY_METER,
                                     .meter_start = 1000.0,
                                     .meter_end = 1040.0,
                                     .meter_step = 0.01,
                                     .j_per_unit = 38.2e6,
                                     .rated_input_w = 100000.0};
}

static double random_fraction(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (double)((*state * 2685821657736338717u) >> 11) / 9007199254740992.0;
}

static double random_normal(uint64_t *state)
{
    double u = 1.0 - random_fraction(state);

    return sqrt(-2.0 * log(u)) * cos(6.283185307179586 * random_fraction(state));
}

START_TEST(efficiency_is_heat_over_fuel_as_by_hand)
{
    struct coil_warm_up_log log = usual_log();
    struct coil_warm_up_result got;

    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &got), COIL_OK);
    ck_assert(got.is_usable);
    ck_assert_double_eq_tol(got.efficiency_fraction, (1043.1 + 180.0) / 1528.0, 0.001);
    /* By hand: 208.6 MJ/K x 0.3 sqrt 2 and 180 x 0.3 MJ; the meter's part is small. */
    ck_assert_double_eq_tol(got.u_random, hypot(208.6 * 0.4243, 54.0) / 1528.0, 0.001);
    ck_assert_double_eq_tol(got.u_common, hypot(1043.1 * 0.05, 1223.1 * 0.03) / 1528.0,
                            0.001);
    log.source = COIL_FUEL_BY_BURNER_HOURS;
    log.burner_h = 1528.0 / 360.0; /* at 100 kW */
    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &got), COIL_OK);
    ck_assert_double_eq_tol(got.efficiency_fraction, 1223.1 / 1528.0, 0.001);
}
END_TEST

START_TEST(twice_the_fuel_is_half_the_efficiency)
{
    struct coil_warm_up_log log = usual_log();
    struct coil_warm_up_result one, two;

    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &one), COIL_OK);
    log.meter_end += 40.0;
    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &two), COIL_OK);
    ck_assert_double_eq_tol(two.efficiency_fraction, one.efficiency_fraction / 2,
                            1e-12);
    log.meter_end = 1040.0;
    log.shared_fraction = 0.5;
    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &two),
                     COIL_WARN_RANGE);
    ck_assert(two.is_flawed[COIL_WARM_UP_METER_SHARED]);
    ck_assert_double_eq_tol(two.efficiency_fraction, one.efficiency_fraction * 2,
                            1e-12);
}
END_TEST

static void break_log(struct coil_warm_up_log *log, enum coil_warm_up_flaw flaw)
{
    switch (flaw) {
    case COIL_WARM_UP_NO_NUMBER:
        log->end_temp_c = NAN;
        break;
    case COIL_WARM_UP_END_BEFORE_START:
        log->duration_s = -60.0;
        break;
    case COIL_WARM_UP_NO_FUEL:
        log->meter_end = log->meter_start;
        break;
    case COIL_WARM_UP_METER_BACKWARDS:
        log->meter_end = log->meter_start - 1.0;
        break;
    case COIL_WARM_UP_METER_REPLACED:
        log->meter_was_replaced = true;
        log->meter_end = 12.0;
        break;
    case COIL_WARM_UP_NO_HEAT:
        log->end_temp_c = 15.0;
        break;
    case COIL_WARM_UP_PROBE_IN_SUN:
        log->probe_in_sun = true;
        break;
    case COIL_WARM_UP_METER_SHARED:
        log->u_shared_fraction = 0.05;
        break;
    case COIL_WARM_UP_ABOVE_PHYSICS:
        log->end_temp_c = 26.0; /* 0.937 */
        break;
    case COIL_WARM_UP_UNCERTAIN:
        log->end_temp_c = 20.5;
        log->meter_end = 1004.0;
        log->duration_s = 3600.0;
        break;
    case COIL_WARM_UP_FLAW_COUNT:
    default:
        break;
    }
}

START_TEST(each_flaw_is_found_alone_with_its_field)
{
    enum coil_warm_up_flaw flaw = (enum coil_warm_up_flaw)_i;
    bool refused = flaw < COIL_WARM_UP_PROBE_IN_SUN;
    struct coil_warm_up_log log = usual_log();
    struct coil_warm_up_result got;

    break_log(&log, flaw);
    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &got),
                     refused ? COIL_ERR_DOMAIN : COIL_WARN_RANGE);
    for (int i = 0; i < COIL_WARM_UP_FLAW_COUNT; i++)
        ck_assert_int_eq(got.is_flawed[i], i == _i);
    ck_assert_int_eq(got.is_usable, flaw == COIL_WARM_UP_METER_SHARED ||
                                        flaw == COIL_WARM_UP_UNCERTAIN);
    ck_assert_ptr_nonnull(coil_warm_up_flaw_field(flaw));
    ck_assert_int_gt((int)strlen(coil_warm_up_flaw_text(flaw)), 15);
}
END_TEST

START_TEST(a_condensing_heater_may_reach_more)
{
    struct coil_warm_up_log log = usual_log();
    struct coil_warm_up_result got;

    log.end_temp_c = 26.0;
    log.is_condensing = true;
    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &got), COIL_OK);
    log.end_temp_c = 27.0; /* 1.07 */
    ck_assert_int_eq(coil_warm_up_efficiency(&log, &usual_doubt, &got),
                     COIL_WARN_RANGE);
    ck_assert(!got.is_usable);
}
END_TEST

/* Points on a line without noise: the slope is the line's; equal ones have none. */
START_TEST(trend_of_a_straight_loss_is_that_loss)
{
    struct coil_loss_alarm_rule rule = coil_loss_alarm_usual();
    struct coil_efficiency_point point[50];
    struct coil_efficiency_trend trend;

    for (int i = 0; i < 50; i++) {
        point[i].season = 2020 + i / 10;
        point[i].efficiency_fraction = 0.80 - 0.02 * (i / 10);
    }
    ck_assert_int_eq(coil_efficiency_trend(point, 50, &rule, &trend), COIL_OK);
    ck_assert_int_eq(trend.seasons, 5);
    ck_assert_double_eq_tol(trend.slope_per_year, -0.02, 1e-12);
    ck_assert_double_eq_tol(trend.lost, 0.08, 1e-12);
    ck_assert(trend.is_alarm);
    /* season_sd alone: 0.01/sqrt(10). */
    ck_assert_double_eq_tol(trend.u_slope_per_year, 0.01 / sqrt(10.0), 1e-9);
    ck_assert_int_eq(coil_efficiency_trend(point, 10, &rule, &trend), COIL_OK);
    ck_assert(trend.seasons == 1 && !trend.is_alarm);
    for (int i = 0; i < 50; i++)
        point[i].efficiency_fraction = 0.8;
    ck_assert_int_eq(coil_efficiency_trend(point, 50, &rule, &trend), COIL_OK);
    ck_assert_double_eq_tol(trend.slope_per_year, 0.0, 1e-12);
    ck_assert(!trend.is_alarm);
}
END_TEST

START_TEST(one_wild_value_a_season_does_not_move_the_mean)
{
    struct coil_loss_alarm_rule rule = coil_loss_alarm_usual();
    struct coil_efficiency_point point[20];
    struct coil_efficiency_trend trend;

    for (int i = 0; i < 20; i++) {
        point[i].season = 2020 + i / 10;
        point[i].efficiency_fraction = i % 10 == 3 ? 0.1 : 0.8;
    }
    ck_assert_int_eq(coil_efficiency_trend(point, 20, &rule, &trend), COIL_OK);
    ck_assert_double_eq_tol(trend.mean[0], 0.8, 1e-12);
    ck_assert_double_eq_tol(trend.mean[1], 0.8, 1e-12);
}
END_TEST

START_TEST(points_that_cannot_be_are_refused)
{
    struct coil_loss_alarm_rule rule = coil_loss_alarm_usual();
    struct coil_efficiency_point point[2] = {{2021, 0.8}, {2020, 0.8}};
    struct coil_efficiency_trend trend;

    ck_assert_int_eq(coil_efficiency_trend(point, 2, &rule, &trend), COIL_ERR_DOMAIN);
    point[1] = (struct coil_efficiency_point){2022, NAN};
    ck_assert_int_eq(coil_efficiency_trend(point, 2, &rule, &trend),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_efficiency_trend(point, 0, &rule, &trend), COIL_ERR_DOMAIN);
    rule.looks = 0;
    ck_assert_int_eq(coil_efficiency_trend(point, 1, &rule, &trend), COIL_ERR_DOMAIN);
}
END_TEST

/*
 * A household that logs warm-ups. Nothing in it is normal but the probe's middle: wind
 * makes losses long-tailed, the cover is forgotten in one of fifteen, modelled losses
 * are a fifth too small in the cold months, the meter counts in whole half cubic
 * metres, and each season is off by up to 1.5 points (heating value), all alike.
 */
static int log_season(uint64_t *state, int season, double efficiency, int warm_ups,
                      struct coil_efficiency_point *out)
{
    double season_off = 0.03 * (random_fraction(state) - 0.5);
    int usable = 0;

    for (int i = 0; i < warm_ups; i++) {
        struct coil_warm_up_log log = usual_log();
        struct coil_warm_up_result got;
        double cold = cos(6.283185307179586 * random_fraction(state)); /* 1: coldest */
        double tail = random_normal(state) / sqrt(fabs(random_normal(state)) + 0.3);
        double rise = 3.0 + 4.0 * random_fraction(state);
        double mean_loss = 4000.0 + 1500.0 * cold;
        double loss = mean_loss * (1.0 + 0.2 * fmax(0.0, cold)) *
                      exp(0.4 * random_normal(state) - 0.08);
        double heat;

        if (random_fraction(state) < 1.0 / 15.0)
            loss *= 2.5;
        log.duration_s = rise * 7200.0;
        heat = 50.0 * 997.0 * 4180.0 * rise + loss * log.duration_s;
        log.loss_w = mean_loss;
        log.meter_start = 1000.0;
        log.meter_end =
            1000.0 + 0.5 * floor(2.0 * heat / (efficiency + season_off) / 38.2e6 +
                                 random_fraction(state));
        log.meter_step = 0.5;
        log.end_temp_c = log.start_temp_c + rise + 0.2 * tail;
        if (coil_warm_up_efficiency(&log, &usual_doubt, &got) >= COIL_OK &&
            got.is_usable) {
            out[usable].season = season;
            out[usable++].efficiency_fraction = got.efficiency_fraction;
        }
    }
    return usable;
}

/* Season of the first alarm, from 0; -1 for none. */
static int first_alarm(uint64_t *state, double loss_per_year, int seasons, int warm_ups,
                       double *out_scatter)
{
    struct coil_loss_alarm_rule rule = coil_loss_alarm_usual();
    struct coil_efficiency_point point[400];
    struct coil_efficiency_trend trend = {0};
    int count = 0;
    int alarm = -1;

    for (int s = 0; s < seasons && alarm < 0; s++) {
        count += log_season(state, 2020 + s, 0.78 - loss_per_year * s, warm_ups,
                            point + count);
        ck_assert_int_eq(coil_efficiency_trend(point, (size_t)count, &rule, &trend),
                         COIL_OK);
        if (trend.is_alarm)
            alarm = s;
    }
    *out_scatter = trend.scatter;
    return alarm;
}

START_TEST(false_alarms_stay_below_the_stated_rate)
{
    const int warm_ups[] = {8, 20};
    const int households = 2000;

    for (int k = 0; k < 2; k++) {
        uint64_t state = 20261125u + (unsigned)k;
        int alarms = 0;

        for (int n = 0; n < households; n++) {
            double scatter;

            alarms += first_alarm(&state, 0.0, 11, warm_ups[k], &scatter) >= 0;
        }
        ck_assert_msg(alarms <= 0.05 * households, "%d warm-ups: %d of %d", warm_ups[k],
                      alarms, households);
    }
}
END_TEST

START_TEST(a_loss_of_three_points_a_year_is_found_within_four_seasons)
{
    struct coil_loss_alarm_rule rule = coil_loss_alarm_usual();
    uint64_t state = 42;
    const int households = 1000;
    double scatters = 0.0;
    double power;
    int found = 0;

    for (int n = 0; n < households; n++) {
        double scatter;

        found += first_alarm(&state, 0.03, 4, 20, &scatter) >= 0;
        scatters += scatter / households;
    }
    ck_assert_int_ge(found, 900);
    /* The stated power, at the scatter that this household has, is no boast. */
    ck_assert_int_eq(coil_loss_alarm_power(&rule, 0.03, 4, 20, scatters, &power),
                     COIL_OK);
    ck_assert_double_ge((double)found / households, power - 0.03);
    ck_assert_double_ge(power, 0.80);
}
END_TEST

/* z of 0.05/10 is 2.5758; 4 seasons: sxx 5. Scatter 0.05, 20 a season. */
START_TEST(stated_power_is_that_of_the_normal_distribution)
{
    struct coil_loss_alarm_rule rule = coil_loss_alarm_usual();
    double se = sqrt((1.14 * 0.0025 / 20.0 + 1e-4) / 5.0);
    double power;

    ck_assert_int_eq(coil_loss_alarm_power(&rule, 0.03, 4, 20, 0.05, &power), COIL_OK);
    ck_assert_double_eq_tol(power, 0.5 * erfc((2.5758293 - 0.03 / se) / sqrt(2.0)),
                            1e-6);
    ck_assert_int_eq(coil_loss_alarm_power(&rule, 0.0, 4, 20, 0.05, &power), COIL_OK);
    ck_assert_double_eq_tol(power, 0.005, 1e-6);
    ck_assert_int_eq(coil_loss_alarm_power(&rule, 0.03, 1, 20, 0.05, &power),
                     COIL_ERR_DOMAIN);
}
END_TEST

/* From 80 to 72 percent, a tenth of the fuel is wasted. */
START_TEST(a_loss_costs_its_part_of_the_fuel)
{
    double j;

    ck_assert_int_eq(coil_loss_fuel_j(1e11, 0.80, 0.72, &j), COIL_OK);
    ck_assert_double_eq_tol(j, 1e10, 1e-3);
    ck_assert_int_eq(coil_loss_fuel_j(1e11, 0.7, 0.8, &j), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_loss_fuel_j(1e11, 0.7, 0.0, &j), COIL_ERR_DOMAIN);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("warmup");
    TCase *tcase = tcase_create("warmup");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, efficiency_is_heat_over_fuel_as_by_hand);
    tcase_add_test(tcase, twice_the_fuel_is_half_the_efficiency);
    tcase_add_loop_test(tcase, each_flaw_is_found_alone_with_its_field, 0,
                        COIL_WARM_UP_FLAW_COUNT);
    tcase_add_test(tcase, a_condensing_heater_may_reach_more);
    tcase_add_test(tcase, trend_of_a_straight_loss_is_that_loss);
    tcase_add_test(tcase, one_wild_value_a_season_does_not_move_the_mean);
    tcase_add_test(tcase, points_that_cannot_be_are_refused);
    tcase_add_test(tcase, false_alarms_stay_below_the_stated_rate);
    tcase_add_test(tcase, a_loss_of_three_points_a_year_is_found_within_four_seasons);
    tcase_add_test(tcase, stated_power_is_that_of_the_normal_distribution);
    tcase_add_test(tcase, a_loss_costs_its_part_of_the_fuel);
    tcase_set_timeout(tcase, 120);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
