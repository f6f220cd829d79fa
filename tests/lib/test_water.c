/*
 * Density of water, and how far a value lies beyond its limit.
 *
 * Sources: definition of pH; densities by the IAPWS-IF97 industrial formulation; its
 * table is water_properties_if97_1atm.csv.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "lib/water.h"

static double acidity(double ph, double limit)
{
    double ratio = NAN;

    ck_assert_int_eq(coil_acidity_ratio(ph, limit, &ratio), COIL_OK);
    return ratio;
}

static double density(double temp_c)
{
    double kg_per_m3 = NAN;

    ck_assert_int_eq(coil_water_density(temp_c, &kg_per_m3), COIL_OK);
    return kg_per_m3;
}

/* Definition of pH. */
START_TEST(ph_six_is_ten_times_as_acidic_as_seven_and_five_a_hundred_times)
{
    ck_assert_double_eq_tol(acidity(6, 7), 10, 1e-12);
    ck_assert_double_eq_tol(acidity(5, 7), 100, 1e-11);
    ck_assert_double_eq_tol(acidity(7, 7), 1, 1e-15);
    ck_assert_double_eq_tol(acidity(8, 7), 0.1, 1e-14);
}
END_TEST

/* Beside pH 7.5, the hydrogen ion is 2.0 x at 7.2, 10 x at 6.5, 20 x at 6.2 and 1000 x
 * at 4.5 (definition of pH; half of the last digit, 20 and 1000 to 1 %). */
START_TEST(acid_water_holds_many_times_the_hydrogen_ion_of_balanced_water)
{
    ck_assert_double_eq_tol(acidity(7.2, 7.5), 2.0, 0.05);
    ck_assert_double_eq_tol(acidity(6.5, 7.5), 10, 1e-12);
    ck_assert_double_eq_tol(acidity(6.2, 7.5), 20, 0.2);
    ck_assert_double_eq_tol(acidity(4.5, 7.5), 1000, 1e-9);
}
END_TEST

START_TEST(acidity_ratio_multiplies_along_the_way)
{
    ck_assert_double_eq_tol(acidity(6.1, 7.2), acidity(6.1, 6.8) * acidity(6.8, 7.2),
                            1e-12);
    ck_assert_double_eq_tol(acidity(6.1, 7.2) * acidity(7.2, 6.1), 1, 1e-14);
    ck_assert_double_gt(acidity(7.1, 7.2), acidity(7.15, 7.2));
}
END_TEST

START_TEST(acidity_ratio_refuses_what_is_no_ph)
{
    double ratio = 5;

    ck_assert_int_eq(coil_acidity_ratio(NAN, 7, &ratio), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_acidity_ratio(7, INFINITY, &ratio), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_acidity_ratio(-0.1, 7, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_acidity_ratio(14.1, 7, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_acidity_ratio(7, -1, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_acidity_ratio(7, 15, &ratio), COIL_ERR_DOMAIN);
    ck_assert_double_eq(ratio, 5);
    ck_assert_int_eq(coil_acidity_ratio(0, 14, &ratio), COIL_OK);
    ck_assert_double_eq_tol(ratio, 1e14, 1);
    ck_assert_int_eq(coil_acidity_ratio(14, 0, &ratio), COIL_OK);
    ck_assert_double_eq_tol(ratio, 1e-14, 1e-26);
    ck_assert_int_eq(coil_acidity_ratio(7, -0.01, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_acidity_ratio(7, 14.01, &ratio), COIL_ERR_DOMAIN);
}
END_TEST

START_TEST(ceiling_ratio_is_the_quotient)
{
    double ratio = NAN;

    ck_assert_int_eq(coil_ceiling_ratio(14, 5, &ratio), COIL_OK);
    ck_assert_double_eq_tol(ratio, 2.8, 1e-15);
    ck_assert_int_eq(coil_ceiling_ratio(0, 5, &ratio), COIL_OK);
    ck_assert_double_eq(ratio, 0);
    ck_assert_int_eq(coil_ceiling_ratio(5, 5, &ratio), COIL_OK);
    ck_assert_double_eq(ratio, 1);
}
END_TEST

START_TEST(ceiling_ratio_refuses_what_has_no_meaning)
{
    double ratio = 5;

    ck_assert_int_eq(coil_ceiling_ratio(NAN, 5, &ratio), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_ceiling_ratio(1, NAN, &ratio), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_ceiling_ratio(NAN, -1, &ratio), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_ceiling_ratio(-1, NAN, &ratio), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_ceiling_ratio(-1e-9, 5, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_ceiling_ratio(-1, 5, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_ceiling_ratio(1, 0, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_ceiling_ratio(1, -5, &ratio), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_ceiling_ratio(1e300, 1e-300, &ratio), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(ratio, 5);
}
END_TEST

/* IAPWS-IF97 at 1 atm, two decimals; other formulas agree within 0.012 kg/m3. */
START_TEST(density_is_that_of_the_steam_tables)
{
    ck_assert_double_eq_tol(density(0), 999.84, 0.012);
    ck_assert_double_eq_tol(density(4), 999.975, 0.012);
    ck_assert_double_eq_tol(density(20), 998.21, 0.012);
    ck_assert_double_eq_tol(density(25), 997.05, 0.012);
    ck_assert_double_eq_tol(density(40), 992.22, 0.012);
    ck_assert_double_eq_tol(density(60), 983.21, 0.012);
}
END_TEST

/* Water is densest near 4 degC. */
START_TEST(density_rises_to_four_degrees_and_falls_beyond)
{
    for (int t = 0; t < 4; t++)
        ck_assert_double_lt(density(t), density(t + 1));
    for (int t = 4; t < 150; t++)
        ck_assert_double_gt(density(t), density(t + 1));
}
END_TEST

START_TEST(density_says_where_its_source_ends)
{
    double kg_per_m3 = 5;

    ck_assert_int_eq(coil_water_density(NAN, &kg_per_m3), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_water_density(-10.01, &kg_per_m3), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_water_density(200.01, &kg_per_m3), COIL_ERR_DOMAIN);
    ck_assert_double_eq(kg_per_m3, 5);
    ck_assert_int_eq(coil_water_density(-0.01, &kg_per_m3), COIL_WARN_RANGE);
    ck_assert_double_eq_tol(kg_per_m3, 999.84, 0.012);
    ck_assert_int_eq(coil_water_density(150.01, &kg_per_m3), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_water_density(-10, &kg_per_m3), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_water_density(200, &kg_per_m3), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_water_density(0, &kg_per_m3), COIL_OK);
    ck_assert_int_eq(coil_water_density(150, &kg_per_m3), COIL_OK);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("water");
    TCase *tcase = tcase_create("water");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase,
                   ph_six_is_ten_times_as_acidic_as_seven_and_five_a_hundred_times);
    tcase_add_test(tcase,
                   acid_water_holds_many_times_the_hydrogen_ion_of_balanced_water);
    tcase_add_test(tcase, acidity_ratio_multiplies_along_the_way);
    tcase_add_test(tcase, acidity_ratio_refuses_what_is_no_ph);
    tcase_add_test(tcase, ceiling_ratio_is_the_quotient);
    tcase_add_test(tcase, ceiling_ratio_refuses_what_has_no_meaning);
    tcase_add_test(tcase, density_is_that_of_the_steam_tables);
    tcase_add_test(tcase, density_rises_to_four_degrees_and_falls_beyond);
    tcase_add_test(tcase, density_says_where_its_source_ends);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
