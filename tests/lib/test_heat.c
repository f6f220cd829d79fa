/*
 * Moist air, heat capacity, surface fluxes, heat balance, warm-up plans, costs and
 * quick checks. The tables of heat and the worked examples are run by the program
 * `tables`.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "lib/heat.h"
#include "lib/heater_checks.h"
#include "lib/moist_air.h"
#include "lib/water_heat.h"

#define BTU_PER_H (1055.05585262 / 3600.0)

static const struct coil_surface_air mild = {20.0, 0.5, 1.0, 0.0, COIL_ATMOSPHERE_PA};

static struct coil_surface_flux flux_of(enum coil_evaporation_form form, double water_c,
                                        struct coil_surface_air air)
{
    struct coil_surface_flux flux;

    ck_assert_int_ge(coil_surface_flux(form, water_c, &air, 1.0, &flux), COIL_OK);
    return flux;
}

/* [ashrae-2017, ch. 1 table 3], Pa, with the 300 ppm that a public program states. */
START_TEST(saturation_pressure_reaches_the_printed_anchors)
{
    static const double anchor[][2] = {
        {5, 872.6}, {25, 3169.7}, {50, 12351.3}, {100, 101418}};
    double pa;

    for (size_t i = 0; i < 4; i++) {
        ck_assert_int_eq(coil_saturation_pressure_pa(anchor[i][0], &pa), COIL_OK);
        ck_assert_double_eq_tol(pa / anchor[i][1], 1.0, 3e-4);
    }
    ck_assert_int_eq(coil_saturation_pressure_pa(201, &pa), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_saturation_pressure_pa(NAN, &pa), COIL_ERR_NOT_FINITE);
}
END_TEST

START_TEST(dew_point_is_the_inverse_of_saturation_pressure)
{
    for (double t = -90.0; t <= 190.0; t += 0.7) {
        double pa, back;

        ck_assert_int_eq(coil_saturation_pressure_pa(t, &pa), COIL_OK);
        ck_assert_int_eq(coil_dew_point_c(pa, &back), COIL_OK);
        ck_assert_double_eq_tol(back, t, fabs(t) < 0.1 ? 3e-4 : 1e-7);
    }
    ck_assert_int_eq(coil_dew_point_c(0.0, &(double){0}), COIL_ERR_DOMAIN);
}
END_TEST

/* [ashrae-2017, ch. 1 example 1]: 40 degC, wet bulb 20: W 0.0065, dew point 7, 14 %,
 * read off a chart: one unit of the last digit. */
START_TEST(moist_air_reaches_the_printed_example)
{
    double low = 0.0;
    double high = 1.0;
    struct coil_moist_air air = {0};

    while (high - low > 1e-9) {
        double middle = 0.5 * (low + high);

        ck_assert_int_eq(coil_moist_air(40.0, middle, COIL_ATMOSPHERE_PA, &air),
                         COIL_OK);
        if (air.wet_bulb_c < 20.0)
            low = middle;
        else
            high = middle;
    }
    ck_assert_double_eq_tol(low, 0.14, 0.005);
    ck_assert_double_eq_tol(air.humidity_ratio, 0.0065, 0.0001);
    ck_assert_double_eq_tol(air.dew_point_c, 7.0, 1.0);
    ck_assert_int_eq(coil_moist_air(20.0, 1.01, COIL_ATMOSPHERE_PA, &air),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_moist_air(20.0, 0.0, COIL_ATMOSPHERE_PA, &air), COIL_OK);
    ck_assert_double_eq_tol(air.vapour_pa, 0.0, 1e-12);
}
END_TEST

/* [iapws-if97, table 5]: 300 K and 3 MPa, 500 K and 3 MPa, 300 K and 80 MPa. */
START_TEST(water_heat_reaches_the_verification_values)
{
    double value;

    ck_assert_int_eq(coil_water_heat_capacity(26.85, 3.0, &value), COIL_OK);
    ck_assert_double_eq_tol(value, 4.17301218, 1e-8);
    ck_assert_int_eq(coil_water_enthalpy(26.85, 3.0, &value), COIL_OK);
    ck_assert_double_eq_tol(value, 115.331273, 1e-6);
    ck_assert_int_eq(coil_water_enthalpy(226.85, 3.0, &value), COIL_OK);
    ck_assert_double_eq_tol(value, 975.542239, 1e-6);
    ck_assert_int_eq(coil_water_heat_capacity(26.85, 80.0, &value), COIL_OK);
    ck_assert_double_eq_tol(value, 4.01008987, 1e-8);
    ck_assert_int_eq(coil_water_heat_capacity(-1.0, 3.0, &value), COIL_ERR_DOMAIN);
}
END_TEST

/* [smith-lof-jones-1994]: 72 % of the handbook's equation in still air, 82 % at 2.2
 * m/s. */
START_TEST(measured_outdoor_evaporation_lies_below_the_handbook_as_published)
{
    struct coil_surface_air air = mild;

    air.wind_m_per_s = 0.0;
    ck_assert_double_eq_tol(
        flux_of(COIL_EVAPORATION_SMITH, 28.0, air).evaporation_w_per_m2 /
            flux_of(COIL_EVAPORATION_ASHRAE, 28.0, air).evaporation_w_per_m2,
        0.72, 0.005);
    air.wind_m_per_s = 2.2;
    ck_assert_double_eq_tol(
        flux_of(COIL_EVAPORATION_SMITH, 28.0, air).evaporation_w_per_m2 /
            flux_of(COIL_EVAPORATION_ASHRAE, 28.0, air).evaporation_w_per_m2,
        0.82, 0.015);
}
END_TEST

START_TEST(fluxes_move_with_wind_humidity_and_clouds_the_right_way)
{
    struct coil_surface_air air = mild;
    struct coil_surface_flux calm = flux_of(COIL_EVAPORATION_ASHRAE, 28.0, air);
    struct coil_surface_flux other;

    air.wind_m_per_s = 3.0;
    other = flux_of(COIL_EVAPORATION_ASHRAE, 28.0, air);
    ck_assert_double_gt(other.evaporation_w_per_m2, calm.evaporation_w_per_m2);
    ck_assert_double_gt(other.convection_w_per_m2, calm.convection_w_per_m2);
    air = mild;
    air.relative_humidity = 0.9;
    other = flux_of(COIL_EVAPORATION_ASHRAE, 28.0, air);
    ck_assert_double_lt(other.evaporation_w_per_m2, calm.evaporation_w_per_m2);
    ck_assert_double_lt(other.long_wave_w_per_m2, calm.long_wave_w_per_m2);
    air = mild;
    air.cloud_fraction = 1.0;
    ck_assert_double_lt(flux_of(COIL_EVAPORATION_ASHRAE, 28.0, air).long_wave_w_per_m2,
                        calm.long_wave_w_per_m2);
    air = mild;
    air.temp_c = 35.0;
    air.relative_humidity = 0.9;
    other = flux_of(COIL_EVAPORATION_ASHRAE, 20.0, air);
    ck_assert_double_lt(other.evaporation_w_per_m2, 0.0); /* condenses */
    ck_assert_double_lt(other.convection_w_per_m2, 0.0);
    air.relative_humidity = 0.0;
    other = flux_of(COIL_EVAPORATION_ASHRAE, 20.0, air);
    ck_assert(isfinite(other.sky_emissivity) && other.sky_emissivity > 0.4);
}
END_TEST

/* Overcast and clear: 0.25 of the sun is left, and all of it. */
START_TEST(clouds_leave_a_quarter_of_the_sun)
{
    double w;

    ck_assert_int_eq(coil_sun_under_clouds(800.0, 1.0, &w), COIL_OK);
    ck_assert_double_eq_tol(w, 200.0, 1e-9);
    ck_assert_int_eq(coil_sun_under_clouds(800.0, 0.0, &w), COIL_OK);
    ck_assert_double_eq_tol(w, 800.0, 1e-9);
    ck_assert_int_eq(coil_sun_under_clouds(800.0, 1.1, &w), COIL_ERR_DOMAIN);
}
END_TEST

static const struct coil_pool family_pool = {.volume_m3 = 50.0,
                                             .area_m2 = 32.0,
                                             .form = COIL_EVAPORATION_SMITH,
                                             .activity_factor = 1.0,
                                             .sun_kept = COIL_SUN_KEPT_LIGHT,
                                             .ground_w_per_k = 20.0,
                                             .ground_temp_c = 12.0,
                                             .fill_temp_c = 12.0};

static struct coil_heat_balance balance_of(const struct coil_pool *pool,
                                           struct coil_cover cover,
                                           struct coil_pool_weather weather)
{
    struct coil_heat_balance balance;

    ck_assert_int_ge(coil_heat_balance(pool, &cover, 28.0, &weather, &balance),
                     COIL_OK);
    return balance;
}

START_TEST(shares_add_up_and_the_balance_grows_with_the_surface)
{
    const struct coil_pool_weather weather = {mild, 300.0};
    struct coil_pool twice = family_pool;
    struct coil_heat_balance one = balance_of(&family_pool, coil_cover_none(), weather);
    struct coil_heat_balance two;
    double shares = 0.0;
    double sum = 0.0;

    twice.area_m2 *= 2.0;
    two = balance_of(&twice, coil_cover_none(), weather);
    for (int i = 0; i < COIL_HEAT_PART_COUNT; i++) {
        shares += one.share[i];
        sum += one.part_w[i];
        if (i != COIL_HEAT_GROUND)
            ck_assert_double_eq_tol(two.part_w[i], 2.0 * one.part_w[i], 1e-6);
    }
    ck_assert_double_eq_tol(shares, 1.0, 1e-12);
    ck_assert_double_eq_tol(sum, one.net_w, 1e-6);
    ck_assert_double_eq_tol(one.share[COIL_HEAT_SUN], 0.0, 1e-12);
    ck_assert_double_lt(one.part_w[COIL_HEAT_SUN], 0.0);
    ck_assert_double_eq_tol(one.part_w[COIL_HEAT_GROUND], 20.0 * 16.0, 1e-9);
    /* Make-up by hand: kg/h x 4.18 kJ x 16 K. */
    ck_assert_double_eq_tol(one.part_w[COIL_HEAT_MAKE_UP],
                            one.evaporation_kg_per_h * 4180.0 * 16.0 / 3600.0, 1e-6);
}
END_TEST

/* [doe-pool-cover]: 50 to 70 percent of what is lost. A clear night in spring. */
START_TEST(a_bubble_cover_saves_what_the_energy_agency_says)
{
    struct coil_pool_weather weather = {mild, 0.0};
    double bare, covered;

    weather.air.temp_c = 15.0;
    bare = balance_of(&family_pool, coil_cover_none(), weather).net_w;
    covered = balance_of(&family_pool, coil_cover_bubble(), weather).net_w;
    ck_assert_double_ge(1.0 - covered / bare, 0.50);
    ck_assert_double_le(1.0 - covered / bare, 0.70);
}
END_TEST

START_TEST(a_balance_of_what_cannot_be_is_refused)
{
    struct coil_pool_weather weather = {mild, 0.0};
    struct coil_cover cover = coil_cover_none();
    struct coil_pool pool = family_pool;
    struct coil_heat_balance balance;

    pool.area_m2 = 0.0;
    ck_assert_int_eq(coil_heat_balance(&pool, &cover, 28, &weather, &balance),
                     COIL_ERR_DOMAIN);
    pool = family_pool;
    cover.covered_fraction = 1.2;
    ck_assert_int_eq(coil_heat_balance(&pool, &cover, 28, &weather, &balance),
                     COIL_ERR_DOMAIN);
    cover = coil_cover_none();
    weather.sun_w_per_m2 = -1.0;
    ck_assert_int_eq(coil_heat_balance(&pool, &cover, 28, &weather, &balance),
                     COIL_ERR_DOMAIN);
    weather.sun_w_per_m2 = 0.0;
    ck_assert_int_eq(coil_heat_balance(&pool, &cover, NAN, &weather, &balance),
                     COIL_ERR_NOT_FINITE);
    weather.air.wind_m_per_s = -1.0;
    ck_assert_int_eq(coil_heat_balance(&pool, &cover, 28, &weather, &balance),
                     COIL_ERR_DOMAIN);
}
END_TEST

/* A tank: hardly any surface, loses only to the ground: T - Tg decays with C/G. */
static const struct coil_pool tank = {.volume_m3 = 50.0,
                                      .area_m2 = 1e-9,
                                      .activity_factor = 1.0,
                                      .ground_w_per_k = 500.0,
                                      .ground_temp_c = 10.0,
                                      .fill_temp_c = 10.0};
static const struct coil_fired_heater heater = {80000.0, 0.8};

static struct coil_warm_up plan_of(const struct coil_pool *pool,
                                   struct coil_cover cover,
                                   struct coil_pool_weather weather,
                                   struct coil_warm_up_ask ask)
{
    const struct coil_weather series = {&weather, 1};
    struct coil_warm_up plan;

    ck_assert_int_ge(coil_warm_up_plan(pool, &cover, &heater, &series, &ask, &plan),
                     COIL_OK);
    return plan;
}

START_TEST(a_tank_warms_up_along_its_exponential)
{
    const struct coil_pool_weather weather = {mild, 0.0};
    const struct coil_warm_up_ask ask = {20.0, 28.0, 100 * 3600.0};
    struct coil_warm_up plan = plan_of(&tank, coil_cover_none(), weather, ask);
    double tau = 50.0 * 996.5 * 4180.0 / 500.0; /* s */
    double goal = 10.0 + 64000.0 / 500.0;       /* where it would end */
    double cooled = 10.0 + 10.0 * exp(-plan.start_s / tau);
    double heating = tau * log((goal - cooled) / (goal - 28.0));

    ck_assert(plan.in_time && plan.is_reached);
    ck_assert_double_eq_tol(plan.firing_s, heating, 2.0);
    ck_assert_double_eq_tol(plan.start_s + plan.firing_s, ask.wanted_s, 15.0);
    ck_assert_double_le(plan.reached_s, ask.wanted_s);
    ck_assert_double_eq_tol(plan.fuel_j, plan.firing_s * 80000.0, 1.0);
    /* Energy: what the heater gave is in the water or lost. */
    ck_assert_double_eq_tol(plan.fuel_j * 0.8,
                            tau * 500.0 * (28.0 - cooled) + plan.loss_j,
                            1e-3 * plan.fuel_j);
}
END_TEST

START_TEST(wind_lengthens_and_a_cover_shortens_the_way)
{
    struct coil_pool_weather weather = {mild, 0.0};
    const struct coil_warm_up_ask ask = {22.0, 28.0, 60 * 3600.0};
    struct coil_warm_up bare = plan_of(&family_pool, coil_cover_none(), weather, ask);
    struct coil_warm_up covered =
        plan_of(&family_pool, coil_cover_bubble(), weather, ask);
    struct coil_warm_up windy;
    struct coil_warm_up_ask warmer = ask;

    weather.air.wind_m_per_s = 3.0;
    windy = plan_of(&family_pool, coil_cover_none(), weather, ask);
    ck_assert_double_lt(covered.fuel_j, bare.fuel_j);
    ck_assert_double_gt(windy.fuel_j, bare.fuel_j);
    ck_assert_double_gt(covered.start_s, bare.start_s);
    warmer.wanted_temp_c = 29.0;
    ck_assert_double_gt(
        plan_of(&family_pool, coil_cover_none(), weather, warmer).fuel_j, windy.fuel_j);
}
END_TEST

START_TEST(a_pool_that_cannot_be_warm_in_time_says_when_it_is)
{
    struct coil_pool_weather weather = {mild, 0.0};
    struct coil_warm_up_ask ask = {15.0, 30.0, 3600.0};
    struct coil_warm_up plan = plan_of(&family_pool, coil_cover_none(), weather, ask);

    ck_assert(!plan.in_time && plan.is_reached);
    ck_assert_double_eq_tol(plan.start_s, 0.0, 1e-12);
    ck_assert_double_gt(plan.reached_s, 12 * 3600.0); /* 15 K: 13.6 h without losses */
    weather.air = (struct coil_surface_air){-5.0, 0.3, 7.0, 0.0, COIL_ATMOSPHERE_PA};
    ask.wanted_temp_c = 45.0;
    plan = plan_of(&family_pool, coil_cover_none(), weather, ask);
    ck_assert(!plan.in_time && !plan.is_reached);
    weather = (struct coil_pool_weather){mild, 0.0};
    ask = (struct coil_warm_up_ask){30.0, 25.0, 3600.0};
    plan = plan_of(&family_pool, coil_cover_none(), weather, ask);
    ck_assert(plan.in_time);
    ck_assert_double_eq_tol(plan.fuel_j, 0.0, 1e-12);
}
END_TEST

START_TEST(weather_repeats_its_last_day)
{
    struct coil_pool_weather hour[48];
    const struct coil_weather series = {hour, 48};
    const struct coil_warm_up_ask ask = {22.0, 28.0, 7 * 86400.0};
    const struct coil_cover cover = coil_cover_none();
    struct coil_pool_weather longer[192];
    const struct coil_weather same = {longer, 192};
    struct coil_warm_up short_plan, long_plan;

    for (int i = 0; i < 192; i++) {
        longer[i] = (struct coil_pool_weather){mild, 0.0};
        longer[i].air.temp_c = 12.0 + i % 24 / 2.0;
        longer[i].sun_w_per_m2 = i % 24 > 8 && i % 24 < 18 ? 400.0 : 0.0;
        if (i < 48)
            hour[i] = longer[i];
    }
    ck_assert_int_eq(
        coil_warm_up_plan(&family_pool, &cover, &heater, &series, &ask, &short_plan),
        COIL_OK);
    ck_assert_int_eq(
        coil_warm_up_plan(&family_pool, &cover, &heater, &same, &ask, &long_plan),
        COIL_OK);
    ck_assert_double_eq_tol(short_plan.start_s, long_plan.start_s, 1e-9);
    ck_assert_double_eq_tol(short_plan.fuel_j, long_plan.fuel_j, 1e-3);
}
END_TEST

START_TEST(doubt_makes_a_band_around_the_likely_plan)
{
    const struct coil_pool_weather weather = {mild, 0.0};
    const struct coil_weather series = {&weather, 1};
    const struct coil_warm_up_ask ask = {22.0, 28.0, 60 * 3600.0};
    const struct coil_cover cover = coil_cover_none();
    struct coil_heat_doubt doubt = {0.3, 0.05, 0.05, 0.3};
    struct coil_warm_up_band band;

    ck_assert_int_eq(coil_warm_up_with_doubt(&family_pool, &cover, &heater, &series,
                                             &ask, &doubt, &band),
                     COIL_OK);
    ck_assert_double_lt(band.easy.fuel_j, band.likely.fuel_j);
    ck_assert_double_gt(band.hard.fuel_j, band.likely.fuel_j);
    ck_assert_double_lt(band.hard.start_s, band.likely.start_s);
    ck_assert_double_gt(band.easy.start_s, band.likely.start_s);
    doubt.efficiency = 0.75;
    ck_assert_int_eq(coil_warm_up_with_doubt(&family_pool, &cover, &heater, &series,
                                             &ask, &doubt, &band),
                     COIL_ERR_DOMAIN);
}
END_TEST

/* Colder air alone makes the hard plan need more fuel, warmer air the easy one less. */
START_TEST(doubt_about_the_weather_makes_a_band_too)
{
    struct coil_pool_weather hour = {mild, 0.0}, warm = hour, cold = hour;
    const struct coil_weather series = {&hour, 1}, warmer = {&warm, 1},
                              colder = {&cold, 1}, none = {&cold, 0};
    const struct coil_cover cover = coil_cover_none();
    const struct coil_warm_up_ask ask = {20.0, 28.0, 86400.0};
    struct coil_heat_doubt doubt = {.easy_weather = &warmer, .hard_weather = &colder};
    struct coil_warm_up_band band;

    warm.air.temp_c += 5.0;
    cold.air.temp_c -= 5.0;
    ck_assert_int_eq(coil_warm_up_with_doubt(&family_pool, &cover, &heater, &series,
                                             &ask, &doubt, &band),
                     COIL_OK);
    ck_assert(band.easy.fuel_j < band.likely.fuel_j);
    ck_assert(band.likely.fuel_j < band.hard.fuel_j);
    doubt.hard_weather = &none;
    ck_assert_int_eq(coil_warm_up_with_doubt(&family_pool, &cover, &heater, &series,
                                             &ask, &doubt, &band),
                     COIL_ERR_DOMAIN);
}
END_TEST

/* A pool in hard frost cools to 0 degC and no further, so that a plan still ends. */
START_TEST(water_in_frost_stays_at_the_freezing_point)
{
    struct coil_pool_weather frost = {mild, 0.0};
    struct coil_warm_up plan;

    frost.air.temp_c = -20.0;
    frost.air.wind_m_per_s = 6.0;
    plan = plan_of(&family_pool, coil_cover_none(), frost,
                   (struct coil_warm_up_ask){1.0, 10.0, 6.0 * 86400.0});
    ck_assert(plan.fuel_j > 0.0);
}
END_TEST

START_TEST(a_plan_of_what_cannot_be_is_refused)
{
    const struct coil_pool_weather weather = {mild, 0.0};
    const struct coil_weather series = {&weather, 1};
    const struct coil_weather none = {&weather, 0};
    const struct coil_cover cover = coil_cover_none();
    struct coil_fired_heater bad = heater;
    struct coil_warm_up_ask ask = {22.0, 28.0, 3600.0};
    struct coil_warm_up plan = {.start_s = 7.0};

    ck_assert_int_eq(
        coil_warm_up_plan(&family_pool, &cover, &heater, &none, &ask, &plan),
        COIL_ERR_DOMAIN);
    bad.input_w = 0.0;
    ck_assert_int_eq(
        coil_warm_up_plan(&family_pool, &cover, &bad, &series, &ask, &plan),
        COIL_ERR_DOMAIN);
    ask.wanted_s = -5.0;
    ck_assert_int_eq(
        coil_warm_up_plan(&family_pool, &cover, &heater, &series, &ask, &plan),
        COIL_ERR_DOMAIN);
    ask.wanted_s = NAN;
    ck_assert_int_eq(
        coil_warm_up_plan(&family_pool, &cover, &heater, &series, &ask, &plan),
        COIL_ERR_NOT_FINITE);
    ck_assert_double_eq_tol(plan.start_s, 7.0, 1e-12);
}
END_TEST

START_TEST(holding_costs_the_loss_over_the_efficiency)
{
    const struct coil_pool_weather weather = {mild, 0.0};
    const struct coil_weather series = {&weather, 1};
    const struct coil_cover cover = coil_cover_none();
    double net_w = balance_of(&family_pool, cover, weather).net_w;
    double fuel_j;

    ck_assert_int_eq(coil_heat_to_hold_j(&family_pool, &cover, &heater, &series, 28.0,
                                         86400.0 + 1800.0, &fuel_j),
                     COIL_OK);
    ck_assert_double_eq_tol(fuel_j, net_w * 88200.0 / 0.8, 1e-6 * fuel_j);
}
END_TEST

/* 1 US therm is 29.3 kWh; a gallon of propane 0.9148 therm (EC), 91452 Btu; 1 m3 of gas
 * 35.3147 ft3. */
START_TEST(fuel_units_are_those_of_the_bill)
{
    const double fuel_j = 1e9;
    double amount[COIL_FUEL_UNIT_COUNT];
    double price;
    struct coil_tariff tariff = {.price_per_unit = 2.0};

    for (int i = 0; i < COIL_FUEL_UNIT_COUNT; i++) {
        tariff.unit = (enum coil_fuel_unit)i;
        ck_assert_int_eq(coil_heat_cost(&tariff, fuel_j, &amount[i], &price), COIL_OK);
        ck_assert_double_eq_tol(price, 2.0 * amount[i], 1e-9);
        ck_assert_ptr_nonnull(coil_fuel_unit_key(tariff.unit));
    }
    ck_assert_double_eq_tol(amount[COIL_FUEL_KWH] / amount[COIL_FUEL_THERM], 29.3,
                            0.01);
    ck_assert_double_eq_tol(amount[COIL_FUEL_GAS_FT3] / amount[COIL_FUEL_GAS_M3],
                            35.3147, 1e-4);
    ck_assert_double_eq_tol(amount[COIL_FUEL_PROPANE_LITRE] /
                                amount[COIL_FUEL_PROPANE_GAL],
                            3.785411784, 1e-9);
    ck_assert_double_eq_tol(fuel_j / amount[COIL_FUEL_PROPANE_GAL] / 1055.05585262,
                            91452.0, 1e-6);
    tariff.j_per_unit = 5e6;
    ck_assert_int_eq(coil_heat_cost(&tariff, fuel_j, &amount[0], &price), COIL_OK);
    ck_assert_double_eq_tol(amount[0], 200.0, 1e-9);
    ck_assert_int_eq(coil_heat_cost(&tariff, -1.0, &amount[0], &price),
                     COIL_ERR_DOMAIN);
    tariff.unit = COIL_FUEL_UNIT_COUNT;
    ck_assert_int_eq(coil_heat_cost(&tariff, 1.0, &amount[0], &price),
                     COIL_ERR_UNKNOWN);
}
END_TEST

/* 2 ft3 in 30 s at 1037 Btu: 248880 Btu/h, 99.6 % of 250000. */
START_TEST(clocking_the_meter_gives_the_firing_rate)
{
    const double ft3 = 0.028316846592;
    double w, ratio, u;

    ck_assert_int_eq(coil_meter_clock(2 * ft3, 30, 1037 * 1055.05585262 / ft3,
                                      0.05 * ft3, 250000 * BTU_PER_H, &w, &ratio, &u),
                     COIL_OK);
    ck_assert_double_eq_tol(w / BTU_PER_H, 248880.0, 0.01);
    ck_assert_double_eq_tol(ratio, 0.99552, 1e-6);
    /* Half widths 0.025 of 2 and 0.5 of 30, each twice: sqrt(2/3) of each. */
    ck_assert_double_eq_tol(u, 0.99552 * hypot(0.0125, 0.5 / 30) * sqrt(2.0 / 3.0),
                            1e-6);
    ck_assert_int_eq(coil_meter_clock(2 * ft3, 0, 3e7, 0, 1e5, &w, &ratio, &u),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_meter_clock(-1, 30, 3e7, 0, 1e5, &w, &ratio, &u),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_meter_clock(NAN, 30, 3e7, 0, 1e5, &w, &ratio, &u),
                     COIL_ERR_NOT_FINITE);
}
END_TEST

/* dF = Btu/h/(498.3 gpm) at 80 degF. */
START_TEST(rise_and_heat_of_a_heater_are_each_others_inverse)
{
    const double gpm = 3.785411784 / 60.0;
    double rise_k, back;

    ck_assert_int_eq(
        coil_heater_rise_k(328000 * BTU_PER_H, 40 * gpm, 80 / 1.8 - 32 / 1.8, &rise_k),
        COIL_OK);
    ck_assert_double_eq_tol(rise_k * 1.8, 328000.0 / (498.3 * 40.0), 0.002);
    ck_assert_int_eq(coil_heater_heat_w(rise_k, 40 * gpm, 48 / 1.8, &back), COIL_OK);
    ck_assert_double_eq_tol(back, 328000 * BTU_PER_H, 1e-6);
    ck_assert_int_eq(coil_heater_rise_k(1000, 0, 20, &rise_k), COIL_ERR_DOMAIN);
}
END_TEST

START_TEST(a_cold_inlet_condenses_flue_gas)
{
    double margin;

    ck_assert_int_eq(coil_condensing_margin_k(15.0, 5.0, 55.0, &margin), COIL_OK);
    ck_assert_double_eq_tol(margin, -35.0, 1e-12);
    ck_assert_int_eq(coil_condensing_margin_k(70.0, 5.0, 55.0, &margin),
                     COIL_ERR_DOMAIN);
}
END_TEST

START_TEST(short_runs_close_together_are_short_cycling)
{
    struct coil_run_interval run[8];
    struct coil_cycling got;

    for (int i = 0; i < 8; i++)
        run[i] = (struct coil_run_interval){i * 600.0, i * 600.0 + 120.0};
    ck_assert_int_eq(coil_short_cycling(run, 8, &got), COIL_OK);
    ck_assert_int_eq(got.is_short, 1);
    ck_assert_double_eq_tol(got.median_run_s, 120.0, 1e-9);
    ck_assert_int_eq(coil_short_cycling(run, 3, &got), COIL_OK);
    ck_assert_int_eq(got.is_short, 0); /* too few to say */
    for (int i = 0; i < 8; i++)
        run[i] = (struct coil_run_interval){i * 3600.0, i * 3600.0 + 2400.0};
    ck_assert_int_eq(coil_short_cycling(run, 8, &got), COIL_OK);
    ck_assert_int_eq(got.is_short, 0);
    run[3].end_s = run[3].start_s;
    ck_assert_int_eq(coil_short_cycling(run, 8, &got), COIL_ERR_DOMAIN);
    run[3].end_s = run[5].start_s;
    ck_assert_int_eq(coil_short_cycling(run, 8, &got), COIL_ERR_DOMAIN); /* overlap */
}
END_TEST

/* About 2.5 % a mm, 3.9 at 1.5875 (3.97 by that slope); 60 kW/m2 through 0.5 mm of 1
 * W/(m K): 30 K. */
START_TEST(scale_costs_fuel_and_heats_the_wall)
{
    double percent, last = -1.0;
    double rise_k;

    for (double mm = 0.0; mm <= 1.58; mm += 0.02) {
        ck_assert_int_eq(coil_scale_fuel_loss(mm, COIL_SCALE_NORMAL, &percent),
                         COIL_OK);
        ck_assert_double_gt(percent, last);
        ck_assert_double_eq_tol(percent, 2.5 * mm, 0.075);
        last = percent;
    }
    ck_assert_int_eq(coil_scale_fuel_loss(2.0, COIL_SCALE_NORMAL, &percent),
                     COIL_WARN_RANGE);
    ck_assert_int_eq(coil_scale_fuel_loss(0.9, COIL_SCALE_IRON_SILICA, &percent),
                     COIL_WARN_RANGE);
    ck_assert_int_eq(coil_scale_fuel_loss(-0.1, COIL_SCALE_NORMAL, &percent),
                     COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_scale_wall_rise_k(60000, 0.5, 1.0, &rise_k), COIL_OK);
    ck_assert_double_eq_tol(rise_k, 30.0, 1e-9);
    ck_assert_int_eq(coil_scale_wall_rise_k(60000, 0.5, 0.0, &rise_k), COIL_ERR_DOMAIN);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("heat");
    TCase *tcase = tcase_create("heat");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, saturation_pressure_reaches_the_printed_anchors);
    tcase_add_test(tcase, dew_point_is_the_inverse_of_saturation_pressure);
    tcase_add_test(tcase, moist_air_reaches_the_printed_example);
    tcase_add_test(tcase, water_heat_reaches_the_verification_values);
    tcase_add_test(tcase,
                   measured_outdoor_evaporation_lies_below_the_handbook_as_published);
    tcase_add_test(tcase, fluxes_move_with_wind_humidity_and_clouds_the_right_way);
    tcase_add_test(tcase, clouds_leave_a_quarter_of_the_sun);
    tcase_add_test(tcase, shares_add_up_and_the_balance_grows_with_the_surface);
    tcase_add_test(tcase, a_bubble_cover_saves_what_the_energy_agency_says);
    tcase_add_test(tcase, a_balance_of_what_cannot_be_is_refused);
    tcase_add_test(tcase, a_tank_warms_up_along_its_exponential);
    tcase_add_test(tcase, wind_lengthens_and_a_cover_shortens_the_way);
    tcase_add_test(tcase, a_pool_that_cannot_be_warm_in_time_says_when_it_is);
    tcase_add_test(tcase, weather_repeats_its_last_day);
    tcase_add_test(tcase, doubt_makes_a_band_around_the_likely_plan);
    tcase_add_test(tcase, doubt_about_the_weather_makes_a_band_too);
    tcase_add_test(tcase, water_in_frost_stays_at_the_freezing_point);
    tcase_add_test(tcase, a_plan_of_what_cannot_be_is_refused);
    tcase_add_test(tcase, holding_costs_the_loss_over_the_efficiency);
    tcase_add_test(tcase, fuel_units_are_those_of_the_bill);
    tcase_add_test(tcase, clocking_the_meter_gives_the_firing_rate);
    tcase_add_test(tcase, rise_and_heat_of_a_heater_are_each_others_inverse);
    tcase_add_test(tcase, a_cold_inlet_condenses_flue_gas);
    tcase_add_test(tcase, short_runs_close_together_are_short_cycling);
    tcase_add_test(tcase, scale_costs_fuel_and_heats_the_wall);
    tcase_set_timeout(tcase, 60);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
