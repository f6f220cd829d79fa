#include "heat.h"

#include <math.h>

#include "water.h"

#define STEP_S 600.0
#define START_S 10.0           /* of the bisection */
#define HEAT_CAPACITY_J 4180.0 /* J/(kg K), 15 to 60 degC [iapws-if97] */
#define DENSITY 996.5          /* kg/m3 at 27 degC [iapws-if97]; 1 % over 0 to 45 */
#define BTU_J 1055.05585262    /* [nist-sp811] */
#define FT3_M3 0.028316846592
#define GALLON_L 3.785411784

/* What one run over the weather needs. */
struct run {
    const struct coil_pool *pool;
    const struct coil_cover *cover;
    const struct coil_weather *weather;
    double heat_w;      /* into the water while firing */
    double loss_factor; /* of the losses through the surface */
    double j_per_k;
    enum coil_status worst; /* COIL_WARN_RANGE seen, or a refusal */
};

static const struct coil_pool_weather *weather_at(const struct coil_weather *weather,
                                                  double time_s)
{
    size_t hour = (size_t)(time_s / 3600.0);

    if (hour < weather->count)
        return &weather->hour[hour];
    if (weather->count < 24)
        return &weather->hour[weather->count - 1];
    return &weather->hour[weather->count - 24 + (hour - weather->count) % 24];
}

static double loss_w(struct run *run, double time_s, double temp_c)
{
    struct coil_heat_balance balance;
    enum coil_status status = coil_heat_balance(
        run->pool, run->cover, temp_c, weather_at(run->weather, time_s), &balance);

    if (status != COIL_OK && run->worst >= COIL_OK)
        run->worst = status;
    if (status < COIL_OK)
        return 0.0;
    return balance.net_w +
           (run->loss_factor - 1.0) * (balance.part_w[COIL_HEAT_EVAPORATION] +
                                       balance.part_w[COIL_HEAT_CONVECTION] +
                                       balance.part_w[COIL_HEAT_LONG_WAVE]);
}

/* Temperature after a step; the loss in the middle of it goes to out_loss_w. */
static double step(struct run *run, double time_s, double temp_c, double length_s,
                   double heat_w, double *out_loss_w)
{
    double half =
        temp_c + (heat_w - loss_w(run, time_s, temp_c)) * 0.5 * length_s / run->j_per_k;

    *out_loss_w = loss_w(run, time_s + 0.5 * length_s, fmax(half, 0.0));
    return fmax(temp_c + (heat_w - *out_loss_w) * length_s / run->j_per_k, 0.0);
}

/* The water at some time. */
struct state {
    double time_s, temp_c;
};

/*
 * Runs from a state, lit at start_s, until until_s or the wanted temperature while lit:
 * from there on the heater can hold it. Gives the last temperature, its time and the
 * heat lost while lit.
 */
static double run_until(struct run *run, struct state from, double start_s,
                        double until_s, double wanted_temp_c, double *out_time_s,
                        double *out_loss_j)
{
    double time_s = from.time_s, temp_c = from.temp_c;

    *out_loss_j = 0.0;
    while (time_s < until_s && run->worst >= COIL_OK) {
        bool lit = time_s >= start_s;
        double end_s = fmin(fmin(time_s + STEP_S, until_s), lit ? until_s : start_s);
        double heat_w = lit ? run->heat_w : 0.0;
        double lost_w, next;

        if (lit && temp_c >= wanted_temp_c)
            break;
        next = step(run, time_s, temp_c, end_s - time_s, heat_w, &lost_w);
        if (lit && next > wanted_temp_c) { /* inside this step: straight line */
            double part = (wanted_temp_c - temp_c) / (next - temp_c);

            end_s = time_s + part * (end_s - time_s);
            next = wanted_temp_c;
        }
        if (lit)
            *out_loss_j += lost_w * (end_s - time_s);
        temp_c = next;
        time_s = end_s;
    }
    *out_time_s = time_s;
    return temp_c;
}

/* Latest start from which the water is warm at wanted_s; lit at 0 is known to do. Up to
 * the earliest start in question the water stands unlit: that part is run but once. */
static double latest_start(struct run *run, const struct coil_warm_up_ask *ask)
{
    struct state unlit = {0.0, ask->temp_c};
    double early = 0.0;
    double late = ask->wanted_s;
    double time_s, loss_j;

    while (late - early > START_S && run->worst >= COIL_OK) {
        double middle = 0.5 * (early + late);

        if (run_until(run, unlit, middle, ask->wanted_s, ask->wanted_temp_c, &time_s,
                      &loss_j) >= ask->wanted_temp_c) {
            unlit.temp_c = run_until(run, unlit, middle, middle, ask->wanted_temp_c,
                                     &unlit.time_s, &loss_j);
            early = middle;
        } else {
            late = middle;
        }
    }
    return early;
}

static void plan(struct run *run, const struct coil_fired_heater *heater,
                 const struct coil_warm_up_ask *ask, struct coil_warm_up *out)
{
    const struct state now = {0.0, ask->temp_c};
    double time_s, loss_j, temp_c;

    *out = (struct coil_warm_up){.in_time = true, .is_reached = true};
    temp_c = run_until(run, now, ask->wanted_s, ask->wanted_s, ask->wanted_temp_c,
                       &time_s, &loss_j);
    if (temp_c >= ask->wanted_temp_c) { /* warm enough without fuel */
        out->start_s = ask->wanted_s;
        out->reached_s = ask->wanted_s;
        return;
    }
    temp_c =
        run_until(run, now, 0.0, ask->wanted_s, ask->wanted_temp_c, &time_s, &loss_j);
    out->in_time = temp_c >= ask->wanted_temp_c;
    if (out->in_time)
        out->start_s = latest_start(run, ask);
    temp_c = run_until(run, now, out->start_s, COIL_PLAN_MAX_S, ask->wanted_temp_c,
                       &time_s, &loss_j);
    out->is_reached = temp_c >= ask->wanted_temp_c;
    out->reached_s = time_s;
    out->firing_s = time_s - out->start_s;
    out->fuel_j = out->firing_s * heater->input_w;
    out->loss_j = loss_j;
}

static enum coil_status refuse(const struct coil_fired_heater *heater,
                               const struct coil_weather *weather,
                               const struct coil_warm_up_ask *ask)
{
    if (!isfinite(heater->input_w) || !isfinite(heater->efficiency_fraction) ||
        !isfinite(ask->temp_c) || !isfinite(ask->wanted_temp_c) ||
        !isfinite(ask->wanted_s))
        return COIL_ERR_NOT_FINITE;
    if (heater->input_w <= 0.0 || heater->input_w > 1e7 ||
        heater->efficiency_fraction <= 0.1 || heater->efficiency_fraction > 1.1 ||
        weather->count < 1 || weather->count > COIL_WEATHER_HOURS_MAX)
        return COIL_ERR_DOMAIN;
    if (ask->temp_c < 0.0 || ask->temp_c > 50.0 || ask->wanted_temp_c <= 0.0 ||
        ask->wanted_temp_c > 50.0 || ask->wanted_s <= 0.0 ||
        ask->wanted_s > COIL_PLAN_MAX_S)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

static struct run make_run(const struct coil_pool *pool, const struct coil_cover *cover,
                           const struct coil_fired_heater *heater,
                           const struct coil_weather *weather)
{
    return (struct run){.pool = pool,
                        .cover = cover,
                        .weather = weather,
                        .heat_w = heater->input_w * heater->efficiency_fraction,
                        .loss_factor = 1.0,
                        .j_per_k = pool->volume_m3 * DENSITY * HEAT_CAPACITY_J,
                        .worst = COIL_OK};
}

enum coil_status coil_heat_to_warm_j(double volume_m3, double from_temp_c,
                                     double to_temp_c, double *out_j)
{
    double density;
    enum coil_status status;

    if (!isfinite(volume_m3) || !isfinite(from_temp_c) || !isfinite(to_temp_c))
        return COIL_ERR_NOT_FINITE;
    if (volume_m3 <= 0.0 || volume_m3 > 10000.0 || from_temp_c < 0.0 ||
        from_temp_c > 60.0 || to_temp_c < 0.0 || to_temp_c > 60.0)
        return COIL_ERR_DOMAIN;
    status = coil_water_density(from_temp_c, &density);
    if (status < COIL_OK)
        return status;
    *out_j = volume_m3 * density * HEAT_CAPACITY_J * (to_temp_c - from_temp_c);
    return COIL_OK;
}

enum coil_status coil_warm_up_plan(const struct coil_pool *pool,
                                   const struct coil_cover *cover,
                                   const struct coil_fired_heater *heater,
                                   const struct coil_weather *weather,
                                   const struct coil_warm_up_ask *ask,
                                   struct coil_warm_up *out)
{
    static const struct coil_heat_doubt none = {0};
    struct coil_warm_up_band band;
    enum coil_status status =
        coil_warm_up_with_doubt(pool, cover, heater, weather, ask, &none, &band);

    if (status >= COIL_OK)
        *out = band.likely;
    return status;
}

static bool doubt_is_usable(const struct coil_heat_doubt *d,
                            const struct coil_fired_heater *heater,
                            const struct coil_warm_up_ask *ask)
{
    return d->loss_fraction >= 0.0 && d->loss_fraction <= 0.9 &&
           d->volume_fraction >= 0.0 && d->volume_fraction <= 0.5 &&
           d->efficiency >= 0.0 && d->efficiency <= 0.3 &&
           heater->efficiency_fraction - d->efficiency > 0.1 && d->temp_k >= 0.0 &&
           d->temp_k <= 3.0 && ask->temp_c - d->temp_k >= 0.0;
}

/* sign: 0 likely, +1 hard, -1 easy. */
static enum coil_status plan_one(struct run run, const struct coil_fired_heater *heater,
                                 struct coil_warm_up_ask ask,
                                 const struct coil_heat_doubt *doubt, double sign,
                                 struct coil_warm_up *out)
{
    run.loss_factor += sign * doubt->loss_fraction;
    run.j_per_k *= 1.0 + sign * doubt->volume_fraction;
    run.heat_w =
        heater->input_w * (heater->efficiency_fraction - sign * doubt->efficiency);
    ask.temp_c -= sign * doubt->temp_k;
    if (sign < 0.0 && doubt->easy_weather != NULL)
        run.weather = doubt->easy_weather;
    if (sign > 0.0 && doubt->hard_weather != NULL)
        run.weather = doubt->hard_weather;
    plan(&run, heater, &ask, out);
    return run.worst;
}

enum coil_status coil_warm_up_with_doubt(const struct coil_pool *pool,
                                         const struct coil_cover *cover,
                                         const struct coil_fired_heater *heater,
                                         const struct coil_weather *weather,
                                         const struct coil_warm_up_ask *ask,
                                         const struct coil_heat_doubt *doubt,
                                         struct coil_warm_up_band *out)
{
    enum coil_status status = refuse(heater, weather, ask);
    struct run run = make_run(pool, cover, heater, weather);
    struct coil_warm_up_band band;
    bool has_doubt = doubt->loss_fraction != 0.0 || doubt->volume_fraction != 0.0 ||
                     doubt->efficiency != 0.0 || doubt->temp_k != 0.0 ||
                     doubt->easy_weather != NULL || doubt->hard_weather != NULL;

    if (status != COIL_OK)
        return status;
    if (!doubt_is_usable(doubt, heater, ask))
        return COIL_ERR_DOMAIN;
    for (int i = 0; i < 2 && status == COIL_OK; i++) {
        const struct coil_weather *other =
            i == 0 ? doubt->easy_weather : doubt->hard_weather;

        status = other == NULL ? COIL_OK : refuse(heater, other, ask);
    }
    if (status != COIL_OK)
        return status;
    status = plan_one(run, heater, *ask, doubt, 0.0, &band.likely);
    band.easy = band.hard = band.likely;
    if (status >= COIL_OK && has_doubt)
        status = plan_one(run, heater, *ask, doubt, -1.0, &band.easy);
    if (status >= COIL_OK && has_doubt)
        status = plan_one(run, heater, *ask, doubt, 1.0, &band.hard);
    if (status >= COIL_OK)
        *out = band;
    return status;
}

enum coil_status coil_heat_to_hold_j(const struct coil_pool *pool,
                                     const struct coil_cover *cover,
                                     const struct coil_fired_heater *heater,
                                     const struct coil_weather *weather, double temp_c,
                                     double duration_s, double *out_fuel_j)
{
    const struct coil_warm_up_ask ask = {temp_c, temp_c, duration_s};
    enum coil_status status = refuse(heater, weather, &ask);
    struct run run = make_run(pool, cover, heater, weather);
    double heat_j = 0.0;

    if (status != COIL_OK)
        return status;
    for (double at = 0.0; at < duration_s; at += 3600.0)
        heat_j += fmax(0.0, loss_w(&run, at, temp_c)) * fmin(3600.0, duration_s - at);
    if (run.worst >= COIL_OK)
        *out_fuel_j = heat_j / heater->efficiency_fraction;
    return run.worst;
}

static const struct {
    const char *key;
    double joule;
} fuel_units[] = {
    [COIL_FUEL_THERM] = {"therm", 105480400.0},
    [COIL_FUEL_GAS_M3] = {"m3", 1037.0 * BTU_J / FT3_M3},
    [COIL_FUEL_GAS_FT3] = {"ft3", 1037.0 * BTU_J},
    [COIL_FUEL_KWH] = {"kwh", 3.6e6},
    [COIL_FUEL_PROPANE_GAL] = {"propane_us_gal", 91452.0 * BTU_J},
    [COIL_FUEL_PROPANE_LITRE] = {"propane_l", 91452.0 * BTU_J / GALLON_L},
};

const char *coil_fuel_unit_key(enum coil_fuel_unit unit)
{
    return (unsigned)unit < COIL_FUEL_UNIT_COUNT ? fuel_units[unit].key : NULL;
}

enum coil_status coil_fuel_unit_j(enum coil_fuel_unit unit, double *out_j)
{
    if ((unsigned)unit >= COIL_FUEL_UNIT_COUNT)
        return COIL_ERR_UNKNOWN;
    *out_j = fuel_units[unit].joule;
    return COIL_OK;
}

enum coil_status coil_heat_cost(const struct coil_tariff *tariff, double fuel_j,
                                double *out_amount, double *out_price)
{
    double joule = tariff->j_per_unit;

    if (!isfinite(fuel_j) || !isfinite(joule) || !isfinite(tariff->price_per_unit))
        return COIL_ERR_NOT_FINITE;
    if ((unsigned)tariff->unit >= COIL_FUEL_UNIT_COUNT)
        return COIL_ERR_UNKNOWN;
    if (fuel_j < 0.0 || fuel_j > 1e15 || joule < 0.0 || joule > 1e15 ||
        tariff->price_per_unit < 0.0 || tariff->price_per_unit > 1e6)
        return COIL_ERR_DOMAIN;
    if (joule == 0.0)
        joule = fuel_units[tariff->unit].joule;
    *out_amount = fuel_j / joule;
    *out_price = *out_amount * tariff->price_per_unit;
    return COIL_OK;
}
