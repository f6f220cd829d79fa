/*
 * Loss of chlorine: limits, laws and published orders of size. The tables
 * photolysis.csv and chlorine_photolysis_nowell_hoigne.csv are run by the program
 * `tables`.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "lib/chlorine_loss.h"

#define DAY_S 86400.0
/* Solar noon of 21 June 2025 at 8.6 degrees east. */
#define NOON_S (1750507200.0 - 8.6 * 240.0 + 120.0)

static const struct coil_loss_water pool_water = {3, 7.5, 30, 28};
static const struct coil_loss_light noon_light = {
    66, 0, 0, 0, 1, COIL_DEPTH_USUAL_M, COIL_UV_ATTENUATION_PER_M};
static const struct coil_loss_parameters usual = {1, 0.06, 6, 0.2, 0};

static struct coil_loss_place place(void)
{
    return (struct coil_loss_place){47.4, 8.6, noon_light};
}

static double uv(struct coil_loss_light light, double ocl_mg_per_l)
{
    double relative = NAN;

    ck_assert_int_eq(coil_uv_in_water(&light, ocl_mg_per_l, &relative), COIL_OK);
    return relative;
}

static struct coil_loss_rate rate(struct coil_loss_water water,
                                  struct coil_loss_light light,
                                  struct coil_loss_parameters parameters)
{
    struct coil_loss_rate out = {NAN, NAN, NAN, NAN, NAN};

    ck_assert_int_ge(coil_chlorine_loss_rate(&water, &light, &parameters, &out),
                     COIL_OK);
    return out;
}

static double run(struct coil_loss_water water, struct coil_loss_place at,
                  struct coil_loss_parameters parameters, double from_s, double until_s)
{
    double after = NAN;

    ck_assert_int_ge(
        coil_chlorine_loss_run(&water, &at, &parameters, from_s, until_s, &after),
        COIL_OK);
    return after;
}

/* The scale of light is what the source measured under: 1 at its noon, at the surface.
 */
START_TEST(light_at_the_source_s_noon_and_surface_is_one)
{
    struct coil_loss_light light = noon_light;

    light.depth_m = 0;
    ck_assert_double_eq_tol(uv(light, 0), 1, 1e-9);
}
END_TEST

START_TEST(light_falls_with_cloud_shade_cover_depth_and_low_sun)
{
    struct coil_loss_light light = noon_light;
    double clear = uv(light, 0);

    for (double elevation = 5; elevation < 90; elevation += 5) {
        struct coil_loss_light lower = noon_light;
        struct coil_loss_light higher = noon_light;

        lower.sun_elevation_deg = elevation;
        higher.sun_elevation_deg = elevation + 5;
        ck_assert_double_lt(uv(lower, 0), uv(higher, 0));
    }
    light.cloud_fraction = 1;
    ck_assert_double_eq_tol(uv(light, 0), 0.25 * clear, 1e-12); /* 1 - 0.75 */
    light.cloud_fraction = 0;
    light.shade_fraction = 0.4;
    ck_assert_double_eq_tol(uv(light, 0), 0.6 * clear, 1e-12);
    light.cover_pass_fraction = 0;
    ck_assert_double_eq(uv(light, 0), 0);
    light = noon_light;
    light.altitude_m = 2000;
    ck_assert_double_lt(clear, uv(light, 0));
    ck_assert_double_lt(uv(noon_light, 3), clear);
}
END_TEST

START_TEST(there_is_no_light_while_the_sun_is_down)
{
    struct coil_loss_light light = noon_light;

    light.sun_elevation_deg = 0;
    ck_assert_double_eq(uv(light, 0), 0);
    light.sun_elevation_deg = -40;
    ck_assert_double_eq(uv(light, 0), 0);
}
END_TEST

/* depth x mean is what reaches the water down to it: each further layer of the same
 * thickness gets exp(-K h / cosine) of the one above, and cosines in water lie between
 * 0.66 (grazing sun, n 1.34) and 1. */
START_TEST(mean_over_depth_is_the_sum_of_its_layers)
{
    double k = COIL_UV_ATTENUATION_PER_M;
    double h = 0.3;
    double before = 0;

    for (int layers = 1; layers <= 6; layers++) {
        struct coil_loss_light whole = noon_light;
        struct coil_loss_light above = noon_light;
        double layer;

        whole.depth_m = h * layers;
        above.depth_m = h * (layers - 1);
        layer = whole.depth_m * uv(whole, 0) - above.depth_m * uv(above, 0);
        if (layers > 1) {
            ck_assert_double_gt(layer / before, exp(-k * h / 0.66));
            ck_assert_double_lt(layer / before, exp(-k * h));
        }
        before = layer;
    }
}
END_TEST

/* In deep water all light is used up, whatever the depth. */
START_TEST(deep_water_loses_in_proportion_to_surface_over_volume)
{
    struct coil_loss_light deep = noon_light;
    struct coil_loss_light deeper = noon_light;

    deep.depth_m = 9;
    deeper.depth_m = 18;
    ck_assert_double_eq_tol(uv(deep, 0) / uv(deeper, 0), 2, 1e-5);
}
END_TEST

/* Nowell and Hoigné: 12 min at pH 8, 60 min at pH 5, each within 10 %. */
START_TEST(surface_half_lives_are_those_published)
{
    static const double pairs[][2] = {{8, 12}, {5, 60}};

    for (int i = 0; i < 2; i++) {
        struct coil_loss_water water = {1, pairs[i][0], 0, 25};
        struct coil_loss_light light = noon_light;
        double per_day;

        light.depth_m = 0;
        per_day = rate(water, light, (struct coil_loss_parameters){1, 0, 6, 0, 0}).sun;
        ck_assert_double_eq_tol(log(2) / per_day * 24 * 60, pairs[i][1],
                                0.1 * pairs[i][1]);
    }
}
END_TEST

/* Unstabilised outdoor pools lose 75 to 90 % in two hours of sun. */
START_TEST(two_hours_of_sun_take_most_of_unstabilised_chlorine)
{
    struct coil_loss_water water = {3, 7.5, 0, 28};
    double after = run(water, place(), (struct coil_loss_parameters){1, 0, 6, 0, 0},
                       NOON_S - 3600, NOON_S + 3600);

    ck_assert_double_ge(1 - after / 3, 0.75);
    ck_assert_double_le(1 - after / 3, 0.90);
}
END_TEST

START_TEST(cyanuric_acid_shields_and_saturates)
{
    double before = INFINITY;

    for (double cyanuric = 0; cyanuric <= 150; cyanuric += 10) {
        struct coil_loss_water water = pool_water;
        double sun;

        water.cyanuric_acid_mg_per_l = cyanuric;
        sun = rate(water, noon_light, usual).sun;
        ck_assert_double_lt(sun, before);
        ck_assert_double_gt(sun, 0);
        before = sun;
    }
}
END_TEST

/* The literature's point: with much cyanuric acid in hot water a day's dark loss is
 * larger than the sun's, although the sun shines clear. */
START_TEST(hot_stabilised_water_loses_mostly_in_the_dark)
{
    struct coil_loss_water water = {4, 7.5, 138, 32};
    struct coil_loss_parameters sun = {1, 0, 6, 0, 0};
    struct coil_loss_parameters dark = {0, 0.06, 6, 0, 0};
    double by_sun = 4 - run(water, place(), sun, NOON_S - 43200, NOON_S + 43200);
    double by_dark = 4 - run(water, place(), dark, NOON_S - 43200, NOON_S + 43200);

    ck_assert_double_gt(by_dark, by_sun);
    ck_assert_double_eq_tol(by_dark / 4, 0.14, 0.03); /* 14 % a day, Phoenix summer */
}
END_TEST

START_TEST(dark_loss_doubles_with_its_own_temperature)
{
    struct coil_loss_water cold = pool_water;
    struct coil_loss_water warm = pool_water;

    cold.water_temp_c = 22;
    warm.water_temp_c = 28;
    ck_assert_double_eq_tol(rate(warm, noon_light, usual).dark,
                            2 * rate(cold, noon_light, usual).dark, 1e-12);
    cold.water_temp_c = 25;
    ck_assert_double_eq_tol(rate(cold, noon_light, usual).dark, 0.06 * 3, 1e-12);
}
END_TEST

START_TEST(parts_add_up_and_scale)
{
    struct coil_loss_parameters twice = usual;
    struct coil_loss_rate one, two;

    twice.sun_scale *= 2;
    twice.dark_per_day_25c *= 2;
    twice.demand_mg_per_l_day *= 2;
    twice.bathers_mg_per_l_day = 1;
    one = rate(pool_water, noon_light, usual);
    two = rate(pool_water, noon_light, twice);
    ck_assert_double_eq_tol(two.sun, 2 * one.sun, 1e-12);
    ck_assert_double_eq_tol(two.dark, 2 * one.dark, 1e-12);
    ck_assert_double_eq_tol(two.demand, 2 * one.demand, 1e-12);
    ck_assert_double_eq_tol(two.bathers, 3.0 / 3.2, 1e-12);
    ck_assert_double_eq_tol(one.total, one.sun + one.dark + one.demand + one.bathers,
                            1e-12);
}
END_TEST

/* Against closed forms: first order alone, and a steady feed alone. */
START_TEST(integration_reaches_the_closed_forms)
{
    struct coil_loss_water water = {10, 7.5, 30, 25};
    struct coil_loss_parameters dark = {0, 0.3, 6, 0, 0};
    struct coil_loss_parameters fed = {0, 0, 6, -1.5, 0};

    ck_assert_double_eq_tol(run(water, place(), dark, NOON_S, NOON_S + 3 * DAY_S),
                            10 * exp(-0.9), 1e-6);
    ck_assert_double_eq_tol(run(water, place(), fed, NOON_S, NOON_S + 2 * DAY_S), 13,
                            1e-9);
    ck_assert_double_eq(run(water, place(), dark, NOON_S, NOON_S), 10);
}
END_TEST

/* One run against the same run cut into hours: the step does not matter. */
START_TEST(integration_does_not_depend_on_the_step)
{
    struct coil_loss_water water = {8, 7.6, 0, 28};
    double whole = run(water, place(), usual, NOON_S - 7200, NOON_S + 7200);

    for (int i = 0; i < 960; i++)
        water.free_chlorine_mg_per_l =
            run(water, place(), usual, NOON_S - 7200 + 15 * i,
                NOON_S - 7200 + 15 * (i + 1));
    ck_assert_double_eq_tol(whole, water.free_chlorine_mg_per_l, 0.008);
}
END_TEST

START_TEST(chlorine_never_falls_below_nothing)
{
    struct coil_loss_parameters greedy = {5, 2, 6, 20, 100};
    struct coil_loss_water water = {1, 7.5, 0, 30};

    ck_assert_double_ge(run(water, place(), greedy, NOON_S, NOON_S + DAY_S), 0);
    ck_assert_double_lt(run(water, place(), greedy, NOON_S, NOON_S + DAY_S), 0.01);
    water.free_chlorine_mg_per_l = 0;
    ck_assert_double_eq(run(water, place(), greedy, NOON_S, NOON_S + DAY_S), 0);
}
END_TEST

START_TEST(polar_night_takes_nothing_by_the_sun)
{
    struct coil_loss_place north = place();
    struct coil_loss_water water = {8, 7.5, 0, 20};

    north.lat_deg = 75;
    ck_assert_double_eq(run(water, north, (struct coil_loss_parameters){1, 0, 6, 0, 0},
                            1766318400, 1766318400 + 5 * DAY_S),
                        8);
}
END_TEST

START_TEST(unbound_shares_add_to_one_without_cyanurate)
{
    struct coil_loss_water water = {3, 7.5, 0, 28};
    struct coil_unbound unbound;

    ck_assert_int_eq(coil_chlorine_unbound(&water, &unbound), COIL_OK);
    ck_assert_double_eq_tol(unbound.hocl_fraction + unbound.ocl_fraction, 1, 1e-9);
    ck_assert_double_eq_tol(unbound.hocl_fraction, 0.507, 0.001); /* Morris, 28 degC */
    water.water_temp_c = 40;
    ck_assert_int_eq(coil_chlorine_unbound(&water, &unbound), COIL_WARN_RANGE);
}
END_TEST

START_TEST(bathers_take_chlorine_in_proportion)
{
    double out[3] = {5, 5, 5};
    double twice[3];

    ck_assert_int_eq(coil_bather_demand(10, 50, out), COIL_OK);
    ck_assert_int_eq(coil_bather_demand(20, 50, twice), COIL_OK);
    ck_assert_double_lt(out[0], out[1]);
    ck_assert_double_lt(out[1], out[2]);
    ck_assert_double_eq_tol(out[1], 1.4, 1e-12); /* 10 h x 7 g / 50 m3 */
    ck_assert_double_eq_tol(twice[2], 2 * out[2], 1e-12);
    ck_assert_int_eq(coil_bather_demand(10, 0, out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_bather_demand(-1, 50, out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_bather_demand(NAN, 50, out), COIL_ERR_NOT_FINITE);
}
END_TEST

/* ---- refusals ---- */

static const struct {
    struct coil_loss_water water;
    enum coil_status status;
} refused_waters[] = {
    {{NAN, 7.5, 30, 28}, COIL_ERR_NOT_FINITE}, {{3, NAN, 30, 28}, COIL_ERR_NOT_FINITE},
    {{3, 7.5, NAN, 28}, COIL_ERR_NOT_FINITE},  {{3, 7.5, 30, NAN}, COIL_ERR_NOT_FINITE},
    {{-0.1, 7.5, 30, 28}, COIL_ERR_DOMAIN},    {{501, 7.5, 30, 28}, COIL_ERR_DOMAIN},
    {{3, 4.9, 30, 28}, COIL_ERR_DOMAIN},       {{3, 10.1, 30, 28}, COIL_ERR_DOMAIN},
    {{3, 7.5, -1, 28}, COIL_ERR_DOMAIN},       {{3, 7.5, 1001, 28}, COIL_ERR_DOMAIN},
    {{3, 7.5, 30, -0.1}, COIL_ERR_DOMAIN},     {{3, 7.5, 30, 60.1}, COIL_ERR_DOMAIN}};

static const struct {
    struct coil_loss_light light;
    enum coil_status status;
} refused_lights[] = {{{NAN, 0, 0, 0, 1, 1, 1}, COIL_ERR_NOT_FINITE},
                      {{50, NAN, 0, 0, 1, 1, 1}, COIL_ERR_NOT_FINITE},
                      {{50, 0, NAN, 0, 1, 1, 1}, COIL_ERR_NOT_FINITE},
                      {{50, 0, 0, NAN, 1, 1, 1}, COIL_ERR_NOT_FINITE},
                      {{50, 0, 0, 0, NAN, 1, 1}, COIL_ERR_NOT_FINITE},
                      {{50, 0, 0, 0, 1, NAN, 1}, COIL_ERR_NOT_FINITE},
                      {{50, 0, 0, 0, 1, 1, NAN}, COIL_ERR_NOT_FINITE},
                      {{91, 0, 0, 0, 1, 1, 1}, COIL_ERR_DOMAIN},
                      {{50, 9001, 0, 0, 1, 1, 1}, COIL_ERR_DOMAIN},
                      {{50, 0, 1.1, 0, 1, 1, 1}, COIL_ERR_DOMAIN},
                      {{50, 0, 0, -0.1, 1, 1, 1}, COIL_ERR_DOMAIN},
                      {{50, 0, 0, 0, 1.1, 1, 1}, COIL_ERR_DOMAIN},
                      {{50, 0, 0, 0, 1, 21, 1}, COIL_ERR_DOMAIN},
                      {{50, 0, 0, 0, 1, 1, 101}, COIL_ERR_DOMAIN}};

static const struct {
    struct coil_loss_parameters parameters;
    enum coil_status status;
} refused_parameters[] = {
    {{NAN, 0, 6, 0, 0}, COIL_ERR_NOT_FINITE}, {{1, NAN, 6, 0, 0}, COIL_ERR_NOT_FINITE},
    {{1, 0, NAN, 0, 0}, COIL_ERR_NOT_FINITE}, {{1, 0, 6, NAN, 0}, COIL_ERR_NOT_FINITE},
    {{1, 0, 6, 0, NAN}, COIL_ERR_NOT_FINITE}, {{-1, 0, 6, 0, 0}, COIL_ERR_DOMAIN},
    {{1, 11, 6, 0, 0}, COIL_ERR_DOMAIN},      {{1, 0, 0.5, 0, 0}, COIL_ERR_DOMAIN},
    {{1, 0, 6, 51, 0}, COIL_ERR_DOMAIN},      {{1, 0, 6, 0, -1}, COIL_ERR_DOMAIN}};

#define COUNT(list) (sizeof(list) / sizeof((list)[0]))

START_TEST(loss_refuses_what_cannot_be_and_leaves_the_result_alone)
{
    struct coil_loss_rate out = {.total = 5};

    for (size_t i = 0; i < COUNT(refused_waters); i++)
        ck_assert_int_eq(coil_chlorine_loss_rate(&refused_waters[i].water, &noon_light,
                                                 &usual, &out),
                         refused_waters[i].status);
    for (size_t i = 0; i < COUNT(refused_lights); i++)
        ck_assert_int_eq(coil_chlorine_loss_rate(&pool_water, &refused_lights[i].light,
                                                 &usual, &out),
                         refused_lights[i].status);
    for (size_t i = 0; i < COUNT(refused_parameters); i++)
        ck_assert_int_eq(coil_chlorine_loss_rate(&pool_water, &noon_light,
                                                 &refused_parameters[i].parameters,
                                                 &out),
                         refused_parameters[i].status);
    ck_assert_double_eq(out.total, 5);
}
END_TEST

START_TEST(run_refuses_time_that_goes_back_or_never_ends)
{
    struct coil_loss_place at = place();
    struct coil_loss_place nowhere = place();
    double out = 5;

    nowhere.lat_deg = 91;
    ck_assert_int_eq(coil_chlorine_loss_run(&pool_water, &at, &usual, 10, 0, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(
        coil_chlorine_loss_run(&pool_water, &at, &usual, 0, 401 * DAY_S, &out),
        COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_chlorine_loss_run(&pool_water, &at, &usual, NAN, 0, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_chlorine_loss_run(&pool_water, &nowhere, &usual, 0, 10, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_double_eq(out, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("chlorine_loss");
    TCase *tcase = tcase_create("chlorine_loss");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, light_at_the_source_s_noon_and_surface_is_one);
    tcase_add_test(tcase, light_falls_with_cloud_shade_cover_depth_and_low_sun);
    tcase_add_test(tcase, there_is_no_light_while_the_sun_is_down);
    tcase_add_test(tcase, mean_over_depth_is_the_sum_of_its_layers);
    tcase_add_test(tcase, deep_water_loses_in_proportion_to_surface_over_volume);
    tcase_add_test(tcase, surface_half_lives_are_those_published);
    tcase_add_test(tcase, two_hours_of_sun_take_most_of_unstabilised_chlorine);
    tcase_add_test(tcase, cyanuric_acid_shields_and_saturates);
    tcase_add_test(tcase, hot_stabilised_water_loses_mostly_in_the_dark);
    tcase_add_test(tcase, dark_loss_doubles_with_its_own_temperature);
    tcase_add_test(tcase, parts_add_up_and_scale);
    tcase_add_test(tcase, integration_reaches_the_closed_forms);
    tcase_add_test(tcase, integration_does_not_depend_on_the_step);
    tcase_add_test(tcase, chlorine_never_falls_below_nothing);
    tcase_add_test(tcase, polar_night_takes_nothing_by_the_sun);
    tcase_add_test(tcase, unbound_shares_add_to_one_without_cyanurate);
    tcase_add_test(tcase, bathers_take_chlorine_in_proportion);
    tcase_add_test(tcase, loss_refuses_what_cannot_be_and_leaves_the_result_alone);
    tcase_add_test(tcase, run_refuses_time_that_goes_back_or_never_ends);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
