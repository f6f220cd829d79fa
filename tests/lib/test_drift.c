/*
 * Drift of pH: published time of CO2's leaving, its ends, refusals.
 */
#include <check.h>
#include <math.h>

#include "lib/composition.h"
#include "lib/drift.h"
#include "tests/support/suite.h"

static struct coil_drift_input pool_at(double ph, double alkalinity, double temp_c)
{
    struct coil_composition c = {.ph = ph,
                                 .total_alkalinity_mg_per_l_caco3 = alkalinity,
                                 .calcium_hardness_mg_per_l_caco3 = 250,
                                 .salt_mg_per_l_nacl = 500,
                                 .water_temp_c = temp_c};
    struct coil_constants k;
    struct coil_totals totals;
    struct coil_equilibrium e;
    struct coil_drift_input in = {.water_temp_c = temp_c,
                                  .mean_depth_m = 1.5,
                                  .k_low = COIL_DRIFT_K_LOW,
                                  .k_likely = COIL_DRIFT_K_LIKELY,
                                  .k_high = COIL_DRIFT_K_HIGH,
                                  .air_pco2_atm = COIL_DRIFT_AIR_ATM};

    ck_assert_int_ge(coil_water_from_composition(&c, COIL_CYANURATE_WAHMAN_2019, &k,
                                                 &totals, &e, NULL),
                     0);
    coil_closed_from_equilibrium(&totals, &e, &in.water);
    return in;
}

/* gas_transfer T6: dissolved CO2 alone, 1.5 m deep, falls to 1/e in 4.3 days at 0.35
 * m/d. Acid water holds nothing but CO2; 20 degC has Schmidt number 600. */
START_TEST(carbon_of_acid_water_leaves_as_published)
{
    struct coil_drift_input in = pool_at(7.5, 80, 20);
    struct coil_drift_point point[2];
    const double days[] = {0, 1.5 / 0.35};

    in.water.alkalinity_eq_per_kg = -1e-3;
    in.water.totals.chloride_mol_per_kg += 3e-3;
    in.k_low = in.k_likely = in.k_high = 0.35;
    in.air_pco2_atm = 0;
    ck_assert_int_ge(coil_drift(&in, days, 2, point), 0);
    ck_assert_double_eq_tol(point[1].dic_mol_per_kg / point[0].dic_mol_per_kg, exp(-1),
                            0.002);
}
END_TEST

/* [wanninkhof-2014] as tabled: within 1 %. */
START_TEST(schmidt_number_is_that_of_the_table)
{
    static const double rows[][2] = {{0, 1923.6}, {10, 1032.1}, {20, 600.3},
                                     {25, 468.7}, {28, 404.9},  {30, 367.3},
                                     {35, 289.8}, {40, 240.6}};
    size_t i;

    for (i = 0; i < sizeof rows / sizeof *rows; i++)
        ck_assert_double_eq_tol(coil_schmidt_co2(rows[i][0]), rows[i][1],
                                0.01 * rows[i][1]);
    ck_assert_double_eq(coil_schmidt_co2(55), coil_schmidt_co2(40));
}
END_TEST

START_TEST(ph_rises_to_the_balance_with_air_and_no_further)
{
    struct coil_drift_input in = pool_at(7.4, 100, 25);
    struct coil_constants k;
    struct coil_equilibrium balance;
    struct coil_drift_point point[4];
    const double days[] = {0, 3, 14, 60};

    ck_assert_int_eq(coil_constants_at(25, COIL_CYANURATE_WAHMAN_2019, &k), COIL_OK);
    ck_assert_int_ge(
        coil_outgas_to_pressure(&k, &in.water, COIL_DRIFT_AIR_ATM, NULL, &balance), 0);
    in.k_high = 20;
    ck_assert_int_ge(coil_drift(&in, days, 4, point), 0);
    ck_assert_double_eq_tol(point[0].ph_likely, 7.4, 1e-6);
    ck_assert_double_gt(point[1].ph_likely, 7.41);
    ck_assert_double_lt(point[1].ph_low, point[1].ph_likely);
    ck_assert_double_gt(point[2].ph_likely, point[1].ph_likely);
    ck_assert_double_eq_tol(point[3].ph_high, balance.ph, 0.002);
    ck_assert_double_eq_tol(point[3].alkalinity_eq_per_kg,
                            in.water.alkalinity_eq_per_kg, 1e-12);
}
END_TEST

START_TEST(nothing_moves_where_nothing_leaves)
{
    struct coil_drift_input in = pool_at(7.4, 100, 25);
    struct coil_drift_point point;
    const double day = 30;

    in.k_low = in.k_likely = in.k_high = 0;
    ck_assert_int_ge(coil_drift(&in, &day, 1, &point), 0);
    ck_assert_double_eq_tol(point.ph_likely, 7.4, 1e-6);
    ck_assert_double_eq_tol(point.ph_high, point.ph_low, 1e-12);
}
END_TEST

/* 5 mm a day off 1.5 m for 30 days: a tenth of the pool came as fill water. */
START_TEST(evaporation_leaves_the_salts_that_fill_water_brings)
{
    struct coil_drift_input in = pool_at(7.4, 100, 25);
    struct coil_drift_point point;
    const double day = 30;
    double before = in.water.totals.calcium_mol_per_kg;

    in.evaporation_m_per_d = 0.005;
    in.fill = in.water;
    in.fill.totals.calcium_mol_per_kg = 0.002;
    ck_assert_int_ge(coil_drift(&in, &day, 1, &point), 0);
    ck_assert_double_eq_tol(point.calcium_mol_per_kg, before + 0.1 * 0.002, 1e-9);
    ck_assert_double_eq_tol(point.alkalinity_eq_per_kg,
                            1.1 * in.water.alkalinity_eq_per_kg, 1e-9);
}
END_TEST

START_TEST(a_path_in_two_parts_is_the_path)
{
    struct coil_drift_input in = pool_at(7.2, 90, 28);
    struct coil_drift_point whole, parts[5];
    const double day = 10, days[] = {1, 2.5, 4, 7, 10};

    ck_assert_int_ge(coil_drift(&in, &day, 1, &whole), 0);
    ck_assert_int_ge(coil_drift(&in, days, 5, parts), 0);
    ck_assert_double_eq_tol(parts[4].ph_likely, whole.ph_likely, 1e-5);
}
END_TEST

static void assert_refused(struct coil_drift_input in, enum coil_status status)
{
    struct coil_drift_point point;
    const double day = 1;

    ck_assert_int_eq(coil_drift(&in, &day, 1, &point), status);
}

START_TEST(what_has_no_meaning_is_refused)
{
    struct coil_drift_input in = pool_at(7.4, 100, 25), bad = in;
    struct coil_drift_point point[2];
    const double falling[] = {2, 1};

    bad.mean_depth_m = 0;
    assert_refused(bad, COIL_ERR_DOMAIN);
    bad = in;
    bad.k_low = 2;
    assert_refused(bad, COIL_ERR_DOMAIN);
    bad = in;
    bad.evaporation_m_per_d = NAN;
    assert_refused(bad, COIL_ERR_NOT_FINITE);
    bad = in;
    bad.water_temp_c = 80;
    assert_refused(bad, COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_drift(&in, falling, 2, point), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_drift(&in, falling, 0, point), COIL_ERR_DOMAIN);
}
END_TEST

/* Row T2 of fixtures/tables/gas_transfer.csv, from memory: 0, 1, 2, 4 m/s. */
START_TEST(transfer_follows_the_published_wind_law)
{
    static const double winds[] = {0, 1, 2, 4}, published[] = {0.497, 0.548, 0.664, 1.041};
    struct coil_drift_transfer k;

    ck_assert_int_eq(coil_drift_transfer(winds[_i], 1, 0, &k), COIL_OK);
    ck_assert_double_eq_tol(k.k_likely, published[_i], 0.001);
    ck_assert_double_eq_tol(k.k_high / k.k_low, 4, 1e-9);
}
END_TEST

START_TEST(covered_water_gives_off_nothing_and_nonsense_is_refused)
{
    struct coil_drift_transfer k = {7, 7, 7};

    ck_assert_int_eq(coil_drift_transfer(-1, 1, 0, &k), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_drift_transfer(0, 0.5, 0, &k), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_drift_transfer(0, 1, 1.1, &k), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_drift_transfer(NAN, 1, 0, &k), COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(k.k_likely, 7);
    ck_assert_int_eq(coil_drift_transfer(3, 5, 1, &k), COIL_OK);
    ck_assert_double_eq(k.k_high, 0);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("drift");

    tcase_add_test(tcase, carbon_of_acid_water_leaves_as_published);
    tcase_add_loop_test(tcase, transfer_follows_the_published_wind_law, 0, 4);
    tcase_add_test(tcase, covered_water_gives_off_nothing_and_nonsense_is_refused);
    tcase_add_test(tcase, schmidt_number_is_that_of_the_table);
    tcase_add_test(tcase, ph_rises_to_the_balance_with_air_and_no_further);
    tcase_add_test(tcase, nothing_moves_where_nothing_leaves);
    tcase_add_test(tcase, evaporation_leaves_the_salts_that_fill_water_brings);
    tcase_add_test(tcase, a_path_in_two_parts_is_the_path);
    tcase_add_test(tcase, what_has_no_meaning_is_refused);
    return suite_run("drift", tcase);
}
