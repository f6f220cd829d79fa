/*
 * Pipe: sizes, velocity, friction, pressure loss.
 *
 * Expected values: friction factors that Moody's chart prints at its edges and the
 * limits of Prandtl's and von Karman's formulas, from memory; sizes of the schedule in
 * pipe_schedule40.csv; viscosity as printed in every table.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/pipe.h"

static double factor(double reynolds, double roughness)
{
    double value = NAN;

    ck_assert_int_ge(coil_friction_factor(reynolds, roughness, &value), 0);
    return value;
}

START_TEST(laminar_friction_is_64_over_reynolds)
{
    ck_assert_double_eq_tol(factor(640, 0), 0.1, 1e-15);
    ck_assert_double_eq_tol(factor(2000, 0.05), 0.032, 1e-15);
    ck_assert_double_eq_tol(factor(1e-3, 0), 64000, 1e-9);
}
END_TEST

/* Smooth pipe, Prandtl's law (the chart's lowest line), from memory: half a digit. */
static const struct {
    double reynolds, roughness, factor, tolerance;
} CHART[] = {
    {1e4, 0, 0.0309, 0.00005},
    {1e5, 0, 0.0180, 0.00005},
    {1e6, 0, 0.0116, 0.0001},
    {1e7, 0, 0.0081, 0.00005},
    {1e8, 0, 0.0059, 0.00005},
    /* Complete turbulence at the chart's right edge, from memory. */
    {1e8, 0.05, 0.0716, 0.00005},
    {1e8, 0.01, 0.0379, 0.00005},
    {1e8, 0.001, 0.0196, 0.00005},
    {1e8, 0.0001, 0.0120, 0.00005},
    /* Between, from memory. */
    {1e5, 0.0001, 0.0185, 0.00005},
    {1e5, 0.001, 0.0222, 0.00005},
    {1e4, 0.01, 0.0431, 0.0001},
    {1e6, 0.0001, 0.0134, 0.00005},
};

START_TEST(friction_factor_is_that_of_the_moody_chart)
{
    ck_assert_double_eq_tol(factor(CHART[_i].reynolds, CHART[_i].roughness),
                            CHART[_i].factor, CHART[_i].tolerance);
}
END_TEST

/* von Karman: 1/sqrt(f) = -2 log10(e/3.7), the limit at endless Reynolds number. */
START_TEST(rough_pipe_tends_to_von_karmans_limit)
{
    for (double e = 0.0005; e <= 0.05; e *= 2) {
        double limit = pow(-2 * log10(e / 3.7), -2);

        ck_assert_double_eq_tol(factor(9.9e7, e) / limit, 1, 0.002);
        ck_assert_double_gt(factor(9.9e7, e), limit);
    }
}
END_TEST

/* The equation itself, put in by hand: both sides agree. */
START_TEST(turbulent_factor_solves_colebrooks_equation)
{
    for (double re = 4000; re <= 1e8; re *= 1.9) {
        for (double e = 0; e <= 0.05; e = e * 3 + 1e-6) {
            double x = 1 / sqrt(factor(re, e));

            ck_assert_double_eq_tol(x, -2 * log10(e / 3.7 + 2.51 * x / re), 1e-11 * x);
        }
    }
}
END_TEST

START_TEST(friction_falls_with_reynolds_and_rises_with_roughness)
{
    for (double re = 4000; re <= 1e8; re *= 1.5) {
        ck_assert_double_lt(factor(re * 1.5 < 1e8 ? re * 1.5 : 1e8, 0),
                            factor(re, 0) + 1e-15);
        ck_assert_double_lt(factor(re, 0.001), factor(re, 0.002));
    }
}
END_TEST

START_TEST(friction_says_where_its_chart_ends)
{
    double value = 5;

    ck_assert_int_eq(coil_friction_factor(3000, 0, &value), COIL_WARN_RANGE);
    /* Between laminar 0.0213 and the smooth line drawn on to there, 0.0435: the larger.
     */
    ck_assert_double_eq_tol(value, 0.0435, 0.0005);
    ck_assert_int_eq(coil_friction_factor(2e8, 0, &value), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_friction_factor(4000, 0, &value), COIL_OK);
    value = 5;
    ck_assert_int_eq(coil_friction_factor(0, 0, &value), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_friction_factor(-1, 0, &value), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_friction_factor(1e5, -1e-9, &value), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_friction_factor(1e5, 0.051, &value), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_friction_factor(NAN, 0, &value), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_friction_factor(1e5, INFINITY, &value), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(value, 5);
}
END_TEST

/* mPa s at 1 atm, as printed: 20 degC 1.0016 (ISO/TR 3666), 25 degC 0.8900; 0
 * degC 1.792 and 60 degC 0.466 to the digits that tables share. From memory. */
START_TEST(viscosity_is_that_of_the_tables)
{
    static const struct {
        double temp_c, mpa_s, tolerance;
    } points[] = {{0, 1.792, 0.001},   {20, 1.0016, 0.0005}, {25, 0.8900, 0.0003},
                  {40, 0.653, 0.0005}, {60, 0.466, 0.0005},  {100, 0.282, 0.0005}};
    double value = 5;

    for (size_t i = 0; i < sizeof points / sizeof *points; i++) {
        ck_assert_int_eq(coil_water_viscosity(points[i].temp_c, &value), COIL_OK);
        ck_assert_double_eq_tol(1000 * value, points[i].mpa_s, points[i].tolerance);
    }
    value = 5;
    ck_assert_int_eq(coil_water_viscosity(NAN, &value), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_water_viscosity(-21, &value), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_water_viscosity(111, &value), COIL_ERR_DOMAIN);
    ck_assert_double_eq(value, 5);
}
END_TEST

/* 40 gal/min in 2 inch: 1.17 m/s; 52.50 mm; 2.165 L/m. */
START_TEST(two_inch_pipe_is_as_printed)
{
    double inside = NAN, velocity = NAN;

    ck_assert_int_eq(coil_pipe_inside_m(COIL_PIPE_PLASTIC, COIL_PIPE_2, &inside),
                     COIL_OK);
    ck_assert_double_eq_tol(1000 * inside, 52.50, 0.005);
    ck_assert_double_eq_tol(coil_pipe_l_per_m(inside), 2.165, 0.0005);
    ck_assert_int_eq(coil_pipe_velocity(40 * 3.785411784 / 60, inside, &velocity),
                     COIL_OK);
    ck_assert_double_eq_tol(velocity, 1.17, 0.005);
}
END_TEST

START_TEST(size_keys_go_there_and_back)
{
    enum coil_pipe_size size = COIL_PIPE_SIZE_NONE;
    double inside = 5, last = 0;

    for (int i = COIL_PIPE_0_5; i <= COIL_PIPE_8; i++) {
        const char *key = coil_pipe_size_key((enum coil_pipe_size)i);

        ck_assert_ptr_nonnull(key);
        ck_assert_int_eq(coil_pipe_size_from_key(key, &size), COIL_OK);
        ck_assert_int_eq(size, i);
        ck_assert_int_eq(coil_pipe_inside_m(COIL_PIPE_PLASTIC, size, &inside), COIL_OK);
        ck_assert_double_gt(inside, last);
        last = inside;
        /* Both kinds are named after nearly the same bore. */
        ck_assert_int_eq(coil_pipe_inside_m(COIL_PIPE_COPPER, size, &inside), COIL_OK);
        ck_assert_double_eq_tol(inside / last, 1, 0.13);
    }
    inside = 5;
    ck_assert_ptr_null(coil_pipe_size_key(COIL_PIPE_SIZE_NONE));
    ck_assert_int_eq(coil_pipe_size_from_key("7", &size), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_pipe_size_from_key(NULL, &size), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(
        coil_pipe_inside_m(COIL_PIPE_PLASTIC, (enum coil_pipe_size)99, &inside),
        COIL_ERR_UNKNOWN);
    ck_assert_int_eq(
        coil_pipe_inside_m((enum coil_pipe_material)9, COIL_PIPE_2, &inside),
        COIL_ERR_UNKNOWN);
    ck_assert_double_eq(inside, 5);
}
END_TEST

START_TEST(velocity_refuses_what_has_no_meaning)
{
    double v = 5;

    ck_assert_int_eq(coil_pipe_velocity(-1, 0.05, &v), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_pipe_velocity(1, 0, &v), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_pipe_velocity(NAN, 0.05, &v), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_pipe_velocity(1, INFINITY, &v), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_pipe_velocity(1e300, 1e-10, &v), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(v, 5);
    ck_assert_int_eq(coil_pipe_velocity(0, 0.05, &v), COIL_OK);
    ck_assert_double_eq(v, 0);
}
END_TEST

/* By hand at 20 degC: 2 inch plastic, 2.5236 L/s (40 gal/min), 10 m. v = 1.1657 m/s;
 * Re = 998.2 x 1.1657 x 0.052502 / 0.0010016 = 60 990; smooth f about 0.0202;
 * dp = 0.0202 x 10/0.0525 x 0.5 x 998.2 x 1.1657^2 = 2.61 kPa. */
START_TEST(pressure_loss_is_that_of_a_hand_calculation)
{
    struct coil_pipe_state state;

    ck_assert_int_eq(
        coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_2, 10, 2.523608, 20, &state),
        COIL_OK);
    ck_assert_double_eq_tol(state.reynolds, 60990, 60);
    ck_assert_double_eq_tol(state.friction_factor, 0.0202, 0.0002);
    ck_assert_double_eq_tol(state.pressure_loss_pa, 2610, 40);
    ck_assert_double_eq_tol(state.volume_l, 21.65, 0.01);
    /* The wall holds the pressure: dp x area = shear x wall. */
    ck_assert_double_eq_tol(state.pressure_loss_pa * state.inside_m / 4,
                            state.wall_shear_pa * 10, 1e-9);
    ck_assert(!state.is_too_fast);
}
END_TEST

START_TEST(pressure_loss_grows_with_length_and_vanishes_without_flow)
{
    struct coil_pipe_state one, two, still;

    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_COPPER, COIL_PIPE_1_5, 3, 1, 30, &one),
                     COIL_OK);
    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_COPPER, COIL_PIPE_1_5, 6, 1, 30, &two),
                     COIL_OK);
    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_COPPER, COIL_PIPE_1_5, 6, 0, 30, &still),
                     COIL_OK);
    ck_assert_double_eq_tol(two.pressure_loss_pa, 2 * one.pressure_loss_pa, 1e-9);
    ck_assert_double_eq(still.pressure_loss_pa, 0);
    ck_assert_double_eq(still.reynolds, 0);
    ck_assert_double_eq(still.velocity_m_per_s, 0);
}
END_TEST

/* 8, 5 and 2 ft/s (copper handbooks, from memory). */
START_TEST(copper_guide_gets_stricter_with_heat)
{
    double cold = NAN, warm = NAN, hot = NAN, none = 5;
    struct coil_pipe_state state;

    ck_assert_int_eq(coil_copper_velocity_limit(15, &cold), COIL_OK);
    ck_assert_int_eq(coil_copper_velocity_limit(40, &warm), COIL_OK);
    ck_assert_int_eq(coil_copper_velocity_limit(70, &hot), COIL_OK);
    ck_assert_double_eq_tol(cold, 2.4384, 1e-12);
    ck_assert_double_eq_tol(warm, 1.524, 1e-12);
    ck_assert_double_eq_tol(hot, 0.6096, 1e-12);
    ck_assert_int_eq(coil_copper_velocity_limit(NAN, &none), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_copper_velocity_limit(101, &none), COIL_ERR_DOMAIN);
    ck_assert_double_eq(none, 5);
    /* 1.5 inch copper holds 1.148 L/m: 2 L/s runs at 1.74 m/s, 1.5 L/s at 1.31. */
    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_COPPER, COIL_PIPE_1_5, 1, 2, 30, &state),
                     COIL_OK);
    ck_assert_double_eq_tol(state.velocity_m_per_s, 1.74, 0.005);
    ck_assert(state.is_too_fast);
    ck_assert_int_eq(
        coil_pipe_state(COIL_PIPE_COPPER, COIL_PIPE_1_5, 1, 1.5, 30, &state), COIL_OK);
    ck_assert(!state.is_too_fast);
    ck_assert_int_eq(
        coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_1_5, 1, 4, 30, &state), COIL_OK);
    ck_assert(!state.is_too_fast);
}
END_TEST

START_TEST(pipe_state_refuses_what_has_no_meaning)
{
    struct coil_pipe_state state, kept;

    memset(&state, 7, sizeof state);
    kept = state;
    ck_assert_int_eq(
        coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_SIZE_NONE, 1, 1, 20, &state),
        COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_2, 0, 1, 20, &state),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(
        coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_2, NAN, 1, 20, &state),
        COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_2, 1, -1, 20, &state),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_2, 1, 1, 120, &state),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_pipe_state(COIL_PIPE_PLASTIC, COIL_PIPE_2, 1, 1, NAN, &state),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(memcmp(&state, &kept, sizeof state), 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("pipe");
    TCase *tcase = tcase_create("pipe");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, laminar_friction_is_64_over_reynolds);
    tcase_add_loop_test(tcase, friction_factor_is_that_of_the_moody_chart, 0,
                        sizeof CHART / sizeof *CHART);
    tcase_add_test(tcase, rough_pipe_tends_to_von_karmans_limit);
    tcase_add_test(tcase, turbulent_factor_solves_colebrooks_equation);
    tcase_add_test(tcase, friction_falls_with_reynolds_and_rises_with_roughness);
    tcase_add_test(tcase, friction_says_where_its_chart_ends);
    tcase_add_test(tcase, viscosity_is_that_of_the_tables);
    tcase_add_test(tcase, two_inch_pipe_is_as_printed);
    tcase_add_test(tcase, size_keys_go_there_and_back);
    tcase_add_test(tcase, velocity_refuses_what_has_no_meaning);
    tcase_add_test(tcase, pressure_loss_is_that_of_a_hand_calculation);
    tcase_add_test(tcase, pressure_loss_grows_with_length_and_vanishes_without_flow);
    tcase_add_test(tcase, copper_guide_gets_stricter_with_heat);
    tcase_add_test(tcase, pipe_state_refuses_what_has_no_meaning);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
