/*
 * The heater's hot surface, precipitation, and how well the index is known.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/film.h"
#include "lib/precipitation.h"
#include "lib/saturation_band.h"
#include "tests/support/random_water.h"

#define SEED UINT64_C(1970010100000003)
#define WAHMAN COIL_CYANURATE_WAHMAN_2019
#define W_PER_BTU_PER_H 0.29307107017222
#define KG_PER_S_PER_GPM 0.06287 /* US gallon at 80 degF, 996.6 kg/m3 */

static const struct coil_composition POOL = {.ph = 7.5,
                                             .total_alkalinity_mg_per_l_caco3 = 80,
                                             .calcium_hardness_mg_per_l_caco3 = 250,
                                             .salt_mg_per_l_nacl = 500,
                                             .water_temp_c = 25};

static void solve(const struct coil_composition *c, struct coil_constants *k,
                  struct coil_totals *totals, struct coil_equilibrium *e)
{
    ck_assert_int_ge(coil_water_from_composition(c, WAHMAN, k, totals, e, NULL), 0);
}

/* Water-side balance: 400,000 Btu/h at 82 % and 40 US gpm raise water by 16.4 degF. */
START_TEST(outlet_follows_from_input_efficiency_and_flow)
{
    struct coil_heater_flow heater = {400000 * W_PER_BTU_PER_H, 0.82,
                                      40 * KG_PER_S_PER_GPM, 0};
    double outlet = NAN, half = NAN;

    ck_assert_int_eq(coil_heater_outlet_temp(27, &heater, &outlet), COIL_OK);
    ck_assert_double_eq_tol((outlet - 27) * 1.8, 16.4, 0.1);
    heater.flow_kg_per_s *= 2;
    ck_assert_int_eq(coil_heater_outlet_temp(27, &heater, &half), COIL_OK);
    ck_assert_double_eq_tol(half - 27, (outlet - 27) / 2, 1e-12);
    heater.input_w = 0;
    ck_assert_int_eq(coil_heater_outlet_temp(27, &heater, &half), COIL_OK);
    ck_assert_double_eq(half, 27);
}
END_TEST

START_TEST(heater_without_flow_or_meaning_is_refused)
{
    static const struct coil_heater_flow bad[] = {
        {100000, 0.8, 0, 15},   {100000, 0.8, -1, 15},  {-1, 0.8, 2, 15},
        {100000, 0, 2, 15},     {100000, 11, 2, 15},    {NAN, 0.8, 2, 15},
        {100000, 0.8, NAN, 15}, {100000, 0.8, 2, NAN},  {100000, 0.8, 2, -1},
        {100000, 0.8, 0.01, 0}, {100000, 0.8, 0.5, 50},
    };
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;
    struct coil_film film;
    size_t i;

    solve(&POOL, &k, &totals, &e);
    for (i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(coil_film_solve(&totals, &e, WAHMAN, &bad[i], &film) < 0,
                      "heater %zu was not refused", i);
}
END_TEST

/* Alkalinity 80, hardness 250, NaCl 500, pH 7.5 at 25 degC: at 60 degC pH 7.370, SI
 * +0.261 (the same constants, another program). */
START_TEST(closed_pool_water_at_sixty_degrees)
{
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e, hot;

    solve(&POOL, &k, &totals, &e);
    ck_assert_int_eq(coil_water_heated(&totals, &e, WAHMAN, 60, &hot), COIL_OK);
    ck_assert_double_eq_tol(hot.ph, 7.370, 0.003);
    ck_assert_double_eq_tol(hot.si_calcite, 0.261, 0.005);
    ck_assert_int_eq(coil_water_heated(&totals, &e, WAHMAN, 71, &hot), COIL_ERR_DOMAIN);
}
END_TEST

START_TEST(film_is_hotter_and_scales_sooner_than_outlet_and_pool)
{
    struct coil_heater_flow heater = {117000, 0.82, 2.5, COIL_FILM_RISE_DEFAULT_K};
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;
    struct coil_film film;

    solve(&POOL, &k, &totals, &e);
    ck_assert_int_eq(coil_film_solve(&totals, &e, WAHMAN, &heater, &film), COIL_OK);
    ck_assert_double_eq_tol(film.film_temp_c - film.outlet_temp_c,
                            COIL_FILM_RISE_DEFAULT_K, 1e-12);
    ck_assert_double_lt(film.film.ph, film.outlet.ph);
    ck_assert_double_lt(film.outlet.ph, e.ph);
    ck_assert_double_gt(film.film.si_calcite, film.outlet.si_calcite);
    ck_assert_double_gt(film.outlet.si_calcite, e.si_calcite);
}
END_TEST

START_TEST(heating_keeps_alkalinity_and_carbon_and_cooling_returns)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 2000; i++) {
        struct coil_constants k;
        struct coil_equilibrium e, hot, back;
        struct random_water w;

        random_water_pool(&random, &w);
        ck_assert_int_eq(coil_constants_at(w.temp_c, WAHMAN, &k), COIL_OK);
        ck_assert_int_ge(coil_equilibrium_solve(&k, &w.totals, COIL_GIVEN_PH_DIC, w.ph,
                                                w.dic_mol_per_kg, &e),
                         0);
        ck_assert_int_ge(coil_water_heated(&w.totals, &e, WAHMAN,
                                           random_between(&random, 0, 70), &hot),
                         0);
        ck_assert_double_eq_tol(hot.alkalinity_eq_per_kg, e.alkalinity_eq_per_kg,
                                1e-9 * e.alkalinity_eq_per_kg);
        ck_assert_double_eq_tol(hot.dic_mol_per_kg, e.dic_mol_per_kg,
                                1e-9 * e.dic_mol_per_kg);
        ck_assert_int_ge(coil_equilibrium_heat(&k, &w.totals, &hot, &back), 0);
        ck_assert_double_eq_tol(back.ph, e.ph, 1e-7);
        ck_assert_double_eq_tol(back.si_calcite, e.si_calcite, 1e-7);
    }
}
END_TEST

static struct coil_precipitation potential(double temp_c, double ph, double alkalinity,
                                           double calcium_mg_per_l)
{
    struct coil_composition c = {.ph = ph,
                                 .total_alkalinity_mg_per_l_caco3 = alkalinity,
                                 .calcium_hardness_mg_per_l_caco3 =
                                     calcium_mg_per_l * 100.0869 / 40.078,
                                 .water_temp_c = temp_c};
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;
    struct coil_closed_water water;
    struct coil_precipitation p;

    solve(&c, &k, &totals, &e);
    coil_closed_from_equilibrium(&totals, &e, &water);
    ck_assert_int_eq(coil_precipitation_solve(&k, &water, &p), COIL_OK);
    return p;
}

/* Tests of a general drinking-water library: 17 and -33 mg/L (it has no ion pairs). */
START_TEST(precipitation_potential_is_as_published)
{
    ck_assert_double_eq_tol(potential(25, 8, 200, 40).caco3_mg_per_l, 17, 2);
    ck_assert_double_eq_tol(potential(25, 6.85, 80, 32).caco3_mg_per_l, -33, 3.3);
}
END_TEST

START_TEST(precipitation_ends_at_saturation_and_loses_nothing_else)
{
    struct random_state random = {SEED};
    int i;

    for (i = 0; i < 500; i++) {
        struct coil_constants k;
        struct coil_equilibrium e;
        struct random_water w;
        struct coil_closed_water water;
        struct coil_precipitation p;
        double x;

        random_water_pool(&random, &w);
        ck_assert_int_eq(coil_constants_at(w.temp_c, WAHMAN, &k), COIL_OK);
        ck_assert_int_ge(coil_equilibrium_solve(&k, &w.totals, COIL_GIVEN_PH_DIC, w.ph,
                                                w.dic_mol_per_kg, &e),
                         0);
        coil_closed_from_equilibrium(&w.totals, &e, &water);
        ck_assert_int_ge(coil_precipitation_solve(&k, &water, &p), 0);
        x = p.caco3_mol_per_kg;
        ck_assert_double_eq_tol(p.settled.si_calcite, 0, 1e-6);
        ck_assert(x == 0 || (x > 0) == (e.si_calcite > 0));
        ck_assert_double_eq_tol(p.settled.dic_mol_per_kg, w.dic_mol_per_kg - x, 1e-11);
        ck_assert_double_eq_tol(p.settled.alkalinity_eq_per_kg,
                                e.alkalinity_eq_per_kg - 2 * x, 1e-11);
        ck_assert_int_le(p.solves, 100);
    }
}
END_TEST

/* Even water without calcium or carbonate takes up calcite, and strong acid a lot. */
START_TEST(water_without_calcium_dissolves_calcite)
{
    struct coil_constants k;
    struct coil_closed_water water = {.totals = {.chloride_mol_per_kg = 0.01},
                                      .alkalinity_eq_per_kg = -0.01};
    struct coil_precipitation p;

    ck_assert_int_eq(coil_constants_at(25, WAHMAN, &k), COIL_OK);
    ck_assert_int_eq(coil_precipitation_solve(&k, &water, &p), COIL_OK);
    /* CaCO3 + 2 H+: half of the acid, and then a little into what it left. */
    ck_assert_double_lt(p.caco3_mol_per_kg, -0.005);
    ck_assert_double_gt(p.caco3_mol_per_kg, -0.012);
}
END_TEST

/* One value with a step: the slope of the index by pH is close to 1, so that a step of
 * 0.2 gives 2 x 0.2/sqrt(12) = 0.115. */
START_TEST(band_of_the_index_comes_from_the_steps_of_the_tests)
{
    struct coil_saturation_steps steps = {.ph = 0.2};
    struct coil_saturation_band band;

    ck_assert_int_eq(coil_saturation_band(&POOL, &steps, WAHMAN, 0, 0, &band), COIL_OK);
    ck_assert_double_eq_tol(band.half_width, 0.115, 0.006);
    ck_assert_double_eq_tol(band.ph_share, 1, 1e-12);
    ck_assert_int_eq(coil_saturation_band(&POOL, &steps, WAHMAN, 0,
                                          COIL_SATURATION_MODEL_POOL, &band),
                     COIL_OK);
    ck_assert_double_eq_tol(band.half_width,
                            hypot(band.tests_half_width, COIL_SATURATION_MODEL_POOL),
                            1e-12);
}
END_TEST

/* Sampling says the same as slopes: true values evenly within half a step. */
START_TEST(band_of_the_index_agrees_with_sampling)
{
    struct coil_saturation_steps steps = {.ph = 0.2,
                                          .total_alkalinity_mg_per_l_caco3 = 10,
                                          .calcium_hardness_mg_per_l_caco3 = 25,
                                          .salt_mg_per_l_nacl = 200,
                                          .cyanuric_acid_mg_per_l = 20,
                                          .water_temp_k = 1};
    struct random_state random = {SEED};
    struct coil_composition mid = POOL;
    struct coil_saturation_band band;
    double sum = 0, squares = 0;
    const int samples = 20000;
    int i;

    mid.cyanuric_acid_mg_per_l = 40;
    ck_assert_int_ge(coil_saturation_band(&mid, &steps, WAHMAN, 30, 0, &band), 0);
    for (i = 0; i < samples; i++) {
        struct coil_composition c = mid;
        struct coil_constants k;
        struct coil_totals totals;
        struct coil_equilibrium e, hot;

        c.ph += steps.ph * (random_fraction(&random) - 0.5);
        c.total_alkalinity_mg_per_l_caco3 +=
            steps.total_alkalinity_mg_per_l_caco3 * (random_fraction(&random) - 0.5);
        c.calcium_hardness_mg_per_l_caco3 +=
            steps.calcium_hardness_mg_per_l_caco3 * (random_fraction(&random) - 0.5);
        c.salt_mg_per_l_nacl +=
            steps.salt_mg_per_l_nacl * (random_fraction(&random) - 0.5);
        c.cyanuric_acid_mg_per_l +=
            steps.cyanuric_acid_mg_per_l * (random_fraction(&random) - 0.5);
        c.water_temp_c += steps.water_temp_k * (random_fraction(&random) - 0.5);
        solve(&c, &k, &totals, &e);
        ck_assert_int_ge(
            coil_water_heated(&totals, &e, WAHMAN, c.water_temp_c + 30, &hot), 0);
        sum += hot.si_calcite;
        squares += hot.si_calcite * hot.si_calcite;
    }
    ck_assert_double_eq_tol(sum / samples, band.si_calcite, 0.01);
    ck_assert_double_eq_tol(2 * sqrt(squares / samples - sum / samples * sum / samples),
                            band.half_width, 0.04 * band.half_width);
}
END_TEST

START_TEST(band_refuses_what_has_no_meaning)
{
    struct coil_saturation_steps steps = {.ph = -0.1};
    struct coil_composition none = POOL;
    struct coil_saturation_band band;

    ck_assert_int_eq(coil_saturation_band(&POOL, &steps, WAHMAN, 0, 0, &band),
                     COIL_ERR_DOMAIN);
    steps.ph = NAN;
    ck_assert_int_eq(coil_saturation_band(&POOL, &steps, WAHMAN, 0, 0, &band),
                     COIL_ERR_NOT_FINITE);
    steps.ph = 0.1;
    none.ph = NAN;
    ck_assert_int_eq(coil_saturation_band(&none, &steps, WAHMAN, 0, 0, &band),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_saturation_band(&POOL, &steps, WAHMAN, 60, 0, &band),
                     COIL_ERR_DOMAIN);
    /* No alkalinity to step down from: the step is taken upwards only. */
    none = POOL;
    none.calcium_hardness_mg_per_l_caco3 = 1;
    steps.calcium_hardness_mg_per_l_caco3 = 10;
    ck_assert_int_eq(coil_saturation_band(&none, &steps, WAHMAN, 0, 0, &band), COIL_OK);
    ck_assert(isfinite(band.half_width));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("film");
    TCase *tcase = tcase_create("film");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, outlet_follows_from_input_efficiency_and_flow);
    tcase_add_test(tcase, heater_without_flow_or_meaning_is_refused);
    tcase_add_test(tcase, closed_pool_water_at_sixty_degrees);
    tcase_add_test(tcase, film_is_hotter_and_scales_sooner_than_outlet_and_pool);
    tcase_add_test(tcase, heating_keeps_alkalinity_and_carbon_and_cooling_returns);
    tcase_add_test(tcase, precipitation_potential_is_as_published);
    tcase_add_test(tcase, precipitation_ends_at_saturation_and_loses_nothing_else);
    tcase_add_test(tcase, water_without_calcium_dissolves_calcite);
    tcase_add_test(tcase, band_of_the_index_comes_from_the_steps_of_the_tests);
    tcase_add_test(tcase, band_of_the_index_agrees_with_sampling);
    tcase_add_test(tcase, band_refuses_what_has_no_meaning);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
