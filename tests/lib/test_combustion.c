/*
 * Flue tests: worked examples, properties, refusals, uncertainty, drift and findings.
 * The tables of flue gas are run by the program `tables`.
 */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "lib/combustion.h"
#include "lib/flue_drift.h"
#include "lib/trend.h"

static const struct coil_flue_reading usual = {
    .o2_percent = 5.0, .co_ppm = 40.0, .flue_temp_c = 200.0, .air_temp_c = 20.0};
static const struct coil_flue_accuracy analyser = {.o2_percent = 0.2,
                                                   .co_ppm = 10.0,
                                                   .co_fraction = 0.05,
                                                   .flue_temp_k = 2.0,
                                                   .air_temp_k = 1.0};

static struct coil_fuel natural_gas(void)
{
    struct coil_fuel fuel;

    coil_fuel_natural_gas(&fuel);
    return fuel;
}

static struct coil_flue_result analyse(struct coil_flue_reading reading)
{
    struct coil_fuel fuel = natural_gas();
    struct coil_flue_result result;

    ck_assert_int_eq(coil_flue_analyse(&fuel, &reading, &analyser, &result), COIL_OK);
    return result;
}

/* Even numbers in [0, 1): xorshift64*, the same in every run. */
static double random_fraction(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (double)((*state * 2685821657736338717u) >> 11) / 9007199254740992.0;
}

static double random_normal(uint64_t *state)
{
    double u = 1.0 - random_fraction(state);

    return sqrt(-2.0 * log(u)) * cos(6.283185307179586 * random_fraction(state));
}

/* Methane 11.70, propane 13.72 percent; gross over net 1.110, 1.109, 1.086: by hand
 * from CH4 + 2 O2, C3H8 + 5 O2 and air of 20.95 % oxygen. */
START_TEST(ultimate_co2_and_heat_ratio_are_those_of_stoichiometry)
{
    const struct coil_gas_mix methane = {.methane = 1.0};
    struct coil_fuel fuel;

    ck_assert_int_eq(coil_fuel_from_mix(&methane, COIL_SIEGERT_GAS, &fuel), COIL_OK);
    ck_assert_double_eq_tol(coil_fuel_ultimate_co2_percent(&fuel),
                            100.0 / (1.0 + 2.0 * 79.05 / 20.95), 1e-9);
    ck_assert_double_eq_tol(fuel.gross_kj_per_mol / fuel.net_kj_per_mol, 1.110, 5e-4);
    coil_fuel_propane(&fuel);
    ck_assert_double_eq_tol(coil_fuel_ultimate_co2_percent(&fuel),
                            300.0 / (3.0 + 5.0 * 79.05 / 20.95), 1e-9);
    ck_assert_double_eq_tol(fuel.gross_kj_per_mol / fuel.net_kj_per_mol, 1.086, 5e-4);
    fuel = natural_gas();
    ck_assert_double_eq_tol(coil_fuel_ultimate_co2_percent(&fuel), 11.83, 0.005);
    ck_assert_double_eq_tol(fuel.gross_kj_per_mol / fuel.net_kj_per_mol, 1.109, 1e-3);
}
END_TEST

START_TEST(a_fuel_known_by_its_ultimate_co2_burns_like_that_gas)
{
    struct coil_flue_result by_co2;
    struct coil_flue_result by_mix;
    struct coil_fuel propane;
    struct coil_fuel fuel;

    coil_fuel_propane(&propane);
    ck_assert_int_eq(coil_fuel_from_ultimate_co2(13.72, COIL_SIEGERT_LPG, &fuel),
                     COIL_OK);
    ck_assert_int_eq(coil_flue_analyse(&fuel, &usual, NULL, &by_co2), COIL_OK);
    ck_assert_int_eq(coil_flue_analyse(&propane, &usual, NULL, &by_mix), COIL_OK);
    for (int i = 0; i < COIL_FLUE_VALUE_COUNT; i++)
        ck_assert_double_eq_tol(by_co2.value[i], by_mix.value[i],
                                0.003 * fabs(by_mix.value[i]) + 1e-9);
    ck_assert_int_eq(coil_fuel_from_ultimate_co2(25.0, COIL_SIEGERT_LPG, &fuel),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_fuel_from_ultimate_co2(NAN, COIL_SIEGERT_LPG, &fuel),
                     COIL_ERR_NOT_FINITE);
}
END_TEST

START_TEST(a_mix_that_cannot_be_is_refused)
{
    struct coil_gas_mix mix = {.methane = 0.9};
    struct coil_fuel fuel;

    ck_assert_int_eq(coil_fuel_from_mix(&mix, COIL_SIEGERT_GAS, &fuel),
                     COIL_ERR_DOMAIN); /* 0.9 in all */
    mix.nitrogen = 0.2;
    mix.ethane = -0.1;
    ck_assert_int_eq(coil_fuel_from_mix(&mix, COIL_SIEGERT_GAS, &fuel),
                     COIL_ERR_DOMAIN);
    mix = (struct coil_gas_mix){.nitrogen = 1.0};
    ck_assert_int_eq(coil_fuel_from_mix(&mix, COIL_SIEGERT_GAS, &fuel),
                     COIL_ERR_DOMAIN); /* does not burn */
    mix = (struct coil_gas_mix){.methane = NAN};
    ck_assert_int_eq(coil_fuel_from_mix(&mix, COIL_SIEGERT_GAS, &fuel),
                     COIL_ERR_NOT_FINITE);
}
END_TEST

/* [field-co-air-free]: CO 50 at 7 % gives 75, CO 1200 at 6 % gives 1680, as printed. */
START_TEST(co_air_free_reaches_the_printed_examples)
{
    struct coil_flue_reading reading = usual;

    reading.o2_percent = 7.0;
    reading.co_ppm = 50.0;
    ck_assert_double_eq_tol(analyse(reading).value[COIL_FLUE_CO_AIR_FREE], 75.0, 0.5);
    ck_assert(!analyse(reading).holds_burner);
    reading.o2_percent = 6.0;
    reading.co_ppm = 1200.0;
    ck_assert_double_eq_tol(analyse(reading).value[COIL_FLUE_CO_AIR_FREE], 1680.0, 5.0);
    ck_assert(analyse(reading).holds_burner);
}
END_TEST

/* 400 ppm air-free is the limit: 400 at no oxygen does not hold, 401 does. */
START_TEST(carbon_monoxide_holds_the_burner_above_400_ppm_air_free)
{
    struct coil_flue_reading reading = usual;

    reading.o2_percent = 0.0;
    reading.co_ppm = 400.0;
    ck_assert(!analyse(reading).holds_burner);
    reading.co_ppm = 401.0;
    ck_assert(analyse(reading).holds_burner);
    reading.co_ppm = 250.0;
    reading.o2_percent = 10.0; /* 250 x 20.9/10.9 = 479 */
    ck_assert(analyse(reading).holds_burner);
}
END_TEST

/* Methane 59, propane 55 degC without excess air: tables of flue gas, printed whole. */
START_TEST(flue_gas_condenses_near_its_known_dew_point)
{
    const struct coil_gas_mix methane = {.methane = 1.0};
    struct coil_flue_reading reading = usual;
    struct coil_flue_result result;
    struct coil_fuel fuel;

    reading.o2_percent = 0.0;
    ck_assert_int_eq(coil_fuel_from_mix(&methane, COIL_SIEGERT_GAS, &fuel), COIL_OK);
    ck_assert_int_eq(coil_flue_analyse(&fuel, &reading, NULL, &result), COIL_OK);
    ck_assert_double_eq_tol(result.value[COIL_FLUE_DEW_POINT], 59.0, 0.6);
    coil_fuel_propane(&fuel);
    ck_assert_int_eq(coil_flue_analyse(&fuel, &reading, NULL, &result), COIL_OK);
    ck_assert_double_eq_tol(result.value[COIL_FLUE_DEW_POINT], 55.0, 0.6);
    reading.air_vapour_pa = 1500.0;
    ck_assert_int_eq(coil_flue_analyse(&fuel, &reading, NULL, &result), COIL_OK);
    ck_assert_double_gt(result.value[COIL_FLUE_DEW_POINT], 55.0);
}
END_TEST

/* [doe-steam-tip-4]: 15 points of excess air or 40 degF cost about one point. */
START_TEST(efficiency_falls_with_oxygen_and_stack_as_the_rules_of_thumb_say)
{
    struct coil_flue_reading reading = usual;
    double at_first = analyse(reading).value[COIL_FLUE_BALANCE_GROSS];

    reading.flue_temp_c += 40.0 / 1.8;
    ck_assert_double_eq_tol(at_first - analyse(reading).value[COIL_FLUE_BALANCE_GROSS],
                            1.0, 0.3);
    reading = usual;
    for (double o2 = 0.5; o2 < 20.0; o2 += 0.5) {
        struct coil_flue_result less;
        struct coil_flue_result more;

        reading.o2_percent = o2;
        less = analyse(reading);
        reading.o2_percent = o2 + 0.25;
        more = analyse(reading);
        ck_assert_double_gt(more.value[COIL_FLUE_EXCESS_AIR],
                            less.value[COIL_FLUE_EXCESS_AIR]);
        ck_assert_double_lt(more.value[COIL_FLUE_CO2], less.value[COIL_FLUE_CO2]);
        ck_assert_double_lt(more.value[COIL_FLUE_EFFICIENCY_NET],
                            less.value[COIL_FLUE_EFFICIENCY_NET]);
        ck_assert_double_lt(more.value[COIL_FLUE_DEW_POINT],
                            less.value[COIL_FLUE_DEW_POINT]);
        ck_assert_double_lt(less.value[COIL_FLUE_EFFICIENCY_GROSS],
                            less.value[COIL_FLUE_EFFICIENCY_NET]);
        ck_assert_double_gt(less.value[COIL_FLUE_EXCESS_AIR_SIMPLE],
                            less.value[COIL_FLUE_EXCESS_AIR]);
    }
}
END_TEST

START_TEST(oxygen_and_excess_air_are_each_others_inverse)
{
    struct coil_fuel fuel = natural_gas();
    struct coil_flue_reading reading = usual;

    for (double o2 = 0.0; o2 < 20.0; o2 += 0.7) {
        double back;

        reading.o2_percent = o2;
        ck_assert_int_eq(
            coil_flue_o2_from_excess_air(
                &fuel, analyse(reading).value[COIL_FLUE_EXCESS_AIR], &back),
            COIL_OK);
        ck_assert_double_eq_tol(back, o2, 1e-9);
    }
    ck_assert_int_eq(coil_flue_o2_from_excess_air(&fuel, -1.0, &(double){0}),
                     COIL_ERR_DOMAIN);
}
END_TEST

static const struct {
    struct coil_flue_reading reading;
    enum coil_flue_refusal refusal;
    const char *field;
} wrong[] = {
    {{20.9, 0, 200, 20, 0, false}, COIL_FLUE_O2_RANGE, "o2_percent"},
    {{21.5, 0, 200, 20, 0, false}, COIL_FLUE_O2_RANGE, "o2_percent"},
    {{-0.1, 0, 200, 20, 0, false}, COIL_FLUE_O2_RANGE, "o2_percent"},
    {{NAN, 0, 200, 20, 0, false}, COIL_FLUE_O2_RANGE, "o2_percent"},
    {{5, -1, 200, 20, 0, false}, COIL_FLUE_CO_RANGE, "co_ppm"},
    {{5, 0, 19, 20, 0, false}, COIL_FLUE_TEMP_RANGE, "flue_temp_c"},
    {{5, 0, 20, 20, 0, false}, COIL_FLUE_TEMP_RANGE, "flue_temp_c"},
    {{5, 0, INFINITY, 20, 0, false}, COIL_FLUE_TEMP_RANGE, "flue_temp_c"},
    {{5, 0, 200, 80, 0, false}, COIL_FLUE_AIR_RANGE, "air_temp_c"},
    {{5, 0, 200, 20, -1, false}, COIL_FLUE_VAPOUR_RANGE, "air_vapour_pa"},
};

START_TEST(a_reading_that_cannot_be_is_refused_with_its_field)
{
    struct coil_fuel fuel = natural_gas();
    struct coil_flue_result result;

    ck_assert_int_lt(coil_flue_analyse(&fuel, &wrong[_i].reading, NULL, &result), 0);
    ck_assert_int_eq(result.refusal, wrong[_i].refusal);
    ck_assert_str_eq(coil_flue_refusal_field(result.refusal), wrong[_i].field);
    ck_assert_int_gt((int)strlen(coil_flue_refusal_text(result.refusal)), 20);
    for (int i = 0; i < COIL_FLUE_VALUE_COUNT; i++)
        ck_assert(!result.is_known[i]);
}
END_TEST

START_TEST(a_condensing_unit_gets_carbon_monoxide_but_no_loss)
{
    struct coil_flue_reading reading = usual;
    struct coil_flue_result result;

    reading.is_condensing = true;
    reading.co_ppm = 900.0;
    result = analyse(reading);
    ck_assert_int_eq(result.loss_refusal, COIL_FLUE_CONDENSING_UNIT);
    ck_assert(result.is_known[COIL_FLUE_CO_AIR_FREE] && result.holds_burner);
    ck_assert(!result.is_known[COIL_FLUE_LOSS_NET]);
    ck_assert(!result.is_known[COIL_FLUE_BALANCE_GROSS]);
    reading.is_condensing = false;
    reading.flue_temp_c = 45.0; /* below about 55 */
    ck_assert_int_eq(analyse(reading).loss_refusal, COIL_FLUE_BELOW_DEW_POINT);
    reading.flue_temp_c = 120.0;
    ck_assert_int_eq(analyse(reading).loss_refusal, COIL_FLUE_FINE);
}
END_TEST

/* The loss's slopes by hand: in temperature A/(21 - O2) + B, in oxygen dT A/(21 -
 * O2)^2; A 0.66, B 0.009, O2 5, dT 180. */
START_TEST(uncertainty_of_the_loss_is_that_of_its_slopes)
{
    double per_k = 0.66 / 16.0 + 0.009;
    double per_o2 = 180.0 * 0.66 / 256.0;
    double by_hand =
        sqrt((per_k * per_k * (2.0 * 2.0 + 1.0) + per_o2 * per_o2 * 0.04) / 3.0);
    struct coil_flue_result result = analyse(usual);

    ck_assert_double_eq_tol(result.u[COIL_FLUE_LOSS_NET], by_hand, 1e-6);
    ck_assert_double_eq_tol(result.u[COIL_FLUE_EFFICIENCY_NET], by_hand, 1e-6);
    /* CO air-free: 10 ppm is more than 5 % of 40; oxygen adds 40 20.9/15.9^2 0.2. */
    ck_assert_double_eq_tol(
        result.u[COIL_FLUE_CO_AIR_FREE],
        hypot(10.0 * 20.9 / 15.9, 40.0 * 20.9 / 252.81 * 0.2) / sqrt(3.0), 1e-5);
}
END_TEST

/* Drawing readings from the accuracies spreads the values as stated, also at the ends
 * of the oxygen range. */
START_TEST(uncertainty_is_the_spread_of_drawn_readings)
{
    uint64_t state = 88172645463325252u;
    struct coil_fuel fuel = natural_gas();
    struct coil_flue_result stated = analyse(usual);
    double sum[COIL_FLUE_VALUE_COUNT] = {0};
    double square[COIL_FLUE_VALUE_COUNT] = {0};
    const int count = 20000;

    for (int n = 0; n < count; n++) {
        struct coil_flue_reading r = usual;
        struct coil_flue_result drawn;

        r.o2_percent += 0.2 * (2.0 * random_fraction(&state) - 1.0);
        r.co_ppm += 10.0 * (2.0 * random_fraction(&state) - 1.0);
        r.flue_temp_c += 2.0 * (2.0 * random_fraction(&state) - 1.0);
        r.air_temp_c += 1.0 * (2.0 * random_fraction(&state) - 1.0);
        ck_assert_int_eq(coil_flue_analyse(&fuel, &r, NULL, &drawn), COIL_OK);
        for (int i = 0; i < COIL_FLUE_VALUE_COUNT; i++) {
            double off = drawn.value[i] - stated.value[i];

            sum[i] += off;
            square[i] += off * off;
        }
    }
    for (int i = 0; i < COIL_FLUE_VALUE_COUNT; i++) {
        double spread = sqrt(square[i] / count - pow(sum[i] / count, 2));

        ck_assert_double_eq_tol(spread / stated.u[i], 1.0, 0.03);
    }
}
END_TEST

/* All orders of n values, counted one by one. */
static void count_orders(int *order, int n, int at, int s_least, long *hits, long *all)
{
    if (at == n) {
        int s = 0;

        for (int i = 0; i < n; i++)
            for (int j = i + 1; j < n; j++)
                s += order[j] > order[i] ? 1 : -1;
        *hits += s >= s_least;
        ++*all;
        return;
    }
    for (int i = at; i < n; i++) {
        int held = order[at];

        order[at] = order[i];
        order[i] = held;
        count_orders(order, n, at + 1, s_least, hits, all);
        held = order[at];
        order[at] = order[i];
        order[i] = held;
    }
}

START_TEST(chance_of_a_trend_is_that_of_all_orders_counted)
{
    uint64_t state = 12345;
    double time_s[8];
    double value[8];

    for (int n = 3; n <= 8; n++) {
        int order[8];
        long hits = 0;
        long all = 0;
        struct coil_trend trend;

        for (int i = 0; i < n; i++) {
            order[i] = i;
            time_s[i] = 1e7 * i;
            value[i] = random_fraction(&state) + 0.2 * i;
        }
        ck_assert_int_eq(
            coil_trend_mann_kendall(time_s, value, (size_t)n, 0.05, &trend), COIL_OK);
        count_orders(order, n, 0, trend.s, &hits, &all);
        ck_assert_double_eq_tol(trend.p_rising, (double)hits / (double)all, 1e-12);
    }
}
END_TEST

/* Tables of the test, from memory, three digits: n 9 s 24 0.006; n 10 s 23 0.023. */
START_TEST(chance_of_a_trend_reaches_the_printed_table)
{
    const double nine[] = {2, 1, 3, 0, 5, 4, 6, 8, 7};   /* 36 - 2 x 6 = 24 */
    const double ten[] = {3, 1, 2, 0, 5, 8, 4, 9, 6, 7}; /* 45 - 2 x 11 = 23 */
    double time_s[10];
    struct coil_trend trend;

    for (int i = 0; i < 10; i++)
        time_s[i] = i * COIL_YEAR_S;
    ck_assert_int_eq(coil_trend_mann_kendall(time_s, nine, 9, 0.05, &trend), COIL_OK);
    ck_assert_int_eq(trend.s, 24);
    ck_assert_double_eq_tol(trend.p_rising, 0.006, 0.0005);
    ck_assert_int_eq(trend.direction, COIL_RISING);
    ck_assert_int_eq(coil_trend_mann_kendall(time_s, ten, 10, 0.05, &trend), COIL_OK);
    ck_assert_int_eq(trend.s, 23);
    ck_assert_double_eq_tol(trend.p_rising, 0.023, 0.0005);
}
END_TEST

START_TEST(slope_of_a_straight_line_is_found_and_an_outlier_does_not_move_it)
{
    double time_s[9];
    double value[9];
    struct coil_trend trend;

    for (int i = 0; i < 9; i++) {
        time_s[i] = (i + 0.1 * (i % 3)) * COIL_YEAR_S;
        value[i] = 80.0 - 1.5 * time_s[i] / COIL_YEAR_S;
    }
    ck_assert_int_eq(coil_trend_mann_kendall(time_s, value, 9, 0.05, &trend), COIL_OK);
    ck_assert_double_eq_tol(trend.slope_per_year, -1.5, 1e-9);
    ck_assert_int_eq(trend.direction, COIL_FALLING);
    value[4] = 200.0;
    ck_assert_int_eq(coil_trend_mann_kendall(time_s, value, 9, 0.05, &trend), COIL_OK);
    ck_assert_double_eq_tol(trend.slope_per_year, -1.5, 1e-9);
    ck_assert(trend.has_interval);
    ck_assert_double_le(trend.slope_low_per_year, -1.5);
    ck_assert_double_ge(trend.slope_high_per_year, -1.5);
}
END_TEST

/* Four values: the best order has chance 1/24, which 0.05 on both sides cannot use. */
START_TEST(too_few_values_cannot_tell)
{
    const double time_s[] = {0, 1, 2, 3, 4};
    const double value[] = {1, 2, 3, 4, 5};
    struct coil_trend trend;

    ck_assert_int_eq(coil_trend_mann_kendall(time_s, value, 4, 0.05, &trend), COIL_OK);
    ck_assert(!trend.can_tell);
    ck_assert_int_eq(trend.direction, COIL_STEADY);
    ck_assert_int_eq(coil_trend_mann_kendall(time_s, value, 5, 0.05, &trend), COIL_OK);
    ck_assert(trend.can_tell);
    ck_assert_int_eq(trend.direction, COIL_RISING);
    ck_assert_int_eq(coil_trend_mann_kendall(time_s, value, 2, 0.05, &trend),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(
        coil_trend_mann_kendall((const double[]){0, 1, 1}, value, 3, 0.05, &trend),
        COIL_ERR_DOMAIN);
}
END_TEST

/*
 * Yearly tests of a burner that does not drift; noise with heavy tails, no normal
 * distribution. Alarms per look and in ten yearly looks (years 5 to 14).
 */
START_TEST(false_alarms_of_the_drift_test_stay_at_the_stated_rate)
{
    uint64_t state = 2463534242u;
    const int series = 4000;
    int looks = 0;
    int false_looks = 0;
    int false_series = 0;
    int missed_interval = 0;

    for (int n = 0; n < series; n++) {
        double time_s[14];
        double value[14];
        bool alarmed = false;

        for (int i = 0; i < 14; i++) {
            double z = random_normal(&state);

            time_s[i] = (i + 0.3 * random_fraction(&state)) * COIL_YEAR_S;
            value[i] = 5.0 + 0.3 * z * fabs(z);
            if (i >= 4) {
                struct coil_trend trend;

                ck_assert_int_eq(
                    coil_trend_mann_kendall(time_s, value, (size_t)i + 1, 0.05, &trend),
                    COIL_OK);
                looks++;
                false_looks += trend.direction != COIL_STEADY;
                alarmed |= trend.direction != COIL_STEADY;
                missed_interval +=
                    trend.has_interval &&
                    (trend.slope_low_per_year > 0 || trend.slope_high_per_year < 0);
            }
        }
        false_series += alarmed;
    }
    ck_assert_double_le((double)false_looks / looks, 0.05);
    ck_assert_double_ge((double)false_looks / looks, 0.02);
    ck_assert_double_le((double)missed_interval / looks, 0.055);
    ck_assert_double_eq_tol((double)false_series / series, 0.17, 0.02);
}
END_TEST

/* A drift of one noise width a year is found within ten years in nearly every series.
 */
START_TEST(a_real_drift_is_found)
{
    uint64_t state = 99;
    int found = 0;

    for (int n = 0; n < 1000; n++) {
        double time_s[8];
        double value[8];
        struct coil_trend trend;

        for (int i = 0; i < 8; i++) {
            time_s[i] = i * COIL_YEAR_S;
            value[i] = 5.0 - 0.5 * i + 0.5 * random_normal(&state);
        }
        ck_assert_int_eq(coil_trend_mann_kendall(time_s, value, 8, 0.05, &trend),
                         COIL_OK);
        found += trend.direction == COIL_FALLING;
    }
    ck_assert_int_ge(found, 950);
}
END_TEST

/* Changes of O2 (percent), CO (ppm as read), stack (K), and the code expected. */
static const struct {
    double o2, co, stack;
    const char *code;
} changes[] = {
    {-1.5, 60, 30, "flue_air_obstructed"},
    {-1.5, 60, 0, "flue_air_short"},
    {-1.5, 0, 30, "flue_fired_harder"},
    {1.5, 60, 0, "flue_flame_disturbed"},
    {1.5, 0, -20, "flue_more_air"},
    {0, 60, 0, "flue_co_alone"},
    {0, 0, 30, "flue_exchanger_fouled"},
    {0.1, 5, 4, NULL},
    {-0.1, -5, -4, NULL},
    {-1.5, 500, 30, "flue_co_hold"},
};

START_TEST(findings_follow_the_directions_of_change)
{
    struct coil_fuel fuel = natural_gas();
    struct coil_flue_test before = {usual, analyser};
    struct coil_flue_test now = before;
    struct coil_flue_comparison got;
    const char *first = NULL;

    now.reading.o2_percent += changes[_i].o2;
    now.reading.co_ppm += changes[_i].co;
    now.reading.flue_temp_c += changes[_i].stack;
    ck_assert_int_eq(coil_flue_compare(&fuel, &before, &now, &got), COIL_OK);
    for (int i = COIL_FLUE_FINDING_COUNT - 1; i >= 0; i--)
        if (got.is_found[i] && i != COIL_FLUE_CO_ABOVE_TARGET)
            first = coil_flue_finding_code((enum coil_flue_finding)i);
    if (changes[_i].code == NULL)
        ck_assert_ptr_null(first);
    else
        ck_assert_str_eq(first, changes[_i].code);
}
END_TEST

/* A coarse analyser cannot tell a change of 1 point of oxygen. */
START_TEST(a_change_within_the_instruments_is_no_finding)
{
    struct coil_fuel fuel = natural_gas();
    struct coil_flue_test before = {usual, analyser};
    struct coil_flue_test now = before;
    struct coil_flue_comparison got;

    before.accuracy.o2_percent = now.accuracy.o2_percent = 1.0;
    now.reading.o2_percent += 1.0; /* 1.645 sqrt(2/3) = 1.34 */
    ck_assert_int_eq(coil_flue_compare(&fuel, &before, &now, &got), COIL_OK);
    ck_assert(!got.is_found[COIL_FLUE_MORE_AIR]);
    now.reading.o2_percent += 0.5;
    ck_assert_int_eq(coil_flue_compare(&fuel, &before, &now, &got), COIL_OK);
    ck_assert(got.is_found[COIL_FLUE_MORE_AIR]);
    ck_assert_int_eq(coil_flue_compare(&fuel, NULL, &now, &got), COIL_OK);
    ck_assert(!got.has_change && !got.is_found[COIL_FLUE_MORE_AIR]);
    now.reading.o2_percent = 21.0;
    ck_assert_int_eq(coil_flue_compare(&fuel, NULL, &now, &got), COIL_ERR_DOMAIN);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("combustion");
    TCase *tcase = tcase_create("combustion");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, ultimate_co2_and_heat_ratio_are_those_of_stoichiometry);
    tcase_add_test(tcase, a_fuel_known_by_its_ultimate_co2_burns_like_that_gas);
    tcase_add_test(tcase, a_mix_that_cannot_be_is_refused);
    tcase_add_test(tcase, co_air_free_reaches_the_printed_examples);
    tcase_add_test(tcase, carbon_monoxide_holds_the_burner_above_400_ppm_air_free);
    tcase_add_test(tcase, flue_gas_condenses_near_its_known_dew_point);
    tcase_add_test(tcase,
                   efficiency_falls_with_oxygen_and_stack_as_the_rules_of_thumb_say);
    tcase_add_test(tcase, oxygen_and_excess_air_are_each_others_inverse);
    tcase_add_loop_test(tcase, a_reading_that_cannot_be_is_refused_with_its_field, 0,
                        sizeof wrong / sizeof wrong[0]);
    tcase_add_test(tcase, a_condensing_unit_gets_carbon_monoxide_but_no_loss);
    tcase_add_test(tcase, uncertainty_of_the_loss_is_that_of_its_slopes);
    tcase_add_test(tcase, uncertainty_is_the_spread_of_drawn_readings);
    tcase_add_test(tcase, chance_of_a_trend_is_that_of_all_orders_counted);
    tcase_add_test(tcase, chance_of_a_trend_reaches_the_printed_table);
    tcase_add_test(tcase,
                   slope_of_a_straight_line_is_found_and_an_outlier_does_not_move_it);
    tcase_add_test(tcase, too_few_values_cannot_tell);
    tcase_add_test(tcase, false_alarms_of_the_drift_test_stay_at_the_stated_rate);
    tcase_add_test(tcase, a_real_drift_is_found);
    tcase_add_loop_test(tcase, findings_follow_the_directions_of_change, 0,
                        sizeof changes / sizeof changes[0]);
    tcase_add_test(tcase, a_change_within_the_instruments_is_no_finding);
    tcase_set_timeout(tcase, 60);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
