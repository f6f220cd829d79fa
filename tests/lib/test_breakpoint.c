/*
 * Super-chlorination's amounts and neutralisers. The tables breakpoint.csv and
 * neutralisers.csv are run by the program `tables`.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/breakpoint.h"
#include "lib/chlorine_loss.h"

static const struct coil_breakpoint_input pool = {.free_chlorine_mg_per_l = 2,
                                                  .combined_chlorine_mg_per_l = 1,
                                                  .ammonia_n_mg_per_l = NAN,
                                                  .ph = 7.5,
                                                  .cyanuric_acid_mg_per_l = 0,
                                                  .water_temp_c = 28,
                                                  .last_peak_mg_per_l = NAN,
                                                  .last_combined_before_mg_per_l = NAN,
                                                  .last_combined_after_mg_per_l = NAN};

static struct coil_breakpoint plan(struct coil_breakpoint_input input)
{
    struct coil_breakpoint out = {0};

    ck_assert_int_ge(coil_breakpoint_plan(&input, &out), COIL_OK);
    return out;
}

/* The trade's rule is twenty times what monochloramine still needs. */
START_TEST(both_rules_stand_side_by_side)
{
    struct coil_breakpoint out = plan(pool);

    ck_assert_double_eq_tol(out.stoichiometric_mg_per_l, 0.5, 1e-12);
    ck_assert_double_eq_tol(out.trade_level_mg_per_l, 10, 1e-12);
    ck_assert_double_eq_tol(out.practice_low_mg_per_l, 0.5, 1e-12);
    ck_assert_double_eq_tol(out.practice_high_mg_per_l, 10, 1e-12);
    ck_assert_double_eq_tol(out.level_mg_per_l, 10, 1e-12);
    ck_assert_double_eq_tol(out.dose_mg_per_l, 8, 1e-12);
    ck_assert_uint_eq(out.notes, 0);
    /* 1 mg/L as Cl2 is 0.1975 mg/L of N; 3.57 to 14.29 mg/L CaCO3 per mg N */
    ck_assert_double_eq_tol(out.alkalinity_cost_low_mg_per_l_caco3, 0.706, 0.001);
    ck_assert_double_eq_tol(out.alkalinity_cost_high_mg_per_l_caco3, 2.823, 0.001);
}
END_TEST

/* 7.6 (7.593), in practice 10 to 15 parts of chlorine for one of ammonia nitrogen. */
START_TEST(tested_ammonia_is_paid_as_well)
{
    struct coil_breakpoint_input input = pool;
    struct coil_breakpoint out;

    input.ammonia_n_mg_per_l = 2;
    out = plan(input);
    ck_assert_double_eq_tol(out.stoichiometric_mg_per_l, 0.5 + 2 * 7.593, 0.002);
    ck_assert_double_eq_tol(out.practice_low_mg_per_l, 20.5, 1e-9);
    ck_assert_double_eq_tol(out.practice_high_mg_per_l, 40, 1e-9);
    ck_assert_double_ge(out.level_mg_per_l, out.stoichiometric_mg_per_l);
}
END_TEST

START_TEST(level_for_hocl_gives_that_hocl)
{
    for (double cyanuric = 0; cyanuric <= 80; cyanuric += 20) {
        struct coil_loss_water water = {0, 7.5, cyanuric, 28};
        struct coil_unbound unbound;
        double level = NAN;

        ck_assert_int_eq(coil_free_chlorine_for_hocl(0.4, cyanuric, 7.5, 28, &level),
                         COIL_OK);
        water.free_chlorine_mg_per_l = level;
        ck_assert_int_eq(coil_chlorine_unbound(&water, &unbound), COIL_OK);
        ck_assert_double_eq_tol(unbound.hocl_fraction * level, 0.4, 0.005);
    }
}
END_TEST

START_TEST(level_for_hocl_rises_with_cyanuric_acid_and_may_not_exist)
{
    double before = 0;
    double level = 5;

    for (double cyanuric = 0; cyanuric <= 100; cyanuric += 20) {
        ck_assert_int_eq(coil_free_chlorine_for_hocl(0.5, cyanuric, 7.5, 28, &level),
                         COIL_OK);
        ck_assert_double_gt(level, before);
        before = level;
    }
    level = 5;
    ck_assert_int_eq(coil_free_chlorine_for_hocl(50, 1000, 7.5, 28, &level),
                     COIL_ERR_NO_SOLUTION);
    ck_assert_int_eq(coil_free_chlorine_for_hocl(0, 30, 7.5, 28, &level),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_free_chlorine_for_hocl(NAN, 30, 7.5, 28, &level),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_free_chlorine_for_hocl(1, 30, 3, 28, &level),
                     COIL_ERR_DOMAIN);
    ck_assert_double_eq(level, 5);
}
END_TEST

START_TEST(cyanuric_acid_raises_the_level_until_dilution_is_the_answer)
{
    struct coil_breakpoint_input input = pool;
    struct coil_breakpoint out;

    input.cyanuric_acid_mg_per_l = 30;
    out = plan(input);
    ck_assert_double_gt(out.level_mg_per_l, 10);
    ck_assert_double_eq_tol(out.level_mg_per_l, out.hocl_level_mg_per_l, 1e-12);
    ck_assert_uint_eq(out.notes, 0);
    input.cyanuric_acid_mg_per_l = 120;
    out = plan(input);
    ck_assert_uint_eq(out.notes, COIL_BREAKPOINT_CYANURIC_HIGH);
    ck_assert_double_eq(out.level_mg_per_l, COIL_BREAKPOINT_LEVEL_MAX);
    input.cyanuric_acid_mg_per_l = NAN;
    out = plan(input);
    ck_assert_uint_eq(out.notes, COIL_BREAKPOINT_CYANURIC_UNKNOWN);
    ck_assert_double_nan(out.hocl_level_mg_per_l);
    ck_assert_double_eq_tol(out.level_mg_per_l, 10, 1e-12);
}
END_TEST

START_TEST(little_combined_chlorine_needs_nothing)
{
    struct coil_breakpoint_input input = pool;

    input.combined_chlorine_mg_per_l = 0.2;
    ck_assert_uint_eq(plan(input).notes, COIL_BREAKPOINT_NOT_NEEDED);
    input.combined_chlorine_mg_per_l = 0.3;
    ck_assert_uint_eq(plan(input).notes, 0);
    input.free_chlorine_mg_per_l = 30;
    ck_assert_double_eq(plan(input).dose_mg_per_l, 0);
}
END_TEST

/* Organic chloramines show only by not falling after a level that should have done. */
START_TEST(combined_chlorine_that_stays_after_a_full_try_is_organic)
{
    struct coil_breakpoint_input input = pool;

    input.last_peak_mg_per_l = 12;
    input.last_combined_before_mg_per_l = 1.1;
    input.last_combined_after_mg_per_l = 1.0;
    ck_assert_uint_eq(plan(input).notes, COIL_BREAKPOINT_ORGANIC);
    input.last_combined_after_mg_per_l = 0.3; /* it worked */
    ck_assert_uint_eq(plan(input).notes, 0);
    input.last_combined_after_mg_per_l = 1.0;
    input.last_peak_mg_per_l = 8; /* level not reached: says nothing */
    ck_assert_uint_eq(plan(input).notes, 0);
}
END_TEST

START_TEST(plan_refuses_what_cannot_be_and_leaves_the_result_alone)
{
    struct coil_breakpoint out = {.level_mg_per_l = 5};

    for (int i = 0; i < 10; i++) {
        struct coil_breakpoint_input input = pool;
        enum coil_status expected = i < 4 ? COIL_ERR_NOT_FINITE : COIL_ERR_DOMAIN;

        switch (i) {
        case 0:
            input.free_chlorine_mg_per_l = NAN;
            break;
        case 1:
            input.combined_chlorine_mg_per_l = NAN;
            break;
        case 2:
            input.ph = INFINITY;
            break;
        case 3:
            input.water_temp_c = NAN;
            break;
        case 4:
            input.free_chlorine_mg_per_l = -1;
            break;
        case 5:
            input.combined_chlorine_mg_per_l = 201;
            break;
        case 6:
            input.ph = 4;
            break;
        case 7:
            input.water_temp_c = 61;
            break;
        case 8:
            input.ammonia_n_mg_per_l = -1;
            break;
        default:
            input.cyanuric_acid_mg_per_l = 1001;
            break;
        }
        ck_assert_int_eq(coil_breakpoint_plan(&input, &out), expected);
    }
    ck_assert_double_eq(out.level_mg_per_l, 5);
}
END_TEST

/* Pentahydrate: 0.875 to 7.0 mg per mg, 1.9 in the field; half of that first. To
 * sulfate it costs 1.06 mg/L of alkalinity per mg/L. */
START_TEST(thiosulfate_is_a_range_and_half_of_it_comes_first)
{
    struct coil_neutraliser_amount out;

    ck_assert_int_eq(
        coil_neutraliser_amount(COIL_NEUTRALISER_THIOSULFATE_5H2O, 5, 40, &out),
        COIL_OK);
    ck_assert_double_eq_tol(out.low_g, 0.875 * 200, 0.1);
    ck_assert_double_eq_tol(out.high_g, 7.0 * 200, 0.1);
    ck_assert_double_eq_tol(out.field_g, 1.9 * 200, 1e-9);
    ck_assert_double_eq_tol(out.first_g, 190, 1e-9);
    ck_assert_double_eq_tol(out.alkalinity_loss_high_mg_per_l_caco3, 1.06 * 5, 0.01);
    ck_assert_double_lt(out.alkalinity_loss_low_mg_per_l_caco3, 0);
}
END_TEST

START_TEST(an_agent_without_a_field_figure_starts_at_half_its_least)
{
    struct coil_neutraliser_amount out;

    ck_assert_int_eq(coil_neutraliser_amount(COIL_NEUTRALISER_PEROXIDE, 10, 1, &out),
                     COIL_OK);
    ck_assert_double_nan(out.field_g);
    ck_assert_double_eq_tol(out.first_g, 0.5 * 0.480 * 10, 0.01);
}
END_TEST

/* A field figure above stoichiometry widens the range. */
START_TEST(every_agent_has_a_sound_range_key_and_words)
{
    for (int i = 0; i < COIL_NEUTRALISER_COUNT; i++) {
        enum coil_neutraliser agent = (enum coil_neutraliser)i;
        enum coil_neutraliser found = COIL_NEUTRALISER_COUNT;
        struct coil_neutraliser_amount out;

        ck_assert_int_eq(coil_neutraliser_amount(agent, 3, 30, &out), COIL_OK);
        ck_assert_double_le(out.low_g, out.high_g);
        ck_assert_double_lt(out.first_g, out.high_g);
        ck_assert_double_gt(out.first_g, 0);
        if (!isnan(out.field_g))
            ck_assert_double_le(out.field_g, out.high_g + 1e-9);
        ck_assert_int_eq(coil_neutraliser_from_key(coil_neutraliser_key(agent), &found),
                         COIL_OK);
        ck_assert_int_eq(found, agent);
        ck_assert_ptr_nonnull(coil_neutraliser_words(agent));
    }
    ck_assert_ptr_null(coil_neutraliser_key(COIL_NEUTRALISER_COUNT));
    ck_assert_ptr_null(coil_neutraliser_words(COIL_NEUTRALISER_COUNT));
}
END_TEST

START_TEST(neutralisers_refuse_what_cannot_be)
{
    struct coil_neutraliser_amount out = {.low_g = 5};
    struct coil_neutraliser_need need;
    enum coil_neutraliser agent;

    ck_assert_int_eq(coil_neutraliser_amount(COIL_NEUTRALISER_COUNT, 3, 30, &out),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_neutraliser_need(COIL_NEUTRALISER_COUNT, &need),
                     COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_neutraliser_amount(COIL_NEUTRALISER_SULFITE, NAN, 30, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_neutraliser_amount(COIL_NEUTRALISER_SULFITE, 3, NAN, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_neutraliser_amount(COIL_NEUTRALISER_SULFITE, -3, 30, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_neutraliser_amount(COIL_NEUTRALISER_SULFITE, 3, 0, &out),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_neutraliser_from_key("salt", &agent), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_neutraliser_from_key(NULL, &agent), COIL_ERR_UNKNOWN);
    ck_assert_double_eq(out.low_g, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("breakpoint");
    TCase *tcase = tcase_create("breakpoint");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, both_rules_stand_side_by_side);
    tcase_add_test(tcase, tested_ammonia_is_paid_as_well);
    tcase_add_test(tcase, level_for_hocl_gives_that_hocl);
    tcase_add_test(tcase, level_for_hocl_rises_with_cyanuric_acid_and_may_not_exist);
    tcase_add_test(tcase, cyanuric_acid_raises_the_level_until_dilution_is_the_answer);
    tcase_add_test(tcase, little_combined_chlorine_needs_nothing);
    tcase_add_test(tcase, combined_chlorine_that_stays_after_a_full_try_is_organic);
    tcase_add_test(tcase, plan_refuses_what_cannot_be_and_leaves_the_result_alone);
    tcase_add_test(tcase, thiosulfate_is_a_range_and_half_of_it_comes_first);
    tcase_add_test(tcase, an_agent_without_a_field_figure_starts_at_half_its_least);
    tcase_add_test(tcase, every_agent_has_a_sound_range_key_and_words);
    tcase_add_test(tcase, neutralisers_refuse_what_cannot_be);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
