/*
 * Conversions between units. The exact factors are checked by unit_conversions.csv;
 * here stand known points, hardness, and what must be refused.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/units.h"

static double convert(double value, const char *from_key, const char *to_key)
{
    const struct coil_unit *from = NULL;
    const struct coil_unit *to = NULL;
    double result = NAN;

    ck_assert_int_eq(coil_unit_from_key(from_key, &from), COIL_OK);
    ck_assert_int_eq(coil_unit_from_key(to_key, &to), COIL_OK);
    ck_assert_int_eq(coil_unit_convert(from, to, value, &result), COIL_OK);
    return result;
}

/*
 * One of each unit in the base unit of its dimension, from the definitions, digits as
 * NIST SP 811 appendix B prints them or whole: by hand, not from the table under test.
 * Temperatures stand apart below.
 */
static const struct {
    const char *key;
    const char *base;
    double value;
} definitions[] = {
    {"m", "m", 1},
    {"cm", "m", 0.01},
    {"mm", "m", 0.001},
    {"ft", "m", 0.3048},
    {"in", "m", 0.0254},
    {"yd", "m", 0.9144},
    {"m2", "m2", 1},
    {"cm2", "m2", 0.0001},
    {"ft2", "m2", 0.09290304},
    {"in2", "m2", 0.00064516},
    {"l", "l", 1},
    {"ml", "l", 0.001},
    {"m3", "l", 1000},
    {"us_gal", "l", 3.785411784},
    {"us_fl_oz", "l", 0.0295735295625},
    {"us_qt", "l", 0.946352946},
    {"imp_gal", "l", 4.54609},
    {"imp_fl_oz", "l", 0.0284130625},
    {"ft3", "l", 28.316846592},
    {"g", "g", 1},
    {"kg", "g", 1000},
    {"mg", "g", 0.001},
    {"lb", "g", 453.59237},
    {"oz", "g", 28.349523125},
    {"grain", "g", 0.06479891},
    {"dt_k", "dt_k", 1},
    {"dt_f", "dt_k", 0.55555555555555556},
    {"j", "j", 1},
    {"kj", "j", 1000},
    {"mj", "j", 1000000},
    {"wh", "j", 3600},
    {"kwh", "j", 3600000},
    {"btu", "j", 1055.05585262},
    {"therm_us", "j", 105480400},
    {"therm_ec", "j", 105505585.262},
    {"w", "w", 1},
    {"kw", "w", 1000},
    {"btu_per_h", "w", 0.29307107017222},
    {"hp", "w", 745.69987158227}, /* 550 ft lbf/s */
    {"ton_refrigeration", "w", 3516.8528420667},
    {"pa", "pa", 1},
    {"kpa", "pa", 1000},
    {"mbar", "pa", 100},
    {"bar", "pa", 100000},
    {"atm", "pa", 101325},
    {"psi", "pa", 6894.7572931684},
    {"in_hg", "pa", 3386.389},
    {"in_h2o", "pa", 248.84},
    {"l_per_s", "l_per_s", 1},
    {"l_per_min", "l_per_s", 0.016666666666667},
    {"m3_per_h", "l_per_s", 0.27777777777778},
    {"us_gal_per_min", "l_per_s", 0.0630901964},
    {"imp_gal_per_min", "l_per_s", 0.075768166666667},
    {"ft3_per_h", "l_per_s", 0.00786579072},
    {"m_per_s", "m_per_s", 1},
    {"km_per_h", "m_per_s", 0.27777777777778},
    {"mph", "m_per_s", 0.44704},
    {"ft_per_s", "m_per_s", 0.3048},
    {"mg_per_l", "mg_per_l", 1},
    {"ppm", "mg_per_l", 1},
    {"ug_per_l", "mg_per_l", 0.001},
    {"ppb", "mg_per_l", 0.001},
    {"g_per_l", "mg_per_l", 1000},
    {"mg_per_l_caco3", "mg_per_l_caco3", 1},
    {"ppm_caco3", "mg_per_l_caco3", 1},
    {"dh", "mg_per_l_caco3", 17.847992239298},
    {"fh", "mg_per_l_caco3", 10},
    {"eh", "mg_per_l_caco3", 14.253767523300},
    {"gpg", "mg_per_l_caco3", 17.118061045271},
    {"mmol_per_l_ca", "mg_per_l_caco3", 100.0869},
    {"mmol_per_l_acid", "mg_per_l_caco3", 50.04345},
    {"meq_per_l", "mg_per_l_caco3", 50.04345},
    {"mg_per_l_ca", "mg_per_l_caco3", 2.4973027596187},
    {"s", "s", 1},
    {"min", "s", 60},
    {"h", "s", 3600},
    {"d", "s", 86400},
};

#define DEFINITION_COUNT ((int)(sizeof definitions / sizeof definitions[0]))

START_TEST(unit_has_the_size_of_its_definition_and_no_zero_point)
{
    const char *key = definitions[_i].key;
    double value = definitions[_i].value;

    ck_assert_double_eq_tol(convert(1, key, definitions[_i].base), value,
                            1e-12 * value);
    ck_assert_double_eq(convert(0, key, definitions[_i].base), 0);
}
END_TEST

/* All but the three temperatures have a line above. */
START_TEST(every_unit_has_a_definition)
{
    int count = 0;

    while (coil_unit_at(count) != NULL)
        count++;
    ck_assert_int_eq(count, DEFINITION_COUNT + 3);
}
END_TEST

/* Definitions of the two scales; -40 is where they meet. */
START_TEST(temperature_scales_meet_at_their_known_points)
{
    ck_assert_double_eq(convert(212, "f", "c"), 100);
    ck_assert_double_eq(convert(32, "f", "c"), 0);
    ck_assert_double_eq(convert(-40, "f", "c"), -40);
    ck_assert_double_eq(convert(104, "f", "c"), 40);
    ck_assert_double_eq(convert(40, "c", "f"), 104);
    ck_assert_double_eq(convert(0, "c", "k"), 273.15);
    ck_assert_double_eq_tol(convert(98.6, "f", "c"), 37, 1e-13);
    ck_assert_double_eq_tol(convert(300, "k", "f"), 80.33, 1e-12);
    ck_assert_double_eq(convert(0, "k", "c"), -273.15);
    ck_assert_double_eq_tol(convert(-459.67, "f", "k"), 0, 1e-12);
}
END_TEST

START_TEST(temperature_step_has_no_zero_point)
{
    ck_assert_double_eq(convert(9, "dt_f", "dt_k"), 5);
    ck_assert_double_eq(convert(0, "dt_f", "dt_k"), 0);
}
END_TEST

START_TEST(temperature_below_absolute_zero_is_refused)
{
    const struct coil_unit *c = NULL;
    const struct coil_unit *f = NULL;
    double result = 5;

    ck_assert_int_eq(coil_unit_from_key("c", &c), COIL_OK);
    ck_assert_int_eq(coil_unit_from_key("f", &f), COIL_OK);
    ck_assert_int_eq(coil_unit_convert(c, f, -273.16, &result), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_unit_convert(f, c, -459.7, &result), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_unit_convert(f, f, -459.7, &result), COIL_ERR_DOMAIN);
    ck_assert_double_eq(result, 5);
}
END_TEST

/*
 * One German degree is 10 mg/L CaO, 17.848 mg/L CaCO3 or 0.1783 mmol/L; a French degree
 * 10 mg/L CaCO3; a grain per US gallon 17.118 mg/L; an English degree 14.254 mg/L (the
 * definitions, digits as usually printed; half of the last one is the tolerance).
 */
START_TEST(hardness_units_have_their_printed_values)
{
    ck_assert_double_eq_tol(convert(1, "dh", "mg_per_l_caco3"), 17.848, 0.0005);
    ck_assert_double_eq_tol(convert(1, "dh", "mmol_per_l_ca"), 0.1783, 0.00005);
    ck_assert_double_eq_tol(convert(1, "fh", "mg_per_l_caco3"), 10, 1e-12);
    ck_assert_double_eq_tol(convert(1, "gpg", "mg_per_l_caco3"), 17.118, 0.0005);
    ck_assert_double_eq_tol(convert(1, "eh", "mg_per_l_caco3"), 14.254, 0.0005);
    ck_assert_double_eq_tol(convert(1, "mmol_per_l_ca", "mg_per_l_caco3"), 100.0869,
                            1e-10);
    ck_assert_double_eq_tol(convert(1, "mmol_per_l_acid", "mg_per_l_caco3"), 50.04345,
                            1e-10);
    ck_assert_double_eq_tol(convert(1, "meq_per_l", "mmol_per_l_acid"), 1, 1e-14);
    ck_assert_double_eq_tol(convert(40.078, "mg_per_l_ca", "mg_per_l_caco3"), 100.0869,
                            1e-10);
}
END_TEST

/* "acid capacity 2.5 mmol/L" and "7 degrees" on a German report are the same water:
 * 2.5 x 50.04345 = 125.109 mg/L = 7.01 degrees. */
START_TEST(alkalinity_in_german_degrees_agrees_with_acid_capacity)
{
    ck_assert_double_eq_tol(convert(2.5, "mmol_per_l_acid", "dh"), 7.01, 0.005);
}
END_TEST

START_TEST(small_measures_are_their_part_of_the_large)
{
    ck_assert_double_eq_tol(convert(128, "us_fl_oz", "us_gal"), 1, 1e-14);
    ck_assert_double_eq_tol(convert(160, "imp_fl_oz", "imp_gal"), 1, 1e-14);
    ck_assert_double_eq_tol(convert(16, "oz", "lb"), 1, 1e-14);
    ck_assert_double_eq_tol(convert(7000, "grain", "lb"), 1, 1e-13);
    ck_assert_double_eq_tol(convert(12, "in", "ft"), 1, 1e-14);
    ck_assert_double_eq_tol(convert(144, "in2", "ft2"), 1, 1e-13);
    ck_assert_double_eq_tol(convert(24, "h", "d"), 1, 1e-14);
    /* 29.5735295625 mL, 28.4130625 mL, 28.349523125 g: NIST SP 811 appendix B */
    ck_assert_double_eq_tol(convert(1, "us_fl_oz", "ml"), 29.5735295625, 1e-11);
    ck_assert_double_eq_tol(convert(1, "imp_fl_oz", "ml"), 28.4130625, 1e-11);
    ck_assert_double_eq_tol(convert(1, "oz", "g"), 28.349523125, 1e-11);
}
END_TEST

/* 10,000 US gallons are 37.854 m3; a 400,000 Btu/h heater takes 117.2 kW (definition).
 */
START_TEST(pool_and_heater_sizes_come_out_as_known)
{
    ck_assert_double_eq_tol(convert(10000, "us_gal", "m3"), 37.85411784, 1e-10);
    ck_assert_double_eq_tol(convert(400000, "btu_per_h", "kw"), 117.2284, 5e-5);
    ck_assert_double_eq_tol(convert(1, "atm", "psi"), 14.69595, 5e-6);
    ck_assert_double_eq_tol(convert(1, "m3_per_h", "us_gal_per_min"), 4.402868, 5e-7);
    ck_assert_double_eq_tol(convert(1, "therm_us", "kwh"), 29.30011, 5e-6);
    ck_assert_double_eq(convert(3, "ppm", "mg_per_l"), 3);
}
END_TEST

START_TEST(every_unit_comes_back_through_every_other_of_its_dimension)
{
    const struct coil_unit *from;
    const struct coil_unit *to;
    double there;
    double back;

    for (int i = 0; (from = coil_unit_at(i)) != NULL; i++) {
        for (int j = 0; (to = coil_unit_at(j)) != NULL; j++) {
            if (from->dimension != to->dimension) {
                there = 7;
                ck_assert_int_eq(coil_unit_convert(from, to, 300, &there),
                                 COIL_ERR_DOMAIN);
                ck_assert_double_eq(there, 7);
                continue;
            }
            ck_assert_int_eq(coil_unit_convert(from, to, 300.7, &there), COIL_OK);
            ck_assert_int_eq(coil_unit_convert(to, from, there, &back), COIL_OK);
            ck_assert_double_eq_tol(back, 300.7, 1e-11);
            if (from == to)
                ck_assert_double_eq(there, 300.7);
        }
    }
}
END_TEST

START_TEST(every_key_is_unique_and_leads_back_to_its_unit)
{
    const struct coil_unit *unit;
    const struct coil_unit *found;
    int count;

    for (count = 0; (unit = coil_unit_at(count)) != NULL; count++) {
        found = NULL;
        ck_assert_int_eq(coil_unit_from_key(unit->key, &found), COIL_OK);
        ck_assert_ptr_eq(found, unit);
        ck_assert_double_gt(unit->multiplier, 0);
        ck_assert_double_gt(unit->divisor, 0);
        ck_assert_uint_gt(strlen(unit->symbol), 0);
        ck_assert_uint_gt(strlen(unit->words), 0);
    }
    ck_assert_int_gt(count, 60);
    ck_assert_ptr_null(coil_unit_at(-1));
    ck_assert_int_eq(coil_unit_from_key("furlong", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_unit_from_key("", &found), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_unit_from_key(NULL, &found), COIL_ERR_UNKNOWN);
}
END_TEST

START_TEST(convert_refuses_what_is_no_number_and_what_grows_too_large)
{
    const struct coil_unit *m3 = NULL;
    const struct coil_unit *ml = NULL;
    double result = 5;

    ck_assert_int_eq(coil_unit_from_key("m3", &m3), COIL_OK);
    ck_assert_int_eq(coil_unit_from_key("ml", &ml), COIL_OK);
    ck_assert_int_eq(coil_unit_convert(m3, ml, NAN, &result), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_unit_convert(m3, ml, INFINITY, &result), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_unit_convert(m3, m3, -INFINITY, &result),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_unit_convert(m3, ml, 1e305, &result), COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_unit_convert(NULL, ml, 1, &result), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_unit_convert(m3, NULL, 1, &result), COIL_ERR_UNKNOWN);
    ck_assert_double_eq(result, 5);
}
END_TEST

/* 0 degC, 1 atm: 22.41397 L/mol (CODATA 2018, molar volume of an ideal gas). */
START_TEST(gas_mass_follows_the_molar_volume)
{
    double mg_per_m3 = 0;

    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(22.41397, 28.010, 0, &mg_per_m3),
                     COIL_OK);
    ck_assert_double_eq_tol(mg_per_m3, 28.010, 1e-5);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(0, 28.010, 25, &mg_per_m3), COIL_OK);
    ck_assert_double_eq(mg_per_m3, 0);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(0.5, 28.010, 25, &mg_per_m3), COIL_OK);
    ck_assert_double_eq_tol(mg_per_m3, 0.5 * 1.1449, 0.00003);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(22.41397, 0.5, 0, &mg_per_m3),
                     COIL_OK);
    ck_assert_double_eq_tol(mg_per_m3, 0.5, 1e-6);
}
END_TEST

START_TEST(gas_mass_refuses_impossible_inputs)
{
    double result = 5;

    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(-1, 28, 25, &result), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(1, 0, 25, &result), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(1, 28, -273.15, &result),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(-1e-9, 28, 25, &result),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(NAN, 28, 25, &result),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(1, NAN, 25, &result),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(1, 28, INFINITY, &result),
                     COIL_ERR_NOT_FINITE);
    ck_assert_int_eq(coil_gas_mg_per_m3_from_ppm(1e300, 1e10, 25, &result),
                     COIL_ERR_NOT_FINITE);
    ck_assert_double_eq(result, 5);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("units");
    TCase *tcase = tcase_create("units");
    SRunner *runner;
    int failed;

    tcase_add_loop_test(tcase, unit_has_the_size_of_its_definition_and_no_zero_point, 0,
                        DEFINITION_COUNT);
    tcase_add_test(tcase, every_unit_has_a_definition);
    tcase_add_test(tcase, temperature_scales_meet_at_their_known_points);
    tcase_add_test(tcase, temperature_step_has_no_zero_point);
    tcase_add_test(tcase, temperature_below_absolute_zero_is_refused);
    tcase_add_test(tcase, hardness_units_have_their_printed_values);
    tcase_add_test(tcase, alkalinity_in_german_degrees_agrees_with_acid_capacity);
    tcase_add_test(tcase, small_measures_are_their_part_of_the_large);
    tcase_add_test(tcase, pool_and_heater_sizes_come_out_as_known);
    tcase_add_test(tcase, every_unit_comes_back_through_every_other_of_its_dimension);
    tcase_add_test(tcase, every_key_is_unique_and_leads_back_to_its_unit);
    tcase_add_test(tcase, convert_refuses_what_is_no_number_and_what_grows_too_large);
    tcase_add_test(tcase, gas_mass_follows_the_molar_volume);
    tcase_add_test(tcase, gas_mass_refuses_impossible_inputs);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
