/*
 * How long a pool takes to warm up, what fuel that needs, and what it costs.
 *
 * Times are seconds from an instant of the caller's, which the weather starts at. Knows
 * nothing of clocks or of the names of months.
 */
#ifndef COIL_HEAT_H
#define COIL_HEAT_H

#include <stdbool.h>
#include <stddef.h>

#include "heat_balance.h"

#define COIL_WEATHER_HOURS_MAX 384 /* 16 days */
#define COIL_PLAN_MAX_S (14.0 * 86400.0)

/* Weather hour by hour from time 0; beyond its end the last 24 hours come again. */
struct coil_weather {
    const struct coil_pool_weather *hour; /* borrows */
    size_t count;                         /* 1 to COIL_WEATHER_HOURS_MAX */
};

struct coil_fired_heater {
    double input_w;             /* fuel power, gross, while firing; > 0 to 1e7 */
    double efficiency_fraction; /* of gross; above 0.1, up to 1.1 */
};

struct coil_warm_up_ask {
    double temp_c;        /* of the water at time 0, 0 to 50 */
    double wanted_temp_c; /* above 0, up to 50 */
    double wanted_s;      /* by when, > 0 to COIL_PLAN_MAX_S */
};

struct coil_warm_up {
    bool in_time;     /* false: too late for wanted_s even if lit at time 0 */
    bool is_reached;  /* false: not within COIL_PLAN_MAX_S either */
    double start_s;   /* latest moment to light; 0 when not in time */
    double reached_s; /* when the wanted temperature is there */
    double firing_s;  /* 0 when the pool is warm enough by itself */
    double fuel_j;    /* gross */
    double loss_j;    /* what water loses, less what sun brings, while firing */
};

/* Energy (J) that warms the pool's water without any loss; negative when it cools. */
enum coil_status coil_heat_to_warm_j(double volume_m3, double from_temp_c,
                                     double to_temp_c, double *out_j);

/*
 * Latest start that reaches the wanted temperature by the wanted time, and its fuel.
 *
 * weather, pool, cover as in heat_balance.h; the cover stays as it is
 * out     untouched unless >= 0 is returned
 *
 * Returns COIL_OK, COIL_WARN_RANGE (some hour's weather is), COIL_ERR_NOT_FINITE,
 * COIL_ERR_DOMAIN, COIL_ERR_UNKNOWN. When it cannot be in time, the plan for lighting
 * at time 0. Method: one well-mixed body of water; midpoint steps of 600 s at most,
 * start by bisection to 10 s. Standby and pipes are not counted. Water that would freeze
 * stays at 0 degC; its ice is not counted.
 */
enum coil_status coil_warm_up_plan(const struct coil_pool *pool,
                                   const struct coil_cover *cover,
                                   const struct coil_fired_heater *heater,
                                   const struct coil_weather *weather,
                                   const struct coil_warm_up_ask *ask,
                                   struct coil_warm_up *out);

/* How well the inputs are known, as half widths of about 90 %. Zero is fine. */
struct coil_heat_doubt {
    double loss_fraction;   /* of every loss through the surface; 0.3 is usual: the
                               published forms differ by that much. 0 to 0.9 */
    double volume_fraction; /* 0 to 0.5 */
    double efficiency;      /* of the fraction: 0.05; 0 to 0.3 */
    double temp_k;          /* of the water's temperature now; 0 to 3 */
    const struct coil_weather *easy_weather, *hard_weather; /* NULL: the same; borrows */
};

struct coil_warm_up_band {
    struct coil_warm_up likely;
    struct coil_warm_up easy; /* everything that is in doubt turns out well */
    struct coil_warm_up hard; /* badly: its start is the safe one */
};

/*
 * The plan with its band: all doubts at one end at once, so wider than 90 % when there
 * are several. The weather is in doubt as far as the two others differ from it.
 */
enum coil_status coil_warm_up_with_doubt(const struct coil_pool *pool,
                                         const struct coil_cover *cover,
                                         const struct coil_fired_heater *heater,
                                         const struct coil_weather *weather,
                                         const struct coil_warm_up_ask *ask,
                                         const struct coil_heat_doubt *doubt,
                                         struct coil_warm_up_band *out);

/*
 * Fuel that keeps a temperature over some time: losses less gains, hour by hour, never
 * below 0 in an hour (a sunny hour's surplus is not kept).
 *
 * duration_s  > 0 to COIL_PLAN_MAX_S
 */
enum coil_status coil_heat_to_hold_j(const struct coil_pool *pool,
                                     const struct coil_cover *cover,
                                     const struct coil_fired_heater *heater,
                                     const struct coil_weather *weather, double temp_c,
                                     double duration_s, double *out_fuel_j);

enum coil_fuel_unit {
    COIL_FUEL_THERM,  /* US therm, 105.4804 MJ [nist-sp811] */
    COIL_FUEL_GAS_M3, /* natural gas, as the meter counts */
    COIL_FUEL_GAS_FT3,
    COIL_FUEL_KWH,         /* of fuel, gross */
    COIL_FUEL_PROPANE_GAL, /* US gallon of liquid */
    COIL_FUEL_PROPANE_LITRE,
    COIL_FUEL_UNIT_COUNT
};

/* "therm", "m3", "ft3", "kwh", "propane_us_gal", "propane_l"; NULL for no such number.
 */
const char *coil_fuel_unit_key(enum coil_fuel_unit unit);

/*
 * Gross heat of a unit where the bill does not say it (J): natural gas 1037 Btu/ft3,
 * propane 91452 Btu per US gallon [eia-units]. The bill's own heating value is better
 * by far: altitude and meter pressure change a cubic foot by several per cent.
 */
enum coil_status coil_fuel_unit_j(enum coil_fuel_unit unit, double *out_j);

struct coil_tariff {
    enum coil_fuel_unit unit;
    double j_per_unit;     /* 0: coil_fuel_unit_j's */
    double price_per_unit; /* any currency, 0 to 1e6 */
};

/* Amount in the tariff's unit and its price. fuel_j 0 to 1e15. */
enum coil_status coil_heat_cost(const struct coil_tariff *tariff, double fuel_j,
                                double *out_amount, double *out_price);

#endif
