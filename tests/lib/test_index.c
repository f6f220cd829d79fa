/*
 * Saturation and corrosion indices: printed worked examples, limits, properties. The
 * tables saturation_formula.csv, ccpp_and_indices.csv, aggressive_index.csv and
 * larson_skold.csv are run by the program `tables`.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "lib/index.h"

/* The widely printed example: TDS 320, calcium hardness 150, alkalinity 34. */
static const struct coil_index_water example = {25, 7.5, 320, 150, 34};

static struct coil_handbook_index handbook(struct coil_index_water water)
{
    struct coil_handbook_index index = {0};

    ck_assert_int_ge(coil_handbook_index(&water, &index), COIL_OK);
    return index;
}

static struct coil_sm2330_index standard_methods(struct coil_index_water water)
{
    struct coil_sm2330_index index = {0};

    ck_assert_int_ge(coil_sm2330_index(&water, &index), COIL_OK);
    return index;
}

/* Printed: pHs 8.2 and index -0.7 at 25 degC, 7.2 and +0.3 at 82 degC; the formula by
 * hand 8.231, -0.731, 7.234, +0.266. */
START_TEST(handbook_index_reaches_the_widely_printed_example)
{
    struct coil_index_water hot = example;
    struct coil_handbook_index cold_index = handbook(example);
    struct coil_handbook_index hot_index;

    hot.temp_c = 82;
    hot_index = handbook(hot);
    ck_assert_double_eq_tol(cold_index.ph_s, 8.2, 0.05);
    ck_assert_double_eq_tol(cold_index.ph_s, 8.231, 0.002);
    ck_assert_double_eq_tol(cold_index.index, -0.7, 0.05);
    ck_assert_double_eq_tol(cold_index.index, -0.731, 0.002);
    ck_assert_double_eq_tol(hot_index.ph_s, 7.2, 0.05);
    ck_assert_double_eq_tol(hot_index.index, 0.3, 0.05);
    ck_assert_double_eq_tol(hot_index.index, 0.266, 0.002);
}
END_TEST

/* Standard Methods 2330 formula, recomputed apart from this code. */
START_TEST(sm2330_index_reaches_its_recomputed_values)
{
    struct coil_index_water pool = {28, 7.5, 1000, 300, 90};

    ck_assert_double_eq_tol(standard_methods(example).ph_s, 8.045, 0.002);
    ck_assert_double_eq_tol(standard_methods(pool).index, 0.094, 0.002);
    ck_assert_double_eq_tol(handbook(pool).index, 0.000, 0.002);
}
END_TEST

/* Plummer & Busenberg 1982, recomputed apart from this code; 1.93 is the remembered
 * table of Standard Methods. */
START_TEST(sm2330_constants_are_those_of_plummer_and_busenberg)
{
    struct coil_sm2330_constants at = {0};

    ck_assert_int_eq(coil_sm2330_constants(25, &at), COIL_OK);
    ck_assert_double_eq_tol(at.pk2, 10.3289, 0.0002);
    ck_assert_double_eq_tol(at.pk_s, 8.4798, 0.0002);
    ck_assert_int_eq(coil_sm2330_constants(60, &at), COIL_OK);
    ck_assert_double_eq_tol(at.pk_s, 8.7588, 0.0002);
    ck_assert_int_eq(coil_sm2330_constants(20, &at), COIL_OK);
    ck_assert_double_eq_tol(at.pk2 - at.pk_s, 1.922, 0.001);
    ck_assert_double_eq_tol(at.pk2 - at.pk_s, 1.93, 0.01);
}
END_TEST

/* Definition 2 pHs - pH with the example's pHs: 2 x 8.231 - 7.5 = 8.96. */
START_TEST(ryznar_index_follows_its_definition)
{
    double index = NAN;

    ck_assert_int_eq(coil_ryznar_index(handbook(example).ph_s, 7.5, &index), COIL_OK);
    ck_assert_double_eq_tol(index, 8.96, 0.01);
    ck_assert_int_eq(coil_ryznar_index(7, 7, &index), COIL_OK);
    ck_assert_double_eq_tol(index, 7, 1e-15);
    ck_assert_int_eq(coil_ryznar_index(NAN, 7, &index), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_ryznar_index(7, NAN, &index), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_ryznar_index(1e308, -1e308, &index), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq_tol(index, 7, 1e-15);
}
END_TEST

/* pH 8, alkalinity 200, calcium 80 mg/L as Ca = 199.8 as CaCO3: 13 printed by a general
 * drinking-water library, 12.602 by hand. */
START_TEST(aggressive_index_reaches_the_printed_example)
{
    double index = NAN;

    ck_assert_int_eq(coil_aggressive_index(8, 200, 199.784, &index), COIL_OK);
    ck_assert_double_eq_tol(index, 13, 0.5);
    ck_assert_double_eq_tol(index, 12.602, 0.0005);
    ck_assert_int_eq(coil_aggressive_index(7, 100, 100, &index), COIL_OK);
    ck_assert_double_eq_tol(index, 11, 1e-12); /* 7 + log10(10^4) */
    ck_assert_int_eq(coil_aggressive_index(0, 0.1, 0.1, &index), COIL_OK);
    ck_assert_double_eq_tol(index, -2, 1e-12);
    ck_assert_int_eq(coil_aggressive_index(14, 1, 1, &index), COIL_OK);
    ck_assert_double_eq_tol(index, 14, 1e-12);
}
END_TEST

/* Printed by the same library: 0.7 and 74; by hand 0.711 and 73.60. */
START_TEST(larson_skold_index_reaches_the_printed_examples)
{
    double ratio = NAN;

    ck_assert_int_eq(coil_larson_skold_index(100, 1, 200, &ratio), COIL_OK);
    ck_assert_double_eq_tol(ratio, 0.7, 0.05);
    ck_assert_double_eq_tol(ratio, 0.711, 0.0005);
    ck_assert_int_eq(coil_larson_skold_index(150, 150, 5, &ratio), COIL_OK);
    ck_assert_double_eq_tol(ratio, 74, 0.5);
    ck_assert_double_eq_tol(ratio, 73.604, 0.0005);
    ck_assert_int_eq(coil_larson_skold_index(0, 0, 100, &ratio), COIL_OK);
    ck_assert_double_eq(ratio, 0);
}
END_TEST

/* Calcite dissolves less in hot water; each factor ten of Ca or alkalinity is 1. */
START_TEST(saturation_rises_with_heat_calcium_and_alkalinity)
{
    struct coil_index_water more = example;

    for (int t = 0; t < 80; t += 5) {
        struct coil_index_water cold = example;
        struct coil_index_water hot = example;

        cold.temp_c = t;
        hot.temp_c = t + 5;
        ck_assert_double_lt(handbook(cold).index, handbook(hot).index);
        ck_assert_double_lt(standard_methods(cold).index, standard_methods(hot).index);
    }
    more.calcium_hardness_mg_per_l_caco3 *= 10;
    ck_assert_double_eq_tol(handbook(more).index, handbook(example).index + 1, 1e-12);
    ck_assert_double_eq_tol(standard_methods(more).index,
                            standard_methods(example).index + 1, 1e-12);
    more = example;
    more.total_alkalinity_mg_per_l_caco3 *= 10;
    ck_assert_double_eq_tol(handbook(more).index, handbook(example).index + 1, 1e-12);
    ck_assert_double_eq_tol(standard_methods(more).index,
                            standard_methods(example).index + 1, 1e-12);
}
END_TEST

START_TEST(saturation_falls_with_dissolved_solids_and_moves_with_ph)
{
    struct coil_index_water other = example;

    other.tds_mg_per_l = 3200;
    /* A = (log10 TDS - 1)/10: a factor ten is 0.1 */
    ck_assert_double_eq_tol(handbook(other).index, handbook(example).index - 0.1,
                            1e-12);
    ck_assert_double_lt(standard_methods(other).index, standard_methods(example).index);
    other = example;
    other.ph += 0.4;
    ck_assert_double_eq_tol(handbook(other).index, handbook(example).index + 0.4,
                            1e-12);
    ck_assert_double_eq_tol(standard_methods(other).index,
                            standard_methods(example).index + 0.4, 1e-12);
}
END_TEST

/* Without dissolved solids no activity correction is left. */
START_TEST(sm2330_index_at_no_dissolved_solids_has_no_activity_term)
{
    struct coil_index_water fresh = example;

    fresh.tds_mg_per_l = 0;
    ck_assert_double_eq(standard_methods(fresh).pfm, 0);
}
END_TEST

/* One value each at or just past an end of a source's range. */
static const struct {
    struct coil_index_water water;
    enum coil_status handbook;
    enum coil_status standard_methods;
} range_ends[] = {
    {{25, 7.5, 320, 150, 34}, COIL_OK, COIL_OK},
    {{0, 7.5, 50, 10, 10}, COIL_OK, COIL_OK},
    {{82, 7.5, 1000, 1000, 1000}, COIL_OK, COIL_OK},
    {{-0.1, 7.5, 320, 150, 34}, COIL_WARN_RANGE, COIL_WARN_RANGE},
    {{-5, 7.5, 320, 150, 34}, COIL_WARN_RANGE, COIL_WARN_RANGE},
    {{82.1, 7.5, 320, 150, 34}, COIL_WARN_RANGE, COIL_OK},
    {{90, 7.5, 320, 150, 34}, COIL_WARN_RANGE, COIL_OK},
    {{90.1, 7.5, 320, 150, 34}, COIL_WARN_RANGE, COIL_WARN_RANGE},
    {{120, 7.5, 320, 150, 34}, COIL_WARN_RANGE, COIL_WARN_RANGE},
    {{25, 0, 320, 150, 34}, COIL_OK, COIL_OK},
    {{25, 14, 320, 150, 34}, COIL_OK, COIL_OK},
    {{25, 7.5, 49.9, 150, 34}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 0.1, 150, 34}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 1000.1, 150, 34}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 20000, 150, 34}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 20000.1, 150, 34}, COIL_WARN_RANGE, COIL_WARN_RANGE},
    {{25, 7.5, 320, 9.99, 34}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 320, 0.1, 34}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 320, 1000.1, 34}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 320, 150, 9.99}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 320, 150, 0.1}, COIL_WARN_RANGE, COIL_OK},
    {{25, 7.5, 320, 150, 1000.1}, COIL_WARN_RANGE, COIL_OK},
};

START_TEST(saturation_says_where_the_sources_end)
{
    struct coil_handbook_index hb = {.index = NAN};
    struct coil_sm2330_index sm = {.index = NAN};

    ck_assert_int_eq(coil_handbook_index(&range_ends[_i].water, &hb),
                     range_ends[_i].handbook);
    ck_assert_int_eq(coil_sm2330_index(&range_ends[_i].water, &sm),
                     range_ends[_i].standard_methods);
    ck_assert(isfinite(hb.index) && isfinite(sm.index));
}
END_TEST

/* One wrong value each; every other one is the example's. */
static const struct {
    struct coil_index_water water;
    enum coil_status handbook;
    enum coil_status standard_methods;
} refused[] = {
    {{NAN, 7.5, 320, 150, 34}, COIL_ERR_NOT_FINITE, COIL_ERR_NOT_FINITE},
    {{25, NAN, 320, 150, 34}, COIL_ERR_NOT_FINITE, COIL_ERR_NOT_FINITE},
    {{25, 7.5, NAN, 150, 34}, COIL_ERR_NOT_FINITE, COIL_ERR_NOT_FINITE},
    {{25, 7.5, 320, INFINITY, 34}, COIL_ERR_NOT_FINITE, COIL_ERR_NOT_FINITE},
    {{25, 7.5, 320, 150, -INFINITY}, COIL_ERR_NOT_FINITE, COIL_ERR_NOT_FINITE},
    {{-5.01, 7.5, 320, 150, 34}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
    {{120.01, 7.5, 320, 150, 34}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
    {{25, -0.1, 320, 150, 34}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
    {{25, 14.1, 320, 150, 34}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
    {{25, 7.5, -1e-9, 150, 34}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
    {{25, 7.5, 0, 150, 34}, COIL_ERR_DOMAIN, COIL_OK},
    {{25, 7.5, 320, 0, 34}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
    {{25, 7.5, 320, -3, 34}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
    {{25, 7.5, 320, 150, 0}, COIL_ERR_DOMAIN, COIL_ERR_DOMAIN},
};

#define REFUSED_COUNT ((int)(sizeof refused / sizeof refused[0]))

START_TEST(saturation_refuses_impossible_waters_and_leaves_the_result_alone)
{
    struct coil_handbook_index hb = {.index = 5};
    struct coil_sm2330_index sm = {.index = 5};

    ck_assert_int_eq(coil_handbook_index(&refused[_i].water, &hb),
                     refused[_i].handbook);
    ck_assert_int_eq(coil_sm2330_index(&refused[_i].water, &sm),
                     refused[_i].standard_methods);
    ck_assert_double_eq(hb.index, 5);
    if (refused[_i].standard_methods < COIL_OK)
        ck_assert_double_eq(sm.index, 5);
}
END_TEST

START_TEST(sm2330_constants_refuse_and_warn_by_temperature)
{
    struct coil_sm2330_constants at = {.pk2 = 5};

    ck_assert_int_eq(coil_sm2330_constants(NAN, &at), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_sm2330_constants(-5.01, &at), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_sm2330_constants(120.01, &at), COIL_ERR_DOMAIN);
    ck_assert_double_eq(at.pk2, 5);
    ck_assert_int_eq(coil_sm2330_constants(-1, &at), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_sm2330_constants(91, &at), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_sm2330_constants(-5, &at), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_sm2330_constants(120, &at), COIL_WARN_RANGE);
    ck_assert_int_eq(coil_sm2330_constants(0, &at), COIL_OK);
    ck_assert_int_eq(coil_sm2330_constants(90, &at), COIL_OK);
}
END_TEST

START_TEST(corrosion_indices_refuse_impossible_values)
{
    double out = 5;

    ck_assert_int_eq(coil_aggressive_index(NAN, 90, 250, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_aggressive_index(7, NAN, 250, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_aggressive_index(7, 90, NAN, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_aggressive_index(-0.01, 90, 250, &out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_aggressive_index(14.01, 90, 250, &out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_aggressive_index(7, 0, 250, &out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_aggressive_index(7, 90, 0, &out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_larson_skold_index(NAN, 1, 1, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_larson_skold_index(1, NAN, 1, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_larson_skold_index(1, 1, NAN, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_larson_skold_index(NAN, -1, 1, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_larson_skold_index(-1, NAN, 1, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_larson_skold_index(-1, 1, NAN, &out), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_larson_skold_index(-1, 1, 1, &out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_larson_skold_index(1, -1, 1, &out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_larson_skold_index(1, 1, 0, &out), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_larson_skold_index(1e300, 1, 1e-300, &out),
                     COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(out, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("index");
    TCase *tcase = tcase_create("index");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, handbook_index_reaches_the_widely_printed_example);
    tcase_add_test(tcase, sm2330_index_reaches_its_recomputed_values);
    tcase_add_test(tcase, sm2330_constants_are_those_of_plummer_and_busenberg);
    tcase_add_test(tcase, ryznar_index_follows_its_definition);
    tcase_add_test(tcase, aggressive_index_reaches_the_printed_example);
    tcase_add_test(tcase, larson_skold_index_reaches_the_printed_examples);
    tcase_add_test(tcase, saturation_rises_with_heat_calcium_and_alkalinity);
    tcase_add_test(tcase, saturation_falls_with_dissolved_solids_and_moves_with_ph);
    tcase_add_test(tcase, sm2330_index_at_no_dissolved_solids_has_no_activity_term);
    tcase_add_loop_test(tcase, saturation_says_where_the_sources_end, 0,
                        (int)(sizeof range_ends / sizeof range_ends[0]));
    tcase_add_loop_test(
        tcase, saturation_refuses_impossible_waters_and_leaves_the_result_alone, 0,
        REFUSED_COUNT);
    tcase_add_test(tcase, sm2330_constants_refuse_and_warn_by_temperature);
    tcase_add_test(tcase, corrosion_indices_refuse_impossible_values);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
