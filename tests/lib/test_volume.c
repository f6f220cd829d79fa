/*
 * Volume from a dose of salt.
 */
#include <check.h>
#include <math.h>

#include "lib/volume.h"
#include "tests/support/random_water.h"
#include "tests/support/suite.h"

/* Row D24 of fixtures/tables/doses.csv: 37854.1 g raise 10,000 US gal by 1000 mg/L. */
START_TEST(volume_is_mass_over_rise)
{
    struct coil_volume_input in = {.brought_g = 37854.1,
                                   .before_mg_per_l = 400,
                                   .after_mg_per_l = 1400,
                                   .step_mg_per_l = 100};
    struct coil_volume v;

    ck_assert_int_eq(coil_volume_from_dose(&in, &v), COIL_OK);
    ck_assert_double_eq_tol(v.volume_m3, 37.8541, 1e-4);
    /* two standard deviations of a difference of two rounded values: 2 x 100 / 6^0.5 */
    ck_assert_double_eq_tol(v.low_m3, 37854.1 / 1081.650, 1e-3);
    ck_assert_double_eq_tol(v.high_m3, 37854.1 / 918.350, 1e-3);
}
END_TEST

/* A true rise and two rounded readings: the band holds the truth as often as it says.
 */
START_TEST(the_band_holds_the_truth)
{
    struct random_state random = {UINT64_C(1970010100000006)};
    int i, inside = 0, told = 0;

    for (i = 0; i < 4000; i++) {
        double truth_m3 = random_log_between(&random, 5, 200);
        double before = random_between(&random, 0, 4000);
        double rise = random_between(&random, 200, 1500);
        struct coil_volume_input in = {.brought_g = rise * truth_m3,
                                       .before_mg_per_l = 50 * round(before / 50),
                                       .after_mg_per_l =
                                           50 * round((before + rise) / 50),
                                       .step_mg_per_l = 50};
        struct coil_volume v;

        if (coil_volume_from_dose(&in, &v) != COIL_OK)
            continue;
        told++;
        inside += truth_m3 >= v.low_m3 && truth_m3 <= v.high_m3;
    }
    ck_assert_int_gt(told, 3900);
    ck_assert_double_ge((double)inside / told, 0.94);
    ck_assert_double_lt((double)inside / told, 0.995);
}
END_TEST

START_TEST(what_is_not_known_of_mass_and_scale_widens_the_band)
{
    struct coil_volume_input in = {.brought_g = 10000,
                                   .before_mg_per_l = 0,
                                   .after_mg_per_l = 500,
                                   .brought_half_g = 300,
                                   .calibration_fraction = 0.04};
    struct coil_volume v;

    ck_assert_int_eq(coil_volume_from_dose(&in, &v), COIL_OK);
    /* 3 % and 4 % make 5 % */
    ck_assert_double_eq_tol(v.low_m3, 20 / 1.05, 1e-9);
    ck_assert_double_eq_tol(v.high_m3, 20 / 0.95, 1e-9);
}
END_TEST

START_TEST(a_rise_within_the_tests_step_tells_no_volume)
{
    struct coil_volume_input in = {.brought_g = 1000,
                                   .before_mg_per_l = 400,
                                   .after_mg_per_l = 440,
                                   .step_mg_per_l = 50};
    struct coil_volume v;

    ck_assert_int_eq(coil_volume_from_dose(&in, &v), COIL_ERR_NO_SOLUTION);
    in.after_mg_per_l = 300; /* it fell */
    ck_assert_int_eq(coil_volume_from_dose(&in, &v), COIL_ERR_NO_SOLUTION);
    in.brought_g = 0;
    ck_assert_int_eq(coil_volume_from_dose(&in, &v), COIL_ERR_DOMAIN);
    in.brought_g = NAN;
    ck_assert_int_eq(coil_volume_from_dose(&in, &v), COIL_ERR_NOT_FINITE);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("volume");

    tcase_add_test(tcase, volume_is_mass_over_rise);
    tcase_add_test(tcase, the_band_holds_the_truth);
    tcase_add_test(tcase, what_is_not_known_of_mass_and_scale_widens_the_band);
    tcase_add_test(tcase, a_rise_within_the_tests_step_tells_no_volume);
    return suite_run("volume", tcase);
}
