/*
 * Mass balance of copper and iron between tests: by hand, limits, uncertainty,
 * refusals. E15 of fixtures/tables/metals.csv is also run by the program `tables`.
 */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "lib/corrosion.h"

static const struct coil_metal_tests clean = {.metal = COIL_METAL_COPPER,
                                              .volume_l = 50000.0,
                                              .u_volume_fraction = 0.05,
                                              .before_mg_per_l = 0.1,
                                              .u_before_mg_per_l = 0.05,
                                              .after_mg_per_l = 1.1,
                                              .u_after_mg_per_l = 0.05};

static struct coil_metal_balance balance_of(struct coil_metal_tests tests)
{
    struct coil_metal_balance balance;

    ck_assert_int_eq(coil_metal_balance(&tests, &balance), COIL_OK);
    return balance;
}

/* 1 mg/L in 50 m3 is 50 g, 5.6 um of 1 m2 copper: arithmetic with 8.96 g/cm3. */
START_TEST(one_milligram_a_litre_in_50_m3_is_50_g)
{
    struct coil_metal_balance balance = balance_of(clean);
    double um;

    ck_assert_double_eq_tol(balance.entered_g, 50.0, 1e-9);
    ck_assert_double_eq_tol(balance.unexplained_g, 50.0, 1e-9);
    ck_assert_int_eq(balance.verdict, COIL_METAL_UNEXPLAINED);
    ck_assert_int_eq(coil_metal_depth_um(COIL_METAL_COPPER, 50.0, 1.0, &um), COIL_OK);
    ck_assert_double_eq_tol(um, 5.58, 0.005);
    ck_assert_int_eq(coil_metal_depth_um(COIL_METAL_COPPER, 50.0, 0.0, &um), COIL_ERR_DOMAIN);
    /* By hand: volume 50 x 0.05 g, tests 50 m3 x 0.05 g/m3 each. */
    ck_assert_double_eq_tol(balance.u_unexplained_g, sqrt(3.0) * 2.5, 1e-5);
    ck_assert_double_eq_tol(balance.at_least_g, 50.0 - 1.645 * sqrt(3.0) * 2.5, 1e-5);
}
END_TEST

/* Fill 20 m3 of 0.3 mg/L brings 6 g; a product 10 g. */
START_TEST(fill_water_and_doses_explain_their_part)
{
    struct coil_metal_tests tests = clean;
    struct coil_metal_balance balance;

    tests.fill_l = 20000.0;
    tests.fill_mg_per_l = 0.3;
    tests.dosed_g = 10.0;
    balance = balance_of(tests);
    ck_assert_double_eq_tol(balance.explained_g, 16.0, 1e-9);
    ck_assert_double_eq_tol(balance.unexplained_g, 34.0, 1e-9);
    tests.dosed_g = 44.0;
    balance = balance_of(tests);
    ck_assert_double_eq_tol(balance.unexplained_g, 0.0, 1e-9);
    ck_assert_double_eq_tol(balance.at_least_g, 0.0, 1e-12);
    ck_assert_int_eq(balance.verdict, COIL_METAL_NOTHING_SHOWN);
}
END_TEST

/* Stepping a mixed tank with known sources finds them again. */
START_TEST(metal_that_left_with_the_water_is_counted)
{
    const double source_g = 30.0;
    struct coil_metal_tests tests = clean;

    for (double out_l = 0.0; out_l <= 200000.0; out_l += 40000.0) {
        double concentration = 0.4;
        const int steps = 100000;

        for (int i = 0; i < steps; i++)
            concentration +=
                (source_g * 1000.0 - out_l * concentration) / steps / tests.volume_l;
        tests.before_mg_per_l = 0.4;
        tests.after_mg_per_l = concentration;
        tests.out_l = out_l;
        ck_assert_double_eq_tol(balance_of(tests).entered_g, source_g, 0.002);
    }
    tests.out_l = 1e-6; /* meets the limit without outflow */
    tests.after_mg_per_l = 1.0;
    ck_assert_double_eq_tol(balance_of(tests).entered_g, 30.0, 1e-6);
}
END_TEST

START_TEST(metal_that_went_missing_shows_nothing_and_is_never_called_sound)
{
    struct coil_metal_tests tests = clean;
    struct coil_metal_balance balance;

    tests.before_mg_per_l = 0.8;
    tests.after_mg_per_l = 0.0;
    balance = balance_of(tests);
    ck_assert_double_lt(balance.unexplained_g, 0.0);
    ck_assert_double_eq_tol(balance.at_least_g, 0.0, 1e-12);
    ck_assert_int_eq(balance.verdict, COIL_METAL_NOTHING_SHOWN);
}
END_TEST

/* Drawn inputs spread the result as stated, with outflow too. */
START_TEST(uncertainty_is_the_spread_of_drawn_inputs)
{
    struct coil_metal_tests tests = clean;
    uint64_t state = 7;
    double sum = 0.0;
    double square = 0.0;
    double stated;
    const int count = 20000;

    tests.out_l = 30000.0;
    tests.u_out_fraction = 0.1;
    tests.fill_l = 40000.0;
    tests.fill_mg_per_l = 0.3;
    tests.u_fill_mg_per_l = 0.05;
    tests.dosed_g = 5.0;
    tests.u_dosed_g = 1.0;
    stated = balance_of(tests).u_unexplained_g;
    for (int n = 0; n < count; n++) {
        struct coil_metal_tests drawn = tests;
        double z[6];
        double off;

        for (int i = 0; i < 6; i++) { /* sum of 12 even numbers less 6 */
            z[i] = -6.0;
            for (int k = 0; k < 12; k++) {
                state = state * 6364136223846793005u + 1442695040888963407u;
                z[i] += (double)(state >> 11) / 9007199254740992.0;
            }
        }
        drawn.volume_l *= 1.0 + 0.05 * z[0];
        drawn.before_mg_per_l = fmax(0.0, 0.1 + 0.05 * z[1]);
        drawn.after_mg_per_l = 1.1 + 0.05 * z[2];
        drawn.out_l *= 1.0 + 0.1 * z[3];
        drawn.fill_mg_per_l = 0.3 + 0.05 * z[4];
        drawn.dosed_g = 5.0 + z[5];
        off = balance_of(drawn).unexplained_g;
        sum += off;
        square += off * off;
    }
    ck_assert_double_eq_tol(sqrt(square / count - pow(sum / count, 2)) / stated, 1.0,
                            0.03);
}
END_TEST

START_TEST(signs_only_ever_speak_for_an_attack)
{
    struct coil_metal_signs signs = {NAN, NAN, NAN, NAN, NAN};

    ck_assert_uint_eq(coil_metal_signs(COIL_METAL_COPPER, &signs), 0);
    signs = (struct coil_metal_signs){2.0, 9.0, 300.0, 7.0, 6.0};
    ck_assert_uint_eq(coil_metal_signs(COIL_METAL_COPPER, &signs),
                      COIL_SIGN_AGGRESSIVE | COIL_SIGN_CHLORIDE_HIGH |
                          COIL_SIGN_PH_LOW | COIL_SIGN_CHLORINE_HIGH);
    ck_assert_uint_eq(coil_metal_signs(COIL_METAL_IRON, &signs) & COIL_SIGN_LARSON_HIGH,
                      COIL_SIGN_LARSON_HIGH);
    signs = (struct coil_metal_signs){0.5, 12.5, 100.0, 7.5, 2.0};
    ck_assert_uint_eq(coil_metal_signs(COIL_METAL_IRON, &signs), 0);
}
END_TEST

START_TEST(tests_that_cannot_be_are_refused)
{
    struct coil_metal_balance balance = {.entered_g = 7.0};
    struct coil_metal_tests tests = clean;

    tests.volume_l = 0.0;
    ck_assert_int_eq(coil_metal_balance(&tests, &balance), COIL_ERR_DOMAIN);
    tests = clean;
    tests.after_mg_per_l = -0.1;
    ck_assert_int_eq(coil_metal_balance(&tests, &balance), COIL_ERR_DOMAIN);
    tests = clean;
    tests.fill_mg_per_l = NAN;
    ck_assert_int_eq(coil_metal_balance(&tests, &balance), COIL_ERR_NOT_FINITE);
    tests = clean;
    tests.out_l = -1.0;
    ck_assert_int_eq(coil_metal_balance(&tests, &balance), COIL_ERR_DOMAIN);
    ck_assert_double_eq_tol(balance.entered_g, 7.0, 1e-12);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("corrosion");
    TCase *tcase = tcase_create("corrosion");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, one_milligram_a_litre_in_50_m3_is_50_g);
    tcase_add_test(tcase, fill_water_and_doses_explain_their_part);
    tcase_add_test(tcase, metal_that_left_with_the_water_is_counted);
    tcase_add_test(tcase,
                   metal_that_went_missing_shows_nothing_and_is_never_called_sound);
    tcase_add_test(tcase, uncertainty_is_the_spread_of_drawn_inputs);
    tcase_add_test(tcase, signs_only_ever_speak_for_an_attack);
    tcase_add_test(tcase, tests_that_cannot_be_are_refused);
    tcase_set_timeout(tcase, 60);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
