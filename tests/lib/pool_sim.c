#include "tests/lib/pool_sim.h"

#include <math.h>
#include <stdbool.h>

#define PI 3.14159265358979323846
#define STEP_MIN 20
#define STEPS_PER_DAY (24 * 60 / STEP_MIN)
#define STEP_DAYS (1.0 / STEPS_PER_DAY)

/* ---- chance ---- */

struct chance {
    uint64_t state;
};

static double uniform(struct chance *chance)
{
    chance->state ^= chance->state << 13;
    chance->state ^= chance->state >> 7;
    chance->state ^= chance->state << 17;
    return (double)(chance->state >> 11) / 9007199254740992.0;
}

static double within(struct chance *chance, double low, double high)
{
    return low + (high - low) * uniform(chance);
}

static double normal(struct chance *chance)
{
    return sqrt(-2.0 * log(uniform(chance) + 1e-300)) * cos(2.0 * PI * uniform(chance));
}

/* ---- one pool ---- */

struct sim {
    struct chance chance;
    enum sim_keeper keeper;
    double start_s, lat, lon;

    /* its nature */
    double sun_per_day, half_shield, shield_power; /* loss at noon; shielding law */
    double dark_per_day, activation_k, order;
    double demand_mean, demand_pace, party_per_day, algae_per_day;
    double temp_mean, temp_swing;
    double alkalinity, outgas_per_day;
    double cell_mg_per_l_day, tablet_mg_per_l_day;

    /* how it is kept */
    double target, interval_days, undeclared, strength_sd;
    double resolution, noise, bias, misread;
    double ph_resolution, ph_noise, ph_bias, ph_target_high;
    bool strip;

    /* now */
    double chlorine, cyanuric, co2, cloud, temp_off, demand, burst, algae, gap;
    double next_test_day;
};

static void choose_nature(struct sim *sim)
{
    struct chance *c = &sim->chance;

    sim->lat = within(c, 25.0, 52.0) * (uniform(c) < 0.7 ? 1.0 : -1.0);
    sim->lon = within(c, -120.0, 150.0);
    sim->sun_per_day = within(c, 8.0, 25.0);
    sim->half_shield = within(c, 1.0, 4.0);
    sim->shield_power = within(c, 0.75, 1.1);
    sim->dark_per_day = exp(log(0.08) + 0.5 * normal(c));
    sim->activation_k = within(c, 5000.0, 11000.0);
    sim->order = within(c, 0.7, 1.0);
    sim->demand_mean = within(c, 0.02, 0.5);
    sim->demand_pace = within(c, 0.05, 0.3);
    sim->party_per_day = within(c, 0.0, 0.12);
    sim->algae_per_day = within(c, 0.0, 0.008);
    sim->temp_mean = within(c, 22.0, 30.0);
    sim->temp_swing = within(c, 1.0, 5.0);
    sim->alkalinity = within(c, 60.0, 140.0);
    sim->outgas_per_day = within(c, 0.03, 0.25);
    sim->cyanuric = sim->keeper == SIM_INDOOR ? 0.0 : within(c, 20.0, 90.0);
}

static void choose_keeping(struct sim *sim)
{
    struct chance *c = &sim->chance;
    double kit = uniform(c);

    sim->target = within(c, 2.0, 5.0) + 0.03 * sim->cyanuric;
    sim->interval_days = within(c, 1.0, 5.0);
    sim->undeclared = within(c, 0.0, 0.12);
    sim->strength_sd = within(c, 0.05, 0.2);
    sim->strip = kit < 0.35;
    sim->resolution = sim->strip ? 1.0 : kit < 0.75 ? 0.5 : 0.1;
    sim->noise = within(c, 0.03, 0.10);
    sim->bias = 1.0 + 0.08 * normal(c);
    sim->misread = within(c, 0.0, 0.02);
    sim->ph_resolution = sim->strip ? 0.4 : kit < 0.75 ? 0.2 : 0.05;
    sim->ph_noise = within(c, 0.03, 0.08);
    sim->ph_bias = 0.08 * normal(c);
    sim->ph_target_high = within(c, 7.6, 7.9);
    sim->cell_mg_per_l_day = sim->keeper == SIM_SALT ? within(c, 1.0, 3.0) : 0.0;
    sim->tablet_mg_per_l_day = sim->keeper == SIM_TABLETS ? within(c, 0.5, 1.5) : 0.0;
}

static double ph_now(const struct sim *sim)
{
    /* alkalinity as mg/L CaCO3, CO2 in mmol/L */
    return 6.35 + log10(sim->alkalinity / 50.0 / sim->co2);
}

static double day_of_year(double time_s)
{
    return fmod(time_s / 86400.0, 365.25);
}

static double light(const struct sim *sim, double time_s)
{
    double decl = -0.409 * cos(2.0 * PI * (day_of_year(time_s) + 10.0) / 365.25);
    double hour = 2.0 * PI * (fmod(time_s / 86400.0, 1.0) - 0.5 + sim->lon / 360.0);
    double phi = sim->lat * PI / 180.0;
    double sine = sin(phi) * sin(decl) + cos(phi) * cos(decl) * cos(hour);

    return sine > 0.0 ? pow(sine, 1.3) : 0.0;
}

static double temperature(const struct sim *sim, double time_s)
{
    double season = cos(2.0 * PI * (day_of_year(time_s) - 200.0) / 365.25);

    return sim->temp_mean + sim->temp_swing * season * (sim->lat > 0.0 ? 1.0 : -1.0) +
           sim->temp_off;
}

/* Weather, moods and blooms change from day to day. */
static void new_day(struct sim *sim)
{
    struct chance *c = &sim->chance;

    sim->cloud =
        0.7 * sim->cloud + 0.3 * (uniform(c) < 0.35 ? 0.85 : 0.1) + 0.1 * normal(c);
    sim->cloud = fmin(0.9, fmax(0.0, sim->cloud));
    sim->temp_off = 0.85 * sim->temp_off + 0.7 * normal(c);
    sim->demand += sim->demand_pace * (sim->demand_mean - sim->demand) +
                   0.25 * sim->demand_mean * normal(c);
    sim->demand = fmax(0.0, sim->demand);
    sim->algae = uniform(c) < sim->algae_per_day ? 0.5 : sim->algae * 1.35;
    if (sim->algae < 0.4 || sim->algae > 6.0)
        sim->algae = 0.0;
    sim->burst = uniform(c) < sim->party_per_day ? within(c, 0.5, 3.0) : 0.0;
}

static void step(struct sim *sim, double time_s, double *feed_today)
{
    double c = sim->chlorine;
    double kelvin = temperature(sim, time_s) + 273.15;
    double shield = pow(1.0 + sim->cyanuric / sim->half_shield, -sim->shield_power);
    double sun = sim->keeper == SIM_INDOOR ? 0.0
                                           : sim->sun_per_day * light(sim, time_s) *
                                                 (1.0 - sim->cloud) * shield;
    double dark =
        sim->dark_per_day * exp(sim->activation_k * (1.0 / 298.15 - 1.0 / kelvin));
    double hour = fmod(time_s / 3600.0 + sim->lon / 15.0 + 48.0, 24.0);
    double party = hour > 14.0 && hour < 20.0 ? 4.0 * sim->burst : 0.0;
    double need = (sim->demand + party + sim->algae) * c / (c + 0.3);
    double equilibrium = 0.015;

    sim->chlorine +=
        STEP_DAYS * (*feed_today - sun * c - dark * pow(c, sim->order) - need);
    sim->chlorine = fmax(0.0, sim->chlorine);
    sim->co2 -= STEP_DAYS * sim->outgas_per_day * (sim->co2 - equilibrium);
    if (sim->keeper == SIM_TABLETS) { /* trichlor: acid and cyanuric acid */
        sim->cyanuric += STEP_DAYS * 0.6 * sim->tablet_mg_per_l_day;
        sim->co2 += STEP_DAYS * 0.7 * sim->tablet_mg_per_l_day / 50.0;
    }
}

/* ---- what gets written down ---- */

static void put(struct sim_log *log, double time_s, enum coil_pool_fact_kind kind,
                double value, double resolution)
{
    if (log->count < log->capacity)
        log->facts[log->count++] =
            (struct coil_pool_fact){(int64_t)time_s, kind, value, resolution, false};
}

static double to_step(double value, double step)
{
    return fmax(0.0, floor(value / step + 0.5) * step);
}

/* Fields of a strip. */
static double to_field(double value)
{
    static const double fields[] = {0.0, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0};
    double best = 0.0;

    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++)
        if (fabs(fields[i] - value) < fabs(best - value))
            best = fields[i];
    return best;
}

static double test_chlorine(struct sim *sim)
{
    struct chance *c = &sim->chance;
    double value = sim->chlorine * sim->bias * (1.0 + sim->noise * normal(c));

    if (uniform(c) < sim->misread)
        value *= uniform(c) < 0.5 ? 0.3 : 2.0;
    value = fmax(0.0, value);
    return sim->strip ? to_field(value) : to_step(value, sim->resolution);
}

static double test_ph(struct sim *sim)
{
    double value = ph_now(sim) + sim->ph_bias + sim->ph_noise * normal(&sim->chance);

    return to_step(fmin(8.4, fmax(6.6, value)), sim->ph_resolution);
}

static void dose_chlorine(struct sim *sim, double time_s, double wanted,
                          struct sim_log *log)
{
    struct chance *c = &sim->chance;

    sim->chlorine += wanted * (1.0 + sim->strength_sd * normal(c));
    if (uniform(c) >= sim->undeclared)
        put(log, time_s, COIL_FACT_DOSE_CHLORINE, wanted, 0.0);
}

static void dose_acid(struct sim *sim, double time_s, struct sim_log *log)
{
    struct chance *c = &sim->chance;
    double before = ph_now(sim);
    double planned;

    sim->co2 = sim->alkalinity / 50.0 * pow(10.0, 6.35 - 7.4 + 0.08 * normal(c));
    planned = (ph_now(sim) - before) * (1.0 + 0.15 * normal(c));
    if (uniform(c) >= sim->undeclared)
        put(log, time_s, COIL_FACT_DOSE_PH, planned, 0.0);
}

static void visit(struct sim *sim, double time_s, struct sim_log *log)
{
    struct chance *c = &sim->chance;
    double chlorine = test_chlorine(sim);
    double ph = test_ph(sim);

    put(log, time_s, COIL_FACT_FREE_CHLORINE, chlorine, sim->resolution);
    put(log, time_s, COIL_FACT_PH, ph, sim->ph_resolution);
    if (uniform(c) < 0.5)
        put(log, time_s, COIL_FACT_WATER_TEMP,
            to_step(temperature(sim, time_s) + 0.5 * normal(c), 0.5), 0.5);
    if (uniform(c) < 0.05 && sim->keeper != SIM_INDOOR)
        put(log, time_s, COIL_FACT_CYANURIC_ACID,
            to_step(sim->cyanuric * (1.0 + 0.15 * normal(c)), 10.0), 10.0);
    if (chlorine < 0.75 * sim->target && sim->keeper != SIM_SALT)
        dose_chlorine(sim, time_s + 600.0, sim->target - chlorine, log);
    else if (chlorine < 0.4 * sim->target)
        dose_chlorine(sim, time_s + 600.0, sim->target - chlorine, log);
    if (uniform(c) < 0.02)
        dose_chlorine(sim, time_s + 660.0, within(c, 5.0, 12.0), log); /* shock */
    if (ph > sim->ph_target_high)
        dose_acid(sim, time_s + 1200.0, log);
}

static void say_pool(const struct sim *sim, struct sim_log *log)
{
    log->pool = (struct coil_fit_pool){
        .place = {sim->lat,
                  sim->lon,
                  {.cloud_fraction = 0.3,
                   .cover_pass_fraction = 1.0,
                   .depth_m = 1.4,
                   .uv_attenuation_per_m = COIL_UV_ATTENUATION_PER_M}},
        .has_place = true,
        .is_indoor = sim->keeper == SIM_INDOOR,
        .no_cyanuric_acid = sim->keeper == SIM_INDOOR,
        .is_fed = sim->keeper == SIM_SALT || sim->keeper == SIM_TABLETS,
        .usual_temp_c = NAN,
    };
}

void sim_pool_run(uint64_t seed, enum sim_keeper keeper, double start_s, int days,
                  struct sim_log *log)
{
    struct sim sim = {.chance = {seed * 0x9E3779B97F4A7C15u + 0x1234567u},
                      .keeper = keeper,
                      .start_s = start_s,
                      .chlorine = 3.0,
                      .cloud = 0.3};
    double next_test_s;

    for (int i = 0; i < 20; i++)
        uniform(&sim.chance);
    choose_nature(&sim);
    choose_keeping(&sim);
    sim.demand = sim.demand_mean;
    sim.co2 = sim.alkalinity / 50.0 * pow(10.0, 6.35 - 7.5);
    log->keeper = keeper;
    log->count = 0;
    say_pool(&sim, log);
    if (keeper != SIM_INDOOR)
        put(log, start_s, COIL_FACT_CYANURIC_ACID, to_step(sim.cyanuric, 10.0), 10.0);
    next_test_s = start_s + within(&sim.chance, 0.0, 1.0) * 86400.0;
    for (int day = 0; day < days; day++) {
        double feed;

        new_day(&sim);
        feed = (sim.cell_mg_per_l_day + sim.tablet_mg_per_l_day) *
               within(&sim.chance, 0.7, 1.3);
        for (int i = 0; i < STEPS_PER_DAY; i++) {
            double time_s = start_s + 86400.0 * day + 60.0 * STEP_MIN * i;

            step(&sim, time_s, &feed);
            if (time_s >= next_test_s) {
                visit(&sim, time_s, log);
                next_test_s =
                    time_s + 86400.0 * fmax(0.3, sim.interval_days *
                                                     within(&sim.chance, 0.5, 1.6));
            }
        }
    }
}
