/*
 * Exposure of a heater: hours, causes, weights and events, all worked out by hand.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/exposure.h"

#define H 3600.0
#define HOURS 24

/* A day of hourly points, the same water all the time unless a test changes it. */
static double times_s[HOURS + 1];
static struct coil_forecast_point points[HOURS + 1];
static struct coil_exposure_event events[8];
static struct coil_limit_span limits[2];

static void set_point(int i, double ph, double chlorine)
{
    points[i] = (struct coil_forecast_point){true,
                                             true,
                                             {chlorine - 0.5, chlorine, chlorine + 0.5},
                                             {ph - 0.1, ph, ph + 0.1}};
}

static struct coil_exposure_input day(double ph, double chlorine)
{
    for (int i = 0; i <= HOURS; i++) {
        times_s[i] = i * H;
        set_point(i, ph, chlorine);
    }
    limits[0] = (struct coil_limit_span){0, 7.2, 5};
    return (struct coil_exposure_input){.times_s = times_s,
                                        .points = points,
                                        .count = HOURS + 1,
                                        .limits = limits,
                                        .limit_count = 1};
}

static struct coil_exposure_total sum(struct coil_exposure_input input)
{
    struct coil_exposure_total total;

    memset(events, 0, sizeof events);
    ck_assert_int_eq(coil_exposure_sum(&input, events, 8, &total), COIL_OK);
    return total;
}

START_TEST(good_water_leaves_no_trace)
{
    struct coil_exposure_total total = sum(day(7.5, 2));

    for (int i = 0; i < COIL_EXPOSURE_CAUSE_COUNT; i++) {
        ck_assert_double_eq(total.cause[i].likely, 0);
        ck_assert_double_eq(total.cause[i].at_most, 0);
    }
    ck_assert_double_eq_tol(total.in_heater_h, 24, 1e-9);
    ck_assert_uint_eq(total.event_count, 0);
}
END_TEST

/* pH 6.9 against 7.2: 10^0.3 = 1.995 times as acidic. */
START_TEST(acid_water_counts_by_times_the_limit)
{
    struct coil_exposure_total total = sum(day(6.9, 2));

    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].likely, 24, 1e-9);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].weighted, 24 * 1.99526,
                            1e-3);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].at_least, 24, 1e-9);
    ck_assert_double_eq(total.cause[COIL_EXPOSURE_BOTH].likely, 0);
    ck_assert_double_eq_tol(total.flowing_h, 24, 1e-9);
    ck_assert_uint_eq(total.event_count, 1);
    ck_assert(events[0].has_low_ph && !events[0].has_high_chlorine);
    ck_assert(!events[0].is_severe);
    ck_assert(events[0].is_open);
    ck_assert_double_eq_tol(events[0].worst_ph, 6.9, 1e-9);
}
END_TEST

START_TEST(strong_water_counts_by_times_the_ceiling)
{
    struct coil_exposure_total total = sum(day(7.5, 15));

    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_HIGH_CHLORINE].likely, 24, 1e-9);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_HIGH_CHLORINE].weighted, 72,
                            1e-9);
    ck_assert_double_eq_tol(events[0].worst_severity, 3, 1e-9);
    ck_assert(!events[0].is_severe); /* alone it is not */
}
END_TEST

/* 10 mg/L at pH 6.9: 2 x 1.995 = 3.99, just not severe; at 6.89 4.08 is. */
START_TEST(both_at_once_multiply_and_become_severe)
{
    struct coil_exposure_total total = sum(day(6.9, 10));

    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_BOTH].likely, 24, 1e-9);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_BOTH].weighted, 24 * 3.9905,
                            1e-3);
    ck_assert_double_eq(total.cause[COIL_EXPOSURE_LOW_PH].likely, 0);
    ck_assert_double_eq(total.cause[COIL_EXPOSURE_HIGH_CHLORINE].likely, 0);
    ck_assert(events[0].has_both && !events[0].is_severe);
    sum(day(6.89, 10));
    ck_assert(events[0].is_severe);
}
END_TEST

/* pH 7.15 with a band of 0.1: likely outside, at most all of it, at least nothing. */
START_TEST(band_gives_at_least_and_at_most)
{
    struct coil_exposure_total total = sum(day(7.15, 2));

    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].likely, 24, 1e-9);
    ck_assert_double_eq(total.cause[COIL_EXPOSURE_LOW_PH].at_least, 0);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].at_most, 24, 1e-9);
    total = sum(day(7.25, 2));
    ck_assert_double_eq(total.cause[COIL_EXPOSURE_LOW_PH].likely, 0);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].at_most, 24, 1e-9);
}
END_TEST

/* At the limit itself water is inside. */
START_TEST(water_at_the_limit_is_inside)
{
    enum coil_exposure_cause cause = COIL_EXPOSURE_BOTH;

    ck_assert_double_eq(coil_exposure_severity(7.2, 5, 7.2, 5, &cause), 0);
    ck_assert_int_eq(cause, COIL_EXPOSURE_BOTH);
    ck_assert_double_gt(coil_exposure_severity(7.19, 5, 7.2, 5, &cause), 1);
    ck_assert_int_eq(cause, COIL_EXPOSURE_LOW_PH);
    ck_assert_double_gt(coil_exposure_severity(7.2, 5.1, 7.2, 5, &cause), 1);
    ck_assert_int_eq(cause, COIL_EXPOSURE_HIGH_CHLORINE);
    ck_assert_double_eq(coil_exposure_severity(NAN, NAN, 7.2, 5, &cause), 0);
    ck_assert_double_eq(coil_exposure_severity(6, 9, NAN, NAN, &cause), 0);
}
END_TEST

START_TEST(an_isolated_or_drained_heater_is_not_exposed)
{
    static const struct coil_heater_span spans[] = {
        {6 * H, COIL_HEATER_OFF_LINE_FLUSHED}, {18 * H, COIL_HEATER_IN_LINE}};
    static const struct coil_heater_span drained[] = {{0, COIL_HEATER_DRAINED}};
    struct coil_exposure_input input = day(6.9, 2);
    struct coil_exposure_total total;

    input.heater = spans;
    input.heater_count = 2;
    total = sum(input);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].likely, 12, 1e-9);
    ck_assert_double_eq_tol(total.in_heater_h, 12, 1e-9);
    ck_assert_uint_eq(total.event_count, 2); /* twelve hours lie between them */
    ck_assert_double_eq_tol(events[0].until_s, 6 * H, 1e-9);
    ck_assert_double_eq_tol(events[1].from_s, 18 * H, 1e-9);
    ck_assert(!events[0].is_open && events[1].is_open);
    input.heater = drained;
    input.heater_count = 1;
    total = sum(input);
    ck_assert_double_eq(total.in_heater_h, 0);
    ck_assert_uint_eq(total.event_count, 0);
}
END_TEST

/* The valves are closed on bad water at six o'clock; the pool is good again at seven.
 * What stands in the heater stays bad. */
START_TEST(water_that_was_shut_in_stays_as_it_was)
{
    static const struct coil_heater_span closed[] = {
        {6 * H, COIL_HEATER_OFF_LINE_STANDING}};
    struct coil_exposure_input input = day(7.5, 2);
    struct coil_exposure_total total;

    for (int i = 0; i <= 6; i++)
        set_point(i, 7.5, 12);
    input.heater = closed;
    input.heater_count = 1;
    total = sum(input);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_HIGH_CHLORINE].likely, 24, 1e-9);
    ck_assert_double_eq_tol(total.standing_h, 18, 1e-9);
    ck_assert_double_eq_tol(total.flowing_h, 6, 1e-9);
    ck_assert_double_eq_tol(events[0].hours, 24, 1e-9);
}
END_TEST

/* Pump off from 8 to 16: the water of eight o'clock stands in the heater, good or bad.
 */
START_TEST(a_stopped_pump_leaves_the_water_of_that_instant_in_the_heater)
{
    static const struct coil_pump_span runs[] = {{0, 8 * H}, {16 * H, 24 * H}};
    struct coil_exposure_input input = day(7.5, 2);
    struct coil_exposure_total total;

    for (int i = 9; i <= 15; i++) /* bad while nothing flows */
        set_point(i, 6.5, 2);
    input.pump = runs;
    input.pump_count = 2;
    input.has_pump = true;
    total = sum(input);
    ck_assert_double_eq(total.cause[COIL_EXPOSURE_LOW_PH].likely, 0);
    ck_assert_double_eq_tol(total.in_heater_h, 24, 1e-9);
    input.has_pump = false; /* no runs known: it is taken to flow */
    total = sum(input);
    ck_assert_double_gt(total.cause[COIL_EXPOSURE_LOW_PH].likely, 6);
}
END_TEST

/* Changes between two points are cut exactly. */
START_TEST(changes_between_points_are_cut_at_their_instant)
{
    static const struct coil_heater_span spans[] = {{1.25 * H, COIL_HEATER_DRAINED}};
    struct coil_exposure_input input = day(6.9, 2);

    input.heater = spans;
    input.heater_count = 1;
    ck_assert_double_eq_tol(sum(input).cause[COIL_EXPOSURE_LOW_PH].likely, 1.25, 1e-9);
}
END_TEST

/* From 15 mg/L down to 3 in a straight line over 24 h: above 5 for 20 h; mean of the
 * excess factor (3 + 1)/2. With hourly pieces the edge is found to an hour. */
START_TEST(a_falling_course_counts_until_it_is_down)
{
    struct coil_exposure_input input = day(7.5, 2);
    struct coil_exposure_total total;

    for (int i = 0; i <= HOURS; i++)
        set_point(i, 7.5, 15 - 0.5 * i);
    total = sum(input);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_HIGH_CHLORINE].likely, 20, 1e-9);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_HIGH_CHLORINE].weighted, 40,
                            1e-9);
    ck_assert_double_eq_tol(events[0].worst_s, 0.5 * H, 1e-9);
    ck_assert_double_eq_tol(events[0].worst_free_chlorine_mg_per_l, 14.75, 1e-9);
    ck_assert(!events[0].is_open);
}
END_TEST

START_TEST(unknown_water_is_counted_as_unknown)
{
    struct coil_exposure_input input = day(6.9, 2);
    struct coil_exposure_total total;

    for (int i = 12; i <= HOURS; i++)
        points[i].has_ph = false;
    total = sum(input);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].likely, 11, 1e-9);
    ck_assert_double_eq_tol(total.unknown_h, 13, 1e-9);
    /* what can be judged still counts: strong chlorine without a pH */
    for (int i = 12; i <= HOURS; i++)
        points[i].free_chlorine_mg_per_l = (struct coil_band){9, 10, 11};
    total = sum(input);
    ck_assert_double_gt(total.cause[COIL_EXPOSURE_HIGH_CHLORINE].likely, 11);
}
END_TEST

START_TEST(events_beyond_the_room_are_counted)
{
    struct coil_exposure_input input = day(7.5, 2);
    struct coil_exposure_total total;

    for (int i = 0; i < 24; i += 6)
        set_point(i, 6.5, 2);
    ck_assert_int_eq(coil_exposure_sum(&input, events, 2, &total), COIL_OK);
    ck_assert_uint_eq(total.event_count, 4);
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_OK);
    ck_assert_uint_eq(total.event_count, 4);
}
END_TEST

/* Less than an hour of good water between two bad stretches does not make two events.
 */
START_TEST(a_short_gap_does_not_split_an_event)
{
    static const struct coil_heater_span spans[] = {
        {6 * H, COIL_HEATER_OFF_LINE_FLUSHED}, {6.5 * H, COIL_HEATER_IN_LINE}};
    struct coil_exposure_input input = day(6.9, 2);

    input.heater = spans;
    input.heater_count = 2;
    ck_assert_uint_eq(sum(input).event_count, 1);
    ck_assert_double_eq_tol(events[0].hours, 23.5, 1e-9);
}
END_TEST

START_TEST(no_hour_counts_twice)
{
    struct coil_exposure_input input = day(7.5, 2);
    struct coil_exposure_total total;
    double all = 0;

    for (int i = 0; i <= HOURS; i++)
        set_point(i, 6.8 + 0.03 * i, 9 - 0.3 * i);
    total = sum(input);
    for (int i = 0; i < COIL_EXPOSURE_CAUSE_COUNT; i++) {
        const struct coil_exposure_hours *h = &total.cause[i];

        ck_assert_double_ge(h->weighted, h->likely);
        all += h->likely;
    }
    ck_assert_double_le(all, total.in_heater_h);
    ck_assert_double_eq_tol(all, total.flowing_h + total.standing_h, 1e-9);
}
END_TEST

START_TEST(weights_say_that_they_are_a_convention)
{
    ck_assert_ptr_nonnull(strstr(coil_exposure_weights_words, "convention"));
}
END_TEST

/* pH 7.1 is outside 7.2 until half past ten and inside 7.0 from then on. */
START_TEST(limits_hold_from_when_they_were_set)
{
    struct coil_exposure_input input = day(7.1, 2);
    struct coil_exposure_total total;

    limits[1] = (struct coil_limit_span){10.5 * H, 7.0, 5};
    input.limit_count = 2;
    total = sum(input);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].likely, 10.5, 1e-9);
    ck_assert_double_eq_tol(events[0].until_s, 10.5 * H, 1e-6);
    limits[1] = (struct coil_limit_span){10.5 * H, NAN, NAN}; /* none any more */
    total = sum(input);
    ck_assert_double_eq_tol(total.cause[COIL_EXPOSURE_LOW_PH].likely, 10.5, 1e-9);
    ck_assert_double_eq_tol(total.in_heater_h, 24, 1e-9);
}
END_TEST

/* Strong all day and acid from six to eight, as points of one hour show it: the pH of a
 * midpoint between 7.5 and 6.5 is 7.0. */
START_TEST(a_severe_part_of_an_event_has_its_own_times)
{
    struct coil_exposure_input input = day(7.5, 20);

    for (int i = 6; i <= 8; i++)
        set_point(i, 6.5, 20);
    sum(input);
    ck_assert(events[0].is_severe);
    ck_assert_double_eq_tol(events[0].from_s, 0, 1e-9);
    ck_assert_double_eq_tol(events[0].severe_from_s, 5 * H, 1e-6);
    ck_assert_double_eq_tol(events[0].severe_until_s, 9 * H, 1e-6);
    sum(day(7.5, 20));
    ck_assert_double_eq(events[0].severe_until_s, 0);
}
END_TEST

/* The burner fires from four to ten. The index is 0.8 (0.4 to 1.2) up to seven, 0.18
 * (-0.2 to 0.6) at eight, by a straight line 0.49 in the middle between them, and not
 * known from nine on. 0.5 is where the permit warns of scale. */
START_TEST(scaling_counts_apart_and_only_while_the_burner_fires)
{
    static struct coil_band index[HOURS + 1];
    static const struct coil_pump_span fires[] = {{4 * H, 10 * H}};
    struct coil_exposure_input input = day(7.5, 2);
    struct coil_exposure_total total;

    for (int i = 0; i <= HOURS; i++)
        index[i] = i <= 7   ? (struct coil_band){0.4, 0.8, 1.2}
                   : i <= 8 ? (struct coil_band){-0.2, 0.18, 0.6}
                            : (struct coil_band){NAN, NAN, NAN};
    input.burner = fires;
    input.burner_count = 1;
    total = sum(input);
    ck_assert_double_eq(total.fired_h + total.fired_unknown_h, 0); /* not asked for */
    input.hot_index = index;
    total = sum(input);
    ck_assert_double_eq_tol(total.fired_h, 4, 1e-9); /* four to eight */
    ck_assert_double_eq_tol(total.fired_unknown_h, 2, 1e-9);
    ck_assert_double_eq_tol(total.scaling.likely, 3, 1e-9); /* 0.49 between 7 and 8 */
    ck_assert_double_eq_tol(total.scaling.at_least, 0, 1e-9);
    ck_assert_double_eq_tol(total.scaling.at_most, 4, 1e-9);
    ck_assert_uint_eq(total.event_count, 0); /* fouling is no event of attack */
    ck_assert_double_eq(total.scaling.weighted, 0);
    input.heater = (struct coil_heater_span[]){{5 * H, COIL_HEATER_DRAINED}};
    input.heater_count = 1;
    ck_assert_double_eq_tol(sum(input).scaling.likely, 1, 1e-9);
}
END_TEST

START_TEST(exposure_refuses_what_cannot_be)
{
    static const struct coil_pump_span crossed[] = {{0, 8 * H}, {7 * H, 9 * H}};
    static const struct coil_heater_span back[] = {{5 * H, COIL_HEATER_DRAINED},
                                                   {4 * H, COIL_HEATER_IN_LINE}};
    struct coil_exposure_total total = {.in_heater_h = 5};
    struct coil_exposure_input input = day(7.5, 2);

    input.count = 1;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    input = day(7.5, 2);
    times_s[3] = times_s[1];
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    times_s[3] = NAN;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_NOT_FINITE);
    input = day(7.5, 2);
    limits[0].ph_low = NAN;
    limits[0].free_chlorine_high_mg_per_l = NAN;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    limits[0].free_chlorine_high_mg_per_l = 0;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    input = day(7.5, 2);
    input.limit_count = 0;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    input.limit_count = 2;
    limits[1] = (struct coil_limit_span){-1, 7.2, 5};
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    input = day(7.5, 2);
    input.burner = crossed;
    input.burner_count = 2;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    input = day(7.5, 2);
    input.pump = crossed;
    input.pump_count = 2;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    input.pump_count = 0;
    input.heater = back;
    input.heater_count = 2;
    ck_assert_int_eq(coil_exposure_sum(&input, NULL, 0, &total), COIL_ERR_DOMAIN);
    ck_assert_double_eq(total.in_heater_h, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("exposure");
    TCase *tcase = tcase_create("exposure");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, good_water_leaves_no_trace);
    tcase_add_test(tcase, acid_water_counts_by_times_the_limit);
    tcase_add_test(tcase, strong_water_counts_by_times_the_ceiling);
    tcase_add_test(tcase, both_at_once_multiply_and_become_severe);
    tcase_add_test(tcase, band_gives_at_least_and_at_most);
    tcase_add_test(tcase, water_at_the_limit_is_inside);
    tcase_add_test(tcase, an_isolated_or_drained_heater_is_not_exposed);
    tcase_add_test(tcase, water_that_was_shut_in_stays_as_it_was);
    tcase_add_test(tcase,
                   a_stopped_pump_leaves_the_water_of_that_instant_in_the_heater);
    tcase_add_test(tcase, changes_between_points_are_cut_at_their_instant);
    tcase_add_test(tcase, a_falling_course_counts_until_it_is_down);
    tcase_add_test(tcase, unknown_water_is_counted_as_unknown);
    tcase_add_test(tcase, events_beyond_the_room_are_counted);
    tcase_add_test(tcase, a_short_gap_does_not_split_an_event);
    tcase_add_test(tcase, no_hour_counts_twice);
    tcase_add_test(tcase, weights_say_that_they_are_a_convention);
    tcase_add_test(tcase, limits_hold_from_when_they_were_set);
    tcase_add_test(tcase, a_severe_part_of_an_event_has_its_own_times);
    tcase_add_test(tcase, scaling_counts_apart_and_only_while_the_burner_fires);
    tcase_add_test(tcase, exposure_refuses_what_cannot_be);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
