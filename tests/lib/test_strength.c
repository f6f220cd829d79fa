/*
 * Labels in other units than percent, and liquid chlorine that gets old.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "lib/strength.h"

static double from_label(enum coil_product product, enum coil_label label, double value)
{
    double percent = NAN;

    ck_assert_int_eq(coil_strength_from_label(product, label, value, &percent),
                     COIL_OK);
    return percent;
}

static double aged(double trade_percent, double age_d, double temp_c)
{
    double left = NAN;

    ck_assert_int_eq(coil_hypochlorite_aged(trade_percent, age_d, temp_c, &left),
                     COIL_OK);
    return left;
}

/* ---- labels ---- */

START_TEST(a_label_in_percent_is_the_strength)
{
    ck_assert_double_eq_tol(from_label(COIL_BORAX, COIL_LABEL_PERCENT, 99), 99, 1e-12);
    ck_assert_double_eq_tol(from_label(COIL_OTHER_PRODUCT, COIL_LABEL_PERCENT, 3), 3,
                            1e-12);
}
END_TEST

/* 20 degrees Baume of hydrochloric acid are 31.45 %: common practice, no source. */
START_TEST(acid_of_twenty_degrees_baume_is_31_45_percent)
{
    ck_assert_double_eq_tol(
        from_label(COIL_HYDROCHLORIC_ACID, COIL_LABEL_DEGREES_BAUME, 20), 31.45, 0.05);
}
END_TEST

/* [white-1972]: 12 g per 100 mL has density 1.160; by weight that is 10.34 % available
 * chlorine, 1.05 times that as NaOCl. 12.5 trade percent: 10.8 and 11.3 at 1.16. */
START_TEST(hypochlorite_by_weight_is_trade_percent_over_density)
{
    ck_assert_double_eq_tol(
        from_label(COIL_SODIUM_HYPOCHLORITE, COIL_LABEL_AVAILABLE_WEIGHT, 12 / 1.160),
        12, 1e-9);
    ck_assert_double_eq_tol(
        from_label(COIL_SODIUM_HYPOCHLORITE, COIL_LABEL_AVAILABLE_WEIGHT, 10.8), 12.5,
        0.15);
    ck_assert_double_eq_tol(
        from_label(COIL_SODIUM_HYPOCHLORITE, COIL_LABEL_HYPOCHLORITE_WEIGHT, 11.3),
        12.5, 0.15);
}
END_TEST

/* Molar masses of CaCl2 and of two H2O: 110.98 and 36.03. */
START_TEST(calcium_chloride_dihydrate_is_three_quarters_calcium_chloride)
{
    ck_assert_double_eq_tol(
        from_label(COIL_CALCIUM_CHLORIDE, COIL_LABEL_DIHYDRATE, 100),
        100 * 110.98 / (110.98 + 36.03), 0.01);
}
END_TEST

START_TEST(labels_that_a_product_has_not_and_nonsense_are_refused)
{
    double percent = 7;

    ck_assert_int_eq(
        coil_strength_from_label(COIL_BORAX, COIL_LABEL_DEGREES_BAUME, 20, &percent),
        COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_strength_from_label(COIL_SODIUM_HYPOCHLORITE,
                                              COIL_LABEL_DIHYDRATE, 20, &percent),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_strength_from_label((enum coil_product)1000,
                                              COIL_LABEL_PERCENT, 20, &percent),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_strength_from_label(
                         COIL_BORAX, (enum coil_label)COIL_LABEL_COUNT, 20, &percent),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(
        coil_strength_from_label(COIL_BORAX, COIL_LABEL_PERCENT, 101, &percent),
        COIL_ERR_DOMAIN);
    ck_assert_int_eq(
        coil_strength_from_label(COIL_BORAX, COIL_LABEL_PERCENT, 0, &percent),
        COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_strength_from_label(COIL_SODIUM_HYPOCHLORITE,
                                              COIL_LABEL_AVAILABLE_WEIGHT, 90,
                                              &percent),
                     COIL_ERR_DOMAIN); /* no such solution */
    ck_assert_int_eq(coil_strength_from_label(COIL_HYDROCHLORIC_ACID,
                                              COIL_LABEL_DEGREES_BAUME, 40, &percent),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(
        coil_strength_from_label(COIL_BORAX, COIL_LABEL_PERCENT, NAN, &percent),
        COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(percent, 7);
}
END_TEST

/* ---- ageing ---- */

/* Days until half is left, as the trade's tables print them (common practice, no
 * source, from memory). They differ from pool to pool of the trade by as much. */
static const struct {
    double trade_percent, temp_c, half_life_d;
} half_lives[] = {
    {15, 25, 100}, {15, 15, 310}, {10, 38, 35},
    {10, 25, 220}, {10, 15, 800}, {5, 25, 790},
};

START_TEST(half_lives_are_within_a_factor_of_two_of_the_trades_table)
{
    double left = aged(half_lives[_i].trade_percent, half_lives[_i].half_life_d,
                       half_lives[_i].temp_c) /
                  half_lives[_i].trade_percent;

    /* Second order: after twice the half-life a third is left, after half of it two
     * thirds. */
    ck_assert_double_ge(left, 1.0 / 3);
    ck_assert_double_le(left, 2.0 / 3);
}
END_TEST

START_TEST(fresh_hypochlorite_is_as_its_label_says)
{
    ck_assert_double_eq_tol(aged(12.5, 0, 25), 12.5, 1e-12);
}
END_TEST

/* Second order: 1/c rises by the same each day. */
START_TEST(the_loss_is_of_second_order)
{
    double first = 1 / aged(12.5, 50, 25) - 1 / 12.5;
    double second = 1 / aged(12.5, 100, 25) - 1 / aged(12.5, 50, 25);

    ck_assert_double_eq_tol(second / first, 1, 1e-9);
}
END_TEST

/* 101.8 kJ/mol [adam-gordon-1999]: about four times as fast for ten degrees. Half as
 * strong loses less of itself in the same time, by more than half. */
START_TEST(warm_and_strong_hypochlorite_ages_faster)
{
    double cool = 12.5 / aged(12.5, 30, 20) - 1, warm = 12.5 / aged(12.5, 30, 30) - 1;
    double weak = 6.25 / aged(6.25, 30, 20) - 1;

    ck_assert_double_ge(warm / cool, 3.5);
    ck_assert_double_le(warm / cool, 4.5);
    ck_assert_double_gt(cool / weak, 2);
}
END_TEST

START_TEST(ages_and_strengths_that_cannot_be_are_refused)
{
    double left = 7;

    ck_assert_int_eq(coil_hypochlorite_aged(12.5, -1, 25, &left), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_hypochlorite_aged(0, 1, 25, &left), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_hypochlorite_aged(21, 1, 25, &left), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_hypochlorite_aged(12.5, 1, 61, &left), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_hypochlorite_aged(12.5, NAN, 25, &left), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(left, 7);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("strength");
    TCase *labels = tcase_create("labels"), *ageing = tcase_create("ageing");
    SRunner *runner = srunner_create(suite);
    int failed;

    tcase_add_test(labels, a_label_in_percent_is_the_strength);
    tcase_add_test(labels, acid_of_twenty_degrees_baume_is_31_45_percent);
    tcase_add_test(labels, hypochlorite_by_weight_is_trade_percent_over_density);
    tcase_add_test(labels,
                   calcium_chloride_dihydrate_is_three_quarters_calcium_chloride);
    tcase_add_test(labels, labels_that_a_product_has_not_and_nonsense_are_refused);
    tcase_add_loop_test(ageing,
                        half_lives_are_within_a_factor_of_two_of_the_trades_table, 0,
                        (int)(sizeof half_lives / sizeof *half_lives));
    tcase_add_test(ageing, fresh_hypochlorite_is_as_its_label_says);
    tcase_add_test(ageing, the_loss_is_of_second_order);
    tcase_add_test(ageing, warm_and_strong_hypochlorite_ages_faster);
    tcase_add_test(ageing, ages_and_strengths_that_cannot_be_are_refused);
    suite_add_tcase(suite, labels);
    suite_add_tcase(suite, ageing);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
