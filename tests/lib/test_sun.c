/*
 * The sun: limits, symmetries and refusals. Reference positions, rise and set and
 * irradiances are run by the program `tables`.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "lib/sun.h"

#define DAY_S 86400.0
#define JUNE_S 1750507200.0     /* 2025-06-21 12:00 UTC */
#define DECEMBER_S 1766318400.0 /* 2025-12-21 12:00 UTC */
#define MARCH_S 1710936000.0    /* 2024-03-20 12:00 UTC, 9 h after the equinox */

static struct coil_sun_position sun_at(double lat_deg, double lon_deg, double time_s)
{
    struct coil_sun_position sun = {0};

    ck_assert_int_eq(coil_sun_position(lat_deg, lon_deg, time_s, &sun), COIL_OK);
    return sun;
}

static struct coil_sun_day day_at(double lat_deg, double lon_deg, double time_s)
{
    struct coil_sun_day day = {0};

    ck_assert_int_eq(coil_sun_day(lat_deg, lon_deg, time_s, COIL_SUN_HORIZON_DEG, &day),
                     COIL_OK);
    return day;
}

START_TEST(sun_stands_overhead_at_the_equator_at_equinox)
{
    struct coil_sun_day day = day_at(0, 0, MARCH_S);

    ck_assert_double_eq_tol(day.transit_elevation_deg, 90, 0.3);
    /* equation of time in March: about -7.4 min */
    ck_assert_double_eq_tol(day.transit_s - MARCH_S, 7.4 * 60, 15);
    ck_assert_double_eq_tol(day.day_length_h, 12.12, 0.02);
}
END_TEST

START_TEST(sun_goes_from_east_over_the_noon_side_to_west)
{
    ck_assert_double_lt(sun_at(47, 8, JUNE_S - 6 * 3600).azimuth_deg, 90);
    ck_assert_double_eq_tol(sun_at(47, 8, day_at(47, 8, JUNE_S).transit_s).azimuth_deg,
                            180, 0.01);
    ck_assert_double_gt(sun_at(47, 8, JUNE_S + 6 * 3600).azimuth_deg, 270);
    /* south of the tropic it stands in the north at noon */
    ck_assert_double_eq_tol(
        remainder(sun_at(-35, 8, day_at(-35, 8, JUNE_S).transit_s).azimuth_deg, 360), 0,
        0.01);
}
END_TEST

/* 90 - latitude + obliquity, less parallax. */
START_TEST(noon_elevation_follows_latitude_and_obliquity)
{
    for (int lat = -60; lat <= 60; lat += 10) {
        double tilt = day_at(lat, 0, JUNE_S).transit_elevation_deg;

        ck_assert_double_eq_tol(tilt, 90 - fabs(lat - 23.436), 0.01);
    }
}
END_TEST

START_TEST(sun_stands_at_the_horizon_when_it_rises_and_sets)
{
    for (int lat = -60; lat <= 60; lat += 15) {
        struct coil_sun_day day = day_at(lat, 20, DECEMBER_S);

        ck_assert_int_eq(day.kind, COIL_SUN_RISES_AND_SETS);
        ck_assert_double_eq_tol(sun_at(lat, 20, day.rise_s).elevation_deg,
                                COIL_SUN_HORIZON_DEG, 0.001);
        ck_assert_double_eq_tol(sun_at(lat, 20, day.set_s).elevation_deg,
                                COIL_SUN_HORIZON_DEG, 0.001);
        ck_assert_double_lt(day.rise_s, day.transit_s);
        ck_assert_double_lt(day.transit_s, day.set_s);
        ck_assert_double_gt(sun_at(lat, 20, day.rise_s + 60).elevation_deg,
                            sun_at(lat, 20, day.rise_s - 60).elevation_deg);
    }
}
END_TEST

/* From the ground the sun stands lower than from the earth's centre, by 8.8" at the
 * horizon. */
START_TEST(parallax_lowers_the_sun)
{
    const double degree = 3.14159265358979323846 / 180;

    for (int hour = -6; hour <= 6; hour += 3) {
        struct coil_sun_position sun = sun_at(30, 0, JUNE_S + 3600 * hour);
        double sine = sin(30 * degree) * sin(sun.from_earth.declination_deg * degree) +
                      cos(30 * degree) * cos(sun.from_earth.declination_deg * degree) *
                          cos(sun.hour_angle_deg * degree);
        double seen_from_centre = asin(sine) / degree;

        ck_assert_double_eq_tol(seen_from_centre - sun.elevation_deg,
                                0.00244 * cos(sun.elevation_deg * degree), 2e-5);
    }
}
END_TEST

START_TEST(polar_day_and_night_have_no_rise)
{
    ck_assert_int_eq(day_at(69.65, 18.96, JUNE_S).kind, COIL_SUN_ALWAYS_UP);
    ck_assert_double_eq(day_at(69.65, 18.96, JUNE_S).day_length_h, 24);
    ck_assert_int_eq(day_at(69.65, 18.96, DECEMBER_S).kind, COIL_SUN_ALWAYS_DOWN);
    ck_assert_double_eq(day_at(69.65, 18.96, DECEMBER_S).day_length_h, 0);
    ck_assert_int_eq(day_at(-69.65, 18.96, JUNE_S).kind, COIL_SUN_ALWAYS_DOWN);
    ck_assert_int_eq(day_at(90, 0, JUNE_S).kind, COIL_SUN_ALWAYS_UP);
    ck_assert_int_eq(day_at(-90, 0, JUNE_S).kind, COIL_SUN_ALWAYS_DOWN);
}
END_TEST

/* At a pole the sun rises once a year. */
START_TEST(the_pole_has_one_rise_and_one_set_a_year)
{
    int rises = 0;
    int sets = 0;

    for (int i = 0; i < 365; i++) {
        enum coil_sun_day_kind kind = day_at(90, 0, JUNE_S + DAY_S * i).kind;

        ck_assert_int_ne(kind, COIL_SUN_RISES_AND_SETS);
        rises += kind == COIL_SUN_ONLY_RISES;
        sets += kind == COIL_SUN_ONLY_SETS;
    }
    ck_assert_int_eq(rises, 1);
    ck_assert_int_eq(sets, 1);
}
END_TEST

/* Any instant of a solar day gives the same day, also east of the date line. */
START_TEST(every_instant_of_a_solar_day_gives_the_same_day)
{
    for (double lon = -180; lon <= 180; lon += 45) {
        double transit_s = day_at(40, lon, JUNE_S).transit_s;

        for (double off_h = -11.9; off_h < 12; off_h += 1.7)
            ck_assert_double_eq_tol(day_at(40, lon, transit_s + 3600 * off_h).transit_s,
                                    transit_s, 0.2);
    }
}
END_TEST

/* Refraction and the sun's disc make days longer than nights: at 40 degrees by about a
 * quarter of an hour over the year. */
START_TEST(days_of_a_year_average_a_little_more_than_twelve_hours)
{
    double sum = 0;

    for (int i = 0; i < 365; i++)
        sum += day_at(40, 0, JUNE_S + DAY_S * i).day_length_h;
    ck_assert_double_eq_tol(sum / 365, 12.17, 0.03);
}
END_TEST

START_TEST(refraction_is_half_a_degree_at_the_horizon_and_nothing_overhead)
{
    double at_horizon, overhead, thin, below;

    ck_assert_int_eq(coil_sun_refraction_deg(0, 1010, 10, &at_horizon), COIL_OK);
    ck_assert_int_eq(coil_sun_refraction_deg(90, 1010, 10, &overhead), COIL_OK);
    ck_assert_int_eq(coil_sun_refraction_deg(0, 505, 10, &thin), COIL_OK);
    ck_assert_int_eq(coil_sun_refraction_deg(-20, 1010, 10, &below), COIL_OK);
    /* by hand: 1.02/(60 tan(10.3/5.11 deg)) = 0.4830 */
    ck_assert_double_eq_tol(at_horizon, 0.4830, 0.0001);
    ck_assert_double_eq_tol(overhead, 0, 1e-4);
    ck_assert_double_eq_tol(thin, at_horizon / 2, 1e-9);
    ck_assert_double_eq_tol(below, 0.01585,
                            0.0001); /* 20.774/tan(20 deg) arc seconds */
    ck_assert_int_eq(coil_sun_refraction_deg(NAN, 1010, 10, &thin),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_sun_refraction_deg(91, 1010, 10, &thin), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_sun_refraction_deg(5, 0, 10, &thin), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_sun_refraction_deg(5, 1010, -273.15, &thin), COIL_ERR_DOMAIN);
}
END_TEST

/* Values of the formula, computed apart from this code. */
START_TEST(airmass_reaches_the_values_of_kasten_and_young)
{
    static const double pairs[][3] = {{30, 1.154, 0.0005},
                                      {60, 1.994, 0.0005},
                                      {80, 5.586, 0.0005},
                                      {85, 10.31, 0.005}};
    double airmass = 5;

    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        ck_assert_int_eq(coil_airmass_kasten_young(pairs[i][0], &airmass), COIL_OK);
        ck_assert_double_eq_tol(airmass, pairs[i][1], pairs[i][2]);
    }
    airmass = 5;
    ck_assert_int_eq(coil_airmass_kasten_young(90.1, &airmass), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_airmass_kasten_young(-1, &airmass), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_airmass_kasten_young(NAN, &airmass), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(airmass, 5);
}
END_TEST

START_TEST(clear_sky_rises_with_the_sun_and_with_altitude)
{
    struct coil_clear_sky low, high, gone;
    double before = 0;

    for (int elevation = 0; elevation <= 90; elevation += 5) {
        double now = NAN;

        ck_assert_int_eq(coil_clear_sky_haurwitz(elevation, &now), COIL_OK);
        ck_assert_double_ge(now, before);
        before = now;
    }
    ck_assert_int_eq(coil_clear_sky_ineichen(30, 1.15, 3, 0, 1364, &low), COIL_OK);
    ck_assert_int_eq(coil_clear_sky_ineichen(30, 1.0, 3, 2000, 1364, &high), COIL_OK);
    ck_assert_double_lt(low.global_w_per_m2, high.global_w_per_m2);
    ck_assert_double_eq_tol(low.global_w_per_m2,
                            low.direct_w_per_m2 * cos(30 * 3.14159265358979 / 180) +
                                low.diffuse_w_per_m2,
                            1e-9);
    ck_assert_int_eq(coil_clear_sky_ineichen(95, 40, 3, 0, 1364, &gone), COIL_OK);
    ck_assert_double_eq(gone.global_w_per_m2, 0);
}
END_TEST

/* FAO-56 examples 8 and 9: 20 S on day 246, 32.2 MJ/m2 and 11.7 h. */
START_TEST(extraterrestrial_day_reaches_the_printed_example_and_its_limits)
{
    double mj, hours;

    ck_assert_int_eq(coil_extraterrestrial_day(-20, 246, &mj, &hours), COIL_OK);
    ck_assert_double_eq_tol(mj, 32.2, 0.05);
    ck_assert_double_eq_tol(hours, 11.7, 0.05);
    ck_assert_int_eq(coil_extraterrestrial_day(75, 172, &mj, &hours), COIL_OK);
    ck_assert_double_eq_tol(hours, 24, 1e-9);
    ck_assert_int_eq(coil_extraterrestrial_day(75, 355, &mj, &hours), COIL_OK);
    ck_assert_double_eq_tol(hours, 0, 1e-9);
    ck_assert_double_eq_tol(mj, 0, 1e-9);
}
END_TEST

START_TEST(sun_refuses_what_is_no_place_or_instant_and_leaves_the_result_alone)
{
    struct coil_sun_position sun = {.elevation_deg = 5};
    struct coil_sun_day day = {.day_length_h = 5};
    double mj = 5, hours = 5;

    ck_assert_int_eq(coil_sun_position(NAN, 0, 0, &sun), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_sun_position(0, INFINITY, 0, &sun), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_sun_position(0, 0, NAN, &sun), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_sun_position(90.1, 0, 0, &sun), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_sun_position(0, -180.1, 0, &sun), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_sun_position(0, 0, 8e9, &sun), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_sun_position(0, 0, -3e9, &sun), COIL_ERR_DOMAIN);
    ck_assert_double_eq(sun.elevation_deg, 5);
    ck_assert_int_eq(coil_sun_day(95, 0, 0, -0.8, &day), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_sun_day(40, 0, 0, NAN, &day), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_sun_day(40, 0, COIL_SUN_TIME_MAX_S, -0.8, &day),
                     COIL_ERR_DOMAIN);
    ck_assert_double_eq(day.day_length_h, 5);
    ck_assert_int_eq(coil_extraterrestrial_day(40, 0, &mj, &hours), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_extraterrestrial_day(40, 367, &mj, &hours), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_extraterrestrial_day(NAN, 5, &mj, &hours),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_clear_sky_haurwitz(91, &mj), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_clear_sky_haurwitz(NAN, &mj), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(mj, 5);
    ck_assert_double_eq(hours, 5);
}
END_TEST

START_TEST(ineichen_refuses_impossible_air)
{
    static const struct {
        double zenith, airmass, linke, altitude, extra;
        enum coil_status status;
    } refused[] = {{NAN, 1, 3, 0, 1364, COIL_ERR_NOT_FINITE},
                   {30, NAN, 3, 0, 1364, COIL_ERR_NOT_FINITE},
                   {30, 1, NAN, 0, 1364, COIL_ERR_NOT_FINITE},
                   {30, 1, 3, NAN, 1364, COIL_ERR_NOT_FINITE},
                   {30, 1, 3, 0, NAN, COIL_ERR_NOT_FINITE},
                   {-1, 1, 3, 0, 1364, COIL_ERR_DOMAIN},
                   {30, 0, 3, 0, 1364, COIL_ERR_DOMAIN},
                   {30, 1, 0, 0, 1364, COIL_ERR_DOMAIN},
                   {30, 1, 3, 9001, 1364, COIL_ERR_DOMAIN},
                   {30, 1, 3, 0, 0, COIL_ERR_DOMAIN}};

    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        struct coil_clear_sky sky = {5, 5, 5};

        ck_assert_int_eq(coil_clear_sky_ineichen(refused[i].zenith, refused[i].airmass,
                                                 refused[i].linke, refused[i].altitude,
                                                 refused[i].extra, &sky),
                         refused[i].status);
        ck_assert_double_eq(sky.global_w_per_m2, 5);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("sun");
    TCase *tcase = tcase_create("sun");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, sun_stands_overhead_at_the_equator_at_equinox);
    tcase_add_test(tcase, sun_goes_from_east_over_the_noon_side_to_west);
    tcase_add_test(tcase, noon_elevation_follows_latitude_and_obliquity);
    tcase_add_test(tcase, sun_stands_at_the_horizon_when_it_rises_and_sets);
    tcase_add_test(tcase, parallax_lowers_the_sun);
    tcase_add_test(tcase, polar_day_and_night_have_no_rise);
    tcase_add_test(tcase, the_pole_has_one_rise_and_one_set_a_year);
    tcase_add_test(tcase, every_instant_of_a_solar_day_gives_the_same_day);
    tcase_add_test(tcase, days_of_a_year_average_a_little_more_than_twelve_hours);
    tcase_add_test(tcase,
                   refraction_is_half_a_degree_at_the_horizon_and_nothing_overhead);
    tcase_add_test(tcase, airmass_reaches_the_values_of_kasten_and_young);
    tcase_add_test(tcase, clear_sky_rises_with_the_sun_and_with_altitude);
    tcase_add_test(tcase,
                   extraterrestrial_day_reaches_the_printed_example_and_its_limits);
    tcase_add_test(tcase,
                   sun_refuses_what_is_no_place_or_instant_and_leaves_the_result_alone);
    tcase_add_test(tcase, ineichen_refuses_impossible_air);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
