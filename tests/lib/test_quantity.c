/*
 * The list of values that a reading may hold. Ranges and steps: common practice, no
 * source.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/quantity.h"

START_TEST(quantity_numbers_are_those_in_databases)
{
    ck_assert_int_eq(COIL_PH, 0);
    ck_assert_int_eq(COIL_FREE_CHLORINE, 1);
    ck_assert_int_eq(COIL_TOTAL_ALKALINITY, 5);
    ck_assert_int_eq(COIL_CALCIUM_HARDNESS, 6);
    ck_assert_int_eq(COIL_CYANURIC_ACID, 7);
    ck_assert_int_eq(COIL_WATER_TEMP, 15);
    ck_assert_int_eq(COIL_MAGNESIUM, 17);
    ck_assert_int_eq(COIL_METHOD_UNKNOWN, 0);
    ck_assert_int_eq(COIL_METHOD_LABORATORY, 6);
}
END_TEST

/* Loop over all quantities. */
START_TEST(quantity_key_leads_back_to_the_quantity)
{
    const struct coil_quantity_info *info = coil_quantity_info((enum coil_quantity)_i);
    enum coil_quantity found = COIL_QUANTITY_COUNT;

    ck_assert_ptr_nonnull(info);
    ck_assert_uint_gt(strlen(info->key), 0);
    ck_assert_uint_gt(strlen(info->words), 0);
    ck_assert_int_eq(coil_quantity_from_key(info->key, &found), COIL_OK);
    ck_assert_int_eq((int)found, _i);
}
END_TEST

START_TEST(quantity_ranges_lie_inside_each_other_and_hold_their_ends)
{
    enum coil_quantity quantity = (enum coil_quantity)_i;
    const struct coil_quantity_info *info = coil_quantity_info(quantity);

    ck_assert_double_le(info->possible_low, info->plausible_low);
    ck_assert_double_lt(info->plausible_low, info->plausible_high);
    ck_assert_double_le(info->plausible_high, info->possible_high);
    ck_assert_int_eq(coil_quantity_range(quantity, info->plausible_low),
                     COIL_RANGE_PLAUSIBLE);
    ck_assert_int_eq(coil_quantity_range(quantity, info->plausible_high),
                     COIL_RANGE_PLAUSIBLE);
    ck_assert_int_ne(coil_quantity_range(quantity, info->possible_low),
                     COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_ne(coil_quantity_range(quantity, info->possible_high),
                     COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_eq(
        coil_quantity_range(quantity, nextafter(info->possible_low, -INFINITY)),
        COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_eq(
        coil_quantity_range(quantity, nextafter(info->possible_high, INFINITY)),
        COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_eq(coil_quantity_range(quantity, NAN), COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_eq(coil_quantity_range(quantity, INFINITY), COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_eq(coil_quantity_range(quantity, -INFINITY), COIL_RANGE_IMPOSSIBLE);
}
END_TEST

START_TEST(quantity_range_tells_plausible_doubtful_and_impossible_ph)
{
    ck_assert_int_eq(coil_quantity_range(COIL_PH, 7.4), COIL_RANGE_PLAUSIBLE);
    ck_assert_int_eq(coil_quantity_range(COIL_PH, 6.1), COIL_RANGE_DOUBTFUL);
    ck_assert_int_eq(coil_quantity_range(COIL_PH, 74), COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_eq(coil_quantity_range(COIL_PH, 0.9), COIL_RANGE_IMPOSSIBLE);
    ck_assert_int_eq(coil_quantity_range(COIL_FREE_CHLORINE, 14), COIL_RANGE_PLAUSIBLE);
    ck_assert_int_eq(coil_quantity_range(COIL_FREE_CHLORINE, 50), COIL_RANGE_DOUBTFUL);
    ck_assert_int_eq(coil_quantity_range(COIL_FREE_CHLORINE, -0.1),
                     COIL_RANGE_IMPOSSIBLE);
}
END_TEST

START_TEST(quantity_refuses_keys_and_numbers_that_are_not_of_the_list)
{
    enum coil_quantity found = COIL_SALT;

    ck_assert_int_eq(coil_quantity_from_key("p", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_quantity_from_key("ph ", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_quantity_from_key("PH", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_quantity_from_key("", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_quantity_from_key(NULL, &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(found, COIL_SALT);
    ck_assert_ptr_null(coil_quantity_info(COIL_QUANTITY_COUNT));
    ck_assert_ptr_null(coil_quantity_info((enum coil_quantity) - 1));
    ck_assert_int_eq(coil_quantity_range(COIL_QUANTITY_COUNT, 1),
                     COIL_RANGE_IMPOSSIBLE);
}
END_TEST

/* Loop over all methods. */
START_TEST(method_key_leads_back_to_the_method)
{
    enum coil_method method = (enum coil_method)_i;
    enum coil_method found = COIL_METHOD_COUNT;

    ck_assert_int_eq(coil_method_from_key(coil_method_key(method), &found), COIL_OK);
    ck_assert_int_eq((int)found, _i);
    ck_assert_uint_gt(strlen(coil_method_words(method)), 0);
}
END_TEST

START_TEST(method_of_a_foreign_number_counts_as_not_said)
{
    enum coil_method found = COIL_METHOD_PROBE;

    ck_assert_str_eq(coil_method_key((enum coil_method)42), "unknown");
    ck_assert_str_eq(coil_method_key((enum coil_method) - 1), "unknown");
    ck_assert_str_eq(coil_method_words((enum coil_method)42), "not said");
    ck_assert_str_eq(coil_method_key(COIL_METHOD_COUNT), "unknown");
    ck_assert_int_eq(coil_method_from_key("smell", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_method_from_key(NULL, &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(found, COIL_METHOD_PROBE);
    ck_assert_int_eq(coil_method_is_indicator((enum coil_method)42), 1);
    ck_assert_double_eq_tol(coil_method_resolution((enum coil_method)42, COIL_PH),
                            coil_method_resolution(COIL_METHOD_STRIP, COIL_PH), 1e-12);
}
END_TEST

/* Loop over all quantities. */
START_TEST(method_resolution_is_above_zero_and_coarsest_for_a_strip)
{
    enum coil_quantity quantity = (enum coil_quantity)_i;
    const struct coil_quantity_info *info = coil_quantity_info(quantity);
    double strip = coil_method_resolution(COIL_METHOD_STRIP, quantity);
    double laboratory = coil_method_resolution(COIL_METHOD_LABORATORY, quantity);

    for (int i = 0; i < COIL_METHOD_COUNT; i++) {
        double step = coil_method_resolution((enum coil_method)i, quantity);

        ck_assert_double_gt(step, 0.0);
        ck_assert_double_le(step, strip);
        ck_assert_double_ge(step, laboratory);
    }
    ck_assert_double_eq_tol(coil_method_resolution(COIL_METHOD_UNKNOWN, quantity),
                            strip, 1e-12);
    /* A step as wide as the plausible range could not tell anything. */
    ck_assert_double_lt(strip, (info->plausible_high - info->plausible_low) / 2);
}
END_TEST

/* The steps on which the permit leans: pads 0.5 pH and 2 mg/L apart, drops of 0.5 mg/L,
 * colour steps of 0.2 pH. Common practice, no source. */
START_TEST(method_resolution_of_ph_and_chlorine_is_that_of_the_kits)
{
    ck_assert_double_eq_tol(coil_method_resolution(COIL_METHOD_STRIP, COIL_PH), 0.5,
                            1e-12);
    ck_assert_double_eq_tol(coil_method_resolution(COIL_METHOD_COMPARATOR, COIL_PH),
                            0.2, 1e-12);
    ck_assert_double_eq_tol(
        coil_method_resolution(COIL_METHOD_STRIP, COIL_FREE_CHLORINE), 2, 1e-12);
    ck_assert_double_eq_tol(
        coil_method_resolution(COIL_METHOD_DROP_COUNT, COIL_FREE_CHLORINE), 0.5, 1e-12);
}
END_TEST

/* Instruments know more than eyes do. */
START_TEST(method_resolution_is_finer_by_instrument_than_by_eye)
{
    for (int i = 0; i <= COIL_CYANURIC_ACID; i++) {
        enum coil_quantity quantity = (enum coil_quantity)i;

        ck_assert_double_lt(coil_method_resolution(COIL_METHOD_PHOTOMETER, quantity),
                            coil_method_resolution(COIL_METHOD_STRIP, quantity));
        ck_assert_double_le(coil_method_resolution(COIL_METHOD_PHOTOMETER, quantity),
                            coil_method_resolution(COIL_METHOD_DROP_COUNT, quantity));
        ck_assert_double_le(coil_method_resolution(COIL_METHOD_DROP_COUNT, quantity),
                            coil_method_resolution(COIL_METHOD_COMPARATOR, quantity));
    }
}
END_TEST

START_TEST(method_resolution_of_a_foreign_quantity_is_one)
{
    ck_assert_double_eq_tol(
        coil_method_resolution(COIL_METHOD_STRIP, COIL_QUANTITY_COUNT), 1.0, 1e-12);
}
END_TEST

/* Dyes bleach or shift in strong chlorine, electrodes do not: common practice. */
START_TEST(method_is_indicator_for_all_dyes_and_when_not_said)
{
    ck_assert_int_eq(coil_method_is_indicator(COIL_METHOD_UNKNOWN), 1);
    ck_assert_int_eq(coil_method_is_indicator(COIL_METHOD_STRIP), 1);
    ck_assert_int_eq(coil_method_is_indicator(COIL_METHOD_DROP_COUNT), 1);
    ck_assert_int_eq(coil_method_is_indicator(COIL_METHOD_COMPARATOR), 1);
    ck_assert_int_eq(coil_method_is_indicator(COIL_METHOD_PHOTOMETER), 1);
    ck_assert_int_eq(coil_method_is_indicator(COIL_METHOD_PROBE), 0);
    ck_assert_int_eq(coil_method_is_indicator(COIL_METHOD_LABORATORY), 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("quantity");
    TCase *tcase = tcase_create("quantity");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, quantity_numbers_are_those_in_databases);
    tcase_add_loop_test(tcase, quantity_key_leads_back_to_the_quantity, 0,
                        COIL_QUANTITY_COUNT);
    tcase_add_loop_test(tcase,
                        quantity_ranges_lie_inside_each_other_and_hold_their_ends, 0,
                        COIL_QUANTITY_COUNT);
    tcase_add_test(tcase, quantity_range_tells_plausible_doubtful_and_impossible_ph);
    tcase_add_test(tcase, quantity_refuses_keys_and_numbers_that_are_not_of_the_list);
    tcase_add_loop_test(tcase, method_key_leads_back_to_the_method, 0,
                        COIL_METHOD_COUNT);
    tcase_add_test(tcase, method_of_a_foreign_number_counts_as_not_said);
    tcase_add_loop_test(tcase, method_resolution_is_above_zero_and_coarsest_for_a_strip,
                        0, COIL_QUANTITY_COUNT);
    tcase_add_test(tcase, method_resolution_of_ph_and_chlorine_is_that_of_the_kits);
    tcase_add_test(tcase, method_resolution_is_finer_by_instrument_than_by_eye);
    tcase_add_test(tcase, method_resolution_of_a_foreign_quantity_is_one);
    tcase_add_test(tcase, method_is_indicator_for_all_dyes_and_when_not_said);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
